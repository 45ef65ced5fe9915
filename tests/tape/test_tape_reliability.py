"""How sure a taped field is: ellipses, the least misread that can be told, what rests on what, and mirrored places."""

from __future__ import annotations

import math
from dataclasses import replace
from fractions import Fraction

import numpy as np
import pytest
from field_samples import FIELD, read_lengths
from scipy.stats import chi2
from simulated_fields import simulate_field
from tape_samples import INCH, pin, plan_of, tape

from pocketref.field.plan import construct_plate_area
from pocketref.problems import PocketrefError
from pocketref.tape.adjust import Adjustment, PlaceVerdict, adjust_readings
from pocketref.tape.error_budget import STEEL, predict_reading_error_mm
from pocketref.tape.loose_stations import list_sheet_pulls
from pocketref.tape.readings import PLATE_MARKS, Reading
from pocketref.tape.reliability import find_unseen, measure_leaning
from pocketref.tape.verdicts import judge_tape, list_doubtful_pulls
from pocketref.units.length import Length

PLATE = construct_plate_area(read_lengths(FIELD))
HALF_INCH = Length(Fraction(1, 2))


def sheet() -> list[str]:
    return [pull.name for pull in list_sheet_pulls(PLATE)]


# --- ellipses --------------------------------------------------------------------------------------------


@pytest.mark.parametrize("angle_deg", [0, 30, 45, 60, 120, 150])
def test_the_long_axis_of_an_ellipse_lies_along_the_longer_of_two_tapes(angle_deg: float) -> None:
    """Two tapes that cross squarely: the ellipse lies along the longer, √5.991 of each one's error (χ², 95 %)."""
    turn = math.radians(angle_deg)
    long, short = 800.0, 60.0
    plan = plan_of(
        {
            "A": (-long * math.cos(turn), -long * math.sin(turn)),
            "B": (short * math.sin(turn), -short * math.cos(turn)),
            "C": (0.0, 0.0),
        }
    )
    readings = tape(plan, ("A-C", "B-C"))
    ellipse = adjust_readings(plan, readings, pin("A", "B")).stations["C"].ellipse
    along, across = (predict_reading_error_mm(r.length, 68.0, None, STEEL) for r in readings)
    assert ellipse.semi_major_mm == pytest.approx(math.sqrt(5.991) * along, rel=1e-4)
    assert ellipse.semi_minor_mm == pytest.approx(math.sqrt(5.991) * across, rel=1e-4)
    off = (ellipse.turn_deg - angle_deg + 90) % 180 - 90
    assert off == pytest.approx(0, abs=0.01)


def test_95_of_100_ellipses_hold_the_station() -> None:
    random = np.random.default_rng(11)
    inside = total = 0
    for _ in range(40):
        field = simulate_field(PLATE, list_sheet_pulls(PLATE), PLATE_MARKS, random)
        for mark, found in adjust_readings(PLATE, field.readings).stations.items():
            if mark in PLATE_MARKS:
                continue
            dx, dy = field.true_mm[mark][0] - found.x_mm, field.true_mm[mark][1] - found.y_mm
            turn = math.radians(found.ellipse.turn_deg)
            along, across = (
                dx * math.cos(turn) + dy * math.sin(turn),
                dy * math.cos(turn) - dx * math.sin(turn),
            )
            share = (along / found.ellipse.semi_major_mm) ** 2 + (across / found.ellipse.semi_minor_mm) ** 2
            inside += share <= 1
            total += 1
    assert 0.91 < inside / total < 0.99


