"""No fewer rows would do, nor rows with fewer conditions: held against an integer programme over all boxes."""

from __future__ import annotations

from collections.abc import Sequence
from itertools import combinations, product
from math import prod

import numpy as np
import pytest
from hypothesis import assume, given, settings
from hypothesis import strategies as st
from rulings_tables import merge_boxes
from scipy.optimize import Bounds, LinearConstraint, milp

from pocketref.rulings import cover as cover_module
from pocketref.rulings.boxes import (
    Box,
    BoxIndex,
    bits,
    contains,
    is_covered,
    subtract,
    subtract_boxes,
    volume,
)
from pocketref.rulings.cover import Cover, conditions, cover_set, grow_box

Point = tuple[int, ...]
DEAR = 1000
"""A box more costs more than any number of conditions."""


def full_of(sizes: Sequence[int]) -> Box:
    return tuple((1 << size) - 1 for size in sizes)


def points_of(box: Box) -> frozenset[Point]:
    return frozenset(product(*(bits(mask) for mask in box)))


def box_at(point: Point) -> Box:
    return tuple(1 << answer for answer in point)


def boxes_within(full: Box, allowed: frozenset[Point]) -> list[Box]:
    """Every box whose combinations are all allowed."""
    every = product(*(range(1, mask + 1) for mask in full))
    return [box for box in every if points_of(box) <= allowed]


def least_cost(full: Box, wanted: frozenset[Point], spare: frozenset[Point] = frozenset()) -> int:
    """The least of DEAR for each box and 1 for each condition, over all choices of boxes."""
    boxes = [box for box in boxes_within(full, wanted | spare) if points_of(box) & wanted]
    costs = [DEAR + conditions(full, box) for box in boxes]
    covers = np.array([[point in points_of(box) for box in boxes] for point in sorted(wanted)], dtype=float)
    solved = milp(
        costs,
        integrality=np.ones(len(boxes)),
        bounds=Bounds(0, 1),
        constraints=LinearConstraint(covers, lb=1),
        options={"mip_rel_gap": 0},
    )
    return int(solved.fun + 0.5)


def cost_of(full: Box, cover: Cover) -> int:
    return sum(DEAR + conditions(full, box) for box in cover.boxes)


def union(boxes: Sequence[Box]) -> frozenset[Point]:
    return frozenset().union(*(points_of(box) for box in boxes))


@st.composite
def point_sets(draw: st.DrawFn) -> tuple[Box, list[Point], list[Point], list[Point]]:
    """All combinations of some facts, and which of them are wanted, spare, and outside."""
    sizes = draw(st.lists(st.integers(2, 3), min_size=2, max_size=4).filter(lambda s: prod(s) <= 36))
    every = list(product(*(range(size) for size in sizes)))
    letters = draw(st.text("wwwos", min_size=len(every), max_size=len(every)))
    parts = {kind: [p for p, letter in zip(every, letters, strict=True) if letter == kind] for kind in "wso"}
    return full_of(sizes), parts["w"], parts["s"], parts["o"]


def cover_points(
    full: Box, wanted: Sequence[Point], spare: Sequence[Point], outside: Sequence[Point], **limits: int
) -> Cover:
    return cover_set(
        full,
        [box_at(point) for point in wanted],
        [box_at(point) for point in outside],
        spare=[box_at(point) for point in spare],
        **limits,
    )


@settings(max_examples=60)
@given(point_sets())
def test_the_exact_cover_has_the_fewest_boxes_and_of_those_the_fewest_conditions(
    case: tuple[Box, list[Point], list[Point], list[Point]],
) -> None:
    full, wanted, spare, outside = case
    cover = cover_points(full, wanted, spare, outside)
    assert cover.fewest
    assert cover.whole
    assert frozenset(wanted) <= union(cover.boxes) <= frozenset((*wanted, *spare))
    if wanted:
        assert cost_of(full, cover) == least_cost(full, frozenset(wanted), frozenset(spare))
    counts = [conditions(full, box) for box in cover.boxes]
    assert counts == sorted(counts)
    again = cover_points(full, wanted[::-1], spare[::-1], outside)
    assert again == cover
    exactly = cover_points(full, wanted, spare, outside, most_boxes=len(cover.boxes))
    assert exactly == cover


@settings(max_examples=60)
@given(point_sets())
def test_a_grown_cover_is_the_set_in_boxes_that_can_neither_grow_nor_go(
    case: tuple[Box, list[Point], list[Point], list[Point]],
) -> None:
    full, wanted, spare, outside = case
    assume(wanted)
    allowed = frozenset((*wanted, *spare))
    with pytest.MonkeyPatch.context() as patch:
        patch.setattr(cover_module, "MOST_WANTED", 0)
        cover = cover_points(full, wanted, spare, outside)
        cut_short = cover_points(full, wanted, spare, outside, most_boxes=1)
    assert frozenset(wanted) <= union(cover.boxes) <= allowed
    assert cover.whole
    assert cover.fewest == (len(cover.boxes) == 1)
    for box in cover.boxes:
        assert not points_of(box) <= union([other for other in cover.boxes if other != box])
        for place, mask in enumerate(full):
            wider = [(*box[:place], box[place] | 1 << a, *box[place + 1 :]) for a in bits(mask & ~box[place])]
            assert not any(points_of(other) <= allowed for other in wider)
    assert len(cut_short.boxes) == 1
    assert cut_short.whole == (frozenset(wanted) <= union(cut_short.boxes))


