"""Shoes, knees, and ground with painted lines, cut to a window: what pictures of feet are made of.

A knee on the ground is a dark disc with a ring, its shin a pale outline to the foot of its side. A sole on the
ground is dark with treads across it. A foot in the air is a dashed outline above its shadow. A
foot partly down has the part that is down filled and the rest outlined.
"""

from __future__ import annotations

import math
from collections.abc import Iterable

from shapely import GeometryCollection, LineString, Polygon, affinity, box
from shapely.geometry.base import BaseGeometry
from shapely.geometry.polygon import orient

from pocketref.field.feet import (
    KNEE_RADIUS_MM,
    FootPlacement,
    KneePlacement,
    construct_footprint,
    construct_kneeprint,
)
from pocketref.field.plan import Plan
from pocketref.scene.inks import BLACK, GREY_DARK, GREY_LIGHT, WHITE
from pocketref.scene.items import Close, Ink, Item, LineTo, MoveTo, Segment, Shape, Stroke
from pocketref.scene.paths import Point, polyline
from pocketref.scene.plan_view import EDGE_MM, OUTLINE_MM, PlanView

TREAD_PITCH_MM = 42.0
"""How far apart the treads are on a sole, in mm on the ground: our own figure."""
_SHADOW_MM = (0.9, -0.9)  # on paper
_SHIN_MM = 80.0  # across a drawn shin: our own figure
_AIR_PEN = Stroke(0.35, BLACK, (0.9, 0.6))


def trace(view: PlanView, shape: BaseGeometry) -> tuple[Segment, ...]:
    """A polygon (or several) on paper, its holes wound the other way so that they stay open."""
    path: list[Segment] = []
    for polygon in getattr(shape, "geoms", [shape]):
        if not isinstance(polygon, Polygon) or polygon.is_empty:
            continue
        sound = orient(polygon)
        for ring in (sound.exterior, *sound.interiors):
            (x, y), *rest = view.points(_flat(ring)[:-1])
            path += [MoveTo(x, y), *(LineTo(px, py) for px, py in rest), Close()]
    return tuple(path)


def _flat(line: LineString) -> tuple[Point, ...]:
    """The corners of a line or ring."""
    return tuple((corner[0], corner[1]) for corner in line.coords)


def fill_shape(
    view: PlanView, shape: BaseGeometry, fill: Ink | None, stroke: Stroke | None = None
) -> list[Item]:
    """The polygon as an item; nothing if it is empty."""
    path = trace(view, shape)
    return [Shape(path, stroke, fill)] if path else []


def stroke_lines(view: PlanView, lines: BaseGeometry, pen: Stroke) -> list[Item]:
    """Every line in a geometry, stroked."""
    found = getattr(lines, "geoms", [lines])
    return [
        Shape(polyline(view.points(_flat(line))), pen)
        for line in found
        if isinstance(line, LineString) and not line.is_empty
    ]


def draw_ground(
    view: PlanView, plan: Plan, line_width_mm: float, window: Polygon, boxes: Iterable[str]
) -> list[Item]:
    """The named batter's boxes with their painted lines, and home plate, cut to the window."""
    items: list[Item] = []
    for name in boxes:
        outline = Polygon(plan.areas[name].points_mm)
        inside = outline.buffer(-line_width_mm, join_style="mitre")
        items += fill_shape(view, outline.difference(inside) & window, GREY_LIGHT)
        items += stroke_lines(view, inside.exterior & window, Stroke(EDGE_MM, BLACK))
        items += stroke_lines(view, outline.exterior & window, Stroke(OUTLINE_MM, BLACK))
    plate = Polygon(plan.areas["plate"].points_mm)
    items += fill_shape(view, plate & window, WHITE)
    items += stroke_lines(view, plate.exterior & window, Stroke(OUTLINE_MM, BLACK))
    return items


def draw_shoe(view: PlanView, placement: FootPlacement) -> list[Item]:
    """One shoe: its shadow if any part is up, the dashed outline of what is up, and the dark part that is down."""
    sole, grounded = construct_footprint(placement)
    items: list[Item] = []
    is_flat = placement.contact == "flat"
    if not is_flat:
        shadow = affinity.translate(sole, *(step * view.scale for step in _SHADOW_MM))
        items += fill_shape(view, shadow.difference(grounded), GREY_LIGHT)
        items += fill_shape(view, sole, WHITE, _AIR_PEN)
    if not grounded.is_empty:
        items += fill_shape(view, grounded, GREY_DARK, Stroke(0.35, BLACK))
        items += stroke_lines(view, _cut_treads(placement, grounded), Stroke(0.35, WHITE))
    return items


def draw_body(view: PlanView, feet: Iterable[FootPlacement], knees: Iterable[KneePlacement]) -> list[Item]:
    """Shoes and knees, the shin of each knee under them."""
    items: list[Item] = []
    shoes = {foot.side: foot for foot in feet}
    patches = [(knee, construct_kneeprint(knee)) for knee in knees]
    for knee, _ in patches:
        if foot := shoes.get(knee.side):
            shin = LineString([(knee.x_mm, knee.y_mm), (foot.x_mm, foot.y_mm)]).buffer(_SHIN_MM / 2)
            items += fill_shape(view, shin, WHITE, Stroke(0.2, GREY_DARK))
    for foot in shoes.values():
        items += draw_shoe(view, foot)
    for _, patch in patches:
        items += fill_shape(view, patch, GREY_DARK, Stroke(0.35, BLACK))
        items += fill_shape(view, patch.buffer(-KNEE_RADIUS_MM / 2), None, Stroke(0.35, WHITE))
    return items


def _cut_treads(placement: FootPlacement, grounded: Polygon) -> BaseGeometry:
    """Lines across the sole, a little short of its edge, where it is on the ground."""
    reach = placement.length_mm / 2
    count = max(2, round(placement.length_mm / TREAD_PITCH_MM))
    angle = math.radians(placement.heading_deg)
    cos, sin = math.cos(angle), math.sin(angle)
    treads = []
    for number in range(1, count):
        along = -reach + number * placement.length_mm / count
        ends = [
            (placement.x_mm + along * cos - across * sin, placement.y_mm + along * sin + across * cos)
            for across in (-placement.width_mm, placement.width_mm)
        ]
        treads.append(LineString(ends))
    within = grounded.buffer(-placement.width_mm * 0.12)
    crossed = [tread & within for tread in treads]
    return _gather(crossed)


def _gather(pieces: Iterable[BaseGeometry]) -> BaseGeometry:
    flat = [part for piece in pieces for part in getattr(piece, "geoms", [piece])]
    return GeometryCollection(flat)


def cut_window(x_mm: float, y_mm: float, width_mm: float, height_mm: float) -> Polygon:
    """An upright window about (x, y) on the ground."""
    return box(x_mm - width_mm / 2, y_mm - height_mm / 2, x_mm + width_mm / 2, y_mm + height_mm / 2)
