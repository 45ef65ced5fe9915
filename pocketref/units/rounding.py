"""The one rounding rule of every printed figure: to the nearest step, ties to the even step."""

from __future__ import annotations

from fractions import Fraction

from pocketref.units.length import Length


def round_to(length: Length, denominator: int = 16) -> Length:
    """The nearest multiple of 1/`denominator` inch; a tie goes to the even multiple.

    Keeps the system of `length`. ValueError if the denominator is below 1.
    """
    if denominator < 1:
        raise ValueError(f"a denominator is 1 or more, not {denominator}")
    return Length(Fraction(round(length.inches * denominator), denominator), length.system)


def round_to_mm(length: Length, places: int = 0) -> Length:
    """The nearest millimetre (`places` 0) or 10**-places mm; a tie goes to the even one. Keeps the system."""
    rounded_mm = Fraction(round(length.mm, places))
    return Length(Length.from_mm(rounded_mm).inches, length.system)
