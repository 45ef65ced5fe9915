"""A decision table with hit policy *unique* (OMG DMN): every combination of answers meets exactly one row."""

from __future__ import annotations

from collections.abc import Iterator, Mapping
from dataclasses import dataclass
from functools import cached_property
from itertools import combinations

from pocketref.problems import Location, PocketrefError, Problem, refusal
from pocketref.rulings.boxes import (
    Box,
    LabelledBoxes,
    Space,
    intersect,
    is_covered,
    is_empty,
    subtract_boxes,
)
from pocketref.words.terminal import tell, tell_list

NO_RULING = ""
"""The outcome of a combination that no row rules on."""
_OPEN = "?"
"""Marks the ending of an unsettled row; no ruling's name may hold it."""


@dataclass(frozen=True, slots=True)
class Fact:
    """Something an umpire can observe, with its closed list of answers in the author's order.

    `weights` are relative frequencies of the answers (used to shorten charts); equal if empty.
    """

    name: str
    ask: str
    answers: tuple[str, ...]
    labels: tuple[str, ...]
    """What each answer says in print, in the same order."""
    weights: tuple[float, ...] = ()
    where: Location | None = None


@dataclass(frozen=True, slots=True)
class Row:
    """Conditions (fact -> allowed answers; a fact not named may have any) and the outcome they lead to."""

    when: Mapping[str, frozenset[str]]
    outcome: str
    """The name of a ruling; in a `never` row, the reason the combination cannot happen."""
    where: Location | None = None
    is_open: bool = False
    """Whether the code leaves the ruling unsettled, so that the league must be asked."""

    @property
    def ending(self) -> str:
        """Where the row leads to: its outcome, marked if unsettled, so that it is not taken for a settled one."""
        return self.outcome + _OPEN if self.is_open else self.outcome


def read_ending(ending: str) -> tuple[str, bool]:
    """The outcome of an ending, and whether it is unsettled."""
    return ending.removesuffix(_OPEN), ending.endswith(_OPEN)


@dataclass(frozen=True)
class Table:
    """Facts in the author's order, rows, and combinations that cannot happen.

    `outcomes` lists the names a row may lead to. `fixed_order` holds the author's question order, if any.
    """

    subject: str
    code: str
    facts: tuple[Fact, ...]
    rows: tuple[Row, ...]
    never: tuple[Row, ...] = ()
    outcomes: tuple[str, ...] = ()
    fixed_order: tuple[str, ...] = ()
    where: Location | None = None
    rows_where: Location | None = None
    """Where the rows begin: what is wrong with them as a whole is placed there."""

    def __hash__(self) -> int:
        """Tables are told apart by all they hold; most differ in subject or code already."""
        return hash((self.subject, self.code, len(self.rows)))

    @cached_property
    def fact_by_name(self) -> Mapping[str, Fact]:
        """The facts by name."""
        return {fact.name: fact for fact in self.facts}

    @cached_property
    def space(self) -> Space:
        """All combinations of answers."""
        return Space(tuple(f.name for f in self.facts), tuple(f.answers for f in self.facts))

    @cached_property
    def row_boxes(self) -> tuple[Box, ...]:
        """The combinations each row rules on, possible or not."""
        return tuple(self.space.box(row.when) for row in self.rows)

    @cached_property
    def never_boxes(self) -> tuple[Box, ...]:
        """The combinations that cannot happen, in the order of `never`."""
        return tuple(self.space.box(row.when) for row in self.never)

    @property
    def title(self) -> str:
        """How messages name the table: "high-school: contact"."""
        return f"{self.code}: {self.subject}"


