"""The pre-game field check: its few pulls with targets, and what they catch."""

from __future__ import annotations

from collections.abc import Iterator
from typing import Literal

from pocketref.blocks.model import PLANS, BlockModel, Cited
from pocketref.blocks.setting import Setting
from pocketref.field.plan import Plan
from pocketref.pages.blocks import Block, Paragraphs
from pocketref.pages.composition import Columns
from pocketref.pages.table_blocks import Cell, Column, TableBlock
from pocketref.tape.field_check import FieldCheck
from pocketref.units.notation import write_mm, write_tape

_COLUMNS = (
    Column("", "middle"),
    Column("Tape", flex=True),
    Column("Should be", "end"),
    Column("mm", "end"),
    Column("Catches", "end"),
)


class FieldCheckBlockModel(BlockModel):
    """The five pulls that catch the most of the errors crews make, and what they catch."""

    block: Literal["field-check"]

    def list_cited(self, setting: Setting) -> Iterator[Cited]:
        """The plate area's dimensions, and the tolerance of a pull."""
        yield from setting.list_dimensions(PLANS["plate-area"])
        yield from setting.list_tolerances("pull")

    def build(self, setting: Setting) -> Block:
        """The table, and what the pulls catch."""
        return build_field_check(setting.field_check, setting.plan)


def build_field_check(check: FieldCheck, plan: Plan) -> Block:
    """The pulls as a table, with how many errors each catches, and the share that they catch together."""
    rows = tuple(
        (
            Cell(f"*{number}*"),
            Cell(f"*{pull.from_station}–{pull.to_station}* {pull.description}"),
            Cell(f"*{write_tape(pull.length)}*"),
            Cell(write_mm(pull.length)),
            Cell(str(len(check.caught[pull.name]))),
        )
        for number, pull in enumerate(check.pulls, 1)
    )
    table = TableBlock("five pulls", _COLUMNS, rows)
    words = Paragraphs("what the pulls catch", (write_reach(check, plan),), small=True)
    return Columns(((table, words),), (1.0,), "field check")


def write_reach(check: FieldCheck, plan: Plan) -> str:
    """What was computed: how much of our list the pulls catch, what they miss, and the marks that no pull ends at."""
    allowed = write_tape(check.tolerance)
    said = (
        f"Computed: of the {check.errors} layout errors on our own list, these pulls catch *{check.found}* "
        f"at ±\u00a0{allowed}, our own tolerance."
    )
    if check.missed:
        said += f" Missed: {'; '.join(check.missed[:3])}" + (
            ", and others." if len(check.missed) > 3 else "."
        )
    taped = {mark for pull in check.pulls for mark in (pull.from_station, pull.to_station)}
    unseen = [mark for mark in plan.stations if mark[0] in "FTCL" and mark not in taped]
    return f"{said} One mark alone can be off unseen at {', '.join(unseen)}." if unseen else said
