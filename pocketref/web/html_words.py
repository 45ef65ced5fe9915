"""What blocks say as HTML: each kind of word as what it is to a reader, its drawings inline, charts as ladders."""

from __future__ import annotations

from collections.abc import Callable, Hashable, Iterator, Sequence
from dataclasses import dataclass, field
from xml.etree.ElementTree import Element

from pocketref.output.contents import characters_in, texts_in
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
    Word,
    Words,
    find_row_head,
)
from pocketref.scene.items import FontFace, Item
from pocketref.web.html_chart import write_chart
from pocketref.web.html_drawing import draw_inline, write_width_rule
from pocketref.web.html_tree import Node, mark_bold, tag
from pocketref.words.speech import say

_WORDY = {"th": 16, "td": 28}  # characters from which a cell needs room to set them in few lines
_A = ord("A")


def write_scroller(content: Element, label: str) -> Element:
    """What may be wider than a phone, in a box of its own that scrolls and can be reached by keyboard."""
    return tag("div", content, class_="scroll", role="group", tabindex="0", aria_label=label)


@dataclass
class WordsWriter:
    """Writes the words of one part of a page; its `name` begins the ids of figures, choices and questions.

    `characters` are what its drawings ask of each typeface, `rules` style their widths; `shown` are the charts and
    drawings that the page holds so far, each with the name and title of its part: none stands there twice.
    """

    name: str
    title: str
    characters: dict[FontFace, set[str]] = field(default_factory=dict)
    rules: list[str] = field(default_factory=list)
    shown: dict[Hashable, tuple[str, str]] = field(default_factory=dict)
    _kind: str = "figure"
    _figures: int = 0
    _choices: int = 0
    _listed: set[str] = field(default_factory=set)

    def write(
        self,
        words: Words,
        drawings: Sequence[Sequence[Item]] = (),
        *,
        is_told: bool = True,
        kind: str = "figure",
    ) -> Iterator[Element]:
        """Each word; the figures and charts among them take the drawings one after the other.

        Unless it `is_told`, what a figure shows is said to those alone who cannot see it. `kind` is the class of
        its figures in the style sheet.
        """
        self._kind = kind
        left = iter(drawings)
        blanks: list[Element] = []
        for word in (*words, None):
            if isinstance(word, Blank):
                blanks.append(_write_blank(word))
                continue
            if blanks:
                yield tag("div", *blanks, class_="blanks")
                blanks = []
            if word is not None:
                yield from self._write_word(word, lambda: next(left), is_told)

    def _write_word(self, word: Word, take: Callable[[], Sequence[Item]], is_told: bool) -> Iterator[Element]:
        match word:
            case Heading():
                yield tag("h4", word.text)
            case Paragraph():
                yield _write_paragraph(word)
            case Listing():
                kind = "ol" if word.is_numbered else "ul"
                yield tag(kind, *[tag("li", *mark_bold(entry)) for entry in word.entries])
            case TableWords():
                yield write_scroller(write_table(word), self._label(word.caption or word.name))
            case Panel():
                entries = tag("ul", *[tag("li", *mark_bold(entry)) for entry in word.entries])
                yield tag("div", tag("h4", word.heading), entries, class_="panel")
            case Choices():
                self._choices += 1
                yield _write_choices(word, f"{self.name}-answer-{self._choices}")
            case FigureWords(is_for_scanning=True):
                take()
                yield tag("p", word.alt)
            case FigureWords():
                caption = [tag("p", word.caption, class_="caption")] if word.caption else []
                label = self._label(word.caption or say("drawing"))
                yield self._draw(take(), label, word.alt, caption, is_told)
            case ChartWords():
                take()  # A ladder of words says the same, and is no wider than a phone.
                yield from self._list_chart(word)

    def _label(self, name: str) -> str:
        """What tells a thing from those of other parts."""
        return name if name.startswith(self.title) else f"{self.title}: {name}"

    def _draw(
        self, items: Sequence[Item], label: str, alt: str, told: list[Element], is_told: bool
    ) -> Element:
        """A drawing with what is told of it; where it stands on the page already, at whatever scale, a link there."""
        texts = sorted(word for text in texts_in(items) for word in text.content.split())
        where, title = self.shown.setdefault((alt, *texts), (self.name, self.title))
        if texts and where != self.name and self._kind == "figure":
            return tag("p", *_link_within(say("The same drawing as in {part}."), title, where))
        self._figures += 1
        name = f"{self.name}-figure-{self._figures}"
        for face, characters in characters_in(items).items():
            self.characters.setdefault(face, set()).update(characters)
        drawing = draw_inline(items, name, alt)
        self.rules.append(write_width_rule(name, drawing))
        if is_told:
            del drawing.svg.attrib["aria-label"]
            drawing.svg.set("aria-labelledby", f"{name}-told")
            told = [*told, tag("p", alt, id=f"{name}-told")]
        caption = [tag("figcaption", *told)] if told else []
        return tag("figure", write_scroller(drawing.svg, label), *caption, id=name, class_=self._kind)

    def _list_chart(self, chart: ChartWords) -> Iterator[Element]:
        """The chart where it first stands on the page; in other parts, where that is."""
        key = repr((chart.nodes, chart.root))
        where, title = self.shown.setdefault(key, (self.name, self.title))
        if where != self.name:
            yield tag("p", *_link_within(say("The same questions as in {part}."), title, where))
        elif chart.name not in self._listed:
            self._listed.add(chart.name)
            yield write_chart(chart, f"{self.name}-question-{len(self._listed)}")