def decide(table: Table, answers: Mapping[str, str]) -> Row:
    """The row that a play meets. Facts that cannot change the outcome may be left out.

    If facts are left out and several rows (all with one ending) remain, the first of them is returned.
    Raises PocketrefError if a name is unknown (fact-unknown, answer-unknown), a fact that matters is
    missing (play-fact-missing), the play cannot happen (play-impossible), or the table is at fault and no
    row (play-no-row) or two rows (play-two-rows) meet the play: hit policy unique of OMG DMN.
    """
    missing = []
    for fact in (table.fact_by_name[name] for name in facts_that_matter(table, answers)):
        sentence = tell("the ruling depends on '{name}': {ask}", name=fact.name, ask=fact.ask)
        answers_said = tell_list((f"{fact.name}={answer}" for answer in fact.answers), is_or=True)
        hint = tell("give {answers}", answers=answers_said)
        missing.append(Problem("play-fact-missing", sentence, hint, fact.where))
    if missing:
        raise PocketrefError(missing)
    rows = matching_rows(table, answers)
    if not rows:
        shown = table.space.describe(table.space.at(answers))
        hint = tell("a row for it is missing in {title}", title=table.title)
        raise refusal("play-no-row", tell("no row rules on: {shown}", shown=shown), hint, table.rows_where)
    region = _possible_region(table, answers)
    parts = [intersect(table.space.box(row.when), region) for row in rows]
    if not all(is_covered(intersect(*pair), table.never_boxes) for pair in combinations(parts, 2)):
        found = (
            tell("'{outcome}' at {where}", outcome=row.outcome, where=row.where)
            if row.where
            else f"'{row.outcome}'"
            for row in rows
        )
        sentence = tell("two rows meet the same play: {region}", region=table.space.describe(region))
        raise refusal("play-two-rows", sentence, "; ".join(found), table.rows_where)
    return rows[0]


def matching_rows(table: Table, answers: Mapping[str, str]) -> tuple[Row, ...]:
    """The rows that a play may still meet, in the author's order; exactly one for a full set of answers.

    Raises PocketrefError if a name is unknown or the answers given cannot happen together.
    """
    region = _possible_region(table, answers)
    return tuple(
        row
        for row, box in zip(table.rows, table.row_boxes, strict=True)
        if not is_covered(intersect(box, region), table.never_boxes)
    )


def facts_that_matter(table: Table, answers: Mapping[str, str]) -> tuple[str, ...]:
    """The facts still open that can change the ending, in the author's order; empty once it is decided.

    Knowing these facts is always enough, and none of them could be left out. Combinations that cannot
    happen do not count, so where they make two facts tell the same, only the earlier is returned.
    """
    region = _possible_region(table, answers)
    possible = list_possible(table, region)
    still_open = [place for place, name in enumerate(table.space.names) if name not in answers]
    places = possible.enough_places(possible.everyone, still_open)
    return tuple(table.space.names[place] for place in places)


def list_possible(table: Table, region: Box) -> LabelledBoxes:
    """The possible combinations of a region as boxes labelled with their ending (see `cut_possible`)."""
    return LabelledBoxes(table.space, cut_possible(table, region))


def cut_possible(table: Table, region: Box) -> Iterator[tuple[Box, str]]:
    """Boxes that hold the possible combinations of a region, each with its ending, found one at a time.

    Boxes of different rows overlap only if the rows do. Combinations that no row rules on have NO_RULING.
    """
    for row, box in zip(table.rows, table.row_boxes, strict=True):
        for part in subtract_boxes(intersect(box, region), table.never_boxes):
            yield part, row.ending
    for part in subtract_boxes(region, (*table.row_boxes, *table.never_boxes)):
        yield part, NO_RULING


def _possible_region(table: Table, answers: Mapping[str, str]) -> Box:
    """The combinations with these answers; raises PocketrefError if none of them can happen."""
    region = table.space.at(answers)
    if is_covered(region, table.never_boxes):
        never = zip(table.never, table.never_boxes, strict=True)
        meeting = [row for row, box in never if not is_empty(intersect(box, region))]
        reasons = "; ".join(dict.fromkeys(row.outcome for row in meeting))
        where = meeting[0].where if meeting else table.where
        sentence = tell("this cannot happen: {region}", region=table.space.describe(region))
        raise refusal("play-impossible", sentence, reasons, where)
    return region
