"""Lengths as they are written and typeset: denominators, millimetres; reading gives back what was written."""

from __future__ import annotations

from decimal import Decimal
from fractions import Fraction

import pytest
from hypothesis import given, settings
from hypothesis import strategies as st

from pocketref.units.length import Length, round_to
from pocketref.units.notation import (
    has_fraction,
    read_length,
    spell_fractions,
    typeset_figures,
    write_exact,
    write_feet_inches,
    write_measured,
    write_mm,
    write_tape,
)

# inches: as written, as typeset
WRITTEN = {
    Fraction(173, 2): ("7 ft 2 1/2 in", "7 ft 2½ in"),
    Fraction(12219, 8): ("127 ft 3 3/8 in", "127 ft 3⅜ in"),
    Fraction(43, 16): ("2 11/16 in", "2¹¹⁄₁₆ in"),
    Fraction(17, 2): ("8 1/2 in", "8½ in"),
    Fraction(1, 4): ("1/4 in", "¼ in"),
    Fraction(1, 16): ("1/16 in", "¹⁄₁₆ in"),
    Fraction(169, 2): ("7 ft 1/2 in", "7 ft ½ in"),
    Fraction(1080): ("90 ft", "90 ft"),
    Fraction(12): ("1 ft", "1 ft"),
    Fraction(0): ("0 in", "0 in"),
    Fraction(-1, 2): ("-1/2 in", "−½ in"),
    Fraction(-173, 2): ("-7 ft 2 1/2 in", "−7 ft 2½ in"),
    Fraction(-1, 100): ("0 in", "0 in"),
    Fraction(1199, 100): ("1 ft", "1 ft"),
}
# the same of a tape, which is read in inches alone below four feet
TAPED = {
    Fraction(43): ("43 in", "43 in"),
    Fraction(55, 2): ("27 1/2 in", "27½ in"),
    Fraction(767, 16): ("47 15/16 in", "47¹⁵⁄₁₆ in"),
    Fraction(48): ("4 ft", "4 ft"),
    Fraction(1535, 32): ("4 ft", "4 ft"),
    Fraction(173, 2): ("7 ft 2 1/2 in", "7 ft 2½ in"),
    Fraction(1, 2): ("1/2 in", "½ in"),
    Fraction(0): ("0 in", "0 in"),
    Fraction(-1, 2): ("-1/2 in", "−½ in"),
    Fraction(-47): ("-47 in", "−47 in"),
    Fraction(-48): ("-4 ft", "−4 ft"),
}
inches = st.fractions(min_value=-300_000, max_value=300_000)


@pytest.mark.parametrize(
    ("write", "value", "expected"),
    [(write_feet_inches, *item) for item in WRITTEN.items()]
    + [(write_tape, *item) for item in TAPED.items()],
)
def test_feet_and_inches_are_written_plainly_and_typeset(write, value, expected):
    plain, printed = expected
    assert write(Length.from_inches(value)) == plain
    assert typeset_figures(plain) == typeset_figures(printed) == printed
    assert has_fraction(plain) == has_fraction(printed) == ("/" in plain)


@pytest.mark.parametrize(
    ("denominator", "expected"), [(1, "3 in"), (2, "3 in"), (4, "2 3/4 in"), (32, "2 25/32 in")]
)
def test_inches_round_to_the_denominator_asked_for(denominator, expected):
    assert write_feet_inches(Length.from_inches(Fraction(25, 32) + 2), denominator) == expected


@pytest.mark.parametrize("character", "½¼¾⅛⅜⅝⅞")
def test_common_fractions_print_as_one_character(character):
    length = read_length(f"5{character} in")
    assert typeset_figures(write_feet_inches(length)) == f"5{character} in"


@pytest.mark.parametrize(
    "text",
    ["HS 7-3-1", "count 1-2", "2/4 in", "5/3 in", "1/3 in", "6/2027", "7/8/9", "and/or", "a1/2", "1.1/2"],
)
def test_what_is_no_fraction_of_a_tape_stays_as_it_is(text):
    assert typeset_figures(text) == text
    assert not has_fraction(text)


def test_millimetres_are_whole_and_ties_go_to_the_even_one():
    assert write_mm(Length.from_mm(2197)) == "2197"
    assert [write_mm(Length.from_mm(Decimal(mm))) for mm in ("0.5", "1.5", "2.5", "-0.4", "2.51")] == list(
        "02203"
    )


def test_a_measured_length_is_written_as_a_tape_reads_it():
    assert write_measured(2198.0) == "7 ft 2 9/16 in"
    assert write_measured(-25.4 / 32, 32) == "-1/32 in"


@given(st.builds(Length, st.fractions(Fraction(1, 64), 5000, max_denominator=64), st.just("us")))
@settings(max_examples=50)
def test_a_length_is_written_exactly(length: Length) -> None:
    assert read_length(write_exact(length)) == length


@given(st.decimals(Decimal("0.001"), Decimal(100_000), places=3))
@settings(max_examples=50)
def test_a_metric_length_is_written_exactly(mm: Decimal) -> None:
    length = Length.from_mm(mm)
    again = read_length(write_exact(length))
    assert (again, again.system) == (length, "metric")


@settings(max_examples=150)
@given(inches, st.sampled_from([1, 2, 4, 8, 16, 32, 10, 3]), st.sampled_from([str, typeset_figures]))
def test_reading_what_was_written_gives_the_rounded_length(value, denominator, style):
    length = Length.from_inches(value)
    written = style(write_feet_inches(length, denominator))
    assert read_length(written, allow_zero=True, allow_negative=True) == round_to(length, denominator)


@settings(max_examples=80)
@given(st.fractions(min_value=0, max_value=3000), st.sampled_from([2, 4, 8, 16, 32, 64]))
def test_spelling_undoes_typesetting(value, denominator):
    written = write_tape(Length.from_inches(value), denominator)
    printed = typeset_figures(written)
    assert "/" not in printed
    assert spell_fractions(printed).replace("\u00a0", " ") == written
