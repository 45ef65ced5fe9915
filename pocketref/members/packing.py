"""Packing lists: what a chapter gets, as pages to check against the piles."""

from __future__ import annotations

import hashlib
from collections.abc import Sequence
from dataclasses import dataclass, replace
from itertools import islice
from typing import Self

from pocketref.edition.fingerprint import take_fingerprint
from pocketref.edition.manifest import BuiltFile
from pocketref.edition.proof import Proof
from pocketref.edition.reuse import EarlierFiles
from pocketref.layouts.cards import open_language
from pocketref.layouts.footers import write_edition, write_governs
from pocketref.members.owned_cards import write_owner
from pocketref.members.parcels import ChapterTotal, PackedRow
from pocketref.members.roster import LETTERS, Member
from pocketref.members.run_file import build_run
from pocketref.output.pdf_run import RunPage, add_scenes, list_slots, prepare_run
from pocketref.output.reading.run_readback import RunReader
from pocketref.pages.blanks import Blanks
from pocketref.pages.blocks import Footer, Paragraphs, TitleBand, first_baseline
from pocketref.pages.page import Box, Document, Element, Page, Role
from pocketref.pages.pagination import Flow, compose_page, paginate
from pocketref.pages.press.imposition import SceneMaker
from pocketref.pages.stocks import safe_box
from pocketref.pages.type_scale import TypeSizes
from pocketref.pages.words import TableWords, Words
from pocketref.scene.inks import BLACK
from pocketref.scene.items import FontFace, Item, Placed, Shape, Slot, Stroke, Text
from pocketref.scene.paths import polyline, rectangle
from pocketref.scene.textfit import leading_mm
from pocketref.scene.typefaces import cap_height_mm, open_slot, set_text, typeface
from pocketref.words.speech import name_language, say, speak


@dataclass(frozen=True, slots=True)
class _Column:
    """A column of slots: its header, and the widest words that are set in it."""

    slot: Slot
    header: str
    widest: str

    def measure_mm(self, sizes: TypeSizes) -> float:
        """Its width with the white beside it."""
        widths = (
            typeface(FontFace.BOLD).measure_mm(self.header, sizes.small_pt),
            typeface(FontFace.REGULAR).measure_mm(self.widest, sizes.small_pt),
        )
        return max(widths) + _GAP_MM

    def draw(self, left: float, right: float, baselines: Sequence[float], sizes: TypeSizes) -> list[Text]:
        """The header and the slots below it."""
        x, anchor = (right, "end") if self.slot.is_padded else (left, "start")
        top, *below = baselines
        texts = [set_text(x, top, self.header, FontFace.BOLD, sizes.small_pt, BLACK, anchor)]
        widest = set_text(x, 0, self.widest, FontFace.REGULAR, sizes.small_pt, BLACK, anchor)
        return texts + [open_slot(self.slot, replace(widest, y=baseline)) for baseline in below]


@dataclass(frozen=True, slots=True)
class _PackingTable:
    """As many rows as there are members, a line of slots each, with a box to tick."""

    columns: tuple[_Column, ...]
    rows: int
    label: str = "packing list"
    grows: bool = False

    def measure_mm(self, width_mm: float, sizes: TypeSizes) -> float:
        """The header and the rows."""
        return (self.rows + 1) * _pitch_mm(sizes)

    def excess_mm(self, width_mm: float, sizes: TypeSizes) -> float:
        """By how much the columns are too wide."""
        return max(0.0, sum(column.measure_mm(sizes) for column in self.columns) + _PACKED_MM - width_mm)

    def split(self, height_mm: float, width_mm: float, sizes: TypeSizes) -> tuple[Self | None, Self | None]:
        """The rows that fit into a height, and the rest under the same header."""
        rows = min(self.rows, int(height_mm / _pitch_mm(sizes)) - 1)
        parts = (rows, self.rows - rows) if rows > 0 else (0, self.rows)
        head, rest = (replace(self, rows=count) if count else None for count in parts)
        return head, rest

    def draw(self, box: Box, sizes: TypeSizes) -> Element:
        """The rows from the top, each with a box to tick; a rule at every fifth keeps the eye in line."""
        pitch = _pitch_mm(sizes)
        baselines = [first_baseline(box.top - row * pitch, sizes.small_pt) for row in range(self.rows + 1)]
        lines: list[Item] = []
        for row, baseline in enumerate(baselines):
            if row:
                middle = baseline + cap_height_mm(FontFace.REGULAR, sizes.small_pt) / 2
                left = box.right - (_PACKED_MM + _TICK_MM) / 2
                lines.append(
                    Shape(rectangle(left, middle - _TICK_MM / 2, _TICK_MM, _TICK_MM), Stroke(0.2, BLACK))
                )
            if row % 5 == 0:
                edge = box.top - (row + 1) * pitch + 0.25
                pen = Stroke(0.18 if row else 0.35, BLACK)
                lines.append(Shape(polyline([(box.x, edge), (box.right, edge)]), pen))
        packed = box.right - _PACKED_MM / 2
        ticked = set_text(packed, baselines[0], say("Packed"), FontFace.BOLD, sizes.small_pt, BLACK, "middle")
        lines.append(ticked)
        widths = [column.measure_mm(sizes) for column in self.columns]
        widths[1] += box.width_mm - _PACKED_MM - sum(widths)  # names take what is left
        lefts = [box.x + sum(widths[:index]) for index in range(len(widths))]
        drawn = [
            column.draw(left, left + width - _GAP_MM, baselines, sizes)
            for column, left, width in zip(self.columns, lefts, widths, strict=True)
        ]
        cells = [cell for row in zip(*drawn, strict=True) for cell in row]
        return Element(Role.TABLE, (*lines, *cells), label=self.label)

    def words(self) -> Words:
        """The header."""
        return (TableWords(self.label, tuple(column.header for column in self.columns), ()),)