@settings(max_examples=60)
@given(point_sets())
def test_a_box_is_grown_by_whole_facts_first(
    case: tuple[Box, list[Point], list[Point], list[Point]],
) -> None:
    full, wanted, _, outside = case
    index = BoxIndex(full, [box_at(point) for point in outside])
    outsiders = frozenset(outside)
    for seed in map(box_at, wanted):
        grown = grow_box(index, seed)
        assert contains(grown, seed)
        assert not points_of(grown) & outsiders
        # Facts freed one after another around the seed, each if it can be.
        freed = seed
        for place, mask in enumerate(full):
            wider = (*freed[:place], mask, *freed[place + 1 :])
            if not points_of(wider) & outsiders:
                freed = wider
        assert contains(grown, freed)


@settings(max_examples=60)
@given(point_sets(), st.data())
def test_boxes_that_overlap_merge_into_the_fewest(
    case: tuple[Box, list[Point], list[Point], list[Point]], data: st.DataObject
) -> None:
    full = case[0]
    box = st.tuples(*(st.integers(0, mask) for mask in full))
    boxes = data.draw(st.lists(box, max_size=6))
    cover = merge_boxes(full, boxes)
    assert union(cover.boxes) == union(boxes)
    assert merge_boxes(full, boxes[::-1]) == cover
    if union(boxes):
        assert cost_of(full, cover) == least_cost(full, union(boxes))


# --- limits -------------------------------------------------------------------------------------------------

SIX = full_of((2,) * 6)
ODD = [point for point in product(range(2), repeat=6) if sum(point) % 2]
EVEN = [point for point in product(range(2), repeat=6) if not sum(point) % 2]


@pytest.mark.parametrize(
    ("name", "needed"),
    [("MOST_WANTED", 32), ("MOST_MAXIMAL", 32), ("MOST_JOINS", 32), ("MOST_ATOMS", 32), ("MOST_STEPS", 33)],
)
def test_a_limit_just_reached_still_gives_the_proven_fewest(
    name: str, needed: int, monkeypatch: pytest.MonkeyPatch
) -> None:
    """Of 32 combinations that share no side, each is a maximal box, a part, and a step."""
    for limit, fewest in ((needed, True), (needed - 1, False)):
        monkeypatch.setattr(cover_module, name, limit)
        cover = cover_points(SIX, ODD, [], EVEN)
        assert (cover.fewest, cover.whole, len(cover.boxes)) == (fewest, True, 32)


def test_spare_boxes_count_as_pieces_too(monkeypatch: pytest.MonkeyPatch) -> None:
    for limit, fewest in ((8, True), (7, False)):
        monkeypatch.setattr(cover_module, "MOST_WANTED", limit)
        cover = cover_points(SIX, ODD[:4], ODD[4:8], [*ODD[8:], *EVEN])
        assert (len(cover.boxes), cover.fewest) == (4, fewest)


def test_eighty_pieces_are_covered_by_the_proven_fewest_boxes() -> None:
    full = full_of((2,) * 8)
    every = list(product(range(2), repeat=8))
    odd = [point for point in every if sum(point) % 2]
    for count in (80, 81):
        rest = [point for point in every if point not in odd[:count]]
        cover = cover_points(full, odd[:count], [], rest)
        assert (len(cover.boxes), cover.fewest) == (count, count == 80)


# --- what is left over --------------------------------------------------------------------------------------

FIVE = full_of((3,) * 5)
narrow = st.tuples(*(st.sampled_from((1, 2, 4, 3, 7, 7, 7)) for _ in FIVE))


@settings(max_examples=60)
@given(st.lists(narrow, min_size=8, max_size=16))
def test_what_is_left_comes_in_few_pieces(boxes: list[Box]) -> None:
    by_turns = [FIVE]
    for box in boxes:
        by_turns = [piece for part in by_turns for piece in subtract(part, box)]
    pieces = list(subtract_boxes(FIVE, boxes))
    assert union(pieces) == union(by_turns)
    assert sum(map(volume, pieces)) == len(union(pieces))
    assert len(pieces) <= 2 * len(by_turns) + 4


@given(st.lists(narrow, max_size=6))
def test_the_index_tells_which_boxes_ask_about_a_fact(boxes: list[Box]) -> None:
    narrowing = BoxIndex(FIVE, boxes).narrowing
    assert narrowing == [
        sum(1 << number for number, box in enumerate(boxes) if box[place] != FIVE[place])
        for place in range(len(FIVE))
    ]


def decoys(keys: Sequence[int]) -> list[Box]:
    """Boxes over twenty facts that answer one of `keys` yes, and ask four of the last eight facts besides."""
    found = []
    for number, four in enumerate(combinations(range(12, 20), 4)):
        box = [3] * 20
        for place in (keys[number % len(keys)], *four):
            box[place] = 1
        found.append(tuple(box))
    return found


def yes_to(*places: int, no: Sequence[int] = ()) -> Box:
    return tuple(1 if place in places else 2 if place in no else 3 for place in range(20))


def test_the_boxes_with_the_fewest_conditions_leave_one_piece_however_many_more_they_hold() -> None:
    keys = range(6)
    left = list(subtract_boxes(yes_to(), [*decoys(keys), *(yes_to(key) for key in keys)]))
    assert left == [yes_to(no=keys)]


def test_of_boxes_with_more_conditions_those_with_two_are_looked_at_first() -> None:
    keys = range(0, 12, 2)
    pairs = [box for key in keys for box in (yes_to(key, key + 1), yes_to(key, no=[key + 1]))]
    assert list(subtract_boxes(yes_to(), [*decoys(keys), *pairs])) == [yes_to(no=keys)]
    assert not is_covered(yes_to(), [*decoys(keys), *pairs])
    assert is_covered(yes_to(), [*decoys(keys), *pairs, yes_to(no=keys)])
