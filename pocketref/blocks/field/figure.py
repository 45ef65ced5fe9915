"""A figure of a level, drawn to scale: the plate area, the whole field, the mound or the pitching circle."""

from __future__ import annotations

from collections.abc import Callable, Iterator
from dataclasses import dataclass
from functools import lru_cache
from typing import Annotated, Literal

from pydantic import AfterValidator, Field

from pocketref.blocks.model import PLANS, BlockModel, Cited
from pocketref.blocks.setting import Setting
from pocketref.pages.blocks import Block
from pocketref.pages.figure_block import FigureBlock
from pocketref.pages.plate_template import tile_room_mm
from pocketref.scene.figures.check_figure import draw_field_check
from pocketref.scene.figures.circle_figure import draw_pitching_circle
from pocketref.scene.figures.diamond_figure import draw_diamond
from pocketref.scene.figures.mound_figure import EXAGGERATION, draw_mound
from pocketref.scene.figures.plate_figure import draw_plate_area
from pocketref.scene.figures.template_figure import draw_assembly
from pocketref.scene.plan_view import SCALES, FigureDrawing
from pocketref.source.syntax.kinds import OneOf, WholeNumber
from pocketref.tape.stakeout import BASE_MARKS
from pocketref.words.speech import say

Marks = Literal["all", "taped"]
_MARKED: dict[Marks, frozenset[str] | None] = {"all": None, "taped": frozenset(BASE_MARKS)}

MOUND = ("pitchers-plate-height", "mound-slope-length", "mound-slope-drop")
"""The dimensions whose sections a mound rests on."""
_MOUND_TOP = ("mound-flat-width", "mound-flat-depth", "mound-flat-front")
_AROUND = (
    "mound-diameter",
    "pitching-circle-radius",
    "infield-arc",
    "lane-width",
    "lane-length",
    "coach-box-length",
    "coach-box-width",
    "on-deck-distance",
)
_ON_SHEET = (
    "base-thickness",
    "second-base-diagonal",
    "pitchers-plate-width",
    "pitchers-plate-depth",
    "mound-centre",
    "coach-box-offset",
    "on-deck-diameter",
    "backstop-distance",
    "foul-pole-distance",
    "centre-field-distance",
)


_CIRCLE_SMALLEST = 200
"""A scale that is asked for a mound's profile says nothing about a circle, which is higher and far less crowded."""
_FINER = tuple(sorted({*SCALES, 125, 150}))
"""For what a card shows whole, between 1:100 and 1:200, which is a long step."""
OUTSIDE = ", to the outside of lines; mm in brackets"


@dataclass(frozen=True, slots=True)
class _Figure:
    """How a figure is drawn, its caption, and the dimensions that it prints, on a sheet `on_sheet` too."""

    caption: str
    draw: Callable[[Setting, float, float, Marks], FigureDrawing]
    rests_on: tuple[str, ...]
    note: str = OUTSIDE
    scales: tuple[int, ...] = SCALES
    on_sheet: tuple[str, ...] = ()


FIGURES: dict[str, _Figure] = {
    "plate-area": _Figure(
        "Plate area",
        lambda setting, scale, size_pt, _: draw_plate_area(
            setting.plan, setting.lengths, scale, size_pt, setting.detail
        ),
        (*PLANS["plate-area"], "catchers-box-width"),
        on_sheet=("catchers-box-depth", "catchers-box-length"),
    ),
    "diamond": _Figure(
        "Whole field",
        lambda setting, scale, size_pt, marks: draw_diamond(
            setting.diamond, setting.lengths, scale, size_pt, setting.detail, _MARKED[marks]
        ),
        (*PLANS["diamond"], *_AROUND),
        on_sheet=_ON_SHEET,
    ),
    "mound": _Figure(
        "Mound",
        lambda setting, scale, size_pt, _: draw_mound(setting.lengths, scale, size_pt, setting.detail),
        (*MOUND, *_MOUND_TOP),
        f", heights {EXAGGERATION} times as large; mm in brackets",
        on_sheet=("mound-diameter", "mound-centre"),
    ),
    "pitching-circle": _Figure(
        "Pitching circle",
        lambda setting, scale, size_pt, _: draw_pitching_circle(
            setting.lengths, scale, size_pt, setting.detail
        ),
        ("pitching-circle-radius", "pitchers-plate-width"),
        scales=_FINER,
        on_sheet=("pitchers-plate-depth", "line-width"),
    ),
    "field-check": _Figure(
        "What to tape",
        lambda setting, scale, size_pt, _: draw_field_check(
            setting.plan, setting.field_check, scale, size_pt
        ),
        PLANS["plate-area"],
        "",
        _FINER,
    ),
    "plate-template": _Figure(
        "How the tiles go together",
        lambda setting, scale, size_pt, _: draw_assembly(
            setting.lengths["plate-width"], tile_room_mm(*setting.room_mm), scale, size_pt
        ),
        ("plate-width",),
        "",
        (4, 5, *SCALES),
    ),
}
"""The figures that can be drawn, by name."""


class FigureBlockModel(BlockModel):
    """A drawing to scale."""

    block: Literal["figure"]
    figure: Annotated[str, AfterValidator(OneOf("figure", FIGURES))] = Field(
        description="the figure's name; mound is the pitching circle where a level has that instead"
    )
    smallest: WholeNumber = Field(
        ge=1, description="the smallest scale allowed, as its denominator: 50 means 1:50"
    )

    marks: Marks = Field(
        default="all",
        description="the stations of the whole field that bear marks on a sheet; taped: those with pulls",
    )

    def _find(self, setting: Setting) -> _Figure:
        """How it is drawn: where a level has a pitching circle in the place of a mound, that."""
        is_circle = self.figure == "mound" and "pitching-circle-radius" in setting.field.dimensions
        return FIGURES["pitching-circle" if is_circle else self.figure]

    def list_cited(self, setting: Setting) -> Iterator[Cited]:
        """The dimensions that it rests on."""
        figure = self._find(setting)
        more = figure.on_sheet if setting.detail == "sheet" else ()
        yield from setting.list_dimensions((*figure.rests_on, *more))

    def build(self, setting: Setting) -> Block:
        """The figure, no smaller than asked for; a circle in the place of a mound as small as `_CIRCLE_SMALLEST`."""
        figure = self._find(setting)
        is_asked_for = figure is FIGURES[self.figure]
        smallest = self.smallest if is_asked_for else max(self.smallest, _CIRCLE_SMALLEST)

        @lru_cache(maxsize=256)  # a face is measured at each step of the scale and then drawn
        def draw_at(scale: float, size_pt: float) -> FigureDrawing:
            return figure.draw(setting, scale, size_pt, self.marks)

        made_of = (
            dict(setting.lengths),
            dict(setting.tolerances),
            setting.detail,
            setting.room_mm,
            self.marks,
        )
        label = f"figure {self.figure}"
        return FigureBlock(
            label,
            say(figure.caption),
            draw_at,
            smallest,
            made_of,
            note=say(figure.note),
            scales=figure.scales,
        )
