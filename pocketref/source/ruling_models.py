"""Facts an umpire can observe, and the decision tables that lead from their answers to rulings."""

from __future__ import annotations

from collections.abc import Collection, Mapping
from enum import StrEnum
from typing import Literal, Self

from pydantic import Field, ValidationInfo, field_validator, model_validator

from pocketref.problems import suggest_match
from pocketref.source.situation_models import GameConditions, SituationModel, list_situations
from pocketref.source.syntax.kinds import (
    Confidence,
    DecimalNumber,
    Name,
    OneOrMany,
    Sentence,
    Sources,
    YesNo,
    refuse_value,
)
from pocketref.source.syntax.located import SourceModel
from pocketref.words.terminal import tell, tell_list

Conditions = Mapping[Name, OneOrMany[Name]]
"""Fact to the answers allowed; a fact not named may have any."""


class Ball(StrEnum):
    """What becomes of the ball."""

    LIVE = "live"
    DEAD = "dead"
    DELAYED_DEAD = "delayed dead"


class Batter(StrEnum):
    """What becomes of the batter by the ruling itself; the count may do more (a third strike, a fourth ball)."""

    BATS_ON = "bats on"
    OUT = "out"
    OUT_ON_APPEAL = "out on appeal"
    FIRST_BASE = "first base"
    RUNS = "runs"
    AS_RULED = "as ruled"
    WARNED = "warned"
    MAY_BE_EJECTED = "may be ejected"
    LEAGUE = "league"


class Runners(StrEnum):
    """What becomes of the runners; what a fourth ball forces is not told here."""

    AS_RULED = "as ruled"
    AT_OWN_RISK = "at own risk"
    STAY = "stay"
    RETURN = "return"
    RETURN_TO_TOUCHED = "return to last touched"
    FORCED = "forced"
    FORCED_OR_GOING = "forced or going"
    THIRD_SCORES = "third scores"
    """The others as forced or going."""
    ONE_BASE = "one base"
    LEAGUE = "league"


class Count(StrEnum):
    """What becomes of the count. A third strike is an out unless it may go uncaught: only a pitched one may."""

    AS_CALLED = "as called"
    """A ball or a strike: the pitch is not hit."""
    AS_PITCHED = "as pitched"
    """A ball, a strike or a hit."""
    AS_RULED = "as ruled"
    STRIKE = "strike"
    PITCHED_STRIKE = "strike on the pitch"
    TWO_STRIKES = "two strikes"
    BALL = "ball"
    FOUL = "foul"
    NO_CHANGE = "no change"
    OVER = "at-bat over"
    LEAGUE = "league"


class RunnerOut(StrEnum):
    """Which runner is out by the ruling, besides the batter or instead."""

    FROM_THIRD = "runner from third"
    PLAYED_ON = "runner played on"
    TOUCHED = "runner touched"
    HINDERING = "runner hindering"
    NEAREST_HOME = "runner nearest home"


class SightModel(SourceModel):
    """What answers a fact in a play, so that nobody has to: one picture of it, or where the game stands."""

    feet: Literal["on-plate", "wholly-outside", "over-line"] | None = None
    """On-plate, wholly-outside or over-line: yes if it is so of any foot."""
    knees: Literal["on-plate", "wholly-outside", "out"] | None = Field(
        default=None,
        description="on-plate, wholly-outside, or out for either: yes if it is so of a knee down",
    )
    ball: Literal["fair-ground"] | None = None
    """Fair-ground: yes if bat and ball meet again there."""
    situation: GameConditions = Field(
        default_factory=dict, description="{answer: condition or a list of them, ...}, all answers but one"
    )

    @property
    def picture(self) -> str:
        """The picture and what is seen in it, such as "feet on-plate"; empty for the situation."""
        seen = {"feet": self.feet, "knees": self.knees, "ball": self.ball}
        return next((f"{picture} {sight}" for picture, sight in seen.items() if sight), "")

    @model_validator(mode="after")
    def _check_one(self) -> Self:
        if sum(map(bool, (self.feet, self.knees, self.ball, self.situation))) != 1:
            hint = tell("give feet, knees, ball or situation")
            refuse_value("sight-number", tell("a fact is answered from one thing"), hint)
        return self


UNSAID = "-"
"""The brief form of an answer that goes without saying."""


