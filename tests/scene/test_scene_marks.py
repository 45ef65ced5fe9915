"""Marks tell their meanings apart by shape and filling, never by colour."""

from __future__ import annotations

import itertools

import pytest
from scene_measures import line, outline, shapes_of
from shapely import Polygon
from shapely.geometry.base import BaseGeometry

from pocketref.scene.charts.marked_words import set_marked
from pocketref.scene.inks import BLACK, DEAD_BALL, WHITE
from pocketref.scene.marks import MARKS, POINT, draw_mark, mark_width_mm
from pocketref.scene.paths import extent_of_all

NAMES = (*MARKS, POINT)
BLACKS = (BLACK, DEAD_BALL)


def black_area(name: str, *, is_reversed: bool = False) -> BaseGeometry:
    """What of the mark is black, at the 10 pt of a card; reversed, what is white."""
    inked: BaseGeometry = Polygon()
    dark = (WHITE,) if is_reversed else BLACKS
    for shape in shapes_of(draw_mark(name, 0, 0, 10, is_reversed=is_reversed)):
        if shape.fill:
            area = outline(shape)
            inked = inked.union(area) if shape.fill in dark else inked.difference(area)
        if shape.stroke:
            drawn = line(shape) if shape.fill is None else outline(shape).exterior
            stroke = drawn.buffer(shape.stroke.width_mm / 2)
            inked = inked.union(stroke) if shape.stroke.ink in dark else inked.difference(stroke)
    return inked


def test_any_two_marks_differ_in_what_is_black_by_a_fifth_of_the_smaller() -> None:
    """So they are told apart in black and white, whatever the ink; 10 pt is the least size of a card's chart."""
    areas = {name: black_area(name) for name in NAMES}
    for (one, first), (other, second) in itertools.combinations(areas.items(), 2):
        differs = first.symmetric_difference(second).area
        assert differs > min(first.area, second.area) / 5, (one, other)


@pytest.mark.parametrize("name", NAMES)
def test_a_reversed_mark_is_white_where_it_is_else_black(name: str) -> None:
    assert black_area(name, is_reversed=True).equals(black_area(name))


def test_what_the_runners_may_do_is_open_and_what_they_must_do_is_filled() -> None:
    areas = {name: black_area(f"runners-{name}").area for name in ("advance", "back", "stay", "one-base")}
    assert areas.pop("advance") < min(areas.values()) / 1.5


@pytest.mark.parametrize("name", NAMES)
def test_a_mark_needs_black_ink_and_paper_alone(name: str) -> None:
    for shape in shapes_of(draw_mark(name, 0, 0, 9)):
        assert shape.fill in (*BLACKS, WHITE, None)
        assert shape.stroke is None or shape.stroke.ink in (*BLACKS, WHITE)


@pytest.mark.parametrize("name", NAMES)
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


def test_no_words_stand_alone_in_a_last_row_that_could_have_company() -> None:
    lines = (("ball-dead", "dead"), ("batter", "strike if under two"), ("runners-back", "back"))
    (alone,) = set_marked(lines, 100, 10)
    for room in range(42, int(alone[-1].right_mm(10))):
        rows = set_marked(lines, room, 10)
        assert all(row[-1].right_mm(10) <= room for row in rows)
        assert [piece.marks for row in rows for piece in row] == [(mark,) for mark, _ in lines]
        assert len(rows) == 2
        assert len(rows[-1]) == 2
