"""The plan of a whole field: bases, pitcher's plate, mound, foul lines, lane, coach's and on-deck areas.

Frame and plate-area stations are those of `plan`. Stations here:

* 1B and 3B are the back corners of first and third base on the foul lines, where the base distance is taped
  to; 2B is the centre of second base; 1A and 3A are the anchors under first and third.
* 1C is the outer back corner of the coloured half of a double first base.
* PP is the middle of the pitcher's plate's front edge, PP1 and PP3 that edge's ends; MC the mound's centre.
* R1 to R3 are the running lane; K1 to K4 the first-base-side coach's box, K5 to K8 the third-base-side one.
* D1 and D3 are the centres of the on-deck circles.
"""

from __future__ import annotations

import math
from collections.abc import Mapping
from fractions import Fraction
from types import MappingProxyType

from pocketref.field.dimensions import (
    DiamondDimensions,
    PlateDimensions,
    read_diamond_dimensions,
    read_plate_dimensions,
)
from pocketref.field.figures import construct_diamond_figures
from pocketref.field.plan import (
    Arc,
    Area,
    PaintedLine,
    Plan,
    Station,
    construct_foul_lines,
    construct_plan,
    construct_plate_area,
    construct_station,
    outline_area,
    paint_outline,
    to_mm,
)
from pocketref.units.length import Length

FIRST, THIRD = 1, -1
_ROOT_HALF = math.sqrt(0.5)
_SIDES = ((FIRST, "1", "first-base side"), (THIRD, "3", "third-base side"))

COACH_BOX_NOTE = "the end towards the outfield is in line with the base's back corner: our reading"
ON_DECK_NOTE = "straight out from the plate's rear tip: our reading; the ground decides"


def construct_diamond(dimensions: Mapping[str, Length]) -> Plan:
    """The whole field, the area around home plate included.

    Needs what the plate area needs and base-distance, base-size, pitching-distance, pitchers-plate-width and
    -depth. Mound or pitching circle, running lane, coach's boxes, on-deck circles and infield arc are drawn where their
    dimensions are given, and so is the coloured half of a double first base, in foul ground; distances keep to the
    white half. Raises PocketrefError with every dimension that is missing or makes no sense.
    """
    plate = read_plate_dimensions(dimensions)
    field = read_diamond_dimensions(dimensions)
    around_plate = construct_plate_area(dimensions)
    stations = {**around_plate.stations, **{station.name: station for station in _place_stations(field)}}
    areas = [*around_plate.areas.values(), *_outline_areas(field, stations)]
    lines = [*around_plate.lines.values(), *_paint_lines(plate, field, stations, areas)]
    figures = MappingProxyType({**around_plate.figures, **construct_diamond_figures(field)})
    return construct_plan("diamond", stations.values(), areas, lines, _draw_arcs(field), figures)


def _locate_on_line(side: int, along: float, out: float) -> tuple[float, float]:
    """The point `along` a foul line's outer edge from the apex and `out` from it into foul ground, inches."""
    return side * (along + out) * _ROOT_HALF, (along - out) * _ROOT_HALF


def _place_on_line(mark: str, label: str, side: int, along: float, out: float) -> Station:
    return construct_station(mark, label, *_locate_on_line(side, along, out))


def _place_stations(field: DiamondDimensions) -> list[Station]:
    base, half_bag = float(field.base_distance), float(field.base_size) / 2
    half_plate = field.pitchers_plate_width / 2
    front = field.pitching_distance
    zero = Fraction(0)
    stations = [
        _place_on_line("1B", "back corner of first base", FIRST, base, 0.0),
        construct_station("2B", "centre of second base", zero, base * math.sqrt(2)),
        _place_on_line("3B", "back corner of third base", THIRD, base, 0.0),
        _place_on_line("1A", "anchor of first base", FIRST, base - half_bag, -half_bag),
        _place_on_line("3A", "anchor of third base", THIRD, base - half_bag, -half_bag),
        construct_station("PP", "middle of the pitcher's plate's front edge", zero, front),
        construct_station("PP1", "front corner of the pitcher's plate, first-base side", half_plate, front),
        construct_station("PP3", "front corner of the pitcher's plate, third-base side", -half_plate, front),
    ]
    if field.double_base_width is not None:
        half = float(field.double_base_width - field.base_size)
        label = "outer back corner of first base's coloured half"
        stations.append(_place_on_line("1C", label, FIRST, base, half))
    if field.mound_centre is not None:
        stations.append(construct_station("MC", "centre of the mound", zero, field.mound_centre))
    return stations + _place_lane(field) + _place_coach_boxes(field) + _place_on_deck(field)


