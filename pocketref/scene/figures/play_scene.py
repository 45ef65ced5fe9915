"""A play at the plate from above: shoes, bat and the ball's way, for case plays."""

from __future__ import annotations

import math
from collections.abc import Sequence
from dataclasses import dataclass
from fractions import Fraction
from itertools import pairwise

from shapely import Polygon, box

from pocketref.field.feet import FootPlacement, construct_footprint
from pocketref.field.plan import Plan, PointMm
from pocketref.scene.figures.feet_figure import describe_feet, judge_case
from pocketref.scene.figures.shoe_marks import draw_ground, draw_shoe
from pocketref.scene.inks import BLACK, GREY_LIGHT, WHITE
from pocketref.scene.items import Face, Item, Shape, Stroke
from pocketref.scene.paths import Point, arrowhead, circle, extent_of_all, polyline
from pocketref.scene.plan_view import (
    FigureDrawing,
    PlanView,
    draw_painted_line,
    draw_pitcher_arrow,
    finish_figure,
)
from pocketref.scene.typefaces import cap_height_mm, set_text
from pocketref.units.length import Length

BALL_DIAMETER_MM = 73.7
"""Midway between 9 and 9 1/4 in around (OBR 3.01, from memory)."""
_LEAST_BALL_MM = 1.6  # on paper, so that it is seen
_HANDLE_MM, _BARREL_MM = 28.0, 66.0  # widths of a drawn bat: our own figures
_BALL_PEN = Stroke(0.35, BLACK, (1.6, 0.8))


@dataclass(frozen=True, slots=True)
class Bat:
    """A bat on the plan, from its knob to the tip of its barrel, in mm; `in_hand` is False once it is let go."""

    knob_mm: PointMm
    tip_mm: PointMm
    in_hand: bool = True


def draw_play_scene(
    plan: Plan,
    placements: Sequence[FootPlacement],
    *,
    scale: float,
    size_pt: float,
    bat: Bat | None = None,
    ball_path: Sequence[PointMm] | None = None,
    contact: PointMm | None = None,
) -> FigureDrawing:
    """The boxes and the plate at 1:`scale` with the batter's shoes, the bat, the ball's way and where they meet.

    The ball's way is its corners in mm in order, at least two; the ball is drawn at its end. `contact` is marked
    with a ring and the word. Anything may be left out.
    """
    view = PlanView(scale)
    line_mm = plan.lines["box-first-inner"].width_mm
    window = _open_window(plan, placements, bat, ball_path, contact)
    items = draw_ground(view, plan, line_mm, window, ("box-third", "box-first"))
    for name in ("foul-line-first", "foul-line-third"):
        items += draw_painted_line(view, plan.lines[name])
    for placement in placements:
        items += draw_shoe(view, placement)
    if bat:
        items += _draw_bat(view, bat)
    if ball_path:
        items += _draw_ball(view, ball_path)
    if contact:
        items += _mark_contact(view, contact, size_pt)
    _, _, right, top = extent_of_all(items)
    items += draw_pitcher_arrow((right + 2.4, top - 0.5), 6.5, size_pt, beside=True)
    alt = _describe(plan, placements, Length.from_mm(Fraction(line_mm)), bat, ball_path, contact)
    return finish_figure(items, scale, alt)


def _open_window(
    plan: Plan,
    placements: Sequence[FootPlacement],
    bat: Bat | None,
    ball_path: Sequence[PointMm] | None,
    contact: PointMm | None,
) -> Polygon:
    """Enough ground for both boxes and everything on it."""
    points = [point for name in ("box-first", "box-third") for point in plan.areas[name].points_mm]
    for placement in placements:
        left, bottom, right, top = construct_footprint(placement)[0].bounds
        points += [(left, bottom), (right, top)]
    points += [bat.knob_mm, bat.tip_mm] if bat else []
    points += [*(ball_path or ()), *([contact] if contact else [])]
    xs, ys = zip(*points, strict=True)
    window: Polygon = box(min(xs) - 1, min(ys) - 1, max(xs) + 1, max(ys) + 1)
    return window


