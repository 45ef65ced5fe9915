"""The decision chart of a subject: a flowchart on sheets, on cards that or a ladder, by what gives larger type."""

from __future__ import annotations

from collections.abc import Callable, Iterator, Mapping, Sequence
from dataclasses import dataclass, field, replace
from functools import partial
from math import inf
from typing import Literal

from pydantic import Field

from pocketref.blocks.model import BlockModel, Cited, TableSubject
from pocketref.blocks.setting import Setting
from pocketref.pages.blocks import HEADING_GAP_MM, Block, draw_heading
from pocketref.pages.composition import SLACK_MM
from pocketref.pages.page import Box, Element, Role
from pocketref.pages.type_scale import TypeSizes
from pocketref.pages.words import ChartWords, Heading, Words
from pocketref.scene.charts.flow_layout import FlowNode, list_questions
from pocketref.scene.charts.flow_symbols import (
    MOST_WHITE_MM,
    FlowDrawing,
    draw_flowchart,
    find_least_gap,
    find_least_white,
)
from pocketref.scene.charts.ladder import draw_ladder, measure_ladder
from pocketref.scene.charts.ladder_layout import LadderPart
from pocketref.scene.charts.ladder_parts import cut_ladder, measure_parts, split_answers
from pocketref.scene.charts.ruling_flow import construct_flow, shorten_ending, write_chart_words
from pocketref.scene.items import Item
from pocketref.scene.paths import shift
from pocketref.scene.textfit import leading_mm
from pocketref.source.statements import DOUBT
from pocketref.source.syntax.kinds import Sentence
from pocketref.words.speech import Language, find_language, say, speak

_MOST_ANSWERS = 5
_LEAST_MORE_MM, _WIDEST_ROW_GAP_MM = 0.1, 9.0
_WHITES_MM = (MOST_WHITE_MM, 2.0, 0.0)
"""White space to try in a flowchart's symbols, most first; 0 is the least that there must be."""


class ChartBlockModel(BlockModel):
    """The chart of a subject's decision table."""

    block: Literal["chart"]
    subject: TableSubject = Field(description="the subject whose table is charted")
    heading: Sentence = Field(default="", description="a heading above it")
    words: Literal["full", "brief"] = Field(
        default="full",
        description="brief: headlines up to their colon, and of the ball and the runners what changes",
    )

    def list_cited(self, setting: Setting) -> Iterator[Cited]:
        """The table's rows."""
        yield from setting.find_table(self.subject).rows

    def build(self, setting: Setting) -> Block:
        """The shortest chart of the code's table."""
        chart, table = setting.chart(self.subject)
        rulings, doubted = setting.find_table(self.subject).rulings, setting.list_doubted(table)
        nodes, root = construct_flow(chart, table, rulings, doubted, DOUBT)
        if self.words == "brief":
            nodes = {key: shorten_ending(node, DOUBT) for key, node in nodes.items()}
        is_card = setting.detail == "card"
        return ChartBlock(f"chart {self.subject}", nodes, root, self.heading, is_card)


def _measure_highest(
    measures: Sequence[Callable[[int, int], tuple[float, float]]], first: int, last: int
) -> tuple[float, float]:
    """The height of a part of a ladder in the language in which it is highest, and the most overflow, mm."""
    found = [measure(first, last) for measure in measures]
    return max(high for high, _ in found), max(overflow for _, overflow in found)


