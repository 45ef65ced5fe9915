"""The picture of a play: large enough, within its room, and the same place that the ruling was made from."""

from __future__ import annotations

import pytest
from play_samples import BACK, FRONT, OUTSIDE, books, cases, make_play, ruled

from pocketref.plays.placement import NOTHING_DRAWN, find_off_drawing, find_own_box, place_play
from pocketref.plays.plays import CasePlay
from pocketref.scene.figures.play_figure import OVERVIEW_SCALE, draw_bases, draw_play
from pocketref.scene.inks import GREY_DARK
from pocketref.scene.items import Shape, Text
from pocketref.scene.paths import extent_of, extent_of_all
from pocketref.scene.plan_view import SCALES, FigureDrawing

WIDTH_MM, HEIGHT_MM = 90.0, 48.0


def draw(case: CasePlay, width_mm: float = WIDTH_MM, height_mm: float = HEIGHT_MM) -> FigureDrawing | None:
    plan = books().plan("high-school")
    return draw_play(place_play(case.model, plan), plan, find_own_box(case.model), 8.4, width_mm, height_mm)


DRAWN = [case for case in cases() if case.model.feet or case.model.ball]


@pytest.mark.parametrize("case", DRAWN, ids=lambda case: case.name)
def test_a_picture_fills_its_extent_and_no_more(case: CasePlay) -> None:
    drawing = draw(case)
    assert drawing is not None
    assert drawing.scale in SCALES
    left, bottom, right, top = extent_of_all(drawing.items)
    assert (left, bottom) == pytest.approx((0, 0), abs=0.01)
    assert (right, top) == pytest.approx((drawing.width_mm, drawing.height_mm), abs=0.01)
    assert right <= WIDTH_MM
    assert top <= HEIGHT_MM


def test_a_play_without_feet_or_ball_has_no_picture() -> None:
    plan = books().plan("high-school")
    assert draw_play(NOTHING_DRAWN, plan, "box-third", 8.4, WIDTH_MM, HEIGHT_MM) is None


def test_feet_are_drawn_at_a_scale_that_shows_an_inch() -> None:
    scales = {
        drawing.scale for case in cases() if case.subject in ("contact", "stance") and (drawing := draw(case))
    }
    assert scales == {20}  # an inch is 1.3 mm
    assert OVERVIEW_SCALE in SCALES


def test_less_room_makes_a_smaller_scale() -> None:
    wide, narrow = draw(make_play(feet=[FRONT])), draw(make_play(feet=[FRONT]), 70.0)
    assert wide is not None
    assert narrow is not None
    assert narrow.scale > wide.scale
    assert narrow.width_mm <= 70.0


def test_no_room_is_told() -> None:
    with pytest.raises(ValueError, match="no standard scale"):
        draw(make_play(feet=[FRONT]), 5.0)


def test_the_picture_says_nothing_in_words_and_its_description_does() -> None:
    drawing = draw(make_play(feet=[OUTSIDE, BACK]))
    assert drawing is not None
    assert [item.content for item in drawing.items if isinstance(item, Text)] == ["to pitcher"]
    assert "wholly outside" in drawing.alt


def test_the_description_of_every_drawn_play_agrees_with_its_ruling() -> None:
    for play in ruled():
        if play.case.subject == "contact" and "wholly-outside" in play.derived and play.code == "high-school":
            drawing = draw(play.case)
            assert drawing is not None
            feet, _, knees = drawing.alt.partition("The knee: ")
            assert ("wholly outside" in feet) == (play.answers["wholly-outside"] == "yes")
            assert ("on the plate" in feet) == (play.answers["on-plate"] == "yes")
            assert ("on the plate" in knees or "wholly outside" in knees) == (
                play.answers["knee-out"] == "yes"
            )


