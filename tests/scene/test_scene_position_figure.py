"""Starting positions: the letter follows the runners, the discs the plan, and occupied bases are filled."""

from __future__ import annotations

import math
from itertools import combinations

import pytest
from scene_measures import find_overlaps
from scene_samples import (
    full_plan,
    list_shapes,
    list_texts,
    list_words,
    locate,
    measure_extent,
    small_plan,
)

from pocketref.field.plan import Plan
from pocketref.scene.figures.position_figure import (
    CASES,
    draw_position_set,
    find_start,
    write_held,
)
from pocketref.scene.figures.slot_figure import draw_slot
from pocketref.scene.inks import BLACK

PLANS = [full_plan(), small_plan()]
BASES = ("first", "second", "third")
EVERY = [frozenset(on) for count in range(4) for on in combinations(BASES, count)]


@pytest.mark.parametrize("runners", EVERY, ids=write_held)
def test_the_position_follows_the_runners(runners: frozenset[str]) -> None:
    letter = "A" if not runners else "B" if runners == {"first"} else "C"
    assert find_start(full_plan(), runners).letter == letter


@pytest.mark.parametrize("plan", PLANS)
def test_a_is_foul_past_first_and_b_and_c_mirror_each_other(plan: Plan) -> None:
    a, b, c = (find_start(plan, frozenset(on)) for on in ((), ("first",), ("second",)))
    first = plan.stations["1B"]
    assert a.y_mm < a.x_mm
    assert math.hypot(a.x_mm, a.y_mm) > math.hypot(first.x_mm, first.y_mm)
    assert (b.x_mm, b.y_mm) == pytest.approx((-c.x_mm, c.y_mm))
    assert b.x_mm > 0


def test_base_umpires_stay_outside_the_bases_of_a_small_field_and_inside_those_of_a_large_one() -> None:
    for plan, is_inside in ((full_plan(), True), (small_plan(), False)):
        b = find_start(plan, frozenset({"first"}))
        assert (b.x_mm + b.y_mm < plan.stations["2B"].y_mm) is is_inside


@pytest.mark.parametrize("runners", EVERY, ids=write_held)
def test_words_say_that_a_place_is_custom_or_that_manuals_differ(runners: frozenset[str]) -> None:
    words = find_start(full_plan(), runners).words
    assert ("manual" in words) is (runners == {"first", "third"})
    assert ("custom" in words) is (runners != {"first", "third"})


def test_an_unknown_base_is_refused() -> None:
    with pytest.raises(ValueError, match="fourth"):
        find_start(full_plan(), frozenset({"fourth"}))


@pytest.mark.parametrize("runners", EVERY, ids=write_held)
def test_as_many_bases_are_black_as_there_are_runners(runners: frozenset[str]) -> None:
    figure = draw_position_set(full_plan(), 8.4, 60.0, [runners])
    squares = [shape for shape in list_shapes(figure) if len(shape.path) == 5 and shape.fill == BLACK]
    assert len(squares) == len(runners)


def test_the_umpires_letters_stand_where_the_plan_puts_them() -> None:
    figure = draw_position_set(full_plan(), 8.4, 60.0, [frozenset({"second"})])
    start = find_start(full_plan(), frozenset({"second"}))
    apart = locate(figure, start.x_mm, start.y_mm)[0] - locate(figure, 0, 0)[0]
    ((base_umpire,), (plate_umpire,)) = (
        [t.x for t in list_texts(figure) if t.content == name] for name in "UP"
    )
    assert base_umpire - plate_umpire == pytest.approx(apart)


@pytest.mark.parametrize("plan", PLANS)
@pytest.mark.parametrize("width_mm", [60.0, 66.0, 119.0, 180.0])
def test_a_set_keeps_to_its_width_and_its_texts_keep_clear(plan: Plan, width_mm: float) -> None:
    figure = draw_position_set(plan, 7.6, width_mm)
    assert figure.width_mm <= width_mm
    assert measure_extent(figure) == pytest.approx((figure.width_mm, figure.height_mm))
    assert find_overlaps(list_texts(figure)) == []
    assert {text.size_pt for text in list_texts(figure)} == {7.6}
    assert list_words(figure).count("P") == len(CASES)


def test_with_first_and_third_both_places_are_shown_one_of_them_dashed() -> None:
    figure = draw_position_set(full_plan(), 8.4, 60.0, [frozenset({"first", "third"})])
    assert list_words(figure).count("U") == 2
    assert (
        len(
            [
                shape
                for shape in list_shapes(figure)
                if len(shape.path) == 6 and shape.stroke and shape.stroke.dash_mm
            ]
        )
        == 1
    )


def test_a_set_too_narrow_for_any_scale_is_refused() -> None:
    with pytest.raises(ValueError, match="no scale"):
        draw_position_set(full_plan(), 7.6, 15.0)


@pytest.mark.parametrize(("scale", "size_pt"), [(50, 7.6), (40, 8.4)])
def test_the_slot_is_over_the_plates_edge_on_the_batters_side(scale: float, size_pt: float) -> None:
    plan = full_plan()
    figure = draw_slot(plan, scale, size_pt)
    (disc,) = [text for text in list_texts(figure) if text.content == "P"]
    edge = plan.stations["P3"]
    assert disc.x == pytest.approx(locate(figure, edge.x_mm, edge.y_mm)[0])
    assert find_overlaps(list_texts(figure)) == []
    assert {text.size_pt for text in list_texts(figure)} == {size_pt}
