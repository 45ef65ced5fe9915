"""Paths: an extent covers what it stands for, and moving changes places alone."""

from __future__ import annotations

import math

import pytest
from hypothesis import given, settings
from hypothesis import strategies as st
from scene_measures import ink, outline, vertices
from shapely import Point

from pocketref.scene.inks import BLACK
from pocketref.scene.items import FontFace, FormField, Item, Placed, Scene, Shape, Stroke, Text
from pocketref.scene.paths import (
    arc,
    arrowhead,
    circle,
    enlarge,
    extent_of,
    extent_of_all,
    polyline,
    rectangle,
    rounded_rectangle,
    shift,
)
from pocketref.scene.typefaces import set_text

NUMBERS = st.floats(-100, 100)
SIZES = st.floats(0.1, 60)


def shapes() -> st.SearchStrategy[Shape]:
    paths = st.one_of(
        st.lists(st.tuples(NUMBERS, NUMBERS), min_size=2, max_size=6).map(polyline),
        st.builds(rectangle, NUMBERS, NUMBERS, SIZES, SIZES),
        st.builds(rounded_rectangle, NUMBERS, NUMBERS, SIZES, SIZES, SIZES),
        st.builds(circle, NUMBERS, NUMBERS, SIZES),
        st.builds(arc, NUMBERS, NUMBERS, SIZES, st.floats(-360, 360), st.floats(1, 360)),
    )
    strokes = st.one_of(st.none(), st.floats(0.1, 2).map(lambda width: Stroke(width, BLACK)))
    return st.builds(Shape, paths, strokes)


def texts() -> st.SearchStrategy[Text]:
    return st.builds(
        set_text,
        NUMBERS,
        NUMBERS,
        st.text("ABQgjpy 0123½[]", min_size=1, max_size=12),
        st.sampled_from(FontFace),
        st.floats(5, 20),
        st.just(BLACK),
        st.sampled_from(["start", "middle", "end"]),
        st.floats(-180, 180),
    )


def items() -> st.SearchStrategy[Item]:
    fields = st.builds(FormField, NUMBERS, NUMBERS, SIZES, SIZES, st.just("a"), st.just("b"))
    scene = Scene("card", 30.0, 20.0, ())
    placed = st.builds(Placed, st.just(scene), NUMBERS, NUMBERS, st.sampled_from([0, 1, 2, 3]))
    return st.one_of(shapes(), texts(), fields, placed)


@settings(max_examples=150)
@given(shapes())
def test_the_extent_of_a_shape_covers_its_outline_and_half_its_pen(shape: Shape) -> None:
    left, bottom, right, top = extent_of(shape)
    pad = shape.stroke.width_mm / 2 if shape.stroke else 0.0
    for x, y in vertices(shape):
        assert left + pad - 1e-6 <= x <= right - pad + 1e-6
        assert bottom + pad - 1e-6 <= y <= top - pad + 1e-6


@settings(max_examples=150)
@given(texts())
def test_the_extent_of_a_text_covers_the_ink_of_its_letters(text: Text) -> None:
    inked = ink(text)
    if inked.is_empty:
        return
    left, bottom, right, top = extent_of(text)
    # A slanted letter reaches past its own advance: an italic j by 0.08 of the type size.
    slack = (0.09 if text.face is FontFace.ITALIC else 0.03) * text.size_pt * 0.3528
    assert inked.bounds[0] >= left - slack
    assert inked.bounds[1] >= bottom - slack
    assert inked.bounds[2] <= right + slack
    assert inked.bounds[3] <= top + slack


@pytest.mark.parametrize(
    ("turns", "expected"),
    [(0, (10, 20, 40, 40)), (1, (-10, 20, 10, 50)), (2, (-20, 0, 10, 20)), (3, (10, -10, 30, 20))],
)
def test_a_placed_scene_is_turned_about_its_corner(turns: int, expected: tuple[float, ...]) -> None:
    placed = Placed(Scene("card", 30.0, 20.0, ()), 10.0, 20.0, turns)  # type: ignore[arg-type]
    assert extent_of(placed) == expected


@settings(max_examples=150)
@given(items(), NUMBERS, NUMBERS)
def test_a_shift_moves_the_extent_and_nothing_else(item: Item, dx: float, dy: float) -> None:
    (moved,) = shift([item], dx, dy)
    left, bottom, right, top = extent_of(item)
    assert extent_of(moved) == pytest.approx((left + dx, bottom + dy, right + dx, top + dy), abs=1e-6)
    (back,) = shift([moved], -dx, -dy)
    assert extent_of(back) == pytest.approx((left, bottom, right, top), abs=1e-6)
    assert type(moved) is type(item)


@settings(max_examples=60)
@given(st.lists(items(), min_size=1, max_size=5))
def test_the_extent_of_all_covers_each(several: list[Item]) -> None:
    left, bottom, right, top = extent_of_all(several)
    for item in several:
        x1, y1, x2, y2 = extent_of(item)
        assert left <= x1
        assert bottom <= y1
        assert right >= x2
        assert top >= y2


def test_the_extent_of_nothing_is_nothing() -> None:
    assert extent_of_all([]) == (0.0, 0.0, 0.0, 0.0)


def test_a_circle_is_round_to_three_parts_in_ten_thousand() -> None:
    distances = [math.hypot(x - 3, y - 4) for x, y in vertices(Shape(circle(3, 4, 10)))]
    assert max(abs(distance - 10) for distance in distances) < 10 * 0.0003


def test_an_arrowhead_points_where_it_should_and_is_as_narrow_as_asked() -> None:
    head = outline(Shape(arrowhead((5.0, 5.0), 90, 3.0)))
    tip, left, right, _ = head.exterior.coords
    assert tip == (5.0, 5.0)
    assert head.bounds[1] == pytest.approx(2.0)
    assert abs(right[0] - left[0]) == pytest.approx(2 * 3.0 * math.tan(math.radians(7.5)))


def test_a_radius_of_half_the_height_makes_a_stadium() -> None:
    stadium = outline(Shape(rounded_rectangle(0, 0, 30, 10, 5)))
    assert stadium.contains(Point(15, 5))
    assert not stadium.contains(Point(0.5, 0.5))
    assert stadium.area == pytest.approx(20 * 10 + math.pi * 25, rel=0.01)
    assert outline(Shape(rounded_rectangle(0, 0, 30, 10, 0))).area == pytest.approx(300)


@given(shapes(), st.floats(0.2, 5))
def test_what_is_enlarged_fills_so_many_times_the_room_with_pens_so_many_times_as_thick(
    shape: Shape, factor: float
) -> None:
    (grown,) = enlarge([shape], factor)
    expected = [edge * factor for edge in extent_of(shape)]
    assert list(extent_of(grown)) == pytest.approx(expected, abs=1e-6)


def test_words_grow_with_what_they_stand_on() -> None:
    word = set_text(2.0, 3.0, "to pitcher", FontFace.ITALIC, 9.0, BLACK, "middle")
    (grown,) = enlarge([word], 2.0)
    assert grown == set_text(4.0, 6.0, "to pitcher", FontFace.ITALIC, 18.0, BLACK, "middle")
    with pytest.raises(TypeError, match="FormField"):
        enlarge([FormField(0, 0, 1, 1, "name", "tip")], 2.0)
