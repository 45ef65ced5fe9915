"""The rows of a check sheet: every pull once, mirrored ones side by side, with target, tolerance and blanks."""

from __future__ import annotations

from collections.abc import Iterator, Sequence
from typing import Literal

from pydantic import Field

from pocketref.blocks.model import PLANS, BlockModel, Cited, PlanName
from pocketref.blocks.setting import Setting
from pocketref.field.pulls import Pull, pulls
from pocketref.pages.blocks import Block
from pocketref.pages.table_blocks import Cell, Column, TableBlock
from pocketref.tape.stakeout import BASE_MARKS
from pocketref.units.length import Length
from pocketref.units.notation import write_mm, write_tape

_COLUMNS = (
    Column("What", flex=True),
    Column("Target", "end"),
    Column("mm", "end"),
    Column("±", "end"),
    Column("Third-base side", "end"),
    Column("reading", "middle", 25.0),
    Column("First-base side", "end"),
    Column("reading", "middle", 25.0),
)
_FIRST_SIDE = {"P1": "P4", "P2": "P3", "C1": "C3", "C2": "C4", "L1": "L3"}
_FIRST_SIDE |= {"1B": "3B", "1A": "3A", "PP1": "PP3", "D1": "D3"}
_FIRST_SIDE |= {f"F{number}": f"T{number}" for number in range(1, 5)}
_FIRST_SIDE |= {f"K{number}": f"K{number + 4}" for number in range(1, 5)}
_THIRD_SIDE = {value: key for key, value in _FIRST_SIDE.items()}
_PHRASES = (
    (", {side}-side box", ""),
    (", {side} side", ""),
    (" {side}-side", ""),
    (" {side} foul line", " foul line"),
    ("{side} base's anchor", "the base's anchor"),
    ("{side} base", "the base"),
    (" {side}", ""),
)
_SIDES = (("third-base", "third"), ("first-base", "first"))


class PullsBlockModel(BlockModel):
    """The table of pulls of a plan, with targets, tolerance and blanks."""

    block: Literal["pulls"]
    plan: PlanName = Field(description="the plan the pulls are of, plate-area or diamond")

    def list_cited(self, setting: Setting) -> Iterator[Cited]:
        """The plan's dimensions, and the tolerance of a pull."""
        yield from setting.list_dimensions(PLANS[self.plan])
        yield from setting.list_tolerances("pull")

    def build(self, setting: Setting) -> Block:
        """Every pull of the plate area; of a diamond those between bases."""
        taped = pulls(setting.find_plan(self.plan))
        if self.plan == "diamond":
            taped = tuple(pull for pull in taped if {pull.from_station, pull.to_station} <= set(BASE_MARKS))
        return build_pull_table(taped, setting.tolerances["pull"], "table of pulls")


def mirror_mark(mark: str) -> str:
    """The station on the other side of the line to the pitcher."""
    return _FIRST_SIDE.get(mark) or _THIRD_SIDE.get(mark) or mark


def pair_pulls(taped: Sequence[Pull]) -> list[tuple[Pull, Pull | None]]:
    """Each pull with its mirror image (third-base side first); a pull that is its own image stands alone."""
    by_ends = {frozenset((p.from_station, p.to_station)): p for p in taped}
    pairs: list[tuple[Pull, Pull | None]] = []
    seen: set[frozenset[str]] = set()
    for pull in taped:
        ends = frozenset((pull.from_station, pull.to_station))
        if ends in seen:
            continue
        image = by_ends.get(frozenset(mirror_mark(mark) for mark in ends))
        seen.add(ends)
        if image is None or image is pull:
            pairs.append((pull, None))
            continue
        seen.add(frozenset((image.from_station, image.to_station)))
        pairs.append((image, pull) if _is_first_side(pull) else (pull, image))
    return pairs


def _is_first_side(pull: Pull) -> bool:
    """By the station it is read at; by the one it starts at where that is on neither side."""
    ends = (pull.to_station, pull.from_station)
    return next((mark in _FIRST_SIDE for mark in ends if mirror_mark(mark) != mark), False)


def build_pull_table(taped: Sequence[Pull], tolerance: Length, label: str) -> TableBlock:
    """The table as a block; a reading's field is named by its pull, such as "A-P1"."""
    allowed = write_tape(tolerance)
    rows = []
    for left, right in pair_pulls(taped):
        cells = [
            Cell(_describe(left, paired=right is not None)),
            Cell(f"*{write_tape(left.length)}*"),
            Cell(write_mm(left.length)),
            Cell(allowed),
        ]
        for pull in (left, right):
            cells += [Cell(_mark(pull)), _blank(pull)] if pull else [Cell(), Cell()]
        rows.append(tuple(cells))
    return TableBlock(label, _COLUMNS, tuple(rows), row_pad_mm=0.6, most_stretch_mm=2.6)


def _mark(pull: Pull) -> str:
    return f"{pull.from_station}–{pull.to_station}"


def _blank(pull: Pull) -> Cell:
    tip = f"{_mark(pull)}, {pull.description}: target {write_tape(pull.length)}"
    return Cell(field_name=f"{pull.from_station}-{pull.to_station}", tooltip=tip)


def _describe(pull: Pull, *, paired: bool) -> str:
    """The pull's description; where both sides share a row, without naming the side."""
    words = pull.description
    if paired:
        for side, base in _SIDES:
            for phrase, instead in _PHRASES:
                name = base if phrase.startswith(("{side} base", "the {side}")) else side
                words = words.replace(phrase.format(side=name), instead)
    return words[0].upper() + words[1:]
