"""Cards and sheets laid out: all text inside the safe area, apart, at or above the floor, and all of it there."""

from __future__ import annotations

import re
from collections.abc import Iterator
from dataclasses import replace

import pytest
from scene_measures import inked_overlaps, texts_of
from source_folders import SourceFolders

from pocketref.edition.proof import Proof, prove
from pocketref.layouts.cards import LaidOut, lay_out_card, lay_out_sheet
from pocketref.output.contents import items_of
from pocketref.pages.page import Element, Page, Role
from pocketref.problems import PocketrefError, Problem
from pocketref.scene.charts.verdict_box import HEADLINE
from pocketref.scene.items import FormField
from pocketref.scene.paths import extent_of
from pocketref.units.length import Length

NAMES = ("batters-box", "plate-area")


@pytest.fixture(params=NAMES)
def laid_out(request: pytest.FixtureRequest, proven: Proof) -> LaidOut:
    return next(item for item in (*proven.cards, *proven.sheets) if item.name == request.param)


def pages_of(item: LaidOut) -> Iterator[tuple[Page, list[object]]]:
    for page in item.document.pages:
        yield page, list(items_of(page.elements))


def words_on(page: Page) -> str:
    return "\n".join(text.content for text in texts_of(items_of(page.elements))).replace("\u00a0", " ")


def walk(elements: tuple[Element, ...]) -> Iterator[Element]:
    for element in elements:
        yield element
        yield from walk(element.children)


def misfits(folders: SourceFolders) -> list[Problem]:
    with pytest.raises(PocketrefError) as caught:
        prove(folders.content, folders.layouts)
    return [problem for problem in caught.value.problems if problem.code == "block-too-large"]


def test_every_text_is_inside_the_safe_area(laid_out: LaidOut) -> None:
    for page in laid_out.document.pages:
        for text in texts_of(items_of(page.elements)):
            left, bottom, right, top = extent_of(text)
            assert page.safe.x <= left, text.content
            assert page.safe.y <= bottom, text.content
            assert right <= page.safe.right, text.content
            assert top <= page.safe.top, text.content


def test_everything_drawn_is_on_the_page(laid_out: LaidOut) -> None:
    for page in laid_out.document.pages:
        for item in items_of(page.elements):
            left, bottom, right, top = extent_of(item)
            assert left >= 0
            assert bottom >= 0
            assert right <= page.width_mm
            assert top <= page.height_mm


def test_no_two_texts_overlap(laid_out: LaidOut) -> None:
    for page in laid_out.document.pages:
        assert inked_overlaps(texts_of(items_of(page.elements))) == []


def test_no_text_is_below_the_floor_and_none_off_the_scale(laid_out: LaidOut) -> None:
    for page, sizes in zip(laid_out.document.pages, laid_out.sizes, strict=True):
        allowed = {sizes.body_pt, sizes.small_pt, sizes.heading_pt, sizes.title_pt, sizes.source_pt}
        allowed |= {0.72 * sizes.title_pt, sizes.lead_pt, HEADLINE * sizes.lead_pt}
        used = {text.size_pt for text in texts_of(items_of(page.elements))}
        assert min(used) >= laid_out.floor_pt
        assert used <= allowed


def test_a_field_lies_inside_the_page_and_its_name_is_its_own(laid_out: LaidOut) -> None:
    fields = [
        item
        for page in laid_out.document.pages
        for item in items_of(page.elements)
        if isinstance(item, FormField)
    ]
    assert len({field.name for field in fields}) == len(fields)
    assert all(field.tooltip for field in fields)


def test_a_card_is_marked_with_all_that_a_reader_must_know(proven: Proof) -> None:
    (card,) = proven.cards
    front, back = (words_on(page) for page in card.document.pages)
    for words in (front, back):
        assert "Batter’s box and stance" in words
        assert "HS 2027" in words
        assert words.startswith("1\n")
    assert "Larkmoor Test Umpires (invented), edition 2027" in front
    assert "Valid through 31 Dec 2027" in front
    assert "The rule book and the league govern." in back
    assert "FB 1-2, 7-1, 7-3" in back


def test_a_sheet_is_marked_on_every_page(proven: Proof) -> None:
    (sheet,) = proven.sheets
    for page in sheet.document.pages:
        words = words_on(page)
        assert "HS 2027, 90-ft diamond" in words
        assert "The rule book and the league govern." in words
        assert "Larkmoor Test Umpires (invented), edition 2027" in words
        assert "Valid through 31 Dec 2027" in words
        assert "FB 1-2" in words


def test_a_real_association_is_not_called_invented(folders: SourceFolders) -> None:
    folders.replace("content/edition.yaml", "invented: the association", "place: the association")
    folders.replace("content/edition.yaml", "place: State of Larkmoor\n", "")
    (card,) = prove(folders.content, folders.layouts).cards
    assert "Larkmoor Test Umpires, edition 2027" in words_on(card.document.pages[0])


