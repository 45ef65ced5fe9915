"""Sheets and cards in Spanish: their fields, their language, and what marks English left in them."""

from __future__ import annotations

from pathlib import Path

import pytest
from pdf_languages import list_languages
from season_samples import SECOND_CARD
from source_folders import SourceFolders
from words_in_print import list_said

from pocketref.edition.pdf_file import build_pdf
from pocketref.edition.whole_source import read_whole_source, translate_source
from pocketref.layouts.cards import LaidOut, lay_out_card, lay_out_sheet
from pocketref.layouts.layout_library import read_layouts, translate_layouts
from pocketref.output.contents import items_of
from pocketref.output.pdf import write_pdf
from pocketref.scene.items import FormField
from pocketref.source.library import read_library
from pocketref.source.translation import translate_library
from pocketref.translations.language_proof import read_language
from pocketref.words.speech import UNTRANSLATED, Language, speak

ROOT = Path(__file__).parents[2]
CONTENT, LAYOUTS = ROOT / "content", ROOT / "layouts"
FIELD_SHEETS = ("plate-area", "bases", "mound", "plate-template", "stakeout-bases", "stakeout-plate")
"""All that a field crew works by."""


def lay_out(sheet: str, language: Language) -> LaidOut:
    library = read_library(CONTENT)
    layouts = read_layouts(LAYOUTS, library, CONTENT)
    with speak(language):
        said, shown = translate_library(library, language), translate_layouts(layouts, language)
        (model,) = (each for each in shown.sheets if each.sheet == sheet)
        return lay_out_sheet(model, said, shown)


@pytest.mark.parametrize("sheet", FIELD_SHEETS)
def test_a_sheet_in_spanish_has_the_fields_of_the_english_one(sheet: str) -> None:
    spanish = lay_out(sheet, read_language("es", CONTENT))
    assert spanish.document.language == "es-US"
    assert list_fields(spanish) == list_fields(lay_out_english(sheet))


def lay_out_english(sheet: str) -> LaidOut:
    library = read_library(CONTENT)
    layouts = read_layouts(LAYOUTS, library, CONTENT)
    (model,) = (each for each in layouts.sheets if each.sheet == sheet)
    return lay_out_sheet(model, library, layouts)


def list_fields(laid_out: LaidOut) -> list[str]:
    items = [item for page in laid_out.document.pages for item in items_of(page.elements)]
    return [item.name for item in items if isinstance(item, FormField)]


def test_the_pdf_of_a_sheet_in_spanish_says_that_it_is(tmp_path: Path) -> None:
    laid_out = lay_out("plate-area", read_language("es", CONTENT))
    data = build_pdf("sheets/plate-area", laid_out.document, laid_out.floor_pt).data
    assert b"es-US" in data


@pytest.mark.parametrize("lacking", ["Feet first, *as the batter sets*.", "Look"])
def test_the_back_of_a_card_says_what_marks_english_in_a_title_or_on_the_front(
    folders: SourceFolders, lacking: str
) -> None:
    folders.add("layouts/cards/sight.yaml", SECOND_CARD)
    source = read_whole_source(folders.content, folders.layouts)

    def lay_out_in(language: Language) -> LaidOut:
        with speak(language):
            said = translate_source(source, language)
            (model,) = (each for each in said.layouts.cards if each.card == "sight")
            return lay_out_card(model, said.library, said.layouts)

    lay_out_in(unknown := Language("fr", {}))
    language = Language("fr", {text: (text,) for text in unknown.missed if text != lacking})
    laid_out = lay_out_in(language)
    texts = [text for text in list_said(laid_out) if UNTRANSLATED in text]
    assert any("In English: not translated yet." in text for text in texts)
    read = list_languages(write_pdf(laid_out.document))
    english = "".join(words for tag, words in read if tag == "en-US")
    said = {" ".join(each.split()) for each in english.replace(" .", ".").split(UNTRANSLATED)}
    assert said == {lacking.replace("*", ""), ""}
    assert {tag for tag, words in read if words.strip()} == {"fr", "en-US"}
