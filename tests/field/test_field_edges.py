"""Where a dimension stops making sense: the last size that is taken, and the first that is refused."""

from __future__ import annotations

import math
from collections.abc import Callable
from fractions import Fraction

import pytest
from field_samples import (
    ARC,
    CATCHERS_BOX,
    FIELD,
    LANE,
    MOUND,
    PLATE_AREA,
    SURROUNDINGS,
    read_lengths,
)

from pocketref.field.diamond import construct_diamond
from pocketref.field.dimensions import read_diamond_dimensions, read_plate_dimensions
from pocketref.field.plan import Plan, Station, construct_plate_area
from pocketref.field.pulls import measure_pull
from pocketref.problems import PocketrefError
from pocketref.units.length import Length

CATCHER = PLATE_AREA | CATCHERS_BOX
HILL = FIELD | MOUND
FULL = HILL | LANE | SURROUNDINGS | ARC
FOOT = 304.8


# the dimensions beside the one in question, its name, the last value taken, the first refused, what is said
PLATE_LIMITS = [
    (PLATE_AREA, "plate-side", "8 1/2 in", "8 9/16 in", "the plate's side must be half its width"),
    (PLATE_AREA, "plate-rear-edge", "11.959 in", "11.958 in", "rear edge doesn't fit"),
    (PLATE_AREA, "plate-rear-edge", "12.083 in", "12.084 in", "rear edge doesn't fit"),
    (PLATE_AREA, "box-length", "17 1/16 in", "17 in", "no longer than home plate is deep"),
    (
        PLATE_AREA | {"box-length": "12 ft"},
        "box-offset",
        "47 15/16 in",
        "48 in",
        "as far from the plate as it is",
    ),
    (PLATE_AREA, "box-offset", "35 15/16 in", "36 in", "would not cross the batter's boxes"),
    (PLATE_AREA, "line-width", "23 15/16 in", "24 in", "no room inside"),
    (PLATE_AREA | {"box-length": "3 ft"}, "line-width", "17 15/16 in", "18 in", "no room inside"),
    (CATCHER, "catchers-box-width", "17 in", "16 15/16 in", "narrower than home plate"),
    (CATCHER, "catchers-box-width", "125 in", "125 1/16 in", "wider than both"),
    (CATCHER, "catchers-box-depth", "27 9/16 in", "27 1/2 in", "no farther back"),
]
FIELD_LIMITS = [
    (FIELD, "second-base-diagonal", "1528.35 in", "1528.36 in", "doesn't fit 'base-distance'"),
    (FIELD, "second-base-diagonal", "1526.36 in", "1526.35 in", "doesn't fit 'base-distance'"),
    (FIELD, "base-size", "54 in", "54 1/16 in", "bases are too large"),
    (FIELD, "pitching-distance", "1521.35 in", "1521.36 in", "not in front of second base"),
    (FIELD, "pitching-distance", "17 1/16 in", "17 in", "on home plate"),
    (HILL, "mound-centre", "834 in", "834 1/16 in", "not on the mound"),
    (HILL, "mound-centre", "624 in", "623 15/16 in", "not on the mound"),
    (FIELD, "infield-arc", "801.36 in", "801.35 in", "in front of a base"),
    (FIELD | {"pitching-distance": "1300 in"}, "infield-arc", "933.2 in", "933.1 in", "in front of a base"),
]


LIMITS = [
    *((read_plate_dimensions, *limit) for limit in PLATE_LIMITS),
    *((read_diamond_dimensions, *limit) for limit in FIELD_LIMITS),
]


def problems_of(read: Callable[[dict[str, Length]], object], texts: dict[str, str]) -> list[str]:
    """What is wrong with the dimensions, as they are read for the plate area or the whole field."""
    try:
        read(read_lengths(texts))
    except PocketrefError as error:
        return [problem.sentence for problem in error.problems]
    return []


