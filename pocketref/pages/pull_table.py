"""The rows of a check sheet: every pull once, mirrored ones side by side, with target, tolerance and blanks."""

from __future__ import annotations

from collections.abc import Sequence

from pocketref.field.pulls import Pull
from pocketref.pages.table_blocks import Cell, Column, TableBlock
from pocketref.units.length import Length
from pocketref.units.notation import write_feet_inches, write_tape
from pocketref.units.rounding import round_to_mm

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
_MIRROR = {"P1": "P4", "P2": "P3", "C1": "C3", "C2": "C4", "L1": "L3", "1B": "3B"}
_MIRROR |= {value: key for key, value in _MIRROR.items()}
_SIDES = ("third-base", "first-base")


def mirror_mark(mark: str) -> str:
    """The station on the other side of the line to the pitcher."""
    if mark in _MIRROR:
        return _MIRROR[mark]
    if mark[0] in "FT" and mark[1:].isdigit():
        return ("T" if mark[0] == "F" else "F") + mark[1:]
    return mark


def pair_pulls(pulls: Sequence[Pull]) -> list[tuple[Pull, Pull | None]]:
    """Each pull with its mirror image (third-base side first); a pull that is its own image stands alone."""
    by_ends = {frozenset((p.from_station, p.to_station)): p for p in pulls}
    pairs: list[tuple[Pull, Pull | None]] = []
    seen: set[frozenset[str]] = set()
    for pull in pulls:
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
    return any(
        mark[0] == "F" or mark in ("P1", "P2", "C1", "L1") for mark in (pull.from_station, pull.to_station)
    )


def build_pull_table(pulls: Sequence[Pull], tolerance: Length, label: str) -> TableBlock:
    """The table as a block; a reading's field is named by its pull, such as "A-P1"."""
    allowed = write_tape(tolerance, style="print")
    rows = []
    for left, right in pair_pulls(pulls):
        target = write_tape(left.length, style="print")
        millimetres = f"{int(round_to_mm(left.length).mm)}"
        cells = [
            Cell(_describe(left, paired=right is not None)),
            Cell(f"*{target}*"),
            Cell(millimetres),
            Cell(allowed),
        ]
        for pull in (left, right):
            cells += [Cell(_mark(pull)), _blank(pull)] if pull else [Cell(), Cell()]
        rows.append(tuple(cells))
    return TableBlock(label, _COLUMNS, tuple(rows), row_pad_mm=0.6, most_stretch_mm=2.6)


def _mark(pull: Pull) -> str:
    return f"{pull.from_station}–{pull.to_station}"


def _blank(pull: Pull) -> Cell:
    tip = f"{_mark(pull)}, {pull.description}: target {write_feet_inches(pull.length)}"
    return Cell(field_name=f"{pull.from_station}-{pull.to_station}", tooltip=tip)


def _describe(pull: Pull, *, paired: bool) -> str:
    """The pull's description; where both sides share a row, without naming the side."""
    words = pull.description
    if paired:
        for side in _SIDES:
            for phrase in (f", {side}-side box", f", {side} side", f" {side}-side", f" {side}"):
                words = words.replace(phrase, "")
    return words[0].upper() + words[1:]
