"""How far lightning is by its thunder, as small print.

It informs and sets no threshold: the caution beside it says what to do, and local policy governs.
"""

from __future__ import annotations

from collections.abc import Iterator, Sequence
from typing import Annotated, Literal

from pydantic import Field

from pocketref.blocks.model import MOST_ENTRIES, BlockModel, Cited, list_nothing
from pocketref.blocks.setting import Setting
from pocketref.pages.blocks import Block, Paragraphs
from pocketref.source.syntax.kinds import WholeNumber
from pocketref.units.temperature import celsius_from_fahrenheit
from pocketref.weather.lightning import RULE_SECONDS_PER_MILE, flash_to_bang_distance
from pocketref.words.speech import say


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
        """The distances and the rule of thumb."""
        return write_flash_to_bang(self.seconds, self.temperature)


def write_flash_to_bang(counts_s: Sequence[float], air_f: float) -> Paragraphs:
    """How far sound travels in each count of seconds in air at `air_f` deg F, and the rule of thumb."""
    flashes = [flash_to_bang_distance(count, celsius_from_fahrenheit(air_f)) for count in counts_s]
    counts = "; ".join(
        f"{f.seconds:g}\u00a0s {f.miles:.1f}\u00a0mi, {f.kilometres:.1f}\u00a0km" for f in flashes
    )
    air = f"{air_f:g}"
    entries = (
        say("*Flash to thunder in air at {air}\u00a0°F:* {counts}.", air=air, counts=counts),
        say(
            "*Rule of thumb:* {seconds}\u00a0seconds a mile. *The count never makes it safe to stay.*",
            seconds=RULE_SECONDS_PER_MILE,
        ),
    )
    return Paragraphs("flash to bang", entries, small=True)
