"""Where a foot is: ordinary places, the boundary cases that are decided by rule, and laws of symmetry."""

from __future__ import annotations

import math

import pytest
from field_samples import PLATE_AREA, mirror, read_lengths
from hypothesis import assume, given, settings
from hypothesis import strategies as st
from shapely import Polygon, affinity, box

from pocketref.field.feet import (
    CONTACT_TOLERANCE_MM,
    FootPlacement,
    GroundJudgement,
    Where,
    construct_footprint,
    judge_foot,
    worse_foot,
)
from pocketref.field.plan import construct_plate_area
from pocketref.field.shoe import SHOE_LENGTH_MM, SHOE_WIDTH_MM, Contact, FootSide, construct_sole, cut_contact
from pocketref.problems import PocketrefError

PLAN = construct_plate_area(read_lengths(PLATE_AREA))
FIRST, THIRD, PLATE = (Polygon(PLAN.areas[name].points_mm) for name in ("box-first", "box-third", "plate"))
LINE_MM = 63.5
LEFT_MM, BACK_MM, RIGHT_MM, FRONT_MM = FIRST.bounds
MIDDLE_X_MM, MIDDLE_Y_MM = FIRST.centroid.x, FIRST.centroid.y
HALF_LENGTH_MM = SHOE_LENGTH_MM / 2
HALF_WIDTH_MM = SHOE_WIDTH_MM / 2

contacts: st.SearchStrategy[Contact] = st.sampled_from(["flat", "heel", "toe", "air"])
sides: st.SearchStrategy[FootSide] = st.sampled_from(["left", "right"])
placements = st.builds(
    FootPlacement,
    x_mm=st.floats(-300, 1900).map(lambda x: round(x, 4)),
    y_mm=st.floats(-1000, 1500).map(lambda y: round(y, 4)),
    heading_deg=st.integers(0, 359).map(float),
    contact=contacts,
    side=sides,
)


def judge(x_mm: float, y_mm: float, heading_deg: float = 90, contact: Contact = "flat") -> GroundJudgement:
    """Judge a right foot against the first-base-side box."""
    return judge_foot(FootPlacement(x_mm, y_mm, heading_deg, contact), FIRST, PLATE, LINE_MM)


def judge_front(gap_mm: float) -> GroundJudgement:
    """A foot straight ahead whose toe is `gap_mm` past the front line's outer edge."""
    return judge(MIDDLE_X_MM, FRONT_MM + gap_mm - HALF_LENGTH_MM)


def measure(placement: FootPlacement, box: Polygon = FIRST) -> tuple[float, float, float, float]:
    """How much of a sole's grounded part (mm²) is inside the lines, on them, past them, and on the plate."""
    _, sole = construct_footprint(placement)
    inside = sole.intersection(box.buffer(-LINE_MM, join_style="mitre")).area
    in_box = sole.intersection(box).area
    return inside, in_box - inside, sole.area - in_box, sole.intersection(PLATE).area


def is_near_an_edge(placement: FootPlacement, box: Polygon) -> bool:
    """Whether a hair's breadth would change the answer: then rounding may decide, and no law is claimed."""
    _, sole = construct_footprint(placement)
    shapes = (box, box.buffer(-LINE_MM, join_style="mitre"), PLATE)
    grown = sole.buffer(3 * CONTACT_TOLERANCE_MM)
    shrunk = sole.buffer(-3 * CONTACT_TOLERANCE_MM)
    return any(
        grown.intersects(shape) != shrunk.intersects(shape) or shape.covers(grown) != shape.covers(shrunk)
        for shape in shapes
    )


def test_a_foot_in_the_middle_of_the_box_is_inside() -> None:
    judgement = judge(MIDDLE_X_MM, MIDDLE_Y_MM)
    assert judgement.where is Where.INSIDE
    assert not judgement.touches_plate
    assert not judgement.past_outer_edge


def test_a_foot_on_the_line_with_nothing_past_it_is_on_the_line() -> None:
    judgement = judge_front(-20)
    assert judgement.where is Where.ON_LINE


def test_a_foot_partly_past_the_line_is_over_and_not_outside() -> None:
    judgement = judge_front(100)
    assert judgement.where is Where.OVER
    assert judgement.past_outer_edge


def test_a_foot_with_a_sliver_left_on_the_line_is_still_over() -> None:
    assert judge_front(SHOE_LENGTH_MM - 1).where is Where.OVER


def test_a_foot_wholly_past_the_line_is_outside() -> None:
    judgement = judge_front(SHOE_LENGTH_MM + 1)
    assert judgement.where is Where.OUTSIDE


def test_a_foot_that_meets_the_outer_edge_from_outside_touches_the_line() -> None:
    judgement = judge_front(SHOE_LENGTH_MM)
    assert judgement.where is Where.OVER


