"""No way of asking takes fewer questions than a chart that is called best: checked by trying every way there is."""

from __future__ import annotations

import random
from collections.abc import Sequence
from dataclasses import replace
from fractions import Fraction

import pytest
from hypothesis import example, given, settings
from hypothesis import strategies as st
from rulings_grids import Listing, grid_table, grids
from rulings_tables import make_fact, make_row, make_table, unique_tables

from pocketref.rulings import questions as questions_module
from pocketref.rulings.chart import Chart, build_best_chart, build_chart_in_order
from pocketref.rulings.nodes import Question
from pocketref.rulings.table import Table

# To skip the first fact would ask less on average, but one question more in the worst case.
SKIPPING_TEMPTS = grid_table("AAA--AAB", (1, 0), (1, 1), (9, 1))
# No two endings differ on the first fact alone, yet it tells which other fact is worth asking.
POINTER = grid_table("A---B---A-B-----AB------", (1, 1, 1), (1, 1), (1, 1), (1, 1))


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


def assert_best(table: Table) -> None:
    listing, chart = Listing(table), build_best_chart(table)
    best = listing.best(listing.free(listing.everything, table.facts))
    assert chart.value == listing.value_of(chart) == best
    assert (chart.worst, chart.expected) == (best[0], pytest.approx(float(best[1])))
    assert chart.is_proven_best


@settings(max_examples=60)
@given(weighted_tables())
def test_the_best_chart_takes_as_few_questions_as_any_way_of_asking(table: Table) -> None:
    assert_best(table)


@settings(max_examples=100)
@given(grids())
@example(SKIPPING_TEMPTS)
@example(POINTER)
def test_so_it_does_where_plays_cannot_happen_and_answers_weigh_nothing(table: Table) -> None:
    assert_best(table)


@pytest.mark.parametrize("seed", range(6))
def test_so_it_does_with_five_answers_a_fact(seed: int) -> None:
    chance = random.Random(seed)
    sizes = chance.sample((2, 3, 4, 5), 3)
    letters = "".join(chance.choice("AAABC-") for _ in range(sizes[0] * sizes[1] * sizes[2]))
    assert_best(grid_table(letters, *([chance.randint(1, 9) for _ in range(size)] for size in sizes)))


@settings(max_examples=120)
@given(st.one_of(grids(), weighted_tables()), st.randoms(use_true_random=False))
@example(SKIPPING_TEMPTS, random.Random(0))
def test_a_fixed_order_is_asked_with_as_few_questions_as_it_can_be(
    table: Table, chance: random.Random
) -> None:
    order = chance.sample(table.facts, len(table.facts))
    listing, chart = Listing(table), build_chart_in_order(table, [fact.name for fact in order])
    best = listing.best(listing.ordered(listing.everything, order))
    assert chart.value == listing.value_of(chart) == best


@settings(max_examples=60)
@given(grids())
def test_a_chart_is_called_free_only_if_no_order_of_its_facts_is_that_of_every_path(table: Table) -> None:
    chart = build_best_chart(table)
    if not chart.free:
        assert build_chart_in_order(table, chart.order).value == chart.value


@settings(max_examples=80)
@given(st.one_of(grids(outcomes="AAB--"), weighted_tables()), st.sampled_from([0, 5]))
@example(grid_table("AA-B-A-B", (1, 1), (1, 1), (1, 1)), 0)  # the first fact picked turns out to tell nothing
@example(grid_table("-AB-AB---", (1, 9, 2), (1, 1, 9)), 0)
@example(grid_table("A--A--B-BA-AA-B-", (1, 1), (1, 2), (1, 9), (1, 1)), 0)
def test_no_chart_asks_what_all_its_ways_on_make_no_use_of(table: Table, few_facts: int) -> None:
    with pytest.MonkeyPatch.context() as patch:
        charts = [build_best_chart(table)]
        patch.setattr(questions_module, "MOST_FACTS", 0)
        patch.setattr(questions_module, "FEW_FACTS", few_facts)
        charts.append(build_best_chart(table))
    for chart in charts:
        for node in chart.nodes:
            if isinstance(node, Question):
                assert len({way.target for way in node.exits}) == len(node.exits) > 1
        assert len({node for node in chart.nodes if isinstance(node, Question)}) == chart.question_count
        assert chart.value == Listing(table).value_of(chart) >= charts[0].value
        assert chart.worst <= len(table.facts)
    assert not few_facts or charts[1].value == charts[0].value


