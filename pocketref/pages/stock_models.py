"""Stocks and styles: the sizes that are printed on, and the typographic scale."""

from __future__ import annotations

import re
from collections.abc import Iterable, Mapping
from decimal import Decimal
from fractions import Fraction
from typing import Annotated, Literal, Self

from pydantic import Field, field_validator, model_validator

from pocketref.pages.type_scale import floor_size_pt
from pocketref.problems import suggest_match
from pocketref.scene.inks import ACCENTS, spot_ink
from pocketref.scene.items import Ink
from pocketref.source.syntax.kinds import (
    DecimalNumber,
    LengthField,
    LengthOrZero,
    Line,
    Name,
    refuse_value,
)
from pocketref.source.syntax.located import SourceModel
from pocketref.units.length import Length
from pocketref.words.terminal import tell

MOST_SIZES = 40
"""In a scale of type: no edition sets more."""

LARGEST = Length.from_mm(1200)
"""The longest side of a stock: that of A0, the largest sheet of ISO 216, is 1189 mm."""

MM2_PER_M2 = 1_000_000

_NOTHING = Length.from_mm(0)

Share = Annotated[DecimalNumber, Field(ge=0, le=1)]
Grammage = Annotated[DecimalNumber, Field(gt=0, le=5000)]


class PunchModel(SourceModel):
    """A round hole in the middle of one edge, as for a lanyard."""

    edge: Literal["top", "bottom", "left", "right"] = Field(description="the edge it is next to")
    diameter: LengthField = Field(description="the hole's diameter, such as 5 mm")
    distance: LengthField = Field(description="from the trimmed edge to the hole's rim, such as 3 mm")
    clearance: LengthOrZero = Field(description="what text keeps clear of the hole's rim, such as 3 mm")


class StockModel(SourceModel):
    """A card or paper size. `safe` is what text keeps clear of the trimmed edge, `margin` where blocks start."""

    kind: Literal["card", "paper"] = Field(default="card", description="card or paper")
    name: Line = Field(description="what the stock is called in print")
    width: LengthField = Field(description="the trimmed width, such as 5 in")
    height: LengthField = Field(description="the trimmed height, such as 3 in")
    safe: LengthOrZero = Field(description="what text keeps clear of the edge, such as 1/8 in")
    margin: LengthField = Field(description="where blocks start inside the edge, such as 4 mm")
    bleed: LengthOrZero = Field(description="ink past the trimmed edge, such as 1/8 in")
    corner_radius: LengthOrZero = Field(default=_NOTHING, description="of rounded corners, such as 1/8 in")
    laminate_margin: LengthOrZero = Field(
        default=_NOTHING, description="what a pouch reaches beyond the card on each side, such as 1/8 in"
    )
    unprintable: LengthOrZero = Field(
        default=_NOTHING, description="the edge of a paper that printers leave white, such as 1/4 in"
    )
    grammage: Grammage | None = Field(
        default=None, description="grams per square metre, such as 199, to weigh members' parcels by"
    )
    laminate_grammage: Grammage | None = Field(
        default=None, description="the same of a pouch, both its films together, if cards are laminated"
    )
    punch: PunchModel | None = Field(default=None, description="a hole, if there is one")
    source: Line = Field(description="where the size comes from")

    def weigh_card(self) -> Fraction | None:
        """Grams of one card, with its pouch if its films are weighed; None if the stock does not say.

        Corners and holes count as if they were full: they are less than a hundredth of a card.
        """
        if self.grammage is None:
            return None
        margin = 2 * self.laminate_margin.mm
        bare, pouch = self.width.mm * self.height.mm, (self.width.mm + margin) * (self.height.mm + margin)
        films = self.laminate_grammage or 0
        return (bare * Fraction(self.grammage) + pouch * Fraction(films)) / MM2_PER_M2

    @model_validator(mode="after")
    def _check_sizes(self) -> Self:
        if max(self.width, self.height) > LARGEST:
            sentence = tell("{name} is larger than any sheet that is printed on", name=self.name)
            refuse_value("stock-sizes", sentence, tell("no side may be longer than 1200 mm, about 47 in"))
        if self.margin < self.safe:
            sentence = tell("the margin of {name} is smaller than its safe distance", name=self.name)
            refuse_value(
                "stock-sizes", sentence, tell("blocks start inside the safe area: make margin at least safe")
            )
        if 2 * self.margin >= min(self.width, self.height):
            refuse_value(
                "stock-sizes",
                tell("the margins of {name} leave no room", name=self.name),
                tell("make margin smaller"),
            )
        return self


