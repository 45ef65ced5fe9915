"""Dimension lines after ISO 129-1: extension lines, arrowheads, text above the line, read from below or right.

A dimension is asked for between two points; where its line runs is a signed offset. `DimensionSheet`
keeps what has been drawn, so that a text never lands on another text or on a line that matters.
"""

from __future__ import annotations

import math
from collections.abc import Sequence
from dataclasses import dataclass, field, replace
from itertools import pairwise
from typing import Literal

from pocketref.scene.inks import BLACK
from pocketref.scene.items import Face, Item, Shape, Stroke, Text
from pocketref.scene.paths import Point, arrowhead, circle, polyline, text_extent
from pocketref.scene.textfit import leading_mm
from pocketref.scene.typefaces import cap_height_mm, set_text, typeface
from pocketref.units.length import MM_PER_PT

# ISO 128-2 line widths: dimensions are thin lines, half the width of outlines or less.
THIN_MM = 0.18
GAP_MM = 0.8  # visible gap between the outline and its extension line
OVERRUN_MM = 1.2  # extension line past the dimension line
ARROW_MM = 2.0
LEADER_SHELF_MM = 1.2  # the level end of a leader line
TEXT_LIFT_EM = 0.24  # clear space between the dimension line and the text's baseline


@dataclass(frozen=True, slots=True)
class Dimension:
    """A length to print between two points, in paper mm.

    `offset_mm` is where the dimension line runs: to the left of the direction `start` -> `end` if positive.
    `shift` moves the text along the line from its middle, as a share of the line's length.
    `outside` is "" (text between the arrows), "start" or "end": beyond which arrow a text too long for its
    line is written.
    """

    start: Point
    end: Point
    label: str
    second: str = ""
    """The same length in the other system, written below the line."""
    offset_mm: float = 0.0
    shift: float = 0.0
    outside: str = ""
    extend: bool = True
    """False where the dimension line ends on the outline itself, so that no extension lines are needed."""


