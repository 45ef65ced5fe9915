"""The parts of a whole field on a plan: lines, arcs, boxes, bases and plates, none too small to see.

Bases and plates keep their true place and are drawn larger than the scale where they would vanish; a figure
that shows them so says so.
"""

from __future__ import annotations

from collections.abc import Iterable
from dataclasses import dataclass

from pocketref.field.plan import Plan
from pocketref.scene.inks import BLACK, GREY_PALE, WHITE
from pocketref.scene.items import Ink, Item, Shape, Stroke
from pocketref.scene.paths import Point, arc, circle, polyline
from pocketref.scene.plan_view import EDGE_MM, OUTLINE_MM, PlanView, draw_painted_line

LEAST_BASE_MM = 1.8
"""The least side of a base or width of a plate on paper: our own figure, plain at arm's length."""
_LEAST_PAINT_MM = 0.7  # ISO 128-2: parallel lines stand 0.7 mm apart at least; thinner paint is one stroke

# Where each base or plate stays when it is drawn larger: the point that distances are taken to.
BASES = {"first-base": "1B", "second-base": "2B", "third-base": "3B"}
_PLATES = {"plate": "A", "pitchers-plate": "PP"}


@dataclass(frozen=True, slots=True)
class Ground:
    """A plan, and how it lies on paper."""

    plan: Plan
    view: PlanView

    def station(self, mark: str) -> Point:
        """The paper place of a station."""
        station = self.plan.stations[mark]
        return self.view.at(station.x_mm, station.y_mm)

    @property
    def shows_boxes(self) -> bool:
        """Whether the plate can be drawn at its true size, and so the boxes beside it."""
        return self._true_width("plate") >= 1.0

    @property
    def enlarges(self) -> bool:
        """Whether any base is drawn larger than the scale."""
        return self._true_width("first-base") < LEAST_BASE_MM

    def outline(self, name: str) -> list[Point]:
        """The corners of an area on paper; a base or plate is enlarged about its own station if need be."""
        points = self.view.points(self.plan.areas[name].points_mm)
        mark = {**BASES, **_PLATES}.get(name)
        if name == "first-base-foul-half":
            mark = "1B"
        if mark is None or (name == "plate" and self.shows_boxes):
            return points
        factor = max(1.0, LEAST_BASE_MM / self._true_width(name))
        x0, y0 = self.station(mark)
        return [(x0 + (x - x0) * factor, y0 + (y - y0) * factor) for x, y in points]

    def _true_width(self, name: str) -> float:
        """The longest side of an area on paper at the scale."""
        points = self.plan.areas[name].points_mm
        sides = zip(points, points[1:] + points[:1], strict=True)
        longest: float = max(((x2 - x1) ** 2 + (y2 - y1) ** 2) ** 0.5 for (x1, y1), (x2, y2) in sides)
        return longest / self.view.scale


def draw_arcs(ground: Ground, names: Iterable[str]) -> list[Item]:
    """The named arcs of the plan that it has; a mound is tinted, the infield arc is a thin dashed line."""
    items: list[Item] = []
    for name in names:
        if name not in ground.plan.arcs:
            continue
        found = ground.plan.arcs[name]
        x, y = ground.view.at(found.x_mm, found.y_mm)
        radius = found.radius_mm / ground.view.scale
        if name == "infield":
            path = arc(x, y, radius, found.start_deg, found.end_deg - found.start_deg)
            items.append(Shape(path, Stroke(EDGE_MM, BLACK, (2.4, 0.9))))
        else:
            fill = GREY_PALE if name == "mound" else WHITE
            items.append(Shape(circle(x, y, radius), Stroke(EDGE_MM, BLACK), fill))
    return items


def draw_foul_lines(ground: Ground) -> list[Item]:
    """Both foul lines; paint too thin to show both its edges is one thick stroke along the foul side."""
    items: list[Item] = []
    for name in ("foul-line-first", "foul-line-third"):
        line = ground.plan.lines[name]
        if line.width_mm / ground.view.scale >= _LEAST_PAINT_MM:
            items += draw_painted_line(ground.view, line)
            continue
        start = ground.station("A") if not ground.shows_boxes else ground.view.at(*line.start_mm)
        items.append(Shape(polyline([start, ground.view.at(*line.end_mm)]), Stroke(OUTLINE_MM, BLACK)))
    return items


def draw_areas(ground: Ground, names: Iterable[str], fill: Ink | None = None) -> list[Item]:
    """The named areas that the plan has, each outlined thin."""
    return [
        Shape(polyline(ground.outline(name), closed=True), Stroke(EDGE_MM, BLACK), fill)
        for name in names
        if name in ground.plan.areas
    ]


def draw_bases(ground: Ground, filled: frozenset[str] = frozenset()) -> list[Item]:
    """The bases and both plates, white with a firm outline; bases named in `filled` are black."""
    items: list[Item] = []
    for name in ("first-base-foul-half", *BASES, *_PLATES):
        if name in ground.plan.areas:
            ink = BLACK if name in filled or name == "first-base-foul-half" else WHITE
            pen = Stroke(0.35, BLACK)
            items.append(Shape(polyline(ground.outline(name), closed=True), pen, ink))
    return items
