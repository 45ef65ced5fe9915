"""What a reader is given in a language, and which of its words nobody translated."""

from __future__ import annotations

import re
from collections.abc import Iterator

from pocketref.layouts.cards import LaidOut
from pocketref.output.contents import items_of, texts_in
from pocketref.pages.page import Element
from pocketref.scene.items import FormField
from pocketref.words.pseudo import stretch

NAMES = {"Larkmoor", "State", "Umpires", "Association", "larkmoor", "example"}
"""What is called the same in every language: the association and its address."""


def list_said(laid_out: LaidOut) -> Iterator[str]:
    """Everything a reader is given: printed texts, what figures show, blanks' tips, the document's own title."""
    yield laid_out.document.title
    for page in laid_out.document.pages:
        items = list(items_of(page.elements))
        yield from (text.content for text in texts_in(items))
        yield from (item.tooltip for item in items if isinstance(item, FormField))
        yield from (element.alt for element in _walk(page.elements) if element.alt)


def _walk(elements: tuple[Element, ...]) -> Iterator[Element]:
    for element in elements:
        yield element
        yield from _walk(element.children)


def find_plain(text: str, names: set[str] = NAMES) -> list[str]:
    """English words that no language was asked for: three letters and more, a vowel among them, none accented."""
    words = re.findall(r"[^\W\d_]{3,}", text)
    return [word for word in words if word.isascii() and re.search("[aeiou]", word) and word not in names]


_NOT_TOLD = re.compile(
    r"'[^'\n]*'|`[^`\n]*`|“[^”\n]*”|\[[^\]\n]*\]|\{[^}\n]*\}"  # quoted, codes, YAML
    r"|\S*[/.=_:]\S+|--?[a-z][a-z-]*|\b[A-Z]{2,}\w*|\w+-[\w-]+",  # paths, options, keys
    re.MULTILINE,
)


def find_untold(text: str, names: set[str] = NAMES) -> list[str]:
    """Lines told to a reader of the language made by rule with English words; lists of names and keys left out."""
    offered = re.sub(rf"{stretch('use one of: ')}.*", "", text)
    lines = ((line, find_plain(_NOT_TOLD.sub(" ", line), names)) for line in offered.splitlines())
    return [f"{plain}: {line}" for line, plain in lines if plain]
