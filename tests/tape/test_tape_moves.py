"""From a place and its ellipse to a verdict, and from verdicts to what is moved: corners, whole boxes, or nothing."""

from __future__ import annotations

import math
from dataclasses import replace
from fractions import Fraction

import pytest
from field_samples import FIELD, read_lengths
from hypothesis import assume, given, settings
from hypothesis import strategies as st
from shapely import Point, affinity

from pocketref.field.plan import construct_plate_area
from pocketref.tape.adjust import Ellipse, FoundStation, PlaceVerdict, judge_place
from pocketref.tape.error_budget import FIBREGLASS, predict_reading_error_mm
from pocketref.tape.loose_stations import list_sheet_pulls
from pocketref.tape.readings import Reading
from pocketref.tape.verdicts import TapeReport, judge_tape
from pocketref.units.length import Length

PLATE = construct_plate_area(read_lengths(FIELD))
INCH = 25.4
HALF_INCH = Length(Fraction(1, 2))

Place = tuple[float, float]


def judge(
    moved: dict[str, Place], misread: tuple[str, ...] = (), untaped: tuple[str, ...] = ()
) -> TapeReport:
    """Exact readings of a sheet, all but those untaped, of a field with stations moved (inches); misreads by a foot."""
    places = {mark: (s.x_mm, s.y_mm) for mark, s in PLATE.stations.items()}
    for mark, (dx, dy) in moved.items():
        places[mark] = (places[mark][0] + dx * INCH, places[mark][1] + dy * INCH)
    readings = []
    for pull in (pull for pull in list_sheet_pulls(PLATE) if pull.name not in untaped):
        mm = math.dist(places[pull.from_station], places[pull.to_station])
        length = Length.from_mm(Fraction(mm)) + Length(Fraction(12 if pull.name in misread else 0))
        readings.append(Reading(pull.from_station, pull.to_station, length, 68.0))
    return judge_tape(PLATE, readings, HALF_INCH)


def found(x_mm: float, y_mm: float, major: float, minor: float, turn_deg: float = 0.0) -> FoundStation:
    """A station planned at the origin."""
    return FoundStation(
        "S", "S", x_mm, y_mm, 0.0, 0.0, (1.0, 0.0, 1.0), Ellipse(major, minor, turn_deg), False
    )


# --- a place against its tolerance of 10 mm -----------------------------------------------------------------


@pytest.mark.parametrize(
    ("offset_mm", "verdict"),
    [
        (0.0, PlaceVerdict.GOOD),
        (8.0, PlaceVerdict.GOOD),
        (8.1, PlaceVerdict.TOO_CLOSE),
        (11.9, PlaceVerdict.TOO_CLOSE),
        (12.1, PlaceVerdict.OUT),
    ],
)
def test_a_round_ellipse_of_2_mm_is_good_up_to_8_and_out_from_12(
    offset_mm: float, verdict: PlaceVerdict
) -> None:
    for turn in (0.0, 1.0, 2.5):
        place = found(offset_mm * math.cos(turn), offset_mm * math.sin(turn), 2.0, 2.0)
        assert judge_place(place, 10.0) is verdict


@pytest.mark.parametrize("turn_deg", [0, 35, 90, 140])
def test_a_long_ellipse_counts_by_the_way_it_lies(turn_deg: float) -> None:
    """6 by 1 mm: 7.5 mm off along it is too close, the same across it is good; 12 mm off across it is out."""
    turn = math.radians(turn_deg)
    along, across = (math.cos(turn), math.sin(turn)), (-math.sin(turn), math.cos(turn))

    def verdict(way: Place, mm: float) -> PlaceVerdict:
        return judge_place(found(way[0] * mm, way[1] * mm, 6.0, 1.0, turn_deg), 10.0)

    assert verdict(along, 7.5) is PlaceVerdict.TOO_CLOSE
    assert verdict(across, 7.5) is PlaceVerdict.GOOD
    assert verdict(across, 12.0) is PlaceVerdict.OUT
    assert verdict(along, 12.0) is PlaceVerdict.TOO_CLOSE
    assert verdict(along, 16.5) is PlaceVerdict.OUT


def test_an_ellipse_wider_than_the_tolerance_about_the_planned_place_says_nothing() -> None:
    assert judge_place(found(0.0, 0.0, 30.0, 30.0), 10.0) is PlaceVerdict.TOO_CLOSE
    assert judge_place(found(15.0, 0.0, 30.0, 28.0), 10.0) is PlaceVerdict.TOO_CLOSE


@settings(max_examples=150, deadline=None)
@given(
    *(st.floats(-25, 25) for _ in range(2)),
    st.floats(0.5, 20),
    st.floats(0.05, 1),
    st.floats(0, 180),
)
def test_a_verdict_is_that_of_a_thousand_points_of_the_ellipse(
    x: float, y: float, major: float, share: float, turn_deg: float
) -> None:
    """Tried point by point with Shapely, planned far from the origin; a hair from the line is passed by."""
    ellipse = affinity.rotate(
        affinity.scale(Point(0, 0).buffer(1, quad_segs=256), major, major * share), turn_deg, origin=(0, 0)
    )
    ellipse = affinity.translate(ellipse, x, y)
    planned = Point(0, 0)
    farthest, nearest = ellipse.hausdorff_distance(planned), ellipse.distance(planned)
    assume(min(abs(farthest - 10), abs(nearest - 10)) > 0.01)
    expected = (
        PlaceVerdict.GOOD if farthest < 10 else PlaceVerdict.OUT if nearest > 10 else PlaceVerdict.TOO_CLOSE
    )
    place = replace(
        found(x, y, major, major * share, turn_deg),
        x_mm=x + 700,
        y_mm=y - 300,
        planned_x_mm=700.0,
        planned_y_mm=-300.0,
    )
    assert judge_place(place, 10.0) is expected


