"""Case plays: situations told in a few sentences, with what was seen and the ruling the author expects."""

from __future__ import annotations

import re
from collections.abc import Mapping
from typing import Annotated, Any, ClassVar, Literal

from pydantic import BeforeValidator, Field, ValidationInfo, field_validator

from pocketref.problems import Location
from pocketref.source.for_levels import ForLevelsModel
from pocketref.source.situation_models import PITCHES, Pitch, SituationModel
from pocketref.source.syntax.kinds import (
    DecimalNumber,
    Line,
    Name,
    OneOrList,
    Sentence,
    SignedLength,
    WholeNumber,
    YesNo,
    refuse_value,
)
from pocketref.source.syntax.located import SourceModel
from pocketref.words.terminal import tell

MOST_SENTENCES = 3
"""A story is read aloud, so it is short."""
MOST_PLAYS = 30
"""On one sheet."""
OWN_CODE = "own-code"
"""The code of the level that a sheet is laid out for."""

Corner = Literal["front-inner", "front-outer", "back-inner", "back-outer", "plate"]

_SENTENCE_END = re.compile(r"[.!?](?= |$)")


def _read_number_of_plays(value: object) -> object:
    if isinstance(value, list):
        hint = tell("name plays under 'cases', such as cases: [contact/line-is-enough]")
        refuse_value("value-kind", tell("'plays' is how many plays to ask, not which"), hint)
    return value


PointModel = Annotated[tuple[SignedLength, ...], Field(min_length=2, max_length=2)]
"""A place from the plate's rear tip: toward the first-base side, then toward the pitcher."""


class FootModel(SourceModel):
    """A foot of the batter: the middle of its sole from a corner of the batter's own box, or the plate's rear tip.

    Inner is the side of the plate, front the side of the pitcher.
    """

    foot: Literal["left", "right"] = Field(description="left or right")
    corner: Corner = Field(
        description="front-inner, front-outer, back-inner, back-outer, or plate for its rear tip"
    )
    right: SignedLength = Field(description="from the corner toward the first-base side, such as -14 in")
    ahead: SignedLength = Field(description="from the corner toward the pitcher, such as 3 in")
    heading: DecimalNumber = Field(
        ge=-360,
        le=360,
        description="where the toes point in degrees: 0 to the first-base side, 90 to the pitcher",
    )
    contact: Literal["flat", "heel", "toe", "air"] = Field(
        default="flat", description="what is on the ground: flat, heel, toe, or air for nothing"
    )


class KneeModel(SourceModel):
    """A knee of the batter on the ground, from a corner as a foot is."""

    knee: Literal["left", "right"] = Field(description="left or right")
    corner: Corner = Field(
        description="front-inner, front-outer, back-inner, back-outer, or plate for its rear tip"
    )
    right: SignedLength = Field(description="from the corner toward the first-base side, such as -7 in")
    ahead: SignedLength = Field(description="from the corner toward the pitcher, such as -4 in")


class BatModel(SourceModel):
    """The bat, from knob to tip."""

    knob: PointModel = Field(description="[toward first base, toward the pitcher] from the plate's rear tip")
    tip: PointModel = Field(description="the other end, likewise")
    in_hand: YesNo = Field(default=True, description="yes, or no once it is let go")


class BallModel(SourceModel):
    """The ball's way on the ground, and where it meets the bat again, or with no bat drawn the batter."""

    path: tuple[PointModel, ...] = Field(min_length=2, description="a list of points, each [right, ahead]")
    meets: PointModel | None = None
    """Where it meets the bat again, or the batter if no bat is drawn."""


class FielderModel(SourceModel):
    """A fielder who matters to the play, near the plate."""

    position: Literal["pitcher", "catcher", "first", "second", "third", "shortstop"] = Field(
        description="pitcher, catcher, first, second, third or shortstop"
    )
    at: PointModel = Field(description="[toward first base, toward the pitcher] from the plate's rear tip")


class ToldPlayModel(SourceModel):
    """What happened in a play. Facts that a picture or the situation shows are computed and left out of `facts`."""

    title: Sentence = Field(description="a few words")
    tags: tuple[Name, ...] = ()
    bats: Literal["right", "left"] = Field(default="right", description="right or left: the batter's hand")
    situation: SituationModel = Field(description="{runners: [first], outs: 1, count: 1-2}")
    pitch: Pitch | None = Field(default=None, description=f"one of: {', '.join(PITCHES)}")
    """What came of the pitch, where the ruling leaves that to it."""
    story: Sentence = Field(description=f"what happened, in at most {MOST_SENTENCES} sentences")
    feet: tuple[FootModel, ...] = ()
    knees: tuple[KneeModel, ...] = ()
    """Those on the ground; where feet are drawn, no other knee is down."""
    bat: BatModel | None = Field(default=None, description="{knob: ..., tip: ..., in-hand: ...}")
    ball: BallModel | None = Field(default=None, description="{path: ..., meets: ...}")
    fielders: tuple[FielderModel, ...] = ()
    facts: Mapping[Name, Name] = Field(
        default_factory=dict, description="{fact: answer, ...}, what no picture shows"
    )

    @field_validator("feet", "knees")
    @classmethod
    def _check_sides(cls, parts: tuple[Any, ...], info: ValidationInfo) -> tuple[Any, ...]:
        one = "foot" if info.field_name == "feet" else "knee"
        for side, other in (("left", "right"), ("right", "left")):
            if sum(getattr(part, one) == side for part in parts) > 1:
                hint = tell("the other {one} is '{one}: {other}'", one=one, other=other)
                refuse_value("play-foot-twice", tell(_TWICE[one, side]), hint)
        return parts

    @field_validator("story")
    @classmethod
    def _check_story(cls, story: str) -> str:
        count = len(_SENTENCE_END.findall(story))
        if count > MOST_SENTENCES:
            hint = tell("tell it in at most {most_sentences} sentences", most_sentences=MOST_SENTENCES)
            refuse_value("play-long", tell("the story has {count} sentences", count=count), hint)
        return story


