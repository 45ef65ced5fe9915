"""Lengths as they are written: styles, denominators, metric; reading gives back what was written."""

from __future__ import annotations

from decimal import Decimal
from fractions import Fraction

import pytest
from hypothesis import given, settings
from hypothesis import strategies as st

from pocketref.units.length import Length
from pocketref.units.notation import (
    read_length,
    write_feet_inches,
    write_metres,
    write_millimetres,
    write_tape,
)
from pocketref.units.rounding import round_to, round_to_mm

# inches: plain, print (~ for a no-break space), mark
WRITTEN = {
    Fraction(173, 2): ("7 ft 2 1/2 in", "7~ft~2½~in", "7′ 2½″"),
    Fraction(12219, 8): ("127 ft 3 3/8 in", "127~ft~3⅜~in", "127′ 3⅜″"),
    Fraction(43, 16): ("2 11/16 in", "2¹¹⁄₁₆~in", "2¹¹⁄₁₆″"),
    Fraction(17, 2): ("8 1/2 in", "8½~in", "8½″"),
    Fraction(1, 4): ("1/4 in", "¼~in", "¼″"),
    Fraction(1, 16): ("1/16 in", "¹⁄₁₆~in", "¹⁄₁₆″"),
    Fraction(169, 2): ("7 ft 1/2 in", "7~ft~½~in", "7′ ½″"),
    Fraction(1080): ("90 ft", "90~ft", "90′"),
    Fraction(12): ("1 ft", "1~ft", "1′"),
    Fraction(0): ("0 in", "0~in", "0″"),
    Fraction(-1, 2): ("-1/2 in", "−½~in", "−½″"),
    Fraction(-173, 2): ("-7 ft 2 1/2 in", "−7~ft~2½~in", "−7′ 2½″"),
    Fraction(-1, 100): ("0 in", "0~in", "0″"),
    Fraction(1199, 100): ("1 ft", "1~ft", "1′"),
}
# the same of a tape, which is read in inches alone below four feet
TAPED = {
    Fraction(43): ("43 in", "43~in", "43″"),
    Fraction(55, 2): ("27 1/2 in", "27½~in", "27½″"),
    Fraction(767, 16): ("47 15/16 in", "47¹⁵⁄₁₆~in", "47¹⁵⁄₁₆″"),
    Fraction(48): ("4 ft", "4~ft", "4′"),
    Fraction(1535, 32): ("4 ft", "4~ft", "4′"),
    Fraction(173, 2): ("7 ft 2 1/2 in", "7~ft~2½~in", "7′ 2½″"),
    Fraction(1, 2): ("1/2 in", "½~in", "½″"),
    Fraction(0): ("0 in", "0~in", "0″"),
    Fraction(-1, 2): ("-1/2 in", "−½~in", "−½″"),
    Fraction(-47): ("-47 in", "−47~in", "−47″"),
    Fraction(-48): ("-4 ft", "−4~ft", "−4′"),
}
inches = st.fractions(min_value=-300_000, max_value=300_000)


@pytest.mark.parametrize(
    ("write", "value", "expected"),
    [(write_feet_inches, *item) for item in WRITTEN.items()]
    + [(write_tape, *item) for item in TAPED.items()],
)
def test_feet_and_inches_are_written_in_three_styles(write, value, expected):
    length = Length.from_inches(value)
    plain, printed, mark = expected
    assert write(length) == plain
    assert write(length, style="print") == printed.replace("~", "\u00a0")
    assert write(length, style="mark") == mark


@pytest.mark.parametrize(
    ("denominator", "expected"), [(1, "3 in"), (2, "3 in"), (4, "2 3/4 in"), (32, "2 25/32 in")]
)
def test_inches_round_to_the_denominator_asked_for(denominator, expected):
    assert write_feet_inches(Length.from_inches(Fraction(25, 32) + 2), denominator) == expected


@pytest.mark.parametrize("character", "½¼¾⅛⅜⅝⅞")
def test_common_fractions_print_as_one_character(character):
    length = read_length(f"5{character} in")
    assert write_feet_inches(length, style="print") == f"5{character}\u00a0in"


def test_metric_is_written_to_the_millimetre():
    length = Length.from_mm(2197)
    assert write_millimetres(length) == "2197 mm"
    assert write_metres(length) == "2.197 m"
    assert write_metres(length, places=0) == "2 m"
    assert write_metres(Length.from_mm(5)) == "0.005 m"


def test_metric_ties_go_to_the_even_step():
    assert write_millimetres(Length.from_mm(Decimal("2.5"))) == "2 mm"
    assert write_metres(Length.from_mm(125), places=2) == "0.12 m"


def test_negative_metric_lengths_carry_a_minus_sign_that_suits_the_style():
    length = Length.from_mm(-12)
    assert (write_millimetres(length), write_millimetres(length, "print")) == ("-12 mm", "−12\u00a0mm")
    assert (write_metres(length), write_metres(length, style="print")) == ("-0.012 m", "−0.012\u00a0m")
    assert write_millimetres(Length.from_mm(Decimal("-0.4"))) == "0 mm"


def test_negative_decimal_places_are_refused():
    with pytest.raises(ValueError, match="decimal places"):
        write_metres(Length.from_mm(1), places=-1)


@settings(max_examples=150)
@given(inches, st.sampled_from([1, 2, 4, 8, 16, 32, 10, 3]), st.sampled_from(["plain", "print", "mark"]))
def test_reading_what_was_written_gives_the_rounded_length(value, denominator, style):
    length = Length.from_inches(value)
    written = write_feet_inches(length, denominator, style)
    assert read_length(written, allow_zero=True, allow_negative=True) == round_to(length, denominator)


@settings(max_examples=80)
@given(st.fractions(min_value=-9_000_000, max_value=9_000_000), st.sampled_from(["plain", "print"]))
def test_reading_written_metric_gives_the_rounded_length(mm, style):
    length = Length.from_mm(mm)
    for written in (write_millimetres(length, style), write_metres(length, style=style)):
        assert read_length(written, allow_zero=True, allow_negative=True) == round_to_mm(length)


@settings(max_examples=60)
@given(inches)
def test_print_style_never_breaks_within_a_length(value):
    assert " " not in write_feet_inches(Length.from_inches(value), style="print")
