"""Pictures of feet: the words follow the judgement, the ink what is on the ground, mirrored feet mirror."""

from __future__ import annotations

from dataclasses import replace

import pytest
from field_samples import mirror
from scene_measures import find_overlaps
from scene_samples import FULL, has_corner, list_corners, list_shapes, list_texts, list_words, locate

from pocketref.field.feet import FootPlacement, KneePlacement, Where
from pocketref.field.plan import Plan, construct_plate_area
from pocketref.field.shoe import Contact
from pocketref.plays.placement import NOTHING_DRAWN, PlayScene
from pocketref.scene.figures.feet_figure import (
    CASES,
    WORDS,
    draw_foot_case,
    draw_foot_set,
    judge_case,
    write_feet,
)
from pocketref.scene.figures.play_scene import draw_play_scene
from pocketref.scene.inks import GREY_DARK
from pocketref.scene.plan_view import FigureDrawing

PLAN: Plan = construct_plate_area(FULL)
LINE = FULL["line-width"]
OUTSIDE = CASES[4].place(PLAN)


def caption(placement: FootPlacement) -> str:
    """The words under the picture of one foot."""
    return " ".join(list_words(draw_foot_case([placement], PLAN, LINE, 25, 7.6)))


def is_dark(figure: FigureDrawing) -> bool:
    return any(shape.fill == GREY_DARK for shape in list_shapes(figure))


def is_dashed(figure: FigureDrawing) -> bool:
    return any(shape.stroke and shape.stroke.dash_mm for shape in list_shapes(figure))


def test_every_place_of_a_foot_has_its_own_words() -> None:
    assert set(WORDS) == set(Where)
    assert len(set(WORDS.values())) == len(Where)


def test_the_six_cases_show_every_place_and_the_plate() -> None:
    judged = [judge_case([case.place(PLAN)], PLAN, LINE)[0] for case in CASES]
    assert {judgement.where for judgement in judged} == set(Where)
    assert [judgement.touches_plate for judgement in judged] == [False] * 5 + [True]


@pytest.mark.parametrize(
    ("back_mm", "words"),
    [(0.0, "wholly outside"), (60.0, "partly out"), (160.0, "on the line: in"), (260.0, "inside")],
)
def test_the_words_change_as_the_foot_moves_back(back_mm: float, words: str) -> None:
    assert caption(replace(OUTSIDE, y_mm=OUTSIDE.y_mm - back_mm)) == words


def test_lifting_the_foot_changes_the_words() -> None:
    assert caption(replace(OUTSIDE, contact="air")) == "in the air"


def test_a_foot_on_the_plate_is_named_whichever_foot_is_worse() -> None:
    on_plate = CASES[5].place(PLAN)
    words = write_feet(judge_case([on_plate, OUTSIDE], PLAN, LINE))
    assert words == "on the plate, wholly outside"


@pytest.mark.parametrize(
    ("contact", "dark", "dashed"),
    [("flat", True, False), ("air", False, True), ("heel", True, True), ("toe", True, True)],
)
def test_what_is_down_is_dark_and_what_is_up_is_dashed(contact: Contact, dark: bool, dashed: bool) -> None:
    figure = draw_foot_case([replace(OUTSIDE, contact=contact)], PLAN, LINE, 25, 7.6)
    assert (is_dark(figure), is_dashed(figure)) == (dark, dashed)


@pytest.mark.parametrize("case", CASES, ids=[case.name for case in CASES])
def test_a_mirrored_foot_makes_the_mirrored_picture_with_the_same_words(case: object) -> None:
    placement = case.place(PLAN)  # type: ignore[attr-defined]
    one = draw_foot_case([placement], PLAN, LINE, 25, 7.6)
    other = draw_foot_case([mirror(placement)], PLAN, LINE, 25, 7.6)
    assert list_words(one) == list_words(other)

    def key(place: tuple[float, float]) -> tuple[float, float]:
        return round(place[0], 2) + 0.0, round(place[1], 2) + 0.0

    ours = {key((x, y)) for x, y in list_corners(one)}
    # The shadow falls to the right in both, so a foot in the air mirrors but for its shadow.
    theirs = {key((other.width_mm - x, y)) for x, y in list_corners(other)}
    assert placement.contact == "air" or all(
        any(abs(x - u) < 0.02 and abs(y - v) < 0.02 for u, v in theirs) for x, y in ours
    )
    assert one.width_mm == pytest.approx(other.width_mm)


def test_the_boxs_corner_falls_where_the_scale_puts_it() -> None:
    figure = draw_foot_case([CASES[1].place(PLAN)], PLAN, LINE, 25, 7.6)
    corner = PLAN.stations["T4"]
    assert has_corner(figure, locate(figure, corner.x_mm, corner.y_mm))


@pytest.mark.parametrize(("columns", "height_mm"), [(3, 40.0), (6, 40.0), (2, 90.0)])
def test_the_set_keeps_to_its_width_and_its_texts_keep_clear(columns: int, height_mm: float) -> None:
    figure = draw_foot_set(CASES, PLAN, LINE, 7.6, 119, columns)
    assert figure.width_mm <= 119
    assert figure.height_mm <= height_mm
    assert find_overlaps(list_texts(figure)) == []
    assert {text.size_pt for text in list_texts(figure)} == {7.6}


def test_the_sets_description_says_each_judgement_in_order() -> None:
    alt = draw_foot_set(CASES, PLAN, LINE, 7.6, 119).alt
    assert (
        "1, inside; 2, on the line: in; 3, partly out; 4, in the air; 5, wholly outside; 6, on the plate"
        in alt
    )


def test_a_set_too_narrow_for_any_scale_is_refused() -> None:
    with pytest.raises(ValueError, match="no standard scale"):
        draw_foot_set(CASES, PLAN, LINE, 7.6, 8)


def test_a_play_shows_what_is_given_and_says_it() -> None:
    path = ((0.0, 2200.0), (100.0, 950.0), (900.0, 500.0))
    judged = judge_case([OUTSIDE], PLAN, LINE)
    knees = (KneePlacement(OUTSIDE.x_mm, OUTSIDE.y_mm - 350, OUTSIDE.side),)
    bat = ((-500.0, 600.0), (200.0, 1000.0))
    scene = PlayScene((OUTSIDE,), judged, bat, False, path, (100.0, 950.0), (), knees, judged)
    figure = draw_play_scene(PLAN, scene, 40, 8.4)
    assert set(list_words(figure)) == {"to pitcher"}
    assert all(has_corner(figure, locate(figure, *place)) for place in path)
    assert "The worse foot: wholly outside. The knee: wholly outside." in figure.alt
    assert "let go" in figure.alt
    assert "ends over foul ground" in figure.alt
    assert "A ring marks where bat and ball meet again, over fair ground" in figure.alt


def test_a_bare_play_is_the_plate_area_alone() -> None:
    figure = draw_play_scene(PLAN, NOTHING_DRAWN, 50, 8.4)
    assert figure.alt == "The plate area from above."
    assert not is_dark(figure)
    assert has_corner(figure, locate(figure, PLAN.stations["F3"].x_mm, PLAN.stations["F3"].y_mm))
