"""Where two tables, or the tables of several codes, rule differently: the fewest readable rows.

Tables are laid over each other in the union of their facts and answers. A row that does not name a fact
holds for any answer to it, also for answers and facts that only another table has. Plays that any of the
tables calls impossible are left out. Tables are taken as audited: where rows overlap, the first counts.
"""

from __future__ import annotations

from collections.abc import Callable, Hashable, Iterator, Mapping, Sequence
from dataclasses import dataclass, replace

from pocketref.rulings.boxes import (
    Box,
    BoxIndex,
    Combination,
    Space,
    bits,
    contains,
    intersect,
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
    rules on always differs, without asking `same`. Raises PocketrefError for unknown names in a row.
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
    decides. Unsettled equals only unsettled, and no ruling only no ruling.
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


_Layer = list[tuple[Box, str]]
"""One table in the joined space: disjoint boxes with their endings, which fill all but the impossible."""


def _contrast(
    tables: Sequence[Table], differ: Callable[[Sequence[str]], bool]
) -> Iterator[tuple[Combination, tuple[str, ...]]]:
    space = joined_space(tables)
    if not space.names:
        return
    never = [space.box(row.when) for table in tables for row in table.never]
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
                yield space.describe(box), endings


def _first_answers(box: Box) -> list[int]:
    return [mask & -mask for mask in box]


def _lay_out(space: Space, table: Table, never: Sequence[Box]) -> _Layer:
    layer: _Layer = []
    rows = [space.box(row.when) for row in table.rows]
    for number, row in enumerate(table.rows):
        before = [box for box in rows[:number] if not is_empty(intersect(box, rows[number]))]
        layer += [(box, row.ending) for box in subtract_boxes(rows[number], [*never, *before])]
    return layer + [(box, NO_RULING) for box in subtract_boxes(space.full, [*never, *rows])]


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
    found = {box for layer, ending in both for box, other in layer if other != ending}
    return [box for box in found if not any(contains(other, box) and other != box for other in found)]
