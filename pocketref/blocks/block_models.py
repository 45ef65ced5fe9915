"""Blocks: each kind of thing that can stand on a face, as a layout asks for it."""

from __future__ import annotations

from typing import Annotated, Literal

from pydantic import AfterValidator, Field, field_validator

from pocketref.source.syntax.kinds import (
    DecimalNumber,
    LengthField,
    Name,
    Sentence,
    WholeNumber,
    refuse_unknown,
    refuse_value,
)
from pocketref.source.syntax.located import SourceModel

FIGURES = ("plate-area", "diamond", "mound", "plate-template", "field-check")
"""The figures that can be drawn, by name."""
PLANS = ("plate-area", "diamond")
"""The plans of a level, by name."""

MOST_ENTRIES = 40
"""In any list of a block: no face has room for more."""


def _need_figure(name: str) -> str:
    return refuse_unknown("figure", name, FIGURES)


def _need_plan(name: str) -> str:
    return refuse_unknown("plan", name, PLANS)


PlanField = Annotated[str, AfterValidator(_need_plan)]


class FigureBlockModel(SourceModel):
    """A drawing to scale."""

    block: Literal["figure"]
    figure: Annotated[str, AfterValidator(_need_figure)] = Field(description="the figure's name")
    smallest: WholeNumber = Field(
        ge=1, description="the smallest scale allowed, as its denominator: 50 means 1:50"
    )


PICTURES = ("foot-cases", "positions", "slot")
"""The small pictures that can be drawn, by name."""


def _need_picture(name: str) -> str:
    return refuse_unknown("picture", name, PICTURES)


class PictureBlockModel(SourceModel):
    """Small pictures that fill the width."""

    block: Literal["picture"]
    picture: Annotated[str, AfterValidator(_need_picture)] = Field(description="the picture's name")
    heading: Sentence = ""
    columns: WholeNumber = Field(default=3, ge=1, le=6, description="pictures in a row")


class PhotoBlockModel(SourceModel):
    """A photograph or logo: a PNG or JPEG file of the content folder."""

    block: Literal["photo"]
    file: Sentence = Field(description="its path in the content folder, such as pictures/logo.png")
    width: LengthField = Field(description="its printed width, such as 20 mm; the height follows")
    alt: Sentence = Field(description="what it shows, in words for who cannot see it")


class ChartBlockModel(SourceModel):
    """The flowchart of a subject's decision table."""

    block: Literal["chart"]
    subject: Name = Field(description="the subject whose table is charted")
    heading: Sentence = ""
    part: WholeNumber = Field(
        default=0, ge=0, le=2, description="1 or 2: the upper or lower part of a chart cut in two"
    )


class DifferencesBlockModel(SourceModel):
    """The plays of a subject that codes rule differently, as a table."""

    block: Literal["differences"]
    subject: Name = Field(description="the subject whose tables are compared")
    codes: tuple[Name, ...] = Field(
        min_length=2, max_length=MOST_ENTRIES, description="the codes to compare, a list"
    )


class TextBlockModel(SourceModel):
    """A text of the content folder: plain paragraphs, numbered steps or a list."""

    block: Literal["text"]
    as_: Literal["plain", "steps", "list"] = Field(default="plain", description="plain, steps or list")
    text: Sentence = Field(description="where the text is, such as mechanics/stance/do")


class CallsBlockModel(SourceModel):
    """What to say and signal for each ruling of a subject's table, from the table itself."""

    block: Literal["calls"]
    subject: Name = Field(description="the subject whose calls are listed")


class CautionBlockModel(SourceModel):
    """A caution panel."""

    block: Literal["caution"]
    caution: Name = Field(description="the caution's name, as its file is called")


class DerivedBlockModel(SourceModel):
    """Derived figures of a plan, as a short list."""

    block: Literal["derived"]
    plan: PlanField = Field(description="the plan the figures are of")
    heading: Sentence = ""
    show: tuple[Name, ...] = Field(min_length=1, max_length=MOST_ENTRIES, description="which figures, a list")


class BlanksBlockModel(SourceModel):
    """Labelled blanks to write or type in."""

    block: Literal["blanks"]
    labels: tuple[Sentence, ...] = Field(
        min_length=1, max_length=MOST_ENTRIES, description="what belongs in each blank, a list"
    )
    across: WholeNumber = Field(default=1, ge=1, le=6, description="how many blanks in a line")

    @field_validator("labels")
    @classmethod
    def _tell_apart(cls, labels: tuple[str, ...]) -> tuple[str, ...]:
        for number, label in enumerate(labels):
            if label in labels[:number]:
                refuse_value(
                    "value-twice", f"two blanks are called '{label}'", "give each blank its own label"
                )
        return labels


