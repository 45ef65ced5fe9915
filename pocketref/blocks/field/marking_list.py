"""Each line to mark: how many, length, width, measured edge."""

from __future__ import annotations

import math
from collections import Counter
from collections.abc import Iterator, Mapping
from fractions import Fraction
from typing import Literal

from pydantic import Field

from pocketref.blocks.model import PLANS, BlockModel, Cited, PlanName
from pocketref.blocks.setting import Setting
from pocketref.field.plan import PaintedLine, Plan
from pocketref.pages.blocks import Block
from pocketref.pages.table_blocks import Cell, Column, TableBlock
from pocketref.units.length import INCH_MM, Length
from pocketref.units.notation import write_mm, write_tape
from pocketref.words.speech import say

_COACH_AND_DECK = (
    "lane-width",
    "lane-length",
    "coach-box-length",
    "coach-box-width",
    "on-deck-diameter",
    "pitching-circle-radius",
)
EDGES = {"outer": "outer edge, paint inside", "foul side": "foul side, paint in fair ground"}
_ONE_SIDED = (
    (", first-base side", ""),
    (", third-base side", ""),
    ("first-base-side line", "side line"),
    ("third-base-side line", "side line"),
    ("first-base foul line", "foul line"),
    ("third-base foul line", "foul line"),
)


class MarkingListBlockModel(BlockModel):
    """Each line to mark: how many, length, width, measured edge."""

    block: Literal["marking-list"]
    plan: PlanName = Field(description="the plan whose lines are marked, plate-area or diamond")

    def list_cited(self, setting: Setting) -> Iterator[Cited]:
        """The plan's dimensions, and those of its lines."""
        lines = _COACH_AND_DECK if self.plan == "diamond" else ()
        yield from setting.list_dimensions((*PLANS[self.plan], "line-width", *lines))

    def build(self, setting: Setting) -> Block:
        """A row for lines that are alike."""
        return build_marking_table(setting.find_plan(self.plan), setting.lengths)


def build_marking_table(plan: Plan, lengths: Mapping[str, Length]) -> TableBlock:
    """Each line to paint or chalk, lines that are alike together; and the circles."""
    lines = [_Marking.of(line, name_line(line, plan)) for line in plan.lines.values()]
    counts = Counter(lines)
    rows = [marking.write(count) for marking, count in counts.items()]
    columns = (
        Column(say("Line"), flex=True),
        Column(say("How many"), "end"),
        Column(say("Length"), "end"),
        Column("mm", "end"),
        Column(say("Width"), "end"),
        Column(say("Measured edge")),
    )
    for words, names in (
        (say("Pitching circle"), ("pitching-circle",)),
        (say("On-deck circle"), ("on-deck-1", "on-deck-3")),
    ):
        circles = [plan.arcs[name] for name in names if name in plan.arcs]
        if not circles:
            continue
        radius = Length.from_mm(Fraction(circles[0].radius_mm))
        size = say("radius {radius}", radius=write_tape(radius))
        across = Cell(write_mm(radius))
        width = Cell(write_tape(lengths["line-width"]))
        edge = Cell(say("outer edge"))
        rows.append((Cell(words), Cell(str(len(circles))), Cell(size), across, width, edge))
    return TableBlock(
        "marking list", columns, tuple(rows), say("Lines to mark"), row_pad_mm=0.4, most_stretch_mm=1.2
    )


def name_line(line: PaintedLine, plan: Plan) -> str:
    """A line's name on the list, without its side."""
    words = line.label
    for side, instead in _ONE_SIDED:
        words = words.replace(side, instead)
    if words == "foul line":
        # As far as the plan draws it.
        reach = "the infield arc" if "infield" in plan.arcs else "the end of the plan"
        words += f", from the box to {reach}; then on to the pole"
    return words[0].upper() + words[1:]


class _Marking(tuple[str, int, int, str]):
    """What tells lines apart on the list: name without its side, length and width in 1/64 in, measured edge."""

    __slots__ = ()

    @classmethod
    def of(cls, line: PaintedLine, words: str) -> _Marking:
        """The line as it is listed."""
        (x1, y1), (x2, y2) = line.start_mm, line.end_mm
        steps = [round(mm / INCH_MM * 64) for mm in (math.hypot(x2 - x1, y2 - y1), line.width_mm)]
        return cls((words, steps[0], steps[1], line.measured_edge))

    def write(self, count: int) -> tuple[Cell, ...]:
        """Its row."""
        words, length_steps, width_steps, edge = self
        length, width = (Length(Fraction(steps, 64)) for steps in (length_steps, width_steps))
        return (
            Cell(say(words)),
            Cell(str(count)),
            Cell(f"*{write_tape(length)}*"),
            Cell(write_mm(length)),
            Cell(write_tape(width)),
            Cell(say(EDGES.get(edge, edge))),
        )
