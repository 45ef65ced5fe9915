"""What a training sheet and its key say of a play, in words."""

from __future__ import annotations

from pocketref.blocks.differences import write_ruling
from pocketref.plays.choices import LETTERS, AskedPlay, rule_elsewhere
from pocketref.plays.placement import FEET, KNEES
from pocketref.plays.plays import RuleBooks, RuledPlay
from pocketref.rulings.effects import sign_effect, write_batter, write_runners
from pocketref.rulings.next_state import find_next_states
from pocketref.rulings.situation import SITUATION
from pocketref.rulings.state_words import write_states
from pocketref.scene.figures.feet_figure import write_body
from pocketref.source.ruling_models import RulingModel
from pocketref.words.speech import quote, say

FEET_LEGEND = (
    "*Dark sole:* on the ground. *Dashed outline:* in the air; a sole partly dark is down only there. "
    "*Lines* belong to the box."
)
KNEE_LEGEND = "*Disc with a ring:* a knee on the ground."
FIELDER_LEGEND = "*Numbered circle:* a fielder, by the scorebook’s number."
BALL_LEGEND = "*Ring:* where the ball meets the bat again, or the batter. *Dashed bat:* let go, or lying."


def write_choice(ruling: RulingModel) -> str:
    """A ruling as a choice: headline, ball, batter, runners."""
    headline = ruling.headline.rstrip(".")
    batter, runners = write_batter(ruling).full, write_runners(ruling).full
    said = {"headline": headline, "ball": say(ruling.ball), "batter": batter, "runners": runners}
    if batter == runners:
        return say("*{headline}.* Ball {ball}. Batter and runners: {batter}.", **said)
    return say("*{headline}.* Ball {ball}. Batter: {batter}. Runners: {runners}.", **said)


def write_facts(books: RuleBooks, play: RuledPlay) -> tuple[str, ...]:
    """A computed play's facts, each as its question and answer."""
    facts = books.library.subjects[play.case.subject].facts
    return tuple(
        f"{facts[name].ask} *{facts[name].answers[answer]}*" for name, answer in play.case.model.facts.items()
    )


def write_key(books: RuleBooks, question: AskedPlay) -> tuple[str, ...]:
    """Ruling, section, the way through the chart, what to say and signal, and where other codes differ."""
    play = question.ruled
    answer = play.answer
    mark = books.library.mark_doubt(answer.row)
    headline = f"{answer.ruling.headline.rstrip('.')}{mark}"
    cites = say("*Section:* {cites}.", cites=", ".join(answer.cites))
    lines = [
        say("*Ruling:* {headline}. Ball {ball}.", headline=headline, ball=say(answer.ruling.ball)),
        say("*Next:* {states}", states=write_next(books, play)),
        f"{cites} {answer.note}".rstrip(),
        say("*Way:* {way}", way=write_way(books, play)),
        say("*Do:* {call}", call=write_call(answer.ruling)),
        say("*Other codes:* {codes}", codes=write_elsewhere(books, play)),
    ]
    if answer.unsettled:
        lines.insert(3, say("*Check your league:* {what}.", what=answer.unsettled))
    return tuple(lines)


def write_next(books: RuleBooks, play: RuledPlay) -> str:
    """Where the game stands after the ruling; an open ruling leaves that to the league."""
    if play.answer.unsettled:
        return say("As the league rules.")
    model = play.case.model
    states = find_next_states(model.situation, play.answer.ruling, model.pitch)
    return " ".join(write_states(states, books.library.codes[play.code].uncaught_third))


def write_way(books: RuleBooks, play: RuledPlay) -> str:
    """The chart's questions and this play's answers, those that the picture shows marked so."""
    facts = books.library.subjects[play.case.subject].facts
    steps = []
    for name, ask, answer in play.answer.asked:
        step = f"{ask} *{facts[name].answers[answer]}*"
        is_drawn = play.derived.get(name, SITUATION) != SITUATION
        steps.append(say("{step} (as drawn)", step=step) if is_drawn else step)
    seen = {play.derived.get(name) for name, _, _ in play.answer.asked}
    feet, knees = (
        (play.scene.judged if FEET in seen else ()),
        (play.scene.judged_knees if KNEES in seen else ()),
    )
    shown = f" {write_body(feet, knees)}".rstrip()
    return (" → ".join(steps) or say("any play")) + "." + shown


def write_call(ruling: RulingModel) -> str:
    """What to say and signal; that nothing is said, if so."""
    said = " ".join(map(quote, ruling.say))
    shown = say("Signal: {signals}.", signals="; ".join(ruling.signal)) if ruling.signal else ""
    return " ".join(part for part in (said, shown) if part) or say("Say and signal nothing.")


def write_elsewhere(books: RuleBooks, play: RuledPlay) -> str:
    """The codes that rule otherwise on the same facts, or that none does."""
    library, subject = books.library, play.case.subject
    same, other, untold = [], [], [code for code in books.codes_on(subject) if code != play.code]
    for code, found in rule_elsewhere(books, play).items():
        mark = library.codes[code].mark
        untold.remove(code)
        if found.answer.unsettled:
            other.append(say("{code} unsettled: {what}", code=mark, what=found.answer.unsettled))
        elif sign_effect(found.answer.ruling) == sign_effect(play.answer.ruling):
            same.append(mark)
        else:
            words = write_ruling(library, code, subject, found.answer.outcome)
            words += library.mark_doubt(found.answer.row)
            other.append(f"*{mark} {words}* ({', '.join(found.answer.cites)})")
    parts = other + ([say("same in {codes}", codes=", ".join(same))] if same else [])
    if untold:
        parts.append(
            say("not told for {codes}", codes=", ".join(library.codes[code].mark for code in untold))
        )
    return "; ".join(parts) + "." if parts else say("none.")


def write_wrong(question: AskedPlay) -> tuple[str, ...]:
    """Each wrong choice with the reason."""
    return tuple(
        f"*{letter}* {choice.ruling.headline.rstrip('.')}. {choice.reason}"
        for letter, choice in zip(LETTERS, question.choices, strict=False)
        if not choice.is_right
    )
