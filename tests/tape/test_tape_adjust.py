"""Readings to places: what is found, how sure, which pull is misread, what nothing checks, what is refused."""

from __future__ import annotations

import math
from collections.abc import Callable
from fractions import Fraction

import numpy as np
import pytest
from field_samples import FIELD, read_lengths
from hypothesis import given, settings
from hypothesis import strategies as st
from simulated_fields import errors_of, misread_pull, simulate_field
from tape_samples import INCH, read_exactly

from pocketref.field.diamond import construct_diamond
from pocketref.field.plan import Plan, construct_plate_area
from pocketref.field.pulls import Pull, pulls
from pocketref.problems import PocketrefError
from pocketref.tape.adjust import Adjustment, adjust_readings
from pocketref.tape.error_budget import FIBREGLASS, STEEL, predict_reading_error_mm
from pocketref.tape.readings import PLATE_MARKS, Pin, Reading
from pocketref.tape.verdicts import PlaceVerdict, TapeReport, judge_tape
from pocketref.units.length import Length

DIMENSIONS = read_lengths(FIELD)
PLATE = construct_plate_area(DIMENSIONS)
DIAMOND = construct_diamond(DIMENSIONS)
HALF_INCH = Length(Fraction(1, 2))
FOOT = Length(Fraction(12))

Place = tuple[float, float]


def taped(plan: Plan, is_wanted: Callable[[Pull], bool]) -> list[Pull]:
    plate = set(PLATE_MARKS)
    return [p for p in pulls(plan) if not plate >= {p.from_station, p.to_station} and is_wanted(p)]


BOXES = taped(PLATE, lambda pull: not {pull.from_station, pull.to_station} & {"L1", "L3"})
THIRD_BOX = taped(PLATE, lambda pull: "F" not in pull.name and "L" not in pull.name)


def offset_in(adjustment: Adjustment, mark: str) -> Place:
    found = adjustment.stations[mark]
    return (found.x_mm - found.planned_x_mm) / INCH, (found.y_mm - found.planned_y_mm) / INCH


def problems_of(plan: Plan, readings: list[Reading]) -> list[tuple[str, str, str]]:
    with pytest.raises(PocketrefError) as raised:
        adjust_readings(plan, readings)
    return [(problem.code, problem.sentence, problem.hint) for problem in raised.value.problems]


def test_a_field_as_planned_is_found_as_planned() -> None:
    adjustment = adjust_readings(PLATE, read_exactly(PLATE, BOXES))
    assert adjustment.is_consistent
    assert adjustment.misread == ""
    assert all(found.offset_mm < 1e-4 for found in adjustment.stations.values())


def test_a_moved_corner_is_found_where_it_was_put() -> None:
    readings = read_exactly(PLATE, BOXES, {"F3": (1.5, -2.25), "T1": (0.0, 3.0)})
    adjustment = adjust_readings(PLATE, readings)
    assert offset_in(adjustment, "F3") == pytest.approx((1.5, -2.25), abs=1e-4)
    assert offset_in(adjustment, "T1") == pytest.approx((0.0, 3.0), abs=1e-4)
    assert offset_in(adjustment, "F1") == pytest.approx((0.0, 0.0), abs=1e-4)
    assert adjustment.misread == ""


def test_redundancy_numbers_add_up_to_the_spare_readings() -> None:
    readings = read_exactly(PLATE, BOXES)
    adjustment = adjust_readings(PLATE, readings)
    assert adjustment.spare == len(readings) - 16
    assert sum(judged.redundancy for judged in adjustment.readings) == pytest.approx(adjustment.spare)


@pytest.mark.parametrize("index", range(len(BOXES)))
def test_a_foot_misread_is_named_whichever_pull_it_is_in(index: int) -> None:
    field = simulate_field(PLATE, BOXES, PLATE_MARKS, np.random.default_rng(index))
    adjustment = adjust_readings(PLATE, misread_pull(field, index, FOOT).readings)
    assert adjustment.misread == BOXES[index].name
    assert adjustment.misread_by_mm == pytest.approx(12 * INCH, abs=INCH)
    assert adjustment.chi_square < adjustment.chi_square_most


