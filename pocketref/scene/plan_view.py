"""A plan on paper: one scale, one origin, and the ways its parts are drawn."""

from __future__ import annotations

import math
from collections.abc import Callable, Iterable
from dataclasses import dataclass

from pocketref.field.plan import PaintedLine
from pocketref.problems import refusal
from pocketref.scene.inks import BLACK, GREY_LIGHT, WHITE
from pocketref.scene.items import FontFace, Item, Shape, Stroke
from pocketref.scene.paths import Point, arrowhead, extent_of_all, polyline, rectangle, shift
from pocketref.scene.typefaces import set_text, typeface
from pocketref.units.length import FOOT_MM
from pocketref.words.speech import say
from pocketref.words.terminal import tell

# ISO 128-2 line widths by role: outlines thick, paint edges and dimensions thin, at least 2:1 where they meet.
OUTLINE_MM = 0.5
EDGE_MM = 0.25

# ISO 5455 reduction scales, and the steps between that builders' scale rules carry.
SCALES = (10, 20, 25, 30, 40, 50, 60, 75, 100, 200, 250, 300, 400, 500, 600, 750, 1000)


@dataclass(frozen=True, slots=True)
class PlanView:
    """Maps plan mm to paper mm: divided by `scale`, moved so that the plan's origin falls on `origin`."""

    scale: float
    origin: Point = (0.0, 0.0)

    def at(self, x_mm: float, y_mm: float) -> Point:
        """The paper place of a point on the ground."""
        return self.origin[0] + x_mm / self.scale, self.origin[1] + y_mm / self.scale

    def points(self, places: tuple[Point, ...]) -> list[Point]:
        """The paper places of points on the ground."""
        return [self.at(x, y) for x, y in places]


@dataclass(frozen=True, slots=True)
class FigureDrawing:
    """A finished figure, origin at its lower left, with its scale and a description in words."""

    items: tuple[Item, ...]
    width_mm: float
    height_mm: float
    scale: float
    alt: str
    plan_origin: Point = (0.0, 0.0)
    """Where the plan's origin lies in the figure, mm; lets a reader measure the plan off the page."""
    is_crowded: bool = False
    """Whether some of its words had no room, so that it is to be drawn at a larger scale or in smaller type."""
    shows: str = ""
    """Of a picture that may stand among others, what it shows beside what they all show."""


def finish_figure(
    items: Iterable[Item], scale: float, alt: str, *, is_crowded: bool = False
) -> FigureDrawing:
    """The figure that items make: moved so that the lower left of all their ink is its origin."""
    drawn = tuple(items)
    left, bottom, right, top = extent_of_all(drawn)
    moved = shift(drawn, -left, -bottom)
    return FigureDrawing(moved, right - left, top - bottom, scale, alt, (-left, -bottom), is_crowded)


_NUMBER_GAP_MM = 1.0  # between the numbers under a scale bar
_SURE = 0.75
"""Left to labels that a smaller scale has no room for: our own figure."""


def draw_largest(
    draw_at: Callable[[float], FigureDrawing],
    scales: Iterable[float],
    width_mm: float,
    height_mm: float = math.inf,
) -> FigureDrawing | None:
    """The figure at the first of the scales (denominators, going up) at which it is within the room.

    None if there is no such scale, or the figure's words have no room at it. Ground shrinks with the scale and words
    do not, so a figure is hardly smaller than one at a larger scale shrunk whole: scales that the last one tried shows
    to be far too large are not tried.
    """
    least = 0.0
    for scale in scales:
        if scale < least:
            continue
        drawing = draw_at(scale)
        if drawing.width_mm <= width_mm and drawing.height_mm <= height_mm:
            return None if drawing.is_crowded else drawing
        if width_mm > 0 and height_mm > 0:
            excess = max(drawing.width_mm / width_mm, drawing.height_mm / height_mm)
            least = scale * excess * _SURE
    return None


def draw_smallest(draw_at: Callable[[float], FigureDrawing], scales: Iterable[float]) -> FigureDrawing:
    """The figure at the smallest of the scales at which all its words have room.

    Raises PocketrefError if they have none at any.
    """
    for scale in sorted(scales, reverse=True):
        drawing = draw_at(scale)
        if not drawing.is_crowded:
            return drawing
    sentence = tell("the figure's words have no room, however large it is drawn")
    raise refusal("figure-crowded", sentence, tell("check the dimensions that it is drawn from"))


def draw_lined_area(view: PlanView, outline: tuple[Point, ...], inside: tuple[Point, ...]) -> list[Item]:
    """An area with its painted line: thick outer edge, pale paint, thin inner edge."""
    return [
        Shape(polyline(view.points(outline), closed=True), Stroke(OUTLINE_MM, BLACK), GREY_LIGHT),
        Shape(polyline(view.points(inside), closed=True), Stroke(EDGE_MM, BLACK), WHITE),
    ]


def draw_painted_line(view: PlanView, line: PaintedLine) -> list[Item]:
    """A strip of paint with its measured edge thick."""
    corners = view.points(line.outline_mm)
    return [
        Shape(polyline(corners, closed=True), Stroke(EDGE_MM, BLACK), GREY_LIGHT),
        Shape(polyline(corners[:2]), Stroke(OUTLINE_MM, BLACK)),
    ]


def inset_rectangle(points: tuple[Point, ...], by_mm: float) -> tuple[Point, ...]:
    """The corners of an upright rectangle moved inwards by `by_mm`."""
    xs, ys = [x for x, _ in points], [y for _, y in points]
    left, right, bottom, top = min(xs) + by_mm, max(xs) - by_mm, min(ys) + by_mm, max(ys) - by_mm
    return (left, bottom), (right, bottom), (right, top), (left, top)


def draw_pitcher_arrow(tip: Point, length_mm: float, size_pt: float, *, beside: bool = False) -> list[Item]:
    """The orientation mark: an arrow towards the pitcher with the word under its foot, or beside it."""
    x, y = tip
    items: list[Item] = [
        Shape(polyline([(x, y - length_mm), (x, y - 2.0)]), Stroke(0.7, BLACK)),
        Shape(arrowhead(tip, 90, 3.0, 46), fill=BLACK),
    ]
    if beside:
        items.append(
            set_text(x + 1.8, y - length_mm * 0.62, say("to pitcher"), FontFace.ITALIC, size_pt, BLACK)
        )
    else:
        below = y - length_mm - size_pt * 0.36
        items.append(set_text(x, below, say("to pitcher"), FontFace.ITALIC, size_pt, BLACK, "middle"))
    return items


def draw_scale_bar(
    x: float, y: float, scale: float, feet: int, size_pt: float, step_ft: int = 1
) -> list[Item]:
    """A bar of feet in steps, every other one filled, with their ends numbered; (x, y) is its lower left corner.

    `feet` is a whole number of steps of `step_ft`. Only both ends are numbered where numbers would crowd.
    """
    step = FOOT_MM * step_ft / scale
    count = feet // step_ft
    items: list[Item] = []
    for number in range(count):
        fill = BLACK if number % 2 == 0 else WHITE
        items.append(Shape(rectangle(x + number * step, y, step, 1.4), Stroke(EDGE_MM, BLACK), fill))
    is_roomy = step > typeface(FontFace.REGULAR).measure_mm(f"{feet} ft", size_pt) + _NUMBER_GAP_MM
    for number in range(count + 1) if is_roomy else (0, count):
        at = number * step_ft
        words = f"{at} ft" if number == count else str(at)
        items.append(set_text(x + number * step, y + 2.1, words, FontFace.REGULAR, size_pt, BLACK, "middle"))
    return items
