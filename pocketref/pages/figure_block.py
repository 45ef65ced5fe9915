"""A figure to scale as a block."""

from __future__ import annotations

from collections.abc import Callable
from dataclasses import dataclass, field

from pocketref.pages.blocks import first_baseline
from pocketref.pages.page import Box, Element, Role
from pocketref.pages.type_scale import TypeSizes
from pocketref.pages.words import FigureWords, Words
from pocketref.scene.items import FontFace, Item
from pocketref.scene.paths import shift
from pocketref.scene.plan_view import SCALES, FigureDrawing, draw_largest, draw_smallest
from pocketref.scene.textfit import break_text, count_lines, leading_mm, write_line
from pocketref.words.speech import say


@dataclass(frozen=True, slots=True)
class FigureBlock:
    """A figure drawn at the largest standard scale that fits, with a caption that states it.

    `draw_at` draws it at 1:scale with type of the given size; `smallest` is the smallest scale allowed,
    as its denominator.
    """

    label: str
    caption: str
    draw_at: Callable[[float, float], FigureDrawing] = field(compare=False)
    smallest: int
    made_of: object
    """All that decides what is drawn: figures made of equal things look alike."""
    grows: bool = True
    note: str = ""
    """What the caption adds to the scale."""
    scales: tuple[int, ...] = SCALES
    """The scales to choose from, as denominators, the largest drawing first."""

    def _write_caption(self, scale: float) -> str:
        shown = f"{scale:g}"
        said = say("Scale 1:{scale}", scale=shown)
        return f"{self.caption}. {said}{self.note}."

    def _caption_mm(self, width_mm: float, sizes: TypeSizes) -> float:
        """Room for the caption; the smallest scale has the most figures, so no other needs more lines."""
        words = self._write_caption(self.smallest)
        return (
            count_lines(words, FontFace.ITALIC, width_mm, sizes.small_pt) * leading_mm(sizes.small_pt) + 0.6
        )

    def measure_mm(self, width_mm: float, sizes: TypeSizes) -> float:
        """The figure's height at the smallest scale that it can have, and its caption."""
        return self._draw_smallest(sizes).height_mm + self._caption_mm(width_mm, sizes)

    def excess_mm(self, width_mm: float, sizes: TypeSizes) -> float:
        """How much too wide the figure is at that scale."""
        return max(self._draw_smallest(sizes).width_mm - width_mm, 0.0)

    def draw(self, box: Box, sizes: TypeSizes) -> Element:
        """The figure in the middle of the box, its caption under it."""
        room = box.height_mm - self._caption_mm(box.width_mm, sizes)
        drawing = self._largest(box.width_mm, room, sizes)
        left = box.x + (box.width_mm - drawing.width_mm) / 2
        bottom = box.top - room + (room - drawing.height_mm) / 2
        caption: list[Item] = []
        top = bottom - 0.6
        words = self._write_caption(drawing.scale)
        for line in break_text(words, FontFace.ITALIC, box.width_mm, sizes.small_pt):
            x = box.x + (box.width_mm - line.width_mm) / 2
            caption += write_line(line, x, first_baseline(top, sizes.small_pt), sizes.small_pt)
            top -= leading_mm(sizes.small_pt)
        figure = Element(Role.FIGURE, shift(drawing.items, left, bottom), alt=drawing.alt, label=self.label)
        said = Element(Role.PARAGRAPH, tuple(caption))
        return Element(Role.SECTION, (), (figure, said), label=self.label)

    def words(self) -> Words:
        """What it shows; its scale holds on paper only."""
        # It says the same at any size; in the smallest type all finds its room at once.
        return (FigureWords(self.draw_at(self.smallest, 1.0).alt, f"{self.caption}{self.note}"),)

    def _largest(self, width_mm: float, height_mm: float, sizes: TypeSizes) -> FigureDrawing:
        larger = [scale for scale in self.scales if scale < self.smallest]
        found = draw_largest(lambda scale: self.draw_at(scale, sizes.small_pt), larger, width_mm, height_mm)
        return found or self._draw_smallest(sizes)

    def _draw_smallest(self, sizes: TypeSizes) -> FigureDrawing:
        """At the smallest scale allowed, or as much larger as its words need."""
        allowed = {scale for scale in self.scales if scale < self.smallest} | {self.smallest}
        return draw_smallest(lambda scale: self.draw_at(scale, sizes.small_pt), allowed)
