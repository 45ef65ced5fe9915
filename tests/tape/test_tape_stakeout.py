"""The two pins to set a station from, and the error that their tapes predict."""

from __future__ import annotations

import math
from fractions import Fraction

import numpy as np
import pytest
from field_samples import FIELD, read_lengths
from hypothesis import given, reject, settings
from hypothesis import strategies as st

from pocketref.field.diamond import construct_diamond
from pocketref.field.plan import Plan, Station
from pocketref.problems import PocketrefError
from pocketref.tape.stakeout import GRAZING_DEG, best_pulls, find_tape_tolerance
from pocketref.units.length import Length
from pocketref.units.notation import read_length

PLAN = construct_diamond(read_lengths(FIELD))


def pins_of(plan: Plan, *marks: str) -> list[Station]:
    return [plan.stations[mark] for mark in marks]


def test_first_base_from_home_and_second_crosses_squarely() -> None:
    point = best_pulls(PLAN, pins_of(PLAN, "A", "2B"), "1B")
    assert [pull.name for pull in point.pulls] == ["A-1B", "2B-1B"]
    assert point.crossing_deg == pytest.approx(90)
    # Two tapes of 90 ft, each good to 1/4 in, crossing at a right angle: a circle of 1/4 in.
    assert point.error_mm == pytest.approx(25.4 / 4, rel=1e-6)


def test_the_side_tells_the_two_crossings_apart() -> None:
    assert best_pulls(PLAN, pins_of(PLAN, "A", "2B"), "1B").side == "right"
    assert best_pulls(PLAN, pins_of(PLAN, "A", "2B"), "3B").side == "left"
    assert best_pulls(PLAN, pins_of(PLAN, "2B", "A"), "3B").side == "right"


def test_of_two_pairs_that_cross_alike_the_shorter_tapes_win() -> None:
    # The apex and the pitcher's plate are on one line to second base; the pitcher's plate is nearer.
    point = best_pulls(PLAN, pins_of(PLAN, "A", "PP", "1B"), "2B")
    assert [pull.name for pull in point.pulls] == ["PP-2B", "1B-2B"]
    assert point.crossing_deg == pytest.approx(45)


def test_a_square_crossing_beats_a_grazing_one() -> None:
    point = best_pulls(PLAN, pins_of(PLAN, "1B", "3B", "A"), "PP")
    assert [pull.name for pull in point.pulls] == ["1B-PP", "A-PP"]
    assert point.crossing_deg > 80
    grazing = best_pulls(PLAN, pins_of(PLAN, "1B", "3B"), "PP")
    assert GRAZING_DEG < grazing.crossing_deg < 10
    assert grazing.error_mm > 5 * point.error_mm


def test_pins_on_one_line_with_the_station_fix_nothing() -> None:
    with pytest.raises(PocketrefError, match="no two pins fix station '2B'"):
        best_pulls(PLAN, pins_of(PLAN, "A", "PP"), "2B")


def test_a_pin_under_the_station_is_no_pull() -> None:
    with pytest.raises(PocketrefError, match="no two pins fix"):
        best_pulls(PLAN, pins_of(PLAN, "1B", "A"), "1B")


def test_an_unknown_station_is_met_with_a_close_match() -> None:
    with pytest.raises(PocketrefError) as caught:
        best_pulls(PLAN, pins_of(PLAN, "A", "2B"), "1b")
    (problem,) = caught.value.problems
    assert problem.code == "station-unknown"
    assert "1B" in problem.hint


@pytest.mark.parametrize("order", [("A", "1B", "3B"), ("A", "3B", "1B")])
def test_equal_pairs_are_settled_by_the_order_of_the_pins(order: tuple[str, ...]) -> None:
    point = best_pulls(PLAN, pins_of(PLAN, *order), "PP")
    assert [pull.from_station for pull in point.pulls] == list(order[:2])


coordinates = st.integers(-30_000, 30_000).map(float)


@given(st.lists(st.tuples(coordinates, coordinates), min_size=2, max_size=4, unique=True))
@settings(max_examples=60, deadline=None)
def test_the_predicted_error_is_the_long_axis_of_the_least_squares_ellipse(
    places: list[tuple[float, float]],
) -> None:
    pins = [Station(f"N{number}", "nail", x, y) for number, (x, y) in enumerate(places)]
    try:
        point = best_pulls(PLAN, pins, "F3")
    except PocketrefError:
        reject()
    target = PLAN.stations["F3"]
    rows, weights = [], []
    for pull in point.pulls:
        pin = next(pin for pin in pins if pin.name == pull.from_station)
        rows.append([(target.x_mm - pin.x_mm) / pull.length_mm, (target.y_mm - pin.y_mm) / pull.length_mm])
        weights.append(1 / find_tape_tolerance(pull.length).float_mm ** 2)
    design = np.array(rows)
    covariance = np.linalg.inv(design.T @ np.diag(weights) @ design)
    assert point.error_mm == pytest.approx(math.sqrt(np.linalg.eigvalsh(covariance)[-1]), rel=1e-6)


@given(st.lists(st.tuples(coordinates, coordinates), min_size=3, max_size=5, unique=True))
@settings(max_examples=40, deadline=None)
def test_another_pin_never_makes_the_best_pair_worse(places: list[tuple[float, float]]) -> None:
    pins = [Station(f"N{number}", "nail", x, y) for number, (x, y) in enumerate(places)]
    try:
        fewer = best_pulls(PLAN, pins[:-1], "F3")
    except PocketrefError:
        reject()
    assert best_pulls(PLAN, pins, "F3").error_mm <= fewer.error_mm + 1e-6


def test_a_long_pull_is_taken_in_hundred_foot_lengths() -> None:
    assert find_tape_tolerance(read_length("127 ft 3 3/8 in")) == Length(Fraction(1, 4) + Fraction(1, 16))
    assert find_tape_tolerance(read_length("200 ft")) == Length(Fraction(1, 2))


@given(st.integers(0, 40_000), st.integers(0, 40_000))
@settings(max_examples=100)
def test_a_longer_pull_is_never_held_to_a_tighter_tolerance(first: int, second: int) -> None:
    short, long = sorted((first, second))
    tolerance = [find_tape_tolerance(Length(Fraction(inches, 8))) for inches in (short, long)]
    assert tolerance[0] <= tolerance[1]


def test_a_pull_shorter_than_nothing_is_refused() -> None:
    with pytest.raises(PocketrefError, match="shorter than nothing"):
        find_tape_tolerance(Length(Fraction(-1)))
