"""The demo's cards: what decides is read at arm's length, and what has no room goes on on numbered faces."""

from __future__ import annotations

import re
from collections.abc import Iterator
from itertools import pairwise

import pytest
from demo_cards import CARDS, chart_texts_on, lay_out, read_demo, words_on
from scene_measures import texts_of
from source_folders import SourceFolders

from pocketref.blocks.chart import ChartBlockModel
from pocketref.blocks.setting import Setting
from pocketref.edition.pdf_file import build_pdf
from pocketref.edition.proof import prove
from pocketref.layouts.cards import lay_out_sheet
from pocketref.layouts.layout_models import SheetModel
from pocketref.output.contents import figures_in, items_of
from pocketref.output.reading.separations import read_plates
from pocketref.pages.page import Box, Page, split_cards
from pocketref.pages.type_scale import sizes_for
from pocketref.problems import PocketrefError
from pocketref.scene.items import Shape
from pocketref.scene.paths import extent_of

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


LANYARD_FACES = {
    "index-3x5-punched": (2, 4, 4, 2, 4),
    "id-1-lanyard": (4, 6, 8, 4, 6),
    "a7-lanyard": (2, 4, 4, 2, 4),
}
"""The most faces that each card of the set for the neck takes on a punched stock."""


@pytest.mark.parametrize(
    ("stock", "name", "most"),
    [
        (stock, f"lanyard-{subject}", most)
        for stock, faces in LANYARD_FACES.items()
        for subject, most in zip(
            ("contact", "second-touch", "leaving", "stance", "hit-by-pitch"), faces, strict=True
        )
    ],
)
def test_the_set_for_the_neck_fits_every_punched_stock_at_the_same_floor(
    stock: str, name: str, most: int
) -> None:
    card = lay_out(name, stock)
    assert len(card.document.pages) <= most
    for page in card.document.pages:
        sizes = sorted({text.size_pt for text in chart_texts_on(page)})
        assert not sizes or sizes[0] >= LEAST_PT - 0.1
    assert build_pdf(
        name, card.document, card.floor_pt
    ).data  # read back: all within the safe area, clear of the hole


def test_every_card_of_the_set_for_the_neck_and_every_punched_stock_is_tried() -> None:
    cards, stocks = read_demo()[1].cards, read_demo()[1].stocks
    assert sum(card.set_ == "lanyard" for card in cards) == 5
    assert set(LANYARD_FACES) == {name for name, stock in stocks.items() if stock.punch}


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


# --- a second ink -----------------------------------------------------------------------------------------


def test_a_second_ink_prints_dead_balls_and_changes_on_its_plate_and_none_is_there_unasked(
    folders: SourceFolders,
) -> None:
    ink = "spot-ink: {name: Signal red, cmyk: [0, 0.95, 0.85, 0], screen: '#c8102e', uses: [dead ball]}\n"
    plain = prove(folders.content, folders.layouts).cards[0]
    assert read_plates(build_pdf("plain", plain.document, plain.floor_pt).data) == ({"Black"}, {"Black"})
    folders.replace("layouts/styles.yaml", "card-scale:", f"{ink}card-scale:")
    card = prove(folders.content, folders.layouts).cards[0]
    printed = build_pdf("card", card.document, card.floor_pt).data  # what is on which plate is read back here
    assert read_plates(printed) == ({"Black"}, {"Black", "Signal red"})


def test_an_ink_with_the_name_of_a_process_plate_is_refused(folders: SourceFolders) -> None:
    ink = "spot-ink: {name: Black, cmyk: [0, 0, 0, 1], screen: '#000000', uses: [change]}\n"
    folders.replace("layouts/styles.yaml", "card-scale:", f"{ink}card-scale:")
    with pytest.raises(PocketrefError, match="no spot ink can be called 'Black'"):
        prove(folders.content, folders.layouts)


# --- the look ---------------------------------------------------------------------------------------------

MOST_VOID = 0.2
"""Of a face."""
STEP_MM = 1.0


def shift_extent(extent: tuple[float, float, float, float], page: Page) -> tuple[float, float, float, float]:
    """The extent as seen from the corner of the safe area."""
    left, bottom, right, top = extent
    return left - page.safe.x, bottom - page.safe.y, right - page.safe.x, top - page.safe.y


def measure_void(page: Page) -> float:
    """The largest rectangle of a face without ink inside the safe area, as a share of the face.

    An item takes all of its extent: what is within an outline is part of it. Squares of a millimetre are counted.
    """
    columns, rows = int(page.safe.width_mm / STEP_MM), int(page.safe.height_mm / STEP_MM)
    taken = [[False] * columns for _ in range(rows)]
    for item in items_of(page.elements):
        left, bottom, right, top = (int(edge / STEP_MM) for edge in shift_extent(extent_of(item), page))
        for row in taken[max(bottom, 0) : max(top + 1, 0)]:
            span = range(max(left, 0), min(right + 1, columns))
            row[span.start : span.stop] = [True] * len(span)
    best, heights = 0, [0] * columns
    for row in taken:
        heights = [0 if is_taken else height + 1 for is_taken, height in zip(row, heights, strict=True)]
        for start in range(columns):
            least = heights[start]
            for end in range(start, columns):
                least = min(least, heights[end])
                if least == 0:
                    break
                best = max(best, least * (end - start + 1))
    return best * STEP_MM**2 / (page.width_mm * page.height_mm)


@pytest.mark.parametrize("name", CARDS)
def test_no_face_has_a_void_larger_than_a_fifth_of_it(name: str) -> None:
    for page in lay_out(name).document.pages:
        assert measure_void(page) <= MOST_VOID, page.name


@pytest.mark.parametrize("sheet", read_demo()[1].sheets, ids=lambda sheet: sheet.sheet)
def test_no_page_of_a_sheet_has_a_void_larger_than_a_fifth_of_it(sheet: SheetModel) -> None:
    for page in lay_out_sheet(sheet, *read_demo()).document.pages:
        if not page.name.startswith("tile-"):  # the plate in its full size fills what it fills
            assert measure_void(page) <= MOST_VOID, page.name


@pytest.mark.parametrize("name", CARDS)
def test_a_table_that_ends_at_the_footer_has_its_rule_alone(name: str) -> None:
    for page in lay_out(name).document.pages:
        rules = sorted(
            extent_of(item)[1]
            for item in items_of(page.elements)
            if isinstance(item, Shape)
            and (box := extent_of(item))[3] - box[1] < 0.5
            and box[2] - box[0] > 0.9 * page.safe.width_mm
        )
        assert all(upper - lower > 3.0 for lower, upper in pairwise(rules))


@pytest.mark.parametrize("name", CARDS)
def test_fractions_are_set_in_the_fonts_own_figures(name: str) -> None:
    for page in lay_out(name).document.pages:
        assert not re.search(r"\d ?\d+/\d+ (in|ft)\b", words_on(page))
