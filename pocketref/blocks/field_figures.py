"""Figures of a level as blocks: the plate area, the whole field, the mound."""

from __future__ import annotations

from collections.abc import Callable
from dataclasses import dataclass
from functools import lru_cache

from pocketref.blocks.desk import Desk
from pocketref.blocks.drawing_blocks import FigureBlock
from pocketref.pages.plate_template import tile_room_mm
from pocketref.scene.figures.check_figure import draw_field_check
from pocketref.scene.figures.diamond_figure import draw_diamond
from pocketref.scene.figures.mound_figure import EXAGGERATION, draw_mound
from pocketref.scene.figures.plate_figure import draw_plate_area
from pocketref.scene.figures.template_figure import draw_assembly
from pocketref.scene.plan_view import SCALES, FigureDrawing


@dataclass(frozen=True, slots=True)
class _Figure:
    """How a figure is drawn, its caption, and the dimensions whose sections it rests on."""

    caption: str
    draw: Callable[[Desk, float, float], FigureDrawing]
    rests_on: tuple[str, ...]
    note: str = ", to the outside of lines; mm in brackets"
    scales: tuple[int, ...] = SCALES


FIGURES: dict[str, _Figure] = {
    "plate-area": _Figure(
        "Plate area",
        lambda desk, scale, size_pt: draw_plate_area(desk.plan, desk.lengths, scale, size_pt, desk.detail),
        ("plate-width", "box-length", "box-width", "box-offset"),
    ),
    "diamond": _Figure(
        "Whole field",
        lambda desk, scale, size_pt: draw_diamond(desk.diamond, desk.lengths, scale, size_pt, desk.detail),
        ("base-distance", "base-size", "pitching-distance"),
    ),
    "mound": _Figure(
        "Mound",
        lambda desk, scale, size_pt: draw_mound(desk.lengths, scale, size_pt, desk.detail),
        ("pitchers-plate-height", "mound-slope-length", "mound-slope-drop"),
        f", heights {EXAGGERATION} times as large; mm in brackets",
    ),
    "field-check": _Figure(
        "What to tape",
        lambda desk, scale, size_pt: draw_field_check(desk.plan, desk.field_check, scale, size_pt),
        ("plate-width", "box-length", "box-width", "box-offset"),
        "",
    ),
    "plate-template": _Figure(
        "How the tiles go together",
        lambda desk, scale, size_pt: draw_assembly(
            desk.lengths["plate-width"], tile_room_mm(*desk.room_mm), scale, size_pt
        ),
        ("plate-width",),
        "",
        (4, 5, *SCALES),
    ),
}


def build_figure(name: str, smallest: int, desk: Desk) -> FigureBlock:
    """The figure as a block, drawn no smaller than 1:`smallest`."""
    figure = FIGURES[name]

    @lru_cache(maxsize=256)  # a face is measured at each step of the scale and then drawn
    def draw_at(scale: float, size_pt: float) -> FigureDrawing:
        return figure.draw(desk, scale, size_pt)

    return FigureBlock(
        f"figure {name}", figure.caption, draw_at, smallest, note=figure.note, scales=figure.scales
    )