class StocksModel(SourceModel):
    """The file stocks.yaml."""

    stocks: Mapping[Name, StockModel] = Field(min_length=1, description="each stock by name")


class FloorModel(SourceModel):
    """The least type: capitals subtend `arcmin` minutes of arc at `distance`, where a face is held to be read."""

    arcmin: DecimalNumber = Field(gt=0, le=120, description="minutes of arc, 16 by ISO 9241-3")
    distance: LengthField = Field(description="the reading distance, such as 400 mm")


class SpotInkModel(SourceModel):
    """A second ink on a plate of its own. Whatever it prints says the same in black by its shape and words."""

    name: Line = Field(
        description="the ink's name, as the print shop calls its plate, such as Association red"
    )
    cmyk: tuple[Share, Share, Share, Share] = Field(
        description="what stands for it on screens and proofs: [cyan, magenta, yellow, black], each 0 to 1"
    )
    screen: Annotated[str, Field(pattern="^#[0-9a-f]{6}$")] = Field(
        description="the same as #rrggbb, small letters"
    )
    uses: tuple[Literal["dead ball", "change"], ...] = Field(
        min_length=1, description="what it prints, a list: dead ball, change"
    )

    @field_validator("name")
    @classmethod
    def _check_name(cls, name: str) -> str:
        try:
            spot_ink(name, (0, 0, 0, 0), "#ffffff")
        except ValueError as error:
            refuse_value("ink-name", str(error), tell("give it the name of an ink of its own"))
        return name


class StylesModel(SourceModel):
    """The file styles.yaml: one typographic scale for the whole edition."""

    floor: FloorModel = Field(description="{arcmin: ..., distance: ...}")
    card_scale: tuple[DecimalNumber, ...] = Field(
        min_length=1, max_length=MOST_SIZES, description="body sizes of cards in points, a list"
    )
    sheet_scale: tuple[DecimalNumber, ...] = Field(
        min_length=1, max_length=MOST_SIZES, description="body sizes of sheets, a list"
    )

    spot_ink: SpotInkModel | None = Field(default=None, description="a second ink; without it all is black")

    @property
    def inks(self) -> Mapping[Ink, Ink]:
        """The ink that prints each thing that may have one of its own."""
        if self.spot_ink is None:
            return {}
        cyan, magenta, yellow, black = (float(share) for share in self.spot_ink.cmyk)
        ink = spot_ink(self.spot_ink.name, (cyan, magenta, yellow, black), self.spot_ink.screen)
        return {accent: ink for accent in ACCENTS if accent.name in self.spot_ink.uses}

    @property
    def floor_pt(self) -> float:
        """The least type size."""
        return self.find_floor_pt(None)

    def find_floor_pt(self, distance: Length | None) -> float:
        """The least type size of what is read from this distance; without one, of anything at all."""
        return floor_size_pt(float(self.floor.arcmin), (distance or self.floor.distance).float_mm)

    def list_steps(self, scale: Iterable[Decimal]) -> list[float]:
        """The body sizes of a scale that are not below the floor, the least first."""
        return sorted(float(step) for step in scale if float(step) >= self.floor_pt - 1e-9)

    @model_validator(mode="after")
    def _check_floor(self) -> Self:
        for scale in (self.card_scale, self.sheet_scale):
            if not self.list_steps(scale):
                sentence = tell(
                    "every size of the scale is below the floor of {floor_pt:.2f} pt", floor_pt=self.floor_pt
                )
                refuse_value(
                    "scale-below-floor",
                    sentence,
                    tell("add a size of {floor_pt:.2f} pt or more", floor_pt=self.floor_pt),
                )
        return self


def suggest_stock(word: str, known: Iterable[str]) -> str:
    """A hint naming the stock that a size such as "4x6", "6 x 4 in" means, else as `suggest_match` gives it."""
    names = sorted(set(known))
    size = re.sub(r"\s*(in|inch|inches|\")$", "", word.lower().strip())
    sides = re.split(r"\s*[x×]\s*", size)
    meant = {"x".join(sides), "x".join(reversed(sides))}
    share = next((name for name in names if meant & set(name.split("-"))), "")
    return f"did you mean '{share}'?" if share else suggest_match(word, names)
