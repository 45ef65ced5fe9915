"""The inks of an edition: pure black, greys of black, paper white, and one accent that survives greyscale."""

from __future__ import annotations

from pocketref.scene.items import Ink


def grey(k: float) -> Ink:
    """Black ink at share `k` (1 is full), with its linear screen twin."""
    level = round(255 * (1 - k))
    return Ink(f"black {round(k * 100)} %", (0.0, 0.0, 0.0, k), f"#{level:02x}{level:02x}{level:02x}")


BLACK = Ink("black", (0.0, 0.0, 0.0, 1.0), "#000000")
WHITE = Ink("paper", (0.0, 0.0, 0.0, 0.0), "#ffffff")
GREY_PALE = grey(0.08)
GREY_LIGHT = grey(0.22)
GREY_MID = grey(0.50)
GREY_DARK = grey(0.72)
