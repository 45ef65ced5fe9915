"""Layouts: what stands on each face of a card or sheet, and what it is laid out for."""

from __future__ import annotations

import re
from typing import Annotated, Any, ClassVar, Literal

from pydantic import Field, ValidatorFunctionWrapHandler, WrapValidator

from pocketref.blocks.kinds import Blocks
from pocketref.source.for_levels import ForLevelsModel
from pocketref.source.syntax.kinds import LengthField, Line, Name

_SIZE = re.compile(r"[0-9./ ]+ ?[x×] ?[0-9./ ]+ ?(in|inch|inches|mm|\")?", re.IGNORECASE)


def _let_sizes_pass(value: object, read_name: ValidatorFunctionWrapHandler) -> object:
    """A size such as "4x6 in" is no name, but what it means is told where the stocks are known."""
    return value if isinstance(value, str) and _SIZE.fullmatch(value) else read_name(value)


StockName = Annotated[Name, WrapValidator(_let_sizes_pass)]
"""A stock's name, or a size that is answered with the name of the stock that has it."""


FRONT_AND_BACK, BY_LANGUAGE = "front-and-back", "by-language"
Sides = Literal["front-and-back", "by-language"]
"""What stands on the back of a card: the rest of it, or its front again in the edition's second language."""


ReadingDistance: Any = Field(
    default=None,
    description="from where questions and verdicts are read, such as 525 mm; else the floor's distance",
)


class CardModel(ForLevelsModel):
    """The file cards/<card>.yaml: what is on a card's front and back."""

    name_field: ClassVar = "card"

    card: Name = Field(description="the card's name, as its file is called")
    number: Line = Field(description="the number in the card's band, such as 1")
    set_: Name | Literal[""] = Field(
        default="",
        description="the set it belongs to, such as lanyard; members get those of none and those their finder lists",
    )
    stock: StockName = Field(
        default="", description="the stock it is laid out for; without it the house's card-stock"
    )
    sides: Sides | Literal[""] = Field(
        default="",
        description="by-language: each face with itself in the edition's second language on its back; else the house's",
    )
    reading_distance: LengthField | None = ReadingDistance
    front: Blocks = Field(min_length=1, description="a list of blocks")
    back: Blocks = Field(min_length=1, description="a list of blocks")


class SheetModel(ForLevelsModel):
    """The file sheets/<sheet>.yaml: what is on a full page, and on its back if it has one."""

    name_field: ClassVar = "sheet"

    sheet: Name = Field(description="the sheet's name, as its file is called")
    stock: StockName = Field(
        default="", description="the paper it is laid out for; without it the house's paper"
    )
    reading_distance: LengthField | None = ReadingDistance
    front: Blocks = Field(min_length=1, description="a list of blocks")
    back: Blocks = Field(default=(), description="a list of blocks, if there is a back")
    tiles: Literal["", "home-plate"] = Field(
        default="", description="home-plate adds the full-size plate, a tile a page"
    )
