"""What a crew is told to move: never a corner that is where it should be, whatever was misread or swapped."""

from __future__ import annotations

import math
from dataclasses import replace
from fractions import Fraction

import numpy as np
import pytest
from field_samples import FIELD, read_lengths
from simulated_fields import errors_of, simulate_field
from tape_samples import INCH, read_exactly

from pocketref.field.diamond import construct_diamond
from pocketref.field.plan import Plan, construct_plate_area
from pocketref.problems import PocketrefError
from pocketref.tape.adjust import PlaceVerdict, adjust_readings
from pocketref.tape.error_budget import FIBREGLASS, STEEL, predict_reading_error_mm
from pocketref.tape.loose_stations import list_sheet_pulls
from pocketref.tape.readings import PLATE_MARKS, Reading
from pocketref.tape.settling import SettledBy
from pocketref.tape.verdicts import TapeReport, judge_tape
from pocketref.units.length import Length

DIMENSIONS = read_lengths(FIELD)
PLATE = construct_plate_area(DIMENSIONS)
DIAMOND = construct_diamond(DIMENSIONS)
SHEETS = {
    "plate area": (PLATE, list_sheet_pulls(PLATE), PLATE_MARKS),
    "bases": (DIAMOND, list_sheet_pulls(DIAMOND), ("A", "2B", "PP")),
}
HALF_INCH = Length(Fraction(1, 2))

Readings = list[Reading]


def tape(name: str, seed: int) -> tuple[Plan, Readings]:
    """A sheet's readings of a field that is nearly true, by a tape like any other."""
    plan, pulls, held = SHEETS[name]
    field = simulate_field(plan, pulls, held, np.random.default_rng(seed), misplaced_mm=1.5)
    return plan, list(field.readings)


def misread(readings: Readings, name: str, inches: int) -> None:
    index = next(i for i, reading in enumerate(readings) if reading.name == name)
    readings[index] = replace(readings[index], length=readings[index].length + Length(Fraction(inches)))


def swap(readings: Readings, first: str, second: str) -> None:
    a, b = (next(i for i, r in enumerate(readings) if r.name == name) for name in (first, second))
    lengths = readings[a].length, readings[b].length
    readings[b], readings[a] = (
        replace(readings[i], length=length) for i, length in zip((b, a), lengths, strict=True)
    )


def told_to_move(report: TapeReport) -> tuple[str, ...]:
    return report.list_stations(PlaceVerdict.OUT)


@pytest.mark.parametrize(("first", "second"), [("P2-F4", "P2-F1"), ("A-F2", "A-F3"), ("F1-F2", "F2-F3")])
def test_two_readings_in_each_others_place_are_named_as_swapped_and_move_nothing(
    first: str, second: str
) -> None:
    plan, readings = tape("plate area", 3)
    swap(readings, first, second)
    report = judge_tape(plan, readings, HALF_INCH)
    assert [set(pair) for pair in report.adjustment.swapped] == [{first, second}]
    assert {found.name for found in report.adjustment.misreads} == {first, second}
    assert report.adjustment.is_consistent
    assert told_to_move(report) == ()
    assert report.list_stations(PlaceVerdict.NOT_JUDGED) == ()


@pytest.mark.parametrize("names", [("P2-T4", "A-F3"), ("A-T1", "P3-T1"), ("F2-T3", "T2-F3", "A-L1")])
def test_several_misreads_are_all_named_and_move_nothing(names: tuple[str, ...]) -> None:
    plan, readings = tape("plate area", 4)
    for name in names:
        misread(readings, name, 12)
    report = judge_tape(plan, readings, HALF_INCH)
    found = {found.name: found.by_mm for found in report.adjustment.misreads}
    assert found.keys() >= set(names)
    assert [found[name] for name in names] == pytest.approx([12 * INCH] * len(names), abs=INCH / 2)
    assert told_to_move(report) == ()


@pytest.mark.parametrize("name", SHEETS)
@pytest.mark.parametrize("seed", range(8))
def test_no_true_station_is_moved_by_two_misreads_anywhere(name: str, seed: int) -> None:
    plan, readings = tape(name, seed)
    random = np.random.default_rng(seed + 100)
    for index in random.choice(len(readings), 2, replace=False).tolist():
        if readings[index].length.inches > 20:
            misread(readings, readings[index].name, int(random.choice([1, 3, -6, 12, -12])))
    assert told_to_move(judge_tape(plan, readings, HALF_INCH)) == ()


def test_many_misreads_that_cannot_be_sorted_out_leave_everything_unjudged() -> None:
    plan, readings = tape("bases", 2)
    random = np.random.default_rng(1)
    for reading in list(readings):
        misread(readings, reading.name, int(random.integers(-9, 10)))
    report = judge_tape(plan, readings, HALF_INCH)
    assert not report.adjustment.is_consistent
    assert {judged.verdict for judged in report.stations.values()} <= {
        PlaceVerdict.NOT_JUDGED,
        PlaceVerdict.TAKEN_AS_KNOWN,
    }
    assert report.next_pull is None


