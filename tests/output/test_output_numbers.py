from __future__ import annotations

import math
import re

import pytest
from hypothesis import given
from hypothesis import strategies as st

from pocketref.output.numbers import number, numbers

PLAIN = re.compile(r"-?(0|[1-9][0-9]*)(\.[0-9]{0,2}[1-9])?")


@given(st.floats(min_value=-1e9, max_value=1e9))
def test_a_number_is_a_plain_decimal_within_half_a_thousandth(value):
    text = number(value)
    assert PLAIN.fullmatch(text)
    assert text != "-0"
    assert math.isclose(float(text), value, abs_tol=0.0005000001, rel_tol=1e-15)


@pytest.mark.parametrize(
    ("value", "places", "text"),
    [
        (12.0, 3, "12"),
        (100, 3, "100"),
        (-0.0001, 3, "0"),
        (0.5, 3, "0.5"),
        (-3.125, 3, "-3.125"),
        (1e-7, 6, "0"),
        (0.70710678, 6, "0.707107"),
        (2.5e8, 3, "250000000"),
        (70.0, 0, "70"),
    ],
)
def test_numbers_are_written_as_short_as_they_can_be(value, places, text):
    assert number(value, places) == text


def test_several_numbers_stand_in_order_with_a_space_between():
    assert numbers(0, -1.5, 612) == "0 -1.5 612"


@pytest.mark.parametrize("value", [math.nan, math.inf, -math.inf])
def test_what_is_not_a_finite_number_never_reaches_a_page(value):
    with pytest.raises(ValueError, match="cannot be written"):
        number(value)