def test_reading_order_is_title_body_footer_and_figures_are_described(laid_out: LaidOut) -> None:
    for page in laid_out.document.pages:
        elements = list(walk(page.elements))
        said = [e for e in elements if e.role not in (Role.SECTION, Role.DECORATION)]
        assert said[0].role is Role.TITLE
        assert said[-1].role is Role.PARAGRAPH
        assert all(len(e.alt) > 40 for e in elements if e.role is Role.FIGURE)


def test_the_chart_is_told_in_words(proven: Proof) -> None:
    (card,) = proven.cards
    alts = [e.alt for e in walk(card.document.pages[1].elements) if e.role is Role.FIGURE]
    assert len(alts) == 1
    assert "Foot past a line's outer edge?" in alts[0]
    assert "Strike for refusing" in alts[0]


def test_calls_list_only_what_is_said_or_signalled(proven: Proof) -> None:
    back = words_on(proven.cards[0].document.pages[1])
    assert "“Batter, both feet in the box.” Signal: right palm to the pitcher." in back
    assert "Legal stance:" not in back


def test_a_published_figure_that_is_rounded_is_printed_with_the_exact_one(proven: Proof) -> None:
    words = words_on(proven.sheets[0].document.pages[0])
    assert "12 in\nas published," in words
    assert "12.02 in" in words


def test_a_larger_stock_takes_larger_type(proven: Proof) -> None:
    (model,) = proven.layouts.cards
    small = lay_out_card(model, proven.library, proven.layouts)
    large = lay_out_card(model, proven.library, proven.layouts, "index-4x6")
    for wide, narrow in zip(large.sizes, small.sizes, strict=True):
        assert wide.body_pt >= narrow.body_pt
    assert large.sizes != small.sizes
    assert large.document.pages[0].width_mm == pytest.approx(152.4)


def test_a_text_too_long_names_card_face_block_stock_and_what_is_missing(folders: SourceFolders) -> None:
    long = "Feet first, as the batter sets, and then again before every single pitch of the whole game. " * 4
    folders.replace(
        "content/mechanics/stance.yaml", '- "Feet first, *as the batter sets*."', f"- {long}\n      - {long}"
    )
    folders.replace(
        "layouts/cards/batters-box.yaml",
        "  - {block: calls, subject: stance}",
        "  - {block: text, text: mechanics/stance/look}",
    )
    problems = misfits(folders)
    assert len(problems) == 1
    sentence = problems[0].sentence
    assert sentence.startswith("card batters-box, back: mechanics/stance/look is ")
    assert re.search(
        r"is \d+\.\d mm too high for index card, 3 x 5 in, even at the least type, 7.6 pt", sentence
    )
    where = problems[0].where
    assert where is not None
    assert where.text.strip() == "- {block: text, text: mechanics/stance/look}"


def test_a_stock_higher_by_the_excess_told_takes_the_card(proven: Proof) -> None:
    (model,) = proven.layouts.cards
    stock = proven.layouts.stocks["index-3x5"]
    scale = proven.layouts.styles.model_copy(update={"card_scale": (8,)})

    def lay_out(height_mm: float) -> LaidOut:
        tall = stock.model_copy(update={"height": Length.from_mm(round(height_mm * 100)) / 100})
        layouts = replace(proven.layouts, stocks={"index-3x5": tall}, styles=scale)
        return lay_out_card(model, proven.library, layouts)

    with pytest.raises(PocketrefError) as caught:
        lay_out(58.0)
    told = [re.search(r"is ([\d.]+) mm too high", problem.sentence) for problem in caught.value.problems]
    excess = max(float(found[1]) for found in told if found)
    assert excess > 1
    with pytest.raises(PocketrefError):
        lay_out(58.0 + excess - 0.2)
    assert lay_out(58.0 + excess + 0.1).sizes[0].body_pt == 8


def test_a_sheet_on_a_stock_too_narrow_says_which_block_is_too_wide(proven: Proof) -> None:
    (model,) = proven.layouts.sheets
    with pytest.raises(PocketrefError) as caught:
        lay_out_sheet(model, proven.library, proven.layouts, "index-3x5")
    sentences = [problem.sentence for problem in caught.value.problems]
    assert any("pulls to tape is" in s and "too wide" in s for s in sentences)
    assert all(re.search(r"\d\.\d mm too (wide|high)", s) for s in sentences)


def test_a_caution_stands_in_a_frame_with_its_signal_word(proven: Proof) -> None:
    front = words_on(proven.sheets[0].document.pages[0])
    assert "WARNING" in front
    assert "Marking material" in front
    assert "Never mark with hydrated lime:" in front
