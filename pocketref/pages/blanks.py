"""Labelled blanks to write or type in: who measured what, when and with which tape."""

from __future__ import annotations

from dataclasses import dataclass

from pocketref.pages.page import Box, Element, Role
from pocketref.pages.type_scale import TypeSizes
from pocketref.pages.words import Blank, Words
from pocketref.scene.inks import BLACK, WHITE
from pocketref.scene.items import FontFace, FormField, Item, Shape, Stroke
from pocketref.scene.paths import rectangle
from pocketref.scene.typefaces import cap_height_mm, set_text, typeface

_HEIGHT_MM = 5.6
_GAP_MM = 1.2
_BETWEEN_MM = 3.0
_LEAST_MM = 18.0  # room that a hand needs to write a date or a short name


def name_blank(label: str) -> str:
    """The name of a label's field: "Tape used" for "Tape used (steel or fibreglass)"."""
    return label.partition(" (")[0]


@dataclass(frozen=True, slots=True)
class Blanks:
    """Blanks side by side, as many in a line as `across`, all of one width, each with its label before it.

    What a label has in brackets is a help to whoever fills it in, and no part of the field's name.
    """

    labels: tuple[str, ...]
    across: int = 1
    written: tuple[str, ...] = ()
    """The labels in the language they were written in, which name the fields in any; as they stand if not given."""
    label: str = "blanks"
    grows: bool = False

    def _label_mm(self, sizes: TypeSizes, column: int) -> float:
        face = typeface(FontFace.REGULAR)
        return (
            max(face.measure_mm(words, sizes.body_pt) for words in self.labels[column :: self.across]) + 1.6
        )

    def _blank_mm(self, width_mm: float, sizes: TypeSizes) -> float:
        """What labels and gaps leave to write in, shared evenly."""
        columns = min(self.across, len(self.labels))
        named = sum(self._label_mm(sizes, column) for column in range(columns))
        named += (self.across - columns) * (named / columns)
        return (width_mm - _BETWEEN_MM * (self.across - 1) - named) / self.across

    def measure_mm(self, width_mm: float, sizes: TypeSizes) -> float:
        """All lines and the gaps between them."""
        lines = -(-len(self.labels) // self.across)
        return lines * (_HEIGHT_MM + _GAP_MM) - _GAP_MM

    def excess_mm(self, width_mm: float, sizes: TypeSizes) -> float:
        """How much of the room to write in is missing."""
        return max(_LEAST_MM - self._blank_mm(width_mm, sizes), 0.0)

    def draw(self, box: Box, sizes: TypeSizes) -> Element:
        """The blanks line by line from the top of the box; a field's name is its label without brackets."""
        children: list[Element] = []
        width = self._blank_mm(box.width_mm, sizes)
        written = self.written or self.labels
        for number, (words, named) in enumerate(zip(self.labels, written, strict=True)):
            line, column = divmod(number, self.across)
            before = sum(self._label_mm(sizes, other) for other in range(column))
            left = box.x + before + column * (width + _BETWEEN_MM)
            bottom = box.top - line * (_HEIGHT_MM + _GAP_MM) - _HEIGHT_MM
            baseline = bottom + (_HEIGHT_MM - cap_height_mm(FontFace.REGULAR, sizes.body_pt)) / 2
            x = left + self._label_mm(sizes, column)
            items: list[Item] = [
                set_text(left, baseline, words, FontFace.REGULAR, sizes.body_pt, BLACK),
                Shape(rectangle(x, bottom, width, _HEIGHT_MM), Stroke(0.25, BLACK), WHITE),
                FormField(x, bottom, width, _HEIGHT_MM, name_blank(named), words, 9.0),
            ]
            children.append(Element(Role.PARAGRAPH, tuple(items)))
        return Element(Role.SECTION, (), tuple(children), label=self.label)

    def words(self) -> Words:
        """Each label with its blank."""
        return tuple(Blank(label) for label in self.labels)