def _place_lane(field: DiamondDimensions) -> list[Station]:
    """The end of the way to first, in foul ground; its width is taken to its line's outer edge."""
    if field.lane_width is None:
        return []
    base, width, start = float(field.base_distance), float(field.lane_width), float(field.lane_start)
    return [
        _place_on_line("R1", "start of the running lane, on the foul line", FIRST, start, 0.0),
        _place_on_line("R2", "start of the running lane's outer line", FIRST, start, width),
        _place_on_line("R3", "end of the running lane's outer line", FIRST, base, width),
    ]


def _place_coach_boxes(field: DiamondDimensions) -> list[Station]:
    length, width, offset = field.coach_box_length, field.coach_box_width, field.coach_box_offset
    if length is None or width is None or offset is None:
        return []
    far, near_home = float(field.base_distance), float(field.base_distance - length)
    near, away = float(offset), float(offset + width)
    corners = (
        ("field side, outfield end", far, near),
        ("field side, home end", near_home, near),
        ("far side, home end", near_home, away),
        ("far side, outfield end", far, away),
    )
    return [
        _place_on_line(f"K{first + number}", f"coach's box, {label}, {name}", side, along, out)
        for side, first, name in ((FIRST, 1, "first-base side"), (THIRD, 5, "third-base side"))
        for number, (label, along, out) in enumerate(corners)
    ]


def _place_on_deck(field: DiamondDimensions) -> list[Station]:
    if field.on_deck_distance is None:
        return []
    out, zero = field.on_deck_distance, Fraction(0)
    return [
        construct_station(f"D{digit}", f"centre of the on-deck circle, {name}", side * out, zero)
        for side, digit, name in _SIDES
    ]


def _outline_areas(field: DiamondDimensions, stations: Mapping[str, Station]) -> list[Area]:
    base, bag = float(field.base_distance), float(field.base_size)
    areas = [
        _outline_on_line("first-base", "first base", FIRST, (base - bag, base), (-bag, 0.0)),
        _outline_second(base, bag),
        _outline_on_line("third-base", "third base", THIRD, (base - bag, base), (-bag, 0.0)),
        _outline_pitchers_plate(field),
    ]
    if field.double_base_width is not None:
        name, label = "first-base-foul-half", "coloured half of first base, in foul ground"
        half = (0.0, float(field.double_base_width) - bag)
        areas.append(_outline_on_line(name, label, FIRST, (base - bag, base), half))
    if field.lane_width is not None:
        lane = (0.0, float(field.lane_width))
        areas.append(_outline_on_line("lane", "running lane", FIRST, (float(field.lane_start), base), lane))
    if "K1" in stations:
        for name, marks in (("first", ("K1", "K2", "K3", "K4")), ("third", ("K5", "K6", "K7", "K8"))):
            label = f"coach's box, {name}-base side"
            areas.append(outline_area(f"coach-box-{name}", label, stations, marks, COACH_BOX_NOTE))
    return areas


def _outline_on_line(
    name: str, label: str, side: int, along: tuple[float, float], out: tuple[float, float]
) -> Area:
    """A rectangle parallel to a foul line: corners start near home at the smaller `out`."""
    corners = ((along[0], out[0]), (along[0], out[1]), (along[1], out[1]), (along[1], out[0]))
    points = (_locate_on_line(side, *corner) for corner in corners)
    return Area(name, label, tuple((to_mm(x), to_mm(y)) for x, y in points))


