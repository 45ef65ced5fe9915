"""The figure of the whole field: dimensions end on the plan's points, texts keep clear, print is the source's."""

from __future__ import annotations

import pytest
from scene_measures import find_overlaps
from scene_samples import (
    FULL,
    SMALL,
    change_field,
    full_plan,
    has_corner,
    list_corners,
    list_crossings,
    list_off_centre,
    list_parted,
    list_texts,
    list_words,
    locate,
    measure_extent,
    small_plan,
)

from pocketref.field.diamond import construct_diamond
from pocketref.field.plan import Plan
from pocketref.scene.figures.diamond_figure import draw_diamond
from pocketref.scene.figures.plate_figure import Detail
from pocketref.scene.items import Text
from pocketref.scene.plan_view import FigureDrawing, draw_scale_bar
from pocketref.tape.stakeout import BASE_MARKS, order_stakeout
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
def test_no_line_runs_through_a_text_or_between_the_lines_of_a_note(case: Case) -> None:
    assert list_crossings(draw_diamond(*case)) == []
    assert list_parted(draw_diamond(*case)) == []


@pytest.mark.parametrize("case", CASES)
def test_each_dimension_is_written_at_the_middle_of_its_line_or_on_a_leader(case: Case) -> None:
    assert list_off_centre(draw_diamond(*case)) == []


@pytest.mark.parametrize("case", CASES)
def test_every_text_has_the_size_asked_for(case: Case) -> None:
    assert {text.size_pt for text in list_texts(draw_diamond(*case))} == {case[3]}


@pytest.mark.parametrize("case", CASES)
def test_a_figure_is_as_large_as_it_says_and_starts_at_its_corner(case: Case) -> None:
    figure = draw_diamond(*case)
    assert measure_extent(figure) == pytest.approx((figure.width_mm, figure.height_mm))


def test_a_full_field_fits_a_card_and_a_sheet() -> None:
    card, sheet = draw_diamond(*CASES[0]), draw_diamond(*CASES[3])
    assert (card.width_mm < 70, card.height_mm < 52) == (True, True)
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
    assert "58 ft 2 1/2 in" in words
    assert ("56 ft 9 1/2 in" in words) == (detail == "sheet")  # front of the plate: 17 in less
    assert "[17742]" in words
    assert "90 ft" in words
    assert "60 ft 6 in" not in words


def says_differing(figure: FigureDrawing) -> bool:
    return any("exact" in words or "published" in words for words in list_words(figure))


@pytest.mark.parametrize(("detail", "scale"), [("card", 500.0), ("sheet", 300.0)])
def test_a_diagonal_is_noted_only_where_print_tells_the_published_from_the_exact_one(
    detail: Detail, scale: float
) -> None:
    small = draw_diamond(small_plan(), SMALL, scale, 7.6, detail)
    assert says_differing(small)
    full = draw_diamond(full_plan(), FULL, scale, 7.6, detail)
    assert not says_differing(full)
    assert list_words(full).count("127 ft 3 3/8 in") == 2


def test_a_card_says_the_published_diagonal_and_a_sheet_the_one_that_is_staked_out() -> None:
    card = list_words(draw_diamond(small_plan(), SMALL, 500, 7.6, "card"))
    assert {"84 ft 10 in", "84 ft 10 1/4 in", "exact 84 ft 10 1/4 in"} <= set(card)
    sheet = list_words(draw_diamond(small_plan(), SMALL, 300, 7.6, "sheet"))
    assert sheet.count("84 ft 10 1/4 in") == 2
    assert "published as 84 ft 10 in" in sheet


SIZES = [(scale, size) for scale in (300.0, 400.0, 500.0, 600.0, 750.0, 1000.0) for size in (7.56, 8.8, 9.9)]


@pytest.mark.parametrize("detail", ["card", "sheet"])
@pytest.mark.parametrize("field", ["full", "small"])
def test_words_move_or_stay_out_where_they_have_no_room(field: str, detail: Detail) -> None:
    plan, lengths = (full_plan(), FULL) if field == "full" else (small_plan(), SMALL)
    for scale, size in SIZES:
        figure = draw_diamond(plan, lengths, scale, size, detail)
        assert find_overlaps(list_texts(figure)) == [], (scale, size)
        assert list_crossings(figure) == [], (scale, size)
        assert list_off_centre(figure) == [], (scale, size)
        base = "90 ft" if field == "full" else "60 ft"
        assert base in list_words(figure), (scale, size)


@pytest.mark.parametrize(("field", "scale"), [("full", 400.0), ("small", 250.0)])
def test_a_sheet_names_every_station_that_is_staked_out(field: str, scale: float) -> None:
    plan, lengths = (full_plan(), FULL) if field == "full" else (small_plan(), SMALL)
    staked = {mark for stage in order_stakeout(plan) for mark in stage.stations}
    words = list_words(draw_diamond(plan, lengths, scale, 9.36, "sheet"))
    assert staked
    assert staked <= set(words)
    assert all(words.count(mark) == 1 for mark in staked)
    assert not staked & set(list_words(draw_diamond(plan, lengths, scale, 9.36, "card")))


def test_of_stations_only_those_asked_for_bear_their_marks_on_a_sheet() -> None:
    plan = full_plan()
    words = list_words(draw_diamond(plan, FULL, 400, 9.36, "sheet", frozenset(BASE_MARKS)))
    assert set(words) & set(plan.stations) == set(BASE_MARKS) & set(plan.stations)


def test_a_lane_is_drawn_as_long_as_the_level_says() -> None:
    lengths = change_field(lane_length="35 ft")
    plan = construct_diamond(lengths)
    assert "lane 3 ft × 35 ft" in list_words(draw_diamond(plan, lengths, 500, 8.0, "card"))
    sheet = list_words(draw_diamond(plan, lengths, 400, 8.4, "sheet"))
    assert {"35 ft", "55 ft"} <= set(sheet)  # to its start, and on to first


def test_a_sheet_says_what_is_not_drawn() -> None:
    lengths = change_field(
        base_thickness="5 in",
        backstop_distance="61 ft",
        foul_pole_distance="330 ft",
        centre_field_distance="401 ft",
        plate_circle_diameter="26 ft",
        base_cutout_radius="13 ft",
    )
    words = " ".join(list_words(draw_diamond(construct_diamond(lengths), lengths, 400, 8.4, "sheet")))
    for said in ("up to 5 in thick", "backstop 61 ft", "poles 330 ft", "field 401 ft", "Ø 26 ft", "R 13 ft"):
        assert said in words


def test_a_scale_bar_too_short_for_its_numbers_has_them_at_its_ends_only() -> None:
    items = draw_scale_bar(0.0, 0.0, 1000.0, 60, 9.0, 10)
    texts = [item for item in items if isinstance(item, Text)]
    assert [text.content for text in texts] == ["0", "60 ft"]
    assert len([t for t in draw_scale_bar(0.0, 0.0, 300.0, 60, 9.0, 10) if isinstance(t, Text)]) == 7


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
