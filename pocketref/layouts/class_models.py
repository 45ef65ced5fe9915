"""A class's file: for how long it is, from how far it is read, and its parts in their order."""

from __future__ import annotations

from typing import Annotated, ClassVar, Literal

from pydantic import Field

from pocketref.blocks.kinds import Blocks
from pocketref.blocks.model import MOST_ENTRIES, BlockModel, Subject, TableCodes, TableSubject
from pocketref.source.for_levels import ForLevelsModel
from pocketref.source.syntax.kinds import LengthField, Line, Name, Sentence, WholeNumber

MOST_MINUTES = 240
"""No class without a break is longer: our own bound."""
MOST_PLAYS = 30

Minutes = Annotated[WholeNumber, Field(ge=1, le=MOST_MINUTES)]


class PartModel(BlockModel):
    """Base of a part of a class."""

    minutes: Minutes | None = Field(
        default=None, description="for this part; without it, its share by what is said and asked"
    )


class BoxPartModel(PartModel):
    """The dimensioned plate area, built up: plate, boxes, lines, catcher's box, and what follows from these."""

    part: Literal["box"]


class ChartPartModel(PartModel):
    """The chart of a subject's decision table, a question more on each slide."""

    part: Literal["chart"]
    subject: TableSubject = Field(description="the subject whose table is charted")


class PlaysPartModel(PartModel):
    """Case plays: of each the question, the picture, the ruling, and its reason with the wrong choices to talk over."""

    part: Literal["plays"]
    cases: tuple[Line, ...] = Field(
        min_length=1,
        max_length=MOST_PLAYS,
        description="the plays in this order, a list such as [contact/line-is-enough]",
    )


class DifferencesPartModel(PartModel):
    """The plays of a subject that codes rule differently: to be talked about, then answered."""

    part: Literal["differences"]
    subject: Subject = Field(description="the subject whose tables are compared")
    codes: TableCodes = Field(
        min_length=2, max_length=MOST_ENTRIES, description="the codes to compare, a list"
    )


class FacePartModel(PartModel):
    """A slide of blocks as cards have them, such as a text or a caution."""

    part: Literal["face"]
    title: Sentence = Field(description="the slide's title")
    blocks: Blocks = Field(min_length=1, description="a list of blocks")


AnyPart = Annotated[
    BoxPartModel | ChartPartModel | PlaysPartModel | DifferencesPartModel | FacePartModel,
    Field(discriminator="part"),
]
"""Any part; its `part` key says which."""


class ClassModel(ForLevelsModel):
    """The file classes/<class>.yaml: a class to project, and what its slides are in their order."""

    name_field: ClassVar = "class_"

    class_: Name = Field(description="the class's name, as its file is called")
    minutes: Minutes = Field(description="how long it is; its slides' minutes add up to this")
    reading_distance: LengthField = Field(description="from where the last row reads it, such as 8 m")
    screen_height: LengthField = Field(description="the height of the picture on the wall, such as 1.5 m")
    stock: Name = Field(
        default="", description="the paper of the speaker's notes; without it the house's paper"
    )
    parts: tuple[AnyPart, ...] = Field(min_length=1, max_length=MOST_ENTRIES, description="a list of parts")
