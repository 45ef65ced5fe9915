"""Where one answer gives way to the next: limits that still count, and the place a refusal points at."""

from __future__ import annotations

from decimal import Decimal
from fractions import Fraction

import pytest

from pocketref.units.angle import character_height_mm
from pocketref.units.length import Length
from pocketref.units.notation import NotationError, read_length, write_tape
from pocketref.units.temperature import ABSOLUTE_ZERO_C, fahrenheit_from_celsius


def test_a_character_may_fill_almost_the_whole_view_or_almost_nothing() -> None:
    assert character_height_mm(178 * 60, 100) > 100 * 100
    assert 0 < character_height_mm(0.01, 0.5) < 1e-5


def test_a_character_smaller_and_nearer_than_a_millimetre_has_its_height() -> None:
    assert character_height_mm(90 * 60, 0.25) == pytest.approx(0.5)


def test_multiples_and_parts_of_a_length_are_exact() -> None:
    foot = Length.from_inches(12)
    assert (foot * 3).inches == (3 * foot).inches == 36
    assert (foot / 3).inches == 4
    assert (foot * Fraction(1, 8)).inches == Fraction(3, 2)


def test_a_length_is_read_to_the_last_character_that_one_may_have() -> None:
    text = "7 ft 2 in"
    assert read_length(text + " " * (80 - len(text))).inches == 86
    with pytest.raises(NotationError, match="81 characters"):
        read_length(text + " " * (81 - len(text)))


def test_a_refusal_says_its_remedy_after_its_sentence() -> None:
    with pytest.raises(NotationError) as caught:
        read_length("7")
    assert str(caught.value) == "7 has no unit: write 7 ft or 7 in, or 7 mm or 7 m"


def test_a_refusal_without_a_remedy_ends_with_its_sentence() -> None:
    assert (
        str(NotationError("unit-unknown", "'yd' is no unit known here", "", 2))
        == "'yd' is no unit known here"
    )


@pytest.mark.parametrize("sign", ["-", "−", "+"])
def test_a_sign_that_is_refused_is_shown(sign: str) -> None:
    with pytest.raises(NotationError, match="no sign") as caught:
        read_length(f"  {sign}2 in")
    assert f"starts with '{sign}'" in caught.value.sentence
    assert caught.value.offset == 2


# text: (code, where the caret goes, the hint)
REFUSED = {
    "7 ft 2 in 3": ("unit-missing", 11, "write 3 ft or 3 in"),
    "2 m 20 cm 3 mm": ("unit-mixed", 7, "write feet, then inches; metric with one unit, as in 2.197 m"),
    "8-": ("unit-missing", 1, "join a fraction as in 8-1/2 in"),
    "8-1/2": ("unit-missing", 5, "write 8-1/2 ft or 8-1/2 in"),
    "8 -1/2 in": ("unit-missing", 2, "join a fraction as in 8-1/2 in"),
    "8- 1/2 in": ("unit-missing", 1, "join a fraction as in 8-1/2 in"),
}


@pytest.mark.parametrize(("text", "expected"), REFUSED.items())
def test_a_refusal_points_at_what_is_wrong_first(text: str, expected: tuple[str, int, str]) -> None:
    with pytest.raises(NotationError) as caught:
        read_length(text)
    assert (caught.value.code, caught.value.offset, caught.value.hint) == expected


@pytest.mark.parametrize(
    ("mm", "denominator", "written"),
    [("1219", 16, "4 ft"), ("1219", 32, "4 ft"), ("1219", 64, "47 63/64 in"), ("1000", 1, "39 in")],
)
def test_a_tape_is_written_to_the_denominator_asked_for(mm: str, denominator: int, written: str) -> None:
    assert write_tape(Length.from_mm(Decimal(mm)), denominator) == written


def test_absolute_zero_is_as_far_below_on_both_scales() -> None:
    assert fahrenheit_from_celsius(ABSOLUTE_ZERO_C) == pytest.approx(-459.67)


# --- a number without a unit, and what it may have been ---


@pytest.mark.parametrize(
    ("text", "hint"),
    [
        ("17", "write 17 ft or 17 in, or 17 mm or 17 m"),
        ("1.829", "write 1.829 m or 1.829 mm, or 1.829 ft or 1.829 in"),
        ("1734", "write 1734 mm or 1734 m, or 1734 ft or 1734 in"),
        ("8 1/2", "write 8 1/2 ft or 8 1/2 in"),  # no metric length has a fraction
    ],
)
def test_a_bare_number_is_offered_metric_units_as_well(text: str, hint: str) -> None:
    with pytest.raises(NotationError) as caught:
        read_length(text)
    assert caught.value.hint == hint


@pytest.mark.parametrize(
    ("text", "near", "first"),
    [
        ("1.829", "6 ft", "1.829 m"),
        ("1734", "5 ft 8 5/16 in", "1734 mm"),
        ("6", "6 ft 1 in", "6 ft"),
        ("31", "31 3/16 in", "31 in"),
    ],
)
def test_the_unit_that_comes_nearest_the_target_is_offered_first(text: str, near: str, first: str) -> None:
    with pytest.raises(NotationError) as caught:
        read_length(text, near=read_length(near))
    assert caught.value.hint.startswith(f"write {first}, ")


def test_the_remedy_for_a_signed_number_keeps_its_sign() -> None:
    with pytest.raises(NotationError) as caught:
        read_length("-13", allow_negative=True)
    assert caught.value.sentence == "-13 has no unit"
    assert caught.value.hint == "write -13 ft or -13 in, or -13 mm or -13 m"


@pytest.mark.parametrize(
    ("text", "mended"),
    [
        ("7-2-9/16", "7 ft 2 9/16 in"),
        ("7-2 9/16 in", "7 ft 2 9/16 in"),
        ("7-2", "7 ft 2 in"),
        ("7-11", "7 ft 11 in"),
    ],
)
def test_feet_and_inches_joined_by_hyphens_are_offered_as_such(text: str, mended: str) -> None:
    with pytest.raises(NotationError) as caught:
        read_length(text)
    assert caught.value.hint == f"write {mended}"
    assert read_length(mended)


def test_a_foot_of_inches_after_a_hyphen_is_no_part_of_feet_and_inches() -> None:
    with pytest.raises(NotationError) as caught:
        read_length("7-12")
    assert caught.value.hint == "join a fraction as in 8-1/2 in"
