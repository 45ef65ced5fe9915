"""No way of asking takes fewer questions than a chart that is called best: checked by trying every way there is."""

from __future__ import annotations

from dataclasses import replace
from fractions import Fraction
from itertools import permutations

import pytest
from hypothesis import given, settings
from hypothesis import strategies as st
from rulings_grids import Listing
from rulings_tables import make_fact, make_row, make_table, unique_tables

from pocketref.rulings import chart as chart_module
from pocketref.rulings import nodes as nodes_module
from pocketref.rulings.chart import (
    Question,
    build_best_chart,
    build_chart_in_order,
    build_single_order_chart,
)
from pocketref.rulings.table import Table


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


@pytest.mark.parametrize(("few_pieces", "sifting_steps"), [(12, 30_000), (0, 30_000), (0, 0)])
def test_a_large_table_is_asked_about_in_few_questions_without_the_exact_search(
    few_pieces: int, sifting_steps: int, monkeypatch: pytest.MonkeyPatch
) -> None:
    monkeypatch.setattr(chart_module, "MOST_FACTS", 0)
    monkeypatch.setattr(chart_module, "SIFTING_STEPS", sifting_steps)
    monkeypatch.setattr(nodes_module, "FEW_PIECES", few_pieces)
    for rungs in (4, 9):
        table = ladder(rungs)
        shuffled = replace(table, facts=table.facts[::2] + table.facts[1::2])
        for build in (build_best_chart, build_single_order_chart)[: 2 if sifting_steps else 1]:
            chart = build(shuffled)
            assert chart.value == (rungs, sum(Fraction(1, 2**n) for n in range(rungs)))
            assert chart.free == (not sifting_steps)
