"""The pre-game field check: its few pulls with targets, and what they miss."""

from __future__ import annotations

from collections.abc import Iterator
from typing import Literal

from pocketref.blocks.model import PLANS, BlockModel, Cited
from pocketref.blocks.setting import Setting
from pocketref.pages.blocks import Block, Paragraphs
from pocketref.pages.composition import Columns
from pocketref.pages.table_blocks import Cell, Column, TableBlock
from pocketref.tape.crew_errors import CORNER
from pocketref.tape.error_model import round_up_mm
from pocketref.tape.field_check import FieldCheck
from pocketref.units.notation import write_measured, write_mm, write_tape
from pocketref.words.speech import say


class FieldCheckBlockModel(BlockModel):
    """The five pulls that show the most of the errors crews make, and the likeliest that they miss."""

    block: Literal["field-check"]

    def list_cited(self, setting: Setting) -> Iterator[Cited]:
        """The plate area's dimensions."""
        yield from setting.list_dimensions(PLANS["plate-area"])

    def build(self, setting: Setting) -> Block:
        """The table, what the pulls show and what they miss."""
        return build_field_check(setting.field_check)


def build_field_check(check: FieldCheck) -> Block:
    """The pulls as a table, how far off each may read, how many errors it shows, and what they miss together."""
    rows = tuple(
        (
            Cell(f"*{number}*"),
            Cell(f"*{pull.from_station}–{pull.to_station}* {say(pull.description)}"),
            Cell(f"*{write_tape(pull.length)}*"),
            Cell(write_mm(pull.length)),
            Cell(write_measured(limit)),
            Cell(str(len(check.caught[pull.name]))),
        )
        for number, (pull, limit) in enumerate(zip(check.pulls, check.limits_mm, strict=True), 1)
    )
    columns = (
        Column("", "middle"),
        Column(say("Tape"), flex=True),
        Column(say("Should be"), "end"),
        Column("mm", "end"),
        Column("±", "end"),
        Column(say("Shows"), "end"),
    )
    table = TableBlock(say("five pulls"), columns, rows)
    words = Paragraphs("what the pulls show", tuple(write_reach(check)), small=True)
    return Columns(((table, words),), (1.0,), "field check")


def write_reach(check: FieldCheck) -> Iterator[str]:
    """What was computed: how much of our list the pulls show, and the likeliest error that they miss, at which size."""
    yield say(
        "Computed: of {errors} layout errors on our own list these pulls show *{found}*. "
        "±: how far a true pull may read off.",
        errors=check.errors,
        found=check.found,
    )
    if check.missed:
        first = say(check.missed[0].kind)
        if check.missed[0].kind == CORNER:
            along = write_measured(round_up_mm(check.corner_mm))
            first = say(
                "{error}, by any distance at {marks}, elsewhere unless along its pull from {least}",
                error=first,
                marks=", ".join(check.unseen),
                least=along,
            )
        others = [say(error.name) for error in check.missed if error.kind != CORNER]
        also = ""
        if others:
            named = "; ".join(others[:2])
            also = " " + (
                say("Also missed: {errors}, and others.", errors=named)
                if len(others) > 2
                else say("Also missed: {errors}.", errors=named)
            )
        yield say("*Likeliest missed*: {error}.", error=first) + also
