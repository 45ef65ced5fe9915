"""Packing lists: what a chapter gets, to check against the piles, as pages to print and as CSV."""

from __future__ import annotations

import csv
import io
from collections.abc import Iterable, Iterator, Sequence
from dataclasses import dataclass

from pocketref.edition.manifest import BuiltFile
from pocketref.edition.pdf_file import build_pdf
from pocketref.layouts.cards import GOVERNS, write_edition
from pocketref.members.roster import Member
from pocketref.pages.blanks import Blanks
from pocketref.pages.blocks import Block, Footer, Paragraphs, TitleBand, first_baseline
from pocketref.pages.composition import Face, compose_face
from pocketref.pages.page import Box, Document, Element, Page, Role
from pocketref.pages.stocks import Sheet
from pocketref.pages.type_scale import TypeSizes, sizes_for
from pocketref.pages.words import TableWords, Words
from pocketref.scene.inks import BLACK
from pocketref.scene.items import FontFace, Item, Shape, Stroke
from pocketref.scene.paths import polyline, rectangle
from pocketref.scene.textfit import leading_mm
from pocketref.scene.typefaces import cap_height_mm, set_text
from pocketref.source.edition_models import EditionModel

_BODY_PT = 9.2
_MARGIN_MM = 12.0
_ROWS = 42
"""Members on a page: what fits on the shorter of the papers in use."""
_MOST_PAGES = 24
"""Pages in one file."""


@dataclass(frozen=True, slots=True)
class ChapterTotal:
    """What one chapter gets."""

    chapter: str
    folder: str
    members: int
    sets: int
    cards: int
    sheets: int

    def describe(self) -> str:
        """The figures in a line."""
        counts = (("member", self.members), ("set", self.sets), ("card", self.cards), ("sheet", self.sheets))
        return ", ".join(f"{count} {noun}{'' if count == 1 else 's'}" for noun, count in counts)


def write_packing_csv(members: Sequence[Member], cards: Sequence[int]) -> bytes:
    """One row a member as RFC 4180 writes it, in UTF-8; `cards` are those of each member."""
    rows = [
        (m.number, m.name, m.code, m.level, m.quantity, count)
        for m, count in zip(members, cards, strict=True)
    ]
    return _write_csv(("number", "name", "code", "level", "quantity", "cards"), rows)


def write_totals(totals: Sequence[ChapterTotal]) -> BuiltFile:
    """All chapters and their sum, for who orders the paper."""
    rows = [(t.chapter, t.members, t.sets, t.cards, t.sheets) for t in totals]
    sums = tuple(sum(values) for values in zip(*(row[1:] for row in rows), strict=True))
    columns = ("chapter", "members", "sets", "cards", "sheets")
    return BuiltFile("members/totals.csv", _write_csv(columns, [*rows, ("all chapters", *sums)]))


def _write_csv(columns: Sequence[str], rows: Iterable[Sequence[object]]) -> bytes:
    text = io.StringIO(newline="")
    writer = csv.writer(text)
    writer.writerow(columns)
    writer.writerows(rows)
    return text.getvalue().encode("utf-8")


@dataclass(frozen=True, slots=True)
class _PackingTable:
    """One line a member at fixed columns: a roster has too many rows to be measured cell by cell.

    Names fit, as those that are too long for a card have been refused.
    """

    rows: tuple[tuple[str, ...], ...]
    label: str = "packing list"
    grows: bool = False

    def _pitch_mm(self, sizes: TypeSizes) -> float:
        return leading_mm(sizes.small_pt) + 0.7

    def measure_mm(self, width_mm: float, sizes: TypeSizes) -> float:
        """The header and the rows."""
        return (len(self.rows) + 1) * self._pitch_mm(sizes)

    def excess_mm(self, width_mm: float, sizes: TypeSizes) -> float:
        """Nothing sticks out."""
        return 0.0

    def draw(self, box: Box, sizes: TypeSizes) -> Element:
        """The rows from the top, each with a box to tick; a rule at every fifth keeps the eye in line."""
        pitch = self._pitch_mm(sizes)
        lines: list[Item] = []
        rows: list[Element] = []
        for number, row in enumerate((_COLUMNS, *self.rows)):
            top = box.top - number * pitch
            baseline = first_baseline(top, sizes.small_pt)
            rows.append(_draw_row(row, box, baseline, sizes, is_head=not number))
            if number:
                middle = baseline + cap_height_mm(FontFace.REGULAR, sizes.small_pt) / 2
                left = box.right - _TICK_RIGHT_MM - _TICK_MM / 2
                tick = rectangle(left, middle - _TICK_MM / 2, _TICK_MM, _TICK_MM)
                lines.append(Shape(tick, Stroke(0.2, BLACK)))
            if number % 5 == 0:
                edge = top - pitch + 0.25
                pen = Stroke(0.18 if number else 0.35, BLACK)
                lines.append(Shape(polyline([(box.x, edge), (box.right, edge)]), pen))
        table = Element(Role.TABLE, (), tuple(rows), label=self.label)
        return Element(Role.SECTION, (), (Element(Role.DECORATION, tuple(lines)), table), label=self.label)

    def words(self) -> Words:
        """The table."""
        return (TableWords(self.label, _COLUMNS[:-1], self.rows),)


