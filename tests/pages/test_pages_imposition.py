"""Press sheets: cut, stacked and turned over as a print shop would, from the printed file alone."""

from __future__ import annotations

from collections import Counter
from dataclasses import replace
from io import BytesIO

import pytest
from hypothesis import given, settings
from hypothesis import strategies as st
from press_samples import (
    EDITION,
    FLOOR_PT,
    NEAR_MM,
    card_document,
    cut_and_stack,
    cut_sheet,
    find_cuts,
    is_crop_mark,
    paper,
    size_of,
)
from pypdf import PdfReader

from pocketref.output.pdf import write_pdf
from pocketref.output.reading.readback import read_pdf
from pocketref.output.reading.readback_checks import check_document
from pocketref.pages.page import Document, Role
from pocketref.pages.press.imposition import impose_cards
from pocketref.pages.press.press_grid import arrange_cards, choose_grid
from pocketref.problems import PocketrefError
from pocketref.scene.inks import BLACK
from pocketref.scene.items import FontFace, FormField, Placed, Scene
from pocketref.scene.typefaces import set_text

CARDS = ("index-3x5", "index-4x6", "id-1", "a7", "a6", "quarter-letter")


def impose(count: int, card: str = "id-1", on: str = "letter", **asked: object) -> Document:
    documents = [card_document(n, size_of(card)) for n in range(count)]
    wanted = {"flip": "long", "order": "cut-and-stack", "edition": EDITION, **asked}
    return impose_cards(documents, paper(on), **wanted)


@given(st.integers(1, 200), st.integers(1, 21), st.sampled_from(["sequence", "cut-and-stack"]))
@settings(max_examples=60)
def test_every_card_is_printed_once_and_no_sheet_is_wasted(cards, places, order):
    sheets = arrange_cards(cards, places, order)
    shown = [card for sheet in sheets for card in sheet if card is not None]
    assert sorted(shown) == list(range(cards))
    assert all(len(sheet) == places for sheet in sheets)
    assert (len(sheets) - 1) * places < cards <= len(sheets) * places


@given(st.integers(1, 200), st.integers(1, 21))
@settings(max_examples=60)
def test_stacks_laid_on_each_other_are_in_order(cards, places):
    sheets = arrange_cards(cards, places, "cut-and-stack")
    piled = [sheet[place] for place in range(places) for sheet in sheets]
    assert [card for card in piled if card is not None] == list(range(cards))


def test_repeating_fills_each_sheet_with_one_card():
    assert arrange_cards(2, 3, "repeat") == ((0, 0, 0), (1, 1, 1))


@pytest.mark.parametrize("duplex", ["short", "long"])
@pytest.mark.parametrize("flip", ["long", "short"])
@pytest.mark.parametrize(("card", "on", "bleed"), [("id-1", "letter", 3.175), ("index-3x5", "letter", 0.0)])
def test_cut_sheets_stack_in_order_and_both_sides_of_each_card_belong_together(card, on, bleed, flip, duplex):
    size = size_of(card)
    documents = [card_document(n, size, duplex) for n in range(11)]
    asked = {"flip": flip, "order": "cut-and-stack", "edition": EDITION, "bleed_mm": bleed}
    pieces = cut_and_stack(write_pdf(impose_cards(documents, paper(on), **asked)), size, flip)
    assert [piece.front for piece in pieces] == [f"C{n} front" for n in range(11)]
    assert [piece.back for piece in pieces] == [f"C{n} back" for n in range(11)]
    assert max(piece.register_error_mm for piece in pieces) < NEAR_MM
    assert {piece.turns_sideways for piece in pieces} == {duplex == "short"}


@pytest.mark.parametrize("on", ["letter", "a4", "tabloid"])
@pytest.mark.parametrize("card", CARDS)
def test_every_stock_registers_on_every_paper(card, on):
    document = impose(1, card, on, order="repeat")
    data = write_pdf(document)
    pieces = cut_and_stack(data, size_of(card), "long")
    assert len(pieces) == choose_grid(paper(on), *size_of(card)).count
    assert {(piece.front, piece.back) for piece in pieces} == {("C0 front", "C0 back")}
    assert max(piece.register_error_mm for piece in pieces) < NEAR_MM
    assert check_document(read_pdf(data), document, FLOOR_PT) == []


