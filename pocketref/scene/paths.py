"""Building and moving paths: polygons, circles, arcs, rounded boxes, arrowheads; shift and extent of items."""

from __future__ import annotations

import math
from collections.abc import Iterable, Iterator, Sequence
from dataclasses import replace

from shapely import LineString

from pocketref.scene.items import (
    Close,
    CurveTo,
    FormField,
    Item,
    LineTo,
    MoveTo,
    Placed,
    Raster,
    Segment,
    Shape,
    Text,
)
from pocketref.scene.typefaces import measure_reach_em
from pocketref.units.length import MM_PER_PT

Point = tuple[float, float]

# Cubic Bezier control length for a quarter circle of radius 1: 4/3 (sqrt 2 - 1); radial error under 0.03 %.
QUARTER = 4 / 3 * (math.sqrt(2) - 1)


def polyline(points: Sequence[Point], *, closed: bool = False) -> tuple[Segment, ...]:
    """Straight segments through `points` (at least two), closed on request."""
    (x, y), *rest = points
    path: list[Segment] = [MoveTo(x, y), *(LineTo(px, py) for px, py in rest)]
    if closed:
        path.append(Close())
    return tuple(path)


def rectangle(x: float, y: float, width: float, height: float) -> tuple[Segment, ...]:
    """An upright rectangle with its lower left corner at (x, y)."""
    return polyline([(x, y), (x + width, y), (x + width, y + height), (x, y + height)], closed=True)


def rounded_rectangle(x: float, y: float, width: float, height: float, radius: float) -> tuple[Segment, ...]:
    """A rectangle with circular corners; a radius of half the height makes a stadium."""
    r = min(radius, width / 2, height / 2)
    if r <= 0:
        return rectangle(x, y, width, height)
    k, right, top = r * (1 - QUARTER), x + width, y + height
    return (
        MoveTo(x + r, y),
        LineTo(right - r, y),
        CurveTo(right - k, y, right, y + k, right, y + r),
        LineTo(right, top - r),
        CurveTo(right, top - k, right - k, top, right - r, top),
        LineTo(x + r, top),
        CurveTo(x + k, top, x, top - k, x, top - r),
        LineTo(x, y + r),
        CurveTo(x, y + k, x + k, y, x + r, y),
        Close(),
    )


def circle(x: float, y: float, radius: float) -> tuple[Segment, ...]:
    """A full circle about (x, y)."""
    return (*arc(x, y, radius, 0, 360), Close())


def arc(x: float, y: float, radius: float, start_deg: float, sweep_deg: float) -> tuple[Segment, ...]:
    """A circular arc about (x, y) from `start_deg` through `sweep_deg`, in pieces of at most 90 degrees."""
    pieces = max(1, math.ceil(abs(sweep_deg) / 90 - 1e-9))
    step = math.radians(sweep_deg / pieces)
    k = 4 / 3 * math.tan(step / 4) * radius
    angle = math.radians(start_deg)
    px, py = x + radius * math.cos(angle), y + radius * math.sin(angle)
    path: list[Segment] = [MoveTo(px, py)]
    for _ in range(pieces):
        end = angle + step
        qx, qy = x + radius * math.cos(end), y + radius * math.sin(end)
        path.append(
            CurveTo(
                px - k * math.sin(angle),
                py + k * math.cos(angle),
                qx + k * math.sin(end),
                qy - k * math.cos(end),
                qx,
                qy,
            )
        )
        angle, px, py = end, qx, qy
    return tuple(path)


def arrowhead(
    tip: Point, direction_deg: float, length: float, spread_deg: float = 15.0
) -> tuple[Segment, ...]:
    """A filled arrowhead pointing along `direction_deg`; 15 degrees between its sides is ISO 129-1's narrow one."""
    half = math.radians(spread_deg / 2)
    back = math.radians(direction_deg + 180)
    spread = length / math.cos(half)
    left = (tip[0] + spread * math.cos(back - half), tip[1] + spread * math.sin(back - half))
    right = (tip[0] + spread * math.cos(back + half), tip[1] + spread * math.sin(back + half))
    return polyline([tip, left, right], closed=True)


def shift_path(path: Iterable[Segment], dx: float, dy: float) -> tuple[Segment, ...]:
    """The path moved by (dx, dy)."""
    moved: list[Segment] = []
    for each in path:  # ten thousands of them: told apart by their type, which is quickest
        kind = type(each)
        if kind is LineTo or kind is MoveTo:
            moved.append(kind(each.x + dx, each.y + dy))  # type: ignore[union-attr]  # mypy follows no name for a type
        elif isinstance(each, CurveTo):
            first, second = (each.x1 + dx, each.y1 + dy), (each.x2 + dx, each.y2 + dy)
            moved.append(CurveTo(*first, *second, each.x + dx, each.y + dy))
        else:
            moved.append(each)
    return tuple(moved)


def shift(items: Iterable[Item], dx: float, dy: float) -> tuple[Item, ...]:
    """The items moved by (dx, dy)."""
    moved: list[Item] = []
    for item in items:
        if isinstance(item, Shape):
            moved.append(Shape(shift_path(item.path, dx, dy), item.stroke, item.fill))
        elif isinstance(item, Text):  # most of what is moved: `replace` would take three times as long
            run = (
                item.content,
                item.face,
                item.size_pt,
                item.ink,
                item.width_mm,
                item.anchor,
                item.angle,
                item.slot,
            )
            moved.append(Text(item.x + dx, item.y + dy, *run))
        else:
            moved.append(replace(item, x=item.x + dx, y=item.y + dy))
    return tuple(moved)