def test_a_corner_that_is_out_is_still_moved_beside_a_misread() -> None:
    readings = read_exactly(PLATE, list_sheet_pulls(PLATE), {"F2": (2.0, -1.0)})
    misread(readings, "A-F3", 12)
    report = judge_tape(PLATE, readings, HALF_INCH)
    assert told_to_move(report) == ("F2",)
    assert report.stations["F2"].move.write() == "1 in toward the pitcher, 2 in toward third"
    assert report.adjustment.misread == "A-F3"


def test_a_corner_that_nothing_checks_is_taped_again_before_it_is_moved() -> None:
    two = tuple(pull for pull in list_sheet_pulls(PLATE) if pull.name in {"P2-F4", "P3-F4"})
    once = read_exactly(PLATE, two, {"F4": (0.0, 3.0)})
    report = judge_tape(PLATE, once, HALF_INCH)
    assert report.stations["F4"].verdict is PlaceVerdict.NOT_JUDGED
    assert report.stations["F4"].check_first == ("P2-F4", "P3-F4")
    twice = judge_tape(PLATE, [*once, *once], HALF_INCH)
    assert twice.stations["F4"].verdict is PlaceVerdict.OUT
    assert twice.adjustment.unchecked == ()


def test_the_plate_is_judged_before_what_is_judged_from_it() -> None:
    plan, pulls, _ = SHEETS["plate area"]
    report = judge_tape(plan, read_exactly(plan, pulls, {"P2": (1.0, 0.0)}), HALF_INCH)
    assert report.plate is not None
    assert report.plate.off == ("P2",)
    assert report.adjustment.misreads == ()
    assert report.stations["P2"].found.offset_mm == pytest.approx(INCH, abs=0.1)
    assert told_to_move(report) == ("P2",)
    assert report.stations["F1"].found.offset_mm < 0.1


def test_a_misread_of_the_plate_itself_is_no_fault_of_the_plate() -> None:
    plan, pulls, _ = SHEETS["plate area"]
    readings = read_exactly(plan, pulls, {})
    misread(readings, "P2-P3", 1)
    report = judge_tape(plan, readings, HALF_INCH)
    assert report.adjustment.misread == "P2-P3"
    assert report.plate is not None
    assert report.plate.off == ()


@pytest.mark.parametrize(
    ("share", "words"),
    [
        (Fraction(3048, 10000), "metres written as feet"),
        (Fraction(12), "inches written as feet"),
        (Fraction(100, 254), "inches written as centimetres"),
    ],
)
def test_a_whole_sheet_in_another_unit_is_told_and_nothing_judged(share: Fraction, words: str) -> None:
    plan, readings = tape("plate area", 5)
    slipped = [replace(reading, length=Length(reading.length.inches * share)) for reading in readings]
    with pytest.raises(PocketrefError) as raised:
        judge_tape(plan, slipped, HALF_INCH)
    (problem,) = raised.value.problems
    assert problem.code == "readings-unit"
    assert words in problem.sentence


def test_the_temperature_is_the_cure_of_long_pulls_and_no_pull_is_asked_for() -> None:
    exact = read_exactly(DIAMOND, list_sheet_pulls(DIAMOND), {})
    cold = [replace(reading, temperature_f=None) for reading in exact]
    report = judge_tape(DIAMOND, cold, HALF_INCH)
    close = report.list_stations(PlaceVerdict.TOO_CLOSE)
    assert close
    assert {report.stations[mark].settled_by for mark in close} == {SettledBy.TEMPERATURE}
    assert report.next_pull is None
    assert judge_tape(DIAMOND, exact, HALF_INCH).list_stations(PlaceVerdict.TOO_CLOSE) == ()


def test_a_fibreglass_tape_that_cannot_settle_a_base_is_to_be_changed_for_steel() -> None:
    exact = read_exactly(DIAMOND, list_sheet_pulls(DIAMOND), {})
    report = judge_tape(DIAMOND, exact, HALF_INCH, budget=FIBREGLASS)
    assert report.stations["1B"].settled_by is SettledBy.STEEL


@pytest.mark.parametrize("seed", range(4))
def test_only_pulls_of_the_sheet_are_asked_for_when_it_is_filled_in(seed: int) -> None:
    plan, pulls, _ = SHEETS["plate area"]
    _, readings = tape("plate area", seed)
    report = judge_tape(plan, readings, Length(Fraction(3, 8)))
    on_sheet = {pull.name for pull in pulls}
    close = [report.stations[mark] for mark in report.list_stations(PlaceVerdict.TOO_CLOSE)]
    assert close
    for judged in close:
        assert judged.pull is not None
        assert judged.pull.pull.name in on_sheet
        assert judged.pull.is_repeat
    assert report.next_pull is not None
    assert report.next_pull.pull.name in on_sheet


