"""A ruling on a play as text for a reader and as JSON for a program."""

from __future__ import annotations

import json
from collections.abc import Sequence

from pocketref.rulings.answer import Answer
from pocketref.rulings.effects import write_batter, write_count_effect, write_runners
from pocketref.rulings.next_state import NextState
from pocketref.rulings.state_words import list_states, write_states
from pocketref.source.library import Library
from pocketref.words.speech import say
from pocketref.words.terminal import tell


def write_answer(
    answer: Answer, code: str, subject: str, states: Sequence[NextState] = (), uncaught: str = ""
) -> str:
    """The ruling, what it makes of the game, what to say and signal, its section, and the questions that led to it.

    `uncaught` is what the code says besides of a third strike that is not caught.
    """
    ruling = answer.ruling
    if states:
        effects = [(tell("next"), words) for words in write_states(states, uncaught)]
    else:
        effects = [
            (tell("batter"), write_batter(ruling).full),
            (tell("runners"), write_runners(ruling).full),
            (tell("count"), write_count_effect(ruling)),
        ]
    section = tell("{sections}  (row at {where})", sections=", ".join(answer.cites), where=answer.where)
    told = [
        (tell("ball"), say(ruling.ball)),
        *effects,
        (tell("say"), " ".join(ruling.say)),
        (tell("signal"), "; ".join(ruling.signal)),
        (tell("section"), section),
    ]
    if answer.in_doubt:
        sure = tell("{confidence}, not yet compared with the book", confidence=say(answer.row.confidence))
        told.append((tell("in doubt"), sure))
    told += [(tell("because"), f"{ask} {given}") for _, ask, given in answer.asked]
    width = max(8, *(len(head) for head, _ in told))
    lines = [
        f"{ruling.headline}  ({code}, {subject})",
        *(f"  {head:{width}} {words}" for head, words in told if words),
    ]
    if answer.idle:
        lines.append("  " + tell("makes no difference here: {facts}", facts=", ".join(answer.idle)))
    if answer.unsettled:
        lines.append("  " + tell("unsettled: {why}; check your league", why=answer.unsettled))
    lines += [f"  {tell('note'):{width}} {text}" for text in (ruling.note, answer.note) if text]
    lines += [f"  {tell('see'):{width}} pocketref rule {ruling.see} --code {code}"] if ruling.see else []
    return "\n".join([*lines, tell("The rule book and the league govern.")])


def list_subjects(library: Library) -> str:
    """The subjects with their facts and questions, and the codes: what can be asked to rule on."""
    lines = [tell("Codes, for --code:")]
    width = max(map(len, library.codes), default=0)
    lines += [f"  {name:{width}}  {code.name}" for name, code in library.codes.items()]
    for name, subject in library.subjects.items():
        ruling = [code for code in library.codes if (code, name) in library.rulings]
        only = (
            f" {tell('({codes} only)', codes=', '.join(ruling))}" if len(ruling) < len(library.codes) else ""
        )
        lines += ["", f"{name}: {subject.title}{only}"]
        width = max(map(len, subject.facts))
        lines += [
            f"  {fact:{width}}  {model.ask}  {', '.join(model.answers)}"
            for fact, model in subject.facts.items()
        ]
    return "\n".join(lines)


def write_answer_json(answer: Answer, code: str, subject: str, states: Sequence[NextState] = ()) -> str:
    """The same for a program; keys are stable."""
    content = {
        "code": code,
        "subject": subject,
        "outcome": answer.outcome,
        "ruling": answer.ruling.model_dump(mode="json", by_alias=True),
        "next": list_states(states),
        "asked": [{"fact": fact, "ask": ask, "answer": given} for fact, ask, given in answer.asked],
        "makes-no-difference": list(answer.idle),
        "cites": list(answer.cites),
        "row": str(answer.where),
        "confidence": str(answer.row.confidence),
        "in-doubt": answer.in_doubt,
        "unsettled": answer.unsettled,
        "note": answer.note,
    }
    return json.dumps(content, ensure_ascii=False, indent=1)