@pytest.mark.parametrize(("read", "beside", "name", "taken", "refused", "said"), LIMITS)
def test_a_dimension_is_taken_up_to_its_limit(
    read: Callable[[dict[str, Length]], object],
    beside: dict[str, str],
    name: str,
    taken: str,
    refused: str,
    said: str,
) -> None:
    assert problems_of(read, beside | {name: taken}) == []
    (sentence,) = problems_of(read, beside | {name: refused})
    assert said in sentence


@pytest.mark.parametrize("name", FIELD)
def test_a_field_without_a_dimension_it_needs_is_refused(name: str) -> None:
    texts = {key: text for key, text in FIELD.items() if key != name}
    with pytest.raises(PocketrefError) as caught:
        construct_diamond(read_lengths(texts))
    assert {problem.code for problem in caught.value.problems} == {"dimension-missing"}
    assert caught.value.problems[0].sentence == f"the field has no '{name}'"


@pytest.mark.parametrize("name", ["box-length", "base-size", "infield-arc"])
def test_a_dimension_of_nothing_is_refused(name: str) -> None:
    sizes = read_lengths(FULL) | {name: Length.from_inches(0)}
    with pytest.raises(PocketrefError, match=f"'{name}' must be more than zero"):
        construct_diamond(sizes)


TOGETHER = [
    ("catchers-box-width", "catchers-box-depth"),
    ("mound-diameter", "mound-centre"),
    ("coach-box-length", "coach-box-width", "coach-box-offset"),
    ("on-deck-diameter", "on-deck-distance"),
]


@pytest.mark.parametrize(("group", "left_out"), [(group, name) for group in TOGETHER for name in group])
def test_dimensions_of_one_thing_are_given_together(group: tuple[str, ...], left_out: str) -> None:
    texts = {name: text for name, text in (FULL | CATCHER).items() if name != left_out}
    first = next(name for name in group if name != left_out)
    with pytest.raises(PocketrefError) as caught:
        construct_diamond(read_lengths(texts))
    assert [problem.sentence for problem in caught.value.problems] == [
        f"'{first}' is given without '{left_out}'"
    ]


def full_field(**changes: str) -> Plan:
    return construct_diamond(read_lengths(FULL, **changes))


def test_the_stations_of_the_running_lane_are_the_corners_of_its_outline() -> None:
    plan = full_field()
    corners = plan.areas["lane"].points_mm
    places = [(plan.stations[mark].x_mm, plan.stations[mark].y_mm) for mark in ("R1", "R2", "R3", "1B")]
    for place, corner in zip(places, corners, strict=True):
        assert place == pytest.approx(corner)


def test_the_on_deck_circles_lie_straight_out_from_the_rear_tip_on_either_side() -> None:
    plan = full_field()
    for digit, side in (("1", 1), ("3", -1)):
        circle, station = plan.arcs[f"on-deck-{digit}"], plan.stations[f"D{digit}"]
        assert (circle.x_mm, circle.y_mm, circle.radius_mm) == pytest.approx(
            (side * 37 * FOOT, 0, 2.5 * FOOT)
        )
        assert (station.x_mm, station.y_mm) == pytest.approx((circle.x_mm, circle.y_mm))
        assert (circle.start_deg, circle.end_deg) == (0, 360)
        assert circle.note


def test_the_stations_of_the_coachs_boxes_stand_where_they_say() -> None:
    plan = full_field()
    # along the foul line from the rear tip, and out from it into foul ground
    expected = {1: (90, 15), 2: (70, 15), 3: (70, 20), 4: (90, 20)}
    for number, (along, out) in expected.items():
        for mark, side in ((f"K{number}", 1), (f"K{number + 4}", -1)):
            x, y = side * plan.stations[mark].x_mm / FOOT, plan.stations[mark].y_mm / FOOT
            assert ((x + y) / math.sqrt(2), (x - y) / math.sqrt(2)) == pytest.approx((along, out))
            assert ("outfield end" in plan.stations[mark].label) == (along == 90)
            assert ("field side" in plan.stations[mark].label) == (out == 15)


