"""Ways of asking along an order, freely, and by rule of thumb, held against every way there is."""

from __future__ import annotations

from collections.abc import Sequence
from itertools import permutations

import pytest
from hypothesis import example, given, settings
from hypothesis import strategies as st
from rulings_grids import Listing, Play, grid_table, grids

from pocketref.rulings import nodes as nodes_module
from pocketref.rulings.chart import build_best_chart, build_single_order_chart
from pocketref.rulings.nodes import (
    Drawing,
    FreeRoute,
    GreedyRoute,
    OrderRoute,
    Question,
    Route,
    draw_together,
)
from pocketref.rulings.orders import OrderSearch, best_orders, sift_order
from pocketref.rulings.questions import NO_WAY, QuestionSearch, SearchTooLongError
from pocketref.rulings.table import Table, possible_pieces

ENOUGH = 1_000_000
# To skip the first fact would ask less on average, but one question more in the worst case.
SKIPPING_TEMPTS = grid_table("AAA--AAB", (1, 0), (1, 1), (9, 1))


def search_of(table: Table, most_steps: int = ENOUGH) -> QuestionSearch:
    return QuestionSearch(table, possible_pieces(table, table.space.full), most_steps)


def named(table: Table, places: Sequence[int]) -> list[object]:
    return [table.facts[place] for place in places]


def follow(drawing: Drawing, play: Play) -> tuple[int, str]:
    """How many questions a play is asked, and the outcome."""
    node, asked = drawing.nodes[0], 0
    while isinstance(node, Question):
        node = drawing.nodes[next(way.target for way in node.exits if play[node.fact] in way.answers)]
        asked += 1
    return asked, node.outcome


def taken(table: Table, drawing: Drawing) -> tuple[int, int]:
    """(worst case, weighted sum of questions) of a drawing that rules as its table does, by following each play."""
    listing = Listing(table)
    found = [follow(drawing, play) for play in listing.plays]
    assert [outcome for _, outcome in found] == listing.outcomes
    cost = sum(asked * weight for (asked, _), weight in zip(found, listing.weights, strict=True))
    worst = max(asked for asked, _ in found)
    assert (drawing.worst, drawing.value[0]) == (worst, worst)
    assert drawing.value[1] * sum(listing.weights) == cost
    return worst, cost


def drawn(table: Table, search: QuestionSearch, route: Route) -> tuple[int, int]:
    return taken(table, draw_together(table, search, route))


@st.composite
def ordered_grids(draw: st.DrawFn) -> tuple[Table, tuple[int, ...]]:
    """A table and an order of its facts."""
    table = draw(grids())
    return table, tuple(draw(st.permutations(range(len(table.facts)))))


@settings(max_examples=120, deadline=None)
@given(ordered_grids())
@example((SKIPPING_TEMPTS, (0, 1, 2)))
def test_an_order_takes_as_few_questions_as_any_way_along_it(case: tuple[Table, tuple[int, ...]]) -> None:
    table, places = case
    search, listing = search_of(table), Listing(table)
    order = OrderSearch(search, places)
    worst, cost, count = min(listing.ordered(listing.everything, [table.facts[p] for p in places]))
    assert order.value() == (worst, cost) == drawn(table, search, OrderRoute(order))
    assert order.frontier() == set()
    if all(min(fact.weights) for fact in table.facts):
        assert order.cost(order.start)[:2] == (cost, count)


@settings(max_examples=80, deadline=None)
@given(ordered_grids(), st.integers(0, 2))
@example((SKIPPING_TEMPTS, (0, 1, 2)), 1)
def test_the_start_of_an_order_bounds_every_order_that_starts_so(
    case: tuple[Table, tuple[int, ...]], length: int
) -> None:
    table, places = case
    facts = [table.facts[place] for place in places]
    search, listing = search_of(table), Listing(table)
    start = OrderSearch(search, places[:length])
    worst, cost, count = min(listing.ordered(listing.everything, facts[:length], facts[length:]))
    assert start.value() == (worst, cost)
    assert start.value() <= OrderSearch(search, places).value()
    if not start.frontier():
        assert drawn(table, search, OrderRoute(start)) == (worst, cost)
    elif all(min(fact.weights) for fact in table.facts):
        assert start.cost(start.start)[:2] == (cost, count)


@settings(max_examples=80, deadline=None)
@given(grids())
@example(SKIPPING_TEMPTS)
def test_the_best_orders_are_those_that_listing_all_orders_finds(table: Table) -> None:
    listing = Listing(table)
    values = {
        order: min(listing.ordered(listing.everything, [table.facts[p] for p in order]))[:2]
        for order in permutations(range(len(table.facts)))
    }
    best = min(values.values())
    found = best_orders(search_of(table), ENOUGH)
    assert found
    assert {order.value() for order in found} == {best}
    assert len({order.places for order in found}) == len(found)
    assert [order.places for order in best_orders(search_of(table), 1)] == [found[0].places]
    assert best_orders(search_of(table), ENOUGH, enough=(best[0], best[1] - 1)) == []
    same = best_orders(search_of(table), ENOUGH, enough=best)
    assert [order.places for order in same] == [order.places for order in found]
    # Of the orders as short as any, the chart has the fewest question nodes.
    search = search_of(table)
    equal = [order for order, value in values.items() if value == best]
    sizes = [
        draw_together(table, search, OrderRoute(OrderSearch(search, order))).questions for order in equal
    ]
    assert build_single_order_chart(table).question_count == min(sizes)


