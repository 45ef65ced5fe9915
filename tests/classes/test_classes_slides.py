"""Slides: read from the last row, in the order asked for, built up step by step, with nothing in the way."""

from __future__ import annotations

import math
import re
from io import BytesIO
from itertools import pairwise

import pytest
from class_samples import NAMES, books, lay_out, print_class, read_slides
from demo_cards import read_demo
from fontTools.ttLib import TTFont
from pypdf import PdfReader

from pocketref.classes.deck import TimedSlide, ask_all, lay_out_class
from pocketref.edition.pdf_file import build_pdf
from pocketref.layouts.class_models import FacePartModel, PlaysPartModel
from pocketref.layouts.overlap_check import check_overlaps
from pocketref.output.contents import figures_in, items_of, texts_in
from pocketref.pages.page import Page
from pocketref.pages.words import list_texts
from pocketref.plays.choices import ask_plays
from pocketref.rulings.construct import construct_table
from pocketref.rulings.contrast import contrast_many
from pocketref.rulings.effects import sign_effect
from pocketref.rulings.table import read_ending
from pocketref.scene.items import FontFace, Text
from pocketref.scene.typefaces import typeface

DISTANCE_MM, SCREEN_MM, SLIDE_MM = 8000.0, 1500.0, 90.0
"""The demo's last row and picture, as its layouts state them, and the height of a slide's page."""
ARCMIN = 16.0
"""The least height of characters: ISO 9241-3, as IBM's guide to healthy computing quotes it."""


def measure_least_mm() -> float:
    """The height on a slide's page of what fills 16 minutes of arc at the last row: H = 2 D tan(a/2), NUREG-0700."""
    on_wall = 2 * DISTANCE_MM * math.tan(math.radians(ARCMIN / 60) / 2)
    return on_wall * SLIDE_MM / SCREEN_MM


def find_heights() -> tuple[float, float]:
    """Capitals and small letters as shares of the type size, as the font file itself declares them (OpenType OS/2)."""
    with TTFont(typeface(FontFace.REGULAR).path) as font:
        em = font["head"].unitsPerEm
        return font["OS/2"].sCapHeight / em, font["OS/2"].sxHeight / em


def list_printed(page: Page) -> list[Text]:
    return list(texts_in(items_of(page.elements)))


def list_parts(name: str) -> list[tuple[str, list[TimedSlide]]]:
    """The slides of each part of a class, by its kind."""
    deck = lay_out(name)
    return [
        (part.part, [each for each in deck.slides if each.part == number])
        for number, part in enumerate(deck.model.parts)
    ]


@pytest.mark.parametrize("name", NAMES)
def test_the_last_row_can_read_every_word(name: str) -> None:
    """Capitals everywhere, small letters too in running text: what is neither in a drawing nor in a slide's foot."""
    mm_per_pt, (capital, small) = 25.4 / 72, find_heights()
    running = 0
    for page, timed in zip(read_slides(name).pages, lay_out(name).slides, strict=True):
        foot = next(text.y for text in page.texts if re.fullmatch(r"\d+ of \d+", text.content))
        for text in (text for text in page.texts if text.has_ink):
            assert text.size_pt * mm_per_pt * capital >= measure_least_mm() * 0.99, text.content
            is_drawn = text.content.startswith("[") or any(face in text.font for face in ("Medium", "Italic"))
            if timed.slide.look != "dense" and text.y > foot + 0.1 and not is_drawn:
                running += 1
                assert text.size_pt * mm_per_pt * small >= measure_least_mm() * 0.99, text.content
    assert running > 5 * len(lay_out(name).slides)


@pytest.mark.parametrize("name", NAMES)
def test_nothing_on_a_slide_overlaps_or_leaves_it(name: str) -> None:
    assert read_slides(name).pages  # that it could be read back says that it prints as asked
    assert check_overlaps(lay_out(name).deck) == []
    for page in read_slides(name).pages:
        assert page.media.width_mm / page.media.height_mm == pytest.approx(16 / 9, abs=1e-3)


def test_the_evening_has_some_forty_slides_and_the_refresher_half_of_them() -> None:
    assert 38 <= len(lay_out("box").slides) <= 44
    assert 18 <= len(lay_out("refresher").slides) <= 22


def test_the_box_is_built_up_each_thing_where_it_stays() -> None:
    pages = [page for page in lay_out("box").deck.document.pages if list(figures_in(page))][:5]
    drawn = [{(t.content, round(t.x, 3)) for t in texts_in(items_of(figures_in(page)))} for page in pages]
    for before, after in pairwise(drawn):
        assert before <= after
    lengths = read_demo()[0].fields["high-school-90-ft"].dimensions
    assert "17 in" in {content.replace("\u00a0", " ") for content, _ in drawn[0]}
    assert len(drawn[0]) < len(drawn[1]) <= len(drawn[2]) < len(drawn[3]) < len(drawn[4])
    alts = [figure.alt for page in pages for figure in figures_in(page)]
    assert [alt.count(",") for alt in alts] == [1, 2, 3, 4, 5]
    assert "catchers-box-width" in lengths


@pytest.mark.parametrize("name", NAMES)
def test_a_chart_gains_a_question_with_each_slide(name: str) -> None:
    for kind, slides in list_parts(name):
        if kind != "chart":
            continue
        titles = [each.slide.title for each in slides]
        assert titles == [
            f"{titles[0].split(':')[0]}: question {n} of {len(titles)}" for n in range(1, len(titles) + 1)
        ]
        numbers = [each.slide.body[0] for each in slides]
        for before, after in pairwise(numbers):
            assert after.alt.startswith(before.alt) or after.part != before.part  # type: ignore[attr-defined]


