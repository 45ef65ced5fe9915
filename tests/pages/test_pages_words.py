"""What a face says in words is what is set in type on it: no more, no less."""

from __future__ import annotations

import re
import unicodedata
from collections import Counter
from collections.abc import Iterable, Iterator
from pathlib import Path

import pytest

from pocketref.layouts.cards import LaidOut, lay_out_card, lay_out_sheet
from pocketref.layouts.layout_library import Layouts, read_layouts
from pocketref.layouts.layout_models import CardModel, SheetModel
from pocketref.pages.page import Element, Role
from pocketref.pages.words import (
    Blank,
    ChartWords,
    Choices,
    FigureWords,
    Heading,
    Listing,
    Panel,
    Paragraph,
    TableWords,
    Words,
)
from pocketref.scene.items import Text
from pocketref.source.library import Library, read_library

ROOT = Path(__file__).parents[2]
LIBRARY = read_library(ROOT / "content")
LAYOUTS = read_layouts(ROOT / "layouts", LIBRARY, ROOT / "content")
SCALE = re.compile(r"scale 1:\d+", re.IGNORECASE)


def list_ink(elements: Iterable[Element]) -> Iterator[str]:
    """The texts that are set, but those within figures."""
    for element in elements:
        if element.role is not Role.FIGURE:
            yield from (item.content for item in element.items if isinstance(item, Text))
            yield from list_ink(element.children)


def list_added(elements: Iterable[Element]) -> Iterator[str]:
    """What type adds to a face's words: the band above it, and the scale beside a drawing."""
    for element in elements:
        if element.role is Role.TITLE:
            yield from list_ink((element,))
        else:
            lines = " ".join(item.content for item in element.items if isinstance(item, Text))
            yield from SCALE.findall(lines)
            yield from list_added(element.children)


def list_said(words: Words) -> Iterator[str]:
    """The same of words; what is only told to who can't see the blanks and drawings is left out."""
    for word in words:
        match word:
            case Heading(text) | Paragraph(text) | FigureWords(caption=text):
                yield text
            case Listing(entries):
                yield from entries
            case Panel(text, entries) | Choices(text, entries):
                yield from (text, *entries)
            case TableWords():
                yield from (word.caption, *word.columns)
                yield from (cell for row in word.rows for cell in row if isinstance(cell, str))
            case Blank(label):
                yield label
            case ChartWords():
                pass


def count_tokens(texts: Iterable[str]) -> Counter[str]:
    """The words in them, fractions written plainly, figures of one digit left out."""
    apart = (re.sub(r"(?<=\d)(?=[¼-¾⅐-⅞⁰¹²³⁴-⁹])", " ", text) for text in texts)
    plain = (unicodedata.normalize("NFKC", text).replace("\u2044", "/").replace("*", "") for text in apart)
    return Counter(
        token
        for text in plain
        for token in re.findall(r"[\w/]+", text.lower())
        if not re.fullmatch(r"\d", token)
    )


def lay_out(model: CardModel | SheetModel, library: Library, layouts: Layouts) -> LaidOut:
    if isinstance(model, CardModel):
        return lay_out_card(model, library, layouts)
    return lay_out_sheet(model, library, layouts)


@pytest.mark.parametrize(
    "model", [*LAYOUTS.cards, *LAYOUTS.sheets], ids=lambda model: Path(model.location.file).stem
)
def test_what_a_face_says_is_what_is_set_on_it(model: CardModel | SheetModel) -> None:
    laid_out = lay_out(model, LIBRARY, LAYOUTS)
    for face, page in zip(laid_out.faces, laid_out.document.pages, strict=False):
        blocks = (*face.body, face.foot)
        said = count_tokens(list_said(tuple(word for block in blocks for word in block.words())))
        set_in_type = count_tokens(list_ink(page.elements))
        added = count_tokens(list_added(page.elements))
        assert set_in_type - said == added
        assert said - set_in_type == Counter()
