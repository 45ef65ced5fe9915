"""The figure of a pitching circle, and a field that has one in the place of a mound."""

from __future__ import annotations

import pytest
from field_samples import SOFTBALL, read_lengths
from scene_measures import inked_overlaps
from scene_samples import list_crossings, list_texts, list_words

from pocketref.field.diamond import construct_diamond
from pocketref.field.mound import list_slope
from pocketref.problems import PocketrefError
from pocketref.scene.figures.circle_figure import draw_pitching_circle
from pocketref.scene.figures.diamond_figure import draw_diamond
from pocketref.scene.figures.plate_figure import Detail
from pocketref.scene.plan_view import FigureDrawing
from pocketref.tape.mound_readings import judge_mound
from pocketref.units.notation import read_length

LENGTHS = read_lengths(SOFTBALL)


def assert_clear(drawing: FigureDrawing) -> None:
    assert not drawing.is_crowded
    assert inked_overlaps(list_texts(drawing)) == []
    assert list_crossings(drawing) == []


@pytest.mark.parametrize("scale", [40, 60, 75, 100])
@pytest.mark.parametrize("detail", ["card", "sheet"])
def test_the_circle_shows_its_radius_and_the_pitchers_plate(scale: int, detail: Detail) -> None:
    drawing = draw_pitching_circle(LENGTHS, scale, 7.6, detail)
    assert_clear(drawing)
    more = {"16 ft", "[4877]", "6 in", "[152]"} if detail == "sheet" else set()
    assert set(list_words(drawing)) == {"8 ft", "[2438]", "24 in", "[610]", "to home"} | more
    assert "Its radius is 8 ft, from the middle of the front edge of the pitcher's plate" in drawing.alt


@pytest.mark.parametrize(
    ("detail", "scale", "said"), [("card", 500, "R 8 ft"), ("sheet", 250, "pitching circle R 8 ft")]
)
def test_the_whole_field_has_the_circle_where_others_have_a_mound(
    detail: Detail, scale: int, said: str
) -> None:
    drawing = draw_diamond(construct_diamond(LENGTHS), LENGTHS, scale, 7.6, detail)
    assert_clear(drawing)
    words = list_words(drawing)
    assert said in words
    assert not [each for each in words if "mound" in each]
    assert "The pitching circle has a radius of 8 ft." in drawing.alt
    assert "mound" not in drawing.alt


def test_what_is_about_a_mound_says_that_the_field_has_a_circle() -> None:
    with pytest.raises(PocketrefError, match="a pitching circle and no mound"):
        list_slope(LENGTHS)
    with pytest.raises(PocketrefError, match="a pitching circle and no mound"):
        judge_mound(LENGTHS, (), read_length("10 in"), read_length("1/4 in"))
