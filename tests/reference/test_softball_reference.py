"""A softball field against published figures: a box that is not centred on the plate, and a circle for a mound.

Sources, as noted where they are used:
* template: a league's page on its batter's-box template, a 3 x 7 ft frame with a stub of 6 in, 4 ft from the one
  end and 3 ft from the other, that touches the plate's corner between front and point, 8 1/2 in behind the front.
* coordinates: the corners worked out from these by hand, origin at the plate's tip, and their distances from it.
* diagonals: pages of field dimensions, which print 84 ft 10 1/4 in for bases 60 ft apart.
* distances: the table of distances of an amateur association's rule 2 for women's fast pitch.
* circle: a groundskeeping course, which has the tape pinned at the front centre of the pitcher's plate.
* catcher: two charts of field dimensions, 10 ft long from the batter's boxes' rear outside corners, 8 ft 5 in wide.
"""

from __future__ import annotations

import math

import pytest
from field_samples import PLACED, SOFTBALL, read_lengths

from pocketref.field.diamond import construct_diamond
from pocketref.field.plan import construct_plate_area
from pocketref.field.pulls import pulls
from pocketref.problems import PocketrefError
from pocketref.units.length import INCH_MM
from pocketref.units.notation import write_tape

LENGTHS = read_lengths(SOFTBALL)
PLAN = construct_diamond(LENGTHS)


def at(mark: str) -> tuple[float, float]:
    return PLAN.stations[mark].x_mm / INCH_MM, PLAN.stations[mark].y_mm / INCH_MM


@pytest.mark.parametrize(
    ("mark", "x", "y", "from_tip"),
    [  # coordinates
        ("F4", 14.5, 56.5, 58.331),
        ("F3", 50.5, 56.5, 75.779),
        ("F1", 14.5, -27.5, 31.089),
        ("F2", 50.5, -27.5, 57.502),
    ],
)
def test_the_boxes_corners_are_where_the_template_puts_them(
    mark: str, x: float, y: float, from_tip: float
) -> None:
    assert at(mark) == pytest.approx((x, y), abs=1e-6)
    assert at(mark.replace("F", "T")) == pytest.approx((-x, y), abs=1e-6)
    assert math.hypot(*at(mark)) == pytest.approx(from_tip, abs=0.0005)
    (pull,) = (pull for pull in pulls(PLAN) if pull.name == f"A-{mark}")
    assert float(pull.length.inches) == pytest.approx(from_tip, abs=0.0005)


def test_the_templates_stub_touches_the_plates_corner_beside_its_centre_line() -> None:
    (corner_x, corner_y), (inner, front), (_, back) = at("P1"), at("F4"), at("F1")
    assert corner_y == pytest.approx(17 - 8.5)  # template
    assert (front - corner_y, corner_y - back) == pytest.approx((48, 36))
    assert inner - corner_x == pytest.approx(6)


def test_the_catchers_box_is_as_wide_as_the_batters_boxes_reach_and_starts_at_their_corners() -> None:
    assert write_tape(PLAN.figures["boxes-outer-to-outer"].length) == "8 ft 5 in"  # catcher
    left, _, rear, right = PLAN.areas["catchers-box"].points_mm[:4]
    assert [point[0] / INCH_MM for point in (left, rear, right)] == pytest.approx([-50.5, 50.5, 50.5])
    assert (right[1] - rear[1]) / INCH_MM == pytest.approx(120)
    assert (left[1] / INCH_MM, right[1] / INCH_MM) == pytest.approx((at("T2")[1], at("F2")[1]))
    assert not {"C2", "C4"} & PLAN.stations.keys()  # the batter's boxes' corners have marks already


def test_bases_pitchers_plate_and_double_base_are_as_published() -> None:
    assert math.dist(at("A"), at("1B")) == pytest.approx(60 * 12)  # distances
    assert at("PP") == pytest.approx((0, 43 * 12))
    assert at("2B")[1] == pytest.approx(84 * 12 + 10.234, abs=0.0005)
    assert write_tape(PLAN.figures["square-diagonal"].length) == "84 ft 10 1/4 in"  # diagonals
    white, coloured = (PLAN.areas[name] for name in ("first-base", "first-base-foul-half"))
    assert math.dist(white.points_mm[0], coloured.points_mm[1]) / INCH_MM == pytest.approx(30)


def test_the_circle_is_about_the_middle_of_the_pitchers_plates_front_edge() -> None:
    circle = PLAN.arcs["pitching-circle"]
    assert (circle.x_mm, circle.y_mm) == (PLAN.stations["PP"].x_mm, PLAN.stations["PP"].y_mm)
    assert circle.radius_mm / INCH_MM == pytest.approx(96)  # circle
    assert "mound" not in PLAN.arcs
    assert "MC" not in PLAN.stations


def test_a_box_given_by_its_length_alone_is_centred_as_ever_and_one_given_both_ways_is_the_same() -> None:
    centred = construct_plate_area(read_lengths(PLACED, box_ahead="", box_behind="", box_length="7 ft"))
    halves = construct_plate_area(read_lengths(PLACED, box_ahead="3 ft 6 in", box_behind="3 ft 6 in"))
    assert centred.stations == halves.stations
    assert construct_plate_area(read_lengths(PLACED, box_length="7 ft")).stations == {
        mark: place
        for mark, place in PLAN.stations.items()
        if mark[0] in "APFTCL" and not mark.startswith("PP")
    }


@pytest.mark.parametrize(
    ("changes", "sentence", "hint", "at_name"),
    [
        ({"box_behind": ""}, "'box-ahead' is given without 'box-behind'", "add 'box-behind'", "box-ahead"),
        (
            {"box_ahead": "", "box_behind": ""},
            "the field has no 'box-length'",
            "or 'box-ahead' and",
            "box-length",
        ),
        (
            {"box_length": "6 ft"},
            "the batter's box isn't as long as it reaches ahead and behind together",
            "'box-length' is 6 ft, 'box-ahead' 4 ft, 'box-behind' 36 in; these together are 7 ft",
            "box-length",
        ),
        (
            {"box_behind": "8 1/2 in"},
            "ends no farther behind than home plate",
            "8 1/2 in either way",
            "box-behind",
        ),
        (
            {"box_ahead": "8 1/2 in"},
            "ends no farther ahead than home plate",
            "8 1/2 in either way",
            "box-ahead",
        ),
        (
            {"catchers_box_width": ""},
            "'catchers-box-length' is given without 'catchers-box-width'",
            "add 'catchers-box-width'",
            "catchers-box-length",
        ),
        (
            {"catchers_box_depth": "10 ft"},
            "catcher's box's depth and length don't agree",
            "begins 27 1/2 in",
            "catchers-box-depth",
        ),
        ({"catchers_box_width": "8 ft 6 in"}, "wider than both", "8 ft 5 in across", "catchers-box-width"),
        (
            {"mound_diameter": "18 ft", "mound_centre": "42 ft"},
            "a mound or a pitching circle, not both",
            "leave out one",
            "pitching-circle-radius",
        ),
        (
            {"pitching_circle_radius": "12 in"},
            "reaches out of its circle",
            "front edge",
            "pitching-circle-radius",
        ),
    ],
)
def test_lengths_that_contradict_or_are_missing_are_told_with_the_one_to_look_at(
    changes: dict[str, str], sentence: str, hint: str, at_name: str
) -> None:
    with pytest.raises(PocketrefError) as caught:
        construct_diamond(read_lengths(SOFTBALL, **changes))
    (problem,) = caught.value.problems
    assert sentence in problem.sentence
    assert hint in problem.hint
    assert problem.dimensions[0] == at_name
