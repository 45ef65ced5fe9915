"""Two pulls a station, in order of work."""

from __future__ import annotations

import math
from collections.abc import Iterator
from typing import Literal

from pydantic import Field

from pocketref.blocks.model import PLANS, BlockModel, Cited, PlanName
from pocketref.blocks.setting import Setting
from pocketref.field.plan import Plan
from pocketref.field.pulls import Pull
from pocketref.pages.blocks import Block
from pocketref.pages.table_blocks import Cell, Column, TableBlock
from pocketref.tape.stakeout import StakeoutPoint, StakeoutStage, order_stakeout
from pocketref.units.notation import write_measured, write_tape

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


class StakeoutBlockModel(BlockModel):
    """Two pulls a station in order of work."""

    block: Literal["stakeout"]
    plan: PlanName = Field(description="the plan that is staked out, plate-area or diamond")

    def list_cited(self, setting: Setting) -> Iterator[Cited]:
        """The plan's dimensions."""
        yield from setting.list_dimensions(PLANS[self.plan])

    def build(self, setting: Setting) -> Block:
        """A row a station."""
        return build_stakeout_table(setting.find_plan(self.plan))


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
