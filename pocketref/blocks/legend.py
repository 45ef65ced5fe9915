"""The marks of the charts with what they mean, and the codes with their marks."""

from __future__ import annotations

from collections.abc import Iterator
from dataclasses import dataclass
from typing import Literal

from pydantic import Field

from pocketref.blocks.model import BlockModel, Cited, list_nothing
from pocketref.blocks.setting import Setting
from pocketref.pages.blocks import HEADING_GAP_MM, Block, Paragraphs, draw_heading, first_baseline
from pocketref.pages.page import Box, Element, Role
from pocketref.pages.type_scale import TypeSizes
from pocketref.pages.words import Heading, Listing, Words
from pocketref.scene.charts.flow_layout import FlowEnding
from pocketref.scene.charts.marked_words import Row, draw_row, measure_rows, set_marked
from pocketref.scene.charts.ruling_flow import construct_flow
from pocketref.scene.items import Item
from pocketref.scene.marks import MARKS
from pocketref.scene.textfit import leading_mm
from pocketref.source.syntax.kinds import Sentence
from pocketref.words.speech import say

_OUTS = ("batter-out", "runners-out")
LOOKS = {
    _OUTS: "*White on black:* somebody is out.",
    ("ball-dead",): "*Heavy left edge:* the ball is dead.",
    ("league",): "*Dashed:* your league decides.",
}
"""How a ladder's verdicts look, by the marks that they have."""


class SymbolsBlockModel(BlockModel):
    """The marks in the charts of the code's and level's cards, with what they mean."""

    block: Literal["symbols"]
    heading: Sentence = Field(default="Symbols", description="a heading above it")

    def list_cited(self, setting: Setting) -> Iterator[Cited]:
        """Nothing: marks say what the charts' rows state."""
        return list_nothing()

    def build(self, setting: Setting) -> Block:
        """Those marks that some chart has."""
        used = {
            mark
            for subject in dict.fromkeys(place.subject for place in setting.places if place.subject)
            for node in construct_flow(*setting.chart(subject), setting.find_table(subject).rulings)[
                0
            ].values()
            if isinstance(node, FlowEnding)
            for mark, _ in node.lines
        }
        lines = tuple((mark, say(words)) for mark, words in MARKS.items() if mark in used)
        looks = [say(words) for marks, words in LOOKS.items() if used & set(marks)]
        if setting.previous or setting.is_past:
            looks.append(say("*Bar at the left:* new since the edition before."))
        return MarkedList("symbols", lines, self.heading, " ".join(looks))


@dataclass(frozen=True, slots=True)
class MarkedList:
    """Marks with their words, as many side by side as fit; a paragraph under them."""

    label: str
    lines: tuple[tuple[str, str], ...]
    heading: str
    note: str = ""
    grows: bool = False

    def _rows(self, width_mm: float, sizes: TypeSizes) -> tuple[Row, ...]:
        return set_marked(self.lines, width_mm, sizes.body_pt)

    def _note(self) -> Paragraphs:
        return Paragraphs(self.label, (self.note,))

    def measure_mm(self, width_mm: float, sizes: TypeSizes) -> float:
        """Heading, rows and note."""
        rows = len(self._rows(width_mm, sizes)) * leading_mm(sizes.body_pt)
        note = self._note().measure_mm(width_mm, sizes) + HEADING_GAP_MM if self.note else 0.0
        return leading_mm(sizes.heading_pt) + HEADING_GAP_MM + rows + note

    def excess_mm(self, width_mm: float, sizes: TypeSizes) -> float:
        """How far the widest row sticks out."""
        return max(measure_rows(self._rows(width_mm, sizes), sizes.body_pt) - width_mm, 0.0)

    def draw(self, box: Box, sizes: TypeSizes) -> Element:
        """From the top of the box."""
        top = box.top - leading_mm(sizes.heading_pt) - HEADING_GAP_MM
        items: list[Item] = []
        for row in self._rows(box.width_mm, sizes):
            items += draw_row(row, box.x, first_baseline(top, sizes.body_pt), sizes.body_pt)
            top -= leading_mm(sizes.body_pt)
        parts = [draw_heading(self.heading, box.x, box.top, sizes), Element(Role.PARAGRAPH, tuple(items))]
        if self.note:
            parts.append(
                self._note().draw(Box(box.x, box.y, box.width_mm, top - HEADING_GAP_MM - box.y), sizes)
            )
        return Element(Role.SECTION, (), tuple(parts), label=self.label)

    def words(self) -> Words:
        """The heading, and what the marks mean."""
        return (Heading(self.heading), Listing((*(words for _, words in self.lines), self.note)))


class CodesBlockModel(BlockModel):
    """The codes by their marks."""

    block: Literal["codes"]
    heading: Sentence = Field(default="Codes", description="a heading above them")

    def list_cited(self, setting: Setting) -> Iterator[Cited]:
        """Nothing: it names books, and cites none."""
        return list_nothing()

    def build(self, setting: Setting) -> Block:
        """Each mark with its code, the face's own first."""
        codes = sorted(setting.library.codes.items(), key=lambda code: code[0] != setting.code)
        entries = (" ".join(f"*{code.mark}* {code.name}." for _, code in codes),)
        return Paragraphs("codes", entries, self.heading)