def test_two_pulls_a_station_leave_every_reading_unchecked() -> None:
    readings = read_exactly(PLATE, taped(PLATE, lambda p: p.name in {"P2-F4", "P3-F4"}))
    adjustment = adjust_readings(PLATE, readings)
    assert adjustment.unchecked == ("P2-F4", "P3-F4")
    assert adjustment.spare == 0
    assert adjustment.readings[0].standardised is None


def test_a_misread_that_two_pulls_explain_alike_is_laid_to_both() -> None:
    """Three pulls to one corner: one is spare, so a misfit shows but not whose it is."""
    readings = read_exactly(PLATE, taped(PLATE, lambda p: p.name in {"P2-F4", "P3-F4", "A-F4"}))
    readings[2] = Reading("A", "F4", readings[2].length + Length(Fraction(3)), 68.0)
    adjustment = adjust_readings(PLATE, readings)
    assert adjustment.misread == ""
    assert set(adjustment.suspects) == {"P2-F4", "P3-F4", "A-F4"}
    assert set(adjustment.ground["F4"]) == {"P2-F4", "P3-F4", "A-F4"}
    assert judge_tape(PLATE, readings, HALF_INCH).stations["F4"].verdict is PlaceVerdict.NOT_JUDGED


def test_a_station_taped_from_two_pins_may_be_on_their_other_side_and_says_where() -> None:
    readings = read_exactly(PLATE, taped(PLATE, lambda p: p.name in {"P3-T1", "A-T1"}))
    found = adjust_readings(PLATE, readings).stations["T1"]
    assert found.offset_mm < 1e-3
    assert found.mirror_mm is not None
    for pin, reading in (("P3", readings[0]), ("A", readings[1])):
        station = PLATE.stations[pin]
        assert math.dist(found.mirror_mm, (station.x_mm, station.y_mm)) == pytest.approx(
            reading.length.float_mm, abs=1e-3
        )


def test_a_third_pin_off_the_line_tells_the_two_sides_apart() -> None:
    readings = read_exactly(PLATE, taped(PLATE, lambda p: p.name in {"P3-T1", "A-T1", "P2-T1"}))
    assert adjust_readings(PLATE, readings).stations["T1"].mirror_mm is None


def test_a_station_with_one_pull_is_named_with_a_pull_to_add() -> None:
    readings = read_exactly(PLATE, taped(PLATE, lambda p: p.name in {"P2-F4", "P3-F4", "P2-F1"}))
    ((code, sentence, hint),) = problems_of(PLATE, readings)
    assert code == "station-loose"
    assert "F1" in sentence
    added = hint.removeprefix("add ").split(" and ")
    start, end = (PLATE.stations[mark] for mark in added[0].split("-"))
    length = Length.from_mm(Fraction(math.dist((start.x_mm, start.y_mm), (end.x_mm, end.y_mm))))
    mended = [Reading(start.name, end.name, length, 68.0)]
    assert adjust_readings(PLATE, readings + mended).stations["F1"].offset_mm < 1e-3


def test_all_problems_of_readings_are_told_at_once() -> None:
    length = Length(Fraction(40))
    readings = [
        Reading("A", "P22", length),
        Reading("A", "A", length),
        Reading("A", "F1", Length(Fraction(-3))),
        Reading("A", "F4", length),
        Reading("F4", "A", length + Length(Fraction(1))),
    ]
    found = problems_of(PLATE, readings)
    assert [code for code, *_ in found] == [
        "station-unknown",
        "reading-impossible",
        "reading-impossible",
        "reading-repeated",
    ]
    assert found[0][2].startswith("did you mean 'P2'")