def test_readings_that_scatter_more_than_the_budget_says_raise_all_errors_alike() -> None:
    """By the root of chi-square over the spare readings, beyond the 95 % limit of chi-square's tables."""
    exact = tape(PLATE, sheet())
    random = np.random.default_rng(4)
    errors = [one.error_mm for one in adjust_readings(PLATE, exact).readings]
    loose = [
        replace(
            reading, length=Length.from_mm(Fraction(reading.length.float_mm + random.normal(0.0, 1.2 * mm)))
        )
        for reading, mm in zip(exact, errors, strict=True)
    ]
    calm, rough = adjust_readings(PLATE, exact), adjust_readings(PLATE, loose)
    assert chi2.ppf(0.95, rough.spare) < rough.chi_square <= rough.chi_square_most
    assert rough.is_consistent
    raised = math.sqrt(rough.chi_square / rough.spare)
    assert raised > 1.1
    for mark in ("F3", "T1", "L1"):
        before, after = (one.stations[mark].ellipse.semi_major_mm for one in (calm, rough))
        assert after == pytest.approx(raised * before, rel=0.02)


# --- the least misread that can be told --------------------------------------------------------------------


@pytest.mark.parametrize(("share", "least", "most"), [(1.0, 0.70, 0.90), (0.5, 0.0, 0.25), (1.6, 0.98, 1.0)])
def test_the_least_misread_told_shows_four_times_in_five(share: float, least: float, most: float) -> None:
    """Four pins round a station; one pull is off by the least misread that is told, or by more or less.

    W. Baarda, A testing procedure for use in geodetic networks (1968), from memory: σ √λ₀ / √r, √λ₀ = 4.13.
    """
    plan = plan_of({"A": (0, 0), "B": (300, 0), "D": (300, 300), "E": (0, 300), "C": (140, 160)})
    exact = tape(plan, ("A-C", "B-C", "D-C", "E-C"))
    pins = pin("A", "B", "D", "E")
    judged = adjust_readings(plan, exact, pins).readings
    by_mm = share * 4.132 * judged[0].error_mm / math.sqrt(judged[0].redundancy)
    random = np.random.default_rng(3)
    shown = 0
    tries = 120
    for _ in range(tries):
        read = [
            Length.from_mm(Fraction(one.corrected_mm + random.normal(0.0, one.error_mm) + by_mm * (i == 0)))
            for i, one in enumerate(judged)
        ]
        readings = [Reading(r.from_station, r.to_station, x, 68.0) for r, x in zip(exact, read, strict=True)]
        found = adjust_readings(plan, readings, pins)
        shown += bool(found.misreads or found.suspects or not found.is_settled)
    assert least <= shown / tries <= most


def test_a_pull_that_nothing_checks_is_not_tested() -> None:
    adjustment = adjust_readings(PLATE, tape(PLATE, ("P2-F4", "P3-F4")))
    assert [one.standardised for one in adjustment.readings] == [None, None]
    assert [one.is_unchecked for one in adjustment.readings] == [True, True]
    assert [one.redundancy for one in adjustment.readings] == pytest.approx([0.0, 0.0], abs=1e-9)


# --- what rests on what --------------------------------------------------------------------------------------


def test_a_station_rests_only_on_the_unchecked_pulls_that_move_it() -> None:
    """F4 hangs on two pulls; the third-base-side box, well taped, doesn't rest on them."""
    names = [name for name in sheet() if "F" not in name and "L" not in name]
    adjustment = adjust_readings(PLATE, tape(PLATE, [*names, "P2-F4", "P3-F4"]))
    assert dict(adjustment.ground) == {"F4": ("P2-F4", "P3-F4")}
    assert adjustment.unchecked == ("P2-F4", "P3-F4")


def test_a_station_taped_from_an_unchecked_one_rests_on_the_pulls_of_both() -> None:
    adjustment = adjust_readings(PLATE, tape(PLATE, ("P2-F4", "P3-F4", "F4-F1", "A-F1")))
    assert set(adjustment.ground["F4"]) == {"P2-F4", "P3-F4"}
    assert set(adjustment.ground["F1"]) == {"P2-F4", "P3-F4", "F4-F1", "A-F1"}


def test_a_station_taped_straight_up_and_straight_across_rests_on_both() -> None:
    plan = plan_of({"A": (0, 0), "B": (100, 80), "C": (0, 80)})
    adjustment = adjust_readings(plan, tape(plan, ("A-C", "B-C")), pin("A", "B"))
    assert dict(adjustment.ground) == {"C": ("A-C", "B-C")}


