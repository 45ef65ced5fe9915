"""Exact lengths, and the one home of every factor between units."""

from __future__ import annotations

from dataclasses import dataclass, field
from decimal import Decimal
from fractions import Fraction
from typing import Literal, Self, overload

System = Literal["us", "metric"]
"""The unit system a length was written in."""

MM_PER_INCH = Fraction(127, 5)
"""1 in = 25.4 mm exactly (international yard and pound agreement, 1959)."""

INCHES_PER_FOOT = 12
FEET_PER_MILE = 5280
POINTS_PER_INCH = 72
"""The point of PostScript and PDF (ISO 32000: default user space is 1/72 in)."""

INCH_MM = float(MM_PER_INCH)
FOOT_MM = float(INCHES_PER_FOOT * MM_PER_INCH)
PT_PER_MM = float(POINTS_PER_INCH / MM_PER_INCH)
MM_PER_PT = float(MM_PER_INCH / POINTS_PER_INCH)
METRES_PER_MILE = float(FEET_PER_MILE * INCHES_PER_FOOT * MM_PER_INCH / 1000)


@dataclass(frozen=True, slots=True, order=True)
class Length:
    """An exact length: a fraction of inches, and the system it was written in.

    Lengths compare and hash by size alone, so 25.4 mm equals 1 in. Sums and multiples keep the system of the
    left-hand length. May be zero or negative; whoever reads one decides what is allowed.
    """

    inches: Fraction
    system: System = field(default="us", compare=False)

    @classmethod
    def from_inches(cls, inches: Fraction | int) -> Self:
        """A length in the US customary system. TypeError on a float: see `from_mm`."""
        return cls(_exact(inches), "us")

    @classmethod
    def from_mm(cls, mm: Fraction | int | Decimal) -> Self:
        """A metric length. TypeError on a float: a measured float is taken on purpose, as Fraction(value)."""
        return cls(_exact(mm) / MM_PER_INCH, "metric")

    @property
    def mm(self) -> Fraction:
        """The exact length in millimetres."""
        return self.inches * MM_PER_INCH

    @property
    def float_mm(self) -> float:
        """The length in millimetres as geometry wants it: `mm` rounded once, without a fraction in between."""
        over, under = self.inches.as_integer_ratio()
        return over * MM_PER_INCH.numerator / (under * MM_PER_INCH.denominator)

    def __add__(self, other: Length) -> Length:
        if not isinstance(other, Length):
            return NotImplemented
        return Length(self.inches + other.inches, self.system)

    def __sub__(self, other: Length) -> Length:
        if not isinstance(other, Length):
            return NotImplemented
        return Length(self.inches - other.inches, self.system)

    def __neg__(self) -> Length:
        return Length(-self.inches, self.system)

    def __abs__(self) -> Length:
        return Length(abs(self.inches), self.system)

    def __mul__(self, factor: Fraction | int) -> Length:
        if not isinstance(factor, int | Fraction):
            return NotImplemented
        return Length(self.inches * factor, self.system)

    __rmul__ = __mul__

    @overload
    def __truediv__(self, other: Length) -> Fraction: ...
    @overload
    def __truediv__(self, other: Fraction | int) -> Length: ...
    def __truediv__(self, other: Length | Fraction | int) -> Length | Fraction:
        if isinstance(other, Length):
            return self.inches / other.inches
        if not isinstance(other, int | Fraction):
            return NotImplemented
        return Length(self.inches / other, self.system)


def round_to(length: Length, denominator: int = 16) -> Length:
    """The one rounding rule of every printed figure: the nearest multiple of 1/`denominator` inch; a tie
    goes to the even multiple.

    Keeps the system of `length`. ValueError if the denominator is below 1.
    """
    if denominator < 1:
        raise ValueError(f"a denominator is 1 or more, not {denominator}")
    return Length(Fraction(round(length.inches * denominator), denominator), length.system)


def _exact(value: Fraction | int | Decimal) -> Fraction:
    if isinstance(value, float):
        raise TypeError("a length is exact: give an int, a Fraction or a Decimal, not a float")
    return Fraction(value)