def test_a_landscape_paper_turned_over_its_long_edge_registers_too():
    size, wide = size_of("id-1"), replace(paper("letter"), width_mm=279.4, height_mm=215.9)
    documents = [card_document(n, size) for n in range(3)]
    document = impose_cards(documents, wide, flip="long", order="sequence", edition=EDITION)
    pieces = cut_and_stack(write_pdf(document), size, "long")
    assert [(piece.front[:2], piece.back[:2]) for piece in pieces] == [(f"C{n}", f"C{n}") for n in range(3)]
    assert all(piece.turns_sideways for piece in pieces)


def test_a_portrait_card_that_turns_over_its_long_edge_turns_sideways():
    size = (53.98, 85.6)
    documents = [card_document(0, size, "long")]
    document = impose_cards(documents, paper("letter"), flip="long", order="repeat", edition=EDITION)
    assert all(piece.turns_sideways for piece in cut_and_stack(write_pdf(document), size, "long"))


def test_spare_places_stay_blank_and_nothing_is_stretched():
    document = impose(3, bleed_mm=3.175, order="sequence")
    front, back = read_pdf(write_pdf(document)).pages
    pieces = cut_sheet(front, back, size_of("id-1"), "long")
    assert [piece is None for piece in pieces] == [False] * 3 + [True] * 5
    assert {text.size_pt for text in front.texts if text.content.startswith("C")} == {12}


def test_each_face_is_written_once_however_often_it_is_placed():
    reader = PdfReader(BytesIO(write_pdf(impose(2, order="repeat"))))
    forms = {
        entry.idnum
        for page in reader.pages
        for entry in (page["/Resources"]["/XObject"].raw_get(n) for n in page["/Resources"]["/XObject"])
    }
    assert len(forms) == 4
    operators = reader.pages[0].get_contents().get_data()
    assert operators.count(b" Do") == choose_grid(paper("letter"), *size_of("id-1")).count


def test_crop_marks_stand_outside_the_bleed_at_a_quarter_of_a_point():
    grid = choose_grid(paper("letter"), *size_of("id-1"), gutter_mm=6.35, bleed_mm=3.175)
    box = grid.box.inset(-3.175)
    page = read_pdf(write_pdf(impose(8, bleed_mm=3.175))).pages[0]
    marks = [path for path in page.paths if is_crop_mark(path, page)]
    assert len(marks) == 2 * (2 * grid.columns + 2 * grid.rows)
    for mark in marks:
        left, bottom, right, top = mark.extent
        outside = max(box.x - right, left - box.right, box.y - top, bottom - box.top)
        assert outside > -0.005
        assert max(right - left, top - bottom) > 3
        assert mark.stroke_mm == pytest.approx(0.088, abs=0.001)


def test_cards_that_touch_share_a_cut_and_bleed_gives_each_its_own():
    touching = read_pdf(write_pdf(impose(4, "a7"))).pages[0]
    apart = read_pdf(write_pdf(impose(4, "a7", bleed_mm=3))).pages[0]
    assert [len(cuts) for cuts in find_cuts(touching)] == [3, 3]
    assert [len(cuts) for cuts in find_cuts(apart)] == [4, 4]


def test_no_words_stand_on_a_crop_mark():
    for card in CARDS:
        for on in ("letter", "a4", "tabloid"):
            page = read_pdf(write_pdf(impose(1, card, on, order="repeat"))).pages[0]
            marks = [path.extent for path in page.paths if is_crop_mark(path, page)]
            slug = [text.extent for text in page.texts if not text.content.startswith("C0")]
            assert slug
            for left, bottom, right, top in slug:
                assert not any(
                    left < m[2] + 0.7 and m[0] < right + 0.7 and bottom < m[3] + 0.7 and m[1] < top + 0.7
                    for m in marks
                )


@pytest.mark.parametrize("edition", [EDITION, "ÅÉÑ Umpires, edition 2027"])
@pytest.mark.parametrize("card", ["id-1", "index-3x5"])
def test_the_slug_line_says_what_to_print_and_keeps_off_the_cards(card, edition):
    document = impose(20, card, flip="short", edition=edition)
    pages = read_pdf(write_pdf(document)).pages
    sheets = len(pages) // 2
    for index, page in enumerate(pages):
        slug = [text for text in page.texts if not text.content.startswith("C") and text.has_ink]
        said = " ".join(text.content for text in slug).replace("\u00a0", " ")
        side = "backs" if index % 2 else "fronts"
        for part in (edition, f"sheet {index // 2 + 1} of {sheets}, {side}", "short edge", "print at 100 %"):
            assert part in said
        grid = choose_grid(paper("letter"), *size_of(card)).box
        for text in slug:
            assert text.size_pt >= FLOOR_PT
            left, bottom, right, top = text.extent
            assert min(left, bottom, 215.9 - right, 279.4 - top) > 6.34
            assert right < grid.x or top < grid.y


