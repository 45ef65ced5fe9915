"""Tables of the stakeout sheet: two pulls a station in order of work, the checks, and the lines to mark."""

from __future__ import annotations

import math
from collections import Counter
from collections.abc import Mapping
from fractions import Fraction

from pocketref.field.plan import PaintedLine, Plan
from pocketref.field.pulls import Pull
from pocketref.field.square_checks import list_square_checks
from pocketref.pages.table_blocks import Cell, Column, TableBlock
from pocketref.tape.stakeout import StakeoutPoint, StakeoutStage, order_stakeout
from pocketref.units.length import INCH_MM, Length
from pocketref.units.notation import write_measured, write_mm, write_tape

_IN_ORDER = "In this order; cross: the angle between the tapes, best at 90°"
_STAKEOUT = (
    Column("", "end"),
    Column("Station"),
    Column("Where", flex=True),
    Column("From"),
    Column("tape", "end"),
    Column("and from"),
    Column("tape", "end"),
    Column("Side"),
    Column("Cross", "end"),
    Column("±", "end"),
)
_CHECKS = (
    Column("Check", flex=True),
    Column("Should be", "end"),
    Column("mm", "end"),
    Column("What it shows"),
)
_MARKING = (
    Column("Line", flex=True),
    Column("How many", "end"),
    Column("Length", "end"),
    Column("mm", "end"),
    Column("Width", "end"),
    Column("Measured edge"),
)
_EDGES = {"outer": "outer edge, paint inside", "foul side": "foul side, paint in fair ground"}
_ONE_SIDED = (
    (", first-base side", ""),
    (", third-base side", ""),
    ("first-base-side line", "side line"),
    ("third-base-side line", "side line"),
    ("first-base foul line", "foul line"),
    ("third-base foul line", "foul line"),
)


def build_stakeout_table(plan: Plan) -> TableBlock:
    """Every station that is set from pins, numbered in order of work after those that are set first."""
    stages = order_stakeout(plan)
    rows = [_row_by_hand(stages[0], plan)]
    number = 1
    for stage in stages[1:]:
        for point in stage.points:
            number += 1
            rows.append(_row_of_point(number, point, plan))
    return TableBlock(
        "stakeout table", _STAKEOUT, tuple(rows), _IN_ORDER, row_pad_mm=0.4, most_stretch_mm=1.6
    )


def _row_by_hand(stage: StakeoutStage, plan: Plan) -> tuple[Cell, ...]:
    marks = f"*{' '.join(stage.stations)}*"
    if "1B" not in plan.stations:
        return (Cell("*1*"), Cell("*plate*"), Cell(f"{stage.heading}, square to the pitcher"), *(Cell(),) * 7)
    start, end = (plan.stations[mark] for mark in stage.stations)
    reach = write_measured(math.hypot(end.x_mm - start.x_mm, end.y_mm - start.y_mm))
    where = Cell("The plate's rear tip, and the centre of second base on the line to the pitcher")
    taped = (Cell("A"), Cell(f"*{reach}*"))
    return (Cell("*1*"), Cell(marks), where, *taped, *(Cell(),) * 5)


def _row_of_point(number: int, point: StakeoutPoint, plan: Plan) -> tuple[Cell, ...]:
    first, second = point.pulls
    error = write_measured(point.error_mm, 32)
    return (
        Cell(f"*{number}*"),
        Cell(f"*{point.station}*"),
        Cell(plan.stations[point.station].label),
        *_cells_of_pull(first),
        *_cells_of_pull(second),
        Cell(point.side),
        Cell(f"{point.crossing_deg:.0f}°"),
        Cell(error),
    )


def _cells_of_pull(pull: Pull) -> tuple[Cell, Cell]:
    return Cell(pull.from_station), Cell(f"*{write_tape(pull.length)}*")


def build_checks_table(plan: Plan, lengths: Mapping[str, Length]) -> TableBlock:
    """What to tape once everything is set."""
    rows = tuple(
        (
            Cell(check.what),
            Cell(f"*{write_tape(check.length)}*"),
            Cell(write_mm(check.length)),
            Cell(check.note),
        )
        for check in list_square_checks(plan, lengths.get("second-base-diagonal"))
    )
    return TableBlock("checks", _CHECKS, rows, "Then check", most_stretch_mm=1.0)


def build_marking_table(plan: Plan, lengths: Mapping[str, Length]) -> TableBlock:
    """Each line to paint or chalk, lines that are alike together; and the on-deck circles."""
    reach = "the infield arc" if "infield" in plan.arcs else "the end of the plan"
    lines = [_Marking.of(line, reach) for line in plan.lines.values()]
    counts = Counter(lines)
    rows = [marking.write(count) for marking, count in counts.items()]
    circles = [arc for name, arc in plan.arcs.items() if name.startswith("on-deck")]
    if circles:
        radius = Length.from_mm(Fraction(circles[0].radius_mm))
        size = f"radius {write_tape(radius)}"
        across = Cell(write_mm(radius))
        width = Cell(write_tape(lengths["line-width"]))
        rows.append(
            (Cell("On-deck circle"), Cell(str(len(circles))), Cell(size), across, width, Cell("outer edge"))
        )
    return TableBlock(
        "marking list", _MARKING, tuple(rows), "Lines to mark", row_pad_mm=0.4, most_stretch_mm=1.2
    )


class _Marking(tuple[str, int, int, str]):
    """What tells lines apart on the list: name without its side, length and width in 1/64 in, measured edge."""

    __slots__ = ()

    @classmethod
    def of(cls, line: PaintedLine, reach: str) -> _Marking:
        """The line as it is listed; `reach` is how far the plan draws a foul line."""
        (x1, y1), (x2, y2) = line.start_mm, line.end_mm
        words = line.label
        for side, instead in _ONE_SIDED:
            words = words.replace(side, instead)
        if words == "foul line":
            words += f", from the box to {reach}; then on to the pole"
        steps = [round(mm / INCH_MM * 64) for mm in (math.hypot(x2 - x1, y2 - y1), line.width_mm)]
        return cls((words, steps[0], steps[1], line.measured_edge))

    def write(self, count: int) -> tuple[Cell, ...]:
        """Its row."""
        words, length_steps, width_steps, edge = self
        length, width = (Length(Fraction(steps, 64)) for steps in (length_steps, width_steps))
        return (
            Cell(words[0].upper() + words[1:]),
            Cell(str(count)),
            Cell(f"*{write_tape(length)}*"),
            Cell(write_mm(length)),
            Cell(write_tape(width)),
            Cell(_EDGES.get(edge, edge)),
        )
