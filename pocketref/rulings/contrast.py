"""Where two tables, or the tables of several codes, rule differently: the fewest readable rows.

Tables are laid over each other in the union of their facts and answers. A row that does not name a fact
holds for any answer to it, also for answers and facts that only another table has. Plays that all of the
tables call impossible are left out. Tables are taken as audited: where rows overlap, the first counts.
"""

from __future__ import annotations

from collections.abc import Callable, Hashable, Iterator, Mapping, Sequence, Set
from dataclasses import dataclass, replace

from pocketref.rulings.boxes import (
    Box,
    BoxIndex,
    Combination,
    Space,
    bits,
    contains,
    intersect,
    is_covered,
    is_empty,
    subtract_boxes,
)
from pocketref.rulings.cover import cover_set
from pocketref.rulings.table import NO_RULING, Table, read_ending


@dataclass(frozen=True, slots=True)
class RulingDifference:
    """Plays that two tables rule differently: each row's ending, or NO_RULING ("") where no row rules."""

    when: Combination
    left_outcome: str
    right_outcome: str


@dataclass(frozen=True, slots=True)
class Disagreement:
    """Plays on which several codes do not all agree, with each code's ending (or NO_RULING)."""

    when: Combination
    outcomes: Mapping[str, str]


def contrast_tables(
    left: Table, right: Table, same: Callable[[str, str], bool]
) -> tuple[RulingDifference, ...]:
    """The plays ruled differently: together exactly those, each row with one pair of endings.

    Rows of one pair may overlap; they are the fewest possible where that search is feasible. `same(left
    ending, right ending)` says whether two rulings are the same in effect; a play that only one table
    rules on, as the other calls it impossible, always differs, without asking `same`. Raises PocketrefError
    for unknown names in a row.
    """

    def differ(endings: Sequence[str]) -> bool:
        mine, other = endings
        if NO_RULING in endings:
            return mine != other
        return not same(mine, other)

    rows = _contrast([left, right], differ)
    return tuple(RulingDifference(when, endings[0], endings[1]) for when, endings in rows)


def contrast_many(
    tables: Mapping[str, Table],
    signature: Callable[[str, str], Hashable] | None = None,
) -> tuple[Disagreement, ...]:
    """The plays on which the tables (by code) do not all agree: together exactly those.

    Each row has one ending for each code; what a code leaves unsettled is one ending, whatever its rows say.
    `signature(code, outcome)` is equal for rulings that are the same in effect; by default the outcome's name
    decides. Unsettled equals only unsettled, and no ruling, as of a play that a code calls impossible, only no
    ruling.
    """
    codes = list(tables)

    def sign(code: str, ending: str) -> Hashable:
        outcome, is_open = read_ending(ending)
        return is_open, not outcome, signature(code, outcome) if signature and outcome else outcome

    def differ(endings: Sequence[str]) -> bool:
        return len({sign(code, ending) for code, ending in zip(codes, endings, strict=True)}) > 1

    rows = _contrast([_merge_open(table) for table in tables.values()], differ)
    return tuple(Disagreement(when, dict(zip(codes, endings, strict=True))) for when, endings in rows)


def _merge_open(table: Table) -> Table:
    """The table with one ending for all that it leaves unsettled."""
    rows = tuple(replace(row, outcome="") if row.is_open else row for row in table.rows)
    return replace(table, rows=rows)


def joined_space(tables: Sequence[Table]) -> Space:
    """All facts and answers of the tables: those of the first in its order, then what the others add."""
    answers: dict[str, dict[str, None]] = {}
    for table in tables:
        for fact in table.facts:
            answers.setdefault(fact.name, {}).update(dict.fromkeys(fact.answers))
    return Space(tuple(answers), tuple(tuple(known) for known in answers.values()))


def list_impossible(space: Space, tables: Sequence[Table]) -> list[Box]:
    """The plays that all of the tables call impossible, as boxes of their joined space."""
    never = [space.full]
    for table in tables:
        boxes = [space.box(row.when) for row in table.never]
        never = _keep_largest({intersect(one, box) for one in never for box in boxes})
    return never


_Layer = list[tuple[Box, str]]
"""One table in the joined space: disjoint boxes with their endings, which fill all but the impossible."""


def _contrast(
    tables: Sequence[Table], differ: Callable[[Sequence[str]], bool]
) -> Iterator[tuple[Combination, tuple[str, ...]]]:
    space = joined_space(tables)
    if not space.names:
        return
    never = list_impossible(space, tables)
    nowhere = _list_impossible_answers(space, never)
    layers = [_lay_out(space, table, never) for table in tables]
    groups: dict[tuple[str, ...], list[Box]] = {}
    for box, endings in _overlay(space, layers):
        groups.setdefault(endings, []).append(box)
    # In the author's order: by the first answers in any of the boxes.
    for endings, boxes in sorted(groups.items(), key=lambda group: min(map(_first_answers, group[1]))):
        if differ(endings):
            # Plays that cannot happen are don't-cares: a row may reach over them to read shorter.
            outside = _ruled_otherwise(layers, endings)
            for box in cover_set(space.full, boxes, outside, spare=never).boxes:
                # An answer that no play has is named in no row.
                named = (
                    full if mask | none == full else mask & ~none
                    for full, mask, none in zip(space.full, box, nowhere, strict=True)
                )
                yield space.describe(tuple(named)), endings


def _list_impossible_answers(space: Space, never: Sequence[Box]) -> Box:
    """The answers that no possible play has, as a box of each fact's; a fact may have none."""
    full = space.full
    return tuple(
        sum(1 << a for a in bits(mask) if is_covered((*full[:place], 1 << a, *full[place + 1 :]), never))
        for place, mask in enumerate(full)
    )


def _first_answers(box: Box) -> list[int]:
    return [mask & -mask for mask in box]


def _lay_out(space: Space, table: Table, never: Sequence[Box]) -> _Layer:
    layer: _Layer = []
    mine = [(space.box(row.when), NO_RULING) for row in table.never]
    rows = [*mine, *((space.box(row.when), row.ending) for row in table.rows), (space.full, NO_RULING)]
    for number, (row, ending) in enumerate(rows):
        before = [box for box, _ in rows[:number] if not is_empty(intersect(box, row))]
        layer += [(box, ending) for box in subtract_boxes(row, [*never, *before])]
    return layer


def _overlay(space: Space, layers: Sequence[_Layer]) -> list[tuple[Box, tuple[str, ...]]]:
    """Disjoint boxes with the endings of all layers."""
    found: list[tuple[Box, tuple[str, ...]]] = [(space.full, ())]
    for layer in layers:
        index = BoxIndex(space.full, [box for box, _ in layer])
        found = [
            (intersect(box, layer[number][0]), (*endings, layer[number][1]))
            for box, endings in found
            for number in bits(index.meeting(box))
        ]
    return found


def _ruled_otherwise(layers: Sequence[_Layer], endings: Sequence[str]) -> list[Box]:
    """Boxes that hold, but for the impossible plays, all that some layer rules differently."""
    both = zip(layers, endings, strict=True)
    return _keep_largest({box for layer, ending in both for box, other in layer if other != ending})


def _keep_largest(boxes: Set[Box]) -> list[Box]:
    """Without those that are empty or that another holds."""
    return [
        box
        for box in sorted(boxes)
        if not is_empty(box) and not any(contains(other, box) and other != box for other in boxes)
    ]
