"""A plan of the field: stations, areas, painted lines, arcs and figures; and the area around home plate.

The origin is the plate's apex (its rear tip), +y runs to second base and +x to the first-base side; plans are
in mm. Both batter's boxes are named by the side of the plate they are on, as seen on the ground: a
right-handed batter stands in the third-base-side box.

Station marks, short enough for a field sheet:

* A is the apex; P1 to P4 are the plate's other corners, counter-clockwise from the rear one on the first-base
  side.
* F1 to F4 are the corners of the first-base-side box and T1 to T4 those of the third-base-side box: 1 inner
  back, 2 outer back, 3 outer front, 4 inner front, so that mirrored corners have one number.
* C1 and C2 are the rear corner and the start of the catcher's box's side on the first-base side, C3 and C4 on
  the third-base side. Sides that start at the batter's boxes' outer back corners have no marks of their own there.
* L1 and L3 are where the foul lines leave the boxes.
"""

from __future__ import annotations

import math
from collections.abc import Container, Iterable, Mapping
from dataclasses import dataclass
from fractions import Fraction
from types import MappingProxyType
from typing import Literal, TypeVar

from pocketref.field.dimensions import PlateDimensions, read_plate_dimensions
from pocketref.field.figures import PlanFigure, construct_plate_figures
from pocketref.units.length import Length

PointMm = tuple[float, float]

FOUL_LINE_STUB_IN = Fraction(12)
"""How much of each foul line is drawn past the boxes on a plan of the plate area: our own figure."""


@dataclass(frozen=True, slots=True)
class Station:
    """A named point on the ground. `name` is its short mark, `label` says where it is."""

    name: str
    label: str
    x_mm: float
    y_mm: float


@dataclass(frozen=True, slots=True)
class Area:
    """A closed polygon, corners in order, the last joined to the first. `note` holds what is our reading."""

    name: str
    label: str
    points_mm: tuple[PointMm, ...]
    note: str = ""


@dataclass(frozen=True, slots=True)
class PaintedLine:
    """A line of paint or chalk. Its measured edge runs from start to end; the paint lies to `paint_side`."""

    name: str
    label: str
    start_mm: PointMm
    end_mm: PointMm
    width_mm: float
    paint_side: Literal["left", "right"]
    measured_edge: str
    """Which edge distances are taken to, in words: "outer", "foul side"."""

    @property
    def outline_mm(self) -> tuple[PointMm, PointMm, PointMm, PointMm]:
        """The four corners of the paint: along the measured edge, then back along the other."""
        (x1, y1), (x2, y2) = self.start_mm, self.end_mm
        length = math.hypot(x2 - x1, y2 - y1)
        shift = self.width_mm / length * (1 if self.paint_side == "left" else -1)
        dx, dy = -(y2 - y1) * shift, (x2 - x1) * shift
        return (x1, y1), (x2, y2), (x2 + dx, y2 + dy), (x1 + dx, y1 + dy)


@dataclass(frozen=True, slots=True)
class Arc:
    """Part of a circle, counter-clockwise from `start_deg` to `end_deg` (from +x); a circle if 0 to 360."""

    name: str
    label: str
    x_mm: float
    y_mm: float
    radius_mm: float
    start_deg: float = 0.0
    end_deg: float = 360.0
    note: str = ""


Named = TypeVar("Named", Station, Area, PaintedLine, Arc)


@dataclass(frozen=True, slots=True)
class Plan:
    """Everything that follows from a level's dimensions, by name and in a sensible order."""

    name: str
    stations: Mapping[str, Station]
    areas: Mapping[str, Area]
    lines: Mapping[str, PaintedLine]
    arcs: Mapping[str, Arc]
    figures: Mapping[str, PlanFigure]

    def __hash__(self) -> int:
        """Plans are told apart by all they hold; a few places tell most of them apart already."""
        return hash((self.name, *self.stations.values()))


def to_mm(inches: Fraction | float) -> float:
    """Inches as mm, at the edge where exact figures become a drawing."""
    return Length(Fraction(inches)).float_mm


def construct_station(name: str, label: str, x_in: Fraction | float, y_in: Fraction | float) -> Station:
    """A station from inches."""
    return Station(name, label, to_mm(x_in), to_mm(y_in))


def construct_plan(
    name: str,
    stations: Iterable[Station],
    areas: Iterable[Area],
    lines: Iterable[PaintedLine],
    arcs: Iterable[Arc],
    figures: Mapping[str, PlanFigure],
) -> Plan:
    """A frozen plan; of two things with one name the later one counts."""
    return Plan(name, _by_name(stations), _by_name(areas), _by_name(lines), _by_name(arcs), figures)


def _by_name(things: Iterable[Named]) -> Mapping[str, Named]:
    return MappingProxyType({thing.name: thing for thing in things})


def outline_area(
    name: str, label: str, stations: Mapping[str, Station], marks: Iterable[str], note: str = ""
) -> Area:
    """The area whose corners are the given stations."""
    corners = (stations[mark] for mark in marks)
    return Area(name, label, tuple((corner.x_mm, corner.y_mm) for corner in corners), note)


def paint_outline(
    area: Area, edges: Iterable[str], width_mm: float, paint_side: Literal["left", "right"]
) -> tuple[PaintedLine, ...]:
    """The lines along an area's edges, paint inside; an edge with an empty name is not painted."""
    points = area.points_mm
    return tuple(
        PaintedLine(f"{area.name}-{edge}", f"{area.label}, {edge} line", a, b, width_mm, paint_side, "outer")
        for edge, a, b in zip(edges, points, points[1:] + points[:1], strict=True)
        if edge
    )


