"""The next pull to tape, against trying each: it is added to the readings and the field is found anew."""

from __future__ import annotations

import itertools
from collections.abc import Iterable, Sequence

import pytest
from field_samples import FIELD, read_lengths
from simulated_fields import errors_of
from tape_samples import pin, plan_of, tape

from pocketref.field.plan import Plan, construct_plate_area
from pocketref.field.pulls import pulls
from pocketref.tape.adjust import Adjustment, adjust_readings
from pocketref.tape.error_budget import STEEL
from pocketref.tape.loose_stations import list_sheet_pulls
from pocketref.tape.readings import PLATE_MARKS, Pin, Reading
from pocketref.tape.settling import NextPull, find_next_pulls

PLATE = construct_plate_area(read_lengths(FIELD))
SHEET = [pull.name for pull in list_sheet_pulls(PLATE)]
OWN = [frozenset((pull.from_station, pull.to_station)) for pull in pulls(PLATE)]
NET = plan_of({"A": (0, 0), "B": (700, 40), "C": (650, 560), "D": (90, 610), "E": (330, 260)})

SOME = [name for name in SHEET if SHEET.index(name) % 3 != 1]
"""Two thirds of the sheet: every station is fixed, and much is left to tape."""


def try_all(
    plan: Plan, readings: Sequence[Reading], pins: Sequence[Pin] | None, marks: Iterable[str]
) -> dict[frozenset[str], float]:
    """By pair of stations in use, the share of the marks' variance that one more reading of it takes away."""
    before = adjust_readings(plan, readings, pins)
    gains = {}
    for start, end in itertools.combinations(before.network.marks, 2):
        if {start, end} <= {*PLATE_MARKS} and plan is PLATE:
            continue
        taped = next((r for r in readings if r.pair == {start, end}), None)
        (added,) = [taped] if taped else tape(plan, [f"{start}-{end}"])
        if taped is None:
            added = Reading(start, end, added.length, None)
        after = adjust_readings(plan, [*readings, added], pins)
        gains[frozenset((start, end))] = 1 - weigh(after, marks) / weigh(before, marks)
    return gains


def weigh(adjustment: Adjustment, marks: Iterable[str]) -> float:
    return sum(error**2 for mark in marks for error in errors_of(adjustment.stations[mark]))


def ends(found: NextPull | None) -> frozenset[str]:
    assert found is not None
    return frozenset((found.pull.from_station, found.pull.to_station))


@pytest.mark.parametrize("marks", [("F1",), ("T2", "T3"), ("F2", "T4", "L1"), ("L3",)])
def test_no_other_pull_of_the_plan_s_own_settles_more(marks: tuple[str, ...]) -> None:
    readings = tape(PLATE, SOME)
    found = find_next_pulls(adjust_readings(PLATE, readings), marks, STEEL)
    for wanted, pull in [(marks, found.best), *(((mark,), found.by_station[mark]) for mark in marks)]:
        gains = {
            pair: gain
            for pair, gain in try_all(PLATE, readings, None, wanted).items()
            if pair in OWN or pair in [reading.pair for reading in readings]
        }
        assert pull is not None
        assert pull.gain == pytest.approx(max(gains.values()), rel=0.03)
        assert gains[ends(pull)] == pytest.approx(max(gains.values()), rel=0.03)
        assert pull.is_repeat == (ends(pull) in [reading.pair for reading in readings])
        assert pull.reason == "settles"


def test_where_the_plan_has_no_pulls_of_its_own_one_is_taped_again() -> None:
    readings = tape(NET, ["A-C", "B-C", "A-D", "C-D", "A-E", "B-E", "C-E"])
    pins = pin("A", "B")
    found = find_next_pulls(adjust_readings(NET, readings, pins), ("D",), STEEL).best
    gains = try_all(NET, readings, pins, ("D",))
    again = {pair: gain for pair, gain in gains.items() if pair in [reading.pair for reading in readings]}
    assert again[ends(found)] == pytest.approx(max(again.values()), rel=1e-6)


def test_a_pull_that_is_misread_is_not_one_to_tape_again_for_its_station() -> None:
    """What it would say is not known; that it is to be taped again is told with the misread."""
    every, pins = [f"{start}-{end}" for start, end in itertools.combinations(NET.stations, 2)], pin("A", "B")
    exact = find_next_pulls(adjust_readings(NET, tape(NET, every), pins), ("D",), STEEL).best
    assert ends(exact) == {"A", "D"}
    adjustment = adjust_readings(NET, tape(NET, every, A_D=12.0), pins)
    assert adjustment.misread == "A-D"
    best = find_next_pulls(adjustment, ("D",), STEEL).best
    assert best is not None
    assert best.is_repeat
    assert ends(best) != {"A", "D"}


@pytest.mark.parametrize("left_out", [("C-E",), ("C-D",)])
def test_where_all_is_settled_the_next_pull_checks_most_of_what_nothing_checks(
    left_out: tuple[str, ...],
) -> None:
    """What one more reading adds to the redundancy of the readings that had none; taped again would not tell."""
    names = [name for name in ("A-C", "B-C", "A-D", "C-D", "A-E", "B-E", "C-E") if name not in left_out]
    names += ["B-D"] if left_out == ("C-D",) else []
    readings, pins = tape(NET, names), pin("A", "B")
    before = adjust_readings(NET, readings, pins)
    bare = [judged.reading.name for judged in before.readings if judged.is_unchecked]
    assert bare
    gains = {}
    for start, end in itertools.combinations(NET.stations, 2):
        if {start, end} in [reading.pair for reading in readings]:
            continue
        (added,) = tape(NET, [f"{start}-{end}"])
        after = adjust_readings(NET, [*readings, Reading(start, end, added.length, None)], pins)
        gains[frozenset((start, end))] = sum(
            one.redundancy for one in after.readings if one.reading.name in bare
        )
    found = find_next_pulls(before, (), STEEL).best
    assert found is not None
    assert (found.reason, found.is_repeat) == ("checks", False)
    assert gains[ends(found)] == pytest.approx(max(gains.values()), rel=1e-3)
    assert found.gain == pytest.approx(max(gains.values()), rel=0.03)


def test_nothing_is_asked_for_where_all_is_settled_and_checked() -> None:
    found = find_next_pulls(adjust_readings(PLATE, tape(PLATE, SHEET)), (), STEEL)
    assert (found.best, dict(found.by_station)) == (None, {})
