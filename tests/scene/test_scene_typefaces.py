"""The embedded faces: what they can set, and how high and wide they set it."""

from __future__ import annotations

import pytest
from fontTools.pens.boundsPen import BoundsPen
from fontTools.ttLib import TTFont

from pocketref.scene.inks import BLACK
from pocketref.scene.items import FontFace
from pocketref.scene.typefaces import cap_height_mm, list_runs, set_text, typeface

NEEDED = "ABCxyz0123456789¼½¾⅛⅜⅝⅞⁰¹²³⁴⁵⁶⁷⁸⁹₀₁₂₃₄₅₆₇₈₉⁄±×°−–—“”‘’′″•√ \u00a0[](),.;:?!%/&"


@pytest.mark.parametrize("face", FontFace)
def test_every_face_sets_the_characters_that_a_card_needs(face: FontFace) -> None:
    assert typeface(face).missing(NEEDED) == ()


@pytest.mark.parametrize("face", FontFace)
def test_a_character_without_a_glyph_is_told_once_in_order(face: FontFace) -> None:
    assert typeface(face).missing("out 球 在 球") == ("球", "在")


@pytest.mark.parametrize("face", FontFace)
def test_capitals_are_0_698_of_the_type_size(face: FontFace) -> None:
    assert typeface(face).cap_height_em == pytest.approx(0.698, abs=0.0005)
    assert cap_height_mm(face, 10) == pytest.approx(0.698 * 10 * 25.4 / 72, abs=0.002)


def test_the_size_for_a_capital_height_gives_that_height_back() -> None:
    size_pt = typeface(FontFace.REGULAR).size_for_cap_height(1.862)
    assert cap_height_mm(FontFace.REGULAR, size_pt) == pytest.approx(1.862)


def test_the_four_faces_are_four_fonts() -> None:
    names = {typeface(face).postscript_name for face in FontFace}
    assert len(names) == len({typeface(face).path for face in FontFace}) == len(FontFace) == 4
    assert "Bold" in typeface(FontFace.BOLD).postscript_name


@pytest.mark.parametrize("face", FontFace)
def test_a_text_is_as_wide_as_the_advances_in_the_font_file(face: FontFace) -> None:
    words = "Told to get in, 27 in"
    with TTFont(typeface(face).path) as font:
        names = [font.getBestCmap()[ord(character)] for character in words]
        units = sum(font["hmtx"][name][0] for name in names)
        expected = units / font["head"].unitsPerEm * 9 * 25.4 / 72
    assert set_text(0, 0, words, face, 9, BLACK).width_mm == pytest.approx(expected)


@pytest.mark.parametrize("face", FontFace)
@pytest.mark.parametrize("fraction", ["1/2", "7/8", "9/16", "31/32"])
def test_a_fractions_figures_fill_ten_minutes_of_arc_where_capitals_fill_sixteen(
    face: FontFace, fraction: str
) -> None:
    """Sight of 20/40 tells letters of 10 minutes apart: those on the 20/20 line of an eye chart fill 5."""
    text = set_text(0, 0, fraction, face, 8, BLACK)
    ((piece, size_pt, rise_mm, words),) = list_runs(text)
    assert words == fraction
    with TTFont(typeface(face).path) as font:
        glyphs, cmap, heights = font.getGlyphSet(), font.getBestCmap(), []
        for figure in f"⁰¹²³⁴⁵⁶⁷⁸⁹₀₁₂₃₄₅₆₇₈₉{piece}":
            pen = BoundsPen(glyphs)
            glyphs[cmap[ord(figure)]].draw(pen)
            heights.append((pen.bounds[3] - pen.bounds[1]) / font["head"].unitsPerEm * size_pt * 25.4 / 72)
        top_mm = max(heights) + rise_mm
    capital_mm = cap_height_mm(face, 8)
    assert min(heights) >= 10 / 16 * capital_mm - 0.001
    assert (top_mm + rise_mm) == pytest.approx(
        capital_mm, rel=0.02
    )  # as far above capitals as below the line


@pytest.mark.parametrize("face", FontFace)
def test_a_run_with_a_fraction_is_as_wide_as_its_pieces(face: FontFace) -> None:
    text = set_text(0, 0, "7 ft 2 9/16 in", face, 9, BLACK)
    assert text.content == "7 ft 2⁹⁄₁₆ in"
    pieces = list_runs(text)
    assert [piece for piece, *_ in pieces] == ["7 ft 2", "⁹⁄₁₆", " in"]
    assert "".join(words for *_, words in pieces) == "7 ft 2 9/16 in"
    with TTFont(typeface(face).path) as font:
        cmap, metrics, em = font.getBestCmap(), font["hmtx"], font["head"].unitsPerEm
        widths = [sum(metrics[cmap[ord(c)]][0] for c in piece) / em * size for piece, size, *_ in pieces]
    assert text.width_mm == pytest.approx(sum(widths) * 25.4 / 72)


def test_a_width_grows_with_the_size_alone() -> None:
    face = typeface(FontFace.REGULAR)
    assert face.measure_mm("stance", 18) == pytest.approx(2 * face.measure_mm("stance", 9))


def test_an_apostrophe_is_set_as_the_typographic_one() -> None:
    assert set_text(0, 0, "batter's", FontFace.REGULAR, 9, BLACK).content == "batter\u2019s"
