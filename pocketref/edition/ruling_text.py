"""A ruling on a play as text for a reader and as JSON for a program."""

from __future__ import annotations

import json
from collections.abc import Sequence

from pocketref.rulings.answer import Answer
from pocketref.rulings.effects import write_batter, write_count_effect, write_runners
from pocketref.rulings.next_state import NextState
from pocketref.rulings.state_words import list_states, write_states
from pocketref.source.library import Library


def write_answer(
    answer: Answer, code: str, subject: str, states: Sequence[NextState] = (), uncaught: str = ""
) -> str:
    """The ruling, what it makes of the game, what to say and signal, its section, and the questions that led to it.

    `uncaught` is what the code says besides of a third strike that is not caught.
    """
    ruling = answer.ruling
    lines = [
        f"{ruling.headline}  ({code}, {subject})",
        f"  ball     {ruling.ball}",
    ]
    if states:
        lines += [f"  next     {words}" for words in write_states(states, uncaught)]
    else:
        lines += [
            f"  batter   {write_batter(ruling).full}",
            f"  runners  {write_runners(ruling).full}",
            f"  count    {write_count_effect(ruling)}",
        ]
    lines += [f"  say      {' '.join(ruling.say)}"] if ruling.say else []
    lines += [f"  signal   {'; '.join(ruling.signal)}"] if ruling.signal else []
    lines += [f"  section  {', '.join(answer.cites)}  (row at {answer.where})"]
    sure = f"{answer.row.confidence}, not yet compared with the book"
    lines += [f"  in doubt {sure}"] if answer.in_doubt else []
    lines += [f"  because  {ask} {given}" for _, ask, given in answer.asked]
    lines += [f"  makes no difference here: {', '.join(answer.idle)}"] if answer.idle else []
    lines += [f"  unsettled: {answer.unsettled}; check your league"] if answer.unsettled else []
    lines += [f"  note     {text}" for text in (ruling.note, answer.note) if text]
    lines += [f"  see      pocketref rule {ruling.see} --code {code}"] if ruling.see else []
    return "\n".join([*lines, "The rule book and the league govern."])


def list_subjects(library: Library) -> str:
    """The subjects with their facts and questions, and the codes: what can be asked to rule on."""
    lines = ["Codes, for --code:"]
    width = max(map(len, library.codes), default=0)
    lines += [f"  {name:{width}}  {code.name}" for name, code in library.codes.items()]
    for name, subject in library.subjects.items():
        ruling = [code for code in library.codes if (code, name) in library.rulings]
        only = "" if len(ruling) == len(library.codes) else f" ({', '.join(ruling)} only)"
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