def test_feet_written_for_inches_break_the_triangle() -> None:
    readings = read_exactly(PLATE, BOXES)
    index = next(i for i, p in enumerate(BOXES) if p.name == "F2-F3")
    readings[index] = Reading("F2", "F3", Length(Fraction(72 * 12)))
    ((code, sentence, _),) = problems_of(PLATE, readings)
    assert code == "reading-impossible"
    assert sentence.startswith("F2-F3 reads 72 ft")


def test_no_reading_is_a_problem_of_its_own() -> None:
    assert problems_of(PLATE, [])[0][0] == "tape-empty"


def test_a_diamond_needs_something_that_says_which_way_it_points() -> None:
    readings = read_exactly(DIAMOND, [p for p in pulls(DIAMOND) if p.name in {"A-1B", "1B-3B", "3B-A"}])
    assert problems_of(DIAMOND, readings)[0][0] == "tape-no-direction"


def test_second_base_gives_a_diamond_its_direction_and_is_judged_along_it() -> None:
    wanted = [p for p in pulls(DIAMOND) if {p.from_station, p.to_station} <= {"A", "1B", "2B", "3B"}]
    report = judge_tape(DIAMOND, read_exactly(DIAMOND, wanted, {"2B": (0.0, -6.0)}), HALF_INCH)
    assert report.stations["2B"].verdict is PlaceVerdict.OUT
    assert report.stations["2B"].move.write() == "6 in toward the pitcher"
    assert offset_in(report.adjustment, "2B") == pytest.approx((0.0, -6.0), abs=1e-3)


def test_a_pin_with_an_error_gives_way_a_little() -> None:
    readings = read_exactly(PLATE, THIRD_BOX, {"P3": (0.25, 0.0)})
    held = (Pin("A"), Pin("P1"), Pin("P2"), Pin("P4"))
    firm, soft = (
        offset_in(adjust_readings(PLATE, readings, (*held, Pin("P3", error, error))), "P3")[0]
        for error in (1.0, 20.0)
    )
    assert 0 < firm < soft
    assert soft == pytest.approx(0.25, abs=0.05)


def test_a_warm_tape_reads_short_and_is_corrected() -> None:
    wanted = [p for p in pulls(DIAMOND) if {p.from_station, p.to_station} <= {"A", "1B", "2B", "3B"}]
    warm = [Reading(r.from_station, r.to_station, r.length, 98.0) for r in read_exactly(DIAMOND, wanted)]
    adjustment = adjust_readings(DIAMOND, warm)
    _, dy = offset_in(adjustment, "2B")
    assert dy == pytest.approx(127.28 * 12 * 0.0000065 * 30, rel=1e-3)
    assert adjust_readings(DIAMOND, warm, budget=FIBREGLASS).stations["2B"].offset_mm < 1e-3


def test_longer_coarser_and_unknown_tapes_are_less_sure() -> None:
    short, long = Length(Fraction(60)), Length(Fraction(1080))
    error = predict_reading_error_mm(short, 68.0, None, STEEL)
    assert predict_reading_error_mm(long, 68.0, None, STEEL) > error
    assert predict_reading_error_mm(short, 68.0, Length(Fraction(1)), STEEL) > error
    assert predict_reading_error_mm(short, None, None, STEEL) > error
    assert predict_reading_error_mm(short, 68.0, None, FIBREGLASS) > error


@settings(max_examples=20, deadline=None)
@given(seed=st.integers(0, 10_000))
def test_a_mirrored_field_is_judged_as_the_mirror_image(seed: int) -> None:
    field = simulate_field(PLATE, BOXES, PLATE_MARKS, np.random.default_rng(seed))
    swap = str.maketrans({"F": "T", "T": "F"})
    plate = {"P1": "P4", "P4": "P1", "P2": "P3", "P3": "P2"}

    def turn(mark: str) -> str:
        return plate.get(mark, mark.translate(swap))

    turned = [
        Reading(turn(r.from_station), turn(r.to_station), r.length, r.temperature_f) for r in field.readings
    ]
    ours, theirs = adjust_readings(PLATE, field.readings), adjust_readings(PLATE, turned)
    for mark, found in ours.stations.items():
        other = theirs.stations[turn(mark)]
        assert (other.x_mm, other.y_mm) == pytest.approx((-found.x_mm, found.y_mm), abs=1e-4)
    assert theirs.chi_square == pytest.approx(ours.chi_square, rel=1e-6)