@settings(max_examples=100, deadline=None)
@given(grids())
def test_asking_freely_takes_as_few_questions_as_any_way(table: Table) -> None:
    search, listing = search_of(table), Listing(table)
    route = FreeRoute(search)
    worst, cost, count = min(listing.free(listing.everything, table.facts))
    assert route.value == (worst, cost) == drawn(table, search, route)
    everyone, places = search.pieces.everyone, search.every_place
    assert search.worst(everyone, places) == worst
    if all(min(fact.weights) for fact in table.facts):
        assert search.cost(everyone, places, places, worst) == (cost, count)
    if worst:
        assert search.worst(everyone, 0) == NO_WAY
        assert search.cost(everyone, places, places, worst - 1)[1] == NO_WAY


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


@settings(max_examples=100, deadline=None)
@given(ordered_grids())
def test_an_order_asked_thriftily_skips_whatever_the_later_facts_tell(
    case: tuple[Table, tuple[int, ...]],
) -> None:
    table, places = case
    search, listing = search_of(table), Listing(table)
    order = OrderSearch(search, places, thrifty=True)
    value = ask_thriftily(listing, listing.everything, [table.facts[place].name for place in places])
    assert order.value() == value == drawn(table, search, OrderRoute(order))
    assert value >= OrderSearch(search, places).value()


@settings(max_examples=60, deadline=None)
@given(ordered_grids())
def test_sifting_finds_no_worse_an_order_than_moving_the_first_fact_does(
    case: tuple[Table, tuple[int, ...]],
) -> None:
    table, places = case
    search = search_of(table)

    def value(order: Sequence[int]) -> tuple[int, int]:
        return OrderSearch(search, order, thrifty=True).value()

    found = sift_order(search, places, ENOUGH)
    assert found is not None
    assert found.value() == value(found.places)
    rest = places[1:]
    assert found.value() <= min(value((*rest[:i], places[0], *rest[i:])) for i in range(len(places)))
    if len(places) == 2:
        assert found.value() == min(value(order) for order in permutations(places))
    assert sift_order(search_of(table), places, 0) is None or found.value() == (0, 0)


def test_sifting_moves_every_fact_not_the_first_alone() -> None:
    """The last fact decides alone; of the others one more is looked at only if it says yes."""
    table = grid_table("AABAAABA", (1, 1), (1, 1), (1, 9))
    best = min(OrderSearch(search_of(table), order, thrifty=True).value() for order in permutations(range(3)))
    for order in permutations(range(3)):
        found = sift_order(search_of(table), order, ENOUGH)
        assert found is not None
        assert found.value() == best


def test_sifting_cut_short_keeps_the_best_order_so_far() -> None:
    table = grid_table("AAAABBAB", (1, 1), (1, 1), (1, 9))
    given_order = (0, 1, 2)
    first = OrderSearch(search_of(table), given_order, thrifty=True).value()
    seen = []
    for most_steps in range(60):
        found = sift_order(search_of(table), given_order, most_steps)
        seen.append(found.value() if found else None)
    valued = [value for value in seen if value is not None]
    assert seen[: len(seen) - len(valued)] == [None] * (len(seen) - len(valued))
    assert valued == sorted(valued, reverse=True)
    assert valued[0] <= first


@settings(max_examples=120, deadline=None)
@given(grids(outcomes="AAB--"))
@example(grid_table("AA-B-A-B", (1, 1), (1, 1), (1, 1)))  # the first fact picked turns out to tell nothing
@example(grid_table("-AB-AB---", (1, 9, 2), (1, 1, 9)))
@example(grid_table("A--A--B-BA-AA-B-", (1, 1), (1, 2), (1, 9), (1, 1)))
def test_asking_by_rule_of_thumb_rules_as_the_table_and_asks_nothing_in_vain(table: Table) -> None:
    with pytest.MonkeyPatch.context() as patch:
        patch.setattr(nodes_module, "FEW_PIECES", 0)
        search = search_of(table)
        drawing = draw_together(table, search, GreedyRoute(search))
    worst, cost = taken(table, drawing)
    assert (worst, cost) >= FreeRoute(search_of(table)).value
    assert worst <= len(table.facts)
    for node in drawing.nodes:
        if isinstance(node, Question):
            assert len({way.target for way in node.exits}) == len(node.exits) > 1


@settings(max_examples=60, deadline=None)
@given(grids())
def test_small_parts_of_a_large_table_are_asked_about_in_the_best_way(table: Table) -> None:
    search = search_of(table)
    if len(search.pieces.boxes) <= nodes_module.FEW_PIECES:
        assert drawn(table, search, GreedyRoute(search)) == build_value(table)


def build_value(table: Table) -> tuple[int, int]:
    return FreeRoute(search_of(table)).value


def test_steps_are_counted_down_to_none() -> None:
    search = search_of(SKIPPING_TEMPTS, most_steps=2)
    search.step()
    search.step()
    with pytest.raises(SearchTooLongError):
        search.step()


@settings(max_examples=60, deadline=None)
@given(grids())
def test_the_best_chart_is_one_order_s_wherever_that_asks_as_little(table: Table) -> None:
    listing, chart = Listing(table), build_best_chart(table)
    free = min(listing.free(listing.everything, table.facts))[:2]
    orders = [min(listing.ordered(listing.everything, order))[:2] for order in permutations(table.facts)]
    assert chart.free == (free < min(orders))
    if not chart.free:
        assert chart.question_count == build_single_order_chart(table).question_count
