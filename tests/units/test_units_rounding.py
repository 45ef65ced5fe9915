"""Rounding goes to the nearest step, ties to the even one, and only once."""

from __future__ import annotations

from fractions import Fraction

import pytest
from hypothesis import given, settings
from hypothesis import strategies as st

from pocketref.units.length import Length, round_to


@pytest.mark.parametrize(
    ("thirty_seconds", "sixteenths"), [(1, 0), (3, 2), (5, 2), (-1, 0), (-3, -2), (33, 16), (35, 18)]
)
def test_a_tie_between_sixteenths_goes_to_the_even_one(thirty_seconds, sixteenths):
    assert round_to(Length.from_inches(Fraction(thirty_seconds, 32))).inches == Fraction(sixteenths, 16)


def test_rounding_keeps_the_system():
    assert round_to(Length.from_mm(10)).system == "metric"


@pytest.mark.parametrize("denominator", [0, -16])
def test_a_denominator_below_one_is_refused(denominator):
    with pytest.raises(ValueError, match="denominator"):
        round_to(Length.from_inches(1), denominator)


@settings(max_examples=80)
@given(st.fractions(min_value=-5000, max_value=5000), st.integers(1, 64))
def test_rounding_moves_at_most_half_a_step_and_only_once(inches, denominator):
    rounded = round_to(Length.from_inches(inches), denominator)
    assert abs(rounded.inches - inches) <= Fraction(1, 2 * denominator)
    assert round_to(rounded, denominator) == rounded
