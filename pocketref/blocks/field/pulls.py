"""The blanks of a check sheet: the pulls to tape in any case, in walking order, then more; targets and pass limits."""

from __future__ import annotations

from collections.abc import Iterator, Sequence
from typing import Literal

from pydantic import Field

from pocketref.blocks.model import PLANS, BlockModel, Cited, PlanName
from pocketref.blocks.setting import Setting
from pocketref.field.pulls import Pull
from pocketref.pages.blocks import Block, Paragraphs
from pocketref.pages.composition import Columns
from pocketref.pages.table_blocks import Cell, Column, TableBlock
from pocketref.tape.error_model import round_up_mm
from pocketref.tape.readings import PLATE_MARKS
from pocketref.tape.sheet_pulls import SECOND_TAPE, SheetPulls, choose_sheet_pulls, find_limit_mm
from pocketref.units.notation import write_measured, write_mm, write_tape
from pocketref.words.speech import say


def _head_columns() -> tuple[Column, ...]:
    return (
        Column("", "end"),
        Column(say("Tape"), flex=True),
        Column(say("Target"), "end"),
        Column("mm", "end"),
        Column("±", "end"),
        Column(say("reading"), "middle", 23.0),
    )


class PullsBlockModel(BlockModel):
    """The tables of pulls of a plan, with targets, pass limits and blanks."""

    block: Literal["pulls"]
    plan: PlanName = Field(description="the plan the pulls are of, plate-area or diamond")

    def list_cited(self, setting: Setting) -> Iterator[Cited]:
        """The plan's dimensions, and the tolerance of a station."""
        yield from setting.list_dimensions(PLANS[self.plan])
        yield from setting.list_tolerances("station")

    def build(self, setting: Setting) -> Block:
        """The pulls to tape in any case, then more; and what they tell."""
        sheet = choose_sheet_pulls(setting.find_plan(self.plan), setting.tolerances["station"])
        return build_pull_tables(sheet)


def build_pull_tables(sheet: SheetPulls) -> Block:
    """The tables side by side, numbered in walking order; a reading's field is named by its pull, such as "A-P1"."""
    longest = max(sheet.must, key=lambda pull: pull.length_mm)
    must = [(str(number), pull, "") for number, pull in enumerate(sheet.must, 1)]
    more = [("", longest, SECOND_TAPE), *(("", pull, "") for pull in sheet.more)]
    plate = [pull.pair <= set(PLATE_MARKS) for pull in sheet.more]
    said = [say("The first by a second tape: whether the first tape is stretched or cut.")]
    said += [say("Those of the plate: whether it is true.")] * any(plate)
    said += [say("The rest to know the marks better.")] * (not all(plate))
    parts = (
        Paragraphs("how to tape", (_write_how(sheet),), say("Tape these, in this order"), small=True),
        _set_side_by_side(must, say("pulls to tape")),
        Paragraphs("more pulls", (" ".join(said),), say("More, if in doubt or there is time"), small=True),
        _set_side_by_side(more, say("more pulls to tape")),
    )
    return Columns((parts,), (1.0,), "table of pulls")


def _write_how(sheet: SheetPulls) -> str:
    known, told = (write_measured(round_up_mm(mm)) for mm in (sheet.known_mm, sheet.told_mm))
    return say(
        "Computed: by these {count} pulls each mark is known to {known} or better, 19 times of 20, with a steel tape "
        "held by hand. ±: a true pull reads within that 999 times of 1000. Typed into the edition's page, they tell "
        "one mark that is off by {told} or more 199 times of 200.",
        count=len(sheet.must),
        known=known,
        told=told,
    )


def _set_side_by_side(rows: Sequence[tuple[str, Pull, str]], label: str) -> Block:
    half = (len(rows) + 1) // 2
    tables = tuple(_build_table(part, label, half) for part in (rows[:half], rows[half:]) if part)
    return Columns((tables[:1], tables[1:]), (1.0, 1.0), label)


def _build_table(rows: Sequence[tuple[str, Pull, str]], label: str, count: int) -> TableBlock:
    """A table of so many rows, empty ones at the end, so that two side by side are alike."""
    built: list[tuple[Cell, ...]] = [
        (
            Cell(f"*{number}*" if number else ""),
            Cell(_name_pull(pull, prefix)),
            Cell(f"*{write_tape(pull.length)}*"),
            Cell(write_mm(pull.length)),
            Cell(write_measured(find_limit_mm(pull))),
            _blank(pull, prefix),
        )
        for number, pull, prefix in rows
    ]
    columns = _head_columns()
    built += [(Cell(),) * len(columns)] * (count - len(built))
    return TableBlock(label, columns, tuple(built), row_pad_mm=0.5, most_stretch_mm=4.0)


def _name_pull(pull: Pull, prefix: str) -> str:
    pair = f"*{pull.from_station}–{pull.to_station}*"
    return say("{pair}, 2nd tape", pair=pair) if prefix else pair


def _blank(pull: Pull, prefix: str) -> Cell:
    pair = f"{pull.from_station}–{pull.to_station}"
    mark = say("second tape {pair}", pair=pair) if prefix else pair
    tip = say(
        "{mark}, {what}: target {length}",
        mark=mark,
        what=say(pull.description),
        length=write_tape(pull.length),
    )
    return Cell(field_name=f"{prefix}{pull.from_station}-{pull.to_station}", tooltip=tip)
