"""Words that run over each other are told at the card they are on, before anything is written."""

from __future__ import annotations

from dataclasses import replace

import pytest
from field_sheets import lay_out, layouts, library

from pocketref.edition.pdf_file import build_pdf
from pocketref.layouts.cards import LaidOut, lay_out_sheet
from pocketref.layouts.overlap_check import check_overlaps
from pocketref.pages.page import Box, Element, Role
from pocketref.problems import PocketrefError
from pocketref.scene.inks import BLACK
from pocketref.scene.items import FontFace, Text
from pocketref.scene.typefaces import set_text

ANYWHERE = Box(-90, -90, 300, 300)


def add_words(item: LaidOut, *texts: Text, safe: Box = ANYWHERE) -> LaidOut:
    """The card with more words on its front, in a block called figure diamond."""
    first, *rest = item.document.pages
    block = Element(Role.FIGURE, texts, alt="words", label="figure diamond")
    page = replace(first, elements=(*first.elements, block), safe=safe)
    return replace(item, document=replace(item.document, pages=(page, *rest)))


def words(content: str, x: float, y: float, angle: float = 0.0) -> Text:
    return set_text(x, y, content, FontFace.REGULAR, 8.0, BLACK, "start", angle)


def test_nothing_overlaps_on_any_card_or_sheet() -> None:
    names = [card.card for card in layouts().cards] + [sheet.sheet for sheet in layouts().sheets]
    assert len(names) > 10
    assert [problem.sentence for name in names for problem in check_overlaps(lay_out(name))] == []


def test_an_overlap_names_the_card_its_file_the_face_and_the_block() -> None:
    spoilt = add_words(lay_out("field"), words("90 ft", -40, -40), words("[27432]", -39, -39.5))
    (problem,) = check_overlaps(spoilt)
    assert problem.code == "text-overlap"
    assert problem.sentence == "card field, front: '90 ft' and '[27432]' overlap in figure diamond"
    assert problem.where is not None
    assert problem.where.file.endswith("layouts/cards/field.yaml")
    assert "larger stock" in problem.hint


@pytest.mark.parametrize(("angle", "count"), [(0.0, 0), (90.0, 1)])
def test_words_are_compared_as_they_are_turned(angle: float, count: int) -> None:
    level, other = words("first to third", -60, -40), words("home to second", -55, -44.5, angle)
    assert len(check_overlaps(add_words(lay_out("field"), level, other))) == count


@pytest.mark.parametrize("name", ["Piña", "Zürich", "Éire", "Ångström", "ČŠŽ"])
def test_marks_over_letters_are_no_overlap_in_an_association_s_name(name: str) -> None:
    edition = library().edition.model_copy(update={"association": f"{name} Umpires"})
    named = replace(library(), edition=edition)
    for sheet in layouts().sheets:
        item = lay_out_sheet(sheet, named, layouts())
        assert check_overlaps(item) == []
        assert build_pdf(sheet.sheet, item.document, item.floor_pt).data


def test_a_letter_s_mark_that_meets_the_line_above_is_told() -> None:
    low, high = words("pygmy", -60, -40), words("ÅÉÇ", -60, -43)
    assert len(check_overlaps(add_words(lay_out("field"), low, high))) == 1
    assert check_overlaps(add_words(lay_out("field"), low, words("anno", -60, -43))) == []


def test_words_that_leave_the_safe_area_are_told_as_a_printed_file_s_are() -> None:
    safe = lay_out("field").document.pages[0].safe
    inside = add_words(lay_out("field"), words("M", safe.x, safe.y - 2.0), safe=safe)
    (problem,) = check_overlaps(inside)
    assert problem.code == "text-outside-safe"
    assert "'M' in figure diamond is 2.0 mm outside" in problem.sentence
    with pytest.raises(PocketrefError) as caught:
        build_pdf("field", inside.document, inside.floor_pt)
    assert {each.code for each in caught.value.problems} >= {"text-outside-safe"}