def _draw_bat(view: PlanView, bat: Bat) -> list[Item]:
    """A tapered outline with its knob; dashed once it is let go."""
    (x1, y1), (x2, y2) = bat.knob_mm, bat.tip_mm
    length = math.hypot(x2 - x1, y2 - y1)
    ux, uy = (x2 - x1) / length, (y2 - y1) / length

    def at(share: float, across: float) -> Point:
        return view.at(x1 + (x2 - x1) * share - uy * across, y1 + (y2 - y1) * share + ux * across)

    shape = (
        (0.0, _HANDLE_MM),
        (0.42, _HANDLE_MM),
        (0.72, _BARREL_MM),
        (0.97, _BARREL_MM),
        (1.0, _BARREL_MM * 0.7),
    )
    outline = [at(share, width / 2) for share, width in shape]
    outline += [at(share, -width / 2) for share, width in reversed(shape)]
    pen = Stroke(0.35, BLACK) if bat.in_hand else Stroke(0.35, BLACK, (0.9, 0.6))
    knob = Shape(polyline([at(0.0, 26.0), at(0.0, -26.0)]), Stroke(0.7, BLACK))
    return [Shape(polyline(outline, closed=True), pen, GREY_LIGHT), knob]


def _draw_ball(view: PlanView, path: Sequence[PointMm]) -> list[Item]:
    """The ball's way dashed, an arrowhead at the middle of each leg, the ball at the end."""
    points = view.points(tuple(path))
    items: list[Item] = [Shape(polyline(points), _BALL_PEN)]
    for (x1, y1), (x2, y2) in pairwise(points):
        middle = (x1 + (x2 - x1) * 0.55, y1 + (y2 - y1) * 0.55)
        heading = math.degrees(math.atan2(y2 - y1, x2 - x1))
        items.append(Shape(arrowhead(middle, heading, 2.4, 26), fill=BLACK))
    radius = max(BALL_DIAMETER_MM / view.scale, _LEAST_BALL_MM) / 2
    return [*items, Shape(circle(*points[-1], radius), Stroke(0.35, BLACK), WHITE)]


def _mark_contact(view: PlanView, contact: PointMm, size_pt: float) -> list[Item]:
    """A ring about the place, and the word under it on clear ground."""
    x, y = view.at(*contact)
    ring = 2.2
    text = set_text(
        x,
        y - ring - 1.5 - cap_height_mm(Face.MEDIUM, size_pt),
        "contact",
        Face.MEDIUM,
        size_pt,
        BLACK,
        "middle",
    )
    return [Shape(circle(x, y, ring), Stroke(0.5, BLACK)), text]


def _describe(
    plan: Plan,
    placements: Sequence[FootPlacement],
    line_width: Length,
    bat: Bat | None,
    ball_path: Sequence[PointMm] | None,
    contact: PointMm | None,
) -> str:
    """What the picture shows, the feet as they are judged."""
    parts = ["The plate area from above."]
    if placements:
        parts.append(f"The worse foot: {describe_feet(judge_case(placements, plan, line_width))}.")
    if bat:
        parts.append("The bat is in hand." if bat.in_hand else "The bat has been let go.")
    if ball_path:
        (x1, y1), (x2, y2) = ball_path[0], ball_path[-1]
        way = "away from the plate" if math.hypot(x2, y2) > math.hypot(x1, y1) else "toward the plate"
        fair = "fair" if y2 >= abs(x2) else "foul"
        parts.append(f"The ball moves {way} and ends over {fair} ground.")
    if contact:
        parts.append(f"Bat and ball meet over {'fair' if contact[1] >= abs(contact[0]) else 'foul'} ground.")
    return " ".join(parts)
