"""The decision chart of a subject, drawn as a flowchart."""

from __future__ import annotations

from collections.abc import Iterator, Mapping
from dataclasses import dataclass, field
from typing import Literal

from pydantic import Field

from pocketref.blocks.model import BlockModel, Cited, TableSubject
from pocketref.blocks.setting import Setting
from pocketref.pages.blocks import HEADING_GAP_MM, Block, draw_heading
from pocketref.pages.page import Box, Element, Role
from pocketref.pages.type_scale import TypeSizes
from pocketref.pages.words import ChartWords, Heading, Words
from pocketref.scene.flow_layout import FlowNode
from pocketref.scene.flow_symbols import (
    MOST_WHITE_MM,
    FlowDrawing,
    draw_flowchart,
    find_least_gap,
    find_least_white,
)
from pocketref.scene.items import Item
from pocketref.scene.paths import shift
from pocketref.scene.ruling_flow import construct_flow, write_chart_words
from pocketref.scene.textfit import leading_mm
from pocketref.source.syntax.kinds import Sentence, WholeNumber

_WIDEST_ROW_GAP_MM = 9.0
_WHITES_MM = (MOST_WHITE_MM, 2.0, 0.0)
"""White space to try in a chart's symbols, most first; 0 is the least that there must be."""


class ChartBlockModel(BlockModel):
    """The flowchart of a subject's decision table."""

    block: Literal["chart"]
    subject: TableSubject = Field(description="the subject whose table is charted")
    heading: Sentence = Field(default="", description="a heading above it")
    part: WholeNumber = Field(
        default=0, ge=0, le=2, description="1 or 2: the upper or lower part of a chart cut in two"
    )

    def list_cited(self, setting: Setting) -> Iterator[Cited]:
        """The table's rows."""
        yield from setting.find_table(self.subject).rows

    def build(self, setting: Setting) -> Block:
        """The shortest chart of the code's table."""
        chart, table = setting.chart(self.subject)
        nodes, root = construct_flow(chart, table, setting.find_table(self.subject).rulings)
        return ChartBlock(f"chart {self.subject}", nodes, root, self.part, self.heading)


@dataclass(frozen=True)
class ChartBlock:
    """A flowchart as wide as the face; height to spare goes between its rows."""

    label: str
    nodes: Mapping[str, FlowNode]
    root: str
    part: int = 0
    """0 for all of it, 1 or 2 for the upper or lower part of a chart that is cut in two."""
    heading: str = ""
    grows: bool = True
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
        alt = f"Decision chart. {write_chart_words(self.nodes, self.root)}"
        figure = Element(Role.FIGURE, items, alt=alt, label=self.label)
        if not self.heading:
            return figure
        return Element(
            Role.SECTION, (), (draw_heading(self.heading, box.x, box.top, sizes), figure), label=self.label
        )

    def words(self) -> Words:
        """The heading, and the chart to be written out."""
        heading = (Heading(self.heading),) if self.heading else ()
        return (*heading, ChartWords(self.label, self.nodes, self.root))
