"""pdfium's object walk against an interpreter over pypdf's parser: two readings that share no code must agree."""

from __future__ import annotations

import pytest
from hypothesis import given, settings
from hypothesis import strategies as st
from output_samples import full_document, line, simple_document
from second_reader import read_pages

from pocketref.output.pdf import write_pdf
from pocketref.output.reading.readback import read_pdf
from pocketref.scene.inks import BLACK
from pocketref.scene.items import FontFace, Placed, Scene
from pocketref.scene.typefaces import set_text

PT_PER_MM = 72 / 25.4


def assert_readers_agree(data: bytes) -> None:
    for printed, found in zip(read_pdf(data).pages, read_pages(data), strict=True):
        assert len(printed.texts) == len(found.runs)
        for text, run in zip(printed.texts, found.runs, strict=True):
            assert text.size_pt == pytest.approx(run.size, abs=0.001)
            assert text.x * PT_PER_MM == pytest.approx(run.x, abs=0.001)
            assert text.y * PT_PER_MM == pytest.approx(run.y, abs=0.001)


def test_both_readers_see_the_same_sizes_and_places():
    assert_readers_agree(write_pdf(full_document()))


turns = st.integers(min_value=0, max_value=3)
places = st.floats(min_value=0, max_value=60).map(lambda v: round(v, 2))


@settings(max_examples=25)
@given(turns, turns, places, places, st.floats(min_value=5, max_value=40).map(lambda v: round(v, 2)), places)
def test_both_readers_agree_through_nested_and_turned_scenes(turn, inner_turn, x, y, size_pt, angle):
    inner = Scene("inner", 20, 20, (set_text(x, y, "Hxg", FontFace.BOLD, size_pt, BLACK, "end", angle),))
    outer = Scene("outer", 40, 40, (Placed(inner, x, y, inner_turn),))
    assert_readers_agree(
        write_pdf(simple_document(Placed(outer, y, x, turn), line(5, 5, "x", size_pt=size_pt)))
    )
