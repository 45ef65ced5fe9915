"""The order of staking out: every station once, from pins that are set before it, and the checks at the end."""

from __future__ import annotations

import math
from fractions import Fraction

import pytest
from field_sheets import library, plan_of
from hypothesis import given, settings
from hypothesis import strategies as st

from pocketref.field.pulls import measure_pull
from pocketref.field.square_checks import find_triangle, list_square_checks
from pocketref.tape.stakeout import order_stakeout
from pocketref.units.length import Length
from pocketref.units.notation import read_length

LEVELS = sorted(library().fields)


@pytest.mark.parametrize("level", LEVELS)
@pytest.mark.parametrize("name", ["plate-area", "diamond"])
def test_each_station_is_set_once_from_pins_that_are_set_before_it(name: str, level: str) -> None:
    plan = plan_of(name, level)
    stages = order_stakeout(plan)
    known = set(stages[0].stations)
    for stage in stages[1:]:
        for point in stage.points:
            assert {pull.from_station for pull in point.pulls} <= known
            assert point.station not in known
        known |= set(stage.stations)
    around = set(plan_of("plate-area", level).stations)
    wanted = set(plan.stations) - (around - {"A"} if name == "diamond" else set())
    assert known == wanted


@pytest.mark.parametrize("name", ["plate-area", "diamond"])
def test_the_pulls_of_a_point_are_the_distances_of_the_plan(name: str) -> None:
    plan = plan_of(name)
    for stage in order_stakeout(plan):
        for point in stage.points:
            for pull in point.pulls:
                start, end = plan.stations[pull.from_station], plan.stations[pull.to_station]
                assert pull.length_mm == pytest.approx(
                    math.dist((start.x_mm, start.y_mm), (end.x_mm, end.y_mm))
                )
                assert pull.to_station == point.station


def test_stations_that_mirror_each_other_are_set_equally_well() -> None:
    errors = {
        point.station: point.error_mm
        for stage in order_stakeout(plan_of("diamond"))
        for point in stage.points
    }
    for first, third in (("1B", "3B"), ("1A", "3A"), ("PP1", "PP3"), ("K1", "K5"), ("D1", "D3")):
        assert errors[first] == pytest.approx(errors[third])


@pytest.mark.parametrize("level", LEVELS)
def test_the_boxes_diagonals_and_the_square_are_checked(level: str) -> None:
    boxes = list_square_checks(plan_of("plate-area", level))
    assert [check.what.startswith("3-4-5") for check in boxes] == [False, False, True]
    plan = plan_of("diamond", level)
    first_third = measure_pull(plan.stations["1B"], plan.stations["3B"], "diagonal", "").length
    assert next(c for c in list_square_checks(plan) if c.what == "1B to 3B").length.float_mm == pytest.approx(
        first_third.float_mm, abs=1e-6
    )


@settings(max_examples=60, deadline=None)
@given(st.integers(1, 200), st.integers(5, 200))
def test_a_triangle_is_right_and_fits_the_sides_and_the_tape(side_ft: int, tape_ft: int) -> None:
    a, b, c = find_triangle(Length(Fraction(side_ft * 12)), tape_ft)
    assert a * a + b * b == c * c
    assert (a, b, c) == (3, 4, 5) or (b <= side_ft and c <= tape_ft)
    larger = (4 * (a // 3 + 1), 5 * (a // 3 + 1))
    assert larger[0] > side_ft or larger[1] > tape_ft


@pytest.mark.parametrize(
    ("published", "note"),
    [
        (None, "both diagonals equal: the corners are square"),
        ("127 ft 3 3/8 in", "as published; equal to 1B to 3B: square corners"),
        ("127 ft 3 in", "published as 127 ft 3 in; equal to 1B to 3B: square corners"),
    ],
)
def test_a_published_diagonal_is_named_beside_the_one_to_tape(published: str | None, note: str) -> None:
    plan = plan_of("diamond", "high-school-90-ft")
    check = list_square_checks(plan, read_length(published) if published else None)[0]
    assert (check.what, check.note) == ("A to 2B", note)
    assert float(check.length.inches) == pytest.approx(1080 * math.sqrt(2), abs=1e-6)