_COLUMNS = ("Number", "Name", "Code and level", "Sets", "Cards", "Packed")
_NUMBER_MM, _LEVEL_MM, _COUNT_MM = 30.0, 50.0, 14.0
_TICK_MM = 2.6
_TICK_RIGHT_MM = 4.5  # from the right edge to the middle of a box: the middle of its column's header


def _draw_row(row: Sequence[str], box: Box, baseline: float, sizes: TypeSizes, *, is_head: bool) -> Element:
    """A row's cells; the numbers end in line."""
    face = FontFace.BOLD if is_head else FontFace.REGULAR
    role = Role.TABLE_HEADER if is_head else Role.TABLE_CELL
    end = box.right - _COUNT_MM - 2
    places = (
        (box.x, "start"),
        (box.x + _NUMBER_MM, "start"),
        (end - 2 * _COUNT_MM - _LEVEL_MM, "start"),
        (end - _COUNT_MM, "end"),
        (end, "end"),
        (box.right, "end"),
    )
    cells = []
    for (x, anchor), words in zip(places, row, strict=False):
        item = set_text(x, baseline, words, face, sizes.small_pt, BLACK, anchor)
        cells.append(Element(role, (item,), scope="Column"))
    return Element(Role.TABLE_ROW, (), tuple(cells))


@dataclass(frozen=True, slots=True)
class PackingList:
    """What a packing list is made from; `cards` are those of each member."""

    total: ChapterTotal
    members: Sequence[Member]
    cards: Sequence[int]
    sheet: Sheet
    edition: EditionModel
    floor_pt: float


def build_packing_list(packing: PackingList) -> Iterator[BuiltFile]:
    """The list on paper, with blanks for who packed it on the last page; read back as every PDF is.

    A very long list is several files, so that memory stays flat.
    """
    total, edition, count = packing.total, packing.edition, len(packing.members)
    batches = [range(start, min(start + _ROWS, count)) for start in range(0, count, _ROWS)]
    for first in range(0, len(batches), _MOST_PAGES):
        pages = tuple(
            _make_page(packing, batch, number, len(batches))
            for number, batch in enumerate(batches[first : first + _MOST_PAGES], first + 1)
        )
        document = Document(
            title=f"Packing list, {total.chapter}, {edition.association}, {edition.season}",
            subject=f"{total.describe()}, edition {edition.edition}",
            author=edition.association,
            pages=pages,
        )
        suffix = f"-{first // _MOST_PAGES + 1}" if len(batches) > _MOST_PAGES else ""
        yield build_pdf(f"members/{total.folder}/packing-list{suffix}", document, packing.floor_pt)


def _make_page(packing: PackingList, batch: range, number: int, pages: int) -> Page:
    sheet, members = packing.sheet, packing.members
    rows = tuple(_write_row(members[index], packing.cards[index]) for index in batch)
    totals = Paragraphs("totals", (f"*{packing.total.describe().capitalize()}.*",))
    body: list[Block] = [totals, _PackingTable(rows)]
    if number == pages:
        body.append(Blanks(("Packed by", "Date"), 2))
    name = f"page {number} of {pages}"
    foot = Footer((f"{write_edition(packing.edition)}, {name}",), (GOVERNS,))
    face = Face(name, TitleBand("Packing list", packing.total.chapter), tuple(body), foot)
    paper = Box(0, 0, sheet.width_mm, sheet.height_mm)
    elements = compose_face(face, paper.inset(_MARGIN_MM), sizes_for(_BODY_PT, packing.floor_pt))
    section = Element(Role.SECTION, (), elements, label=name)
    return Page(name, sheet.width_mm, sheet.height_mm, (section,), sheet.printable)


def _write_row(member: Member, cards: int) -> tuple[str, ...]:
    return member.number, member.name, f"{member.code}, {member.level}", str(member.quantity), str(cards)