def test_the_worst_unseen_misread_is_the_one_that_moves_a_station_farthest_along_its_offset() -> None:
    """Each reading made longer in turn and the field found again; what hides is 4.13 errors over the root."""
    plan = plan_of({"A": (0, 0), "B": (300, 20), "C": (140, 160), "D": (30, 220), "E": (260, 190)})
    pulls = ("A-C", "B-C", "D-C", "E-C", "A-D", "B-D", "A-E", "B-E", "D-E", "E-C", "D-C", "A-E")
    off = plan_of({"A": (0, 0), "B": (300, 20), "C": (141, 162), "D": (29.5, 220), "E": (260, 189)})
    pins = pin("A", "B")
    exact = tape(off, pulls)
    base = adjust_readings(plan, exact, pins)
    readings = [judged.reading for judged in base.readings]
    unseen = find_unseen(base.network, base.solution, readings, ["C", "D", "E"])
    assert [reading.name for reading in readings if reading.times > 1] == ["D-C", "E-C", "A-E"]
    for mark in "CDE":
        at = 2 * base.network.marks.index(mark)
        way = (base.solution.position_mm - base.network.planned_mm)[at : at + 2]
        way = way / np.hypot(*way)
        moved = []
        for judged in base.readings:
            if judged.reading.times > 1:
                moved.append(0.0)
                continue
            longer = [
                replace(one, length=one.length + Length(Fraction(1, 1000)))
                if one.name == judged.reading.name
                else one
                for one in exact
            ]
            found = adjust_readings(plan, longer, pins).solution.position_mm
            along = float((found - base.solution.position_mm)[at : at + 2] @ way) / (INCH / 1000)
            moved.append(abs(along) * 4.132 * judged.error_mm / math.sqrt(judged.redundancy))
        index, by_mm = unseen[mark]
        assert index == int(np.argmax(moved))
        assert by_mm == pytest.approx(max(moved), rel=1e-2)


def test_what_nothing_checks_hides_a_misread_of_forty_errors() -> None:
    """A redundancy below 1 % counts as 1 %: 4.13 over its root."""
    plan = plan_of({"A": (0, 0), "B": (100, 80), "C": (0, 80)})
    off = plan_of({"A": (0, 0), "B": (100, 80), "C": (0, 83)})
    found = adjust_readings(plan, tape(off, ("A-C", "B-C")), pin("A", "B"))
    readings = [judged.reading for judged in found.readings]
    index, by_mm = find_unseen(found.network, found.solution, readings, ["C"])["C"]
    assert readings[index].name == "A-C"
    assert by_mm == pytest.approx(41.32 * found.readings[0].error_mm, rel=1e-3)


def test_a_pull_taped_twice_is_checked_by_itself() -> None:
    once = tape(PLATE, ("P2-F4", "P3-F4"))
    adjustment = adjust_readings(PLATE, [*once, *once])
    assert dict(adjustment.ground) == {}
    assert adjustment.unchecked == ()


def test_leaning_says_how_far_a_longer_reading_moves_a_station() -> None:
    names = [name for name in sheet() if "F" in name and "T" not in name and "L" not in name]
    adjustment = adjust_readings(PLATE, tape(PLATE, names))
    leaning = measure_leaning(adjustment.network, adjustment.solution)
    for index in (0, 5, len(names) - 1):
        nudged = adjust_readings(PLATE, tape(PLATE, names, **{names[index].replace("-", "_"): 0.01}))
        moved = nudged.solution.position_mm - adjustment.solution.position_mm
        assert moved / (0.01 * INCH) == pytest.approx(leaning[:, index], abs=2e-3)


# --- a station out, or a few misreads? --------------------------------------------------------------------------


def test_two_misreads_that_agree_are_taped_again_before_the_corner_is_moved() -> None:
    once = tape(PLATE, sheet(), F3_F4=2.0, T3_F3=2.0)
    corner = judge_tape(PLATE, once, HALF_INCH).stations["F3"]
    assert corner.verdict is PlaceVerdict.NOT_JUDGED
    assert {"F3-F4", "T3-F3"} <= set(corner.check_first)


