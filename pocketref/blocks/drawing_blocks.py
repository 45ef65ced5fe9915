"""Blocks that hold a drawing: a figure to scale, and a flowchart."""

from __future__ import annotations

from collections.abc import Callable, Mapping
from dataclasses import dataclass, field

from pocketref.pages.blocks import HEADING_GAP_MM, draw_heading, first_baseline
from pocketref.pages.page import Box, Element, Role
from pocketref.pages.type_scale import TypeSizes
from pocketref.scene.flow_layout import FlowNode
from pocketref.scene.flow_symbols import (
    MOST_WHITE_MM,
    FlowDrawing,
    draw_flowchart,
    find_least_gap,
    find_least_white,
)
from pocketref.scene.items import Face, Item
from pocketref.scene.paths import shift
from pocketref.scene.plan_view import SCALES, FigureDrawing, draw_largest
from pocketref.scene.textfit import Line, break_text, leading_mm, write_line

_WIDEST_ROW_GAP_MM = 9.0
_WHITES_MM = (MOST_WHITE_MM, 2.0, 0.0)
"""White space to try in a chart's symbols, most first; 0 is the least that there must be."""


@dataclass(frozen=True, slots=True)
class FigureBlock:
    """A figure drawn at the largest standard scale that fits, with a caption that states it.

    `draw_at` draws it at 1:scale with type of the given size; `smallest` is the smallest scale allowed,
    as its denominator.
    """

    label: str
    caption: str
    draw_at: Callable[[float, float], FigureDrawing]
    smallest: int
    grows: bool = True
    note: str = ", to the outside of lines; mm in brackets"
    """What the caption adds to the scale."""
    scales: tuple[int, ...] = SCALES
    """The scales to choose from, as denominators, the largest drawing first."""

    def _caption(self, scale: float, width_mm: float, sizes: TypeSizes) -> tuple[Line, ...]:
        words = f"{self.caption}. Scale 1:{scale:g}{self.note}."
        return break_text(words, Face.ITALIC, width_mm, sizes.small_pt)

    def _caption_mm(self, width_mm: float, sizes: TypeSizes) -> float:
        """Room for the caption; the smallest scale has the most figures, so no other needs more lines."""
        return len(self._caption(self.smallest, width_mm, sizes)) * leading_mm(sizes.small_pt) + 0.6

    def measure_mm(self, width_mm: float, sizes: TypeSizes) -> float:
        """The figure's height at the smallest scale allowed, and its caption."""
        return self.draw_at(self.smallest, sizes.small_pt).height_mm + self._caption_mm(width_mm, sizes)

    def excess_mm(self, width_mm: float, sizes: TypeSizes) -> float:
        """How much too wide the figure is at the smallest scale allowed."""
        return max(self.draw_at(self.smallest, sizes.small_pt).width_mm - width_mm, 0.0)

    def draw(self, box: Box, sizes: TypeSizes) -> Element:
        """The figure in the middle of the box, its caption under it."""
        room = box.height_mm - self._caption_mm(box.width_mm, sizes)
        drawing = self._largest(box.width_mm, room, sizes)
        left = box.x + (box.width_mm - drawing.width_mm) / 2
        bottom = box.top - room + (room - drawing.height_mm) / 2
        caption: list[Item] = []
        top = bottom - 0.6
        for line in self._caption(drawing.scale, box.width_mm, sizes):
            x = box.x + (box.width_mm - line.width_mm) / 2
            caption += write_line(line, x, first_baseline(top, sizes.small_pt), sizes.small_pt)
            top -= leading_mm(sizes.small_pt)
        figure = Element(Role.FIGURE, shift(drawing.items, left, bottom), alt=drawing.alt, label=self.label)
        words = Element(Role.PARAGRAPH, tuple(caption))
        return Element(Role.SECTION, (), (figure, words), label=self.label)

    def _largest(self, width_mm: float, height_mm: float, sizes: TypeSizes) -> FigureDrawing:
        def draw_at(scale: float) -> FigureDrawing:
            return self.draw_at(scale, sizes.small_pt)

        larger = [scale for scale in self.scales if scale < self.smallest]
        return draw_largest(draw_at, larger, width_mm, height_mm) or draw_at(self.smallest)


@dataclass(frozen=True)
class ChartBlock:
    """A flowchart as wide as the face; height to spare goes between its rows."""

    label: str
    nodes: Mapping[str, FlowNode]
    root: str
    alt: str
    part: int = 0
    """0 for all of it, 1 or 2 for the upper or lower part of a chart that is cut in two."""
    grows: bool = True
    heading: str = ""
    _kept: dict[tuple[float, float, float, float], FlowDrawing] = field(
        default_factory=dict, compare=False, repr=False
    )
    """Drawings made so far: a face is measured at each step of the scale and then drawn."""

    def _drawn(
        self, width_mm: float, sizes: TypeSizes, more_gap_mm: float = 0.0, white_mm: float = 0.0
    ) -> FlowDrawing:
        """The chart with the least gaps and white space, or with more."""
        size = sizes.body_pt
        gap, white = find_least_gap(size) + more_gap_mm, max(white_mm, find_least_white(size))
        key = (width_mm, size, gap, white)
        if key not in self._kept:
            drawing = draw_flowchart(self.nodes, self.root, width_mm, size, gap, self.part, white)
            self._kept[key] = drawing
        return self._kept[key]

    def measure_mm(self, width_mm: float, sizes: TypeSizes) -> float:
        """The heading, and the chart's height with the least gap between rows."""
        return self._drawn(width_mm, sizes).height_mm + self._heading_mm(sizes)

    def _heading_mm(self, sizes: TypeSizes) -> float:
        return leading_mm(sizes.heading_pt) + HEADING_GAP_MM if self.heading else 0.0

    def excess_mm(self, width_mm: float, sizes: TypeSizes) -> float:
        """How far the widest word sticks out of its symbol."""
        return self._drawn(width_mm, sizes).overflow_mm

    def draw(self, box: Box, sizes: TypeSizes) -> Element:
        """The heading, and the chart stretched over the rest of the box: more white in its symbols, then between."""
        room = box.height_mm - self._heading_mm(sizes)
        white = next(
            white
            for white in _WHITES_MM
            if self._drawn(box.width_mm, sizes, 0.0, white).height_mm <= room or not white
        )
        drawing = self._drawn(box.width_mm, sizes, 0.0, white)
        rows = self._drawn(box.width_mm, sizes, 1.0, white).height_mm - drawing.height_mm
        if rows > 0.5:
            most = _WIDEST_ROW_GAP_MM - find_least_gap(sizes.body_pt)
            more = min(max((room - drawing.height_mm) / rows, 0.0), most)
            drawing = self._drawn(box.width_mm, sizes, more, white)
        bottom = box.y + (room - drawing.height_mm) / (1 if self.heading else 2)
        items: tuple[Item, ...] = shift(drawing.items, box.x, bottom)
        figure = Element(Role.FIGURE, items, alt=self.alt, label=self.label)
        if not self.heading:
            return figure
        return Element(
            Role.SECTION, (), (draw_heading(self.heading, box.x, box.top, sizes), figure), label=self.label
        )
