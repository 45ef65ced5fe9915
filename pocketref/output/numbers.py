"""The one place that writes a number into PDF or SVG: fixed rounding, no exponent, no minus zero."""

from __future__ import annotations

from functools import lru_cache

_FORMATS = tuple(f"%.{places}f" for places in range(8))

PLACES = 3
"""Decimals of a coordinate: a thousandth of a point or of a millimetre, far below any printer's dot."""


@lru_cache(
    maxsize=1 << 16
)  # a page is drawn into several files, and most of its figures are drawn many times
def number(value: float, places: int = PLACES) -> str:
    """The shortest plain decimal for `value` rounded to `places` (at most 7): "12", "-3.125", never "-0".

    ValueError if the value is not finite: a page must not be written with it.
    """
    text = _FORMATS[places] % value
    if text[-1] > "9":
        raise ValueError(f"{value} cannot be written on a page")
    if places:
        text = text.rstrip("0").rstrip(".")
    return "0" if text == "-0" else text


def numbers(*values: float) -> str:
    """Several numbers with a space between, each as `number` writes it."""
    return " ".join([number(value) for value in values])
