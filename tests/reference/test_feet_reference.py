"""Where feet are judged to be, against what rule books and umpires' manuals say of the same cases.

Only each source's logic is checked: which place of a foot it tells from which. What is called for it is the
rulings' business.
"""

from __future__ import annotations

import pytest
from shapely import Polygon, box

from pocketref.field.feet import FootPlacement, Where, judge_foot
from pocketref.field.shoe import Contact

# The first-base-side box and the plate by hand, in mm: 4 ft by 6 ft, 6 in off a 17-in plate (COL 1-3-a).
BOX = box(14.5 * 25.4, -27.5 * 25.4, 62.5 * 25.4, 44.5 * 25.4)
PLATE = Polygon([(x * 25.4, y * 25.4) for x, y in [(0, 0), (8.5, 8.5), (8.5, 17), (-8.5, 17), (-8.5, 8.5)]])
LINE_MM = 2.5 * 25.4
FRONT_MM = 44.5 * 25.4
MIDDLE_MM = 38.5 * 25.4
HALF_MM = 150.0


def toe_past_front_line(past_mm: float, contact: Contact = "flat") -> Where:
    y_mm = FRONT_MM + past_mm - HALF_MM
    placement = FootPlacement(MIDDLE_MM, y_mm, 90.0, contact)
    return judge_foot(placement, BOX, PLATE, LINE_MM).where


@pytest.mark.parametrize(
    ("past_mm", "where"),
    [
        (-100.0, Where.INSIDE),  # within the lines
        (-1.0, Where.ON_LINE),  # on the line, nothing past it: OBR 5.04(b)(5), a legal stance
        (50.0, Where.OVER),  # partly past: no legal stance by OBR 5.04(b)(5), no out by 6.03(a)(1)
        (299.0, Where.OVER),  # any part still on the line: not entirely out (HS 7-3-2, OBR 6.03(a)(1))
        (301.0, Where.OUTSIDE),  # entirely outside the lines: HS 7-3-2, OBR 6.03(a)(1), COL 7-10-a
    ],
)
def test_lines_are_part_of_the_box_up_to_their_outer_edge(past_mm: float, where: Where) -> None:
    # OBR 5.04(b)(5) approved ruling, LL 6.03: the lines are within the box.
    assert toe_past_front_line(past_mm) is where


def test_a_foot_in_the_air_at_contact_is_not_on_the_ground_outside() -> None:
    # OBR 6.03(a)(1), HS 7-3-2: the foot must be on the ground outside.
    assert toe_past_front_line(301.0, "air") is Where.IN_AIR


def test_a_foot_on_line_and_plate_is_told_apart_from_one_entirely_out_on_the_plate() -> None:
    # HS 7-3-2 and COL 7-10-a look at the plate; OBR 6.03(a)(1) only at being entirely out: both are told.
    across = judge_foot(FootPlacement(11.5 * 25.4, 12 * 25.4, 180.0), BOX, PLATE, LINE_MM)
    on_plate = judge_foot(FootPlacement(0.0, 12 * 25.4, 180.0), BOX, PLATE, LINE_MM)
    assert (across.where, across.touches_plate) == (Where.OVER, True)
    assert (on_plate.where, on_plate.touches_plate) == (Where.OUTSIDE, True)


def test_rubbing_out_a_line_changes_nothing_about_being_outside() -> None:
    # LL help-centre answer on rubbed-out lines: the box still exists by its known dimensions.
    for past_mm in (50.0, 301.0):
        placement = FootPlacement(MIDDLE_MM, FRONT_MM + past_mm - HALF_MM, 90.0)
        painted = judge_foot(placement, BOX, PLATE, LINE_MM)
        rubbed_out = judge_foot(placement, BOX, PLATE, 0.0)
        assert painted.where is rubbed_out.where
