"""A bulletin's stickers at their size, each between its cut marks with where it goes, as many sets as a page holds."""

from __future__ import annotations

from collections.abc import Iterator, Sequence
from dataclasses import dataclass, replace
from functools import cached_property

from pocketref.bulletins.bulletin import Bulletin, ConcernedCard
from pocketref.bulletins.bulletin_sheet import write_card
from pocketref.bulletins.stickers import Sticker
from pocketref.edition.manifest import BuiltFile
from pocketref.edition.pdf_file import build_pdf
from pocketref.edition.proof import Proof
from pocketref.edition.reuse import EarlierFiles
from pocketref.layouts.cards import lay_out_flow, write_side
from pocketref.layouts.footers import write_edition, write_governs, write_validity
from pocketref.output.contents import texts_in
from pocketref.pages.blocks import Block, Footer, Paragraphs, TitleBand
from pocketref.pages.composition import COLUMN_GAP_MM, Columns
from pocketref.pages.page import Box, Element, Role
from pocketref.pages.pagination import Flow
from pocketref.pages.press.press_marks import draw_crop_marks
from pocketref.pages.stocks import content_box
from pocketref.pages.table_blocks import Cell, Column, TableBlock
from pocketref.pages.type_scale import TypeSizes
from pocketref.pages.words import Paragraph, Words
from pocketref.scene.paths import shift
from pocketref.words.speech import join_words, say, say_day

STICKERS = "stickers"
"""How the name of their file begins, in the folder press."""
_MARK_MM, _OFFSET_MM = 3.0, 1.0
_ROOM_MM = _MARK_MM + _OFFSET_MM
"""What a cut mark takes on each side of a sticker."""
HOW = (
    "Print at actual size on whole sheets of label paper, and cut along the marks.",
    "Stick each over the same place of a card that bears the mark above it; so the card gets the new mark, too.",
    "Places are those of cards without a name, laid out as now; on others try the place before you stick.",
)
_MOST_SETS = 12
"""How many sets of stickers are on a page at most."""


@dataclass(frozen=True)
class _StickerBlock:
    """A sticker between cut marks, below where it goes."""

    sticker: Sticker
    grows: bool = False

    @cached_property
    def _caption(self) -> Paragraphs:
        where = say(
            "{face}, {across} mm from the left, {down} mm below the top:",
            face=write_side(self.sticker.face).lower(),
            across=round(self.sticker.box.x),
            down=round(self.sticker.top_mm),
        )
        return Paragraphs("where it goes", (where,), small=True)

    @property
    def label(self) -> str:
        """The face it goes on."""
        return self.sticker.face.replace("-", " ")

    def measure_mm(self, width_mm: float, sizes: TypeSizes) -> float:
        """The caption, the marks and the sticker."""
        return self._caption.measure_mm(width_mm, sizes) + self.sticker.box.height_mm + 2 * _ROOM_MM

    def excess_mm(self, width_mm: float, sizes: TypeSizes) -> float:
        """By how much sticker and marks are too wide."""
        return max(self.widest_mm - width_mm, 0.0)

    @property
    def widest_mm(self) -> float:
        """The width of sticker and marks."""
        return self.sticker.box.width_mm + 2 * _ROOM_MM

    def draw(self, box: Box, sizes: TypeSizes) -> Element:
        """The caption above the sticker, which is at its own size."""
        piece, height = self.sticker.box, self._caption.measure_mm(box.width_mm, sizes)
        caption = self._caption.draw(Box(box.x, box.top - height, box.width_mm, height), sizes)
        place = Box(
            box.x + _ROOM_MM, box.top - height - _ROOM_MM - piece.height_mm, piece.width_mm, piece.height_mm
        )
        items = shift(self.sticker.items, place.x - piece.x, place.y - piece.y)
        marks = draw_crop_marks(
            place, (place.x, place.right), (place.y, place.top), _OFFSET_MM, (_MARK_MM,) * 4
        )
        return Element(
            Role.SECTION,
            (),
            (
                caption,
                Element(Role.FIGURE, items, alt=self._read(), label=self.label),
                Element(Role.DECORATION, marks, label="cut marks"),
            ),
        )

    def words(self) -> Words:
        """What is on it."""
        return (Paragraph(self._read()),)

    def _read(self) -> str:
        return " ".join(text.content for text in texts_in(self.sticker.items)) or say("a drawing")


def build_stickers(
    proof: Proof, bulletin: Bulletin, paper: str, earlier: EarlierFiles | None = None
) -> Iterator[BuiltFile]:
    """press/stickers-<paper>.pdf; nothing if no card can be corrected so.

    PocketrefError ("block-too-large") if a sticker is larger than the paper.
    """
    names = {card.name for card in proof.printed}
    bulletin = replace(bulletin, cards=tuple(card for card in bulletin.cards if card.name in names))
    if not any(card.list_stuck() for card in bulletin.cards):
        return
    edition = bulletin.edition
    foot = Footer((write_edition(edition),), (write_governs(), write_validity(edition)))
    title = say(
        "Stickers, bulletin {number} to edition {edition}",
        number=bulletin.model.number,
        edition=edition.edition,
    )
    head = TitleBand(title, say_day(bulletin.model.date))
    opening = (Paragraphs("how", tuple(map(say, HOW)), "", "steps"), *_list_replaced(bulletin))
    one = tuple(_list_stickers(bulletin))
    width_mm = content_box(proof.layouts.stocks[paper]).width_mm if paper in proof.layouts.stocks else 0.0
    versions = [
        Flow("stickers", head, lambda *_: foot, ((*opening, *((row,) if abreast > 1 else one) * rows),))
        for abreast in range(_count_abreast(one, width_mm), 0, -1)
        for row in (Columns((one,) * abreast, (1.0,) * abreast, "sets of stickers"),)
        for rows in range(_MOST_SETS // abreast, 0, -1)
    ]
    laid_out = lay_out_flow(STICKERS, title, versions, paper, proof.layouts, edition)
    yield build_pdf(f"press/{STICKERS}-{paper}", laid_out.document, laid_out.floor_pt, earlier)


def _count_abreast(one: Sequence[Block], width_mm: float) -> int:
    """How many sets have room beside each other."""
    widest_mm = max(block.widest_mm for block in one if isinstance(block, _StickerBlock))
    return max(1, int((width_mm + COLUMN_GAP_MM) // (widest_mm + COLUMN_GAP_MM)))


def _list_stickers(bulletin: Bulletin) -> Iterator[Block]:
    for card in bulletin.cards:
        for patch in card.patches:
            if patch.stickers:
                marks = join_words(patch.marks, is_or=True)
                heading = say("*Card {name}, marked {marks}*", name=_name(card), marks=marks)
                yield Paragraphs("card", (heading,))
                yield from map(_StickerBlock, patch.stickers)


def _list_replaced(bulletin: Bulletin) -> Iterator[Block]:
    """The cards that stickers do not correct, and why."""
    rows = tuple(
        (Cell(write_card(card)), Cell(join_words(patch.marks, is_or=True)), Cell(say(patch.why_not)))
        for card in bulletin.cards
        for patch in card.patches
        if patch.why_not
    )
    columns = (Column(say("Card"), flex=True), Column(say("Marked")), Column(say("Why"), flex=True))
    if rows:
        yield TableBlock("replaced", columns, rows, say("Replace these cards"), grows=False)


def _name(card: ConcernedCard) -> str:
    return f"{card.number} {card.title}"