def enlarge(items: Iterable[Item], factor: float) -> tuple[Item, ...]:
    """Shapes and texts so many times as large about the origin, pens and type with them; TypeError for others."""
    grown: list[Item] = []
    for item in items:
        if isinstance(item, Text):
            x, y, size, width = (each * factor for each in (item.x, item.y, item.size_pt, item.width_mm))
            grown.append(replace(item, x=x, y=y, size_pt=size, width_mm=width))
        elif isinstance(item, Shape):
            pen = item.stroke and replace(
                item.stroke,
                width_mm=item.stroke.width_mm * factor,
                dash_mm=tuple(dash * factor for dash in item.stroke.dash_mm),
            )
            path = tuple(_enlarge_segment(each, factor) for each in item.path)
            grown.append(Shape(path, pen, item.fill))
        else:
            raise TypeError(f"a {type(item).__name__} is not enlarged")
    return tuple(grown)


def _enlarge_segment(segment: Segment, factor: float) -> Segment:
    if isinstance(segment, Close):
        return segment
    return type(segment)(*(factor * getattr(segment, key) for key in segment.__slots__))


def thin_out(path: Iterable[Segment], unseen_mm: float) -> Iterator[Segment]:
    """The path without the points of its straight lines that are as near to them as nobody sees."""
    line: list[Point] = []
    for segment in path:
        if isinstance(segment, LineTo):
            line.append((segment.x, segment.y))
            continue
        yield from _draw_line(line, unseen_mm)
        line = [] if isinstance(segment, Close) else [(segment.x, segment.y)]
        yield segment
    yield from _draw_line(line, unseen_mm)


def _draw_line(points: Sequence[Point], unseen_mm: float) -> Iterator[LineTo]:
    """Lines on from the first point, through those of the others that matter."""
    if len(points) > 1:
        yield from (LineTo(x, y) for x, y in [*LineString(points).simplify(unseen_mm).coords][1:])


def extent_of(item: Item) -> tuple[float, float, float, float]:
    """The upright box (left, bottom, right, top) that holds the item, in mm.

    Curves count by their control points and text by its ascent and descent, so the box may be a little
    larger than the ink and never smaller.
    """
    match item:
        case Shape():
            pad = item.stroke.width_mm / 2 if item.stroke else 0.0
            xs, ys = _coordinates(item.path)
            return min(xs) - pad, min(ys) - pad, max(xs) + pad, max(ys) + pad
        case Text():
            return text_extent(item)
        case FormField() | Raster():
            return item.x, item.y, item.x + item.width_mm, item.y + item.height_mm
        case Placed():
            w, h = item.scene.width_mm, item.scene.height_mm
            match item.quarter_turns:
                case 0:
                    return item.x, item.y, item.x + w, item.y + h
                case 1:
                    return item.x - h, item.y, item.x, item.y + w
                case 2:
                    return item.x - w, item.y - h, item.x, item.y
                case _:
                    return item.x, item.y - w, item.x + h, item.y


_DROP_EM, _RISE_EM = 0.25, 0.78  # of the embedded faces' letters: a little more than their ink


def text_extent(text: Text) -> tuple[float, float, float, float]:
    """The upright box that holds the run, turned: from 0.25 em below its baseline to 0.78 em above it, or higher
    if its ink is.

    The same for all words without marks over their capitals, so that what words say moves nothing.
    """
    rise = max(_RISE_EM, measure_reach_em(text.face, text.content)[1])
    start = {"start": 0.0, "middle": -text.width_mm / 2, "end": -text.width_mm}[text.anchor]
    em = text.size_pt * MM_PER_PT
    if text.angle == 0.0:
        left = text.x + start
        return left, text.y - _DROP_EM * em, left + text.width_mm, text.y + rise * em
    angle = math.radians(text.angle)
    cos, sin = math.cos(angle), math.sin(angle)
    corners = [
        (text.x + u * cos - v * sin, text.y + u * sin + v * cos)
        for u in (start, start + text.width_mm)
        for v in (-_DROP_EM * em, rise * em)
    ]
    xs, ys = zip(*corners, strict=True)
    return min(xs), min(ys), max(xs), max(ys)


def extent_of_all(items: Iterable[Item]) -> tuple[float, float, float, float]:
    """The box that holds all items; (0, 0, 0, 0) if there are none."""
    boxes = [extent_of(item) for item in items]
    if not boxes:
        return 0.0, 0.0, 0.0, 0.0
    lefts, bottoms, rights, tops = zip(*boxes, strict=True)
    return min(lefts), min(bottoms), max(rights), max(tops)


def _coordinates(path: Iterable[Segment]) -> tuple[list[float], list[float]]:
    xs: list[float] = []
    ys: list[float] = []
    for segment in path:  # ten thousands of them: told apart by their type, which is quickest
        kind = type(segment)
        if kind is LineTo or kind is MoveTo:
            xs.append(segment.x)  # type: ignore[union-attr]  # mypy follows no name for a type
            ys.append(segment.y)  # type: ignore[union-attr]
        elif isinstance(segment, CurveTo):
            xs += (segment.x1, segment.x2, segment.x)
            ys += (segment.y1, segment.y2, segment.y)
    return xs, ys
