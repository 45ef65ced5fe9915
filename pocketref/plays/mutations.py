"""What plays prove of a table: which of its single changes would give some play another ruling.

A change gives one row another outcome of its table, or one fact of one row another set of answers (all of them
included, which drops the condition; a fact without a condition is given each that it could have). A change that
no possible play meets is none, and is left out. A play notices a change if its ruling is no longer the same, or
no longer settled by one row.

All possible plays of a table are numbered, and sets of them are whole numbers used as bit sets, so that every
change is tried against every play with a few operations.
"""

from __future__ import annotations

from collections.abc import Iterator, Mapping, Sequence
from dataclasses import dataclass
from itertools import chain, combinations, product
from math import prod

from pocketref.problems import Location
from pocketref.rulings.table import Row, Table

MOST_PLAYS = 1 << 15
"""Tables with more combinations than this are not measured."""


@dataclass(frozen=True, slots=True)
class Mutation:
    """One change of one row: what it was and what it became, in words, and the row's place."""

    row: int
    """The row's number in the table, from 1."""
    words: str
    where: Location | None


@dataclass(frozen=True, slots=True)
class MutationShare:
    """How many single changes of a table the plays notice; `missed` are the others.

    `measured` is false if the table is too large to try its changes.
    """

    subject: str
    code: str
    total: int
    missed: tuple[Mutation, ...]
    measured: bool = True

    @property
    def caught(self) -> int:
        """The number of changes that some play notices."""
        return self.total - len(self.missed)

    @property
    def share(self) -> float:
        """The share that is noticed, from 0 to 1; 1 if nothing can be changed."""
        return self.caught / self.total if self.total else 1.0


def measure_mutations(table: Table, plays: Sequence[tuple[Mapping[str, str], str]]) -> MutationShare:
    """How many single changes are noticed by plays, each given as its answers and its ruling.

    Answers left out of a play are open, as for `decide`. Tables are taken as audited.
    """
    if prod(len(fact.answers) for fact in table.facts) > MOST_PLAYS:
        return MutationShare(table.subject, table.code, 0, (), measured=False)
    sets = _PlaySets(table)
    asked = [(sets.of({fact: {given} for fact, given in play.items()}), ruling) for play, ruling in plays]
    total, missed = 0, []
    for number, row in enumerate(table.rows):
        for changed, words in _list_changes(table, row):
            now = sets.of(changed.when)
            if changed.outcome == row.outcome and now == sets.rows[number]:
                continue
            total += 1
            if not sets.is_noticed(number, now, changed.outcome, asked):
                missed.append(Mutation(number + 1, words, row.where))
    return MutationShare(table.subject, table.code, total, tuple(missed))


def _list_changes(table: Table, row: Row) -> Iterator[tuple[Row, str]]:
    """The row with its outcome or the answers of one fact changed, and what was done to it."""
    for outcome in table.outcomes:
        if outcome != row.outcome:
            yield Row(row.when, outcome, row.where), f"rules '{outcome}' instead of '{row.outcome}'"
    for fact in table.facts:
        known = frozenset(fact.answers)
        now = row.when.get(fact.name, known)
        sizes = range(1, len(fact.answers) + 1)
        for some in chain.from_iterable(combinations(fact.answers, size) for size in sizes):
            answers = frozenset(some)
            if answers != now:
                shown = "any" if answers == known else " or ".join(some)
                words = f"asks {fact.name} = {shown}" if answers != known else f"no longer asks {fact.name}"
                yield Row({**row.when, fact.name: answers}, row.outcome, row.where), words


class _PlaySets:
    """Sets of the possible plays of a table: bit i stands for the i-th."""

    def __init__(self, table: Table) -> None:
        names = [fact.name for fact in table.facts]
        every = product(*(fact.answers for fact in table.facts))
        plays = (dict(zip(names, answers, strict=True)) for answers in every)
        possible = [play for play in plays if not any(_meets(row, play) for row in table.never)]
        self.full = (1 << len(possible)) - 1
        self.by_answer = {
            fact.name: {
                answer: sum(1 << i for i, play in enumerate(possible) if play[fact.name] == answer)
                for answer in fact.answers
            }
            for fact in table.facts
        }
        self.rows = [self.of(row.when) for row in table.rows]
        self.outcomes = [row.outcome for row in table.rows]

    def of(self, when: Mapping[str, frozenset[str] | set[str]]) -> int:
        """The possible plays that meet all conditions."""
        found = self.full
        for fact, answers in when.items():
            with_any = 0
            for answer in answers:
                with_any |= self.by_answer[fact][answer]
            found &= with_any
        return found

    def is_noticed(self, number: int, now: int, outcome: str, asked: Sequence[tuple[int, str]]) -> bool:
        """Whether some play is ruled otherwise, or by none or two rows, once a row is changed."""
        once = twice = 0
        by_outcome: dict[str, int] = {}
        for place, plays in enumerate(self.rows):
            met, rules = (now, outcome) if place == number else (plays, self.outcomes[place])
            twice |= once & met
            once |= met
            by_outcome[rules] = by_outcome.get(rules, 0) | met
        return any(plays & (twice | ~by_outcome.get(ruling, 0)) for plays, ruling in asked)


def _meets(row: Row, play: Mapping[str, str]) -> bool:
    return all(play[fact] in answers for fact, answers in row.when.items())