def test_two_pulls_off_their_targets_that_were_taped_twice_are_no_strays() -> None:
    once = tape(PLATE, sheet(), F3_F4=2.0, T3_F3=2.0)
    again = [reading for reading in once if reading.name in ("F3-F4", "T3-F3")]
    singly, twice = (adjust_readings(PLATE, readings) for readings in (once, [*once, *again]))
    assert {"F3-F4", "T3-F3"} <= set(list_doubtful_pulls(singly, "F3"))
    assert list_doubtful_pulls(twice, "F3") == ()


def test_a_corner_all_of_whose_pulls_are_off_is_moved() -> None:
    moved = dict(PLATE.stations)
    station = moved["F3"]
    places = {name: (s.x_mm / INCH, s.y_mm / INCH) for name, s in moved.items()}
    out = plan_of(places | {"F3": (station.x_mm / INCH + 2.0, station.y_mm / INCH + 1.0)})
    adjustment: Adjustment = adjust_readings(PLATE, tape(out, sheet()))
    assert list_doubtful_pulls(adjustment, "F3") == ()
    assert judge_tape(PLATE, tape(out, sheet()), HALF_INCH).stations["F3"].verdict is PlaceVerdict.OUT


@pytest.mark.parametrize(("third", "doubtful"), [(None, ("A-C", "B-C")), ((260, -240), ())])
def test_pulls_that_a_move_hardly_changes_say_nothing_of_it(
    third: tuple[float, float] | None, doubtful: tuple[str, ...]
) -> None:
    """Up the field by 20 in, A and B are off by all of it; D and E aside by half an inch only, less than 15 % of it."""
    pins_at = {"A": (0, -300), "B": (0, 350), "D": (-400, 0), "E": (420, 0)} | ({"G": third} if third else {})
    plan, out = (plan_of(pins_at | {"C": (0, up)}) for up in (0, 20))
    readings = tape(out, [f"{mark}-C" for mark in pins_at])
    adjustment = adjust_readings(plan, readings, pin(*pins_at))
    assert adjustment.stations["C"].offset_mm == pytest.approx(20 * INCH, abs=0.5)
    assert list_doubtful_pulls(adjustment, "C") == doubtful


def test_pulls_off_by_no_more_than_a_tape_s_error_say_nothing_of_a_move() -> None:
    """Half an inch up the field, from G aside the pull is off by 6 mm: less than 3.29 errors, whatever its share."""
    pins_at = {"A": (0, -300), "B": (0, 350), "D": (-400, 0), "G": (270, -130)}
    plan, out = (plan_of(pins_at | {"C": (0, up)}) for up in (0, 0.5))
    adjustment = adjust_readings(plan, tape(out, [f"{mark}-C" for mark in pins_at]), pin(*pins_at))
    aside = adjustment.readings[3]
    off_mm = aside.corrected_mm + aside.residual_mm - aside.planned_mm
    assert 0.15 * 0.5 * INCH < off_mm < 3.29 * aside.error_mm
    assert list_doubtful_pulls(adjustment, "C") == ("A-C", "B-C")


# --- the other side of the pins --------------------------------------------------------------------------------


@pytest.mark.parametrize(
    ("third_in", "is_told"), [(None, True), (0.01, True), (3.0, False), (20.0, False), (-3.0, False)]
)
def test_a_third_pin_tells_two_sides_apart_once_it_is_off_the_line_of_the_others(
    third_in: float | None, is_told: bool
) -> None:
    """A pin 3 in off the line is some 5 in nearer to one side than to the other, which no tape mistakes."""
    plan = plan_of({"A": (0, 0), "B": (100, 0), "D": (50, third_in or 0.0), "C": (50, 40)})
    marks = ("A", "B") if third_in is None else ("A", "B", "D")
    found = adjust_readings(plan, tape(plan, [f"{mark}-C" for mark in marks]), pin(*marks)).stations["C"]
    assert (found.mirror_mm is not None) is is_told
    if found.mirror_mm is not None:
        assert found.mirror_mm == pytest.approx((50 * INCH, -40 * INCH), abs=0.5)