def test_a_pull_taped_again_makes_its_stations_surer_by_what_was_promised() -> None:
    plan, readings = tape("plate area", 1)
    report = judge_tape(plan, readings, Length(Fraction(3, 8)))
    assert report.next_pull is not None
    again = next(r for r in readings if r.name == report.next_pull.pull.name)
    after = adjust_readings(plan, [*readings, again])
    marks = report.list_stations(PlaceVerdict.TOO_CLOSE)
    before_mm2, after_mm2 = (
        sum(error**2 for mark in marks for error in errors_of(adjustment.stations[mark]))
        for adjustment in (report.adjustment, after)
    )
    assert 1 - after_mm2 / before_mm2 == pytest.approx(report.next_pull.gain, rel=0.05)


def test_reading_again_evens_out_the_hand_but_not_the_tape() -> None:
    length = Length(Fraction(1000))
    once, twice, often = (
        predict_reading_error_mm(length, 68.0, None, STEEL, times) for times in (1, 2, 10**6)
    )
    tape_alone = math.sqrt(once**2 - 2 * (once**2 - twice**2))
    assert once > twice > often
    assert often == pytest.approx(tape_alone, rel=1e-3)


def test_a_pull_left_out_is_named_even_where_all_is_good() -> None:
    readings = [r for r in read_exactly(PLATE, list_sheet_pulls(PLATE), {}) if r.name != "T2-T4"]
    report = judge_tape(PLATE, readings, HALF_INCH)
    assert report.untaped == ("T2-T4",)
    assert report.adjustment.is_consistent


def test_of_several_misreads_the_likeliest_is_named_first_with_its_size() -> None:
    readings = read_exactly(PLATE, list_sheet_pulls(PLATE))
    misread(readings, "A-F3", 4)
    misread(readings, "P2-T4", -12)
    adjustment = adjust_readings(PLATE, readings)
    assert [found.name for found in adjustment.misreads] == ["P2-T4", "A-F3"]
    assert adjustment.misread == "P2-T4"
    assert adjustment.misread_by_mm == pytest.approx(-12 * INCH, abs=1)
    assert adjust_readings(PLATE, read_exactly(PLATE, list_sheet_pulls(PLATE))).misread == ""


def test_with_three_corners_of_the_plate_off_nothing_is_moved_by_what_is_left_of_it() -> None:
    off = {"P1": (1.0, 0.5), "P4": (-0.8, 0.4), "P3": (0.5, 0.9)}
    report = judge_tape(PLATE, read_exactly(PLATE, list_sheet_pulls(PLATE), off), HALF_INCH)
    assert told_to_move(report) == ()
    assert report.plate is not None
    assert len(report.plate.off) == 2
    assert {*report.list_stations(PlaceVerdict.NOT_JUDGED)} >= {
        "F1",
        "F2",
        "F3",
        "F4",
        "T1",
        "T2",
        "T3",
        "T4",
    }


def test_two_corners_of_the_plate_off_are_found_and_no_pull_is_called_misread_for_it() -> None:
    off = {"P2": (1.0, 0.0), "P3": (-0.8, 0.4)}
    report = judge_tape(PLATE, read_exactly(PLATE, list_sheet_pulls(PLATE), off), HALF_INCH)
    assert report.plate is not None
    assert report.plate.off == ("P2", "P3")
    assert report.adjustment.misreads == ()
    assert told_to_move(report) == ()


@pytest.mark.parametrize(
    ("names", "verdict"), [(("A-F3",), PlaceVerdict.OUT), (("F2-F4", "A-F3"), PlaceVerdict.NOT_JUDGED)]
)
def test_three_things_wrong_with_the_readings_are_taped_again_before_anything_is_moved(
    names: tuple[str, ...], verdict: PlaceVerdict
) -> None:
    """One misread or two, and beside them three pulls of one station one of which is: they count as one thing."""
    sheet = [pull for pull in list_sheet_pulls(PLATE) if pull.name != "L3-L1"]
    readings = read_exactly(PLATE, sheet, {"T2": (-3.0, 1.0)})
    for name in names:
        misread(readings, name, 12)
    misread(readings, "A-L1", 4)
    report = judge_tape(PLATE, readings, HALF_INCH)
    assert [{*group} for group in report.adjustment.suspect_groups] == [{"P3-L1", "A-L1", "F4-L1"}]
    assert {found.name for found in report.adjustment.misreads} == {*names}
    assert report.stations["T2"].verdict is verdict
    assert {*report.stations["T2"].check_first} == ({*names} if verdict is PlaceVerdict.NOT_JUDGED else set())
