"""The scale a figure is drawn at is the largest that fits, though scales far too large are not tried."""

from __future__ import annotations

from pathlib import Path

import pytest

from pocketref.blocks.field.figure import FIGURES, FigureBlockModel
from pocketref.blocks.setting import Setting
from pocketref.scene.figures.slot_figure import draw_slot
from pocketref.scene.plan_view import SCALES, FigureDrawing, draw_largest
from pocketref.source.library import Library, read_library

CONTENT = Path(__file__).parents[2] / "content"
ROOMS_MM = [(width, height) for width in (18, 45, 75, 120, 190, 270) for height in (12, 40, 70, 250)]


@pytest.fixture(scope="module")
def library() -> Library:
    return read_library(CONTENT)


@pytest.mark.parametrize("size_pt", [7.6, 11.0])
@pytest.mark.parametrize("name", [name for name in FIGURES if name != "pitching-circle"])
def test_a_figures_scale_is_the_first_that_fits_of_all(name: str, size_pt: float, library: Library) -> None:
    setting = Setting(library, "high-school", "90-ft", "sheet", (190.0, 250.0))
    block = FigureBlockModel(block="figure", figure=name, smallest=1000).build(setting)
    drawn = {scale: block.draw_at(scale, size_pt) for scale in block.scales}
    for width, height in ROOMS_MM:
        fitting = (d for d in drawn.values() if d.width_mm <= width and d.height_mm <= height)
        first = next(fitting, None)
        expected = first if first and not first.is_crowded else None
        assert draw_largest(drawn.__getitem__, block.scales, width, height) is expected


def test_the_slots_scale_is_the_first_that_fits_of_all(library: Library) -> None:
    plan = Setting(library, "high-school", "90-ft", "card").plan
    drawn = {scale: draw_slot(plan, scale, 7.6) for scale in SCALES}
    for width, height in ROOMS_MM:
        fitting = (d for d in drawn.values() if d.width_mm <= width and d.height_mm <= height)
        assert draw_largest(drawn.__getitem__, SCALES, width, height) is next(fitting, None)


def test_scales_far_too_large_are_not_tried() -> None:
    tried: list[float] = []

    def draw_at(scale: float) -> FigureDrawing:
        tried.append(scale)
        return FigureDrawing((), 10_000 / scale + 5, 100 / scale + 5, scale, "")

    drawing = draw_largest(draw_at, SCALES, 60.0)
    assert drawing is not None
    assert drawing.scale == 200
    assert len(tried) < 6


def test_nothing_fits_into_no_room() -> None:
    def draw_at(scale: float) -> FigureDrawing:
        return FigureDrawing((), 1.0, 1.0, scale, "")

    assert draw_largest(draw_at, SCALES, 0.0) is None
    assert draw_largest(draw_at, SCALES, 5.0, -1.0) is None
