"""Facts an umpire can observe, and the decision tables that lead from their answers to rulings."""

from __future__ import annotations

from collections.abc import Mapping
from enum import StrEnum

from pydantic import Field, ValidationInfo, field_validator

from pocketref.problems import suggest_match
from pocketref.source.syntax.kinds import (
    Confidence,
    DecimalNumber,
    Name,
    OneOrMany,
    Sentence,
    Sources,
    refuse_value,
)
from pocketref.source.syntax.located import SourceModel

Conditions = Mapping[Name, OneOrMany[Name]]
"""Fact to the answers allowed; a fact not named may have any."""


class Ball(StrEnum):
    """What becomes of the ball."""

    LIVE = "live"
    DEAD = "dead"
    DELAYED_DEAD = "delayed dead"


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
    note: Sentence = ""

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
                refuse_value("answer-unknown", f"'{name}' is given but is not an answer", hint)
        if left := [name for name in answers if name not in weights]:
            refuse_value("value-count", f"the answer '{left[0]}' is left out", "give every answer, or none")
        if info.field_name == "weights" and any(weight <= 0 for weight in weights.values()):
            refuse_value("value-range", "a weight is not more than zero", "it is a share, such as 3 or 0.5")
        return weights


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
                    hint = suggest_match(other, facts)
                    refuse_value("fact-unknown", f"'{name}' is asked after '{other}', which is no fact", hint)
                if answer not in facts[other].answers:
                    hint = suggest_match(answer, facts[other].answers)
                    refuse_value(
                        "answer-unknown", f"'{name}' is asked after '{other}', not answered '{answer}'", hint
                    )
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
    batter: Sentence = Field(description="what becomes of the batter")
    runners: Sentence = Field(description="what becomes of the runners")
    count: Sentence = Field(description="what becomes of the count")
    say: tuple[Sentence, ...] = Field(description="what to say, a list; [] for nothing")
    signal: tuple[Sentence, ...] = Field(description="what to signal, a list; [] for nothing")
    see: Name | None = None
    """A subject to turn to next."""
    note: Sentence = ""


class TableModel(SourceModel):
    """The file rulings/<code>/<subject>.yaml: a decision table over the subject's facts."""

    subject: Name = Field(description="the subject's name, as the file is called")
    code: Name = Field(description="the code's name, as the folder is called")
    order: tuple[Name, ...] = ()
    """The author's order of questions; empty leaves it to be computed."""
    never: tuple[NeverModel, ...] = ()
    rows: tuple[RowModel, ...] = Field(min_length=1, description="a list of rows: when, ruling, source, ...")
    rulings: Mapping[Name, RulingModel] = Field(min_length=1, description="each ruling by name")
