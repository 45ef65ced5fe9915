"""What would settle a station that is too close to call, tried by doing it: a warm tape, a steel one, one more pull."""

from __future__ import annotations

import math
from collections.abc import Iterable
from dataclasses import replace
from fractions import Fraction

import numpy as np
import pytest
from field_samples import FIELD, read_lengths
from simulated_fields import errors_of, simulate_field

from pocketref.field.diamond import construct_diamond
from pocketref.field.plan import Plan, construct_plate_area
from pocketref.field.pulls import pulls
from pocketref.tape.adjust import Adjustment, PlaceVerdict, adjust_readings
from pocketref.tape.error_budget import FIBREGLASS, STEEL, ErrorBudget
from pocketref.tape.loose_stations import list_sheet_pulls
from pocketref.tape.readings import PLATE_MARKS, Reading
from pocketref.tape.settling import SettledBy
from pocketref.tape.verdicts import TapeReport, judge_tape
from pocketref.units.length import Length

DIMENSIONS = read_lengths(FIELD)
PLATE = construct_plate_area(DIMENSIONS)
DIAMOND = construct_diamond(DIMENSIONS)
INCH = 25.4
BASES = [pull.name for pull in list_sheet_pulls(DIAMOND)]
ABOUT = 0.05
"""A pull to come is weighed by a length in whole mm, which may have the tape's next tolerance."""
FOUR = ("P2-F4", "P3-F4", "P2-F1", "P3-F1")


def tape(
    plan: Plan, pairs: Iterable[str], temperature_f: float | None = 68.0, resolution: Length | None = None
) -> list[Reading]:
    """Exact readings."""
    readings = []
    for pair in pairs:
        start, end = (plan.stations[mark] for mark in pair.split("-"))
        mm = math.hypot(end.x_mm - start.x_mm, end.y_mm - start.y_mm)
        length = Length.from_mm(Fraction(mm))
        readings.append(Reading(start.name, end.name, length, temperature_f, resolution))
    return readings


def reach_mm(adjustment: Adjustment, mark: str) -> float:
    """The least tolerance within which a station that is in its place is good: as far as its ellipse goes."""
    found = adjustment.stations[mark]
    return found.ellipse.semi_major_mm + found.offset_mm


def within(mm: float) -> Length:
    return Length.from_mm(Fraction(mm))


def cure_of(readings: list[Reading], mark: str, tolerance_mm: float, budget: ErrorBudget) -> SettledBy | None:
    return judge_tape(DIAMOND, readings, within(tolerance_mm), budget=budget).stations[mark].settled_by


# --- what settles -------------------------------------------------------------------------------------------------


@pytest.mark.parametrize("mark", ["1B", "2B", "3B"])
def test_the_temperature_is_the_cure_just_where_knowing_it_settles_the_station(mark: str) -> None:
    cold = tape(DIAMOND, BASES, None)
    known = reach_mm(adjust_readings(DIAMOND, tape(DIAMOND, BASES)), mark)
    unknown = reach_mm(adjust_readings(DIAMOND, cold), mark)
    assert known < 0.9 * unknown
    assert cure_of(cold, mark, known * 1.001, STEEL) is SettledBy.TEMPERATURE
    assert cure_of(cold, mark, unknown * 0.999, STEEL) is SettledBy.TEMPERATURE
    assert cure_of(cold, mark, known * 0.999, STEEL) is SettledBy.PULLS
    assert cure_of(cold, mark, unknown * 1.001, STEEL) is None


@pytest.mark.parametrize("mark", ["1B", "2B"])
def test_a_steel_tape_is_the_cure_just_where_it_settles_the_station(mark: str) -> None:
    glass = tape(DIAMOND, BASES, None)
    steel = reach_mm(adjust_readings(DIAMOND, tape(DIAMOND, BASES)), mark)
    assert cure_of(glass, mark, steel * 1.001, FIBREGLASS) is SettledBy.STEEL
    assert cure_of(glass, mark, steel * 0.999, FIBREGLASS) is SettledBy.PULLS


@pytest.mark.parametrize("temperature_f", [None, 68.0])
def test_a_fibreglass_tape_is_never_asked_for_its_temperature(temperature_f: float | None) -> None:
    """It says nothing of such a tape's length."""
    readings = tape(DIAMOND, BASES, temperature_f)
    for half_inches in range(1, 9):
        report = judge_tape(DIAMOND, readings, Length(Fraction(half_inches, 2)), budget=FIBREGLASS)
        assert SettledBy.TEMPERATURE not in {judged.settled_by for judged in report.stations.values()}


def test_a_steel_tape_of_known_temperature_leaves_only_more_pulls() -> None:
    report = judge_tape(DIAMOND, tape(DIAMOND, BASES), Length(Fraction(1, 16)))
    close = report.list_stations(PlaceVerdict.TOO_CLOSE)
    assert close
    assert {report.stations[mark].settled_by for mark in close} == {SettledBy.PULLS}


