"""Boxes in answer space are sets: their arithmetic, what is left over, how pieces merge."""

from __future__ import annotations

from itertools import product

import pytest
from hypothesis import given, settings
from hypothesis import strategies as st
from rulings_tables import merge_boxes

from pocketref.problems import PocketrefError
from pocketref.rulings.boxes import (
    BoxIndex,
    Space,
    contains,
    intersect,
    is_covered,
    is_empty,
    subtract,
    subtract_boxes,
    volume,
)
from pocketref.rulings.cover import cover_set

SPACE = Space(
    ("plate", "foot", "bat"), (("yes", "no"), ("inside", "on-line", "outside"), ("yes", "no", "foul"))
)


def combos(box: tuple[int, ...]) -> set[tuple[int, ...]]:
    return set(product(*([i for i in range(8) if mask >> i & 1] for mask in box)))


def union(boxes: object) -> set[tuple[int, ...]]:
    return set().union(*(combos(box) for box in boxes))  # type: ignore[attr-defined]


boxes = st.tuples(*(st.integers(0, full) for full in SPACE.full))
solid = st.tuples(*(st.integers(1, full) for full in SPACE.full))


def test_a_box_reads_as_the_facts_it_narrows() -> None:
    box = SPACE.box({"foot": ("outside", "inside"), "plate": ("yes",)})
    assert str(SPACE.describe(box)) == "plate = yes, foot = inside or outside"
    assert SPACE.describe(box).when == {"plate": {"yes"}, "foot": {"inside", "outside"}}
    assert str(SPACE.describe(SPACE.full)) == "any play"


def test_unknown_names_are_answered_with_the_closest_known_one() -> None:
    with pytest.raises(PocketrefError) as caught:
        SPACE.box({"foott": ("inside",)})
    assert caught.value.problems[0].hint == "did you mean 'foot'?"
    with pytest.raises(PocketrefError) as caught:
        SPACE.box({"foot": ("outsid",)})
    assert caught.value.problems[0].hint == "did you mean 'outside'?"


@given(boxes, boxes)
def test_box_arithmetic_is_set_arithmetic(a: tuple[int, ...], b: tuple[int, ...]) -> None:
    assert combos(intersect(a, b)) == combos(a) & combos(b)
    assert union(subtract(a, b)) == combos(a) - combos(b)
    assert sum(volume(piece) for piece in subtract(a, b)) == len(combos(a) - combos(b))
    assert contains(a, b) == (combos(b) <= combos(a))
    assert is_empty(a) == (not combos(a))


@given(st.lists(boxes, max_size=6), boxes)
def test_the_index_finds_exactly_the_boxes_that_meet(
    many: list[tuple[int, ...]], box: tuple[int, ...]
) -> None:
    found = BoxIndex(SPACE.full, many).meeting(box)
    assert [bool(found >> i & 1) for i in range(len(many))] == [bool(combos(box) & combos(b)) for b in many]


@given(boxes, st.lists(boxes, max_size=8))
def test_subtract_boxes_are_disjoint_and_exactly_what_is_left(
    within: tuple[int, ...], away: list[tuple[int, ...]]
) -> None:
    pieces = list(subtract_boxes(within, away))
    assert union(pieces) == combos(within) - union(away)
    assert sum(volume(piece) for piece in pieces) == len(union(pieces))
    assert is_covered(within, away) == (not pieces)


@settings(max_examples=60)
@given(st.lists(solid, max_size=6))
def test_merged_boxes_are_the_same_set_and_none_can_grow_or_go(many: list[tuple[int, ...]]) -> None:
    target = union(many)
    cover = merge_boxes(SPACE.full, many)
    assert union(cover.boxes) == target
    assert cover.fewest
    for box in cover.boxes:
        assert not union(other for other in cover.boxes if other != box) >= combos(box)
        for place, full in enumerate(SPACE.full):
            for answer in range(full.bit_length()):
                wider = (*box[:place], box[place] | 1 << answer, *box[place + 1 :])
                assert wider == box or not combos(wider) <= target


@settings(max_examples=60)
@given(st.lists(solid, min_size=1, max_size=6))
def test_the_greedy_way_makes_up_the_same_set(many: list[tuple[int, ...]]) -> None:
    pieces = list(subtract_boxes(SPACE.full, many))
    cover = cover_set(SPACE.full, pieces, many, most_boxes=0)
    assert cover.boxes == ()
    assert cover.whole == (not pieces)
    wide = Space(tuple("abcdefg"), tuple(("yes", "no") for _ in "abcdefg"))
    odd = [tuple(1 + (n >> i & 1) for i in range(7)) for n in range(128) if n.bit_count() % 2 or n < 60]
    rest = [
        tuple(1 + (n >> i & 1) for i in range(7)) for n in range(128) if not (n.bit_count() % 2 or n < 60)
    ]
    assert union(cover_set(wide.full, odd, rest).boxes) == union(odd)


def test_overlapping_pieces_merge_into_one_when_they_fill_a_box() -> None:
    left = SPACE.box({"plate": ("yes",), "foot": ("inside", "on-line")})
    right = SPACE.box({"foot": ("outside",), "plate": ("yes",)})
    assert merge_boxes(SPACE.full, [left, right]).boxes == (SPACE.box({"plate": ("yes",)}),)
