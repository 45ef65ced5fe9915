"""Which facts tell the pieces of a table apart, against every pair of pieces."""

from __future__ import annotations

from itertools import combinations

from hypothesis import given, settings
from hypothesis import strategies as st
from rulings_tables import unique_tables

from pocketref.rulings.pieces import Pieces
from pocketref.rulings.table import Table, possible_pieces

TABLES = unique_tables()


def rivals_in(pieces: Pieces, alive: int) -> list[tuple[int, int]]:
    """Pairs of pieces in play with different labels."""
    numbers = [number for number in range(len(pieces.boxes)) if alive >> number & 1]
    return [(a, b) for a, b in combinations(numbers, 2) if pieces.labels[a] != pieces.labels[b]]


def apart(pieces: Pieces, pair: tuple[int, int]) -> set[int]:
    """The facts, by place, of which two pieces share no answer."""
    first, second = (pieces.boxes[number] for number in pair)
    return {place for place, (a, b) in enumerate(zip(first, second, strict=True)) if not a & b}


def draw_alive(data: st.DataObject, pieces: Pieces) -> int:
    return data.draw(st.integers(0, pieces.everyone))


@settings(max_examples=80, deadline=None)
@given(TABLES, st.data())
def test_pieces_are_settled_if_no_two_in_play_are_rivals(table: Table, data: st.DataObject) -> None:
    pieces = possible_pieces(table, table.space.full)
    alive = draw_alive(data, pieces)
    assert pieces.is_settled(alive) == (not rivals_in(pieces, alive))


@settings(max_examples=80, deadline=None)
@given(TABLES, st.data())
def test_facts_suffice_if_every_two_rivals_differ_on_one_of_them(table: Table, data: st.DataObject) -> None:
    pieces = possible_pieces(table, table.space.full)
    alive = draw_alive(data, pieces)
    places = data.draw(st.sets(st.sampled_from(range(len(table.facts)))))
    pairs = [apart(pieces, pair) for pair in rivals_in(pieces, alive)]
    assert pieces.suffice(places, alive) == all(places & each for each in pairs)


@settings(max_examples=80, deadline=None)
@given(TABLES, st.data())
def test_a_fact_tells_if_two_rivals_differ_on_it_and_decides_if_on_nothing_else(
    table: Table, data: st.DataObject
) -> None:
    pieces = possible_pieces(table, table.space.full)
    alive = draw_alive(data, pieces)
    places = data.draw(st.lists(st.sampled_from(range(len(table.facts))), unique=True))
    pairs = [apart(pieces, pair) & {*places} for pair in rivals_in(pieces, alive)]
    assert pieces.telling_places(alive, places) == tuple(
        place for place in places if any(place in each for each in pairs)
    )
    assert pieces.deciding_places(alive, places) == tuple(place for place in places if {place} in pairs)


@settings(max_examples=80, deadline=None)
@given(TABLES, st.data())
def test_of_facts_that_are_enough_none_can_be_left_out_and_the_later_ones_went_first(
    table: Table, data: st.DataObject
) -> None:
    pieces = possible_pieces(table, table.space.full)
    alive = draw_alive(data, pieces)
    order = data.draw(st.permutations(range(len(table.facts))))
    kept = pieces.enough_places(alive, order)
    expected = [*order]
    for place in reversed(order):
        rest = [other for other in expected if other != place]
        if all({*rest} & apart(pieces, pair) for pair in rivals_in(pieces, alive)):
            expected = rest
    assert kept == tuple(expected)