def test_a_foot_that_meets_the_outer_edge_from_inside_has_nothing_past_it() -> None:
    assert judge_front(0).where is Where.ON_LINE


def test_a_foot_that_meets_the_inner_edge_of_the_line_touches_the_line() -> None:
    assert judge_front(-LINE_MM).where is Where.ON_LINE
    assert judge_front(-LINE_MM - 0.1).where is Where.INSIDE


@pytest.mark.parametrize(("gap_mm", "where"), [(0.005, Where.OVER), (0.02, Where.OUTSIDE)])
def test_the_tolerance_decides_what_touches(gap_mm: float, where: Where) -> None:
    assert judge_front(SHOE_LENGTH_MM + gap_mm).where is where


def test_only_the_part_on_the_ground_counts() -> None:
    # The sole reaches 250 mm past the front line; its heel is back on the line.
    y_mm = FRONT_MM + 250 - HALF_LENGTH_MM
    assert judge(MIDDLE_X_MM, y_mm).where is Where.OVER
    assert judge(MIDDLE_X_MM, y_mm, contact="toe").where is Where.OUTSIDE
    assert judge(MIDDLE_X_MM, y_mm, contact="heel").where is Where.OVER
    # Lifting the toes brings a foot that is just over the line back within it.
    assert judge_front(10).where is Where.OVER
    assert judge(MIDDLE_X_MM, FRONT_MM + 10 - HALF_LENGTH_MM, contact="heel").where is Where.INSIDE


def test_a_foot_in_the_air_is_nowhere_even_above_the_plate() -> None:
    judgement = judge(0, 215.9, contact="air")
    assert judgement == GroundJudgement(Where.IN_AIR, touches_plate=False)


def test_a_foot_on_the_plate_is_outside_the_box_and_says_both() -> None:
    judgement = judge(0, 215.9)
    assert judgement.where is Where.OUTSIDE
    assert judgement.touches_plate


def test_a_foot_across_the_gap_is_on_the_line_and_on_the_plate() -> None:
    # The gap of 6 in is shorter than a shoe: pointed at the plate, a foot can be on both.
    judgement = judge(LEFT_MM - 76.2, 300, heading_deg=180)
    assert judgement.where is Where.OVER
    assert judgement.touches_plate


def test_a_toe_that_only_meets_the_plates_edge_touches_the_plate() -> None:
    side_mm = 8.5 * 25.4
    touching = judge(side_mm + HALF_LENGTH_MM, 300, heading_deg=180)
    clear = judge(side_mm + HALF_LENGTH_MM + 0.1, 300, heading_deg=180)
    assert touching.touches_plate
    assert not clear.touches_plate


@given(placements)
@settings(max_examples=80)
def test_the_mirrored_foot_in_the_mirrored_box_is_judged_the_same(placement: FootPlacement) -> None:
    assume(not is_near_an_edge(placement, FIRST))
    ours = judge_foot(placement, FIRST, PLATE, LINE_MM)
    theirs = judge_foot(mirror(placement), THIRD, PLATE, LINE_MM)
    assert (ours.where, ours.touches_plate) == (theirs.where, theirs.touches_plate)
    assert measure(placement) == pytest.approx(measure(mirror(placement), THIRD), abs=1e-3)


@given(placements, st.integers(-5000, 5000), st.integers(-5000, 5000))
@settings(max_examples=60)
def test_moving_foot_box_and_plate_together_changes_nothing(
    placement: FootPlacement, dx_mm: int, dy_mm: int
) -> None:
    assume(not is_near_an_edge(placement, FIRST))
    moved = FootPlacement(
        placement.x_mm + dx_mm,
        placement.y_mm + dy_mm,
        placement.heading_deg,
        placement.contact,
        placement.side,
    )
    box, plate = (affinity.translate(shape, dx_mm, dy_mm) for shape in (FIRST, PLATE))
    here, there = judge_foot(placement, FIRST, PLATE, LINE_MM), judge_foot(moved, box, plate, LINE_MM)
    assert (here.where, here.touches_plate) == (there.where, there.touches_plate)


@given(
    st.integers(0, 359),
    st.sampled_from([(1, 0), (-1, 0), (0, 1), (0, -1)]),
    st.lists(st.floats(0, 1500), min_size=2, max_size=6),
    sides,
)
@settings(max_examples=60)
def test_moving_outwards_from_the_middle_never_brings_a_foot_back(
    heading: int, direction: tuple[int, int], steps: list[float], side: FootSide
) -> None:
    order = list(Where)
    found = [
        judge_foot(
            FootPlacement(
                MIDDLE_X_MM + direction[0] * step,
                MIDDLE_Y_MM + direction[1] * step,
                float(heading),
                side=side,
            ),
            FIRST,
            PLATE,
            LINE_MM,
        )
        for step in sorted(steps)
    ]
    ranks = [order.index(judgement.where) for judgement in found]
    assert ranks == sorted(ranks)


