"""The tapes to set each station by, in order of work."""

from __future__ import annotations

import math
from collections.abc import Iterator
from typing import Literal

from pydantic import Field

from pocketref.blocks.model import PLANS, BlockModel, Cited, PlanName
from pocketref.blocks.setting import Setting
from pocketref.field.plan import Plan
from pocketref.pages.blocks import Block, Paragraphs
from pocketref.pages.composition import Columns
from pocketref.pages.table_blocks import Cell, Column, TableBlock
from pocketref.tape.error_model import round_up_mm
from pocketref.tape.stakeout import STRING_FT, StakeoutPoint, StakeoutStage, order_stakeout
from pocketref.units.notation import write_measured, write_tape
from pocketref.words.speech import say


class StakeoutBlockModel(BlockModel):
    """Two to four pulls a station in order of work."""

    block: Literal["stakeout"]
    plan: PlanName = Field(description="the plan that is staked out, plate-area or diamond")

    def list_cited(self, setting: Setting) -> Iterator[Cited]:
        """The plan's dimensions."""
        yield from setting.list_dimensions(PLANS[self.plan])

    def build(self, setting: Setting) -> Block:
        """A row a station."""
        plan = setting.find_plan(self.plan)
        words = Paragraphs("how near it comes", tuple(_write_reach(plan)), small=True)
        return Columns(((build_stakeout_table(plan), words),), (1.0,), "stakeout")


def build_stakeout_table(plan: Plan) -> TableBlock:
    """Every station that is set from pins, numbered in order of work after those that are set first."""
    stages = order_stakeout(plan)
    by_hand = [row for stage in stages if not stage.points for row in _rows_by_hand(stage, plan)]
    points = [point for stage in stages for point in stage.points]
    rows = [*by_hand, *(_row_of_point(point, plan) for point in points)]
    numbered = tuple((Cell(f"*{number}*"), *row) for number, row in enumerate(rows, 1))
    columns = (
        Column("", "end"),
        Column(say("Station")),
        Column(say("Where"), flex=True),
        Column(say("Tape from")),
        Column(say("Side")),
        Column(say("Cross"), "end"),
        Column(say("Within"), "end"),
    )
    in_order = say("In this order; cross: the angle between the first two tapes, best at 90°")
    return TableBlock("stakeout table", columns, numbered, in_order, row_pad_mm=0.4, most_stretch_mm=1.6)


def _write_reach(plan: Plan) -> Iterator[str]:
    """How near the stations come, by computation, and what the string is for."""
    yield say(
        "Within: so near a station is set, 19 times of 20, by a steel tape read to 1/16 in and held on both marks by "
        "hand. Of three or four tapes take the middle of the small figure that they make. Side: looking from the "
        "first pin to the second."
    )
    if "1B" not in plan.stations:
        with_string, without = (
            _write_up(
                max(p.within_mm for stage in order_stakeout(plan, with_string=way) for p in stage.points)
            )
            for way in (True, False)
        )
        yield say(
            "Computed: all stations are within {near}; without the string, within {without}.",
            near=with_string,
            without=without,
        )


def _write_up(mm: float) -> str:
    return write_measured(round_up_mm(mm))


def _rows_by_hand(stage: StakeoutStage, plan: Plan) -> Iterator[tuple[Cell, ...]]:
    if "1B" in plan.stations:
        start, end = (plan.stations[mark] for mark in stage.stations)
        reach = write_measured(math.hypot(end.x_mm - start.x_mm, end.y_mm - start.y_mm))
        where = say("The plate's rear tip, and the centre of second base on the line to the pitcher")
        yield Cell(f"*{' '.join(stage.stations)}*"), Cell(where), Cell(f"A *{reach}*"), Cell(), Cell(), Cell()
    elif "A" in stage.stations:
        where = say("The plate as installed, square to the pitcher")
        yield Cell(say("*plate*")), Cell(where), *(Cell(),) * 4
    else:
        for mark in stage.stations:
            where = (
                say("On a string from the tip to the pitcher, ahead of the tip")
                if STRING_FT[mark] > 0
                else say("On a string from the tip to the pitcher, behind the tip")
            )
            yield (
                Cell(f"*{mark}*"),
                Cell(where),
                Cell(f"A *{abs(STRING_FT[mark])} ft*"),
                *(Cell(),) * 3,
            )


def _row_of_point(point: StakeoutPoint, plan: Plan) -> tuple[Cell, ...]:
    taped = ", ".join(f"{pull.from_station}\u00a0*{write_tape(pull.length)}*" for pull in point.pulls)
    return (
        Cell(f"*{point.station}*"),
        Cell(say(plan.stations[point.station].label)),
        Cell(taped),
        Cell(say("left") if point.side == "left" else say("right")),
        Cell(f"{point.crossing_deg:.0f}°"),
        Cell(_write_up(point.within_mm)),
    )
