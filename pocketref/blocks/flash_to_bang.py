"""How far lightning is by its thunder.

It informs and sets no threshold: the caution beside it says what to do, and local policy governs.
"""

from __future__ import annotations

from collections.abc import Iterator
from dataclasses import dataclass
from typing import Annotated, Literal

from pydantic import Field

from pocketref.blocks.model import MOST_ENTRIES, BlockModel, Cited, list_nothing
from pocketref.blocks.setting import Setting
from pocketref.pages.blocks import Block, Paragraphs
from pocketref.pages.page import Box, Element, Role
from pocketref.pages.table_blocks import Cell, Column, TableBlock
from pocketref.pages.type_scale import TypeSizes
from pocketref.pages.words import Words
from pocketref.source.syntax.kinds import WholeNumber
from pocketref.units.length import METRES_PER_MILE
from pocketref.units.temperature import celsius_from_fahrenheit
from pocketref.weather.lightning import RULE_SECONDS_PER_MILE, flash_to_bang_distance, flash_to_bang_seconds

_NOTE_GAP_MM = 1.0


class FlashToBangBlockModel(BlockModel):
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

    def list_cited(self, setting: Setting) -> Iterator[Cited]:
        """Nothing of the content: it is computed."""
        return list_nothing()

    def build(self, setting: Setting) -> Block:
        """The table and its note."""
        return FlashToBangTable(self.seconds, self.temperature)


@dataclass(frozen=True, slots=True)
class FlashToBangTable:
    """Counts from flash to thunder, in seconds, and how far sound travels in them in air at `air_f` deg F."""

    counts_s: tuple[float, ...]
    air_f: float
    label: str = "flash to bang"
    grows: bool = True

    def _table(self) -> TableBlock:
        air_c = celsius_from_fahrenheit(self.air_f)
        flashes = [flash_to_bang_distance(count, air_c) for count in self.counts_s]
        rows = tuple(
            (Cell(f"*{f.seconds:g}*"), Cell(f"{f.miles:.1f}"), Cell(f"{f.kilometres:.1f}")) for f in flashes
        )
        columns = (Column("seconds", "middle", flex=True), Column("miles", "middle", flex=True))
        return TableBlock(
            self.label, (*columns, Column("km", "middle", flex=True)), rows, "Flash to thunder", 0.35
        )

    def _note(self) -> Paragraphs:
        exact = flash_to_bang_seconds(METRES_PER_MILE, celsius_from_fahrenheit(self.air_f))
        here = f"In air at {self.air_f:g}\u00a0°F, as here, it takes {exact:.1f}."
        return Paragraphs(
            f"{self.label}, note",
            (
                f"*Rule of thumb:* {RULE_SECONDS_PER_MILE}\u00a0seconds a mile. {here}",
                "*The count never makes it safe to stay.*",
            ),
            small=True,
        )

    def measure_mm(self, width_mm: float, sizes: TypeSizes) -> float:
        """The table, and the rule of thumb under it."""
        table, note = self._table(), self._note()
        return table.measure_mm(width_mm, sizes) + _NOTE_GAP_MM + note.measure_mm(width_mm, sizes)

    def excess_mm(self, width_mm: float, sizes: TypeSizes) -> float:
        """The worse excess of table and note."""
        return max(self._table().excess_mm(width_mm, sizes), self._note().excess_mm(width_mm, sizes))

    def draw(self, box: Box, sizes: TypeSizes) -> Element:
        """The table from the top, the note right under it."""
        foot = self._note().measure_mm(box.width_mm, sizes)
        table = min(box.height_mm - foot - _NOTE_GAP_MM, self._table().most_mm(box.width_mm, sizes))
        above = Box(box.x, box.top - table, box.width_mm, table)
        below = Box(box.x, above.y - _NOTE_GAP_MM - foot, box.width_mm, foot)
        parts = (self._table().draw(above, sizes), self._note().draw(below, sizes))
        return Element(Role.SECTION, (), parts, label=self.label)

    def words(self) -> Words:
        """The table, then the note."""
        return (*self._table().words(), *self._note().words())
