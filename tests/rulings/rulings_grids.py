"""Tables written as one letter a play, and every way of asking about them, by listing the plays."""

from __future__ import annotations

from collections.abc import Callable, Sequence
from fractions import Fraction
from functools import partial
from itertools import product
from math import prod

from hypothesis import strategies as st
from rulings_tables import LETTERS, is_possible, plays_of, walk

from pocketref.rulings.chart import Chart
from pocketref.rulings.table import Fact, Row, Table, decide

Play = dict[str, str]
Ways = set[tuple[int, int, int]]
"""(questions in the worst case, weighted sum of questions, questions in the tree) of some ways of asking, none
worse than another in all three."""


def grid_table(letters: str, *weights: Sequence[int]) -> Table:
    """A table from its outcomes play by play, the last fact's answers changing fastest; "-" cannot happen.

    Each fact has as many answers as weights.
    """
    facts = tuple(
        Fact(f"f{i}", "What?", LETTERS[: len(each)], LETTERS[: len(each)], tuple(map(float, each)))
        for i, each in enumerate(weights)
    )
    rows: list[Row] = []
    never: list[Row] = []
    for answers, letter in zip(product(*(fact.answers for fact in facts)), letters, strict=True):
        when = {fact.name: frozenset(answer) for fact, answer in zip(facts, answers, strict=True)}
        (never if letter == "-" else rows).append(Row(when, letter))
    return Table("contact", "any", facts, tuple(rows), tuple(never), tuple(sorted(set(letters) - {"-"})))


@st.composite
def grids(draw: st.DrawFn, most_plays: int = 24, outcomes: str = "AB-") -> Table:
    """Any outcome for any play, with plays that cannot happen and answers that hardly ever do."""
    sizes = draw(st.lists(st.integers(2, 3), min_size=2, max_size=4).filter(lambda s: prod(s) <= most_plays))
    plays = prod(sizes)
    letters = draw(st.text(outcomes, min_size=plays, max_size=plays).filter(lambda text: set(text) != {"-"}))
    weight = st.sampled_from((1, 1, 2, 9, 0))
    return grid_table(
        letters,
        *(draw(st.lists(weight, min_size=size, max_size=size).filter(any)) for size in sizes),
    )


def weight_of(facts: Sequence[Fact], play: Play) -> int:
    return prod(
        int(fact.weights[fact.answers.index(play[fact.name])]) if fact.weights else 1 for fact in facts
    )


def leave_worse_out(ways: Ways) -> Ways:
    def is_worse(a: tuple[int, ...], b: tuple[int, ...]) -> bool:
        return a != b and all(x >= y for x, y in zip(a, b, strict=True))

    return {a for a in ways if not any(is_worse(a, b) for b in ways)}


class Listing:
    """Every way of asking about the possible plays of a small table."""

    def __init__(self, table: Table) -> None:
        self.table = table
        self.plays = [play for play in plays_of(table) if is_possible(table, play)]
        self.outcomes = [decide(table, play).outcome for play in self.plays]
        self.weights = [weight_of(table.facts, play) for play in self.plays]
        self.everything = tuple(range(len(self.plays)))

    def is_settled(self, group: Sequence[int]) -> bool:
        return len({self.outcomes[number] for number in group}) == 1

    def ask(self, group: Sequence[int], fact: Fact, go_on: Callable[[Sequence[int]], Ways]) -> Ways:
        """The ways that ask about one fact first; `go_on(group)` gives those for what is left."""
        parts = [[n for n in group if self.plays[n][fact.name] == answer] for answer in fact.answers]
        mass = sum(self.weights[number] for number in group)
        ways: Ways = {(0, 0, 0)}
        for part in parts:
            if part:
                more = go_on(part)
                ways = leave_worse_out(
                    {(max(a[0], b[0]), a[1] + b[1], a[2] + b[2]) for a, b in product(ways, more)}
                )
        return {(1 + depth, mass + cost, 1 + count) for depth, cost, count in ways}

    def free(self, group: Sequence[int], facts: Sequence[Fact]) -> Ways:
        """All ways, each branch in its own order."""
        if self.is_settled(group):
            return {(0, 0, 0)}
        ways: Ways = set()
        for fact in facts:
            rest = [other for other in facts if other is not fact]
            ways |= self.ask(group, fact, partial(self.free, facts=rest))
        return leave_worse_out(ways)

    def ordered(self, group: Sequence[int], facts: Sequence[Fact], later: Sequence[Fact] = ()) -> Ways:
        """All ways in one order, in which any fact may be skipped; the `later` facts freely after it."""
        if self.is_settled(group):
            return {(0, 0, 0)}
        if not facts:
            return self.free(group, later)
        ways = self.ask(group, facts[0], lambda part: self.ordered(part, facts[1:], later))
        return leave_worse_out(ways | self.ordered(group, facts[1:], later))

    def expect(self, cost: int) -> Fraction:
        mass = sum(self.weights)
        return Fraction(cost, mass) if mass else Fraction(0)

    def best(self, ways: Ways) -> tuple[int, Fraction]:
        worst, cost, _ = min(ways)
        return worst, self.expect(cost)

    def value_of(self, chart: Chart) -> tuple[int, Fraction]:
        """What the chart takes, by walking through it with every play."""
        lengths = [len(walk(chart, play)[0]) for play in self.plays]
        cost = sum(length * weight for length, weight in zip(lengths, self.weights, strict=True))
        return max(lengths), self.expect(cost)
