"""A laid-out page as HTML: its elements in reading order, each as what it is to a reader."""

from __future__ import annotations

from collections.abc import Iterable, Iterator, Sequence
from itertools import pairwise
from xml.etree.ElementTree import Element as Tree

from pocketref.output.contents import characters_in, items_of
from pocketref.pages.page import Element, Page, Role
from pocketref.scene.inks import WHITE
from pocketref.scene.items import Face, Text
from pocketref.web.html_chart import write_chart
from pocketref.web.html_content import WebFaces
from pocketref.web.html_drawing import draw_inline, write_width_rule
from pocketref.web.html_tree import append, tag, text_of
from pocketref.web.html_words import is_column_of_lines, join_runs, plain_words, split_lines

_SCOPES = {"Column": "col", "Row": "row"}
_SCALE = "Scale 1:"
_WORDY = {"th": 16, "td": 28}  # characters from which a cell needs room to set them in few lines
SCALE_NOTE = "The scale holds on paper, not on a screen."


def write_scroller(content: Tree, label: str) -> Tree:
    """What may be wider than a phone, in a box of its own that scrolls and can be reached by keyboard."""
    return tag("div", content, class_="scroll", role="group", tabindex="0", aria_label=label)


class FaceWriter:
    """Writes a part's pages; `characters` are what its drawings ask of each face, `rules` style their widths."""

    def __init__(self, name: str, title: str, faces: WebFaces) -> None:
        self._name, self._title, self._faces = name, title, faces
        self._figures = 0
        self._listed: set[str] = set()
        self.characters: dict[Face, set[str]] = {}
        self.rules: list[str] = []

    def write(self) -> list[Tree]:
        """A box a page; where there are several, each says which it is."""
        return [self._write_page(page) for page in self._faces.pages]

    def _write_page(self, page: Page) -> Tree:
        box = tag("div", class_="face")
        if len(self._faces.pages) > 1:
            box.append(tag("p", page.name.capitalize(), class_="side-of-card"))
        return append(box, self._write_all(page.elements))

    def _write_all(self, elements: Sequence[Element]) -> Iterator[Tree]:
        """Each element; a heading right above a table becomes its caption, a line below a figure likewise."""
        shown = [element for element in elements if element.role is not Role.DECORATION]
        taken: set[int] = set()
        for index, (element, after) in enumerate(pairwise([*shown, None])):
            if element is None or index in taken:
                continue
            roles = (element.role, after.role if after else None)
            if after and roles == (Role.HEADING, Role.TABLE):
                taken.add(index + 1)
                caption = tag("caption", self._write_heading(element))
                yield self._write_table(after, caption, plain_words(element.items))
            elif after and roles == (Role.FIGURE, Role.PARAGRAPH):
                taken.add(index + 1)
                yield self._write_figure(element, plain_words(after.items))
            else:
                yield from self._write_one(element)

    def _write_one(self, element: Element) -> Iterator[Tree]:
        match element.role:
            case Role.DECORATION | Role.TITLE:
                return  # the part's own heading says the title
            case Role.HEADING:
                yield self._write_heading(element)
            case Role.LIST:
                yield self._write_list(element)
            case Role.TABLE:
                caption = element.label[:1].upper() + element.label[1:]
                yield self._write_table(element, tag("caption", caption, class_="unseen"), caption)
            case Role.FIGURE:
                yield self._write_figure(element, "")
            case Role.SECTION:
                yield from self._write_section(element)
            case _:  # a paragraph, or a row, cell or item that stands outside its table or list
                yield from _write_paragraph(element)
                yield from self._write_all(element.children)

    def _write_section(self, element: Element) -> Iterator[Tree]:
        inner = [*_write_paragraph(element), *self._write_all(element.children)]
        if any(_is_reversed(child) for child in element.children if child.role is Role.HEADING):
            yield tag("div", *inner, class_="panel")
        else:
            yield from inner

    def _write_heading(self, element: Element) -> Tree:
        words = " ".join(text.content for text in element.items if isinstance(text, Text))
        return tag("h4", words)

    def _write_list(self, element: Element) -> Tree:
        """Numbered if its items say their numbers, which are then the list's own."""
        entries = [child for child in element.children if child.role is Role.LIST_ITEM]
        is_numbered = bool(entries) and all(
            _first_word(entry) == str(number) for number, entry in enumerate(entries, 1)
        )
        kind = tag("ol" if is_numbered else "ul")
        for entry in entries:
            items = [item for item in entry.items if isinstance(item, Text)]
            kind.append(tag("li", *join_runs(items[1:] if is_numbered else entry.items)))
            append(kind[-1], self._write_all(entry.children))
        return kind

    def _write_table(self, element: Element, caption: Tree, label: str) -> Tree:
        rows = [child for child in element.children if child.role is Role.TABLE_ROW]
        table = tag("table", caption)
        for row in rows:
            table.append(tag("tr", *_write_cells(row.children)))
        return write_scroller(table, f"{self._title}: {label}")

    def _write_figure(self, element: Element, caption: str) -> Tree:
        self._figures += 1
        items = tuple(items_of((element,)))
        for face, characters in characters_in(items).items():
            self.characters.setdefault(face, set()).update(characters)
        name = f"{self._name}-figure-{self._figures}"
        chart = self._faces.charts.get(element.label)
        label = f"{self._title}: {'decision chart' if chart else caption or 'drawing'}"
        alt = f"{label}. The same in words is in the list." if chart else element.alt
        drawing = draw_inline(items, name, alt)
        self.rules.append(write_width_rule(name, drawing))
        figure = tag("figure", write_scroller(drawing.svg, label), id=name)
        words = tag("figcaption")
        if chart and element.label in self._listed:
            words.append(tag("p", "Decision chart, continued. The list above holds all of it."))
        elif chart:
            self._listed.add(element.label)
            words.append(tag("p", "Decision chart. The same in words:"))
            words.append(write_chart(chart, f"{name}-question"))
        else:
            append(words, _write_caption(caption, element.alt))
        figure.append(words)
        return figure


