"""Which facts tell the endings of a table apart, against every pair of boxes."""

from __future__ import annotations

from itertools import combinations

from hypothesis import given, settings
from hypothesis import strategies as st
from rulings_tables import unique_tables

from pocketref.rulings.boxes import LabelledBoxes
from pocketref.rulings.table import Table, list_possible

TABLES = unique_tables()


def rivals_in(ruled: LabelledBoxes, alive: int) -> list[tuple[int, int]]:
    """Pairs of boxes in play with different labels."""
    numbers = [number for number in range(len(ruled.boxes)) if alive >> number & 1]
    return [(a, b) for a, b in combinations(numbers, 2) if ruled.labels[a] != ruled.labels[b]]


def apart(ruled: LabelledBoxes, pair: tuple[int, int]) -> set[int]:
    """The facts, by place, of which two boxes share no answer."""
    first, second = (ruled.boxes[number] for number in pair)
    return {place for place, (a, b) in enumerate(zip(first, second, strict=True)) if not a & b}


def draw_alive(data: st.DataObject, ruled: LabelledBoxes) -> int:
    return data.draw(st.integers(0, ruled.everyone))


@settings(max_examples=80)
@given(TABLES, st.data())
def test_boxes_are_settled_if_no_two_in_play_are_rivals(table: Table, data: st.DataObject) -> None:
    ruled = list_possible(table, table.space.full)
    alive = draw_alive(data, ruled)
    assert ruled.is_settled(alive) == (not rivals_in(ruled, alive))


@settings(max_examples=80)
@given(TABLES, st.data())
def test_facts_suffice_if_every_two_rivals_differ_on_one_of_them(table: Table, data: st.DataObject) -> None:
    ruled = list_possible(table, table.space.full)
    alive = draw_alive(data, ruled)
    places = data.draw(st.sets(st.sampled_from(range(len(table.facts)))))
    pairs = [apart(ruled, pair) for pair in rivals_in(ruled, alive)]
    assert ruled.suffice(places, alive) == all(places & each for each in pairs)


@settings(max_examples=80)
@given(TABLES, st.data())
def test_of_facts_that_are_enough_none_can_be_left_out_and_the_later_ones_went_first(
    table: Table, data: st.DataObject
) -> None:
    ruled = list_possible(table, table.space.full)
    alive = draw_alive(data, ruled)
    order = data.draw(st.permutations(range(len(table.facts))))
    kept = ruled.enough_places(alive, order)
    expected = [*order]
    for place in reversed(order):
        rest = [other for other in expected if other != place]
        if all({*rest} & apart(ruled, pair) for pair in rivals_in(ruled, alive)):
            expected = rest
    assert kept == tuple(expected)