class FactModel(SourceModel):
    """Something an umpire can observe, with its closed list of answers in the author's order."""

    ask: Sentence = Field(description="the question, as a card prints it")
    answers: Mapping[Name, Sentence] = Field(
        min_length=2, description="each answer and what it says in print"
    )
    weights: Mapping[Name, DecimalNumber] = Field(
        default_factory=dict, description="how often each answer comes up, relative to the others"
    )
    brief: Mapping[Name, Sentence] = Field(
        default_factory=dict, description='each answer as a table says it, shorter; "-" leaves it out'
    )
    only_after: Mapping[Name, Name] = Field(
        default_factory=dict, description="the answers to other facts that this one's answers tell too"
    )
    from_: SightModel | None = None
    """{feet: ...}, {knees: ...}, {ball: ...} or {situation: ...}."""
    note: Sentence = ""

    @field_validator("from_")
    @classmethod
    def _match_sight(cls, sight: SightModel | None, info: ValidationInfo) -> SightModel | None:
        answers = info.data.get("answers")
        if sight is None or answers is None:
            return sight
        if sight.picture and set(answers) != {"yes", "no"}:
            refuse_value(
                "sight-answers",
                tell("what a picture shows is answered yes or no"),
                tell("give these answers"),
            )
        for name in sight.situation:
            if name not in answers:
                refuse_value(
                    "answer-unknown",
                    tell("'{name}' is not an answer", name=name),
                    suggest_match(name, answers),
                )
        if sight.situation:
            _check_situations(sight.situation, list(answers))
        return sight

    @field_validator("weights", "brief")
    @classmethod
    def _match_answers(
        cls, weights: Mapping[str, DecimalNumber], info: ValidationInfo
    ) -> Mapping[str, object]:
        answers = info.data.get("answers")
        if answers is None or not weights:
            return weights
        for name in weights:
            if name not in answers:
                hint = suggest_match(name, answers)
                refuse_value(
                    "answer-unknown", tell("'{name}' is given but is not an answer", name=name), hint
                )
        if left := [name for name in answers if name not in weights]:
            refuse_value(
                "value-count",
                tell("the answer '{left}' is left out", left=left[0]),
                tell("give every answer, or none"),
            )
        if info.field_name == "weights" and any(weight <= 0 for weight in weights.values()):
            refuse_value(
                "value-range", tell("a weight is not more than zero"), tell("it is a share, such as 3 or 0.5")
            )
        return weights


def answer_in(conditions: GameConditions, answers: Collection[str], situation: SituationModel) -> list[str]:
    """The answers whose conditions hold where the game stands; if none does, those without conditions."""
    met = [name for name, each in conditions.items() if any(one.holds_in(situation) for one in each)]
    return met or [name for name in answers if name not in conditions]


def _check_situations(conditions: GameConditions, answers: Collection[str]) -> None:
    """Refuse conditions that leave some situation without an answer, or with two."""
    for situation in list_situations():
        met = answer_in(conditions, answers, situation)
        if len(met) != 1:
            stands = f"runners {list(situation.runners)}, outs {situation.outs}, count {situation.count}"
            hint = tell("every situation has one answer; one answer may be left out, for all that is left")
            said = stands.replace(chr(39), "")
            if met:
                both = {"one": met[0], "other": met[1], "situation": said}
                sentence = tell("with {situation} '{one}' and '{other}' are both answers", **both)
            else:
                sentence = tell("with {situation} there is no answer", situation=said)
            refuse_value("sight-situations", sentence, hint)


class SubjectModel(SourceModel):
    """The file rulings/subjects/<subject>.yaml: one vocabulary of facts for every code's table."""

    subject: Name = Field(description="the subject's name, as its file is called")
    title: Sentence = Field(description="what the subject is called in print")
    facts: Mapping[Name, FactModel] = Field(min_length=1, description="each fact by name")

    @field_validator("facts")
    @classmethod
    def _check_only_after(cls, facts: Mapping[str, FactModel]) -> Mapping[str, FactModel]:
        for name, fact in facts.items():
            for other, answer in fact.only_after.items():
                if other not in facts:
                    sentence = tell(
                        "'{name}' is asked after '{other}', which is no fact", name=name, other=other
                    )
                    refuse_value("fact-unknown", sentence, suggest_match(other, facts))
                if answer not in facts[other].answers:
                    hint = suggest_match(answer, facts[other].answers)
                    sentence = tell(
                        "'{name}' is asked after '{other}', not answered '{answer}'",
                        name=name,
                        other=other,
                        answer=answer,
                    )
                    refuse_value("answer-unknown", sentence, hint)
        return facts


class RowModel(SourceModel):
    """Conditions and the ruling they lead to."""

    when: Conditions = Field(description="{fact: answer, ...}; {} for any play")
    ruling: Name = Field(description="the name of one of this table's rulings")
    source: Sources = Field(description="the work and section, such as hs-book 7-1-1, or house")
    confidence: Confidence = Field(description=f"one of: {', '.join(Confidence)}")
    note: Sentence = ""
    unsettled: Sentence = ""
    """Why the ruling is open to question; empty if it is not."""


