"""A QR code with the words it holds under it, so that it can be read without a phone too."""

from __future__ import annotations

from collections.abc import Iterator
from dataclasses import dataclass, field, replace
from typing import Literal

from pocketref.blocks.model import BlockModel, Cited, list_nothing
from pocketref.blocks.setting import Setting
from pocketref.pages.blocks import Block, first_baseline
from pocketref.pages.page import Box, Element, Role
from pocketref.pages.type_scale import TypeSizes
from pocketref.pages.words import FigureWords, Paragraph, Words
from pocketref.scene.figures.qr_figure import draw_qr
from pocketref.scene.items import FontFace, Item, Text
from pocketref.scene.paths import shift
from pocketref.scene.textfit import Line, break_text, leading_mm, write_line
from pocketref.source.digest import FIELD
from pocketref.source.library import Library
from pocketref.source.record import digest_library
from pocketref.words.speech import say

_UNBROKEN = FIELD.replace(" ", "\u00a0")


class QrBlockModel(BlockModel):
    """The edition's QR code: address, edition mark and the source's digest; beside it the edition's own."""

    block: Literal["qr"]

    def list_cited(self, setting: Setting) -> Iterator[Cited]:
        """Nothing."""
        return list_nothing()

    def build(self, setting: Setting) -> Block:
        """The code of the edition."""
        return build_qr(setting.library)


@dataclass(frozen=True, slots=True)
class QrBlock:
    """The code beside its words: whose edition this is, its mark and a field for the edition's digest.

    Every edition has another, so that one in another's place is no change.
    """

    content: str = field(compare=False)
    entries: tuple[str, ...] = field(compare=False)
    label: str = "QR code"
    grows: bool = False

    def _lines(self, width_mm: float, sizes: TypeSizes) -> list[Line]:
        room = width_mm - draw_qr(self.content).width_mm
        return [
            line
            for entry in self.entries
            for line in break_text(entry.replace(FIELD, _UNBROKEN), FontFace.REGULAR, room, sizes.small_pt)
        ]

    def measure_mm(self, width_mm: float, sizes: TypeSizes) -> float:
        """The code or its words, whichever is higher."""
        words = len(self._lines(width_mm, sizes)) * leading_mm(sizes.small_pt)
        return max(draw_qr(self.content).height_mm, words)

    def excess_mm(self, width_mm: float, sizes: TypeSizes) -> float:
        """How far the longest word sticks out beside the code."""
        room = width_mm - draw_qr(self.content).width_mm
        return max(max((line.width_mm for line in self._lines(width_mm, sizes)), default=0.0) - room, 0.0)

    def draw(self, box: Box, sizes: TypeSizes) -> Element:
        """The code at the left of the box, its words beside its middle."""
        code = draw_qr(self.content)
        figure = Element(
            Role.FIGURE, shift(code.items, box.x, box.top - code.height_mm), alt=code.alt, label=self.label
        )
        lines = self._lines(box.width_mm, sizes)
        lead = leading_mm(sizes.small_pt)
        top = box.top - (code.height_mm - len(lines) * lead) / 2
        words: list[Item] = []
        for line in lines:
            baseline = first_baseline(top, sizes.small_pt)
            written = write_line(line, box.x + code.width_mm, baseline, sizes.small_pt)
            words += map(_space_field, written)
            top -= lead
        return Element(Role.SECTION, (), (figure, Element(Role.PARAGRAPH, tuple(words))), label=self.label)

    def words(self) -> Words:
        """What the code holds, and the words beside it."""
        code = FigureWords(draw_qr(self.content).alt, is_for_scanning=True)
        return (code, *(Paragraph(entry) for entry in self.entries))


def _space_field(item: Item) -> Item:
    """The field for the digest with plain spaces, as it is found by them in the finished file."""
    if isinstance(item, Text) and _UNBROKEN in item.content:
        return replace(item, content=item.content.replace(_UNBROKEN, FIELD))
    return item


def build_qr(library: Library) -> QrBlock:
    """The edition's code: address, mark and source's digest in one; capitals, which a code holds in less room."""
    edition = library.edition
    digest = digest_library(library)
    address = edition.address.rstrip("/")
    content = f"{address}/{edition.mark}/{digest}".upper()
    shown = address.split("://")[-1]
    return QrBlock(content, (f"*{shown}/{edition.mark}*", say("Digest {digits}", digits=FIELD)))
