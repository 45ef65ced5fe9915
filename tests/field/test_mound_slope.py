"""The mound's slope, foot by foot, and readings against it."""

from __future__ import annotations

from fractions import Fraction

import pytest
from field_samples import SLOPE, read_lengths

from pocketref.field.mound import (
    Doubt,
    SlopeReading,
    find_slope_point,
    judge_plate_height,
    judge_slope,
    list_slope,
)
from pocketref.problems import PocketrefError
from pocketref.units.length import Length
from pocketref.units.notation import read_length

FULL_SIZE = read_lengths(SLOPE)
QUARTER = Length(Fraction(1, 4))


def inches(text: str) -> Length:
    return read_length(text, allow_zero=True)


def test_height_and_depth_always_add_up_to_the_pitchers_plate() -> None:
    for point in list_slope(FULL_SIZE):
        assert point.height + point.below_plate == inches("10 in")


def test_the_top_is_level_before_the_slope_starts() -> None:
    assert find_slope_point(FULL_SIZE, inches("3 in")).below_plate == inches("0 in")


def test_a_slope_that_ends_between_feet_is_measured_at_its_foot_too() -> None:
    points = list_slope(FULL_SIZE | {"mound-slope-length": inches("5 ft 6 in")})
    assert [point.ahead for point in points[-2:]] == [inches("5 ft 6 in"), inches("6 ft")]


def test_low_ground_is_added_to_and_high_ground_taken_off() -> None:
    readings = [
        SlopeReading(inches("18 in"), inches("1 1/2 in")),
        SlopeReading(inches("30 in"), inches("1 1/4 in")),
        SlopeReading(inches("42 in"), inches("3 1/4 in")),
    ]
    judged = judge_slope(FULL_SIZE, readings, QUARTER)
    assert [entry.move for entry in judged] == ["add 1/2 in", "take off 3/4 in", "good"]


def test_a_low_pitchers_plate_is_raised() -> None:
    assert judge_plate_height(FULL_SIZE, inches("9 1/2 in"), QUARTER).move == "add 1/2 in"
    assert judge_plate_height(FULL_SIZE, inches("10 1/4 in"), QUARTER).is_good


def test_all_faults_of_readings_are_told() -> None:
    readings = [SlopeReading(inches("7 ft"), inches("6 in")), SlopeReading(inches("18 in"), inches("7 ft"))]
    with pytest.raises(PocketrefError) as raised:
        judge_slope(FULL_SIZE, readings, QUARTER)
    assert [problem.code for problem in raised.value.problems] == ["mound-off-slope", "reading-impossible"]


def test_a_field_without_slope_figures_says_which() -> None:
    with pytest.raises(PocketrefError) as raised:
        list_slope({"pitchers-plate-height": inches("6 in")})
    assert [problem.code for problem in raised.value.problems] == ["dimension-missing"] * 3


def test_a_slope_that_would_end_below_home_plate_is_refused() -> None:
    with pytest.raises(PocketrefError) as raised:
        list_slope(FULL_SIZE | {"pitchers-plate-height": inches("5 in")})
    assert raised.value.problems[0].code == "dimension-inconsistent"


@pytest.mark.parametrize(("level_point", "is_told"), [("6 in", True), ("5 in", True), ("3 1/2 in", True)])
def test_a_point_where_both_columns_say_the_same_says_nothing_of_the_column(
    level_point: str, is_told: bool
) -> None:
    """Two of three telling points fit the heights; 5 ft 6 in ahead, height and depth are both 5 in."""
    texts = {"6 in": "0 in", "42 in": "7 in", "54 in": "6 in", "66 in": level_point}
    readings = [SlopeReading(inches(ahead), inches(below)) for ahead, below in texts.items()]
    judged = judge_slope(FULL_SIZE, readings, QUARTER)
    assert any(one.doubt is Doubt.OTHER_COLUMN for one in judged) == is_told


def test_as_many_depths_as_heights_are_no_other_column() -> None:
    texts = {"6 in": "0 in", "18 in": "1 in", "42 in": "7 in", "54 in": "6 in"}
    readings = [SlopeReading(inches(ahead), inches(below)) for ahead, below in texts.items()]
    assert all(one.doubt is not Doubt.OTHER_COLUMN for one in judge_slope(FULL_SIZE, readings, QUARTER))