class QrBlockModel(SourceModel):
    """The edition's QR code: address, edition mark and digest."""

    block: Literal["qr"]


class PullsBlockModel(SourceModel):
    """The table of pulls of a plan, with targets, tolerance and blanks."""

    block: Literal["pulls"]
    plan: PlanField = Field(description="the plan the pulls are of, plate-area or diamond")


class StakeoutBlockModel(SourceModel):
    """Two pulls a station in order of work."""

    block: Literal["stakeout"]
    plan: PlanField = Field(description="the plan that is staked out, plate-area or diamond")


class ChecksBlockModel(SourceModel):
    """The diagonals and the 3-4-5 triangle to tape once a plan is staked out."""

    block: Literal["checks"]
    plan: PlanField = Field(description="the plan that was staked out, plate-area or diamond")


class MarkingListBlockModel(SourceModel):
    """Each line to mark: how many, length, width, measured edge."""

    block: Literal["marking-list"]
    plan: PlanField = Field(description="the plan whose lines are marked, plate-area or diamond")


class MoundHeightsBlockModel(SourceModel):
    """The mound's heights below a level line, with targets, tolerance and blanks."""

    block: Literal["mound-heights"]


class FieldCheckBlockModel(SourceModel):
    """The five pulls that catch the most of the errors crews make, and what they catch."""

    block: Literal["field-check"]


class FlashToBangBlockModel(SourceModel):
    """How far lightning is by the seconds from flash to thunder."""

    block: Literal["flash-to-bang"]
    seconds: tuple[Annotated[WholeNumber, Field(ge=1, le=120)], ...] = Field(
        default=(5, 10, 15, 20, 25, 30),
        min_length=1,
        max_length=MOST_ENTRIES,
        description="the counts, a list",
    )
    temperature: WholeNumber = Field(
        default=77, ge=-40, le=130, description="the air temperature in degrees Fahrenheit, such as 77"
    )


class HeatIndexBlockModel(SourceModel):
    """Heat index by air temperature and relative humidity; nothing outside 80 to 110 F can be said."""

    block: Literal["heat-index"]
    temperatures: tuple[Annotated[WholeNumber, Field(ge=80, le=110)], ...] = Field(
        default=(80, 85, 90, 95, 100, 105, 110),
        min_length=1,
        max_length=MOST_ENTRIES,
        description="air temperatures in degrees Fahrenheit from 80 to 110, a list",
    )
    humidities: tuple[Annotated[WholeNumber, Field(ge=0, le=100)], ...] = Field(
        default=(40, 50, 60, 70, 80, 90, 100),
        min_length=1,
        max_length=MOST_ENTRIES,
        description="relative humidities in percent, a list",
    )
    categories: Literal["older", "newer"] = Field(
        default="newer", description="which published set of categories: older or newer"
    )


class ColumnModel(SourceModel):
    """One stack of blocks among several side by side."""

    share: DecimalNumber = Field(gt=0, description="its relative width, such as 1")
    blocks: Blocks = Field(min_length=1, description="a list of blocks")


class ColumnsModel(SourceModel):
    """Stacks side by side."""

    block: Literal["columns"]
    columns: tuple[ColumnModel, ...] = Field(
        min_length=2, description="a list of columns, each share and blocks"
    )


BlockModel = Annotated[
    FigureBlockModel
    | PictureBlockModel
    | PhotoBlockModel
    | QrBlockModel
    | ChartBlockModel
    | DifferencesBlockModel
    | TextBlockModel
    | CallsBlockModel
    | CautionBlockModel
    | DerivedBlockModel
    | PullsBlockModel
    | StakeoutBlockModel
    | ChecksBlockModel
    | MarkingListBlockModel
    | MoundHeightsBlockModel
    | FieldCheckBlockModel
    | BlanksBlockModel
    | FlashToBangBlockModel
    | HeatIndexBlockModel
    | ColumnsModel,
    Field(discriminator="block"),
]
"""Any block; its `block` key says which."""

Blocks = tuple[BlockModel, ...]

ColumnModel.model_rebuild()
