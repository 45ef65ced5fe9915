"""Writes a web page as one HTML file: style, script and type within, so that it works from any folder.

Nothing is fetched from elsewhere, and a Content-Security-Policy (W3C CSP Level 3) with the hashes of the page's
own style and script keeps everything else from being loaded or run, whatever the source's text holds.
"""

from __future__ import annotations

import base64
import hashlib
from collections.abc import Hashable, Iterable, Iterator, Sequence
from dataclasses import dataclass
from xml.etree.ElementTree import Element

from pocketref.output.svg_fonts import font_face_css
from pocketref.scene.items import FontFace
from pocketref.web.html_content import WebContent, WebLink, WebLinks, WebPage, WebPart, WebSection, WebWords
from pocketref.web.html_language import mark_english
from pocketref.web.html_tree import Node, add_raw, append, mark_bold, tag, text_of, write_tree
from pocketref.web.html_words import WordsWriter
from pocketref.web.language_switch import write_alternates, write_switch
from pocketref.web.page_script import write_data, write_script, write_style
from pocketref.words.speech import find_language, say

CONTENTS = "contents"
MAIN = "main"
_IN_BAND = ("h1", "h2", "h3", "h4", "caption")


@dataclass(frozen=True, slots=True)
class _Look:
    """What parts of a page tell the whole: characters to set in type, rules for drawings, what is shown already."""

    characters: dict[FontFace, set[str]]
    rules: list[str]
    shown: dict[Hashable, tuple[str, str]]

    def add(self, face: FontFace, characters: Iterable[str]) -> None:
        self.characters.setdefault(face, set()).update(characters)


def write_html(page: WebPage) -> str:
    """The page as an HTML document; the same page gives the same text.

    Headings go from the page's (h1) to sections (h2), parts (h3) and what is within a part (h4). Raises
    PocketrefError ("glyph-missing") if a drawing holds a character that its face cannot set.
    """
    look = _Look({}, [], {})
    body = _write_body(page, look)
    title = tag("title", page.title)
    if language := find_language():
        for element in (title, body):
            mark_english(element, language)
    for element in body.iter():
        if element.tag in _IN_BAND:
            look.add(FontFace.BOLD, text_of(element))
    has_views = page.data is not None
    if has_views:
        # Views set words of their own.
        look.add(FontFace.BOLD, map(chr, range(0x20, 0x7F)))
    # A screen slants the regular face well enough for the few words that are italic.
    look.add(FontFace.REGULAR, look.characters.pop(FontFace.ITALIC, ()))
    style = "\n".join(
        (
            font_face_css(look.characters, is_shared=not has_views),
            write_style(with_views=has_views),
            *look.rules,
            "",
        )
    )
    for name, value in (page.data or {}).items():
        add_raw(body, "script", write_data(value), type="application/octet-stream", id=f"data-{name}")
    script = write_script(with_views=has_views)
    add_raw(body, "script", script, type="module")
    policy = write_policy(style, script, is_site=has_views)
    head = _write_head(page, title, policy)
    add_raw(head, "style", style)
    return write_tree(tag("html", head, body, lang=page.language))


def _write_head(page: WebPage, title: Element, policy: str) -> Element:
    """What is told of the page to whatever shows it."""
    head = tag(
        "head",
        tag("meta", charset="utf-8"),
        tag("meta", http_equiv="Content-Security-Policy", content=policy),
        tag("meta", name="viewport", content="width=device-width, initial-scale=1"),
        tag("meta", name="color-scheme", content="light dark"),
        title,
        tag("link", rel="icon", href="data:,"),
    )
    if page.feed:
        name = say("{association}: editions", association=page.heading)
        head.append(tag("link", rel="alternate", type="application/atom+xml", title=name, href=page.feed))
    append(head, write_alternates(page.others))
    return head


def write_policy(style: str, script: str, *, is_site: bool = False) -> str:
    """The Content-Security-Policy that allows this style and this script, type within, and nothing else.

    The page of a site may also have its own manifest, icon and service worker, and read the site's feed.
    """
    own = (
        "connect-src 'self'; img-src data: 'self'; manifest-src 'self'; worker-src 'self'"
        if is_site
        else "img-src data:"
    )
    return (
        f"default-src 'none'; style-src '{_hash(style)}'; script-src '{_hash(script)}'; "
        f"font-src data:; {own}; base-uri 'none'; form-action 'none'"
    )


