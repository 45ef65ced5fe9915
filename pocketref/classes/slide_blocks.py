"""What only slides have: a figure as large as its room, and how a play stands."""

from __future__ import annotations

from collections.abc import Callable, Mapping
from dataclasses import dataclass, field

from pocketref.pages.blocks import Footer, Paragraphs, first_baseline
from pocketref.pages.page import Box, Element, Role
from pocketref.pages.type_scale import TypeSizes
from pocketref.pages.words import FigureWords, Paragraph, Words
from pocketref.scene.charts.flow_layout import FlowEnding, FlowNode
from pocketref.scene.charts.ladder import draw_ladder, measure_ladder
from pocketref.scene.charts.ladder_layout import LadderPart
from pocketref.scene.charts.ruling_flow import write_ending_mark
from pocketref.scene.charts.verdict_box import draw_verdict, fit_verdict
from pocketref.scene.figures.play_figure import draw_bases
from pocketref.scene.items import FontFace, Item
from pocketref.scene.paths import shift
from pocketref.scene.textfit import break_text, count_lines, leading_mm, write_line

_BASES_MM = 15.0
_PAD_MM = 1.0
_FOOT_GAP_MM = 1.5
_GAP_MM = 2.0

DrawFigure = Callable[[float, float, float], tuple[tuple[Item, ...], float, float]]
"""A figure within a width and a height, its least type given in points: its items, and its own width and height."""
MeasureLeast = Callable[[float], tuple[float, float]]
"""The least width and height, mm, of a figure with type of a size in points."""


@dataclass(frozen=True, slots=True)
class RoomFigure:
    """A figure that takes the room it is given, at least `measure_least` wide and high, over its caption.

    What it draws is known by `made_of`.
    """

    label: str
    alt: str
    drawn: DrawFigure = field(compare=False, repr=False)
    made_of: object
    measure_least: MeasureLeast = field(compare=False, repr=False)
    caption: str = ""
    grows: bool = True

    def _caption_mm(self, width_mm: float, sizes: TypeSizes) -> float:
        lines = count_lines(self.caption, FontFace.ITALIC, width_mm, sizes.source_pt)
        return lines * leading_mm(sizes.source_pt) + 0.6 if self.caption else 0.0

    def measure_mm(self, width_mm: float, sizes: TypeSizes) -> float:
        """The least height, and the caption."""
        return self.measure_least(sizes.source_pt)[1] + self._caption_mm(width_mm, sizes)

    def excess_mm(self, width_mm: float, sizes: TypeSizes) -> float:
        """How much too wide it is at its least."""
        return max(self.measure_least(sizes.source_pt)[0] - width_mm, 0.0)

    def draw(self, box: Box, sizes: TypeSizes) -> Element:
        """The figure in the middle of the box, its caption under it."""
        room = box.height_mm - self._caption_mm(box.width_mm, sizes)
        items, width, height = self.drawn(box.width_mm, room, sizes.source_pt)
        placed = shift(items, box.x + (box.width_mm - width) / 2, box.top - room + (room - height) / 2)
        figure = Element(Role.FIGURE, placed, alt=self.alt, label=self.label)
        caption: list[Item] = []
        for number, line in enumerate(
            break_text(self.caption, FontFace.ITALIC, box.width_mm, sizes.source_pt) if self.caption else ()
        ):
            top = box.top - room - 0.6 - number * leading_mm(sizes.source_pt)
            x = box.x + (box.width_mm - line.width_mm) / 2
            caption += write_line(line, x, first_baseline(top, sizes.source_pt), sizes.source_pt)
        said = (Element(Role.PARAGRAPH, tuple(caption)),) if caption else ()
        return Element(Role.SECTION, (), (figure, *said), label=self.label)

    def words(self) -> Words:
        """What it shows."""
        return (FigureWords(self.alt, self.caption),)


