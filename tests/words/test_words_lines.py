"""Where a line may end, in any language: by property over words and marks, and in Spanish as the demo prints it."""

from __future__ import annotations

import re

import pytest
from hypothesis import given, settings
from hypothesis import strategies as st

from pocketref.scene.items import FontFace
from pocketref.scene.textfit import break_text

SIZE_PT = 8.0
OPENING, CLOSING = "¿¡«“([", "»”)].,;:!?…"
"""Of the classes OP, QU, CL, CP, EX and IS of Unicode Standard Annex 14, those that Spanish and English use: no line
ends with the first, none begins with the others, spaces between or not (its LB13 to LB15)."""
TOGETHER = (
    "90 pies",
    "17 pulg",
    "3½ pulgadas",
    "8 °F",
    "100 %",
    "30 minutos",
    "§ 6",
    "2 corredores",
    "60 ft",
)
WORDS = st.sampled_from(["bateador", "el", "lanzador", "árbitro", "que", "*caja*", "out"])
OPENED = st.tuples(st.sampled_from(OPENING), st.sampled_from(["", " "]), WORDS).map("".join)
CLOSED = st.tuples(WORDS, st.sampled_from(["", " "]), st.sampled_from(CLOSING)).map("".join)
DASHED = st.tuples(WORDS, st.sampled_from("—–"), WORDS).map(" ".join)
TEXTS = st.lists(
    st.one_of(WORDS, OPENED, CLOSED, DASHED, st.sampled_from(TOGETHER)), min_size=1, max_size=12
).map(" ".join)


def list_lines(text: str, width_mm: float) -> list[str]:
    lines = break_text(text, FontFace.REGULAR, width_mm, SIZE_PT)
    return [" ".join("".join(piece for piece, _ in word.parts) for word in line.words) for line in lines]


@settings(max_examples=200)
@given(TEXTS, st.floats(8, 60))
def test_no_line_ends_with_what_opens_nor_begins_with_what_closes(text: str, width_mm: float) -> None:
    for line in list_lines(text, width_mm):
        assert line[-1] not in OPENING + "§"
        assert line[0] not in CLOSING + "—–"  # a dash that stands free ends a line, if any


@settings(max_examples=200)
@given(TEXTS, st.floats(8, 60))
def test_a_number_is_with_its_unit_and_nothing_else_of_the_text_is_changed(
    text: str, width_mm: float
) -> None:
    lines = list_lines(text, width_mm)
    whole = " ".join(lines).replace("\u00a0", " ")
    assert whole == text.replace("*", "")
    for line in lines[1:]:
        assert not re.match(r"(pies|pulg|pulgadas|°F|%|minutos|corredores|ft)\b", line)


@pytest.mark.parametrize("together", [*TOGETHER, "*90* pies", "90 *pies*", "1 pie", "7 ft 2 1/2 in"])
def test_a_measure_stays_whole_in_a_column_of_nothing(together: str) -> None:
    assert len(list_lines(together, 1.0)) == 1


def test_a_dash_parts_words_after_it_only() -> None:
    assert list_lines("caja — lanzador", 1.0) == ["caja —", "lanzador"]
    # Two that enclose words, as Spanish has them, stand against what they enclose.
    assert list_lines("el lanzador —ya listo— espera", 1.0) == ["el", "lanzador", "—ya", "listo—", "espera"]


def test_a_number_begins_a_line_as_before_a_decimal_point_or_a_word_that_is_no_unit() -> None:
    assert list_lines("de .5 in, 2 piedras", 1.0) == ["de", ".5\u00a0in,", "2", "piedras"]
