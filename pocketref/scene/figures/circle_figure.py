"""The pitching circle: its line and the pitcher's plate within it, from above, home below."""

from __future__ import annotations

import math
from collections.abc import Mapping

from pocketref.scene.dimensioning import DimensionLine, DimensionSheet
from pocketref.scene.figures.plate_figure import Detail, write_label
from pocketref.scene.free_room import FreeRoom
from pocketref.scene.inks import BLACK, GREY_LIGHT, WHITE
from pocketref.scene.items import FontFace, Item, Shape, Stroke
from pocketref.scene.paths import Point, arrowhead, circle, extent_of_all, polyline, rectangle
from pocketref.scene.plan_view import EDGE_MM, OUTLINE_MM, FigureDrawing, finish_figure
from pocketref.scene.typefaces import set_text
from pocketref.units.length import Length
from pocketref.units.notation import write_feet_inches, write_mm
from pocketref.words.speech import say

_RADIUS_DEG = 40.0
"""Where the radius is drawn, behind the pitcher's plate: our own choice."""
_HOME_MM = 6.5
"""How long the arrow to home is."""


def draw_pitching_circle(
    lengths: Mapping[str, Length], scale: float, size_pt: float, detail: Detail
) -> FigureDrawing:
    """The circle about the middle of the pitcher's plate's front edge at 1:`scale`, in type of `size_pt`.

    A sheet has the pitcher's plate's depth and the circle's diameter too.
    """
    radius, line = (lengths[name].float_mm / scale for name in ("pitching-circle-radius", "line-width"))
    across, deep = (lengths[f"pitchers-plate-{way}"].float_mm / scale for way in ("width", "depth"))
    ground: list[Item] = [
        Shape(circle(0.0, 0.0, radius), Stroke(OUTLINE_MM, BLACK), GREY_LIGHT),
        Shape(circle(0.0, 0.0, radius - line), Stroke(EDGE_MM, BLACK), WHITE),
        Shape(rectangle(-across / 2, 0.0, across, deep), Stroke(0.35, BLACK), WHITE),
        Shape(circle(0.0, 0.0, 0.6), None, BLACK),
    ]
    room = FreeRoom(DimensionSheet(size_pt))
    room.block(ground)
    turn = math.radians(_RADIUS_DEG)
    rim = (radius * math.cos(turn), radius * math.sin(turn))
    front = ((-across / 2, 0.0), (across / 2, 0.0))
    wanted = [
        [_measure((0.0, 0.0), rim, lengths["pitching-circle-radius"])],
        [_measure(*front, lengths["pitchers-plate-width"], -off) for off in (4.2, 6.0, 8.0)],
    ]
    if detail == "sheet":
        side = ((-across / 2, 0.0), (-across / 2, deep))
        wanted += [
            [_measure(*side, lengths["pitchers-plate-depth"], off) for off in (4.2, 6.0, 8.0)],
            [_measure((-radius, 0.0), (radius, 0.0), lengths["pitching-circle-radius"] * 2, radius + 5.0)],
        ]
    placed = [room.place_dimension(*choices) for choices in wanted]
    # Within the circle if it is large enough, else below it.
    arrows = [_point_home((-radius * 0.2, -radius * share), size_pt) for share in (0.4, 0.45, 0.5, 0.55)]
    arrow = next((each for each in arrows if room.is_open(extent_of_all(each), 0.8)), None)
    items = [*ground, *room.items, *(arrow or _point_home((0.0, -radius - 2.0), size_pt))]
    return finish_figure(items, scale, write_circle_words(lengths), is_crowded=not all(placed))


def _measure(start: Point, end: Point, length: Length, offset: float = 0.0) -> DimensionLine:
    metric = f"[{write_mm(length)}]"
    return DimensionLine(start, end, write_label(length), metric, offset, extend=offset != 0)


def _point_home(top: Point, size_pt: float) -> list[Item]:
    """The arrow to home, its words beside it."""
    x, y = top
    foot = y - _HOME_MM
    return [
        Shape(polyline([(x, y), (x, foot + 2.0)]), Stroke(0.7, BLACK)),
        Shape(arrowhead((x, foot), 270, 3.0, 46), fill=BLACK),
        set_text(x + 1.8, y - _HOME_MM * 0.5, say("to home"), FontFace.ITALIC, size_pt, BLACK),
    ]


def write_circle_words(lengths: Mapping[str, Length]) -> str:
    """The figure in words, for who cannot see it."""
    names = ("pitching-circle-radius", "pitchers-plate-width", "pitchers-plate-depth", "line-width")
    radius, width, depth, line = (write_feet_inches(lengths[name]) for name in names)
    return say(
        "The pitching circle from above, home below. Its radius is {radius}, from the middle of the front edge of the "
        "pitcher's plate to the outside of a line {line} wide. The plate is {width} wide and {depth} deep.",
        radius=radius,
        line=line,
        width=width,
        depth=depth,
    )
