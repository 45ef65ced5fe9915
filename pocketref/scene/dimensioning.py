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
from pocketref.scene.items import FontFace, Item, Shape, Stroke, Text
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
class DimensionLine:
    """A length to print between two points, in paper mm.

    `offset_mm` is where the dimension line runs: to the left of the direction `start` -> `end` if positive.
    `outside` is "" (text at the middle of the line), "start" or "end": beyond which arrow a text too long for its
    line is written.
    """

    start: Point
    end: Point
    label: str
    second: str = ""
    """The same length in the other system, written below the line."""
    offset_mm: float = 0.0
    outside: str = ""
    extend: bool = True
    """False where the dimension line ends on the outline itself, so that no extension lines are needed."""


@dataclass(frozen=True, slots=True)
class _Course:
    """Where a dimension line runs: its ends, its direction as a unit vector, its length in mm."""

    a: Point
    b: Point
    unit: Point
    length: float

    @classmethod
    def of(cls, dimension: DimensionLine) -> _Course:
        (x1, y1), (x2, y2) = dimension.start, dimension.end
        length = math.hypot(x2 - x1, y2 - y1)
        ux, uy = (x2 - x1) / length, (y2 - y1) / length
        dx, dy = -uy * dimension.offset_mm, ux * dimension.offset_mm
        return cls((x1 + dx, y1 + dy), (x2 + dx, y2 + dy), (ux, uy), length)

    @property
    def heading_deg(self) -> float:
        return math.degrees(math.atan2(self.unit[1], self.unit[0]))

    def list_extensions(self, dimension: DimensionLine) -> list[tuple[Point, Point]]:
        """The ends of the two extension lines; none where the dimension line lies on the outline or close by."""
        if not dimension.extend or abs(dimension.offset_mm) <= GAP_MM:
            return []
        sign = math.copysign(1.0, dimension.offset_mm)
        nx, ny = -self.unit[1] * sign, self.unit[0] * sign
        return [
            ((px + nx * GAP_MM, py + ny * GAP_MM), (qx + nx * OVERRUN_MM, qy + ny * OVERRUN_MM))
            for (px, py), (qx, qy) in ((dimension.start, self.a), (dimension.end, self.b))
        ]


