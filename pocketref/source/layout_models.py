"""Layouts: stocks, the typographic scale, and what stands on each face of a card or sheet."""

from __future__ import annotations

from collections.abc import Mapping
from typing import Annotated, Literal

from pydantic import AfterValidator, Field

from pocketref.source.kinds import (
    DecimalNumber,
    LengthField,
    LengthOrZero,
    Name,
    Sentence,
    WholeNumber,
    refuse_unknown,
)
from pocketref.source.located import SourceModel

FIGURES = ("plate-area",)
"""The figures that can be drawn, by name."""


def _need_figure(name: str) -> str:
    return refuse_unknown("figure", name, FIGURES)


class StockModel(SourceModel):
    """A card or sheet size. `safe` is what text keeps clear of the trimmed edge, `margin` where blocks start."""

    name: Sentence = Field(description="what the stock is called in print")
    width: LengthField = Field(description="the trimmed width, such as 5 in")
    height: LengthField = Field(description="the trimmed height, such as 3 in")
    safe: LengthOrZero = Field(description="what text keeps clear of the edge, such as 1/8 in")
    margin: LengthField = Field(description="where blocks start inside the edge, such as 4 mm")
    bleed: LengthOrZero = Field(description="ink past the trimmed edge, such as 1/8 in")
    source: Sentence = Field(description="where the size comes from")


class StocksModel(SourceModel):
    """The file stocks.yaml."""

    stocks: Mapping[Name, StockModel] = Field(min_length=1, description="each stock by name")


class FloorModel(SourceModel):
    """The least type: capitals subtend `arcmin` minutes of arc at `distance`."""

    arcmin: DecimalNumber = Field(description="minutes of arc, 16 by ISO 9241-3")
    distance: LengthField = Field(description="the reading distance, such as 400 mm")


class StylesModel(SourceModel):
    """The file styles.yaml: one typographic scale for the whole edition."""

    floor: FloorModel = Field(description="{arcmin: ..., distance: ...}")
    card_scale: tuple[DecimalNumber, ...] = Field(
        min_length=1, description="body sizes of cards in points, a list"
    )
    sheet_scale: tuple[DecimalNumber, ...] = Field(min_length=1, description="body sizes of sheets, a list")


class FigureBlockModel(SourceModel):
    """A drawing to scale."""

    block: Literal["figure"]
    figure: Annotated[str, AfterValidator(_need_figure)] = Field(description="the figure's name")
    smallest: WholeNumber = Field(description="the smallest scale allowed, as its denominator: 50 means 1:50")


class ChartBlockModel(SourceModel):
    """The flowchart of a subject's decision table."""

    block: Literal["chart"]
    subject: Name = Field(description="the subject whose table is charted")


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
    plan: Annotated[str, AfterValidator(_need_figure)] = Field(description="the plan the figures are of")
    heading: Sentence = ""
    show: tuple[Name, ...] = Field(min_length=1, description="which figures, a list")


class BlanksBlockModel(SourceModel):
    """Labelled blanks to write or type in."""

    block: Literal["blanks"]
    labels: tuple[Sentence, ...] = Field(min_length=1, description="what belongs in each blank, a list")
    across: WholeNumber = Field(default=1, ge=1, le=6, description="how many blanks in a line")


class PullsBlockModel(SourceModel):
    """The table of pulls of a plan, with targets, tolerance and blanks."""

    block: Literal["pulls"]
    plan: Annotated[str, AfterValidator(_need_figure)] = Field(description="the plan the pulls are of")


class ColumnModel(SourceModel):
    """One stack of blocks among several side by side."""

    share: DecimalNumber = Field(description="its relative width, such as 1")
    blocks: Blocks = Field(min_length=1, description="a list of blocks")


class ColumnsModel(SourceModel):
    """Stacks side by side."""

    block: Literal["columns"]
    columns: tuple[ColumnModel, ...] = Field(
        min_length=2, description="a list of columns, each share and blocks"
    )


BlockModel = Annotated[
    FigureBlockModel
    | ChartBlockModel
    | TextBlockModel
    | CallsBlockModel
    | CautionBlockModel
    | DerivedBlockModel
    | PullsBlockModel
    | BlanksBlockModel
    | ColumnsModel,
    Field(discriminator="block"),
]
"""Any block; its `block` key says which."""

Blocks = tuple[BlockModel, ...]


class CardModel(SourceModel):
    """The file cards/<card>.yaml: what is on a card's front and back."""

    card: Name = Field(description="the card's name, as its file is called")
    number: Sentence = Field(description="the number in the card's band, such as 1")
    title: Sentence = Field(description="the title in the card's band")
    stock: Name = Field(description="the stock it is laid out for")
    code: Name = Field(description="the code it rules by")
    level: Name = Field(description="the field its figures are of")
    front: Blocks = Field(min_length=1, description="a list of blocks")
    back: Blocks = Field(min_length=1, description="a list of blocks")


class SheetModel(SourceModel):
    """The file sheets/<sheet>.yaml: what is on a full page, and on its back if it has one."""

    sheet: Name = Field(description="the sheet's name, as its file is called")
    title: Sentence = Field(description="the title in the sheet's band")
    stock: Name = Field(description="the paper it is laid out for")
    code: Name = Field(description="the code it goes by")
    level: Name = Field(description="the field it is of")
    front: Blocks = Field(min_length=1, description="a list of blocks")
    back: Blocks = ()


ColumnModel.model_rebuild()
