"""Free room on a drawing: words go where they meet no other words and no line, or stay out.

Whoever draws gives each label the places it may take, best first. What is placed is in the way of what comes after.
"""

from __future__ import annotations

import math
from collections.abc import Iterable, Sequence
from dataclasses import dataclass, field, replace
from itertools import pairwise

from pocketref.scene.dimensioning import (
    ARROW_MM,
    THIN_MM,
    DimensionLine,
    DimensionSheet,
    boxes_meet,
    corners_of,
    find_ends,
)
from pocketref.scene.inks import BLACK
from pocketref.scene.items import Close, CurveTo, FontFace, Item, MoveTo, Shape, Stroke, Text
from pocketref.scene.paths import Point, arrowhead, polyline, text_extent
from pocketref.scene.textfit import leading_mm
from pocketref.scene.typefaces import cap_height_mm, set_text

_AIR_MM = (0.3, 0.12)  # kept between letters and lines, along the words and across them
_MARK_AIR_MM = (0.5, 0.45)  # the same around a mark, which must not be taken for part of the drawing
_CHORDS = 6  # a curve's, a quarter circle at most
_LED_SHARES = (0.5, 0.4, 0.6, 0.3, 0.7, 0.2, 0.8)  # where on a dimension line a leader may start
_FAN_MM = (2.4, 3.6, 5.0, 7.0, 9.5, 12.5, 16.0, 20.0, 25.0)
_FAN_TURN_DEG = 15
_MARK_MM = (1.2, 1.8, 2.5, 3.4, 4.6, 6.0, 8.0, 10.0, 12.5, 15.0)
_PEN = Stroke(THIN_MM, BLACK)

_Block = tuple[float, float, float, float, Sequence[Point]]
"""A rectangle, turned as it may be: the upright box around it and its corners."""


def _block(corners: Sequence[Point]) -> _Block:
    xs, ys = zip(*corners, strict=True)
    return min(xs), min(ys), max(xs), max(ys), corners


def _thicken(start: Point, end: Point, half_mm: float) -> list[Point]:
    """A line as a rectangle."""
    (x1, y1), (x2, y2) = start, end
    length = math.hypot(x2 - x1, y2 - y1) or 1.0
    dx, dy = (y1 - y2) / length * half_mm, (x2 - x1) / length * half_mm
    return [(x1 + dx, y1 + dy), (x2 + dx, y2 + dy), (x2 - dx, y2 - dy), (x1 - dx, y1 - dy)]


def _meets(block: _Block, others: Iterable[_Block]) -> bool:
    left, bottom, right, top, corners = block
    for low_x, low_y, high_x, high_y, other in others:  # a loop, since it is gone through a million times
        if left < high_x and low_x < right and bottom < high_y and low_y < top and boxes_meet(corners, other):
            return True
    return False


@dataclass(frozen=True, slots=True)
class Note:
    """Lines of words for one of several places, best first.

    With a `feature` (its centre and radius) a leader runs from its rim over the place to the words, which stand on
    the side away from it; one that `ends` runs straight to words that end at the place. Without a feature the words
    start at the place, or end there.
    """

    lines: tuple[str, ...]
    places: Sequence[Point]
    feature: tuple[Point, float] | None = None
    ends: bool = False
    face: FontFace = FontFace.MEDIUM


def fan_out(centre: Point, radius_mm: float, best: Point) -> list[Point]:
    """Places all around a feature, those nearest to the `best` one first."""
    places = [
        (
            centre[0] + (radius_mm + away) * math.cos(math.radians(turn)),
            centre[1] + (radius_mm + away) * math.sin(math.radians(turn)),
        )
        for away in _FAN_MM
        for turn in range(0, 360, _FAN_TURN_DEG)
    ]
    return [best, *sorted(places, key=lambda place: math.dist(place, best))]