_TWICE = {
    ("foot", "left"): "the batter has two left feet",
    ("foot", "right"): "the batter has two right feet",
    ("knee", "left"): "the batter has two left knees",
    ("knee", "right"): "the batter has two right knees",
}


class PlayModel(ToldPlayModel):
    """One case play."""

    expect: Mapping[Name, Name] = Field(
        min_length=1, description="{code: ruling, ...}, what the author expects"
    )
    caution: Name | None = None
    """A caution to print with the key, where someone can get hurt."""


class GameReportModel(ToldPlayModel):
    """A file that an umpire writes after a game: a play that is to be ruled on."""

    report: Name = Field(description="a name for the play, such as foot-on-plate")
    subject: Name = Field(description="the subject whose tables rule, as `pocketref rule` lists them")
    codes: tuple[Name, ...] = Field(
        default=(), description="codes to rule by, a list; those in force without it"
    )

    def as_play(self) -> PlayModel:
        """The play as it was told, of which nothing is expected yet."""
        told = {name: getattr(self, name) for name in ToldPlayModel.model_fields}
        play = PlayModel.model_construct(**told, expect={})
        play._node = self._node
        return play


class PlaysModel(SourceModel):
    """The file plays/<name>.yaml: case plays on one subject."""

    plays: Name = Field(description="the name, as its file is called")
    subject: Name = Field(description="the subject whose tables rule")
    cases: Mapping[Name, PlayModel] = Field(min_length=1, description="each play by name")


MOST_WEEKS = 60
Week = Annotated[tuple[Line, ...], Field(min_length=1, max_length=MOST_PLAYS)]


class SeriesModel(SourceModel):
    """Sheets for a season, one a week, no play twice."""

    weeks: Annotated[WholeNumber, Field(ge=1, le=MOST_WEEKS)] = Field(description="how many sheets")
    each: Annotated[WholeNumber, Field(ge=1, le=MOST_PLAYS)] = Field(description="plays on each")


class PlaySheetModel(ForLevelsModel):
    """The file plays/<sheet>.yaml among the layouts: which plays a training sheet asks, and by which code."""

    name_field: ClassVar = "sheet"

    sheet: Name = Field(description="the sheet's name, as its file is called")
    stock: Name = Field(default="", description="the paper it is laid out for; without it the house's paper")
    subjects: tuple[Name, ...] = Field(default=(), description="only plays on these, a list; all without it")
    tags: tuple[Name, ...] = Field(
        default=(), description="only plays with one of these tags, a list; all without it"
    )
    cover: OneOrList[Name] = Field(
        default=(),
        description=f"the fewest plays that meet every row of these codes' tables, a list; {OWN_CODE} is the "
        "sheet's; what comes without it",
    )
    cases: tuple[Line, ...] = Field(
        default=(),
        max_length=MOST_PLAYS,
        description="exactly these plays in this order, a list such as [contact/line-is-enough]",
    )
    weeks: tuple[Week, ...] = Field(
        default=(),
        max_length=MOST_WEEKS,
        description="a series with exactly these plays, a list a week, as `pocketref syllabus` writes it",
    )
    plays: Annotated[WholeNumber, Field(ge=1, le=MOST_PLAYS), BeforeValidator(_read_number_of_plays)] = Field(
        default=MOST_PLAYS, description=f"at most so many plays, 1 to {MOST_PLAYS}"
    )
    fill: YesNo = Field(default=False, description="yes to add computed plays for rows that no play meets")
    series: SeriesModel | None = Field(default=None, description="{weeks: 10, each: 6}")

    @property
    def covered(self) -> tuple[str, ...]:
        """The codes whose rows its plays are to meet."""
        return tuple(self.code if name == OWN_CODE else name for name in self.cover)

    @property
    def is_series(self) -> bool:
        """Whether it makes a sheet a week."""
        return bool(self.series or self.weeks)

    @property
    def named(self) -> tuple[tuple[str, ...], ...]:
        """The plays of each sheet by name, where the layout names them."""
        return self.weeks or ((self.cases,) if self.cases else ())

    def locate_case(self, sheet: int, index: int) -> Location | None:
        """Where a play of `named` is named."""
        return self.locate("weeks", sheet, index) if self.weeks else self.locate("cases", index)
