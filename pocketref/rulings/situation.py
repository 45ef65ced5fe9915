"""Where a game stands: as it is told, what facts it answers, and in words."""

from __future__ import annotations

from collections.abc import Mapping, Sequence

from pocketref.problems import PocketrefError, Problem, suggest_match
from pocketref.source.ruling_models import SubjectModel, answer_in
from pocketref.source.situation_models import BASES, SituationModel, list_situations
from pocketref.words.speech import join_words, say
from pocketref.words.terminal import tell

SITUATION = "runners, outs and count"
OUTS = ("nobody out", "one out", "two outs")
NOBODY = "none"
"""For bases that are known to be empty."""
_TO = "\u2013"  # as scores are printed


def read_situations(runners: str = "", outs: str = "", count: str = "") -> tuple[SituationModel, ...]:
    """The situations that agree with what was told, each part left out if empty: one if all parts were told.

    Raises PocketrefError with every part that is wrong.
    """
    problems = []
    held = () if runners in ("", NOBODY) else tuple(part.strip() for part in runners.split(","))
    for base in dict.fromkeys(held):
        if base not in BASES:
            hint = tell(
                "{base}; write first,third, or {nobody}", base=suggest_match(base, BASES), nobody=NOBODY
            )
            problems.append(
                Problem("base-unknown", tell("'{base}' is no base that a runner holds", base=base), hint)
            )
    every = list_situations()
    if outs and outs not in {str(each.outs) for each in every}:
        problems.append(
            Problem(
                "outs-unknown", tell("'{outs}' is not a number of outs", outs=outs), tell("write 0, 1 or 2")
            )
        )
    if count and count not in {each.count for each in every}:
        hint = tell("write balls-strikes, such as 2-1; at most 3-2")
        problems.append(Problem("value-count", tell("'{count}' is not a count", count=count), hint))
    if problems:
        raise PocketrefError(problems)
    return tuple(
        each
        for each in every
        if (not runners or set(each.runners) == set(held))
        and (not outs or str(each.outs) == outs)
        and count in ("", each.count)
    )


def answer_from_situation(subject: SubjectModel, situations: Sequence[SituationModel]) -> Mapping[str, str]:
    """The subject's facts that have the same answer in all of the situations, with it."""
    found = {}
    for name, fact in subject.facts.items():
        if fact.from_ and fact.from_.situation:
            met = {answer_in(fact.from_.situation, fact.answers, each)[0] for each in situations}
            if len(met) == 1:
                (found[name],) = met
    return found


def add_situation(
    subject: SubjectModel, answers: Mapping[str, str], situations: Sequence[SituationModel]
) -> dict[str, str]:
    """The answers with those that the situations give; raises PocketrefError if one was given otherwise."""
    shown = answer_from_situation(subject, situations)
    wrong = [
        Problem(
            "play-fact-derived",
            tell(
                "{name} follows from {situation}: {shown}",
                name=name,
                situation=tell(SITUATION),
                shown=shown[name],
            ),
            tell("leave it out"),
        )
        for name, answer in answers.items()
        if shown.get(name, answer) != answer
    ]
    if wrong:
        raise PocketrefError(wrong)
    return {**answers, **shown}


def write_count(count: str) -> str:
    """Balls and strikes as they are printed."""
    return count.replace("-", _TO)


def write_situation(situation: SituationModel) -> str:
    """Where the game stands: "Runners on first and third, one out, count 1-2"."""
    bases = [base for base in BASES if base in situation.runners]
    held = join_words([say(base) for base in bases])
    runners = {
        0: say("Bases empty"),
        1: say("Runner on {base}", base=held),
        2: say("Runners on {bases}", bases=held),
        3: say("Bases loaded"),
    }[len(bases)]
    count = write_count(situation.count)
    return say(
        "{runners}, {outs}, count {count}", runners=runners, outs=say(OUTS[situation.outs]), count=count
    )