def test_a_station_that_is_held_is_taken_as_known() -> None:
    assert judge_place(found(0.0, 0.0, 0.0, 0.0), 10.0) is PlaceVerdict.TAKEN_AS_KNOWN


# --- what is moved ---------------------------------------------------------------------------------------------


@pytest.mark.parametrize(
    ("letter", "name", "out", "back"),
    [("F", "first-base-side box", 2.0, "third"), ("T", "third-base-side box", -2.0, "first")],
)
def test_a_box_that_is_out_whole_is_moved_whole(letter: str, name: str, out: float, back: str) -> None:
    marks = tuple(f"{letter}{number}" for number in (1, 2, 3, 4))
    (shared,) = judge(dict.fromkeys(marks, (out, -1.0))).together
    assert (shared.marks, shared.name) == (marks, name)
    assert shared.move.write() == f"1 in toward the pitcher, 2 in toward {back}"


@pytest.mark.parametrize("axis", [0, 1])
@pytest.mark.parametrize(("more_in", "is_whole"), [(0.2, True), (0.3, False), (-0.3, False)])
def test_a_box_one_of_whose_corners_is_off_by_more_than_the_rest_is_moved_by_its_corners(
    axis: int, more_in: float, is_whole: bool
) -> None:
    """Three quarters of what a corner is off by lie between it and the mean: 3/16 in is reached at 1/4 in."""
    moved: dict[str, Place] = dict.fromkeys(("F1", "F2", "F3", "F4"), (2.0, -1.0))
    moved["F3"] = (2.0 + more_in * (axis == 0), -1.0 + more_in * (axis == 1))
    report = judge(moved)
    assert report.list_stations(PlaceVerdict.OUT) == ("F1", "F2", "F3", "F4")
    assert bool(report.together) is is_whole


def test_a_box_with_a_corner_in_its_place_is_moved_by_its_corners() -> None:
    report = judge(dict.fromkeys(("F1", "F2", "F3"), (2.0, -1.0)))
    assert set(report.list_stations(PlaceVerdict.OUT)) == {"F1", "F2", "F3"}
    assert report.together == ()


@pytest.mark.parametrize("corner", ["P2", "P3"])
@pytest.mark.parametrize(
    ("out", "words"),
    [
        ((0.0, 1.0), "1 in toward the backstop"),
        ((0.0, -1.0), "1 in toward the pitcher"),
        ((1.0, 0.0), "1 in toward third"),
        ((-0.75, 0.75), "3/4 in toward the backstop, 3/4 in toward first"),
    ],
)
def test_a_corner_of_the_plate_that_is_out_is_found_whichever_way_it_is(
    corner: str, out: Place, words: str
) -> None:
    report = judge({corner: out})
    assert report.plate is not None
    assert report.plate.off == (corner,)
    assert report.list_stations(PlaceVerdict.OUT) == (corner,)
    assert report.stations[corner].move.write() == words


@pytest.mark.parametrize("misread", [("T1-T2",), ("T1-T2", "A-L3")])
def test_one_or_two_misreads_elsewhere_do_not_keep_a_corner_from_being_moved(
    misread: tuple[str, ...],
) -> None:
    report = judge({"F2": (2.0, -1.0)}, misread)
    assert {one.name for one in report.adjustment.misreads} == set(misread)
    assert report.list_stations(PlaceVerdict.OUT) == ("F2",)


def test_three_misreads_are_taped_again_before_anything_is_moved() -> None:
    misread = ("T1-T2", "A-L3", "P2-F4")
    report = judge({"F2": (2.0, -1.0)}, misread)
    assert {one.name for one in report.adjustment.misreads} == set(misread)
    assert report.list_stations(PlaceVerdict.OUT) == ()
    assert report.stations["F2"].verdict is PlaceVerdict.NOT_JUDGED
    assert set(report.stations["F2"].check_first) == set(misread)


@pytest.mark.parametrize(("misread", "is_moved"), [(("T1-T2",), True), (("T1-T2", "P2-F4"), False)])
def test_a_misread_that_can_not_be_laid_to_one_pull_counts_with_the_others(
    misread: tuple[str, ...], is_moved: bool
) -> None:
    """L1 has three pulls, one of them a foot off: one cause more, whichever it is."""
    report = judge({"F2": (2.0, -1.0)}, (*misread, "A-L1"), untaped=("L3-L1",))
    assert {one.name for one in report.adjustment.misreads} == set(misread)
    assert set(report.adjustment.suspects) == {"A-L1", "P3-L1", "F4-L1"}
    assert (report.stations["F2"].verdict is PlaceVerdict.OUT) is is_moved
    assert report.stations["L1"].verdict is PlaceVerdict.NOT_JUDGED


def test_a_fibreglass_tape_is_allowed_four_times_as_much_and_no_temperature_counts() -> None:
    """60 ft: 3/16 in for metal (NIST Handbook 44, 5.52); the factor is ours."""
    hand = math.hypot(1 / 16, 1 / 16 / math.sqrt(12))
    expected = INCH * math.hypot(4 * 3 / 16 / math.sqrt(3), hand)
    for temperature_f in (None, 68.0, 110.0):
        error = predict_reading_error_mm(Length(Fraction(720)), temperature_f, None, FIBREGLASS)
        assert error == pytest.approx(expected, rel=1e-9)
