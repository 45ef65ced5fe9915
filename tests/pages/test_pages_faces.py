"""The demo's cards: what decides is read at arm's length, and what has no room goes on on numbered faces."""

from __future__ import annotations

import re
from collections.abc import Iterator

import pytest
from demo_cards import CARDS, chart_texts_on, lay_out, read_demo, words_on
from scene_measures import texts_of

from pocketref.blocks.chart import ChartBlockModel
from pocketref.blocks.setting import Setting
from pocketref.output.contents import figures_in, items_of
from pocketref.pages.page import Box, Page, split_cards
from pocketref.pages.type_scale import sizes_for
from pocketref.problems import PocketrefError

LEAST_PT, LEAST_HEADLINE_PT = 10.0, 13.0
"""16 minutes of arc, the least of ISO 9241-3, at 529 mm; a headline's 13 pt is 1.3 times as much."""


@pytest.mark.parametrize("name", CARDS)
def test_questions_and_verdicts_are_read_at_arms_length(name: str) -> None:
    for page in lay_out(name).document.pages:
        sizes = sorted({text.size_pt for text in chart_texts_on(page)})
        assert not sizes or sizes[0] >= LEAST_PT - 0.1
        assert not sizes or sizes[-1] >= LEAST_HEADLINE_PT - 0.1


def test_a_card_has_one_size_of_header() -> None:
    heads = {
        text.size_pt
        for name in CARDS
        for page in lay_out(name).document.pages
        for text in texts_of(page.elements[0].children[0].children[1].items)
    }
    assert len(heads) == 2, "the title, and what stands at its right"


# --- faces that are cut -----------------------------------------------------------------------------------


def list_jumps(page: Page) -> Iterator[tuple[str, str]]:
    """Each question's number that is on another face, with the words that say where."""
    words = [text.content for text in chart_texts_on(page)]
    for at, word in enumerate(words):
        if word == "go to" and at + 2 < len(words) and re.fullmatch(r"next face|face \d+", words[at + 2]):
            yield words[at + 1], words[at + 2]


@pytest.mark.parametrize(("name", "distance_mm"), [("contact", 620), ("leaving", 525), ("batters-box", 800)])
def test_a_chart_read_from_farther_goes_on_on_faces_that_name_each_other(name: str, distance_mm: int) -> None:
    card = lay_out(name, "", distance_mm)
    pages = card.document.pages
    assert len(pages) > 2
    assert len(pages) % 2 == 0
    assert [page.name for page in pages] == [f"face-{number}" for number in range(1, len(pages) + 1)]
    held = {
        number: {int(found) for found in re.findall(r"(?:chart\. |\. )(\d)\. ", figure.alt)}
        for number, page in enumerate(pages, 1)
        for figure in figures_in(page)
        if figure.alt.startswith("Decision chart")
    }
    assert sorted(number for numbers in held.values() for number in numbers) == list(
        range(1, sum(map(len, held.values())) + 1)
    )
    for number, page in enumerate(pages, 1):
        assert f"face {number}" in words_on(page)
        for target, where in list_jumps(page):
            face = number + 1 if where == "next face" else int(where.removeprefix("face "))
            assert int(target) in held[face]
    assert [len(part.pages) for part in split_cards(card.document)] == [2] * (len(pages) // 2)


def test_what_fits_no_face_at_its_reading_distance_is_an_error_that_names_the_least_type() -> None:
    with pytest.raises(PocketrefError, match="even at the least type"):
        lay_out("contact", "", 2000)


# --- ladder or flowchart ----------------------------------------------------------------------------------


@pytest.mark.parametrize(
    ("detail", "height_mm", "lead_pt", "is_ladder"),
    [
        ("card", 50, 9.9, True),
        ("card", 44, 9.9, False),  # the ladder is 46 mm high, the flowchart 42 mm
        ("card", 50, 9.0, True),
        ("sheet", 50, 9.9, False),
    ],
)
def test_a_card_has_a_flowchart_only_where_no_ladder_fits(
    detail: str, height_mm: float, lead_pt: float, is_ladder: bool
) -> None:
    setting = Setting(read_demo()[0], "high-school", "90-ft", detail)  # type: ignore[arg-type]
    block = ChartBlockModel(block="chart", subject="stance").build(setting)
    sizes = sizes_for(lead_pt, 7.56, 7.56)
    assert block.measure_mm(180, sizes) <= height_mm
    words = {text.content for text in texts_of(items_of([block.draw(Box(0, 0, 180, height_mm), sizes)]))}
    assert ("1" in words) == is_ladder, "only a ladder numbers its questions"


def test_a_headline_that_would_be_too_small_in_a_flowchart_keeps_the_ladder() -> None:
    block = ChartBlockModel(block="chart", subject="stance").build(
        Setting(read_demo()[0], "high-school", "90-ft", "card")
    )
    assert block.measure_mm(180, sizes_for(9.9, 7.56, 9.9)) > block.measure_mm(
        180, sizes_for(9.9, 7.56, 7.56)
    )