def ask_thriftily(listing: Listing, group: Sequence[int], facts: Sequence[str]) -> tuple[int, int]:
    """(worst case, weighted sum) where the next fact is asked just if those after it are not enough."""
    if listing.is_settled(group):
        return 0, 0
    known: dict[tuple[str, ...], set[str]] = {}
    for number in group:
        key = tuple(listing.plays[number][fact] for fact in facts[1:])
        known.setdefault(key, set()).add(listing.outcomes[number])
    if all(len(outcomes) == 1 for outcomes in known.values()):
        return ask_thriftily(listing, group, facts[1:])
    parts: dict[str, list[int]] = {}
    for number in group:
        parts.setdefault(listing.plays[number][facts[0]], []).append(number)
    found = [ask_thriftily(listing, part, facts[1:]) for part in parts.values()]
    mass = sum(listing.weights[number] for number in group)
    return 1 + max(worst for worst, _ in found), mass + sum(cost for _, cost in found)


@settings(max_examples=100)
@given(grids())
def test_a_large_table_s_fixed_order_skips_whatever_the_later_facts_tell(table: Table) -> None:
    listing, names = Listing(table), [fact.name for fact in table.facts]
    with pytest.MonkeyPatch.context() as patch:
        patch.setattr(questions_module, "MOST_FACTS", 0)
        chart = build_chart_in_order(table, names)
    worst, cost = ask_thriftily(listing, listing.everything, names)
    assert chart.value == listing.value_of(chart) == (worst, listing.expect(cost))
    assert chart.value >= build_chart_in_order(table, names).value


def ladder(rungs: int) -> Table:
    """A table in which the first fact answered yes decides."""
    facts = tuple(make_fact(f"f{i}", "yes", "no") for i in range(rungs))
    rows = [make_row(f"r{i}", **{f"f{j}": "no" for j in range(i)}, **{f"f{i}": "yes"}) for i in range(rungs)]
    return make_table(facts, *rows, make_row("none", **{f"f{j}": "no" for j in range(rungs)}))


def assert_climbed(chart: Chart, rungs: int) -> None:
    assert chart.value == (rungs, sum(Fraction(1, 2**n) for n in range(rungs)))
    assert chart.order == tuple(f"f{i}" for i in range(rungs))
    assert not chart.free


@pytest.mark.parametrize("rungs", [1, 4, 9, 10, 11, 14])
def test_a_ladder_is_climbed_rung_by_rung_whether_or_not_the_search_is_exact(rungs: int) -> None:
    table = ladder(rungs)
    shuffled = replace(table, facts=table.facts[::2] + table.facts[1::2])
    for each in (table, shuffled):
        chart = build_best_chart(each)
        assert_climbed(chart, rungs)
        assert chart.is_proven_best == (rungs <= 10)


def test_a_table_with_more_states_than_are_searched_says_that_its_chart_is_not_proven() -> None:
    facts = tuple(make_fact(f"f{i}", *"abcdefgh"[:7]) for i in range(7))
    rows = [
        make_row(f"r{i}", **{f"f{j}": "b c d e f g" for j in range(i)}, **{f"f{i}": "a"}) for i in range(7)
    ]
    table = make_table(facts, *rows, make_row("none", **{f"f{j}": "b c d e f g" for j in range(7)}))
    chart = build_best_chart(table)
    assert not chart.is_proven_best
    assert (chart.worst, chart.order) == (7, tuple(f"f{i}" for i in range(7)))