@pytest.mark.parametrize("name", NAMES)
def test_a_play_is_asked_shown_ruled_on_and_talked_over_in_this_order(name: str) -> None:
    asked = {}
    for number, part in enumerate(lay_out(name).model.parts):
        if part.part != "plays":
            continue
        slides = [each.slide for each in lay_out(name).slides if each.part == number]
        titles = [read_demo()[0].plays[n.split("/")[0]].cases[n.split("/")[1]].title for n in part.cases]
        assert slides[0].title == titles[0]
        for place, title in enumerate(titles, 1):
            own = [s for s in slides if s.number == str(place)]
            asked[title] = [s.title for s in own]
            assert own[0].title == title
            assert own[-2].title.startswith(f"{title}: ")
            assert own[-2].title[-1] in "ABCD"
            assert own[-1].title == f"{title}: why"
            # Before the ruling nothing tells the letter.
            assert all(s.title == title for s in own[:-2])
    assert asked


def test_prompts_are_the_computed_differences_and_the_wrong_choices() -> None:
    library = read_demo()[0]
    codes = ("high-school", "professional", "college", "youth")
    tables = {
        code: construct_table(library.subjects["contact"], library.rulings[code, "contact"]) for code in codes
    }

    def sign(code: str, outcome: str) -> object:
        return sign_effect(library.rulings[code, "contact"].rulings[outcome])

    differences = contrast_many(tables, sign)
    slides = next(slides for kind, slides in list_parts("box") if kind == "differences")
    prompts = [entry for each in slides for entry in getattr(each.slide.body[-1], "entries", ())]
    assert len(prompts) == len(differences)
    rows = [row for each in slides for row in getattr(each.slide.body[-1], "rows", ())]
    assert [row[0].words for row in rows] == [prompt.removesuffix(".") for prompt in prompts]
    for found, row in zip(differences, rows, strict=True):
        for code, cell in zip(codes, row[1:], strict=True):
            assert ("check league" in cell.words) is read_ending(found.outcomes[code])[1]


@pytest.mark.parametrize("name", NAMES)
def test_each_wrong_choice_is_talked_over_and_the_notes_give_its_reason(name: str) -> None:
    asked = ask_all(lay_out(name).model, books())
    assert list(asked.values()) == list(ask_plays(books(), [each.ruled for each in asked.values()]))
    for each in asked.values():
        title = each.ruled.case.model.title
        (why,) = [t.slide for t in lay_out(name).slides if t.slide.title == f"{title}: why"]
        wrong = [choice for choice in each.choices if not choice.is_right]
        said = why.body[0].entries  # type: ignore[attr-defined]
        assert sum(entry.endswith("is it right?") for entry in said) == len(wrong)
        assert [choice.reason in note for choice, note in zip(wrong, why.notes, strict=True)] == [True] * len(
            wrong
        )


@pytest.mark.parametrize("name", NAMES)
def test_slides_are_tagged_found_by_bookmarks_and_told_to_who_cannot_see_them(name: str) -> None:
    reader = PdfReader(BytesIO(print_class(name)[0]))
    catalog = reader.trailer["/Root"]
    assert catalog["/MarkInfo"]["/Marked"]
    assert "pdfuaid" in catalog["/Metadata"].get_object().get_data().decode()
    top = [each for each in reader.outline if not isinstance(each, list)]
    assert [reader.get_destination_page_number(each) for each in top] == list(range(len(reader.pages)))
    figures = [figure for page in lay_out(name).deck.document.pages for figure in figures_in(page)]
    assert all(figure.alt.strip() for figure in figures)


def test_a_play_in_which_someone_can_get_hurt_has_its_caution() -> None:
    library, layouts = read_demo()
    part = {"part": "plays", "cases": ["fly-comes-down/" + find_cautioned()]}
    box = next(each for each in layouts.classes if each.class_ == "box")
    model = box.model_copy(update={"parts": (PlaysPartModel.model_validate(part),)})
    slide = lay_out_class(model, books(), layouts).slides[-1].slide
    caution = library.cautions["head-impact"]
    said = " ".join(text for block in slide.body for text in list_texts(block.words()))
    assert slide.title.endswith(": caution")
    assert caution.signal_word.upper() in said
    assert all(entry in said for entry in (*caution.lead, *caution.entries))


def find_cautioned() -> str:
    """A play on a fly that comes down, with a caution."""
    cases = read_demo()[0].plays["fly-comes-down"].cases
    return next(
        name for name, play in cases.items() if play.caution == "head-impact" and "high-school" in play.expect
    )


def test_a_class_on_lines_of_lime_prints_the_caution_that_it_asks_for() -> None:
    library, layouts = read_demo()
    name = "marking"
    part = {"part": "face", "title": "Lime", "blocks": ({"block": "caution", "caution": name},)}
    box = next(each for each in layouts.classes if each.class_ == "box")
    model = box.model_copy(update={"parts": (FacePartModel.model_validate(part),)})
    page = lay_out_class(model, books(), layouts).deck.document.pages[-1]
    said = " ".join(text.content for text in list_printed(page))
    assert library.cautions[name].signal_word.upper() in said


def test_a_heel_alone_on_the_ground_prints_within_its_slide() -> None:
    """Its outline's corners, next to nothing sharp, were read back as reaching off the slide."""
    library, layouts = read_demo()
    assert "rocking-on-the-heel" in library.plays["contact"].cases
    part = {"part": "plays", "cases": ["contact/rocking-on-the-heel"]}
    box = next(each for each in layouts.classes if each.class_ == "box")
    model = box.model_copy(update={"parts": (PlaysPartModel.model_validate(part),)})
    deck = lay_out_class(model, books(), layouts).deck
    assert build_pdf(deck.name, deck.document, deck.floor_pt).pages == len(deck.document.pages)
