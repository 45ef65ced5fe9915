"""Dimension lines after ISO 129-1: where they end, and how their texts read."""

from __future__ import annotations

import math

import pytest
from hypothesis import given, settings
from hypothesis import strategies as st
from scene_measures import distance, find_overlaps, outline, shapes_of, vertices

from pocketref.scene.dimensioning import GAP_MM, OVERRUN_MM, DimensionLine, DimensionSheet
from pocketref.scene.inks import BLACK
from pocketref.scene.items import FontFace, Text
from pocketref.scene.paths import Point
from pocketref.scene.typefaces import set_text, typeface

SIZE_PT = 8.0
PLACES = st.tuples(st.floats(-80, 80), st.floats(-80, 80))


def drawn(dimension: DimensionLine) -> DimensionSheet:
    sheet = DimensionSheet(SIZE_PT)
    sheet.draw_dimension(dimension)
    return sheet


def lines_of(sheet: DimensionSheet) -> list[tuple[Point, Point]]:
    found = [vertices(shape) for shape in shapes_of(sheet.items) if shape.stroke]
    return [(points[0], points[-1]) for points in found]


def tips_of(sheet: DimensionSheet) -> list[Point]:
    return [vertices(shape)[0] for shape in shapes_of(sheet.items) if shape.fill is BLACK]


def project(dimension: DimensionLine) -> tuple[Point, Point]:
    """The dimension's two points, moved square to it by its offset."""
    (x1, y1), (x2, y2) = dimension.start, dimension.end
    length = math.hypot(x2 - x1, y2 - y1)
    nx, ny = -(y2 - y1) / length * dimension.offset_mm, (x2 - x1) / length * dimension.offset_mm
    return (x1 + nx, y1 + ny), (x2 + nx, y2 + ny)


@settings(max_examples=120)
@given(PLACES, PLACES, st.floats(-12, 12), st.sampled_from(["", "start", "end"]))
def test_arrowheads_and_dimension_line_end_on_the_projections_of_the_two_points(
    start: Point, end: Point, offset: float, outside: str
) -> None:
    if distance(start, end) < 1:
        return
    dimension = DimensionLine(start, end, "6 ft", "[1829]", offset, outside=outside)
    sheet = drawn(dimension)
    a, b = project(dimension)
    first, second = tips_of(sheet)
    assert first == pytest.approx(a, abs=1e-6)
    assert second == pytest.approx(b, abs=1e-6)
    assert any(
        one == pytest.approx(a, abs=1e-6) and other == pytest.approx(b, abs=1e-6)
        for one, other in lines_of(sheet)
    )


@settings(max_examples=120)
@given(PLACES, PLACES, st.floats(-12, 12))
def test_texts_read_from_the_bottom_or_from_the_right(start: Point, end: Point, offset: float) -> None:
    if distance(start, end) < 1:
        return
    label, second = drawn(DimensionLine(start, end, "6 ft", "[1829]", offset)).texts
    assert -90 - 1e-6 <= label.angle <= 90 + 1e-6
    assert label.angle == second.angle
    along = math.degrees(math.atan2(end[1] - start[1], end[0] - start[0]))
    assert (label.angle - along) % 180 == pytest.approx(0, abs=1e-4) or (
        label.angle - along
    ) % 180 > 180 - 1e-4


@pytest.mark.parametrize("end", [(0.0, 30.0), (0.0, -30.0)])
def test_an_upright_dimension_reads_from_the_right_whichever_end_comes_first(end: Point) -> None:
    label, _ = drawn(DimensionLine((0.0, 0.0), end, "6 ft", "[1829]", 5.0)).texts
    assert label.angle == 90


@settings(max_examples=80)
@given(PLACES, PLACES, st.floats(-12, 12))
def test_the_first_text_stands_above_the_line_and_the_second_below_it(
    start: Point, end: Point, offset: float
) -> None:
    if distance(start, end) < 1:
        return
    dimension = DimensionLine(start, end, "6 ft", "[1829]", offset)
    label, second = drawn(dimension).texts
    (x, y), _ = project(dimension)
    turn = math.radians(label.angle)
    over = [-(text.x - x) * math.sin(turn) + (text.y - y) * math.cos(turn) for text in (label, second)]
    assert over[0] > 0
    assert over[1] < -typeface(FontFace.REGULAR).cap_height_em * SIZE_PT * 0.35


@pytest.mark.parametrize("offset", [6.0, -6.0])
def test_extension_lines_leave_a_gap_at_the_outline_and_run_past_the_dimension_line(offset: float) -> None:
    sheet = drawn(DimensionLine((0.0, 0.0), (30.0, 0.0), "6 ft", "", offset))
    sign = math.copysign(1, offset)
    for x in (0.0, 30.0):
        assert ((x, GAP_MM * sign), (x, offset + OVERRUN_MM * sign)) in lines_of(sheet)


def test_a_dimension_on_the_outline_itself_has_no_extension_lines() -> None:
    assert len(lines_of(drawn(DimensionLine((0.0, 0.0), (30.0, 0.0), "6 ft", "", 6.0, extend=False)))) == 1


def test_a_dimension_too_short_for_its_arrows_has_them_outside_pointing_inwards() -> None:
    sheet = drawn(DimensionLine((0.0, 0.0), (3.0, 0.0), "6 in", "[152]"))
    heads = [outline(shape) for shape in shapes_of(sheet.items) if shape.fill is BLACK]
    assert heads[0].bounds[2] == pytest.approx(0)
    assert heads[1].bounds[0] == pytest.approx(3)


@pytest.mark.parametrize(("outside", "side"), [("start", -1), ("end", 1)])
def test_a_text_outside_stands_beyond_the_arrow_it_was_given_to(outside: str, side: int) -> None:
    label, _ = drawn(DimensionLine((0.0, 0.0), (3.0, 0.0), "6 in", "[152]", outside=outside)).texts
    left, right = label.x - label.width_mm / 2, label.x + label.width_mm / 2
    assert right < 0 if side < 0 else left > 3


def test_texts_that_meet_are_found_and_texts_apart_are_not() -> None:
    def level(x: float) -> Text:
        return set_text(x, 0, "6 ft", FontFace.MEDIUM, SIZE_PT, BLACK)

    near, far = level(2.0), level(40.0)
    assert find_overlaps([level(0.0), near, far]) == [(level(0.0), near)]
    assert find_overlaps([level(0.0), far]) == []
