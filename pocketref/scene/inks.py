"""The inks of an edition: pure black, greys of black, paper white; and on request one more plate, a spot ink.

What may take the spot ink is drawn in an ink of its own name (`DEAD_BALL`, `CHANGE`), which prints as black unless
it is changed for the spot ink. So the spot ink adds to what shape and words say, and never says anything alone.
"""

from __future__ import annotations

from collections.abc import Iterable, Mapping
from dataclasses import replace

from pocketref.scene.items import Ink, Item, Placed, Shape, Text

PROCESS_PLATES = ("Cyan", "Magenta", "Yellow", "Black")
_RESERVED = ("All", "None")


def grey(k: float) -> Ink:
    """Black ink at share `k` (1 is full), with its linear screen twin."""
    level = round(255 * (1 - k))
    return Ink(f"black {round(k * 100)} %", (0.0, 0.0, 0.0, k), f"#{level:02x}{level:02x}{level:02x}")


def spot_ink(name: str, cmyk: tuple[float, float, float, float], srgb: str) -> Ink:
    """An ink on a plate of its own by that name; `cmyk` is what stands for it where there is no such plate.

    ValueError for a name that means a process plate or all of them (ISO 32000-1, 8.6.6.4).
    """
    if not name.strip() or name.title() in (*PROCESS_PLATES, *_RESERVED):
        raise ValueError(f"no spot ink can be called {name!r}")
    return Ink(name, cmyk, srgb, plate=name)


BLACK = Ink("black", (0.0, 0.0, 0.0, 1.0), "#000000")
DEAD_BALL = replace(BLACK, name="dead ball")
CHANGE = replace(BLACK, name="change")
ACCENTS = (DEAD_BALL, CHANGE)
"""What a spot ink may be used for."""
WHITE = Ink("paper", (0.0, 0.0, 0.0, 0.0), "#ffffff")
GREY_PALE = grey(0.08)
GREY_LIGHT = grey(0.22)
GREY_MID = grey(0.50)
GREY_DARK = grey(0.72)


def change_inks(items: Iterable[Item], inks: Mapping[Ink, Ink]) -> tuple[Item, ...]:
    """The items with each ink that is a key of `inks` changed for its value, in placed scenes too."""
    return tuple(_change_item(item, inks) for item in items)


def _change_item(item: Item, inks: Mapping[Ink, Ink]) -> Item:
    if isinstance(item, Text):
        return replace(item, ink=inks.get(item.ink, item.ink))
    if isinstance(item, Placed):
        return replace(item, scene=replace(item.scene, items=change_inks(item.scene.items, inks)))
    if isinstance(item, Shape):
        stroke, fill = item.stroke, item.fill
        return Shape(
            item.path,
            replace(stroke, ink=inks.get(stroke.ink, stroke.ink)) if stroke else None,
            inks.get(fill, fill) if fill else None,
        )
    return item