def test_the_readings_whose_temperature_is_known_are_not_warmed_again() -> None:
    """Half of the pulls have a temperature: to know the rest leaves the errors of all known."""
    mixed = tape(DIAMOND, BASES[::2]) + tape(DIAMOND, BASES[1::2], None)
    known = reach_mm(adjust_readings(DIAMOND, tape(DIAMOND, [*BASES[::2], *BASES[1::2]])), "2B")
    assert known * 1.002 < reach_mm(adjust_readings(DIAMOND, mixed), "2B")
    assert cure_of(mixed, "2B", known * 1.001, STEEL) is SettledBy.TEMPERATURE
    assert cure_of(mixed, "2B", known * 0.999, STEEL) is SettledBy.PULLS


def test_a_station_that_is_settled_has_no_cure() -> None:
    report = judge_tape(DIAMOND, tape(DIAMOND, BASES), Length(Fraction(4)))
    assert {judged.settled_by for judged in report.stations.values()} == {None}


# --- the next pull ---------------------------------------------------------------------------------------------


def variance(adjustment: Adjustment, marks: Iterable[str]) -> float:
    return sum(sum(error**2 for error in errors_of(adjustment.stations[mark])) for mark in marks)


def gains_by_trial(readings: list[Reading], marks: Iterable[str]) -> dict[str, float]:
    """The share of these stations' variance that each of the sheet's pulls takes away, by taping it."""
    before = adjust_readings(PLATE, readings)
    marks = list(marks)
    used = {mark for reading in readings for mark in reading.pair} | set(PLATE_MARKS)
    gains = {}
    for pull in pulls(PLATE):
        ends = {pull.from_station, pull.to_station}
        if ends <= used and not ends <= set(PLATE_MARKS):
            said = next((reading for reading in readings if reading.pair == ends), None)
            added = replace(said, times=1) if said else tape(PLATE, [pull.name], None)[0]
            after = adjust_readings(PLATE, [*readings, added])
            gains[pull.name] = 1 - variance(after, marks) / variance(before, marks)
    return gains


def judge_tight(readings: list[Reading]) -> TapeReport:
    return judge_tape(PLATE, readings, Length(Fraction(1, 10)))


@pytest.mark.parametrize(
    "names", [FOUR, (*FOUR, "F4-F1", "A-F1"), ("A-F1", "P3-F1", "P2-F1", "P2-F2", "A-F2")]
)
def test_no_other_pull_would_settle_more_than_the_next_one(names: tuple[str, ...]) -> None:
    readings = tape(PLATE, names)
    report = judge_tight(readings)
    open_ones = report.list_stations(PlaceVerdict.TOO_CLOSE)
    gains = gains_by_trial(readings, open_ones)
    pull = report.next_pull
    assert pull is not None
    assert pull.reason == "settles"
    assert pull.gain == pytest.approx(gains[pull.pull.name], rel=ABOUT)
    assert pull.gain == pytest.approx(max(gains.values()), rel=ABOUT)
    assert pull.is_repeat == (pull.pull.name in names)
    for mark in open_ones:
        own = report.stations[mark].pull
        assert own is not None
        assert own.gain == pytest.approx(max(gains_by_trial(readings, [mark]).values()), rel=ABOUT)


def test_where_all_is_taped_the_next_pull_is_one_to_tape_again() -> None:
    names = [
        p.name for p in list_sheet_pulls(PLATE) if not {p.from_station, p.to_station} <= set(PLATE_MARKS)
    ]
    report = judge_tight(tape(PLATE, names))
    assert report.untaped == tuple(p.name for p in list_sheet_pulls(PLATE) if p.name not in names)
    pull = report.next_pull
    assert pull is not None
    assert pull.is_repeat
    assert pull.pull.name in names


def test_a_pull_that_checks_is_not_one_already_taped_and_gains_what_it_adds_to_the_redundancy() -> None:
    readings = tape(PLATE, FOUR)
    report = judge_tape(PLATE, readings, Length(Fraction(6)))
    pull = report.next_pull
    assert pull is not None
    assert (pull.reason, pull.is_repeat) == ("checks", False)
    after = adjust_readings(PLATE, [*readings, *tape(PLATE, [pull.pull.name], None)])
    added = sum(judged.redundancy for judged in after.readings[: len(FOUR)])
    assert pull.gain == pytest.approx(added, rel=ABOUT)
    others = {}
    for name in ("F4-F1", "A-F1", "A-F4"):
        tried = adjust_readings(PLATE, [*readings, *tape(PLATE, [name], None)])
        others[name] = sum(judged.redundancy for judged in tried.readings[: len(FOUR)])
    assert pull.gain == pytest.approx(max(others.values()), rel=ABOUT)


def test_no_pull_across_a_plate_that_is_taken_as_known_is_asked_for() -> None:
    for seed in range(6):
        field = simulate_field(
            PLATE, list_sheet_pulls(PLATE)[8:23], PLATE_MARKS, np.random.default_rng(seed), misplaced_mm=3.0
        )
        pull = judge_tight(list(field.readings)).next_pull
        assert pull is not None
        assert not {pull.pull.from_station, pull.pull.to_station} <= set(PLATE_MARKS)


def test_a_coarser_pull_gains_less_when_it_is_taped_again() -> None:
    fine, coarse = (
        judge_tight(tape(PLATE, FOUR, resolution=Length(step))).adjustment
        for step in (Fraction(1, 16), Fraction(1))
    )
    assert variance(coarse, ["F4"]) > 2 * variance(fine, ["F4"])
