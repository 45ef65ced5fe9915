"""The order of staking out: every station once, from pins set before it, as near as it says; and the checks."""

from __future__ import annotations

import math
from fractions import Fraction

import numpy as np
import pytest
from field_sheets import library, plan_of
from hypothesis import given, settings
from hypothesis import strategies as st

from pocketref.field.plan import Plan
from pocketref.field.pulls import measure_pull
from pocketref.field.square_checks import find_triangle, list_square_checks
from pocketref.tape.error_model import PLATE_MM, STEEL
from pocketref.tape.stakeout import (
    LEAST_CROSSING_DEG,
    NEAR_ENOUGH_MM,
    STRING_FT,
    STRING_MM,
    find_reach_mm,
    mark_string,
    order_stakeout,
)
from pocketref.units.length import INCH_MM, Length
from pocketref.units.notation import read_length

LEVELS = sorted(library().fields)


@pytest.mark.parametrize("level", LEVELS)
@pytest.mark.parametrize("name", ["plate-area", "diamond"])
def test_each_station_is_set_once_from_pins_that_are_set_before_it(name: str, level: str) -> None:
    plan = plan_of(name, level)
    known: set[str] = set()
    for stage in order_stakeout(plan):
        known |= set(stage.stations if not stage.points else ())
        for point in stage.points:
            assert {pull.from_station for pull in point.pulls} <= known
            assert {pull.to_station for pull in point.pulls} == {point.station} != known & {point.station}
            assert point.crossing_deg >= LEAST_CROSSING_DEG
            known.add(point.station)
    around = set(plan_of("plate-area", level).stations)
    assert (
        known == set(plan.stations) - (around - {"A"})
        if name == "diamond"
        else set(plan.stations) | set(STRING_FT)
    )


@pytest.mark.parametrize("name", ["plate-area", "diamond"])
def test_the_pulls_of_a_point_are_the_distances_of_the_plan(name: str) -> None:
    plan = mark_string(plan_of(name))
    for stage in order_stakeout(plan_of(name)):
        for pull in (pull for point in stage.points for pull in point.pulls):
            start, end = plan.stations[pull.from_station], plan.stations[pull.to_station]
            assert pull.length_mm == pytest.approx(math.dist((start.x_mm, start.y_mm), (end.x_mm, end.y_mm)))


@pytest.mark.parametrize("level", LEVELS)
def test_the_whole_plate_area_is_set_to_half_its_tolerance_with_the_string_and_not_without(
    level: str,
) -> None:
    plan = plan_of("plate-area", level)
    with_string, without = (
        max(point.within_mm for stage in order_stakeout(plan, with_string=way) for point in stage.points)
        for way in (True, False)
    )
    assert with_string < NEAR_ENOUGH_MM * 1.06
    assert without > NEAR_ENOUGH_MM * 1.6


@settings(max_examples=40)
@given(st.floats(0.2, 5), st.floats(0.2, 5), st.floats(0, math.pi))
def test_the_reach_holds_nineteen_of_twenty(one: float, other: float, turn: float) -> None:
    """By drawing: of 20,000 points with that covariance 95 % lie within it."""
    mix = np.array([[math.cos(turn), -math.sin(turn)], [math.sin(turn), math.cos(turn)]]) @ np.diag(
        [one, other]
    )
    drawn = np.random.default_rng(1).normal(size=(20_000, 2)) @ mix.T
    assert (np.hypot(*drawn.T) <= find_reach_mm(mix @ mix.T)).mean() == pytest.approx(0.95, abs=0.007)


def test_the_reach_of_a_circle_and_of_a_line_are_those_of_the_tables() -> None:
    """√5.991 of a circle's standard deviation, 1.960 of a line's: NIST/SEMATECH e-Handbook, 1.3.6.7."""
    assert find_reach_mm(np.eye(2)) == pytest.approx(math.sqrt(5.991), abs=2e-3)
    assert find_reach_mm(np.diag([1.0, 1e-2])) == pytest.approx(1.960, abs=2e-2)


def set_out(plan: Plan, random: np.random.Generator) -> dict[str, tuple[float, float]]:
    """How far off each station comes, mm, when a crew sets one after another with the errors of the model."""
    marked = mark_string(plan)
    place = {mark: np.array([s.x_mm, s.y_mm]) for mark, s in marked.stations.items()}
    factor = 1 + random.normal(0, STEEL.predict_factor(is_warmth_known=False))

    def err(length: float) -> float:
        return length * factor + random.normal(0, float(STEEL.predict_mm(np.array([length]))[0]))

    found = {mark: place[mark] + random.normal(0, PLATE_MM, 2) for mark in ("A", "P1", "P2", "P3", "P4")}
    for mark in STRING_FT:
        found[mark] = found["A"] + np.sign(STRING_FT[mark]) * np.array([0, err(abs(float(place[mark][1])))])
        found[mark][0] = random.normal(0, STRING_MM)
    for point in (point for stage in order_stakeout(plan) for point in stage.points):
        pins = np.array([found[pull.from_station] for pull in point.pulls])
        taped = np.array([err(pull.length_mm) for pull in point.pulls])
        at = place[point.station].copy()
        for _ in range(4):
            apart = at - pins
            away = np.hypot(*apart.T)
            at = at + np.linalg.lstsq(apart / away[:, None], taped - away, rcond=None)[0]
        found[point.station] = at
    return {mark: tuple((found[mark] - place[mark]).tolist()) for mark in found}


def test_stations_set_out_by_drawing_every_error_come_as_near_as_the_sheet_says() -> None:
    plan, random = plan_of("plate-area"), np.random.default_rng(3)
    runs = [set_out(plan, random) for _ in range(40)]
    within = [
        math.hypot(*run[point.station]) <= point.within_mm
        for run in runs
        for stage in order_stakeout(plan)
        for point in stage.points
    ]
    assert np.mean(within) == pytest.approx(0.95, abs=0.03)
    assert np.quantile([math.hypot(*run["F3"]) for run in runs], 0.9) < INCH_MM / 4


@pytest.mark.parametrize("level", LEVELS)
def test_the_boxes_diagonals_and_the_square_are_checked(level: str) -> None:
    boxes = list_square_checks(plan_of("plate-area", level))
    assert [check.what.startswith("3-4-5") for check in boxes] == [False, False, True]
    plan = plan_of("diamond", level)
    first_third = measure_pull(plan.stations["1B"], plan.stations["3B"], "diagonal", "").length
    assert next(c for c in list_square_checks(plan) if c.what == "1B to 3B").length.float_mm == pytest.approx(
        first_third.float_mm, abs=1e-6
    )


@settings(max_examples=60)
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