def test_the_grass_line_is_drawn_counter_clockwise_over_second_base() -> None:
    arc = full_field().arcs["infield"]
    assert arc.radius_mm == pytest.approx(95 * FOOT)
    assert (arc.x_mm, arc.y_mm) == pytest.approx((0, 60.5 * FOOT))
    assert 0 < arc.start_deg < 90 < arc.end_deg < 180
    assert arc.start_deg + arc.end_deg == pytest.approx(180)


def test_a_catchers_box_that_only_just_reaches_behind_the_batters_boxes_begins_at_their_back_lines() -> None:
    begins = {}
    for width in ("29 in", "29 1/8 in"):
        plan = construct_plate_area(read_lengths(CATCHER, catchers_box_width=width))
        begins[width] = plan.stations["C2"].y_mm
        assert plan.stations["C4"].y_mm == begins[width]
    assert begins["29 in"] == 0
    assert begins["29 1/8 in"] == pytest.approx(-27.5 * 25.4)


def test_foul_lines_around_home_plate_are_drawn_a_foot_out_and_forward_past_the_box() -> None:
    plan = construct_plate_area(read_lengths(PLATE_AREA))
    for name, mark, side in (("foul-line-first", "L1", 1), ("foul-line-third", "L3", -1)):
        start, (x, y) = plan.stations[mark], plan.lines[name].end_mm
        assert plan.lines[name].start_mm == (start.x_mm, start.y_mm)
        assert (side * (x - start.x_mm), y - start.y_mm) == pytest.approx((FOOT, FOOT))


@pytest.mark.parametrize("sixty_fourths", [1, 63, 2753, 97773])
def test_a_pull_that_is_a_64th_but_for_the_last_digits_is_that_64th(sixty_fourths: int) -> None:
    exact = Fraction(sixty_fourths, 64)
    for stray_in, is_exact in ((0, True), (5e-10, True), (5e-9, False), (-5e-9, False)):
        end = Station("B", "there", 0.0, float(exact * Fraction(127, 5)) + stray_in * 25.4)
        pull = measure_pull(Station("A", "here", 0.0, 0.0), end, "check", "from here to there")
        assert (pull.length.inches == exact) == is_exact
        assert float(pull.length.inches) == pytest.approx(float(exact) + stray_in, abs=1e-9)


@pytest.mark.parametrize(
    ("read", "texts", "hint"),
    [
        (
            read_plate_dimensions,
            CATCHER | {"catchers-box-width": "126 in"},
            "'catchers-box-width' is 10 ft 6 in; the boxes reach 10 ft 5 in across",
        ),
        (
            read_plate_dimensions,
            PLATE_AREA | {"box-length": "12 ft", "box-offset": "48 in"},
            "'box-offset' is 4 ft, 'box-width' 4 ft",
        ),
        (
            read_plate_dimensions,
            CATCHER | {"catchers-box-depth": "27 in"},
            "they end 27 1/2 in behind the plate's rear tip, which its depth is measured from",
        ),
        (
            read_diamond_dimensions,
            FIELD | {"base-size": "60 in"},
            "'base-size' is 5 ft, 'base-distance' 90 ft",
        ),
    ],
)
def test_what_disagrees_is_said_with_the_figures(
    read: Callable[[dict[str, Length]], object], texts: dict[str, str], hint: str
) -> None:
    with pytest.raises(PocketrefError) as caught:
        read(read_lengths(texts))
    assert [problem.hint for problem in caught.value.problems] == [hint]


def test_the_pitchers_plate_is_a_rectangle_behind_its_front_edge() -> None:
    front, rear, half = 60.5 * FOOT, 61 * FOOT, FOOT
    corners = full_field().areas["pitchers-plate"].points_mm
    expected = [(-half, front), (half, front), (half, rear), (-half, rear)]
    for corner, place in zip(corners, expected, strict=True):
        assert corner == pytest.approx(place)


def test_the_mound_is_a_circle_about_its_centre_on_the_middle_line() -> None:
    mound = full_field().arcs["mound"]
    assert (mound.x_mm, mound.y_mm, mound.radius_mm) == pytest.approx((0, 59 * FOOT, 9 * FOOT))
    assert (mound.start_deg, mound.end_deg) == (0, 360)
