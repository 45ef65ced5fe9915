"""The picture of a case play, as large as its column allows: the feet close up, or bat and ball around the plate."""

from __future__ import annotations

from dataclasses import replace

from shapely import Polygon
from shapely.ops import nearest_points

from pocketref.field.feet import construct_footprint, construct_kneeprint
from pocketref.field.plan import Plan
from pocketref.plays.placement import PlayScene
from pocketref.scene.dimensioning import THIN_MM
from pocketref.scene.figures.feet_figure import write_body
from pocketref.scene.figures.play_scene import draw_play_scene, list_prints
from pocketref.scene.figures.shoe_marks import cut_window, draw_body, draw_ground, fill_shape
from pocketref.scene.inks import BLACK, GREY_DARK, WHITE
from pocketref.scene.items import FontFace, Item, Shape, Stroke
from pocketref.scene.paths import Point, circle, extent_of_all, polyline, shift
from pocketref.scene.plan_view import SCALES, FigureDrawing, PlanView, draw_pitcher_arrow, finish_figure
from pocketref.scene.typefaces import cap_height_mm, set_text
from pocketref.units.length import INCH_MM, MM_PER_PT
from pocketref.words.speech import cache_words, say

AROUND_MM = 5 * INCH_MM
"""Ground shown around box, plate and feet: our own figure."""
CLOSE_UP_IN, HALF_CLOSE_UP_IN = (30.0, 20.0), (30.0, 16.5)
"""Ground in a close-up, across and along, and in one of two: our own figures."""
OVERVIEW_SCALE = 100
LARGEST = 20
"""No picture is larger than 1:20."""
SCOREBOOK = {"pitcher": "1", "catcher": "2", "first": "3", "second": "4", "third": "5", "shortstop": "6"}
"""Positions as every scorebook numbers them."""
GUTTER_MM = 1.6


def draw_play(
    scene: PlayScene, plan: Plan, box_name: str, size_pt: float, width_mm: float, height_mm: float
) -> FigureDrawing | None:
    """The picture at the largest standard scale within the room; None if there is nothing to draw.

    Feet and knees without bat or ball are drawn twice: with the whole box, and close up, at the scale that is stated,
    the one that matters; a foot and a knee that are far apart both. ValueError if not even the smallest standard
    scale fits.
    """
    if scene.is_empty:
        return None
    least = float(LARGEST)
    for scale in SCALES:
        if scale < least:
            continue
        drawing = _draw_at(scene, plan, box_name, scale, size_pt)
        excess = max(drawing.width_mm / width_mm, drawing.height_mm / height_mm)
        if excess <= 1:
            return drawing
        # What does not shrink with the scale is little, so that scales far too large need no trial.
        least = scale * excess * 0.85
    msg = f"no standard scale makes the play {width_mm:.0f} mm wide and {height_mm:.0f} mm high"
    raise ValueError(msg)


@cache_words(1024)  # a play is drawn where it is measured, for rooms of several heights, and on its sheet
def _draw_at(scene: PlayScene, plan: Plan, box_name: str, scale: float, size_pt: float) -> FigureDrawing:
    if scene.bat or scene.ball or scene.fielders:
        return _draw_around(scene, plan, scale, size_pt)
    return _draw_feet(scene, plan, box_name, scale, size_pt)


def _draw_around(scene: PlayScene, plan: Plan, scale: float, size_pt: float) -> FigureDrawing:
    """Bat, ball and fielders around the plate."""
    drawing = draw_play_scene(plan, scene, scale, size_pt)
    items = list(drawing.items)
    view = PlanView(scale, drawing.plan_origin)
    alt = drawing.alt
    for position, place in scene.fielders:
        items += _draw_fielder(position, view.at(*place), size_pt)
        number = SCOREBOOK[position]
        alt += " " + say(
            "A circle with {number} marks the fielder: {position}.", number=number, position=say(position)
        )
    left, bottom, right, top = extent_of_all(items)
    return replace(
        drawing,
        items=shift(items, -left, -bottom),
        width_mm=right - left,
        height_mm=top - bottom,
        plan_origin=(drawing.plan_origin[0] - left, drawing.plan_origin[1] - bottom),
        alt=alt,
    )


def _draw_fielder(position: str, at: tuple[float, float], size_pt: float) -> list[Item]:
    """A circle with the position's number in the scorebook."""
    x, y = at
    radius = 0.75 * size_pt * MM_PER_PT
    drop = cap_height_mm(FontFace.BOLD, size_pt) / 2
    return [
        Shape(circle(x, y, radius), Stroke(0.5, BLACK), WHITE),
        set_text(x, y - drop, SCOREBOOK[position], FontFace.BOLD, size_pt, BLACK, "middle"),
    ]