def _write_caption(caption: str, alt: str) -> Iterator[Tree]:
    if caption:
        note = f" {SCALE_NOTE}" if _SCALE in caption else ""
        yield tag("p", caption + note, class_="caption")
    yield tag("p", alt)


def _write_paragraph(element: Element) -> Iterable[Tree]:
    """The element's own text as a paragraph; nothing if it has none."""
    if not any(isinstance(item, Text) for item in element.items):
        return
    if is_column_of_lines(element.items):
        lines = [tag("span", line) for line in split_lines(element.items)]
        yield tag("p", *lines, class_="lines")
    else:
        yield tag("p", *join_runs(element.items))


def _write_cells(cells: Sequence[Element]) -> Iterator[Tree]:
    """Cells of a row. A row without headers is headed by its first cell; an empty header is a mere corner."""
    has_headers = any(cell.role is Role.TABLE_HEADER for cell in cells)
    for index, cell in enumerate(cells):
        words = join_runs(cell.items)
        scope = _SCOPES.get(cell.scope, "col") if cell.role is Role.TABLE_HEADER else ""
        scope = "row" if not has_headers and index == 0 else scope
        made = tag("th", *words, scope=scope) if scope and words else tag("td", *words)
        if _is_reversed(cell):
            made.set("class", "reversed")
        elif scope != "col" and len(text_of(made)) > _WORDY[made.tag]:
            made.set("class", "wordy")
        yield made


def _is_reversed(element: Element) -> bool:
    """Whether the words are set in white, on black."""
    inks = [item.ink for item in element.items if isinstance(item, Text)]
    return bool(inks) and all(ink == WHITE for ink in inks)


def _first_word(entry: Element) -> str:
    """A list item's first run, if it is bold and more follows."""
    texts = [item for item in entry.items if isinstance(item, Text)]
    return texts[0].content if len(texts) > 1 and texts[0].face is Face.BOLD else ""
