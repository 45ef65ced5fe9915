"""No way of asking takes fewer questions than a chart that is called best: checked by trying every way there is."""

from __future__ import annotations

from collections.abc import Callable, Sequence
from dataclasses import replace
from fractions import Fraction
from itertools import permutations, product
from math import prod

import pytest
from hypothesis import given, settings
from hypothesis import strategies as st
from rulings_tables import is_possible, make_fact, make_row, make_table, plays_of, unique_tables

from pocketref.rulings import chart as chart_module
from pocketref.rulings.chart import (
    Chart,
    Question,
    build_best_chart,
    build_chart_in_order,
    build_single_order_chart,
    walk,
)
from pocketref.rulings.table import Fact, Table, decide

Play = dict[str, str]
Ways = set[tuple[int, int]]
"""(questions in the worst case, weighted sum of questions) of some ways of asking, none worse in both."""


def weight_of(facts: Sequence[Fact], play: Play) -> int:
    return prod(
        int(fact.weights[fact.answers.index(play[fact.name])]) if fact.weights else 1 for fact in facts
    )


def leave_worse_out(ways: Ways) -> Ways:
    return {a for a in ways if not any(b != a and b[0] <= a[0] and b[1] <= a[1] for b in ways)}


class Listing:
    """Every way of asking about the possible plays of a small table."""

    def __init__(self, table: Table) -> None:
        self.table = table
        self.plays = [play for play in plays_of(table) if is_possible(table, play)]
        self.outcomes = [decide(table, play).outcome for play in self.plays]
        self.weights = [weight_of(table.facts, play) for play in self.plays]

    def is_settled(self, group: Sequence[int]) -> bool:
        return len({self.outcomes[number] for number in group}) == 1

    def ask(self, group: Sequence[int], fact: Fact, go_on: Callable[[Sequence[int]], Ways]) -> Ways:
        """The ways that ask about one fact first; `go_on(group)` gives those for what is left."""
        parts = [[n for n in group if self.plays[n][fact.name] == answer] for answer in fact.answers]
        mass = sum(self.weights[number] for number in group)
        children = [go_on(part) for part in parts if part]
        return {
            (1 + max(depth for depth, _ in ways), mass + sum(cost for _, cost in ways))
            for ways in product(*children)
        }

    def free(self, group: Sequence[int], facts: Sequence[Fact]) -> Ways:
        """All ways, each branch in its own order."""
        if self.is_settled(group):
            return {(0, 0)}
        ways: Ways = set()
        for fact in facts:
            rest = [other for other in facts if other is not fact]
            ways |= self.ask(group, fact, lambda part, rest=rest: self.free(part, rest))
        return leave_worse_out(ways)

    def ordered(self, group: Sequence[int], facts: Sequence[Fact]) -> Ways:
        """All ways in one order, in which any fact may be skipped."""
        if self.is_settled(group):
            return {(0, 0)}
        if not facts:
            return set()
        ways = self.ask(group, facts[0], lambda part: self.ordered(part, facts[1:]))
        return leave_worse_out(ways | self.ordered(group, facts[1:]))

    def best(self, ways: Ways) -> tuple[int, Fraction]:
        worst, cost = min(ways)
        return worst, Fraction(cost, sum(self.weights))

    def value_of(self, chart: Chart) -> tuple[int, Fraction]:
        """What the chart takes, by walking through it with every play."""
        lengths = [len(walk(chart, play)[0]) for play in self.plays]
        cost = sum(length * weight for length, weight in zip(lengths, self.weights, strict=True))
        return max(lengths), Fraction(cost, sum(self.weights))


@st.composite
def weighted_tables(draw: st.DrawFn) -> Table:
    table = draw(unique_tables(most_facts=3))
    facts = tuple(
        replace(fact, weights=tuple(float(draw(st.integers(1, 4))) for _ in fact.answers))
        if draw(st.booleans())
        else fact
        for fact in table.facts
    )
    return replace(table, facts=facts)


@settings(max_examples=60, deadline=None)
@given(weighted_tables())
def test_the_best_chart_takes_as_few_questions_as_any_way_of_asking(table: Table) -> None:
    listing, chart = Listing(table), build_best_chart(table)
    best = listing.best(listing.free(range(len(listing.plays)), table.facts))
    assert chart.value == listing.value_of(chart) == best
    assert (chart.worst, chart.expected) == (best[0], pytest.approx(float(best[1])))


@settings(max_examples=40, deadline=None)
@given(weighted_tables())
def test_the_best_order_takes_as_few_questions_as_any_order(table: Table) -> None:
    listing, chart = Listing(table), build_single_order_chart(table)
    everything = range(len(listing.plays))
    best = min(listing.best(listing.ordered(everything, order)) for order in permutations(table.facts))
    assert chart.value == listing.value_of(chart) == best
    fixed = build_chart_in_order(table, chart.order)
    assert fixed.value == best


@settings(max_examples=40, deadline=None)
@given(weighted_tables())
def test_a_fixed_order_is_asked_with_as_few_questions_as_it_can_be(table: Table) -> None:
    listing = Listing(table)
    order = table.facts[::-1]
    chart = build_chart_in_order(table, [fact.name for fact in order])
    assert chart.value == listing.best(listing.ordered(range(len(listing.plays)), order))


@settings(max_examples=40, deadline=None)
@given(weighted_tables())
def test_no_chart_asks_what_all_its_ways_on_make_no_use_of(table: Table) -> None:
    for chart in (build_best_chart(table), build_single_order_chart(table)):
        for node in chart.nodes:
            if isinstance(node, Question):
                assert len({way.target for way in node.exits}) == len(node.exits) > 1
        assert len({node for node in chart.nodes if isinstance(node, Question)}) == chart.question_count


def ladder(rungs: int) -> Table:
    """A table in which the first fact answered yes decides."""
    facts = tuple(make_fact(f"f{i}", "yes", "no") for i in range(rungs))
    rows = [make_row(f"r{i}", **{f"f{j}": "no" for j in range(i)}, **{f"f{i}": "yes"}) for i in range(rungs)]
    return make_table(facts, *rows, make_row("none", **{f"f{j}": "no" for j in range(rungs)}))


@pytest.mark.parametrize("rungs", [1, 4, 9, 10, 11])
def test_a_ladder_is_climbed_rung_by_rung_whether_or_not_the_search_is_exact(rungs: int) -> None:
    chart = build_best_chart(ladder(rungs))
    expected = sum(Fraction(1, 2**n) for n in range(rungs))
    assert chart.value == (rungs, expected)
    assert chart.order == tuple(f"f{i}" for i in range(rungs))
    assert not chart.free
    assert chart.is_proven_best == (rungs <= 10)


def test_a_large_table_is_asked_about_in_few_questions_without_the_exact_search(
    monkeypatch: pytest.MonkeyPatch,
) -> None:
    monkeypatch.setattr(chart_module, "MOST_FACTS", 0)
    for rungs in (4, 9):
        table = ladder(rungs)
        shuffled = replace(table, facts=table.facts[::2] + table.facts[1::2])
        for build in (build_best_chart, build_single_order_chart):
            assert build(shuffled).value == (rungs, sum(Fraction(1, 2**n) for n in range(rungs)))