@dataclass(slots=True)
class FreeRoom:
    """What has been drawn, and so where words may still go; `items` are what was placed."""

    sheet: DimensionSheet
    items: list[Item] = field(default_factory=list)
    _words: list[_Block] = field(default_factory=list)
    _lines: list[_Block] = field(default_factory=list)

    def block(self, items: Iterable[Item]) -> None:
        """Words keep clear of these."""
        for item in items:
            if isinstance(item, Text):
                self._words.append(_block(corners_of(item)))
            elif isinstance(item, Shape):
                half = item.stroke.width_mm / 2 if item.stroke else 0.05
                self._lines += [_block(_thicken(start, end, half)) for start, end in _cut(item)]

    def add(self, items: Iterable[Item]) -> None:
        """Draw these where they are."""
        drawn = tuple(items)
        self.items += drawn
        self.block(drawn)

    def is_free(self, texts: Iterable[Text]) -> bool:
        """Whether texts meet neither words nor lines."""
        return not any(
            _meets(_block(corners_of(text)), self._words) or _meets(_block(_letters(text)), self._lines)
            for text in texts
        )

    def is_open(self, extent: tuple[float, float, float, float], air_mm: float = 0.0) -> bool:
        """Whether nothing is in an upright box (left, bottom, right, top) and so near around it."""
        left, bottom, right, top = (
            each + way * air_mm for each, way in zip(extent, (-1, -1, 1, 1), strict=True)
        )
        block = _block([(left, bottom), (right, bottom), (right, top), (left, top)])
        return not _meets(block, self._words) and not _meets(block, self._lines)

    def is_clear(self, items: Iterable[Item]) -> bool:
        """Whether the lines of these run through no words."""
        return not any(
            _meets(_block(_thicken(start, end, 0.1)), self._words)
            for item in items
            if isinstance(item, Shape)
            for start, end in _cut(item)
        )

    def place_dimension(self, *choices: DimensionLine, must: bool = False) -> bool:
        """The first of the choices whose label has room at the middle of its line, else at the end of a leader.

        One that `must` be there is written without its second system before it goes over something else.
        """
        plain = replace(choices[0], second="")
        for dimension in (*choices, plain) if must else choices:
            texts = self.sheet.list_texts(dimension)
            if self._add_dimension(dimension, [], texts):
                return True
        for dimension in (*choices, plain) if must else choices:
            if not dimension.outside and self._place_led(dimension):
                return True
        if must:
            self.add([*self.sheet.list_lines(plain), *self.sheet.list_texts(plain)])
        return must

    def _add_dimension(
        self, dimension: DimensionLine, leader: Sequence[Shape], texts: Sequence[Text]
    ) -> bool:
        """Draw a dimension with its words here, if lines and words have room."""
        lines = self.sheet.list_lines(dimension)
        has_room = self.is_free(texts) and self.is_clear([*lines, *leader]) and not _meets_any(texts, lines)
        if has_room:
            self.add([*lines, *leader, *texts])
        return has_room

    def _place_led(self, dimension: DimensionLine) -> bool:
        """The dimension with its label on a leader, well off its line."""
        if not self.is_clear(self.sheet.list_lines(dimension)):
            return False
        least_mm = 1.2 * leading_mm(self.sheet.size_pt)
        (x1, y1), (x2, y2) = find_ends(dimension)
        length = math.dist((x1, y1), (x2, y2))
        labels = {side: self._list_label_blocks(dimension, side) for side in (-1.0, 1.0)}
        for along in _LED_SHARES:
            start = (x1 + (x2 - x1) * along, y1 + (y2 - y1) * along)
            for knee in fan_out(start, 0.0, start)[1:]:
                off_mm = abs((knee[0] - x1) * (y2 - y1) - (knee[1] - y1) * (x2 - x1)) / length
                # Most places are taken, which the label's boxes tell before anything is drawn.
                if (
                    off_mm > least_mm
                    and self._has_room(labels[1.0 if knee[0] >= start[0] else -1.0], knee)
                    and self._add_dimension(dimension, *self.sheet.list_led(dimension, along, knee))
                ):
                    return True
        return False

    def _list_label_blocks(self, dimension: DimensionLine, side: float) -> list[tuple[_Block, _Block]]:
        """The boxes and letters of a label on a leader whose knee is the origin, to its left (-1) or right (1)."""
        _, texts = self.sheet.list_led(
            replace(dimension, start=(-side, 1.0), end=(-side, -1.0), offset_mm=0.0), 0.5, (0.0, 0.0)
        )
        return [(_block(corners_of(text)), _block(_letters(text))) for text in texts]

    def _has_room(self, blocks: Iterable[tuple[_Block, _Block]], at: Point) -> bool:
        return not any(
            _meets(_shift(box, *at), self._words) or _meets(_shift(letters, *at), self._lines)
            for box, letters in blocks
        )

    def place_note(self, note: Note) -> bool:
        """The note at the first of its places that has room."""
        for place in note.places:
            texts, leader = self._set_note(note, place)
            if self.is_free(texts) and self.is_clear(leader) and not self._is_parted(texts):
                self.add([*leader, *texts])
                return True
        return False

    def _is_parted(self, texts: Iterable[Text]) -> bool:
        """Whether a line runs through level lines of words, or between two of them."""
        xs, ys = zip(*(corner for text in texts for corner in _letters(text)), strict=True)
        left, bottom, right, top = min(xs), min(ys), max(xs), max(ys)
        return _meets(_block([(left, bottom), (right, bottom), (right, top), (left, top)]), self._lines)

    def _set_note(self, note: Note, place: Point) -> tuple[list[Text], list[Shape]]:
        sheet = DimensionSheet(self.sheet.size_pt, note.face)
        if not note.feature or note.ends:
            sheet.write_lines(place, note.lines, "end" if note.ends else "start")
            return sheet.texts, _point_at(sheet.texts, note.feature[0]) if note.feature else []
        centre, radius = note.feature
        away = math.dist(centre, place)
        tip = tuple(c + (p - c) * radius / away for c, p in zip(centre, place, strict=True))
        sheet.draw_leader((tip[0], tip[1]), place, note.lines)
        return sheet.texts, [item for item in sheet.items if isinstance(item, Shape)]

    def _look_around(self, at: Point, reach_mm: float) -> FreeRoom:
        """The part of the drawing within reach of a point, to try many places in."""
        (x, y), r = at, reach_mm
        words, lines = (
            [b for b in blocks if b[0] < x + r and x - r < b[2] and b[1] < y + r and y - r < b[3]]
            for blocks in (self._words, self._lines)
        )
        return FreeRoom(self.sheet, [], words, lines)

    def place_mark(self, at: Point, words: str, toward_deg: float) -> bool:
        """A short bold mark beside a point, on a thin lead where it stands off; nearest first, then `toward_deg`."""
        turns = sorted(range(0, 360, 15), key=lambda turn: abs((turn - toward_deg + 180) % 360 - 180))
        size = self.sheet.size_pt
        cap = cap_height_mm(FontFace.BOLD, size)
        mark = set_text(0.0, 0.0, words, FontFace.BOLD, size, BLACK)
        room = self._look_around(at, _MARK_MM[-1] + mark.width_mm + cap)
        letters, box = _block(_letters(mark, _MARK_AIR_MM)), _block(corners_of(mark))
        for away in _MARK_MM:
            for turn in turns:
                dx, dy = math.cos(math.radians(turn)), math.sin(math.radians(turn))
                x = at[0] + dx * away - mark.width_mm * (1 - dx) / 2
                y = at[1] + dy * away + (dy - 1) / 2 * cap
                around = _shift(letters, x, y)
                if (
                    _meets(around, room._lines)
                    or _meets(around, room._words)
                    or _meets(_shift(box, x, y), room._words)
                ):
                    continue
                text = replace(mark, x=x, y=y)
                lead = [Shape(polyline([at, _find_edge(text, cap, at)]), _PEN)] if away > _MARK_MM[1] else []
                if room.is_clear(lead):
                    self.add([*lead, text])
                    return True
        return False


