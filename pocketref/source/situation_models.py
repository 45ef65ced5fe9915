"""Where a game stands, and what of it answers a fact."""

from __future__ import annotations

import re
from collections.abc import Mapping
from functools import cache
from itertools import chain, combinations, product
from typing import Annotated, Literal, get_args

from pydantic import BeforeValidator, Field, field_validator

from pocketref.source.syntax.kinds import Name, OneOrList, OneOrMany, WholeNumber, refuse_value
from pocketref.source.syntax.located import SourceModel
from pocketref.words.terminal import tell

Base = Literal["first", "second", "third"]
BASES: tuple[Base, ...] = get_args(Base)
Pitch = Literal["none", "ball", "strike", "uncaught strike", "hit"]
"""What came of the pitch that a play tells of; a strike is caught unless it is said not to be."""
PITCHES: tuple[Pitch, ...] = get_args(Pitch)
MOST_OUTS, MOST_BALLS, MOST_STRIKES = 2, 3, 2
"""Of a batter who is still at bat."""

_COUNT = re.compile(f"[0-{MOST_BALLS}]-[0-{MOST_STRIKES}]")
Outs = Annotated[WholeNumber, Field(ge=0, le=MOST_OUTS)]
Balls = Annotated[WholeNumber, Field(ge=0, le=MOST_BALLS)]
Strikes = Annotated[WholeNumber, Field(ge=0, le=MOST_STRIKES)]


def _read_count(value: object) -> object:
    if not isinstance(value, str) or not _COUNT.fullmatch(value):
        refuse_value(
            "value-count",
            tell("'{value}' is no count", value=value),
            tell("write balls-strikes, such as 2-1; at most 3-2"),
        )
    return value


class SituationModel(SourceModel):
    """Where the game stands."""

    runners: tuple[Base, ...] = ()
    """Bases with a runner, a list such as [first, third]."""
    outs: Outs = Field(description="0, 1 or 2")
    count: Annotated[str, BeforeValidator(_read_count)] = Field(description="balls-strikes, such as 1-2")

    @field_validator("runners")
    @classmethod
    def _check_runners(cls, runners: tuple[Base, ...]) -> tuple[Base, ...]:
        for base in BASES:
            if runners.count(base) > 1:
                refuse_value(
                    "value-repeated",
                    tell("two runners are on {base}", base=base),
                    tell("write each base once"),
                )
        return runners

    @property
    def balls(self) -> int:
        """How many balls."""
        return int(self.count[0])

    @property
    def strikes(self) -> int:
        """How many strikes."""
        return int(self.count[2])


class GameConditionModel(SourceModel):
    """What must hold of runners, outs and count, all of it; what is left out may be anything."""

    occupied: OneOrList[Base] = Field(default=(), description="bases that all have a runner")
    empty: OneOrList[Base] = Field(default=(), description="bases that all have none")
    outs: OneOrList[Outs] = Field(default=(), description="how many are out, any of a list")
    balls: OneOrList[Balls] = Field(default=(), description="balls on the batter, any of a list")
    strikes: OneOrList[Strikes] = Field(default=(), description="strikes on the batter, any of a list")

    def holds_in(self, situation: SituationModel) -> bool:
        """Whether it holds where the game stands."""
        held = set(situation.runners)
        return (
            held.issuperset(self.occupied)
            and held.isdisjoint(self.empty)
            and (not self.outs or situation.outs in self.outs)
            and (not self.balls or situation.balls in self.balls)
            and (not self.strikes or situation.strikes in self.strikes)
        )


GameConditions = Mapping[Name, OneOrMany[GameConditionModel]]
"""Answers and when each is given: if one of its conditions holds."""


@cache
def list_situations() -> tuple[SituationModel, ...]:
    """Every situation there is, those with fewest runners, outs, balls and strikes first."""
    held = chain.from_iterable(combinations(BASES, size) for size in range(len(BASES) + 1))
    every = product(held, range(MOST_OUTS + 1), range(MOST_BALLS + 1), range(MOST_STRIKES + 1))
    return tuple(
        SituationModel(runners=runners, outs=outs, count=f"{balls}-{strikes}")
        for runners, outs, balls, strikes in every
    )
