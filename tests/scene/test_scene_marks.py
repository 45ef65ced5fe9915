"""Marks tell their meanings apart by shape and filling, never by colour."""

from __future__ import annotations

import itertools

import pytest
from scene_measures import shapes_of, vertices

from pocketref.scene.inks import BLACK, WHITE
from pocketref.scene.marks import MARKS, draw_mark, mark_width_mm
from pocketref.scene.paths import extent_of_all


def appearance(name: str) -> list[tuple[int, object]]:
    """How many corners each shape has, and what fills it."""
    return [(len(vertices(shape)), shape.fill) for shape in shapes_of(draw_mark(name, 0, 0, 9))]


def test_no_two_marks_look_alike() -> None:
    for one, other in itertools.combinations(MARKS, 2):
        if {one, other} != {"ball-dead", "point"}:  # the dot of a list is a dead ball's circle made small
            assert appearance(one) != appearance(other)
    sizes = [extent_of_all(draw_mark(name, 0, 0, 9)) for name in ("ball-dead", "point")]
    assert sizes[0][2] - sizes[0][0] > 1.5 * (sizes[1][2] - sizes[1][0])


@pytest.mark.parametrize("name", MARKS)
def test_a_mark_needs_black_ink_and_paper_alone(name: str) -> None:
    for shape in shapes_of(draw_mark(name, 0, 0, 9)):
        assert shape.fill in (BLACK, WHITE, None)
        assert shape.stroke is None or shape.stroke.ink is BLACK


@pytest.mark.parametrize("name", MARKS)
@pytest.mark.parametrize("size_pt", [7.6, 9.0, 11.0])
def test_a_mark_keeps_to_its_room_before_the_words(name: str, size_pt: float) -> None:
    left, bottom, right, top = extent_of_all(draw_mark(name, 10, 20, size_pt))
    assert left >= 10 - 0.3
    assert right <= 10 + mark_width_mm(size_pt)
    assert bottom > 20 - 0.25 * size_pt * 0.3528
    assert top < 20 + size_pt * 0.3528


def test_a_blank_mark_draws_nothing_and_an_unknown_one_is_a_fault() -> None:
    assert draw_mark(" ", 0, 0, 9) == []
    with pytest.raises(ValueError, match="ball-live"):
        draw_mark("ball", 0, 0, 9)
