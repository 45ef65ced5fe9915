"""Small marks that stand before words: ball live or dead, batter out or not, runners; shape, never colour alone.

ball: an open circle is live, a filled one dead, a half-filled one delayed dead.
batter: the outline of home plate, filled when out.
runners: a base seen from above, filled when they go back.
"""

from __future__ import annotations

from pocketref.scene.inks import BLACK, WHITE
from pocketref.scene.items import Close, Face, Item, LineTo, Segment, Shape, Stroke
from pocketref.scene.paths import arc, circle, polyline
from pocketref.scene.typefaces import cap_height_mm
from pocketref.units.length import MM_PER_PT

MARKS = ("ball-live", "ball-dead", "ball-delayed", "batter", "batter-out", "runners", "runners-back", "point")


def mark_width_mm(size_pt: float) -> float:
    """The room a mark takes before its words, white space included."""
    return 1.05 * size_pt * MM_PER_PT


def draw_mark(name: str, x: float, baseline: float, size_pt: float) -> list[Item]:
    """The mark with its left edge at x, centred on the capitals above `baseline`; " " draws nothing."""
    if name.strip() == "":
        return []
    height = cap_height_mm(Face.REGULAR, size_pt)
    radius = 0.52 * height
    cx, cy = x + radius + 0.1, baseline + height / 2
    pen = Stroke(0.3, BLACK)
    match name:
        case "ball-live":
            return [Shape(circle(cx, cy, radius), pen, WHITE)]
        case "ball-dead":
            return [Shape(circle(cx, cy, radius), pen, BLACK)]
        case "ball-delayed":
            half = (*arc(cx, cy, radius, 90, 180), LineTo(cx, cy + radius), Close())
            return [Shape(circle(cx, cy, radius), pen, WHITE), Shape(half, None, BLACK)]
        case "batter" | "batter-out":
            return [Shape(_plate(cx, cy, radius), pen, BLACK if name == "batter-out" else WHITE)]
        case "runners" | "runners-back":
            r = radius * 1.15
            corners = [(cx + r, cy), (cx, cy + r), (cx - r, cy), (cx, cy - r)]
            fill = BLACK if name == "runners-back" else WHITE
            return [Shape(polyline(corners, closed=True), pen, fill)]
        case "point":
            return [Shape(circle(cx, cy, radius * 0.45), None, BLACK)]
        case _:
            msg = f"no mark is called {name!r}; marks: {', '.join(MARKS)}"
            raise ValueError(msg)


def _plate(cx: float, cy: float, radius: float) -> tuple[Segment, ...]:
    """Home plate in outline, apex down, about (cx, cy)."""
    half, depth = radius * 0.95, radius * 0.95
    return polyline(
        [
            (cx - half, cy + depth),
            (cx + half, cy + depth),
            (cx + half, cy - 0.05 * radius),
            (cx, cy - radius),
            (cx - half, cy - 0.05 * radius),
        ],
        closed=True,
    )
