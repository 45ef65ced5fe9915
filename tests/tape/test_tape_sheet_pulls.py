"""The pulls of a check sheet: each can be told if misread, and pencil and sheet alone find one wrong corner."""

from __future__ import annotations

import math
from collections import Counter

import numpy as np
import pytest
from field_sheets import library, plan_of
from simulated_fields import FAULTS, SimulatedField, simulate_field
from tape_samples import INCH, TOLERANCE, judge

from pocketref.field.plan import Plan
from pocketref.field.pulls import Pull, pulls
from pocketref.tape.error_model import ELLIPSE_FACTOR, HONEST
from pocketref.tape.network import construct_network, find_places, solve_network
from pocketref.tape.readings import PLATE_MARKS
from pocketref.tape.sheet_pulls import choose_sheet_pulls, find_limit_mm
from pocketref.tape.verdicts import judge_tape

PLATE, DIAMOND = plan_of("plate-area"), plan_of("diamond")


@pytest.mark.parametrize("plan", [PLATE, DIAMOND], ids=["plate area", "bases"])
def test_each_pull_misread_by_a_foot_is_named(plan: Plan) -> None:
    must = choose_sheet_pulls(plan, TOLERANCE).must
    for number, pull in enumerate(must):
        report = judge(plan, must, seed=number, misread_in={pull.name: 12.0})
        assert [misread.name for misread in report.misreads] == [pull.name]


@pytest.mark.parametrize("plan", [PLATE, DIAMOND], ids=["plate area", "bases"])
def test_each_mark_is_known_as_well_as_the_sheet_says(plan: Plan) -> None:
    """By solving the sheet's readings, as a verdict does."""
    sheet = choose_sheet_pulls(plan, TOLERANCE)
    readings = simulate_field(plan, sheet.must, np.random.default_rng(1)).readings
    network = construct_network(plan, readings, TOLERANCE.float_mm / HONEST)
    _, covariance = find_places(network, solve_network(network))
    axes = [
        ELLIPSE_FACTOR * math.sqrt(float(np.linalg.eigvalsh(block)[-1]))
        for mark, block in zip(network.marks, covariance, strict=True)
        if mark not in PLATE_MARKS
    ]
    assert max(axes) == pytest.approx(sheet.known_mm, rel=0.01)


@pytest.mark.parametrize("level", sorted(library().fields))
def test_thirty_pulls_or_fewer_do_around_home_plate_and_the_rest_is_a_list_of_its_own(level: str) -> None:
    plan = plan_of("plate-area", level)
    sheet = choose_sheet_pulls(plan, TOLERANCE)
    assert len(sheet.must) <= 30
    assert {*sheet.must, *sheet.more} == set(pulls(plan))
    assert not set(sheet.must) & set(sheet.more)
    stations = {mark for pull in sheet.must for mark in (pull.from_station, pull.to_station)}
    assert stations | set(PLATE_MARKS) == set(plan.stations)


def measure_walk(plan: Plan, order: tuple[Pull, ...]) -> float:
    """How far two people walk from pull to pull, whoever goes to whichever end."""
    place = {mark: (station.x_mm, station.y_mm) for mark, station in plan.stations.items()}
    here, far = ("A", "A"), 0.0
    for pull in order:
        ends = (pull.from_station, pull.to_station)
        far += min(
            sum(math.dist(place[a], place[b]) for a, b in zip(here, each, strict=True))
            for each in (ends, ends[::-1])
        )
        here = ends
    return far


def test_the_order_is_a_shorter_walk_than_the_list_of_all_pulls() -> None:
    must = choose_sheet_pulls(PLATE, TOLERANCE).must
    listed = tuple(pull for pull in pulls(PLATE) if pull in must)
    assert measure_walk(PLATE, must) < 0.75 * measure_walk(PLATE, listed)


def list_beyond(field: SimulatedField, taped: tuple[Pull, ...]) -> list[Pull]:
    """The pulls that a pencil marks: beyond the printed ±."""
    return [
        pull
        for pull, reading in zip(taped, field.readings, strict=True)
        if abs(reading.length.float_mm - pull.length_mm) > find_limit_mm(pull) + 1e-6
    ]


def test_a_true_field_is_within_the_printed_limits() -> None:
    must, random = choose_sheet_pulls(PLATE, TOLERANCE).must, np.random.default_rng(1)
    assert sum(not list_beyond(simulate_field(PLATE, must, random), must) for _ in range(60)) >= 57


@pytest.mark.parametrize("inches", [0.75, 1.0, 3.0])
def test_the_mark_that_ends_most_pulls_beyond_their_limit_is_the_corner_that_is_off(inches: float) -> None:
    """What the sheet tells a crew to do without any computer."""
    must, random = choose_sheet_pulls(PLATE, TOLERANCE).must, np.random.default_rng(2)
    for _ in range(40):
        fault = FAULTS["corner 1.0 in off"](PLATE, must, random)
        (mark,) = fault.off
        dx, dy = fault.given["moved_in"][mark]
        field = simulate_field(PLATE, must, random, moved_in={mark: (dx * inches, dy * inches)})
        ends = Counter(
            end for pull in list_beyond(field, must) for end in (pull.from_station, pull.to_station)
        )
        assert ends.most_common(1)[0][0] == mark


def test_limits_are_in_sixteenths_and_grow_with_length() -> None:
    limits = [(pull.length_mm, find_limit_mm(pull) / INCH * 16) for pull in (*pulls(PLATE), *pulls(DIAMOND))]
    assert all(limit == pytest.approx(round(limit)) for _, limit in limits)
    assert [limit for _, limit in sorted(limits)] == sorted(limit for _, limit in limits)


@pytest.mark.parametrize(("plan", "goal_in"), [(PLATE, 1 / 2), (DIAMOND, 1)], ids=["plate area", "bases"])
def test_a_mark_as_far_off_as_the_sheet_says_is_told(plan: Plan, goal_in: float) -> None:
    """Each mark in four ways: none passes. Between the bases a tape can't tell half an inch."""
    sheet, random = choose_sheet_pulls(plan, TOLERANCE), np.random.default_rng(3)
    told_in = sheet.told_mm / INCH
    assert goal_in * 0.9 < told_in <= goal_in
    marks = {mark for pull in sheet.must for mark in pull.pair} - {*PLATE_MARKS, "2B"}
    for mark in sorted(marks):
        for x, y in ((told_in, 0.0), (0.0, told_in), (-told_in, 0.0), (0.0, -told_in)):
            field = simulate_field(plan, sheet.must, random, moved_in={mark: (x, y)})
            assert not judge_tape(plan, field.readings, TOLERANCE).is_fine, mark