def _draw_feet(scene: PlayScene, plan: Plan, box_name: str, scale: float, size_pt: float) -> FigureDrawing:
    """The batter's own box with plate and feet, and beside it what matters close up, one above the other.

    The words for the feet are in `alt` only, so that the picture gives nothing away.
    """
    closes = _open_close_ups(scene, Polygon(plan.areas[box_name].points_mm))
    wide = _open_overview(scene, plan, box_name)
    items: list[Item] = []
    y = 0.0
    for close in closes:
        left, bottom = PlanView(scale).at(*close.bounds[:2])
        _, top = PlanView(scale).at(*close.bounds[2:])
        items += shift(_draw_window(PlanView(scale), plan, box_name, scene, close), -left, y - top)
        y -= top - bottom + GUTTER_MM
    left, bottom, _, top = extent_of_all(items)
    view = PlanView(OVERVIEW_SCALE)
    whole = _draw_window(view, plan, box_name, scene, wide)
    for close in closes:
        whole += fill_shape(view, close & wide, None, Stroke(THIN_MM * 1.6, BLACK, (1.0, 0.7)))
    _, y1, x2, y2 = extent_of_all(whole)
    arrow = draw_pitcher_arrow((0.0, 0.0), 6.5, size_pt)
    ax1, _, ax2, _ = extent_of_all(arrow)
    room = ax2 - ax1 + 2 * GUTTER_MM
    items += shift(whole, left - room - x2, (top + bottom) / 2 - (y1 + y2) / 2)
    items += shift(arrow, left - room + GUTTER_MM - ax1, (top + bottom) / 2 + 5.0)
    feet = say("The batter's feet from above.")
    alt = f"{feet} {write_body(scene.judged, scene.judged_knees)}"
    return finish_figure(items, scale, alt)


def _draw_window(view: PlanView, plan: Plan, box_name: str, scene: PlayScene, window: Polygon) -> list[Item]:
    """A framed piece of ground with the shoes and knees that are wholly on it."""
    items = draw_ground(view, plan, plan.lines["box-first-inner"].width_mm, window, (box_name,))
    feet = [foot for foot in scene.feet if window.contains(construct_footprint(foot)[0])]
    knees = [knee for knee in scene.knees if window.contains(construct_kneeprint(knee))]
    items += draw_body(view, feet, knees)
    return [*items, *fill_shape(view, window, None, Stroke(0.25, BLACK))]


def _open_close_ups(scene: PlayScene, outline: Polygon) -> list[Polygon]:
    """Ground about the foot or knee that matters; if no close-up holds both the foot and the knee, about either."""
    parts = [list_prints(replace(scene, knees=())), list_prints(replace(scene, feet=()))]
    worst = [max(prints, key=lambda sole: _reach(sole, outline)) for prints in parts if prints]
    worst.sort(key=lambda sole: _reach(sole, outline), reverse=True)
    close = _open_close_up(worst[0], outline, CLOSE_UP_IN)
    if all(map(close.contains, worst)):
        return [close]
    closes = [_open_close_up(sole, outline, HALF_CLOSE_UP_IN) for sole in worst]
    return sorted(closes, key=lambda each: each.centroid.y, reverse=True)


def _reach(sole: Polygon, outline: Polygon) -> tuple[float, float]:
    """How much of a foot or knee is out of the box, and how near it is to the box's edge."""
    return (sole - outline).area, -sole.distance(outline.exterior)


def _open_close_up(sole: Polygon, outline: Polygon, size_in: tuple[float, float]) -> Polygon:
    """Ground about a foot or knee, moved toward the box's edge, only so far that all of it stays on it."""
    left, bottom, right, top = sole.bounds
    x, y = (left + right) / 2, (bottom + top) / 2
    edge, _ = nearest_points(outline.exterior, sole.centroid)
    width, height = (side * INCH_MM for side in size_in)
    most_x = min(width * 0.2, (width - (right - left)) / 2 - INCH_MM)
    most_y = min(height * 0.2, (height - (top - bottom)) / 2 - INCH_MM)
    far = max(abs(edge.x - x) / most_x, abs(edge.y - y) / most_y, 1.0)
    return cut_window(x + (edge.x - x) / far, y + (edge.y - y) / far, width, height)


def _open_overview(scene: PlayScene, plan: Plan, box_name: str) -> Polygon:
    """The batter's box, the plate and every foot, with ground around them."""
    points = [*plan.areas["plate"].points_mm, *plan.areas[box_name].points_mm]
    for shape in list_prints(scene):
        left, bottom, right, top = shape.bounds
        points += [(left, bottom), (right, top)]
    xs, ys = zip(*points, strict=True)
    width, height = max(xs) - min(xs) + 2 * AROUND_MM, max(ys) - min(ys) + 2 * AROUND_MM
    return cut_window((min(xs) + max(xs)) / 2, (min(ys) + max(ys)) / 2, width, height)


def draw_bases(bases: tuple[str, ...], size_mm: float) -> tuple[Item, ...]:
    """A diamond `size_mm` across, origin at its lower left: a base with a runner is black and larger.

    `bases` are of first, second and third.
    """
    middle = size_mm / 2
    reach = size_mm * 0.36
    spots: dict[str, Point] = {
        "first": (middle + reach, middle),
        "second": (middle, middle + reach),
        "third": (middle - reach, middle),
        "home": (middle, middle - reach),
    }
    items: list[Item] = [Shape(polyline(list(spots.values()), closed=True), Stroke(0.2, GREY_DARK))]
    for name, (x, y) in spots.items():
        half = size_mm * (0.15 if name in bases else 0.1)
        corners = [(x - half, y), (x, y - half), (x + half, y), (x, y + half)]
        fill = BLACK if name in bases else WHITE
        items.append(Shape(polyline(corners, closed=True), Stroke(0.25, BLACK), fill))
    return tuple(items)
