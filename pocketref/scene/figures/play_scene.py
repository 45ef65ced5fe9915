"""A play at the plate from above: shoes, bat and the ball's way, for case plays."""

from __future__ import annotations

import math
from collections.abc import Sequence
from itertools import pairwise

from shapely import Polygon, box

from pocketref.field.feet import construct_footprint, construct_kneeprint
from pocketref.field.plan import Plan, PointMm
from pocketref.plays.placement import PlayScene
from pocketref.scene.figures.feet_figure import write_body
from pocketref.scene.figures.shoe_marks import draw_body, draw_ground
from pocketref.scene.inks import BLACK, GREY_LIGHT, WHITE
from pocketref.scene.items import Item, Shape, Stroke
from pocketref.scene.paths import Point, arrowhead, circle, extent_of_all, polyline
from pocketref.scene.plan_view import (
    FigureDrawing,
    PlanView,
    draw_painted_line,
    draw_pitcher_arrow,
    finish_figure,
)
from pocketref.words.speech import say

BALL_DIAMETER_MM = 73.7
"""Midway between 9 and 9 1/4 in around (OBR 3.01, from memory)."""
_LEAST_BALL_MM = 1.6  # on paper, so that it is seen
_HANDLE_MM, _BARREL_MM = 28.0, 66.0  # widths of a drawn bat: our own figures
_RING_MM = 2.4  # on paper
_BALL_PEN = Stroke(0.35, BLACK, (1.6, 0.8))

BALL_WORDS = {
    (True, True): "The ball moves away from the plate and ends over fair ground.",
    (True, False): "The ball moves away from the plate and ends over foul ground.",
    (False, True): "The ball moves toward the plate and ends over fair ground.",
    (False, False): "The ball moves toward the plate and ends over foul ground.",
}
"""By whether it moves away, and whether it ends over fair ground."""
RING_WORDS = {
    (True, True): "A ring marks where bat and ball meet again, over fair ground.",
    (True, False): "A ring marks where bat and ball meet again, over foul ground.",
    (False, True): "A ring marks where the ball touches the batter, over fair ground.",
    (False, False): "A ring marks where the ball touches the batter, over foul ground.",
}
"""By whether there is a bat, and whether it is over fair ground."""


def draw_play_scene(plan: Plan, scene: PlayScene, scale: float, size_pt: float) -> FigureDrawing:
    """The boxes and the plate at 1:`scale` with shoes and knees, the bat, the ball's way, and a ring where they meet.

    The ball is drawn at the end of its way.
    """
    view = PlanView(scale)
    line_mm = plan.lines["box-first-inner"].width_mm
    items = draw_ground(view, plan, line_mm, _open_window(plan, scene), ("box-third", "box-first"))
    for name in ("foul-line-first", "foul-line-third"):
        items += draw_painted_line(view, plan.lines[name])
    items += draw_body(view, scene.feet, scene.knees)
    if scene.bat:
        items += _draw_bat(view, *scene.bat, in_hand=scene.in_hand)
    if scene.ball:
        items += _draw_ball(view, scene.ball)
    _, _, right, top = extent_of_all(items)
    items += draw_pitcher_arrow((right + 2.4, top - 0.5), 6.5, size_pt, beside=True)
    if scene.meets:
        items.append(Shape(circle(*view.at(*scene.meets), _RING_MM), Stroke(0.6, BLACK)))
    return finish_figure(items, scale, _describe(scene))


def list_prints(scene: PlayScene) -> list[Polygon]:
    """The soles and knees of a scene, on the ground or above it."""
    return [*(construct_footprint(foot)[0] for foot in scene.feet), *map(construct_kneeprint, scene.knees)]


def _open_window(plan: Plan, scene: PlayScene) -> Polygon:
    """Enough ground for both boxes and everything on it."""
    points = [point for name in ("box-first", "box-third") for point in plan.areas[name].points_mm]
    for shape in list_prints(scene):
        left, bottom, right, top = shape.bounds
        points += [(left, bottom), (right, top)]
    points += [*(scene.bat or ()), *scene.ball, *([scene.meets] if scene.meets else [])]
    xs, ys = zip(*points, strict=True)
    window: Polygon = box(min(xs) - 1, min(ys) - 1, max(xs) + 1, max(ys) + 1)
    return window


def _draw_bat(view: PlanView, knob: PointMm, tip: PointMm, *, in_hand: bool) -> list[Item]:
    """A tapered outline with its knob; dashed once it is let go."""
    (x1, y1), (x2, y2) = knob, tip
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
    pen = Stroke(0.35, BLACK) if in_hand else Stroke(0.35, BLACK, (0.9, 0.6))
    end = Shape(polyline([at(0.0, 26.0), at(0.0, -26.0)]), Stroke(0.7, BLACK))
    return [Shape(polyline(outline, closed=True), pen, GREY_LIGHT), end]


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


def _describe(scene: PlayScene) -> str:
    """What the picture shows, the feet as they are judged."""
    parts = [say("The plate area from above."), write_body(scene.judged, scene.judged_knees)]
    if scene.bat:
        parts.append(say("The bat is in hand.") if scene.in_hand else say("The bat has been let go."))
    if scene.ball:
        (x1, y1), (x2, y2) = scene.ball[0], scene.ball[-1]
        goes_away = math.hypot(x2, y2) > math.hypot(x1, y1)
        parts.append(say(BALL_WORDS[goes_away, _is_fair(x2, y2)]))
    if scene.meets:
        parts.append(say(RING_WORDS[bool(scene.bat), _is_fair(*scene.meets)]))
    return " ".join(filter(None, parts))


def _is_fair(x: float, y: float) -> bool:
    return y >= abs(x)
