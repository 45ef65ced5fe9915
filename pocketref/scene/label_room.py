"""Room for labels beside points: each goes to the nearest free place around its point, on a thin lead if far."""

from __future__ import annotations

import math
from collections.abc import Iterable
from dataclasses import dataclass, field

from pocketref.scene.inks import BLACK, WHITE
from pocketref.scene.items import FontFace, Item, Shape, Stroke, Text
from pocketref.scene.paths import Point, polyline, rectangle, text_extent
from pocketref.scene.typefaces import cap_height_mm, set_text

_DISTANCES_MM = (1.2, 3.2, 5.2, 7.2, 9.2)
_LEAD_FROM_MM = 2.0
_AIR_MM = 0.35
_TURNS = (45, 135, -45, -135, 0, 180, 90, -90)

Extent = tuple[float, float, float, float]


@dataclass(slots=True)
class LabelRoom:
    """Keeps what labels must not cover: points, and labels already set."""

    size_pt: float
    face: FontFace = FontFace.BOLD
    taken: list[Extent] = field(default_factory=list)
    items: list[Item] = field(default_factory=list)

    def keep_clear(self, points: Iterable[Point], reach_mm: float) -> None:
        """Nothing is written within `reach_mm` of these points."""
        self.taken += [(x - reach_mm, y - reach_mm, x + reach_mm, y + reach_mm) for x, y in points]

    def keep_line_clear(self, start: Point, end: Point) -> None:
        """Nothing is written across this line."""
        steps = max(int(math.dist(start, end) / 0.8), 1)
        share = [number / steps for number in range(steps + 1)]
        places = [(start[0] + (end[0] - start[0]) * s, start[1] + (end[1] - start[1]) * s) for s in share]
        self.keep_clear(places, 0.25)

    def write(self, at: Point, words: str, *, toward_deg: float = 45.0, is_needed: bool = True) -> bool:
        """A label in the free place nearest the point, `toward_deg` tried first; whether there is one.

        If none is free it is left out, or written over what lies there where it `is_needed`.
        """
        turns = sorted(_TURNS, key=lambda turn: abs((turn - toward_deg + 180) % 360 - 180))
        places = [(distance, turn) for distance in _DISTANCES_MM for turn in turns]
        for distance, turn in places:
            text = self._set(at, words, distance, turn)
            extent = _pad(text_extent(text))
            if self._is_free(extent):
                self._add(at, text, extent, distance)
                return True
        if is_needed:
            text = self._set(at, words, *places[0])
            self._add(at, text, _pad(text_extent(text)), places[0][0])
        return False

    def _is_free(self, extent: Extent) -> bool:
        left, bottom, right, top = extent
        for (
            low_x,
            low_y,
            high_x,
            high_y,
        ) in self.taken:  # a loop, since it is gone through half a million times
            if left < high_x and low_x < right and bottom < high_y and low_y < top:
                return False
        return True

    def _set(self, at: Point, words: str, distance: float, turn: float) -> Text:
        dx, dy = math.cos(math.radians(turn)), math.sin(math.radians(turn))
        cap = cap_height_mm(self.face, self.size_pt)
        x = at[0] + dx * distance
        y = at[1] + dy * distance + (dy - 1) / 2 * cap
        text = set_text(0.0, y, words, self.face, self.size_pt, BLACK)
        left = x - text.width_mm * (1 - dx) / 2
        return set_text(left, y, words, self.face, self.size_pt, BLACK)

    def _add(self, at: Point, text: Text, extent: Extent, distance: float) -> None:
        left, bottom, right, top = extent
        self.taken.append(extent)
        if distance > _LEAD_FROM_MM:
            near = (min(max(at[0], left), right), min(max(at[1], bottom), top))
            self.items.append(Shape(polyline([at, near]), Stroke(0.18, BLACK)))
        self.items.append(Shape(rectangle(left, bottom, right - left, top - bottom), None, WHITE))
        self.items.append(text)


def _pad(extent: Extent) -> Extent:
    left, bottom, right, top = extent
    return left - _AIR_MM, bottom - _AIR_MM, right + _AIR_MM, top + _AIR_MM