def _list_columns() -> tuple[tuple[Slot, str], ...]:
    return (
        (Slot.NUMBER, say("Number")),
        (Slot.NAME, say("Name")),
        (Slot.SET, say("Code and level")),
        (Slot.QUANTITY, say("Sets")),
        (Slot.CARDS, say("Cards")),
    )


_GAP_MM = 4.0
_PACKED_MM = 16.0
_TICK_MM = 2.6


def _pitch_mm(sizes: TypeSizes) -> float:
    return leading_mm(sizes.small_pt) + 0.7


class PackingPress:
    """What the packing lists of all chapters share: paper, type, and a file with every character to begin from."""

    def __init__(
        self, members: Sequence[Member], proof: Proof, paper: str, *, is_partial: bool = False
    ) -> None:
        """`is_partial` tells that not whole sets are packed but replacement cards."""
        self._title = say("Packing list, replacement cards") if is_partial else say("Packing list")
        self._edition = edition = proof.library.edition
        self._stock, self._styles = proof.layouts.stocks[paper], proof.layouts.styles
        said = {self._write_page(1, 1), *(member.chapter for member in members)}
        letters = set(LETTERS).union(*said, *map(write_owner, members))
        letters |= set(set_text(0, 0, " ".join(sorted(said)), FontFace.REGULAR, 8, BLACK).content)
        size = self._stock.width.float_mm, self._stock.height.float_mm
        document = Document(
            title=f"{say('Packing list')}, {edition.association}, {edition.season}",
            subject=f"edition {edition.mark}",
            author=edition.association,
            pages=(Page("paper", *size, (), safe_box(self._stock)),),
            language=name_language(),
        )
        self._template = prepare_run(document, dict.fromkeys((FontFace.REGULAR, FontFace.BOLD), letters))
        self._reader = RunReader(self._template, self._styles.floor_pt)

    def build_list(
        self, total: ChapterTotal, packed: Sequence[PackedRow], earlier: EarlierFiles
    ) -> BuiltFile:
        """A chapter's list on paper, with blanks for who packed it at its end; read back.

        PocketrefError ("block-too-large") if its columns have no room.
        """
        rows = [_write_row(row.member, row.cards) for row in packed]
        measure = typeface(FontFace.REGULAR).measure_em
        columns = tuple(
            _Column(slot, header, "0" * len(values[0]) if slot.is_padded else max(set(values), key=measure))
            for (slot, header), values in zip(_list_columns(), zip(*rows, strict=True), strict=True)
        )
        flow = Flow(
            what=f"packing list of {total.chapter}",
            head=TitleBand(self._title, total.chapter),
            foot=lambda _, pages: Footer(
                ("",), (write_governs(),), slot=Slot.PAGE, widest=self._write_page(pages, pages)
            ),
            parts=((_PackingTable(columns, len(rows)), Blanks((say("Packed by"), say("Date")), 2)),),
            opening=(Paragraphs("totals", (f"*{total.describe().capitalize()}.*",)),),
        )
        sizes, faces = paginate([open_language(flow)], self._stock, self._styles)
        scenes, kinds, left = SceneMaker(), dict[object, Placed](), iter(rows)
        pages: list[RunPage] = []
        for number, face in enumerate(faces, 1):
            if face.body not in kinds:
                kinds[face.body] = Placed(scenes.make_scene(compose_page(face, sizes, self._stock)), 0, 0)
            placed = kinds[face.body]
            count = len(list_slots(placed.scene)) // len(columns)
            said = [words for row in islice(left, count) for words in row]
            pages.append([(placed, (*said, self._write_page(number, len(faces))))])
        template = add_scenes(self._template, [placed.scene for placed in kinds.values()])
        made_of = take_fingerprint(
            hashlib.sha256(self._template.data).hexdigest(),
            tuple(placed.scene for placed in kinds.values()),
            tuple(said for ((_, said),) in pages),
        )
        with speak(None):  # for the terminal
            report = f"{len(pages)} pages, {total.describe()}"
        name = f"members/{total.folder}/packing-list.pdf"
        return build_run(name, template, pages, self._reader, made_of, earlier, report)

    def _write_page(self, number: int, pages: int) -> str:
        what = write_edition(self._edition)
        return say("{what}, page {page} of {pages}", what=what, page=number, pages=pages)


def _write_row(member: Member, cards: int) -> tuple[str, ...]:
    """What stands in the columns; figures are padded, so that they end in line."""
    name = write_owner(member).removesuffix(f", {member.number}")
    return member.number, name, f"{member.code}, {member.level}", f"{member.quantity:2}", f"{cards:4}"
