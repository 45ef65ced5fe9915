"""Fields whose truth is known: what a crew is told of them. The figures of many more are in the benchmark."""

from __future__ import annotations

import numpy as np
import pytest
from field_sheets import plan_of
from simulated_fields import FAULTS, simulate_field
from tape_samples import TOLERANCE

from pocketref.tape.error_model import HONEST
from pocketref.tape.network import construct_network, find_places, solve_network
from pocketref.tape.readings import PLATE_MARKS
from pocketref.tape.sheet_pulls import choose_sheet_pulls
from pocketref.tape.verdicts import LEAVE, PlaceVerdict, TapeReport, judge_tape
from pocketref.tape_report.tape_words import write_faults

PLATE, DIAMOND = plan_of("plate-area"), plan_of("diamond")
FIELDS = 12


def judge_all(name: str, plan_name: str = "plate-area") -> list[tuple[TapeReport, tuple[str, ...]]]:
    """Reports of fields with a fault, each with the stations that are truly off."""
    plan = plan_of(plan_name)
    taped, random = choose_sheet_pulls(plan, TOLERANCE).must, np.random.default_rng(5)
    reports = []
    for _ in range(FIELDS):
        fault = FAULTS[name](plan, taped, random)
        field = simulate_field(plan, fault.taped or taped, random, **fault.given)
        reports.append((judge_tape(plan, field.readings, TOLERANCE), fault.off))
    return reports


@pytest.mark.parametrize("plan_name", ["plate-area", "diamond"])
def test_a_perfect_field_passes(plan_name: str) -> None:
    assert sum(report.is_fine for report, _ in judge_all("nothing", plan_name)) >= FIELDS - 1


@pytest.mark.parametrize("name", FAULTS)
def test_no_true_corner_is_ordered_moved_under_any_single_fault(name: str) -> None:
    for report, off in judge_all(name):
        assert set(report.list_stations(PlaceVerdict.OUT)) <= set(off)


@pytest.mark.parametrize("name", [name for name in FAULTS if name.startswith("corner")])
def test_a_corner_that_is_off_is_ordered_moved_or_asked_for_again(name: str) -> None:
    for report, off in judge_all(name):
        assert all(report.stations[mark].verdict not in LEAVE for mark in off)
        assert not report.is_fine


@pytest.mark.parametrize("name", [name for name in FAULTS if name.startswith(("factor", "offset"))])
def test_the_tape_is_named_and_nothing_is_ordered_moved(name: str) -> None:
    for report, _ in judge_all(name):
        assert report.tape is not None or abs(float(name.split()[1])) < 0.005
        assert report.list_stations(PlaceVerdict.OUT) == ()


@pytest.mark.parametrize(
    ("factor", "moved"), [(0.004, {}), (0.005, {}), (0.004, {"T4": (4.0, 0.0)}), (0.005, {"T4": (4.0, 0.0)})]
)
def test_a_harmless_tape_is_checked_where_a_corner_waits_for_it(
    factor: float, moved: dict[str, tuple[float, float]]
) -> None:
    """A corner far off is neither moved nor left for good: the second tape that settles it is asked for."""
    sheet = choose_sheet_pulls(PLATE, TOLERANCE)
    taped = (*sheet.must, *sheet.more)
    field = simulate_field(PLATE, taped, np.random.default_rng(5), factor=factor, moved_in=moved)
    report = judge_tape(PLATE, field.readings, TOLERANCE)
    assert report.tape is not None
    assert report.tape.is_harmless
    words = "; ".join(write_faults(report))
    assert ("with a second tape" in words) == bool(moved)
    assert ("either way" in words) == ("or the whole field" in words)
    assert set(report.list_stations(PlaceVerdict.AGAIN)) == set(moved)


def test_places_are_as_sure_as_they_say() -> None:
    """Of true places within an honest field's spread 95 % lie in their ellipses; in 90 to 99 % of so few."""
    taped, random = choose_sheet_pulls(PLATE, TOLERANCE).must, np.random.default_rng(2)
    held = []
    for _ in range(30):
        honest = TOLERANCE.float_mm / HONEST
        field = simulate_field(PLATE, taped, random, held=PLATE_MARKS, misplaced_mm=honest)
        network = construct_network(PLATE, field.readings, honest)
        off, covariance = find_places(network, solve_network(network))
        for mark, place, spread in zip(network.marks, off, covariance, strict=True):
            if mark not in PLATE_MARKS:
                apart = place + network.planned_mm[network.marks.index(mark)] - field.true_mm[mark]
                held.append(float(apart @ np.linalg.solve(spread, apart)) <= 5.991)
    assert 0.90 < np.mean(held) < 0.995