@pytest.mark.parametrize("case", [case for case in DRAWN if not case.model.ball], ids=lambda case: case.name)
def test_every_close_up_shows_a_shoe_or_a_knee(case: CasePlay) -> None:
    drawing = draw(case)
    assert drawing is not None
    (words,) = [item for item in drawing.items if isinstance(item, Text)]
    shown = [item for item in drawing.items if isinstance(item, Shape) and extent_of(item)[0] > words.x + 8]
    dashed = [item for item in shown if item.stroke and item.stroke.dash_mm and item.fill]
    assert [item for item in shown if item.fill == GREY_DARK] + dashed


KNEELING = [case for case in DRAWN if case.model.knees and case.model.feet and not case.model.ball]


@pytest.mark.parametrize("case", KNEELING, ids=lambda case: case.name)
def test_a_close_up_shows_the_knee_as_it_does_the_foot(case: CasePlay) -> None:
    drawing = draw(case)
    assert drawing is not None
    (words,) = [item for item in drawing.items if isinstance(item, Text)]
    widths = [
        extent_of(item)[2] - extent_of(item)[0]
        for item in drawing.items
        if isinstance(item, Shape) and item.fill == GREY_DARK and extent_of(item)[0] > words.x + 8
    ]
    disc = pytest.approx(4 * 25.4 / drawing.scale + 0.35, abs=0.02)
    assert [width for width in widths if width == disc]
    assert [width for width in widths if width != disc]


def test_a_knee_is_drawn_where_it_is_judged_with_its_shin() -> None:
    knee = {"knee": "right", "corner": "back-inner", "right": "-7 in", "ahead": "-4 in"}
    with_knee, without = (
        draw(make_play(feet=[FRONT, BACK], knees=[knee])),
        draw(make_play(feet=[FRONT, BACK])),
    )
    assert with_knee is not None
    assert without is not None
    assert "The knee: wholly outside." in with_knee.alt
    assert "knee" not in without.alt
    discs = [item for item in with_knee.items if isinstance(item, Shape) and item.fill == GREY_DARK]
    assert any(
        extent_of(disc)[2] - extent_of(disc)[0] == pytest.approx(4 * 25.4 / with_knee.scale + 0.35, abs=0.02)
        for disc in discs
    )


def test_the_ring_stands_where_bat_and_ball_meet() -> None:
    case = next(case for case in cases() if case.name == "second-touch/trailing-bat")
    drawing = draw(case)
    assert drawing is not None
    plan = books().plan("high-school")
    meets = place_play(case.model, plan).meets
    assert meets is not None
    ring = drawing.items[-1]
    assert isinstance(ring, Shape)
    left, bottom, right, top = extent_of_all([ring])
    x, y = (
        drawing.plan_origin[0] + meets[0] / drawing.scale,
        drawing.plan_origin[1] + meets[1] / drawing.scale,
    )
    assert ((left + right) / 2, (bottom + top) / 2) == pytest.approx((x, y), abs=0.05)
    assert "over fair ground" in drawing.alt


def test_a_base_with_a_runner_is_larger_as_well_as_black() -> None:
    areas = {}
    for bases in ((), ("second",)):
        _, *marks = draw_bases(bases, 8.0)
        left, bottom, right, top = extent_of_all([marks[1]])
        areas[bases] = (right - left) * (top - bottom)
    assert areas["second",] > 1.5 * areas[()]


def test_a_fielder_stands_at_his_place_with_the_scorebook_s_number() -> None:
    fielder = {"position": "third", "at": ["-7 ft", "9 ft"]}
    drawing = draw(make_play(fielders=[fielder]))
    assert drawing is not None
    (number,) = [item for item in drawing.items if isinstance(item, Text) and item.content == "5"]
    assert number.x == pytest.approx(drawing.plan_origin[0] - 7 * 304.8 / drawing.scale, abs=0.01)
    assert "5 marks the fielder: third" in drawing.alt


def test_a_fielder_too_far_away_to_draw_is_told() -> None:
    case = make_play(fielders=[{"position": "second", "at": ["0 in", "120 ft"]}])
    plan = books().plan("high-school")
    (problem,) = find_off_drawing(case.model, place_play(case.model, plan), plan)
    assert problem.code == "play-ball-off"
    assert "the fielder reaches 120 ft" in problem.sentence