def _outline_second(base: float, bag: float) -> Area:
    """Second base is centred on the corner of the square (OBR 2.03), its sides along the base lines."""
    centre, reach = to_mm(base * math.sqrt(2)), to_mm(bag * _ROOT_HALF)
    points = ((0.0, centre - reach), (reach, centre), (0.0, centre + reach), (-reach, centre))
    return Area("second-base", "second base", points)


def _outline_pitchers_plate(field: DiamondDimensions) -> Area:
    half = to_mm(field.pitchers_plate_width / 2)
    front = to_mm(field.pitching_distance)
    rear = to_mm(field.pitching_distance + field.pitchers_plate_depth)
    corners = ((-half, front), (half, front), (half, rear), (-half, rear))
    return Area("pitchers-plate", "pitcher's plate", corners)


def _paint_lines(
    plate: PlateDimensions, field: DiamondDimensions, stations: Mapping[str, Station], areas: list[Area]
) -> list[PaintedLine]:
    width_mm = to_mm(field.line_width)
    by_name = {area.name: area for area in areas}
    lines = list(construct_foul_lines(plate, stations, _find_line_end(field) * _ROOT_HALF))
    if "lane" in by_name:
        lines += paint_outline(by_name["lane"], ("start", "outer", "", ""), width_mm, "left")
    edges = ("field side", "home end", "far side", "outfield end")
    if "coach-box-first" in by_name:
        lines += paint_outline(by_name["coach-box-first"], edges, width_mm, "left")
        lines += paint_outline(by_name["coach-box-third"], edges, width_mm, "right")
    return lines


def _find_line_end(field: DiamondDimensions) -> float:
    """How far along the foul lines are drawn, inches: to the infield arc, else one bag past the bases."""
    if field.infield_arc is None:
        return float(field.base_distance + field.base_size)
    return _find_arc_crossing(float(field.pitching_distance), float(field.infield_arc))


def _find_arc_crossing(pitching_in: float, radius_in: float) -> float:
    """Where a circle about the pitcher's plate's front centre crosses a foul line, inches from the apex."""
    return pitching_in * _ROOT_HALF + math.sqrt(radius_in**2 - pitching_in**2 / 2)


def _draw_arcs(field: DiamondDimensions) -> list[Arc]:
    arcs = []
    if field.mound_diameter is not None and field.mound_centre is not None:
        radius = to_mm(field.mound_diameter / 2)
        arcs.append(Arc("mound", "pitcher's mound", 0.0, to_mm(field.mound_centre), radius))
    if field.pitching_circle_radius is not None:
        front, radius = to_mm(field.pitching_distance), to_mm(field.pitching_circle_radius)
        arcs.append(Arc("pitching-circle", "pitching circle", 0.0, front, radius))
    if field.on_deck_diameter is not None and field.on_deck_distance is not None:
        reach, radius = to_mm(field.on_deck_distance), to_mm(field.on_deck_diameter / 2)
        for side, digit, name in _SIDES:
            label = f"on-deck circle, {name}"
            arcs.append(Arc(f"on-deck-{digit}", label, side * reach, 0.0, radius, note=ON_DECK_NOTE))
    if field.infield_arc is not None:
        arcs.append(_draw_infield_arc(field, float(field.infield_arc)))
    return arcs


def _draw_infield_arc(field: DiamondDimensions, radius_in: float) -> Arc:
    """The grass line, centred on the front of the pitcher's plate, from foul line to foul line."""
    pitching = float(field.pitching_distance)
    reach = _find_arc_crossing(pitching, radius_in) * _ROOT_HALF
    start = math.degrees(math.atan2(reach - pitching, reach))
    return Arc("infield", "infield arc", 0.0, to_mm(pitching), to_mm(radius_in), start, 180.0 - start)
