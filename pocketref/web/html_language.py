"""What of a page is still in English says so (`lang`, WCAG 2.2, 3.1.2), so that it is read aloud as English."""

from __future__ import annotations

from collections.abc import Iterator, Sequence
from itertools import zip_longest
from xml.etree.ElementTree import Element

from pocketref.web.html_tree import WITHIN_A_LINE, Node, append, tag, text_of
from pocketref.words.english_parts import Range, covers, cut_ranges, find_english
from pocketref.words.speech import ENGLISH, UNTRANSLATED, Language


def mark_english(element: Element, language: Language) -> None:
    """Give what has no translation its language: in an element of its own, or all of one that says nothing else.

    A picture's words are its label's, whatever is written in it.
    """
    said = element.get("aria-label", "") if element.tag == "svg" else text_of(element)
    if element.tag in ("svg", "title"):
        if covers(said, find_english(said, language)):
            element.set("lang", ENGLISH)
    elif all(child.tag in WITHIN_A_LINE for child in element):
        _mark_within(element, find_english(said, language), 0)
    elif UNTRANSLATED in "".join([said, *(svg.get("aria-label", "") for svg in element.iter("svg"))]):
        for child in element:
            mark_english(child, language)


def _mark_within(element: Element, found: Sequence[Range], start: int) -> None:
    """Mark what is found in words of which those of the element begin at `start`."""
    if not found:
        return
    said = text_of(element)
    if covers(said, cut_ranges(found, start, start + len(said))):
        element.set("lang", ENGLISH)
        return
    children = list(element)
    texts = [element.text or "", *(child.tail or "" for child in children)]
    element[:], element.text = [], None
    for text, child in zip_longest(texts, children):
        append(element, _split(text, cut_ranges(found, start, start + len(text))))
        start += len(text)
        if child is not None:
            child.tail = None
            element.append(child)
            length = len(text_of(child))
            _mark_within(child, found, start)
            start += length


def _split(text: str, found: Sequence[Range]) -> Iterator[Node]:
    """The text in pieces, those in English in an element of their own."""
    at = 0
    for start, end in found:
        yield text[at:start]
        yield tag("span", text[start:end], lang=ENGLISH)
        at = end
    yield text[at:]
