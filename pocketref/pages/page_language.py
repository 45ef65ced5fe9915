"""What of a page is still in English says so, so that it is read aloud as English (ISO 32000-1, 14.9.2)."""

from __future__ import annotations

from collections.abc import Iterable, Iterator
from dataclasses import replace

from pocketref.pages.page import Element, Page
from pocketref.scene.items import Item, Text
from pocketref.words.english_parts import Range, covers, cut_ranges, find_english
from pocketref.words.speech import ENGLISH, Language, find_language


def mark_pages(pages: Iterable[Page]) -> tuple[Page, ...]:
    """The pages with what the language in force has no translation of marked: elements, or some words of them."""
    language = find_language()
    if language is None or not language.missed:
        return tuple(pages)
    return tuple(
        replace(page, elements=tuple(_mark_element(each, language) for each in page.elements))
        for page in pages
    )


def _mark_element(element: Element, language: Language) -> Element:
    children = tuple(_mark_element(child, language) for child in element.children)
    texts = [item.content for item in element.items if isinstance(item, Text)]
    said = element.alt or "\n".join(texts)
    if covers(said, find_english(said, language)):
        return replace(element, children=children, language=ENGLISH)
    found = find_english("\n".join(texts), language)
    items = tuple(_mark_items(element.items, found)) if found else element.items
    return replace(element, items=items, children=children)


def _mark_items(items: Iterable[Item], found: Iterable[Range]) -> Iterator[Item]:
    """The items of an element with what is English of their texts, which stand in a line each in what was searched."""
    start = 0
    for item in items:
        if not isinstance(item, Text):
            yield item
            continue
        end = start + len(item.content)
        own = tuple((a, b, ENGLISH) for a, b in cut_ranges(found, start, end))
        yield replace(item, foreign=own) if own else item
        start = end + 1