def construct_plate_area(dimensions: Mapping[str, Length]) -> Plan:
    """The plan of home plate, the boxes and where the foul lines start.

    Needs plate-width, box-length (or box-ahead and box-behind), box-width, box-offset and line-width; a catcher's
    box its width and its depth or length. Raises PocketrefError with every dimension that is missing or makes no sense.
    """
    plate = read_plate_dimensions(dimensions)
    stations = {station.name: station for station in _place_stations(plate)}
    areas = _outline_areas(plate, stations)
    lines = _paint_lines(plate, stations, areas)
    figures = construct_plate_figures(plate)
    return construct_plan("plate-area", stations.values(), areas, lines, (), figures)


def _place_stations(plate: PlateDimensions) -> tuple[Station, ...]:
    half, width, leaves = plate.half_plate, plate.plate_width, plate.foul_line_exit
    zero = Fraction(0)
    points = [
        ("A", "rear tip of the plate", zero, zero),
        ("P1", "rear corner of the plate, first-base side", half, half),
        ("P2", "front corner of the plate, first-base side", half, width),
        ("P3", "front corner of the plate, third-base side", -half, width),
        ("P4", "rear corner of the plate, third-base side", -half, half),
    ]
    for letter, side, sign in (("F", "first-base-side box", 1), ("T", "third-base-side box", -1)):
        points += [
            (f"{letter}1", f"inner back corner, {side}", sign * plate.inner, -plate.back),
            (f"{letter}2", f"outer back corner, {side}", sign * plate.outer, -plate.back),
            (f"{letter}3", f"outer front corner, {side}", sign * plate.outer, plate.front),
            (f"{letter}4", f"inner front corner, {side}", sign * plate.inner, plate.front),
        ]
    points += _place_catchers_box(plate)
    points += [
        ("L1", "first-base foul line leaves the box", leaves, leaves),
        ("L3", "third-base foul line leaves the box", -leaves, leaves),
    ]
    return tuple(construct_station(*point) for point in points)


def _place_catchers_box(plate: PlateDimensions) -> list[tuple[str, str, Fraction, Fraction]]:
    width, depth = plate.catchers_box_width, plate.catchers_box_back
    if width is None or depth is None:
        return []
    half = width / 2
    # Sides that pass behind the batter's boxes begin at their back lines; narrower ones beside the apex.
    begins = -plate.back if half > plate.inner else Fraction(0)
    points = []
    for rear, start, side, sign in (("C1", "C2", "first-base side", 1), ("C3", "C4", "third-base side", -1)):
        points.append((rear, f"rear corner of the catcher's box, {side}", sign * half, -depth))
        if half != plate.outer:  # else it starts at the batter's box's own corner
            points.append((start, f"start of the catcher's box's side, {side}", sign * half, begins))
    return points


def _outline_areas(plate: PlateDimensions, stations: Mapping[str, Station]) -> list[Area]:
    areas = [
        outline_area("plate", "home plate", stations, ("A", "P1", "P2", "P3", "P4")),
        outline_area("box-first", "batter's box, first-base side", stations, ("F1", "F2", "F3", "F4")),
        outline_area("box-third", "batter's box, third-base side", stations, ("T1", "T2", "T3", "T4")),
    ]
    if "C1" in stations:
        corners = outline_area("catchers-box", "catcher's box", stations, list_catchers_marks(stations))
        areas.append(_extend_catchers_box(plate, corners))
    return areas


def list_catchers_marks(stations: Container[str]) -> tuple[str, str, str, str]:
    """The marks of the catcher's box: where its third-base side starts, its two rear corners, the other start."""
    starts = ("C4", "C2") if "C2" in stations else ("T2", "F2")
    return starts[0], "C3", "C1", starts[1]


def _extend_catchers_box(plate: PlateDimensions, behind: Area) -> Area:
    """The catcher's box from its corners behind the boxes up to the apex, between the batter's boxes."""
    if behind.points_mm[0][1] == 0:
        return behind
    inner, back = to_mm(plate.inner), to_mm(-plate.back)
    between = ((inner, back), (inner, 0.0), (-inner, 0.0), (-inner, back))
    return Area(behind.name, behind.label, behind.points_mm + between)


def _paint_lines(
    plate: PlateDimensions, stations: Mapping[str, Station], areas: list[Area]
) -> list[PaintedLine]:
    width_mm = to_mm(plate.line_width)
    by_name = {area.name: area for area in areas}
    edges: tuple[str, ...] = ("back", "outer", "front", "inner")
    lines = [
        *paint_outline(by_name["box-first"], edges, width_mm, "left"),
        *paint_outline(by_name["box-third"], edges, width_mm, "right"),
    ]
    if "catchers-box" in by_name:
        area = by_name["catchers-box"]
        unpainted = ("",) * (len(area.points_mm) - 3)
        edges = ("third-base-side", "rear", "first-base-side", *unpainted)
        lines += paint_outline(area, edges, width_mm, "left")
    lines += construct_foul_lines(plate, stations, plate.foul_line_exit + FOUL_LINE_STUB_IN)
    return lines


def construct_foul_lines(
    plate: PlateDimensions, stations: Mapping[str, Station], reach_in: Fraction | float
) -> tuple[PaintedLine, PaintedLine]:
    """Both foul lines, from where they leave the boxes to `reach_in` out and forward; the paint is fair."""
    width_mm, reach_mm = to_mm(plate.line_width), to_mm(reach_in)

    def construct_line(name: str, mark: str, out_mm: float, paint: Literal["left", "right"]) -> PaintedLine:
        start = stations[mark].x_mm, stations[mark].y_mm
        end = out_mm, reach_mm
        label = f"{name}-base foul line"
        return PaintedLine(f"foul-line-{name}", label, start, end, width_mm, paint, "foul side")

    return construct_line("first", "L1", reach_mm, "left"), construct_line("third", "L3", -reach_mm, "right")
