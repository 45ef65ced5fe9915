"""The full-size plate: measured on the printed pages, tile by tile, as a knife and a rule would."""

from __future__ import annotations

import math
from fractions import Fraction
from itertools import pairwise

import pytest
from field_sheets import lay_out, layouts, publish
from hypothesis import given, settings
from hypothesis import strategies as st
from shapely import LineString, unary_union

from pocketref.output.contents import items_of
from pocketref.output.reading.readback import read_pdf
from pocketref.pages.page import Box, Page
from pocketref.pages.plate_template import RULE_IN, locate_window, tile_room_mm
from pocketref.pages.stocks import content_box
from pocketref.problems import PocketrefError
from pocketref.scene.figures.template_figure import (
    AROUND_MM,
    OUTLINE,
    OVERLAP_MM,
    TileGrid,
    list_crosses,
    outline_plate,
    plan_tiles,
)
from pocketref.scene.items import Close, CurveTo, Shape
from pocketref.units.length import Length

PLATE = Length(Fraction(17))
PAPERS = ("letter", "a4")


def inner_box(paper: str) -> Box:
    return content_box(layouts().stocks[paper])


def grid_of(paper: str) -> TileGrid:
    inner = inner_box(paper)
    return plan_tiles(PLATE, *tile_room_mm(inner.width_mm, inner.height_mm))


def tiles_of(paper: str) -> list[Page]:
    return [page for page in lay_out("plate-template", paper).document.pages if page.name.startswith("tile")]


def outline_on(paper: str) -> list[LineString]:
    """Every piece of the plate's outline as it is on the tiles, in the plate's own place, mm."""
    grid = grid_of(paper)
    left, bottom = locate_window(grid, inner_box(paper))
    pieces = []
    for page, tile in zip(tiles_of(paper), grid.tiles, strict=True):
        for item in items_of(page.elements):
            if isinstance(item, Shape) and item.stroke == OUTLINE:
                points = [
                    (s.x - left + tile.x, s.y - bottom + tile.y)
                    for s in item.path
                    if not isinstance(s, Close | CurveTo)
                ]
                pieces += [LineString(pair) for pair in pairwise(points)]
    return pieces


@pytest.mark.parametrize("paper", PAPERS)
def test_the_tiles_together_show_all_of_the_plate_and_nothing_else(paper: str) -> None:
    corners = outline_plate(PLATE.float_mm)
    true = LineString([*corners, corners[0]])
    found = unary_union(outline_on(paper))
    assert true.hausdorff_distance(found) < 0.1
    assert found.hausdorff_distance(true) < 0.1


@pytest.mark.parametrize("paper", PAPERS)
def test_the_plate_is_seventeen_inches_wide_and_deep_and_its_rear_corner_is_right(paper: str) -> None:
    found = unary_union(outline_on(paper))
    left, bottom, right, top = found.bounds
    assert right - left == pytest.approx(431.8, abs=0.1)
    assert top - bottom == pytest.approx(431.8, abs=0.1)
    tip, right_corner, left_corner = (0.0, 0.0), (215.9, 215.9), (-215.9, 215.9)
    for corner in (tip, right_corner, left_corner):
        assert found.distance(LineString([corner, corner]).centroid) < 0.1
    edges = [math.dist(tip, corner) for corner in (right_corner, left_corner)]
    assert math.dist(right_corner, left_corner) ** 2 == pytest.approx(sum(edge**2 for edge in edges))


@pytest.mark.parametrize("paper", PAPERS)
def test_the_print_itself_measures_true(paper: str) -> None:
    """The front edge and the rules as pdfium finds them in the finished bytes."""
    printed = read_pdf(publish("plate-template", paper)).pages[1:]
    grid = grid_of(paper)
    left, bottom = locate_window(grid, inner_box(paper))
    for page, tile in zip(printed, grid.tiles, strict=True):
        reaches = [(path.extent[2] - path.extent[0], path.extent[3] - path.extent[1]) for path in page.paths]
        assert any(abs(width - RULE_IN * 25.4) < 0.1 and height < 0.5 for width, height in reaches)
        assert any(abs(height - RULE_IN * 25.4) < 0.1 and width < 0.5 for width, height in reaches)
        if tile.row == 0:
            tops = [
                path.extent[3] - bottom + tile.y for path in page.paths if abs(path.stroke_mm - 0.5) < 0.01
            ]
            assert max(tops) == pytest.approx(431.8, abs=0.1 + 0.25)
    firsts = [page for page, tile in zip(printed, grid.tiles, strict=True) if tile.row == 0]
    lefts = [path.extent[0] for path in firsts[0].paths if abs(path.stroke_mm - 0.5) < 0.01]
    rights = [path.extent[2] for path in firsts[-1].paths if abs(path.stroke_mm - 0.5) < 0.01]
    last = grid.tiles[grid.columns - 1]
    across = (max(rights) - left + last.x) - (min(lefts) - left + grid.tiles[0].x)
    assert across == pytest.approx(431.8, abs=0.1 + 0.5)


@pytest.mark.parametrize("paper", PAPERS)
def test_each_cross_is_on_every_tile_that_shares_its_place(paper: str) -> None:
    grid = grid_of(paper)
    crosses = list_crosses(grid)
    assert len(crosses) >= 2 * (grid.columns * (grid.rows - 1) + grid.rows * (grid.columns - 1))
    for x, y in crosses:
        near = [t for t in grid.tiles if 0 < x - t.x < grid.width_mm and 0 < y - t.y < grid.height_mm]
        assert len(near) >= 2


@pytest.mark.parametrize("paper", PAPERS)
def test_every_tile_says_which_it_is_and_how_to_check_its_scale(paper: str) -> None:
    pages = tiles_of(paper)
    grid = grid_of(paper)
    assert len(pages) == len(grid.tiles)
    for number, printed in enumerate(read_pdf(publish("plate-template", paper)).pages[1:], 1):
        words = " ".join(run.content for run in printed.texts)
        assert f"tile {number} of {len(pages)}" in words
        assert "steel rule" in words
        assert min(run.size_pt for run in printed.texts) >= lay_out("plate-template", paper).floor_pt


@settings(max_examples=80)
@given(st.floats(125, 700), st.floats(125, 700))
def test_windows_fit_the_room_overlap_and_cover_the_plate(width: float, height: float) -> None:
    grid = plan_tiles(PLATE, width, height)
    assert grid.width_mm <= width + 1e-9
    assert grid.height_mm <= height + 1e-9
    first, last = grid.tiles[0], grid.tiles[-1]
    half = PLATE.float_mm / 2
    assert first.x == pytest.approx(-half - AROUND_MM)
    assert first.y + grid.height_mm == pytest.approx(PLATE.float_mm + AROUND_MM)
    assert last.x + grid.width_mm == pytest.approx(half + AROUND_MM)
    assert last.y == pytest.approx(-AROUND_MM)
    for one, other in pairwise(grid.tiles):
        if one.row == other.row:
            assert one.x + grid.width_mm - other.x == pytest.approx(OVERLAP_MM)


def test_a_card_is_too_small_for_tiles() -> None:
    with pytest.raises(PocketrefError) as caught:
        plan_tiles(PLATE, 40.0, 20.0)
    assert "too small" in caught.value.problems[0].sentence