@dataclass(slots=True)
class DimensionSheet:
    """Draws dimensions in one type size and remembers where their texts are."""

    size_pt: float
    face: FontFace = FontFace.MEDIUM
    items: list[Item] = field(default_factory=list)
    texts: list[Text] = field(default_factory=list)
    _pen: Stroke = field(default_factory=lambda: Stroke(THIN_MM, BLACK))

    @property
    def drop_mm(self) -> float:
        """How far what is written under a dimension line reaches down."""
        em = self.size_pt * MM_PER_PT
        return (typeface(FontFace.REGULAR).cap_height_em + TEXT_LIFT_EM) * em

    def draw_dimension(self, dimension: DimensionLine) -> None:
        """Add the dimension's extension lines, dimension line, arrowheads and text."""
        self.items += self.list_lines(dimension)
        texts = self.list_texts(dimension)
        self.texts += texts
        self.items += texts

    def list_lines(self, dimension: DimensionLine) -> list[Shape]:
        """The dimension's extension lines, dimension line and arrowheads, not yet drawn."""
        course = _Course.of(dimension)
        lines = [self._line(*ends) for ends in course.list_extensions(dimension)]
        (ax, ay), (bx, by), (ux, uy) = course.a, course.b, course.unit
        outside = self._is_outside(dimension, course)
        if outside:
            stub, shelf = ARROW_MM + 1.0, self._width_mm(dimension) + 0.6
            before = stub + (shelf if dimension.outside == "start" else 0.0)
            after = stub + (shelf if dimension.outside != "start" else 0.0)
            lines.append(self._line((ax - ux * before, ay - uy * before), course.a))
            lines.append(self._line(course.b, (bx + ux * after, by + uy * after)))
        lines.append(self._line(course.a, course.b))
        turn = 0 if outside else 180
        lines.append(Shape(arrowhead(course.a, course.heading_deg + turn, ARROW_MM), fill=BLACK))
        lines.append(Shape(arrowhead(course.b, course.heading_deg + 180 - turn, ARROW_MM), fill=BLACK))
        return lines

    def list_texts(self, dimension: DimensionLine) -> list[Text]:
        """The dimension's label above its line and the second one below it, not yet drawn."""
        course = _Course.of(dimension)
        along = 0.5
        if self._is_outside(dimension, course):
            away = (ARROW_MM + 1.0 + (self._width_mm(dimension) + 0.6) / 2) / course.length
            along = -away if dimension.outside == "start" else 1 + away
        (ax, ay), (bx, by) = course.a, course.b
        return self._set_texts(
            (ax + (bx - ax) * along, ay + (by - ay) * along), course.heading_deg, dimension
        )

    def _is_outside(self, dimension: DimensionLine, course: _Course) -> bool:
        return bool(dimension.outside) or course.length < 2 * ARROW_MM + 0.6

    def _width_mm(self, dimension: DimensionLine) -> float:
        return max(
            typeface(self.face).measure_mm(dimension.label, self.size_pt),
            typeface(FontFace.REGULAR).measure_mm(dimension.second, self.size_pt),
        )

    def list_led(self, dimension: DimensionLine, along: float, knee: Point) -> tuple[list[Shape], list[Text]]:
        """A leader from a share of the dimension line over `knee` to its label, not yet drawn."""
        (ax, ay), (bx, by) = find_ends(dimension)
        sheet = DimensionSheet(self.size_pt, self.face)
        words = [each for each in (dimension.label, dimension.second) if each]
        sheet.draw_leader((ax + (bx - ax) * along, ay + (by - ay) * along), knee, words, "line")
        return [item for item in sheet.items if isinstance(item, Shape)], sheet.texts

    def draw_leader(
        self, tip: Point, knee: Point, lines: Sequence[str], end: Literal["arrow", "dot", "line"] = "arrow"
    ) -> None:
        """A leader line (ISO 128-22) from `tip` over `knee` to a note, its first line in the sheet's face.

        The note stands beyond the knee, away from the tip, its lines centred on the knee's height. The tip is
        an arrowhead on an outline, a dot inside one, or bare on a dimension line.
        """
        away = 1.0 if knee[0] >= tip[0] else -1.0
        shelf = (knee[0] + away * LEADER_SHELF_MM, knee[1])
        self.items.append(Shape(polyline([tip, knee, shelf]), stroke=self._pen))
        heading = math.degrees(math.atan2(tip[1] - knee[1], tip[0] - knee[0]))
        if end != "line":
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
            face = FontFace.REGULAR if number else self.face
            text = set_text(place[0], baseline - lead * number, words, face, self.size_pt, BLACK, anchor)
            self.texts.append(text)
            self.items.append(text)

    def _set_texts(self, centre: Point, heading_deg: float, dimension: DimensionLine) -> list[Text]:
        """Text above the line at `centre`, turned so that it reads from the bottom or from the right."""
        angle = (heading_deg + 360) % 360
        if 90 + 1e-6 < angle <= 270 + 1e-6:
            angle -= 180
        em = self.size_pt * MM_PER_PT
        lines = (
            (dimension.label, self.face, TEXT_LIFT_EM * em),
            (dimension.second, FontFace.REGULAR, -self.drop_mm),
        )
        radians = math.radians(angle)
        texts = []
        for words, face, lift in lines:
            if words:
                x = centre[0] - math.sin(radians) * lift
                y = centre[1] + math.cos(radians) * lift
                texts.append(set_text(x, y, words, face, self.size_pt, BLACK, "middle", _tidy(angle)))
        return texts

    def _line(self, start: Point, end: Point) -> Shape:
        return Shape(polyline([start, end]), stroke=self._pen)


def find_ends(dimension: DimensionLine) -> tuple[Point, Point]:
    """Where the dimension line starts and ends."""
    course = _Course.of(dimension)
    return course.a, course.b


def _tidy(angle: float) -> float:
    """The angle in [-90, 270), with float dust removed."""
    turned = round(angle, 6)
    return turned - 360 if turned >= 270 else turned


def corners_of(text: Text) -> list[Point]:
    """The corners of the box around a run, in order, turned about the run's point."""
    level = text if text.angle == 0.0 else replace(text, angle=0.0)
    left, bottom, right, top = text_extent(level)
    if level is text:
        return [(left, bottom), (right, bottom), (right, top), (left, top)]
    angle = math.radians(text.angle)
    cos, sin = math.cos(angle), math.sin(angle)
    return [
        (text.x + (x - text.x) * cos - (y - text.y) * sin, text.y + (x - text.x) * sin + (y - text.y) * cos)
        for x, y in ((left, bottom), (right, bottom), (right, top), (left, top))
    ]


def boxes_meet(a: Sequence[Point], b: Sequence[Point]) -> bool:
    """Whether two rectangles overlap: no side of either has the other wholly beyond it."""
    for corners in (a, b):
        for (x1, y1), (x2, y2) in pairwise(corners[:3]):
            ax, ay = x2 - x1, y2 - y1
            near = [x * ax + y * ay for x, y in a]
            far = [x * ax + y * ay for x, y in b]
            if max(near) <= min(far) or max(far) <= min(near):
                return False
    return True
