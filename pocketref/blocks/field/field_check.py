"""The pre-game field check: its few pulls with targets, and what they catch."""

from __future__ import annotations

from collections.abc import Iterator
from typing import Literal

from pocketref.blocks.model import PLANS, BlockModel, Cited
from pocketref.blocks.setting import Setting
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
        return build_field_check(setting.field_check)


def build_field_check(check: FieldCheck) -> Block:
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
    words = Paragraphs("what the pulls catch", (word_share(check),), small=True)
    return Columns(((table, words),), (1.0,), "field check")


def word_share(check: FieldCheck) -> str:
    """What was computed, in a sentence or two."""
    allowed = write_tape(check.tolerance)
    said = (
        f"Computed: of {check.errors} layout errors that crews make, these pulls catch *{check.found}* "
        f"({check.share:.0%}) at ±\u00a0{allowed}, our own tolerance."
    )
    if check.missed:
        said += f" Missed: {'; '.join(check.missed[:3])}" + (
            ", and others." if len(check.missed) > 3 else "."
        )
    return said