def _hash(text: str) -> str:
    return "sha256-" + base64.b64encode(hashlib.sha256(text.encode()).digest()).decode("ascii")


def _write_body(page: WebPage, look: _Look) -> Element:
    lead = [tag("p", line) for line in page.lead]
    old = say("This browser is too old to rule on plays or judge readings. All that can be read is here.")
    lead += [tag("p", old, id="too-old", hidden="")] if page.data is not None else []
    header = tag("header", tag("h1", page.heading), *lead)
    sections = [_write_section(section, look) for section in page.sections]
    footer = tag("footer", *[tag("p", line) for line in page.foot])
    return tag(
        "body",
        tag("a", say("Skip to the content"), class_="skip", href=f"#{MAIN}"),
        *write_switch(page.others),
        header,
        tag("div", _write_search(), _write_contents(page.sections), class_="side"),
        tag("main", *sections, id=MAIN, tabindex="-1"),
        footer,
    )


def _write_search() -> Element:
    """A field that only the script shows, because only with it does it do anything."""
    return tag(
        "div",
        tag("label", say("Find on this page"), for_="find"),
        tag("input", id="find", type="search", autocomplete="off", spellcheck="false"),
        tag("p", id="found", role="status"),
        id="search",
        role="search",
        hidden="",
    )


def _write_contents(sections: Sequence[WebSection]) -> Element:
    entries = tag("ul")
    for section in sections:
        titles = [part.title for part in section.parts]
        parts = [
            tag("li", tag("a", _write_name(part, titles.count(part.title) > 1), href=f"#{part.name}"))
            for part in section.parts
        ]
        entries.append(tag("li", tag("details", tag("summary", section.title), tag("ul", *parts))))
    return tag("nav", tag("h2", say("Contents"), id=CONTENTS), entries, aria_labelledby=CONTENTS)


def _write_name(part: WebPart, is_shared: bool) -> str:
    """How the contents name a part: with its tag too where its title is not its alone."""
    name = f"{part.number} {part.title}".lstrip()
    return f"{name}, {part.tag}" if is_shared and part.tag else name


def _write_section(section: WebSection, look: _Look) -> Element:
    heading = f"{section.name}-title"
    intro = [tag("p", *mark_bold(section.intro))] if section.intro else []
    parts = [_write_part(part, look) for part in section.parts]
    made = tag(
        "section",
        tag("h2", section.title, id=heading),
        *intro,
        *parts,
        id=section.name,
        aria_labelledby=heading,
    )
    if section.is_close:
        made.set("class", "close")
    return made


def _write_part(part: WebPart, look: _Look) -> Element:
    heading = f"{part.name}-title"
    number: list[Node] = [tag("span", part.number, class_="number"), " "] if part.number else []
    mark: list[Node] = [" ", tag("span", part.tag, class_="tag")] if part.tag else []
    article = tag(
        "article",
        tag("h3", *number, tag("span", part.title, class_="title"), *mark, id=heading),
        id=part.name,
        aria_labelledby=heading,
        class_="part",
    )
    writer = WordsWriter(part.name, part.title, shown=look.shown)
    for content in part.contents:
        append(article, _write_content(content, writer))
    for face, used in writer.characters.items():
        look.add(face, used)
    look.rules.extend(writer.rules)
    back = tag("a", say("Back to the contents"), href=f"#{CONTENTS}")
    return append(article, [tag("p", back, class_="back")])


def _write_content(content: WebContent, writer: WordsWriter) -> Iterator[Element]:
    match content:
        case WebWords():
            written = writer.write(
                content.words,
                content.drawings,
                is_told=content.is_told,
                kind="picture" if content.is_black_on_white else "figure",
            )
            if content.side:
                name = tag("p", content.side.capitalize().replace("-", " "), class_="side-of-card")
                yield tag("div", name, *written, class_="face")
            else:
                yield from written
        case WebLinks():
            yield _write_links(content)


def _write_links(content: WebLinks) -> Element:
    return tag("ul", *(tag("li", *_write_link(link)) for link in content.links), class_="files")


def _write_link(link: WebLink) -> Iterator[Node]:
    yield tag("a", link.words, href=link.href)
    yield f" {link.note}" if link.note else ""
    for other in link.also:
        yield ", "
        yield from _write_link(other)