def judged_with(moved: dict[str, Place], tolerance: Length = HALF_INCH) -> TapeReport:
    return judge_tape(PLATE, read_exactly(PLATE, BOXES, moved), tolerance)


def test_verdicts_are_good_within_out_beyond_and_too_close_between() -> None:
    report = judged_with({"F1": (0.0, 0.5), "T1": (-2.0, 0.0)})
    assert report.stations["T4"].verdict is PlaceVerdict.GOOD
    assert report.stations["F1"].verdict is PlaceVerdict.TOO_CLOSE
    assert report.stations["T1"].verdict is PlaceVerdict.OUT
    assert report.stations["A"].verdict is PlaceVerdict.TAKEN_AS_KNOWN


def test_moves_are_said_in_field_words_to_a_sixteenth() -> None:
    report = judged_with({"F3": (0.75, -2.25), "T2": (-1.5, 3.0625)})
    assert report.stations["F3"].move.write() == "2 1/4 in toward the pitcher, 3/4 in toward third"
    assert report.stations["T2"].move.write() == "3 1/16 in toward the backstop, 1 1/2 in toward first"
    assert report.stations["F1"].move.write() == "no move"


def test_the_next_pull_settles_stations_when_it_is_taped() -> None:
    wanted = [p for p in BOXES if p.name in {"P2-F4", "P3-F4", "P2-F1", "P3-F1"}]
    report = judge_tape(PLATE, read_exactly(PLATE, wanted, {"F1": (0.3, 0.2), "F4": (0.2, 0.2)}), HALF_INCH)
    assert report.next_pull is not None
    assert report.next_pull.reason == "settles"
    pull = report.next_pull.pull
    more = read_exactly(PLATE, [*wanted, pull], {"F1": (0.3, 0.2), "F4": (0.2, 0.2)})
    after = judge_tape(PLATE, more, HALF_INCH)
    unsettled = report.list_stations(PlaceVerdict.TOO_CLOSE)
    before = sum(sum(e**2 for e in errors_of(report.adjustment.stations[m])) for m in unsettled)
    now = sum(sum(e**2 for e in errors_of(after.adjustment.stations[m])) for m in unsettled)
    assert 1 - now / before == pytest.approx(report.next_pull.gain, abs=0.02)


def test_where_all_is_settled_the_next_pull_checks_what_nothing_checks() -> None:
    wanted = [p for p in BOXES if p.name in {"P2-F4", "P3-F4", "P2-F1", "P3-F1"}]
    wide = Length(Fraction(6))
    report = judge_tape(PLATE, read_exactly(PLATE, wanted), wide)
    assert report.next_pull is not None
    assert report.next_pull.reason == "checks"
    after = judge_tape(PLATE, read_exactly(PLATE, [*wanted, report.next_pull.pull]), wide)
    assert len(after.adjustment.unchecked) < len(report.adjustment.unchecked)


def test_a_well_taped_field_asks_for_nothing_more() -> None:
    assert judged_with({}, Length(Fraction(2))).next_pull is None


def test_what_is_claimed_at_95_percent_comes_true_about_that_often() -> None:
    random = np.random.default_rng(7)
    inside = total = 0
    for _ in range(60):
        field = simulate_field(PLATE, BOXES, PLATE_MARKS, random)
        for mark, found in adjust_readings(PLATE, field.readings).stations.items():
            if mark in PLATE_MARKS:
                continue
            for value, truth, error in zip(
                (found.x_mm, found.y_mm), field.true_mm[mark], errors_of(found), strict=True
            ):
                inside += abs(value - truth) <= 1.96 * error
                total += 1
    assert 0.92 < inside / total < 0.98