def test_only_the_fronts_say_how_to_stack():
    fronts, backs = (
        " ".join(text.content for text in page.texts)
        for page in read_pdf(write_pdf(impose(9, bleed_mm=3.175))).pages[:2]
    )
    assert "stack the piles" in fronts
    assert "stack the piles" not in backs


def test_the_faces_of_a_card_in_two_languages_say_theirs_on_the_sheet():
    card = card_document(1, size_of("id-1"))
    front, back = card.pages
    card = replace(card, pages=(front, replace(back, language="es-US")))
    imposed = impose_cards([card, card], paper("letter"), flip="long", order="sequence", edition=EDITION)
    said = [[e.language for e in page.elements if e.role is Role.FIGURE] for page in imposed.pages]
    assert said == [["en-US"] * 2, ["es-US"] * 2]


def test_the_file_tells_printers_which_edge_to_flip():
    document = impose(9, flip="short")
    assert document.duplex == "short"
    preferences = PdfReader(BytesIO(write_pdf(document))).trailer["/Root"]["/ViewerPreferences"]
    assert preferences["/Duplex"] == "/DuplexFlipShortEdge"
    assert preferences["/PrintScaling"] == "/None"
    assert document.title == "9 cards, press sheets"
    assert EDITION in document.subject


def test_scenes_of_one_key_on_two_cards_both_print():
    def label(words: str, x: float) -> Placed:
        inner = Scene("inner", 9, 4, (set_text(0, 0, words, FontFace.REGULAR, 8, BLACK),))
        return Placed(Scene("label", 9, 4, (Placed(inner, 0, 0),)), x, 20)

    size = size_of("id-1")
    documents = [card_document(n, size, "short", label(w, 40)) for n, w in enumerate(("one", "two", "one"))]
    document = impose_cards(documents, paper("letter"), flip="long", order="sequence", edition=EDITION)
    data = write_pdf(document)
    assert check_document(read_pdf(data), document, FLOOR_PT) == []
    assert Counter(text.content for text in read_pdf(data).pages[0].texts)["one"] == 2


def test_a_blank_on_a_card_prints_as_an_empty_box():
    blank = FormField(40, 20, 20, 6, "name", "Whose card it is")
    documents = [card_document(0, size_of("id-1"), "short", blank)]
    document = impose_cards(documents, paper("letter"), flip="long", order="sequence", edition=EDITION)
    page = read_pdf(write_pdf(document)).pages[0]
    boxes = [path for path in page.paths if path.extent[2] - path.extent[0] == pytest.approx(20, abs=0.2)]
    assert (
        len(boxes)
        + len([path for path in page.paths if path.extent[3] - path.extent[1] == pytest.approx(20, abs=0.2)])
        == 1
    )


def refusal(**asked: object) -> str:
    with pytest.raises(PocketrefError) as caught:
        impose(2, **asked)
    return caught.value.problems[0].code


def test_what_cannot_be_imposed_is_refused_with_a_reason():
    assert refusal(card="letter") == "card-too-large"
    assert refusal(bleed_mm=3.175, gutter_mm=6) == "gutter-too-small"
    assert refusal(edition="Umpires of the county " * 40) == "slug-too-long"
    mixed = [card_document(0, size_of("id-1")), card_document(1, size_of("a7"))]
    with pytest.raises(PocketrefError, match="others are not") as caught:
        impose_cards(mixed, paper("letter"), flip="long", order="sequence", edition=EDITION)
    assert caught.value.problems[0].code == "card-sizes"


def test_a_card_without_a_back_is_a_mistake():
    card = card_document(0, size_of("id-1"))
    one_sided = replace(card, pages=card.pages[:1])
    for documents in ([], [one_sided]):
        with pytest.raises(ValueError, match="front and a back"):
            impose_cards(documents, paper("letter"), flip="long", order="sequence", edition=EDITION)
