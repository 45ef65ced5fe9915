"""The links from a page to itself in the edition's other languages."""

from __future__ import annotations

from collections.abc import Iterator, Sequence
from urllib.parse import quote
from xml.etree.ElementTree import Element

from pocketref.edition.languages import EditionLanguage
from pocketref.web.html_content import WebLanguage
from pocketref.web.html_tree import tag
from pocketref.words.speech import say


def link_languages(
    own: EditionLanguage, languages: Sequence[EditionLanguage], name: str
) -> tuple[WebLanguage, ...]:
    """The same page in each other language; `name` is the page's, from the folder of its language on."""
    return tuple(
        WebLanguage(each.tag, each.title, quote(own.find_way(name, each)))
        for each in languages
        if each != own
    )


def write_alternates(languages: Sequence[WebLanguage]) -> Iterator[Element]:
    """What tells a browser or a search of the other languages (HTML, link type "alternate" with hreflang)."""
    for each in languages:
        yield tag("link", rel="alternate", hreflang=each.tag, href=each.href)


def write_switch(languages: Sequence[WebLanguage]) -> Iterator[Element]:
    """The links, each in its own language's words; the page's script has them keep the place."""
    links = [tag("a", each.title, href=each.href, lang=each.tag, hreflang=each.tag) for each in languages]
    if links:
        entries = tag("ul", *(tag("li", link) for link in links))
        yield tag("nav", entries, class_="languages", aria_label=say("This page in another language"))