@given(placements)
@settings(max_examples=60)
def test_the_place_agrees_with_the_areas(placement: FootPlacement) -> None:
    judgement = judge_foot(placement, FIRST, PLATE, LINE_MM)
    inside, on_line, past_line, on_plate = measure(placement)
    _, sole = construct_footprint(placement)
    # Within tolerance of the edge, all round the sole.
    hair = sole.length * CONTACT_TOLERANCE_MM
    match judgement.where:
        case Where.IN_AIR:
            assert sole.is_empty
        case Where.INSIDE:
            assert on_line + past_line <= hair
        case Where.ON_LINE:
            assert past_line <= hair
        case Where.OVER:
            assert past_line > 0
        case Where.OUTSIDE:
            assert inside == on_line == 0
    assert judgement.touches_plate or on_plate == 0


@given(placements, st.sampled_from([("heel", "flat"), ("toe", "flat"), ("air", "heel")]))
@settings(max_examples=60)
def test_putting_more_of_the_foot_down_never_takes_it_off_the_plate(
    placement: FootPlacement, change: tuple[Contact, Contact]
) -> None:
    less, more = (
        judge_foot(
            FootPlacement(placement.x_mm, placement.y_mm, placement.heading_deg, contact, placement.side),
            FIRST,
            PLATE,
            LINE_MM,
        )
        for contact in change
    )
    assert more.touches_plate or not less.touches_plate


def test_the_worse_of_two_feet_is_the_one_farther_out() -> None:
    inside, over, outside = judge(MIDDLE_X_MM, MIDDLE_Y_MM), judge_front(50), judge_front(400)
    assert worse_foot([inside, over]) is over
    assert worse_foot([outside, over]) is outside
    assert worse_foot([judge(0, 0, contact="air"), inside]) is inside


def test_of_two_feet_in_one_place_the_one_on_the_plate_is_worse() -> None:
    clear, on_plate = judge_front(400), judge(0, 215.9)
    assert clear.where is on_plate.where is Where.OUTSIDE
    assert worse_foot([clear, on_plate]) is on_plate


def test_the_worse_of_no_feet_is_refused() -> None:
    with pytest.raises(PocketrefError, match="no foot was placed"):
        worse_foot([])


def test_a_shoe_of_no_size_is_refused() -> None:
    with pytest.raises(PocketrefError, match="longer and wider than nothing"):
        construct_footprint(FootPlacement(0, 0, 0, length_mm=0))


def test_a_sole_has_exactly_the_size_asked_for_and_one_piece() -> None:
    sole = construct_sole("right", 280.0, 98.0)
    assert sole.is_valid
    assert sole.bounds == pytest.approx((-140, -49, 140, 49))
    assert 0.6 < sole.area / (280 * 98) < 0.9


def test_left_and_right_soles_are_mirror_images() -> None:
    left, right = construct_sole("left"), construct_sole("right")
    assert affinity.scale(left, 1, -1, origin=(0, 0)).symmetric_difference(right).area < 1e-9
    assert left.symmetric_difference(right).area > 100


def test_heel_and_toe_are_apart_and_part_of_the_sole() -> None:
    sole = construct_sole()
    heel, toe = cut_contact(sole, "heel"), cut_contact(sole, "toe")
    assert sole.buffer(1e-6).covers(heel)
    assert sole.buffer(1e-6).covers(toe)
    assert heel.distance(toe) > 50
    # 30 % of the sole is down on the heel, 35 % on toes and ball.
    assert (heel.bounds[0], heel.bounds[2]) == pytest.approx((-HALF_LENGTH_MM, -0.2 * SHOE_LENGTH_MM))
    assert (toe.bounds[0], toe.bounds[2]) == pytest.approx((0.15 * SHOE_LENGTH_MM, HALF_LENGTH_MM))


@given(st.floats(0, 360), sides)
@settings(max_examples=30)
def test_the_toes_point_along_the_heading(heading_deg: float, side: FootSide) -> None:
    heel, toe = (
        construct_footprint(FootPlacement(100, 50, heading_deg, contact, side))[1].centroid
        for contact in ("heel", "toe")
    )
    bearing = math.degrees(math.atan2(toe.y - heel.y, toe.x - heel.x))
    assert abs((bearing - heading_deg + 180) % 360 - 180) < 5


def test_the_big_toe_of_a_right_foot_is_on_its_left() -> None:
    """Toes ahead (+x), left is +y; the toes end nearer to the big toe's side, on a left foot the other way round."""
    tips = {side: cut_contact(construct_sole(side), "toe") for side in ("right", "left")}
    front = {
        side: tip.intersection(box(HALF_LENGTH_MM - 5, -200, 200, 200)).centroid.y
        for side, tip in tips.items()
    }
    assert front["right"] > 5
    assert front["left"] == pytest.approx(-front["right"])