def _shift(block: _Block, dx: float, dy: float) -> _Block:
    left, bottom, right, top, corners = block
    return left + dx, bottom + dy, right + dx, top + dy, [(x + dx, y + dy) for x, y in corners]


def _point_at(texts: Sequence[Text], tip: Point) -> list[Shape]:
    """A straight leader from lines of words to a point."""
    lefts, lows, rights, highs = zip(*(text_extent(text) for text in texts), strict=True)
    start = min(max(tip[0], min(lefts)), max(rights)), min(max(tip[1], min(lows)), max(highs))
    heading = math.degrees(math.atan2(tip[1] - start[1], tip[0] - start[0]))
    return [Shape(polyline([start, tip]), _PEN), Shape(arrowhead(tip, heading, ARROW_MM), fill=BLACK)]


def _find_edge(text: Text, height_mm: float, toward: Point) -> Point:
    """The point of a level run's box, with some air, that is nearest to a place."""
    air = _AIR_MM[0]
    x = min(max(toward[0], text.x - air), text.x + text.width_mm + air)
    return x, min(max(toward[1], text.y - air), text.y + height_mm + air)


def _meets_any(texts: Iterable[Text], shapes: Iterable[Shape]) -> bool:
    lines = [_block(_thicken(start, end, 0.05)) for shape in shapes for start, end in _cut(shape)]
    return any(_meets(_block(_letters(text)), lines) for text in texts)


def _letters(text: Text, air_mm: tuple[float, float] = _AIR_MM) -> list[Point]:
    """The box from a run's baseline to its capitals' height, with some air, turned as the run is."""
    along, across = air_mm
    start = {"start": 0.0, "middle": -text.width_mm / 2, "end": -text.width_mm}[text.anchor] - along
    low, high = -across, cap_height_mm(text.face, text.size_pt) + across
    end = start + text.width_mm + 2 * along
    cos, sin = math.cos(math.radians(text.angle)), math.sin(math.radians(text.angle))
    return [
        (text.x + u * cos - v * sin, text.y + u * sin + v * cos)
        for u, v in ((start, low), (end, low), (end, high), (start, high))
    ]


def _cut(shape: Shape) -> list[tuple[Point, Point]]:
    """A shape's outline as straight pieces."""
    pieces: list[tuple[Point, Point]] = []
    points: list[Point] = []
    for segment in shape.path:
        if isinstance(segment, Close):
            points.append(points[0])
        elif isinstance(segment, CurveTo):
            points += [_find_on_curve(points[-1], segment, step / _CHORDS) for step in range(1, _CHORDS + 1)]
        elif isinstance(segment, MoveTo):
            pieces += pairwise(points)
            points = [(segment.x, segment.y)]
        else:
            points.append((segment.x, segment.y))
    return [*pieces, *pairwise(points)]


def _find_on_curve(start: Point, curve: CurveTo, share: float) -> Point:
    a, b, c, d = (1 - share) ** 3, 3 * share * (1 - share) ** 2, 3 * share**2 * (1 - share), share**3
    return (
        a * start[0] + b * curve.x1 + c * curve.x2 + d * curve.x,
        a * start[1] + b * curve.y1 + c * curve.y2 + d * curve.y,
    )