@dataclass(slots=True)
class DimensionSheet:
    """Draws dimensions in one type size and remembers where their texts are."""

    size_pt: float
    face: Face = Face.MEDIUM
    items: list[Item] = field(default_factory=list)
    texts: list[Text] = field(default_factory=list)
    _pen: Stroke = field(default_factory=lambda: Stroke(THIN_MM, BLACK))

    def draw_dimension(self, dimension: Dimension) -> None:
        """Add the dimension's extension lines, dimension line, arrowheads and text."""
        (x1, y1), (x2, y2) = dimension.start, dimension.end
        length = math.hypot(x2 - x1, y2 - y1)
        ux, uy = (x2 - x1) / length, (y2 - y1) / length
        nx, ny = -uy, ux
        offset = dimension.offset_mm
        a = (x1 + nx * offset, y1 + ny * offset)
        b = (x2 + nx * offset, y2 + ny * offset)
        if dimension.extend and abs(offset) > GAP_MM:
            sign = math.copysign(1.0, offset)
            for (px, py), (qx, qy) in ((dimension.start, a), (dimension.end, b)):
                self._line(
                    (px + nx * GAP_MM * sign, py + ny * GAP_MM * sign),
                    (qx + nx * OVERRUN_MM * sign, qy + ny * OVERRUN_MM * sign),
                )
        heading = math.degrees(math.atan2(uy, ux))
        width = max(
            typeface(self.face).measure_mm(dimension.label, self.size_pt),
            typeface(Face.REGULAR).measure_mm(dimension.second, self.size_pt),
        )
        if dimension.outside or length < 2 * ARROW_MM + 0.6:
            self._draw_outside(dimension, a, b, (ux, uy), width)
        else:
            self._line(a, b)
            self.items.append(Shape(arrowhead(a, heading + 180, ARROW_MM), fill=BLACK))
            self.items.append(Shape(arrowhead(b, heading, ARROW_MM), fill=BLACK))
            along = 0.5 + dimension.shift
            centre = (a[0] + (b[0] - a[0]) * along, a[1] + (b[1] - a[1]) * along)
            self._write(centre, heading, dimension)

    def draw_leader(
        self, tip: Point, knee: Point, lines: Sequence[str], end: Literal["arrow", "dot"] = "arrow"
    ) -> None:
        """A leader line (ISO 128-22) from `tip` over `knee` to a note, its first line in the sheet's face.

        The note stands beyond the knee, away from the tip, its lines centred on the knee's height. The tip is
        an arrowhead on an outline or a dot inside one.
        """
        away = 1.0 if knee[0] >= tip[0] else -1.0
        shelf = (knee[0] + away * LEADER_SHELF_MM, knee[1])
        self.items.append(Shape(polyline([tip, knee, shelf]), stroke=self._pen))
        heading = math.degrees(math.atan2(tip[1] - knee[1], tip[0] - knee[0]))
        mark = arrowhead(tip, heading, ARROW_MM) if end == "arrow" else circle(*tip, 0.4)
        self.items.append(Shape(mark, fill=BLACK))
        self.write_lines((shelf[0] + away * 0.6, knee[1]), lines, "start" if away > 0 else "end")

    def write_lines(
        self, place: Point, lines: Sequence[str], anchor: Literal["start", "middle", "end"] = "start"
    ) -> None:
        """Level lines of text about the height of `place`, the first in the sheet's face."""
        lead = leading_mm(self.size_pt)
        baseline = place[1] - cap_height_mm(self.face, self.size_pt) / 2 + lead * (len(lines) - 1) / 2
        for number, words in enumerate(lines):
            face = Face.REGULAR if number else self.face
            text = set_text(place[0], baseline - lead * number, words, face, self.size_pt, BLACK, anchor)
            self.texts.append(text)
            self.items.append(text)

    def _draw_outside(self, dimension: Dimension, a: Point, b: Point, unit: Point, width: float) -> None:
        """Arrows point inwards from outside; the text stands above a shelf that runs on from one of them."""
        ux, uy = unit
        heading = math.degrees(math.atan2(uy, ux))
        stub = ARROW_MM + 1.0
        shelf = width + 0.6
        before = stub + (shelf if dimension.outside == "start" else 0.0)
        after = stub + (shelf if dimension.outside != "start" else 0.0)
        self._line((a[0] - ux * before, a[1] - uy * before), a)
        self._line(b, (b[0] + ux * after, b[1] + uy * after))
        self._line(a, b)
        self.items.append(Shape(arrowhead(a, heading, ARROW_MM), fill=BLACK))
        self.items.append(Shape(arrowhead(b, heading + 180, ARROW_MM), fill=BLACK))
        distance = stub + shelf / 2
        if dimension.outside == "start":
            centre = (a[0] - ux * distance, a[1] - uy * distance)
        else:
            centre = (b[0] + ux * distance, b[1] + uy * distance)
        self._write(centre, heading, dimension)

    def _write(self, centre: Point, heading_deg: float, dimension: Dimension) -> None:
        """Text above the line at `centre`, turned so that it reads from the bottom or from the right."""
        angle = (heading_deg + 360) % 360
        if 90 + 1e-6 < angle <= 270 + 1e-6:
            angle -= 180
        em = self.size_pt * MM_PER_PT
        below = -(typeface(Face.REGULAR).cap_height_em + TEXT_LIFT_EM) * em
        lines = ((dimension.label, self.face, TEXT_LIFT_EM * em), (dimension.second, Face.REGULAR, below))
        radians = math.radians(angle)
        for words, face, lift in lines:
            if words:
                x = centre[0] - math.sin(radians) * lift
                y = centre[1] + math.cos(radians) * lift
                text = set_text(x, y, words, face, self.size_pt, BLACK, "middle", _tidy(angle))
                self.texts.append(text)
                self.items.append(text)

    def _line(self, start: Point, end: Point) -> None:
        self.items.append(Shape(polyline([start, end]), stroke=self._pen))


def _tidy(angle: float) -> float:
    """The angle in [-90, 270), with float dust removed."""
    turned = round(angle, 6)
    return turned - 360 if turned >= 270 else turned


def find_overlaps(texts: list[Text]) -> list[tuple[Text, Text]]:
    """Pairs of texts whose boxes, turned as the texts are, meet."""
    boxes = [_corners(text) for text in texts]
    return [
        (texts[i], texts[j])
        for i in range(len(texts))
        for j in range(i + 1, len(texts))
        if _meet(boxes[i], boxes[j])
    ]


def _corners(text: Text) -> list[Point]:
    """The corners of the box around a run, in order, turned about the run's point."""
    left, bottom, right, top = text_extent(replace(text, angle=0.0))
    angle = math.radians(text.angle)
    cos, sin = math.cos(angle), math.sin(angle)
    return [
        (text.x + (x - text.x) * cos - (y - text.y) * sin, text.y + (x - text.x) * sin + (y - text.y) * cos)
        for x, y in ((left, bottom), (right, bottom), (right, top), (left, top))
    ]


def _meet(a: list[Point], b: list[Point]) -> bool:
    """Whether two rectangles overlap: no side of either has the other wholly beyond it."""
    for corners in (a, b):
        for (x1, y1), (x2, y2) in pairwise(corners[:3]):
            ax, ay = x2 - x1, y2 - y1
            near = [x * ax + y * ay for x, y in a]
            far = [x * ax + y * ay for x, y in b]
            if max(near) <= min(far) or max(far) <= min(near):
                return False
    return True