def _link_within(sentence: str, title: str, where: str) -> list[Node]:
    before, _, after = sentence.partition("{part}")
    return [before, tag("a", title, href=f"#{where}"), after]


def _write_paragraph(word: Paragraph) -> Element:
    lines = word.text.split("\n")
    if len(lines) == 1:
        return tag("p", *mark_bold(word.text))
    return tag("p", *[tag("span", *mark_bold(line)) for line in lines], class_="lines")


def _write_blank(blank: Blank) -> Element:
    """A field under its label. Nothing that is typed leaves the page."""
    return tag("label", blank.label, " ", tag("input", type="text", autocomplete="off"))


def _write_choices(word: Choices, name: str) -> Element:
    """The choices as a lettered list, each with a button; those of one `name` exclude one another.

    The letter is in the label too, so that it is said with the choice; the list's own is hidden by the style.
    """
    entries = tag("ol", type="A", class_="choices")
    for number, entry in enumerate(word.entries):
        letter = chr(_A + number)
        button = tag("input", type="radio", name=name, value=letter, autocomplete="off")
        words = tag("span", *mark_bold(entry))
        entries.append(tag("li", tag("label", button, tag("strong", f"{letter}. "), words)))
    return tag("fieldset", tag("legend", word.question, class_="unseen"), entries)


def write_table(word: TableWords) -> Element:
    """The table; its rows have their names as ids. A `wide` one is shown row by row on a phone by the page's script."""
    name = word.caption or word.name
    caption = tag("caption", name[:1].upper() + name[1:])
    if not word.caption:
        caption.set("class", "unseen")
    heads = [tag("th", *mark_bold(column), scope="col") if column else tag("td") for column in word.columns]
    body = tag("tbody")
    for number, row in enumerate(word.rows):
        cells = _write_row(row, word)
        body.append(tag("tr", *cells, **({"id": word.row_names[number]} if word.row_names else {})))
    table = tag("table", caption, tag("thead", tag("tr", *heads)), body)
    if not word.is_narrow:
        table.set("class", "wide")
    return table


def _write_row(row: Sequence[str | Blank], word: TableWords) -> list[Element]:
    """The cells; the first that says something heads the row."""
    heading = find_row_head(row)
    cells = []
    for number, said in enumerate(row):
        cell = (
            tag("th", *_write_cell(said), scope="row") if number == heading else tag("td", *_write_cell(said))
        )
        if word.is_narrow and isinstance(said, str) and len(said) > _WORDY[cell.tag]:
            cell.set("class", "wordy")
        cells.append(cell)
    return cells


def _write_cell(cell: str | Blank) -> list[Node]:
    if isinstance(cell, Blank):
        return [tag("input", type="text", autocomplete="off", aria_label=cell.label, class_="blank")]
    lines = cell.split("\n")
    return mark_bold(cell) if len(lines) == 1 else [tag("p", *mark_bold(line)) for line in lines]
