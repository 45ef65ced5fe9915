"""Small marks that stand before words: ball live or dead, batter out or not, runners; shape, never colour alone.

ball: an open circle is live, a filled one dead, a half-filled one delayed dead.
batter: the outline of home plate, filled when out.
runners: a base seen from above where they stand still, a triangle that points the way where they go. What must
happen is filled, what may happen is open.
"""

from __future__ import annotations

from collections.abc import Mapping

from pocketref.scene.inks import BLACK, DEAD_BALL, WHITE
from pocketref.scene.items import Close, FontFace, Ink, Item, LineTo, Segment, Shape, Stroke
from pocketref.scene.paths import Point, arc, circle, polyline, rectangle
from pocketref.scene.typefaces import cap_height_mm
from pocketref.units.length import MM_PER_PT

MARKS: Mapping[str, str] = {
    "ball-live": "ball live",
    "ball-dead": "ball dead",
    "ball-delayed": "ball delayed dead",
    "batter": "batter",
    "batter-out": "batter out",
    "runners-stay": "runners stay where they are",
    "runners-advance": "runners may advance, at their own risk",
    "runners-back": "runners go back",
    "runners-one-base": "runners take one base and no more, forced or awarded",
    "runners-ruled": "runners as the ball is ruled",
    "runners-out": "a runner is out",
    "runners-league": "runners by the league's rule",
    "league": "check your league",
}
"""Every mark of a ruling, with what it means in words."""
POINT = "point"
"""The dot before an item of a list."""


def mark_width_mm(size_pt: float) -> float:
    """The room a mark takes before its words, white space included."""
    return 1.05 * size_pt * MM_PER_PT


def draw_mark(
    name: str, x: float, baseline: float, size_pt: float, *, is_reversed: bool = False
) -> list[Item]:
    """The mark with its left edge at x, centred on the capitals above `baseline`; " " draws nothing.

    Reversed it is white, for a black ground.
    """
    if name.strip() == "":
        return []
    if name not in (*MARKS, POINT):
        raise ValueError(f"no mark is called {name!r}; marks: {', '.join((*MARKS, POINT))}")
    height = cap_height_mm(FontFace.REGULAR, size_pt)
    radius = 0.52 * height
    cx, cy = x + radius + 0.1, baseline + height / 2
    ink, paper = (WHITE, BLACK) if is_reversed else (BLACK, WHITE)

    def place(corners: tuple[Point, ...]) -> tuple[Segment, ...]:
        return polyline([(cx + u * radius, cy + v * radius) for u, v in corners], closed=True)

    if name in _POLYGONS:
        outer, *inner = _POLYGONS[name]
        fill = ink if name in _FILLED else paper
        pen = Stroke(_PEN_MM, ink)
        return [Shape(place(outer), pen, fill), *(Shape(place(corners), None, ink) for corners in inner)]
    if name == POINT:
        return [Shape(circle(cx, cy, radius * 0.45), None, ink)]
    if name == "runners-out":
        strokes = [((-0.8, -0.8), (0.8, 0.8)), ((-0.8, 0.8), (0.8, -0.8))]
        return [Shape(place(stroke)[:2], Stroke(2 * _PEN_MM, ink)) for stroke in strokes]
    if name == "league":
        return _draw_league(cx, cy, radius, ink, paper)
    return _draw_ball(name, cx, cy, radius, ink, paper)


def _draw_ball(name: str, cx: float, cy: float, radius: float, ink: Ink, paper: Ink) -> list[Item]:
    is_dead = name == "ball-dead"
    dead = DEAD_BALL if is_dead and ink is BLACK else ink
    ball = Shape(circle(cx, cy, radius), Stroke(_PEN_MM, dead), dead if is_dead else paper)
    half = (*arc(cx, cy, radius, 90, 180), LineTo(cx, cy + radius), Close())
    return [ball, Shape(half, None, ink)] if name == "ball-delayed" else [ball]


def _draw_league(cx: float, cy: float, radius: float, ink: Ink, paper: Ink) -> list[Item]:
    """A question mark cut out of a square."""
    side = 2.1 * radius
    hook = (*arc(cx, cy + 0.32 * radius, 0.42 * radius, 170, -215), LineTo(cx, cy - 0.35 * radius))
    return [
        Shape(rectangle(cx - side / 2, cy - side / 2, side, side), None, ink),
        Shape(hook, Stroke(0.27 * radius, paper)),
        Shape(circle(cx, cy - 0.68 * radius, 0.18 * radius), None, paper),
    ]


_PEN_MM = 0.3
_PLATE: tuple[Point, ...] = ((-0.95, 1.05), (0.95, 1.05), (0.95, 0.1), (0, -1.2), (-0.95, 0.1))
_BASE: tuple[Point, ...] = ((1.15, 0), (0, 1.15), (-1.15, 0), (0, -1.15))
_FORWARD: tuple[Point, ...] = ((-0.85, 1.05), (1.1, 0), (-0.85, -1.05))
_BACK: tuple[Point, ...] = ((0.85, 1.05), (-1.1, 0), (0.85, -1.05))
_SHORT: tuple[Point, ...] = ((-1, 1.05), (0.7, 0), (-1, -1.05))
_BAR: tuple[Point, ...] = ((0.85, 1.1), (1.25, 1.1), (1.25, -1.1), (0.85, -1.1))
_HALF: tuple[Point, ...] = ((0, 1.15), (-1.15, 0), (0, -1.15))
_POLYGONS: Mapping[str, tuple[tuple[Point, ...], ...]] = {
    "batter": (_PLATE,),
    "batter-out": (_PLATE,),
    "runners-stay": (_BASE,),
    "runners-advance": (_FORWARD,),
    "runners-back": (_BACK,),
    "runners-one-base": (_SHORT, _BAR),
    "runners-ruled": (_BASE, _HALF),
    "runners-league": (_BASE,),
}
"""Outlines with their corners in shares of the radius, from the middle; those after the first are filled."""
_FILLED = ("batter-out", "runners-stay", "runners-back", "runners-one-base")
