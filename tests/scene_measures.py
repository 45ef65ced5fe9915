"""Measures what is drawn: outlines, connectors and the ink of texts as shapely geometry, in mm."""

from __future__ import annotations

import math
from collections.abc import Iterable
from functools import cache

from fontTools.pens.boundsPen import BoundsPen
from fontTools.ttLib import TTFont
from shapely import LineString, MultiPolygon, Polygon, box
from shapely.affinity import rotate, translate

from pocketref.scene.dimensioning import boxes_meet, corners_of
from pocketref.scene.items import CurveTo, FontFace, Item, LineTo, MoveTo, Shape, Text
from pocketref.scene.typefaces import typeface
from pocketref.units.length import MM_PER_PT

Point = tuple[float, float]


def vertices(shape: Shape) -> list[Point]:
    """A path's corners, curves cut into ten chords."""
    points: list[Point] = []
    for segment in shape.path:
        match segment:
            case MoveTo(x, y) | LineTo(x, y):
                points.append((x, y))
            case CurveTo(x1, y1, x2, y2, x, y):
                (x0, y0) = points[-1]
                for step in range(1, 11):
                    t = step / 10
                    a, b, c, d = (1 - t) ** 3, 3 * t * (1 - t) ** 2, 3 * t * t * (1 - t), t**3
                    points.append((a * x0 + b * x1 + c * x2 + d * x, a * y0 + b * y1 + c * y2 + d * y))
    return points


def outline(shape: Shape) -> Polygon:
    """A closed shape as a polygon."""
    return Polygon(vertices(shape))


def line(shape: Shape) -> LineString:
    """An open shape as a line."""
    return LineString(vertices(shape))


def texts_of(items: Iterable[Item]) -> list[Text]:
    return [item for item in items if isinstance(item, Text)]


def shapes_of(items: Iterable[Item]) -> list[Shape]:
    return [item for item in items if isinstance(item, Shape)]


@cache
def glyph_bounds_em(face: FontFace, character: str) -> tuple[float, float, float, float] | None:
    """The ink of one glyph, read from the font file itself."""
    font = open_font(face)
    glyphs = font.getGlyphSet()
    pen = BoundsPen(glyphs)
    glyphs[font.getBestCmap()[ord(character)]].draw(pen)
    em = font["head"].unitsPerEm
    return tuple(value / em for value in pen.bounds) if pen.bounds else None


@cache
def open_font(face: FontFace) -> TTFont:
    return TTFont(typeface(face).path)


def ink(text: Text) -> MultiPolygon:
    """The turned rectangles around the ink of a run's glyphs, without side bearings; none for spaces."""
    em = text.size_pt * MM_PER_PT
    at = {"start": 0.0, "middle": -text.width_mm / 2, "end": -text.width_mm}[text.anchor]
    boxes = []
    for character in text.content:
        bounds = glyph_bounds_em(text.face, character)
        if bounds:
            left, bottom, right, top = (value * em for value in bounds)
            boxes.append(box(at + left, bottom, at + right, top))
        at += typeface(text.face).measure_mm(character, text.size_pt)
    return translate(rotate(MultiPolygon(boxes), text.angle, origin=(0, 0)), text.x, text.y)


def inked_overlaps(texts: Iterable[Text]) -> list[tuple[str, str]]:
    """Pairs of texts whose turned ink boxes meet."""
    inked = [(text.content, ink(text).minimum_rotated_rectangle) for text in texts if text.content.strip()]
    return [
        (a, b)
        for index, (a, one) in enumerate(inked)
        for b, other in inked[index + 1 :]
        if one.intersection(other).area > 1e-6
    ]


def distance(one: Point, other: Point) -> float:
    return math.dist(one, other)


def find_overlaps(texts: list[Text]) -> list[tuple[Text, Text]]:
    """Pairs of texts whose boxes, turned as the texts are, meet."""
    boxes = [corners_of(text) for text in texts]
    return [
        (texts[i], texts[j])
        for i in range(len(texts))
        for j in range(i + 1, len(texts))
        if boxes_meet(boxes[i], boxes[j])
    ]
