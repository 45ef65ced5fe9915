"""Field geometry against figures published elsewhere; each check names where its figure is from.

HS is the high school rules book, OBR the Official Baseball Rules, COL the college rules. Section numbers of
HS 1-2-x and LL 1.04 to 1.06 are from memory and must be compared with the book in force.
"""

from __future__ import annotations

import math
from fractions import Fraction

import numpy as np
import pytest
from field_samples import (
    CATCHERS_BOX,
    DIAGONAL,
    EDGES,
    FIELD,
    HEIGHT,
    LANE,
    MOUND,
    PLATE_AREA,
    read_lengths,
)

from pocketref.field.diamond import construct_diamond
from pocketref.field.plan import Plan, construct_plate_area
from pocketref.field.pulls import pulls
from pocketref.tape.error_model import find_metal_tolerance_mm
from pocketref.units.length import Length
from pocketref.units.notation import read_length, write_feet_inches

FULL_SIZE = FIELD | EDGES | CATCHERS_BOX | DIAGONAL | MOUND | HEIGHT | LANE
SIXTEENTH_IN = 1 / 16


def field_of(**changes: str) -> Plan:
    return construct_diamond(read_lengths(FULL_SIZE, **changes))


def written(plan: Plan, figure: str) -> str:
    return write_feet_inches(plan.figures[figure].length)


def test_nominal_plate_edges_do_not_close_with_a_right_angle() -> None:
    # Mathematics Magazine 69 (1996) 44-45: 12, 12 and 17 are no right triangle, 144 + 144 = 288, 17² = 289.
    # With the width and the right angle kept, a rear edge squared is half of 289, and 12 in is nominal.
    figure = field_of().figures["plate-rear-edge"]
    assert figure.inches**2 * 2 == pytest.approx(289, abs=1e-9)
    assert figure.inches == pytest.approx(12.021, abs=0.0005)
    assert 12 < figure.inches < 12 + SIXTEENTH_IN


def test_plate_outline_has_the_five_published_edges_to_a_sixteenth() -> None:
    # HS 1-2-10, OBR 2.02, COL 1-6, LL 1.05: 17 front, 8 1/2 sides, 12 rear.
    points = field_of().areas["plate"].points_mm
    edges = [math.dist(a, b) / 25.4 for a, b in zip(points, points[1:] + points[:1], strict=True)]
    assert edges == pytest.approx([12, 8.5, 17, 8.5, 12], abs=SIXTEENTH_IN)
    assert edges[1:4] == pytest.approx([8.5, 17, 8.5], abs=1e-9)


def test_boxes_are_four_by_six_feet_six_inches_off_the_plate() -> None:
    # COL 1-3-a; HS diagram 2 and OBR appendix 2: 4 ft by 6 ft, 6 in off the plate, 3 ft either way of its
    # middle.
    plan = field_of()
    points = plan.areas["box-first"].points_mm
    xs, ys = [x / 304.8 for x, _ in points], [y / 304.8 for _, y in points]
    assert max(xs) - min(xs) == pytest.approx(4)
    assert max(ys) - min(ys) == pytest.approx(6)
    assert min(xs) * 12 == pytest.approx(8.5 + 6)
    assert (max(ys) * 12 - 8.5, 8.5 - min(ys) * 12) == pytest.approx((36, 36))


def test_catchers_box_is_43_inches_by_8_feet_from_the_point_of_the_plate() -> None:
    # PONY division page: 43 in wide, 8 ft deep from the point of the plate.
    points = field_of().areas["catchers-box"].points_mm
    assert min(y for _, y in points) / 304.8 == pytest.approx(-8)
    assert (max(x for x, y in points) - min(x for x, y in points)) / 25.4 == pytest.approx(43)


def test_base_square_and_its_published_diagonals() -> None:
    # HS 1-2-1 and 1-2-5, OBR 2.01, COL 1-2-a and 1-5: 90 ft to the back corners and from there to the centre
    # of second; home to second and first to third 127 ft 3 3/8 in.
    found = {pull.name: write_feet_inches(pull.length) for pull in pulls(field_of())}
    assert found["A-1B"] == found["1B-2B"] == found["2B-3B"] == found["3B-A"] == "90 ft"
    assert found["A-2B"] == found["1B-3B"] == "127 ft 3 3/8 in"


def test_exact_diagonal_is_a_hair_shorter_than_the_published_one() -> None:
    # A university mathematics department's note on OBR 2.01: 127 ft 3.351 in, 0.024 in under the published.
    figures = field_of().figures
    assert figures["square-diagonal"].inches == pytest.approx(127 * 12 + 3.351, abs=0.0005)
    assert figures["published-diagonal-excess"].inches == pytest.approx(0.024, abs=0.0005)


# Published youth diagonals by length of base line: rule books and dimension charts of youth fields (charts
# disagree on 60, 80 and 50 ft, so both figures are listed). The difference from the exact square, in inches.
YOUTH_DIAGONALS = [
    ("60 ft", "84 ft 10 in", -0.23),
    ("60 ft", "84 ft 10 1/4 in", 0.02),
    ("70 ft", "99 ft", 0.06),
    ("80 ft", "113 ft 2 in", 0.36),
    ("80 ft", "113 ft 1 5/8 in", -0.02),
    ("50 ft", "70 ft 8 in", -0.53),
    ("50 ft", "70 ft 8 1/2 in", -0.03),
]


