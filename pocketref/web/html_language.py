"""What of a page is still in English says so (`lang`, WCAG 2.2, 3.1.2), so that it is read aloud as English."""

from __future__ import annotations

from collections.abc import Iterator
from xml.etree.ElementTree import Element

from pocketref.web.html_tree import tag, text_of
from pocketref.words.speech import ENGLISH, UNTRANSLATED, Language


def mark_english(body: Element, language: Language) -> None:
    """Give what has no translation its language: in an element of its own, or all of one that says nothing else."""
    missed = {text_of(tag("p", text.replace("*", ""))) for text in language.missed}
    _mark_within(body, missed)


def _mark_within(element: Element, missed: set[str]) -> None:
    said = text_of(element)
    if UNTRANSLATED not in said:
        return
    if said.strip().removesuffix(UNTRANSLATED) in missed:
        element.set("lang", ENGLISH)
        return
    for child in list(element):
        _mark_within(child, missed)
        before, parts = _split(child.tail or "", missed)
        child.tail = before
        at = list(element).index(child) + 1
        for place, part in enumerate(parts, at):
            element.insert(place, part)
    if element.text:
        element.text, parts = _split(element.text, missed)
        for place, part in enumerate(parts):
            element.insert(place, part)


def _split(text: str, missed: set[str]) -> tuple[str, list[Element]]:
    """The text up to its first part in English, then each such part with what follows it as its tail."""
    before, parts = "", list[Element]()
    for piece, is_english in _list_pieces(text, missed):
        if is_english:
            parts.append(tag("span", piece, lang=ENGLISH))
        elif parts:
            parts[-1].tail = (parts[-1].tail or "") + piece
        else:
            before += piece
    return before, parts


def _list_pieces(text: str, missed: set[str]) -> Iterator[tuple[str, bool]]:
    *marked, rest = text.split(UNTRANSLATED)
    for piece in marked:
        starts = (at for at in range(len(piece)) if not at or not piece[at - 1].isalnum())
        start = next((at for at in starts if piece[at:] in missed), len(piece))
        yield piece[:start], False
        yield piece[start:] + UNTRANSLATED, start < len(piece)
    yield rest, False