@dataclass(frozen=True)
class ChartBlock:
    """A chart as wide as the face, its words of the size that leads; height to spare goes between its rows."""

    label: str
    nodes: Mapping[str, FlowNode]
    root: str
    heading: str = ""
    may_climb: bool = False
    """Whether it may be a ladder."""
    part: LadderPart | None = None
    """What of a ladder that is cut is on this face."""
    grows: bool = True
    _kept: dict[object, FlowDrawing] = field(default_factory=dict, compare=False, repr=False)
    """Flowcharts drawn so far: a face is measured at each step of the scale and then drawn."""
    _measured: dict[object, tuple[float, float]] = field(default_factory=dict, compare=False, repr=False)

    def _measure_ladder(self, width_mm: float, sizes: TypeSizes) -> tuple[float, float]:
        key = (width_mm, sizes.lead_pt)
        if key not in self._measured:
            self._measured[key] = measure_ladder(self.nodes, self.root, width_mm, sizes.lead_pt, self.part)
        return self._measured[key]

    def _draw_flow(
        self,
        width_mm: float,
        sizes: TypeSizes,
        more_gap_mm: float = 0.0,
        white_mm: float = 0.0,
        room_mm: float = 0.0,
    ) -> FlowDrawing:
        """The flowchart with the least gaps and white space, or with more; what height may go into its labels."""
        size = sizes.lead_pt
        gap, white = find_least_gap(size) + more_gap_mm, max(white_mm, find_least_white(size))
        key = (width_mm, size, gap, white, room_mm)
        if key not in self._kept:
            self._kept[key] = draw_flowchart(self.nodes, self.root, *key)
        return self._kept[key]

    def _measure_least(self, width_mm: float, sizes: TypeSizes) -> tuple[float, float]:
        """Height and overflow in mm of the form that fits the width, and of two that do of the lower one."""
        forms = [self._measure_ladder(width_mm, sizes)] if self.may_climb else []
        if not self.part:
            drawing = self._draw_flow(width_mm, sizes)
            forms.append((drawing.height_mm, drawing.overflow_mm))
        return min(forms, key=lambda form: (form[1] > SLACK_MM, form[0]))

    def measure_mm(self, width_mm: float, sizes: TypeSizes) -> float:
        """The heading, and the chart's height with the least gap between rows."""
        return self._measure_least(width_mm, sizes)[0] + self._heading_mm(sizes)

    def _heading_mm(self, sizes: TypeSizes) -> float:
        return leading_mm(sizes.heading_pt) + HEADING_GAP_MM if self.heading else 0.0

    def excess_mm(self, width_mm: float, sizes: TypeSizes) -> float:
        """How far the widest word sticks out of its symbol."""
        return self._measure_least(width_mm, sizes)[1]

    def cut(
        self,
        height_mm: float,
        width_mm: float,
        sizes: TypeSizes,
        first_face: int,
        others: Sequence[tuple[Block, Language | None]] = (),
    ) -> tuple[Block, ...]:
        """The ladder on faces of its own from the first one on, each of this height.

        A question whose answers have no room on one face is asked again for those that are left.
        """
        room = height_mm - self._heading_mm(sizes)
        charts = [(self, find_language()), *((c, said) for c, said in others if isinstance(c, ChartBlock))]
        parts: tuple[ChartBlock, ...] = (self,)
        if len({len(list_questions(chart.nodes, chart.root)) for chart, _ in charts}) > 1:
            return parts
        for most in (_MOST_ANSWERS, *range(_MOST_ANSWERS - 1, 1, -1)):
            nodes, measures = split_answers(self.nodes, most), []
            for chart, language in charts:
                with speak(language):
                    split = split_answers(chart.nodes, most)
                    measures.append(measure_parts(split, chart.root, width_mm, sizes.lead_pt))
            measure = partial(_measure_highest, measures)
            cut = cut_ladder(nodes, self.root, width_mm, room, sizes.lead_pt, first_face, measure)
            parts = tuple(replace(self, nodes=nodes, part=part, _kept={}, _measured={}) for part in cut)
            fit = [part.measure_mm(width_mm, sizes) <= height_mm + SLACK_MM for part in parts]
            if others:
                fit += [measure(part.first, part.last)[0] <= room + SLACK_MM for part in cut]
            if all(fit):
                break
        return parts

    def is_part_of(self, whole: Block) -> bool:
        """Whether it is of the same chart, all of it there."""
        return replace(self, part=None) == whole

    def draw(self, box: Box, sizes: TypeSizes) -> Element:
        """The heading, and the chart spread over the rest of the box."""
        room = box.height_mm - self._heading_mm(sizes)
        high, overflow = self._measure_ladder(box.width_mm, sizes) if self.may_climb else (inf, inf)
        if overflow <= SLACK_MM and high <= room + SLACK_MM:
            drawing = draw_ladder(self.nodes, self.root, box.width_mm, sizes.lead_pt, room, self.part)
        else:
            drawing = self._spread_flow(box.width_mm, sizes, room)
        bottom = box.y + (room - drawing.height_mm) / (1 if self.heading else 2)
        items: tuple[Item, ...] = shift(drawing.items, box.x, bottom)
        numbers = range(self.part.first, self.part.last + 1) if self.part else None
        alt = say("Decision chart. {steps}", steps=write_chart_words(self.nodes, self.root, numbers))
        figure = Element(Role.FIGURE, items, alt=alt, label=self.label)
        if not self.heading:
            return figure
        return Element(
            Role.SECTION, (), (draw_heading(self.heading, box.x, box.top, sizes), figure), label=self.label
        )

    def _spread_flow(self, width_mm: float, sizes: TypeSizes, room_mm: float) -> FlowDrawing:
        """The flowchart with more white in its symbols where there is room, then between them."""

        def draw(more_gap_mm: float, white_mm: float) -> FlowDrawing:
            return self._draw_flow(width_mm, sizes, more_gap_mm, white_mm, room_mm)

        white = next(white for white in _WHITES_MM if draw(0.0, white).height_mm <= room_mm or not white)
        drawing = draw(0.0, white)
        rows = draw(1.0, white).height_mm - drawing.height_mm
        if rows <= 0.5:
            return drawing
        most = _WIDEST_ROW_GAP_MM - find_least_gap(sizes.lead_pt)
        more = min(max((room_mm - drawing.height_mm) / rows, 0.0), most)
        # A gap that the words of an exit hold open grows later than others, and then as fast.
        while more > _LEAST_MORE_MM:
            spread = draw(more, white)
            if spread.height_mm <= room_mm + SLACK_MM:
                return spread
            more *= 0.9
        return drawing

    def words(self) -> Words:
        """The heading, and the chart to be written out."""
        heading = (Heading(self.heading),) if self.heading else ()
        return (*heading, ChartWords(self.label, self.nodes, self.root))
