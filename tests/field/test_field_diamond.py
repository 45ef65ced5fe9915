"""The plan of a whole field: where bases, mound, lane and boxes stand, and which dimensions are refused."""

from __future__ import annotations

import math

import pytest
from field_samples import ARC, DIAGONAL, FIELD, HEIGHT, LANE, MOUND, SURROUNDINGS, read_lengths
from shapely import Polygon

from pocketref.field.diamond import construct_diamond
from pocketref.field.plan import Plan
from pocketref.problems import PocketrefError

OPTIONAL = DIAGONAL | HEIGHT | MOUND | LANE | SURROUNDINGS | ARC
INCH = 25.4
FOOT = 304.8


def field_of(has_double_base: bool = False, /, **changes: str) -> Plan:
    doubled = {"double_base_width": "30 in"} if has_double_base else {}
    return construct_diamond(read_lengths(FIELD | OPTIONAL, **doubled, **changes))


def outline(plan: Plan, name: str) -> Polygon:
    return Polygon(plan.areas[name].points_mm)


def test_bases_stand_at_the_corners_of_a_square() -> None:
    stations = field_of().stations
    corners = [(stations[mark].x_mm, stations[mark].y_mm) for mark in ("A", "1B", "2B", "3B")]
    for a, b in zip(corners, corners[1:] + corners[:1], strict=True):
        assert math.dist(a, b) == pytest.approx(90 * FOOT)
    assert math.dist(corners[0], corners[2]) == pytest.approx(math.dist(corners[1], corners[3]))


def test_first_and_third_lie_wholly_in_fair_ground_with_their_back_corner_at_the_base_distance() -> None:
    plan = field_of()
    for name, mark, side in (("first-base", "1B", 1), ("third-base", "3B", -1)):
        points = plan.areas[name].points_mm
        assert all(y >= side * x - 1e-6 for x, y in points)
        corner = plan.stations[mark]
        assert min(math.dist(point, (corner.x_mm, corner.y_mm)) for point in points) < 1e-6
        farthest = max((side * x + y) / math.sqrt(2) for x, y in points)
        assert farthest == pytest.approx(90 * FOOT)
        assert outline(plan, name).area == pytest.approx((15 * INCH) ** 2)


def test_second_base_is_centred_on_its_corner_and_a_quarter_of_it_is_in_the_square() -> None:
    plan = field_of()
    bag = outline(plan, "second-base")
    second = plan.stations["2B"]
    assert (bag.centroid.x, bag.centroid.y) == pytest.approx((second.x_mm, second.y_mm))
    square = Polygon(
        [(plan.stations[mark].x_mm, plan.stations[mark].y_mm) for mark in ("A", "1B", "2B", "3B")]
    )
    assert bag.intersection(square).area == pytest.approx(bag.area / 4)


@pytest.mark.parametrize("size", ["15 in", "18 in"])
def test_the_gaps_between_drawn_bases_are_the_figures(size: str) -> None:
    plan = field_of(base_size=size)
    first, second = outline(plan, "first-base"), outline(plan, "second-base")
    assert first.distance(second) / INCH == pytest.approx(plan.figures["first-to-second-gap"].inches)
    home = outline(plan, "plate").boundary.interpolate(0)
    assert first.distance(home) / INCH == pytest.approx(plan.figures["home-to-first-near-edge"].inches)


def test_the_double_base_adds_a_foul_half_that_touches_the_white_half_along_the_foul_line() -> None:
    plan = field_of(True)
    white, coloured = outline(plan, "first-base"), outline(plan, "first-base-foul-half")
    assert coloured.area == pytest.approx(white.area)
    # Grown by a thousandth so that floats cannot part what meets edge to edge.
    assert white.buffer(0.001).intersection(coloured.boundary).length == pytest.approx(15 * INCH, abs=0.01)
    assert all(y <= x + 1e-6 for x, y in plan.areas["first-base-foul-half"].points_mm)
    assert plan.stations["1B"] == field_of().stations["1B"]
    assert "first-base-foul-half" not in field_of().areas


def test_anchors_are_in_the_middle_of_their_bases() -> None:
    plan = field_of(base_size="18 in")
    for name, mark in (("first-base", "1A"), ("third-base", "3A")):
        middle, anchor = outline(plan, name).centroid, plan.stations[mark]
        assert (middle.x, middle.y) == pytest.approx((anchor.x_mm, anchor.y_mm))
    assert plan.figures["base-anchor-inside"].inches == 9


