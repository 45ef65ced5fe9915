"""The figure of the whole field: dimensions end on the plan's points, texts keep clear, print is the source's."""

from __future__ import annotations

import pytest
from scene_samples import (
    FULL,
    SMALL,
    change_field,
    full_plan,
    has_corner,
    list_corners,
    list_crossings,
    list_texts,
    list_words,
    locate,
    measure_extent,
    small_plan,
)

from pocketref.field.diamond import construct_diamond
from pocketref.field.plan import Plan
from pocketref.scene.diamond_figure import draw_diamond
from pocketref.scene.dimensioning import find_overlaps
from pocketref.scene.plan_view import FigureDrawing
from pocketref.scene.plate_figure import Detail
from pocketref.units.length import Length

Case = tuple[Plan, dict[str, Length], float, float, Detail]
CASES: list[Case] = [
    (full_plan(), FULL, 1000, 7.6, "card"),
    (small_plan(), SMALL, 600, 7.6, "card"),
    (small_plan(), SMALL, 750, 7.6, "card"),
    (full_plan(), FULL, 400, 8.4, "sheet"),
    (small_plan(), SMALL, 250, 8.4, "sheet"),
]


@pytest.mark.parametrize("case", CASES)
def test_no_two_texts_overlap(case: Case) -> None:
    assert find_overlaps(list_texts(draw_diamond(*case))) == []


@pytest.mark.parametrize("case", CASES)
def test_no_line_runs_through_a_text(case: Case) -> None:
    assert list_crossings(draw_diamond(*case)) == []


@pytest.mark.parametrize("case", CASES)
def test_every_text_has_the_size_asked_for(case: Case) -> None:
    assert {text.size_pt for text in list_texts(draw_diamond(*case))} == {case[3]}


@pytest.mark.parametrize("case", CASES)
def test_a_figure_is_as_large_as_it_says_and_starts_at_its_corner(case: Case) -> None:
    figure = draw_diamond(*case)
    assert measure_extent(figure) == pytest.approx((figure.width_mm, figure.height_mm))


def test_a_full_field_fits_a_card_and_a_sheet() -> None:
    card, sheet = draw_diamond(*CASES[0]), draw_diamond(*CASES[3])
    assert (card.width_mm < 68, card.height_mm < 52) == (True, True)
    assert (sheet.width_mm < 180, sheet.height_mm < 150) == (True, True)


@pytest.mark.parametrize("case", CASES)
def test_dimension_lines_end_where_the_scale_puts_the_stations(case: Case) -> None:
    figure = draw_diamond(*case)
    stations = case[0].stations
    for mark in ("1B", "3B", "PP", "A"):
        assert has_corner(figure, locate(figure, stations[mark].x_mm, stations[mark].y_mm)), mark
    second = locate(figure, stations["2B"].x_mm, stations["2B"].y_mm)[1]
    assert any(abs(y - second) < 0.01 and x > figure.plan_origin[0] for x, y in list_corners(figure))


@pytest.mark.parametrize("detail", ["card", "sheet"])
def test_print_is_the_sources_own_value(detail: Detail) -> None:
    lengths = change_field(pitching_distance="58 ft 2 1/2 in")
    words = list_words(draw_diamond(construct_diamond(lengths), lengths, 500, 8.0, detail))
    assert "58 ft 2½ in" in words
    assert "56 ft 9½ in" in words  # front of the plate: 17 in less
    assert "[17742]" in words
    assert "90 ft" in words
    assert "60 ft 6 in" not in words


def says_exact(figure: FigureDrawing) -> bool:
    return any("exact" in words for words in list_words(figure))


@pytest.mark.parametrize("detail", ["card", "sheet"])
def test_the_exact_diagonal_is_noted_only_where_print_tells_it_from_the_published_one(detail: Detail) -> None:
    small = draw_diamond(small_plan(), SMALL, 500, 7.6, detail)
    assert says_exact(small)
    assert {"84 ft 10 in", "84 ft 10¼ in"} <= set(list_words(small))
    full = draw_diamond(full_plan(), FULL, 500, 7.6, detail)
    assert not says_exact(full)
    assert list_words(full).count("127 ft 3⅜ in") == 2


def test_a_field_without_lane_boxes_and_circles_is_drawn_without_their_notes() -> None:
    lengths = change_field(
        lane_width="",
        coach_box_length="",
        coach_box_width="",
        coach_box_offset="",
        on_deck_diameter="",
        on_deck_distance="",
        infield_arc="",
        mound_diameter="",
        mound_centre="",
    )
    for detail, scale in (("card", 1000.0), ("sheet", 400.0)):
        figure = draw_diamond(construct_diamond(lengths), lengths, scale, 8.0, detail)  # type: ignore[arg-type]
        words = " ".join(list_words(figure))
        assert not any(word in words for word in ("lane", "coach", "on-deck", "R 9", "Ø"))
        assert find_overlaps(list_texts(figure)) == []


def test_bases_too_small_to_see_are_enlarged_and_the_card_says_so() -> None:
    assert "bases enlarged" in list_words(draw_diamond(full_plan(), FULL, 1000, 7.6, "card"))
    assert "bases enlarged" not in list_words(draw_diamond(full_plan(), FULL, 200, 7.6, "card"))


def test_the_description_says_the_distances() -> None:
    small = draw_diamond(small_plan(), SMALL, 600, 7.6, "card").alt
    assert "Bases 15 in square are 60 ft apart" in small
    assert "84 ft 10 in; the square's exact diagonal is 84 ft 10 1/4 in" in small
    assert "127 ft 3 3/8 in, and so is first to third" in draw_diamond(*CASES[0]).alt