def test_from_pins_in_a_line_the_other_place_is_the_mirror_image_of_the_one_found() -> None:
    """Whatever the readings' errors, and though they don't quite agree: both sides are one adjustment, turned over."""
    plan = plan_of({"A": (0, 0), "B": (900, 0), "D": (300, 0), "C": (200, 150)})
    readings = tape(plan, ("A-C", "B-C", "D-C"), A_C=0.2, B_C=0.1)
    found = adjust_readings(plan, readings, pin("A", "B", "D")).stations["C"]
    assert found.offset_mm > 2
    assert found.mirror_mm == pytest.approx((found.x_mm, -found.y_mm), abs=0.01)


def test_a_station_almost_on_the_line_of_its_pins_has_no_second_place() -> None:
    """Mirrored, it is where it is, within what the tape can tell."""
    plan = plan_of({"A": (0, 0), "B": (1000, 0), "C": (500, 6)})
    found = adjust_readings(plan, tape(plan, ("A-C", "B-C")), pin("A", "B")).stations["C"]
    assert found.mirror_mm is None


# --- what no tape can fix ---------------------------------------------------------------------------------------


@pytest.mark.parametrize("inches", ["50", "50.0002"])
def test_two_tapes_that_only_just_meet_fix_nothing(inches: str) -> None:
    """The plan has the station well off the line of its pins; by the readings it is on it, where arcs graze."""
    plan = plan_of({"A": (0, 0), "B": (100, 0), "C": (50, 40)})
    readings = [Reading(mark, "C", Length(Fraction(inches)), 68.0) for mark in ("A", "B")]
    with pytest.raises(PocketrefError) as raised:
        adjust_readings(plan, readings, pin("A", "B"))
    (problem,) = raised.value.problems
    assert problem.code == "tape-unsolved"
    assert "wrong foot" in problem.hint


@pytest.mark.parametrize(
    ("pins", "aim"), [({"W": (-100, 0), "N": (0, 100)}, "N"), ({"S": (0, -90), "E": (80, 0)}, "E")]
)
def test_the_pull_to_add_runs_the_way_the_station_is_loose(
    pins: dict[str, tuple[float, float]], aim: str
) -> None:
    """One tape from one side leaves a station free across it; the pin squarely to the side holds it."""
    places = pins | {"C": (0.0, 0.0), "K": (3.0, 60.0)}
    plan = plan_of({mark: (x + 400, y - 250) for mark, (x, y) in places.items()})
    first = next(iter(pins))
    other = tape(plan, [f"{mark}-K" for mark in pins])
    with pytest.raises(PocketrefError) as raised:
        adjust_readings(plan, [*tape(plan, [f"{first}-C"]), *other], pin(*pins))
    (problem,) = raised.value.problems
    assert problem.code == "station-loose"
    assert problem.sentence == "too few pulls fix station C, C"
    assert problem.hint == f"add {aim}-C"


def test_the_pull_to_add_is_aimed_from_where_its_ends_are() -> None:
    """Taped from A along x, C is loose along y; D lies square to that, E lies along it though farther up the field."""
    plan = plan_of({"A": (0, 0), "C": (100, 0), "D": (100, 50), "E": (-100, 40)})
    readings = tape(plan, ["A-C", "A-D", "A-E", "D-E"])
    with pytest.raises(PocketrefError) as raised:
        adjust_readings(plan, readings, pin("A", "D", "E"))
    (problem,) = raised.value.problems
    assert problem.hint == "add D-C"


def test_readings_agree_if_none_fails_and_all_of_them_together_are_within_the_limit() -> None:
    found = adjust_readings(PLATE, tape(PLATE, sheet()))
    assert found.is_consistent
    assert not replace(found, is_settled=False).is_consistent
    assert replace(found, chi_square=found.chi_square_most).is_consistent
    assert not replace(found, chi_square=found.chi_square_most + 0.1).is_consistent