def test_the_pitchers_plate_has_its_front_edge_at_the_pitching_distance_on_the_mound() -> None:
    plan = field_of()
    x1, y1, x2, y2 = outline(plan, "pitchers-plate").bounds
    assert (x1, x2) == pytest.approx((-12 * INCH, 12 * INCH))
    assert (y1, y2) == pytest.approx((60.5 * FOOT, 61 * FOOT))
    mound = plan.arcs["mound"]
    assert (mound.y_mm, mound.radius_mm) == pytest.approx((59 * FOOT, 9 * FOOT))
    assert plan.figures["pitchers-plate-behind-mound-centre"].inches == 18


def test_the_running_lane_is_the_last_half_of_the_way_to_first_in_foul_ground() -> None:
    plan = field_of()
    lane = outline(plan, "lane")
    assert lane.area == pytest.approx(45 * FOOT * 3 * FOOT)
    assert all(y <= x + 1e-6 for x, y in plan.areas["lane"].points_mm)
    for line in ("lane-start", "lane-outer"):
        assert lane.buffer(0.001).covers(Polygon(plan.lines[line].outline_mm))


def test_coachs_boxes_are_mirrored_clear_of_the_foul_line_and_painted_inside() -> None:
    plan = field_of()
    first, third = outline(plan, "coach-box-first"), outline(plan, "coach-box-third")
    mirrored = Polygon([(-x, y) for x, y in plan.areas["coach-box-third"].points_mm])
    assert first.symmetric_difference(mirrored).area < 1e-3
    assert min((x - y) / math.sqrt(2) for x, y in plan.areas["coach-box-first"].points_mm) == pytest.approx(
        15 * FOOT
    )
    for name, box in (("coach-box-first", first), ("coach-box-third", third)):
        painted = [line for key, line in plan.lines.items() if key.startswith(name)]
        assert len(painted) == 4
        assert all(box.buffer(0.001).covers(Polygon(line.outline_mm)) for line in painted)
        assert plan.areas[name].note


def test_the_infield_arc_runs_from_foul_line_to_foul_line_and_the_lines_reach_it() -> None:
    plan = field_of()
    arc = plan.arcs["infield"]
    ends = [
        (
            arc.x_mm + arc.radius_mm * math.cos(math.radians(angle)),
            arc.y_mm + arc.radius_mm * math.sin(math.radians(angle)),
        )
        for angle in (arc.start_deg, arc.end_deg)
    ]
    assert ends[0][0] == pytest.approx(ends[0][1])
    assert ends[1][0] == pytest.approx(-ends[1][1])
    assert plan.lines["foul-line-first"].end_mm == pytest.approx(ends[0])
    assert plan.lines["foul-line-third"].end_mm == pytest.approx(ends[1])


def test_areas_without_dimensions_are_not_drawn() -> None:
    plan = construct_diamond(read_lengths(FIELD))
    assert plan.arcs == {}
    assert "lane" not in plan.areas
    assert not any(name.startswith("coach") for name in (*plan.areas, *plan.lines))
    end = plan.lines["foul-line-first"].end_mm
    assert math.hypot(*end) == pytest.approx(90 * FOOT + 15 * INCH)
    assert plan.figures["pitchers-plate-to-second"].inches == pytest.approx(801.351, abs=0.001)


def test_the_whole_field_holds_the_plate_area_too() -> None:
    plan = field_of()
    assert {"A", "F1", "T4", "L1", "1B", "2B", "3B", "PP", "MC"} <= set(plan.stations)
    assert {"plate", "box-first", "box-third", "second-base"} <= set(plan.areas)
    assert {"box-diagonal", "square-diagonal"} <= set(plan.figures)


@pytest.mark.parametrize(
    ("name", "value", "sentence"),
    [
        ("second_base_diagonal", "172 ft 3 3/8 in", "doesn't fit 'base-distance'"),
        ("base_size", "15 ft", "bases are too large"),
        ("pitching_distance", "160 ft 6 in", "not in front of second base"),
        ("pitching_distance", "6 in", "on home plate"),
        ("mound_centre", "5 ft 9 in", "not on the mound"),
        ("infield_arc", "60 ft", "in front of a base"),
    ],
)
def test_dimensions_that_make_no_sense_together_are_refused(name: str, value: str, sentence: str) -> None:
    with pytest.raises(PocketrefError, match=sentence) as caught:
        field_of(**{name: value})
    assert {problem.code for problem in caught.value.problems} == {"dimension-inconsistent"}


def test_a_mound_without_its_centre_is_refused() -> None:
    with pytest.raises(PocketrefError, match="'mound-diameter' is given without 'mound-centre'"):
        construct_diamond(read_lengths(FIELD, mound_diameter="18 ft"))