@dataclass(frozen=True, slots=True)
class LadderSoFar:
    """The first rungs of a ladder, as many as are `shown`, each where it is in the whole `part`."""

    label: str
    alt: str
    nodes: Mapping[str, FlowNode]
    root: str
    part: LadderPart
    shown: int
    grows: bool = True

    def measure_mm(self, width_mm: float, sizes: TypeSizes) -> float:
        """The whole part's least height."""
        return measure_ladder(self.nodes, self.root, width_mm, sizes.lead_pt, self.part)[0]

    def excess_mm(self, width_mm: float, sizes: TypeSizes) -> float:
        """How far words stick out of the whole part."""
        return measure_ladder(self.nodes, self.root, width_mm, sizes.lead_pt, self.part)[1]

    def draw(self, box: Box, sizes: TypeSizes) -> Element:
        """From the top of the box, spread over it."""
        drawing = draw_ladder(
            self.nodes, self.root, box.width_mm, sizes.lead_pt, box.height_mm, self.part, self.shown
        )
        items = shift(drawing.items, box.x, box.top - drawing.height_mm)
        return Element(Role.FIGURE, items, alt=self.alt, label=self.label)

    def words(self) -> Words:
        """The rungs in words."""
        return (FigureWords(self.alt),)


@dataclass(frozen=True, slots=True)
class VerdictBlock:
    """A verdict in its box, as charts have it, across the slide."""

    label: str
    ending: FlowEnding
    grows: bool = False

    @property
    def _alt(self) -> str:
        said = ", ".join(write_ending_mark(mark, words) for mark, words in self.ending.lines)
        return f"{self.ending.headline}: {said}."

    def measure_mm(self, width_mm: float, sizes: TypeSizes) -> float:
        """The box."""
        return fit_verdict(self.ending, width_mm, sizes.lead_pt).height_mm + 2 * _PAD_MM

    def excess_mm(self, width_mm: float, sizes: TypeSizes) -> float:
        """How far its words stick out."""
        return fit_verdict(self.ending, width_mm, sizes.lead_pt).overflow_mm

    def draw(self, box: Box, sizes: TypeSizes) -> Element:
        """From the top of the box."""
        verdict = fit_verdict(self.ending, box.width_mm, sizes.lead_pt)
        height = self.measure_mm(box.width_mm, sizes)
        items = draw_verdict(verdict, box.x, box.top, box.width_mm, height, sizes.lead_pt)
        return Element(Role.FIGURE, tuple(items), alt=self._alt, label=self.label)

    def words(self) -> Words:
        """The verdict in words."""
        return (FigureWords(self._alt),)


@dataclass(frozen=True, slots=True)
class SlideFoot:
    """A footer with white above it, as what stands over it is large."""

    foot: Footer
    label: str = "footer"
    grows: bool = False

    def measure_mm(self, width_mm: float, sizes: TypeSizes) -> float:
        """The footer and the white."""
        return self.foot.measure_mm(width_mm, sizes) + _FOOT_GAP_MM

    def excess_mm(self, width_mm: float, sizes: TypeSizes) -> float:
        """How much too wide the footer is."""
        return self.foot.excess_mm(width_mm, sizes)

    def draw(self, box: Box, sizes: TypeSizes) -> Element:
        """At the bottom of the box."""
        return self.foot.draw(Box(box.x, box.y, box.width_mm, box.height_mm - _FOOT_GAP_MM), sizes)

    def words(self) -> Words:
        """The footer's."""
        return self.foot.words()


@dataclass(frozen=True, slots=True)
class PlayStory:
    """Where the game stands, with the bases drawn, and what happened."""

    label: str
    game: str
    bases: tuple[str, ...]
    story: tuple[str, ...]
    grows: bool = False

    def _text(self) -> Paragraphs:
        return Paragraphs(self.label, (f"*{self.game}.*", *self.story))

    def measure_mm(self, width_mm: float, sizes: TypeSizes) -> float:
        """The text, or the bases if they are higher."""
        return max(self._text().measure_mm(width_mm - _BASES_MM - _GAP_MM, sizes), _BASES_MM)

    def excess_mm(self, width_mm: float, sizes: TypeSizes) -> float:
        """How far the longest word sticks out."""
        return self._text().excess_mm(width_mm - _BASES_MM - _GAP_MM, sizes)

    def draw(self, box: Box, sizes: TypeSizes) -> Element:
        """The text at the left, the bases at the right."""
        width = box.width_mm - _BASES_MM - _GAP_MM
        height = self._text().measure_mm(width, sizes)
        said = self._text().draw(Box(box.x, box.top - height, width, height), sizes)
        bases = shift(draw_bases(self.bases, _BASES_MM), box.right - _BASES_MM, box.top - _BASES_MM)
        return Element(Role.SECTION, (), (said, Element(Role.DECORATION, bases)), label=self.label)

    def words(self) -> Words:
        """Both as running text."""
        return (Paragraph(f"*{self.game}.*"), *(Paragraph(each) for each in self.story))
