"""The plate area with the few pulls of a field check drawn in and numbered."""

from __future__ import annotations

import math

from pocketref.field.plan import Plan
from pocketref.scene.inks import BLACK, GREY_LIGHT, GREY_PALE, WHITE
from pocketref.scene.items import FontFace, Item, Shape, Stroke
from pocketref.scene.label_room import LabelRoom
from pocketref.scene.paths import Point, circle, polyline
from pocketref.scene.plan_view import EDGE_MM, FigureDrawing, PlanView, finish_figure
from pocketref.scene.typefaces import cap_height_mm, set_text
from pocketref.tape.field_check import FieldCheck
from pocketref.words.speech import say

_AREAS = ("catchers-box", "box-first", "box-third", "plate")
_PULL = Stroke(0.5, BLACK, (1.6, 0.7))
_BESIDE = ((0.0, 2.2), (0.0, -2.2), (2.4, 0.0), (-2.4, 0.0), (0.0, 4.7), (0.0, -4.7))
"""Where the number of a short pull may stand, in radii of its ring from the pull, best first."""
_DOT_MM = 0.75
_SHARES = (0.5, 0.4, 0.6, 0.3, 0.7)


def draw_field_check(plan: Plan, check: FieldCheck, scale: float, size_pt: float) -> FigureDrawing:
    """The plan at 1:`scale` with each pull as a numbered dashed line between its two marks."""
    view = PlanView(scale)
    items: list[Item] = []
    for name in _AREAS:
        if name in plan.areas:
            fill = GREY_LIGHT if name == "plate" else GREY_PALE if name.startswith("box") else None
            points = view.points(plan.areas[name].points_mm)
            items.append(Shape(polyline(points, closed=True), Stroke(EDGE_MM, BLACK), fill))
    for name in ("foul-line-first", "foul-line-third"):
        line = plan.lines[name]
        items.append(
            Shape(polyline([view.at(*line.start_mm), view.at(*line.end_mm)]), Stroke(EDGE_MM, BLACK))
        )
    room = LabelRoom(size_pt)
    ends = {
        mark: _locate(plan, view, mark)
        for pull in check.pulls
        for mark in (pull.from_station, pull.to_station)
    }
    for name in _AREAS:
        if name in plan.areas:
            corners = view.points(plan.areas[name].points_mm)
            for start, end in zip(corners, corners[1:] + corners[:1], strict=True):
                room.keep_line_clear(start, end)
    lines = [(ends[pull.from_station], ends[pull.to_station]) for pull in check.pulls]
    for start, end in lines:
        items.append(Shape(polyline([start, end]), _PULL))
        room.keep_line_clear(start, end)
    rings, is_clear = _number_lines(lines, room, size_pt)
    items += rings
    room.keep_clear(ends.values(), 0.9)
    middle = view.at(0.0, plan.stations["P2"].y_mm / 2)
    for mark, at in ends.items():
        items.append(Shape(circle(*at, _DOT_MM), None, BLACK))
        is_clear &= room.write(
            at, mark, toward_deg=math.degrees(math.atan2(at[1] - middle[1], at[0] - middle[0]))
        )
    items += room.items
    return finish_figure(items, scale, write_field_check(check), is_crowded=not is_clear)


def _locate(plan: Plan, view: PlanView, mark: str) -> Point:
    return view.at(plan.stations[mark].x_mm, plan.stations[mark].y_mm)


def _number_lines(
    lines: list[tuple[Point, Point]], room: LabelRoom, size_pt: float
) -> tuple[list[Item], bool]:
    """Each pull's number in a ring on its line, and whether all are clear of each other."""
    radius, is_clear = size_pt * 0.26, True
    rings: list[Point] = []
    items: list[Item] = []
    for number, (start, end) in enumerate(lines, 1):
        places = [(start[0] + (end[0] - start[0]) * s, start[1] + (end[1] - start[1]) * s) for s in _SHARES]
        if math.dist(start, end) < 4 * radius:  # too short to carry its number
            (x, y), r = places[0], radius
            places = [(x + dx * r, y + dy * r) for dx, dy in _BESIDE]
        clear = [
            place
            for place in places
            if all(math.dist(place, ring) > 2.4 * radius for ring in rings)
            and all(math.dist(place, end) > radius + _DOT_MM for line in lines for end in line)
        ]
        place = clear[0] if clear else max(places, key=lambda at: min(math.dist(at, ring) for ring in rings))
        is_clear &= bool(clear)
        rings.append(place)
        items.append(Shape(circle(*place, radius), Stroke(EDGE_MM, BLACK), WHITE))
        baseline = place[1] - cap_height_mm(FontFace.BOLD, size_pt) / 2
        items.append(set_text(place[0], baseline, str(number), FontFace.BOLD, size_pt, BLACK, "middle"))
    room.keep_clear(rings, radius)
    return items, is_clear


def write_field_check(check: FieldCheck) -> str:
    """The figure in words, for who cannot see it."""
    words = "; ".join(f"{number}, {say(pull.description)}" for number, pull in enumerate(check.pulls, 1))
    return say("The plate area with {count} pulls: {pulls}.", count=len(check.pulls), pulls=words)
