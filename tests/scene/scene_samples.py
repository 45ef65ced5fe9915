"""Invented fields and small readings of figures, shared by the tests of drawings."""

from __future__ import annotations

import math
import re
from itertools import combinations

from field_samples import ARC, DIAGONAL, EDGES, FIELD, LANE, MOUND, SLOPE, SURROUNDINGS, read_lengths
from shapely import LineString, Polygon, affinity, box

from pocketref.field.diamond import construct_diamond
from pocketref.field.plan import Plan
from pocketref.scene.inks import BLACK
from pocketref.scene.items import Close, CurveTo, FontFace, MoveTo, Shape, Text
from pocketref.scene.paths import extent_of_all
from pocketref.scene.plan_view import FigureDrawing
from pocketref.scene.textfit import leading_mm
from pocketref.scene.typefaces import cap_height_mm
from pocketref.units.length import MM_PER_PT, Length
from pocketref.units.notation import spell_fractions

_FULL = (
    FIELD
    | EDGES
    | DIAGONAL
    | MOUND
    | SLOPE
    | {"mound-flat-width": "5 ft", "mound-flat-depth": "34 in"}
    | LANE
    | SURROUNDINGS
    | ARC
)
_SMALL = {
    name: text
    for name, text in _FULL.items()
    if not name.startswith(("coach", "on-deck", "mound-flat", "mound-slope"))
} | {
    "base-distance": "60 ft",
    "second-base-diagonal": "84 ft 10 in",
    "pitching-distance": "46 ft",
    "pitchers-plate-width": "18 in",
    "pitchers-plate-depth": "4 in",
    "pitchers-plate-height": "6 in",
    "mound-diameter": "10 ft",
    "mound-centre": "45 ft 2 in",
    "infield-arc": "50 ft",
}


def change_field(**changes: str) -> dict[str, Length]:
    """The dimensions of a 90-ft field, with changes (underscores for hyphens; "" leaves one out)."""
    return read_lengths(_FULL, **changes)


FULL = read_lengths(_FULL)
SMALL = read_lengths(_SMALL)


def full_plan() -> Plan:
    """The plan of the 90-ft field."""
    return construct_diamond(FULL)


def small_plan() -> Plan:
    """The plan of a 60-ft field without coach's boxes and on-deck circles."""
    return construct_diamond(SMALL)


def list_texts(drawing: FigureDrawing) -> list[Text]:
    """Every run of text in a figure."""
    return [item for item in drawing.items if isinstance(item, Text)]


def list_words(drawing: FigureDrawing) -> list[str]:
    """What the runs say, with ordinary spaces."""
    return [write_plainly(text) for text in list_texts(drawing)]


def list_shapes(drawing: FigureDrawing) -> list[Shape]:
    """Every shape in a figure."""
    return [item for item in drawing.items if isinstance(item, Shape)]


def measure_extent(drawing: FigureDrawing) -> tuple[float, float]:
    """Width and height of what is drawn."""
    left, bottom, right, top = extent_of_all(drawing.items)
    return right - left, top - bottom


def locate(drawing: FigureDrawing, x_mm: float, y_mm: float) -> tuple[float, float]:
    """Where a point of the plan lies in the figure, by its scale."""
    x, y = drawing.plan_origin
    return x + x_mm / drawing.scale, y + y_mm / drawing.scale


def list_corners(drawing: FigureDrawing) -> list[tuple[float, float]]:
    """Every corner of every path."""
    return [
        (segment.x, segment.y)
        for shape in list_shapes(drawing)
        for segment in shape.path
        if not isinstance(segment, Close)
    ]


def _list_strokes(drawing: FigureDrawing) -> list[LineString]:
    """The straight strokes."""
    return [
        LineString([(segment.x, segment.y) for segment in shape.path if not isinstance(segment, Close)])
        for shape in list_shapes(drawing)
        if shape.stroke and not any(isinstance(segment, CurveTo) for segment in shape.path)
    ]


def list_crossings(drawing: FigureDrawing) -> list[str]:
    """What texts say that a straight stroke runs through (their letters' height, less a hair)."""
    strokes = _list_strokes(drawing)
    return [
        text.content
        for text in list_texts(drawing)
        if any(_letters(text).intersects(stroke) for stroke in strokes)
    ]


def list_parted(drawing: FigureDrawing) -> list[tuple[str, str]]:
    """Neighbouring level lines of a note between which a straight stroke runs; dimensions stand about their line."""
    strokes = _list_strokes(drawing)
    texts = [text for text in list_texts(drawing) if text.anchor != "middle" and text.angle == 0]
    pairs = [
        (upper, lower)
        for upper in texts
        for lower in texts
        if upper.anchor == lower.anchor
        and abs(upper.x - lower.x) < 0.01
        and abs(upper.y - lower.y - leading_mm(upper.size_pt)) < 0.01
    ]
    return [
        (upper.content, lower.content)
        for upper, lower in pairs
        if any(_letters(upper).union(_letters(lower)).envelope.intersects(stroke) for stroke in strokes)
    ]


def _letters(text: Text) -> Polygon:
    """The run's box from its baseline to the height of its capitals, turned as the run is."""
    start = {"start": 0.0, "middle": -text.width_mm / 2, "end": -text.width_mm}[text.anchor]
    height = cap_height_mm(text.face, text.size_pt)
    level = box(text.x + start, text.y + 0.1, text.x + start + text.width_mm, text.y + height - 0.1)
    return affinity.rotate(level, text.angle, origin=(text.x, text.y))


def has_corner(drawing: FigureDrawing, place: tuple[float, float]) -> bool:
    """Whether some path has a corner within 0.01 mm of the place."""
    return any(abs(x - place[0]) < 0.01 and abs(y - place[1]) < 0.01 for x, y in list_corners(drawing))


def list_off_centre(drawing: FigureDrawing) -> list[str]:
    """The figures along dimension lines that stand neither at the middle between two arrowheads nor beyond one.

    ISO 129-1: above the line about its middle, or beyond an arrowhead; what is level with words before or after it
    stands on a leader.
    """
    tips = [
        (first.x, first.y)
        for shape in list_shapes(drawing)
        if shape.fill is BLACK and not shape.stroke and len(shape.path) == 4
        if isinstance(first := shape.path[0], MoveTo)
    ]
    lines = [stroke.buffer(0.05) for stroke in _list_strokes(drawing)]
    wrong = []
    for text in list_texts(drawing):
        is_scale_bar = text.face is FontFace.REGULAR and not text.content.startswith("[")
        if (
            text.anchor != "middle"
            or is_scale_bar
            or not re.fullmatch(r".*\d.* (?:in|ft)|\[\d+\]", write_plainly(text))
        ):
            continue
        turn = math.radians(text.angle)
        along = {
            (x, y): (x - text.x) * math.cos(turn) + (y - text.y) * math.sin(turn)
            for x, y in tips
            if abs((y - text.y) * math.cos(turn) - (x - text.x) * math.sin(turn)) < text.size_pt * MM_PER_PT
        }
        is_centred = any(abs(one + other) < 0.05 for one, other in combinations(along.values(), 2))
        is_beyond = any(abs(abs(each) - text.width_mm / 2) < 8.0 for each in along.values()) and not any(
            along[one] * along[other] < 0 and any(LineString([one, other]).within(line) for line in lines)
            for one, other in combinations(along, 2)
        )
        if not (is_centred or is_beyond):
            wrong.append(write_plainly(text))
    return wrong


def write_plainly(text: Text) -> str:
    """What a run says, with ordinary spaces."""
    return spell_fractions(text.content).replace("\u00a0", " ")
