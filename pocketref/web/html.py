"""Writes a web page as one HTML file: style, script and type within, so that it works from any folder.

Nothing is fetched from elsewhere, and a Content-Security-Policy (W3C CSP Level 3) with the hashes of the page's
own style and script keeps everything else from being loaded or run, whatever the source's text holds.
"""

from __future__ import annotations

import base64
import hashlib
from collections.abc import Iterable, Iterator, Sequence
from dataclasses import dataclass
from importlib.resources import files
from xml.etree.ElementTree import Element

from pocketref.output.contents import characters_in
from pocketref.output.svg_fonts import font_face_css
from pocketref.scene.items import Face
from pocketref.web.html_content import (
    WebBlanks,
    WebChoices,
    WebContent,
    WebFaces,
    WebLinks,
    WebPage,
    WebPanel,
    WebPart,
    WebPicture,
    WebProse,
    WebSection,
    WebTable,
)
from pocketref.web.html_drawing import write_width_rule
from pocketref.web.html_faces import FaceWriter, write_scroller
from pocketref.web.html_plays import write_blanks, write_choices, write_panel, write_picture
from pocketref.web.html_tree import Node, add_raw, append, mark_bold, tag, text_of, write_tree

CONTENTS = "contents"
MAIN = "main"
_IN_BAND = ("h1", "h2", "h3", "h4", "caption")


@dataclass(frozen=True, slots=True)
class _Look:
    """What the page's style needs to know of its content: characters to set in type, and rules for drawings."""

    characters: dict[Face, set[str]]
    rules: list[str]

    def add(self, face: Face, characters: Iterable[str]) -> None:
        self.characters.setdefault(face, set()).update(characters)


def write_html(page: WebPage) -> str:
    """The page as an HTML document; the same page gives the same text.

    Headings go from the page's (h1) to sections (h2), parts (h3) and what is within a part (h4). Raises
    PocketrefError ("glyph-missing") if a drawing holds a character that its face cannot set.
    """
    look = _Look({}, [])
    body = _write_body(page, look)
    for element in body.iter():
        if element.tag in _IN_BAND:
            look.add(Face.BOLD, text_of(element))
    style = "\n".join((font_face_css(look.characters), _read_own("html_page.css"), *look.rules, ""))
    script = _read_own("html_page.js")
    add_raw(body, "script", script)
    head = tag(
        "head",
        tag("meta", charset="utf-8"),
        tag("meta", http_equiv="Content-Security-Policy", content=write_policy(style, script)),
        tag("meta", name="viewport", content="width=device-width, initial-scale=1"),
        tag("meta", name="color-scheme", content="light dark"),
        tag("title", page.title),
        tag("link", rel="icon", href="data:,"),
    )
    add_raw(head, "style", style)
    return write_tree(tag("html", head, body, lang=page.language))


def write_policy(style: str, script: str) -> str:
    """The Content-Security-Policy that allows this style and this script, type within, and nothing else."""
    return (
        f"default-src 'none'; style-src '{_hash(style)}'; script-src '{_hash(script)}'; "
        "font-src data:; img-src data:; base-uri 'none'; form-action 'none'"
    )


def _hash(text: str) -> str:
    return "sha256-" + base64.b64encode(hashlib.sha256(text.encode()).digest()).decode("ascii")


def _read_own(name: str) -> str:
    return (files("pocketref.web") / name).read_text(encoding="utf-8")


def _write_body(page: WebPage, look: _Look) -> Element:
    header = tag("header", tag("h1", page.heading), *[tag("p", line) for line in page.lead])
    sections = [_write_section(section, look) for section in page.sections]
    footer = tag("footer", *[tag("p", line) for line in page.foot])
    return tag(
        "body",
        tag("a", "Skip to the content", class_="skip", href=f"#{MAIN}"),
        header,
        tag("div", _write_search(), _write_contents(page.sections), class_="side"),
        tag("main", *sections, id=MAIN, tabindex="-1"),
        footer,
    )


def _write_search() -> Element:
    """A field that only the script shows, because only with it does it do anything."""
    return tag(
        "div",
        tag("label", "Find on this page", for_="find"),
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
        entries.append(tag("li", tag("a", section.title, href=f"#{section.name}"), tag("ul", *parts)))
    return tag("nav", tag("h2", "Contents", id=CONTENTS), entries, aria_labelledby=CONTENTS)


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
    for content in part.contents:
        append(article, _write_content(content, part, look))
    back = tag("a", "Back to the contents", href=f"#{CONTENTS}")
    return append(article, [tag("p", back, class_="back")])


def _write_content(content: WebContent, part: WebPart, look: _Look) -> Iterator[Element]:
    match content:
        case WebFaces():
            writer = FaceWriter(part.name, part.title, content)
            yield tag("div", *writer.write(), class_="faces")
            for face, used in writer.characters.items():
                look.add(face, used)
            look.rules.extend(writer.rules)
        case WebTable():
            yield write_scroller(_write_table(content), content.caption)
        case WebPicture():
            yield _write_picture(content, part, look)
        case WebProse():
            yield from _write_prose(content)
        case WebPanel():
            yield write_panel(content)
        case WebChoices():
            yield write_choices(content, f"{part.name}-answer")
        case WebBlanks():
            yield write_blanks(content)
        case WebLinks():
            yield _write_links(content)


def _write_picture(content: WebPicture, part: WebPart, look: _Look) -> Element:
    """The picture with the id "<part>-picture": a part has no more than one."""
    name = f"{part.name}-picture"
    for face, used in characters_in(content.items).items():
        look.add(face, used)
    figure, drawing = write_picture(content, name, part.title)
    look.rules.append(write_width_rule(name, drawing))
    return figure


def _write_prose(content: WebProse) -> Iterator[Element]:
    if content.heading:
        yield tag("h4", content.heading)
    if content.is_list:
        yield tag("ol" if content.is_numbered else "ul", *[tag("li", *mark_bold(e)) for e in content.entries])
    else:
        yield from (tag("p", *mark_bold(entry)) for entry in content.entries)


def _write_table(content: WebTable) -> Element:
    """The table. One that a narrow screen shows row by row has roles, which say that it is one all the same."""
    names = content.columns
    head = tag("tr", *[tag("th", name, scope="col", role="columnheader") for name in names], role="row")
    table = tag("table", tag("caption", content.caption), role="table")
    if not content.is_narrow:
        table.set("class", "stack")
    table.append(tag("thead", head, role="rowgroup"))
    rows = tag("tbody", role="rowgroup")
    for first, *others in content.rows:
        cells = [
            tag("td", *_write_lines(cell), role="cell", data_column=name)
            for name, cell in zip(names[1:], others, strict=True)
        ]
        head = tag("th", *_write_lines(first), scope="row", role="rowheader")
        rows.append(tag("tr", head, *cells, role="row"))
    table.append(rows)
    return table


def _write_lines(cell: str) -> list[Node]:
    lines = cell.split("\n")
    if len(lines) == 1:
        return mark_bold(cell)
    return [tag("p", *mark_bold(line)) for line in lines]


def _write_links(content: WebLinks) -> Element:
    entries = [
        tag("li", tag("a", link.words, href=link.href), *([f" {link.note}"] if link.note else []))
        for link in content.links
    ]
    return tag("ul", *entries, class_="files")
