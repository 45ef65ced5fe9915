"""Labelled blanks to write or type in: who measured what, when and with which tape."""

from __future__ import annotations

from dataclasses import dataclass

from pocketref.pages.page import Box, Element, Role
from pocketref.pages.type_scale import TypeSizes
from pocketref.scene.inks import BLACK, WHITE
from pocketref.scene.items import Face, FormField, Item, Shape, Stroke
from pocketref.scene.paths import rectangle
from pocketref.scene.typefaces import cap_height_mm, set_text, typeface

_HEIGHT_MM = 5.6
_GAP_MM = 1.2
_BETWEEN_MM = 3.0
_LEAST_MM = 18.0  # room that a hand needs to write a date or a short name


@dataclass(frozen=True, slots=True)
class Blanks:
    """Blanks side by side, as many in a line as `across`, each with its label before it."""

    labels: tuple[str, ...]
    across: int = 1
    label: str = "blanks"
    grows: bool = False

    def _label_mm(self, sizes: TypeSizes, column: int) -> float:
        face = typeface(Face.REGULAR)
        return (
            max(face.measure_mm(words, sizes.body_pt) for words in self.labels[column :: self.across]) + 1.6
        )

    def _column_mm(self, width_mm: float) -> float:
        return (width_mm - _BETWEEN_MM * (self.across - 1)) / self.across

    def measure_mm(self, width_mm: float, sizes: TypeSizes) -> float:
        """All lines and the gaps between them."""
        lines = -(-len(self.labels) // self.across)
        return lines * (_HEIGHT_MM + _GAP_MM) - _GAP_MM

    def excess_mm(self, width_mm: float, sizes: TypeSizes) -> float:
        """How much of the room to write in is missing."""
        widest = max(self._label_mm(sizes, column) for column in range(min(self.across, len(self.labels))))
        return max(widest + _LEAST_MM - self._column_mm(width_mm), 0.0)

    def draw(self, box: Box, sizes: TypeSizes) -> Element:
        """The blanks line by line from the top of the box; a field's name is its label."""
        children: list[Element] = []
        for number, words in enumerate(self.labels):
            line, column = divmod(number, self.across)
            left = box.x + column * (self._column_mm(box.width_mm) + _BETWEEN_MM)
            bottom = box.top - line * (_HEIGHT_MM + _GAP_MM) - _HEIGHT_MM
            baseline = bottom + (_HEIGHT_MM - cap_height_mm(Face.REGULAR, sizes.body_pt)) / 2
            indent = self._label_mm(sizes, column)
            x, width = left + indent, self._column_mm(box.width_mm) - indent
            items: list[Item] = [
                set_text(left, baseline, words, Face.REGULAR, sizes.body_pt, BLACK),
                Shape(rectangle(x, bottom, width, _HEIGHT_MM), Stroke(0.25, BLACK), WHITE),
                FormField(x, bottom, width, _HEIGHT_MM, words, words, 9.0),
            ]
            children.append(Element(Role.PARAGRAPH, tuple(items)))
        return Element(Role.SECTION, (), tuple(children), label=self.label)