class NeverModel(SourceModel):
    """A combination that cannot happen, and why."""

    when: Conditions = Field(min_length=1, description="{fact: answer, ...}")
    reason: Sentence = Field(description="why it can't happen")


class RulingModel(SourceModel):
    """What an umpire rules, says and signals."""

    headline: Sentence = Field(description="the ruling in a few words")
    ball: Ball = Field(description=f"one of: {', '.join(Ball)}")
    batter: Batter = Field(description=f"one of: {', '.join(Batter)}")
    runners: Runners = Field(description=f"one of: {', '.join(Runners)}")
    count: Count = Field(description=f"one of: {', '.join(Count)}")
    out: tuple[RunnerOut, ...] = Field(default=(), description=f"a list of: {', '.join(RunnerOut)}")
    may_take_play: YesNo = False
    """Yes if the offence may take the play as it fell instead."""
    say: tuple[Sentence, ...] = Field(description="what to say, a list; [] for nothing")
    signal: tuple[Sentence, ...] = Field(description="what to signal, a list; [] for nothing")
    see: Name | None = None
    """A subject to turn to next."""
    note: Sentence = ""

    @field_validator("batter", "runners")
    @classmethod
    def _match_ball(cls, value: Batter | Runners, info: ValidationInfo) -> Batter | Runners:
        ball = info.data.get("ball")
        if ball in _NOT_WITH.get(value, ()):
            other = tell_list((each for each in Ball if each not in _NOT_WITH[value]), is_or=True)
            if info.field_name == "batter":
                sentence = tell("the batter can't be '{value}' with the ball {ball}", value=value, ball=ball)
            else:
                sentence = tell("the runners can't be '{value}' with the ball {ball}", value=value, ball=ball)
            refuse_value("ruling-contradiction", sentence, tell("the ball is {other} then", other=other))
        return value

    @field_validator("count")
    @classmethod
    def _match_batter(cls, count: Count, info: ValidationInfo) -> Count:
        batter: Batter | None = info.data.get("batter")
        counts = _AT_BAT_OVER.get(batter) if batter else None
        if counts and count not in counts:
            hint = tell("write {counts}", counts=tell_list(counts, is_or=True))
            refuse_value(
                "ruling-contradiction",
                tell("the batter is '{batter}' and the count '{count}'", batter=batter, count=count),
                hint,
            )
        if count is Count.OVER and batter in _STILL_AT_BAT:
            hint = tell(
                "the batter is '{out}', '{first_base}' or '{runs}' then",
                out=Batter.OUT,
                first_base=Batter.FIRST_BASE,
                runs=Batter.RUNS,
            )
            refuse_value(
                "ruling-contradiction",
                tell("the batter is '{batter}' and the at-bat over", batter=batter),
                hint,
            )
        return count


_NOT_WITH: Mapping[Batter | Runners, tuple[Ball, ...]] = {
    Batter.RUNS: (Ball.DEAD,),
    Batter.AS_RULED: (Ball.DEAD,),
    Runners.AS_RULED: (Ball.DEAD,),
    Runners.AT_OWN_RISK: (Ball.DEAD,),
    Runners.STAY: (Ball.LIVE,),
    Runners.RETURN: (Ball.LIVE,),
    Runners.RETURN_TO_TOUCHED: (Ball.LIVE,),
}
"""What can't be with which ball: nobody runs on a dead ball, nobody is sent back under a live one."""
_AT_BAT_OVER: Mapping[Batter, tuple[Count, ...]] = {
    Batter.OUT: (Count.OVER,),
    Batter.OUT_ON_APPEAL: (Count.OVER,),
    Batter.FIRST_BASE: (Count.OVER,),
    Batter.RUNS: (Count.OVER, Count.AS_RULED),
    Batter.AS_RULED: (Count.AS_RULED,),
}
_STILL_AT_BAT = (Batter.BATS_ON, Batter.WARNED, Batter.MAY_BE_EJECTED)


class TableModel(SourceModel):
    """The file rulings/<code>/<subject>.yaml: a decision table over the subject's facts."""

    subject: Name = Field(description="the subject's name, as the file is called")
    code: Name = Field(description="the code's name, as the folder is called")
    order: tuple[Name, ...] = ()
    """The author's order of questions; empty leaves it to be computed."""
    never: tuple[NeverModel, ...] = ()
    rows: tuple[RowModel, ...] = Field(min_length=1, description="a list of rows: when, ruling, source, ...")
    rulings: Mapping[Name, RulingModel] = Field(min_length=1, description="each ruling by name")
