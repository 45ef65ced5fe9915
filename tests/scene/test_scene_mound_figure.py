"""The figure of the mound: heights where the slope puts them, and texts that keep clear."""

from __future__ import annotations

from pathlib import Path

import pytest
from scene_measures import find_overlaps
from scene_samples import (
    FULL,
    SMALL,
    change_field,
    has_corner,
    list_crossings,
    list_off_centre,
    list_texts,
    list_words,
    measure_extent,
)

from pocketref.field.mound import list_slope
from pocketref.problems import PocketrefError
from pocketref.scene.figures.mound_figure import EXAGGERATION, draw_mound
from pocketref.scene.figures.plate_figure import Detail
from pocketref.translations.language_proof import read_language
from pocketref.words.pseudo import PSEUDO
from pocketref.words.speech import Language, speak

ROOT = Path(__file__).parents[2]

CASES: list[tuple[float, float, Detail]] = [(50, 7.6, "card"), (40, 8.4, "sheet"), (40, 10.4, "sheet")]


@pytest.mark.parametrize("case", CASES)
def test_texts_keep_clear_of_each_other_and_have_the_size_asked_for(
    case: tuple[float, float, Detail],
) -> None:
    texts = list_texts(draw_mound(FULL, *case))
    assert find_overlaps(texts) == []
    assert list_crossings(draw_mound(FULL, *case)) == []
    assert {text.size_pt for text in texts} == {case[1]}


@pytest.mark.parametrize("case", CASES)
def test_each_dimension_is_written_at_the_middle_of_its_line_or_beyond_it(
    case: tuple[float, float, Detail],
) -> None:
    assert list_off_centre(draw_mound(FULL, *case)) == []


@pytest.mark.parametrize("case", CASES)
def test_the_ground_has_each_points_height_at_its_distance(case: tuple[float, float, Detail]) -> None:
    figure = draw_mound(FULL, *case)
    x, y = figure.plan_origin
    for point in list_slope(FULL):
        place = (
            x - point.ahead.float_mm / figure.scale,
            y + point.height.float_mm * EXAGGERATION / figure.scale,
        )
        assert has_corner(figure, place)


def test_the_figure_fits_a_card_and_is_as_large_as_it_says() -> None:
    figure = draw_mound(FULL, 50, 7.6, "card")
    assert measure_extent(figure) == pytest.approx((figure.width_mm, figure.height_mm))
    assert (figure.width_mm < 119, figure.height_mm < 45) == (True, True)


def test_the_rows_follow_the_slope() -> None:
    steep = change_field(mound_slope_drop="1 1/4 in")
    words = list_words(draw_mound(steep, 50, 7.6, "card"))
    assert {"1 1/4", "2 1/2", "3 3/4", "5", "6 1/4", "7 1/2", "8 3/4"} <= set(words)
    assert "falls 1 1/4 in in each ft" in words


def test_the_exaggeration_is_stated_in_print_and_in_the_description() -> None:
    figure = draw_mound(FULL, 50, 7.6, "card")
    assert f"heights ×{EXAGGERATION}" in list_words(figure)
    assert f"{EXAGGERATION} times larger" in figure.alt
    assert "10 at 6, 9 at 18, 8 at 30, 7 at 42, 6 at 54, 5 at 66, 4 at 78" in figure.alt


def test_the_flat_top_carries_its_sizes_and_is_left_out_where_they_are_unknown() -> None:
    words = list_words(draw_mound(FULL, 50, 7.6, "card"))
    assert {"5 ft", "34 in", "24 in", "18 in", "22 in", "6 in"} <= set(words)
    bare = draw_mound(change_field(mound_flat_width="", mound_flat_depth=""), 50, 7.6, "card")
    assert "flat top, from above" not in list_words(bare)


def test_a_level_without_a_slope_has_no_figure_and_is_told_what_is_missing() -> None:
    with pytest.raises(PocketrefError, match="mound-slope-length"):
        draw_mound(SMALL, 50, 7.6, "card")


@pytest.mark.parametrize("language", [PSEUDO, read_language("es", ROOT / "content")], ids=["longer", "es"])
@pytest.mark.parametrize("scale", [50, 55, 60])
def test_longer_words_never_stand_across_the_slope(scale: float, language: Language) -> None:
    with speak(language):
        texts = list_crossings(draw_mound(FULL, scale, 7.6, "card"))
    assert texts == []