@pytest.mark.parametrize(("base", "published", "excess_in"), YOUTH_DIAGONALS)
def test_published_youth_diagonals_are_near_the_exact_square(
    base: str, published: str, excess_in: float
) -> None:
    plan = field_of(
        base_distance=base,
        second_base_diagonal=published,
        pitching_distance="46 ft",
        mound_centre="45 ft",
        mound_diameter="10 ft",
    )
    assert plan.figures["published-diagonal-excess"].inches == pytest.approx(excess_in, abs=0.0051)


def test_gaps_between_bases_with_bags_of_15_and_18_inches() -> None:
    # Press on the 2022 minor-league test and the notice of the 2023 bases (Sept 2022): home to first 3 in
    # less and first to second 4 1/2 in less with 18-in bags; 88 ft 1 1/2 in with 15-in bags.
    small, large = field_of(), field_of(base_size="18 in")
    assert written(small, "home-to-first-near-edge") == "88 ft 9 in"
    assert written(small, "first-to-second-gap") == "88 ft 1 1/2 in"
    assert written(large, "home-to-first-near-edge") == "88 ft 6 in"
    assert written(large, "first-to-second-gap") == "87 ft 9 in"
    for name, less in (("home-to-first-near-edge", 3), ("first-to-second-gap", Fraction(9, 2))):
        assert small.figures[name].length - large.figures[name].length == Length(Fraction(less))


def test_pitching_distance_runs_to_the_front_edge_with_the_plate_18_inches_behind_the_centre() -> None:
    # HS 1-2-6 and 1-2-11, COL 1-8: 60 ft 6 in to the nearer edge; HS 1-2-6: centre of the mound 59 ft from
    # the apex, the front of the pitcher's plate 18 in behind it.
    plan = field_of()
    found = {pull.name: write_feet_inches(pull.length) for pull in pulls(plan)}
    assert found["A-PP"] == "60 ft 6 in"
    assert found["PP3-PP1"] == "2 ft"
    assert found["A-MC"] == "59 ft"
    assert written(plan, "pitchers-plate-behind-mound-centre") == "1 ft 6 in"


def test_anchors_of_15_inch_bags() -> None:
    # A trade page on setting anchors says to subtract 6 to 7 in; half a 15-in bag is 7 1/2 in, so the anchor
    # is 89 ft 4 1/2 in along the line and 7 1/2 in inside it (arithmetic by hand).
    plan = field_of()
    assert written(plan, "base-anchor-along") == "89 ft 4 1/2 in"
    assert written(plan, "base-anchor-inside") == "7 1/2 in"


# Arithmetic by hand from the published dimensions above, apart from this code.
BY_HAND = [
    ("box-diagonal", "7 ft 2 9/16 in"),  # √(72² + 48²) = 86.533 in, nearest 1/16
    ("front-line-ahead-of-plate", "2 ft 3 1/2 in"),
    ("front-line-ahead-of-apex", "3 ft 8 1/2 in"),
    ("back-line-behind-apex", "2 ft 3 1/2 in"),
    ("gap-between-boxes", "2 ft 5 in"),
    ("boxes-outer-to-outer", "10 ft 5 in"),
    ("catchers-box-overlap", "7 in"),
    ("foul-line-meets-inner-line", "1 ft 2 1/2 in"),
    ("foul-line-leaves-box-out", "3 ft 8 1/2 in"),
    ("foul-line-leaves-box-along", "5 ft 2 15/16 in"),
    ("box-inside-length", "5 ft 7 in"),
    ("box-inside-width", "3 ft 7 in"),
    ("first-third-crossing", "63 ft 7 11/16 in"),
    ("first-third-crossing-behind-pitchers-plate", "3 ft 1 11/16 in"),
    ("plate-front-to-pitchers-plate", "59 ft 1 in"),
    ("pitchers-plate-to-second", "66 ft 9 3/8 in"),
    ("lane-start", "45 ft"),
]


@pytest.mark.parametrize(("figure", "by_hand"), BY_HAND)
def test_figures_agree_with_arithmetic_by_hand(figure: str, by_hand: str) -> None:
    assert written(field_of(), figure) == by_hand


def test_a_box_of_three_feet_four_inches_off_is_the_youth_one() -> None:
    # Dimension charts of 60-ft youth fields: 3 ft by 6 ft, 4 in off the plate.
    plan = construct_plate_area(
        read_lengths(PLATE_AREA, box_width="3 ft", box_length="6 ft", box_offset="4 in", line_width="2 in")
    )
    assert written(plan, "gap-between-boxes") == "2 ft 1 in"
    assert written(plan, "boxes-outer-to-outer") == "8 ft 1 in"


# NIST Handbook 44, section 5.52, tolerances of metal tapes.
TAPE_TOLERANCES = [
    ("6 ft", "1/32 in"),
    ("7 ft", "1/16 in"),
    ("30 ft", "1/16 in"),
    ("31 ft", "1/8 in"),
    ("55 ft", "1/8 in"),
    ("56 ft", "3/16 in"),
    ("80 ft", "3/16 in"),
    ("81 ft", "1/4 in"),
    ("100 ft", "1/4 in"),
]


@pytest.mark.parametrize(("length", "tolerance"), TAPE_TOLERANCES)
def test_tape_tolerances_are_those_of_the_handbook(length: str, tolerance: str) -> None:
    found = find_metal_tolerance_mm(np.array([read_length(length).float_mm]))
    assert found[0] == pytest.approx(read_length(tolerance).float_mm)
