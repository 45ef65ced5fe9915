"""The dimensioned figure of the area around home plate, for a card and for a check sheet."""

from __future__ import annotations

import math
from collections.abc import Container, Iterable, Mapping, Sequence
from dataclasses import dataclass, field, replace
from typing import Literal

from pocketref.field.plan import PaintedLine, Plan, list_catchers_marks
from pocketref.scene.dimensioning import GAP_MM, THIN_MM, DimensionLine, DimensionSheet
from pocketref.scene.free_room import FreeRoom
from pocketref.scene.inks import BLACK, GREY_LIGHT, WHITE
from pocketref.scene.items import Item, Shape, Stroke
from pocketref.scene.paths import Point, circle, extent_of_all, polyline, shift
from pocketref.scene.plan_view import (
    EDGE_MM,
    OUTLINE_MM,
    FigureDrawing,
    PlanView,
    draw_lined_area,
    draw_painted_line,
    draw_pitcher_arrow,
    draw_scale_bar,
    finish_figure,
    inset_rectangle,
)
from pocketref.units.length import Length
from pocketref.units.notation import typeset_figures, write_feet_inches, write_mm, write_tape
from pocketref.words.speech import cache_words, say

Detail = Literal["card", "sheet"]
_CROP_MM = 2.1  # how far a card shows the catcher's box's sides past the boxes, on paper
_BREAK_MM = 0.9  # how far a break line's zigzag reaches
# Of the dimension line over the boxes' front lines; the foul lines' starts stay under it and its words.
_RISE_MM = (5.4, 8.8)
_TIGHT_PT = 8.0  # the largest type that what stands off on a card has room for as it is
_FURTHER_MM = (0.0, 1.5, 3.0, 5.0, 8.0)
"""How much farther off a dimension line may stand where its label has no room."""
_AIR_MM = 0.8  # around the arrow and the scale bar
_DASHED = Stroke(THIN_MM, BLACK, (1.2, 0.7))
_CENTRE = Stroke(THIN_MM, BLACK, (3.0, 0.8, 0.4, 0.8))  # ISO 128: long dash, dot
_STUB_GAP_MM = 0.5  # between the words under that line and the end of a foul line


@dataclass(frozen=True, slots=True)
class _Drafting:
    """What every part of the figure needs."""

    plan: Plan
    lengths: Mapping[str, Length]
    view: PlanView
    room: FreeRoom
    detail: Detail
    begun: list[tuple[str, int]] = field(default_factory=list)
    """Each group of what is placed, and how many of the room's items were there before it."""
    unplaced: list[str] = field(default_factory=list)
    """What has no room."""

    def begin(self, group: str) -> None:
        """What is placed from here on is of this group."""
        self.begun.append((group, len(self.room.items)))

    def list_placed(self, shown: Container[str]) -> list[Item]:
        """What was placed of the groups that are shown."""
        items, ends = self.room.items, [*(start for _, start in self.begun[1:]), len(self.room.items)]
        spans = [(group, start, end) for (group, start), end in zip(self.begun, ends, strict=True)]
        return [item for group, a, b in spans if group in shown for item in items[a:b]]

    def stand_off(self, card_mm: float, sheet_mm: float) -> float:
        """How far a dimension line stands off: on a card as much as its type needs, on a sheet more than that."""
        return card_mm * max(self.room.sheet.size_pt / _TIGHT_PT, 1.0) if self.detail == "card" else sheet_mm

    @property
    def rise_mm(self) -> float:
        """How far the dimension line over the boxes stands off their front lines."""
        return self.stand_off(*_RISE_MM)

    @property
    def chain_mm(self) -> float:
        """How far the dimension lines along the right stand off the box."""
        return self.stand_off(4.2, 7.0)

    @property
    def is_placed(self) -> bool:
        """Whether the boxes are placed by how far they reach either way, and so need not be centred on the plate."""
        return "box-ahead" in self.lengths

    def length(self, name: str) -> Length:
        """A dimension as the level gives it, else as it follows from others."""
        return self.lengths[name] if name in self.lengths else self.plan.figures[name].length

    def station(self, mark: str) -> Point:
        station = self.plan.stations[mark]
        return self.view.at(station.x_mm, station.y_mm)

    def dimension(
        self, start: Point, end: Point, length: Length, offset: float = 0.0, outside: str = ""
    ) -> None:
        """A dimension line, farther off or without its mm where its label has no room; no offset: point to point."""
        line = DimensionLine(
            start, end, write_label(length), f"[{write_mm(length)}]", offset, outside, extend=offset != 0
        )
        further = _FURTHER_MM if offset else (0.0,)
        choices = [replace(line, offset_mm=offset + math.copysign(more, offset)) for more in further]
        if not self.room.place_dimension(*choices, *(replace(choice, second="") for choice in choices)):
            self.unplaced.append(line.label)

    def place(self, choices: Iterable[list[Item]], name: str) -> None:
        """The first of these that nothing is in the way of."""
        for items in choices:
            if self.room.is_open(extent_of_all(items), _AIR_MM):
                self.room.add(items)
                return
        self.unplaced.append(name)


_EDGES = "batter's boxes"
PLATE_PARTS = ("plate", _EDGES, "lines", "catcher's box", "dimensions from the plate")
"""What the figure is built up of: each drawn with its own dimensions."""
_OUTLINE = Stroke(OUTLINE_MM, BLACK)


def write_label(length: Length) -> str:
    """A length as a drawing carries it: feet and inches to the nearest 1/16 in."""
    return typeset_figures(write_tape(length))


def draw_plate_area(
    plan: Plan,
    lengths: Mapping[str, Length],
    scale: float,
    size_pt: float,
    detail: Detail,
    shown: frozenset[str] | None = None,
) -> FigureDrawing:
    """Both boxes, the plate and the catcher's box at 1:`scale`, dimensioned in type of `size_pt`.

    `lengths` are the level's own dimensions, so that what is printed is the source's value. A card crops the
    catcher's box; a sheet shows all of it with the station marks and a scale bar. Of the whole, only the parts of
    `PLATE_PARTS` that are `shown` are drawn, each where it is in the whole.
    """
    draft, ground, whole = _draw(plan, tuple(lengths.items()), scale, size_pt, detail)
    if shown is None:
        return whole
    items = [item for name, drawn in ground if name in shown for item in drawn]
    placed = shift([*items, *draft.list_placed(shown)], *whole.plan_origin)
    seen = [name for name in PLATE_PARTS if name in shown]
    alt = say("Plan of the plate area, so far: {parts}.", parts=", ".join(map(say, seen)))
    return replace(whole, items=placed, alt=alt)


@cache_words(64)  # several faces and slides of an edition show the same plate area
def _draw(
    plan: Plan, named: tuple[tuple[str, Length], ...], scale: float, size_pt: float, detail: Detail
) -> tuple[_Drafting, list[tuple[str, list[Item]]], FigureDrawing]:
    """What is placed, what lies on the ground, and the whole that these make."""
    lengths = dict(named)
    draft = _Drafting(plan, lengths, PlanView(scale), FreeRoom(DimensionSheet(size_pt)), detail)
    ground = _draw_ground(draft)
    draft.room.block(item for _, drawn in ground for item in drawn)
    _dimension_boxes(draft)
    _dimension_plate(draft)
    _dimension_catchers_box(draft)
    draft.begin("plate")
    _place_arrow(draft)
    if detail == "sheet":
        _place_scale_bar(draft)
        draft.begin("stations")
        _mark_stations(draft)
    items = [item for name, drawn in ground if name != _EDGES for item in drawn]
    alt = write_plate_area(plan, lengths)
    whole = finish_figure([*items, *draft.room.items], scale, alt, is_crowded=bool(draft.unplaced))
    return draft, ground, whole


def _draw_ground(draft: _Drafting) -> list[tuple[str, list[Item]]]:
    """What lies on the ground, by the part that it is of; the boxes' edges are the lines' in the whole."""
    view, plan = draft.view, draft.plan
    parts: list[tuple[str, list[Item]]] = [("catcher's box", _draw_catchers_box(draft))]
    boxes = [plan.areas[name].points_mm for name in ("box-third", "box-first")]
    line = draft.lengths["line-width"].float_mm
    parts.append((_EDGES, [Shape(polyline(view.points(box), closed=True), _OUTLINE) for box in boxes]))
    lined = [draw_lined_area(view, box, inset_rectangle(box, line)) for box in boxes]
    parts.append(("lines", [item for area in lined for item in area]))
    foul_lines = (plan.lines[name] for name in ("foul-line-first", "foul-line-third"))
    parts += [("lines", draw_painted_line(view, _cut_foul_line(draft, line))) for line in foul_lines]
    plate = view.points(plan.areas["plate"].points_mm)
    parts.append(("plate", [Shape(polyline(plate, closed=True), _OUTLINE, WHITE)]))
    return parts


def _cut_foul_line(draft: _Drafting, line: PaintedLine) -> PaintedLine:
    """As much of a foul line as ends clear of the words under the line over the boxes, and of the chain."""
    (x, y), (end_x, end_y) = line.start_mm, line.end_mm
    corner = line.width_mm * math.sqrt(0.5)  # the paint's far corner stands higher than its measured edge
    box, scale = draft.plan.stations["F3"], draft.view.scale
    rise = draft.rise_mm - draft.room.sheet.drop_mm - _STUB_GAP_MM
    above = box.y_mm - y + rise * scale - corner
    beside = box.x_mm - abs(x) + (draft.chain_mm - 2 * _STUB_GAP_MM) * scale
    reach = min(end_y - y, above, beside)
    share = max(reach, corner) / (end_y - y)
    return replace(line, end_mm=(x + (end_x - x) * share, y + (end_y - y) * share))


def _draw_catchers_box(draft: _Drafting) -> list[Item]:
    sides = [
        draft.plan.lines.get(f"catchers-box-{side}")
        for side in ("third-base-side", "first-base-side", "rear")
    ]
    if None in sides:
        return []
    if draft.detail == "sheet":
        return [item for line in sides if line for item in draw_painted_line(draft.view, line)]
    left, _, _, right = list_catchers_marks(draft.plan.stations)
    return [item for mark, inward in ((left, 1), (right, -1)) for item in _draw_cut_side(draft, mark, inward)]


def _draw_cut_side(draft: _Drafting, mark: str, inward: int) -> list[Item]:
    """The start of one side of the catcher's box, ended by a break line (ISO 128: a zigzag)."""
    x, y = draft.station(mark)
    other = x + draft.lengths["line-width"].float_mm / draft.view.scale * inward
    end = y - _CROP_MM
    middle, reach = (x + other) / 2, abs(other - x) / 2
    zigzag = [
        (-reach - 1.3, 0.0),
        (-0.35, 0.0),
        (-0.15, _BREAK_MM),
        (0.15, -_BREAK_MM),
        (0.35, 0.0),
        (reach + 1.3, 0.0),
    ]
    paint = polyline([(x, y), (x, end), (other, end), (other, y)], closed=True)
    return [
        Shape(paint, None, GREY_LIGHT),
        Shape(polyline([(x, y), (x, end)]), Stroke(OUTLINE_MM, BLACK)),
        Shape(polyline([(other, y), (other, end)]), Stroke(EDGE_MM, BLACK)),
        Shape(polyline([(middle + dx, end + dy) for dx, dy in zigzag]), Stroke(THIN_MM, BLACK)),
    ]


def _dimension_boxes(draft: _Drafting) -> None:
    at, lengths, figures = draft.station, draft.lengths, draft.plan.figures
    rise = draft.rise_mm
    draft.begin("batter's boxes")
    draft.dimension(at("T3"), at("T4"), lengths["box-width"], rise)
    draft.begin("dimensions from the plate")
    draft.dimension(at("T4"), at("F4"), figures["gap-between-boxes"].length, rise)
    draft.begin("batter's boxes")
    draft.dimension(at("F4"), at("F3"), lengths["box-width"], rise)
    draft.dimension(at("T2"), at("T3"), draft.length("box-length"), draft.stand_off(3.6, 7.0))
    draft.begin("dimensions from the plate")
    draft.dimension(at("T2"), at("T4"), figures["box-diagonal"].length)


def _dimension_plate(draft: _Drafting) -> None:
    """The chains along the right, the plate's width and its distance from the box."""
    at, lengths = draft.station, draft.lengths
    _dimension_right(draft)
    draft.begin("plate")
    draft.dimension(at("P3"), at("P2"), lengths["plate-width"], draft.stand_off(4.2, 4.2))
    draft.begin("batter's boxes")
    below = at("A")[1] - draft.stand_off(3.6, 9.0)
    inner, (side, corner) = at("F1")[0], at("P1")
    draft.dimension((side, corner), (inner, corner), lengths["box-offset"], below - corner, "start")


@dataclass(frozen=True, slots=True)
class _Chain:
    """Dimensions one after the other: their group, the levels that they run between, from to and how long each is."""

    group: str
    pen: Stroke
    levels: Sequence[Point]
    steps: Sequence[tuple[float, float, Length]]


def _dimension_right(draft: _Drafting) -> None:
    """Where the boxes end: from the centre line where they are placed by it, and from the plate's edges."""
    at, figures = draft.station, draft.plan.figures
    right, (_, front), (_, apex) = at("F3")[0], at("P2"), at("A")
    middle, back, ahead = (front + apex) / 2, at("F2")[1], at("F3")[1]
    edges = [(at("A")[0] + (0.6 if draft.detail == "card" else 3.0), apex), (at("P2")[0] + 0.6, front)]
    steps = (
        (back, apex, figures["back-line-behind-apex"].length),
        (apex, front, figures["plate-depth"].length),
        (front, ahead, figures["front-line-ahead-of-plate"].length),
    )
    chains = [_Chain("dimensions from the plate", _DASHED, edges, steps)]
    if draft.is_placed:
        behind, before = draft.lengths["box-behind"], draft.lengths["box-ahead"]
        centre = [(at("P3")[0] - 1.5, middle)]
        by_middle = _Chain(
            "batter's boxes", _CENTRE, centre, ((back, middle, behind), (middle, ahead, before))
        )
        chains = [by_middle, *(chains if draft.detail == "sheet" else ())]
    # The outer chain first, as its extension lines run through the inner one.
    for number, chain in reversed([*enumerate(chains, 1)]):
        draft.begin(chain.group)
        draft.room.add(Shape(polyline([(x, y), (right, y)]), chain.pen) for x, y in chain.levels)
        for low, high, length in chain.steps:
            draft.dimension((right, low), (right, high), length, -draft.chain_mm * number)


def _dimension_catchers_box(draft: _Drafting) -> None:
    at, lengths, marks = draft.station, draft.lengths, list_catchers_marks(draft.plan.stations)
    if "C1" not in draft.plan.stations:
        return
    draft.begin("catcher's box")
    if draft.detail == "card":
        down = draft.stand_off(_CROP_MM + _BREAK_MM + 0.5, 0.0)
        draft.dimension(at(marks[0]), at(marks[3]), lengths["catchers-box-width"], -down)
        return
    draft.dimension(at("C3"), at("C1"), lengths["catchers-box-width"], -6.0)
    (x, rear), is_deep = at("C1"), "catchers-box-depth" in lengths
    name, start = ("catchers-box-depth", at("A")) if is_deep else ("catchers-box-length", at("F2"))
    outer = at("F3")[0] + draft.chain_mm * (2 if draft.is_placed else 1)
    draft.dimension((outer, rear), (outer, start[1]), lengths[name], -8.0)
    draft.room.add([Shape(polyline([(x + 4.5, rear), (outer + GAP_MM, rear)]), Stroke(THIN_MM, BLACK))])


def _mark_stations(draft: _Drafting) -> None:
    """Each station's point and its mark beside it, on the side that keeps clear of lines."""
    places = {mark: draft.station(mark) for mark in draft.plan.stations}
    draft.room.add(Shape(circle(*place, 0.75), Stroke(0.25, BLACK), BLACK) for place in places.values())
    for mark, place in places.items():
        if not draft.room.place_mark(place, mark, _MARK_TURNS[mark[0] if mark == "A" else mark]):
            draft.unplaced.append(mark)


_MARK_TURNS: dict[str, float] = {
    "A": -90, "P1": 180, "P2": -135, "P3": -45, "P4": 0,
    "F1": -135, "F2": -45, "F3": 45, "F4": 135,
    "T1": -45, "T2": -135, "T3": 135, "T4": 45,
    "C1": -45, "C2": -45, "C3": -135, "C4": -135,
    "L1": 135, "L3": 45,
}  # fmt: skip
"""Which way of its station each mark stands if it can, degrees counter-clockwise from the right."""


def _place_scale_bar(draft: _Drafting) -> None:
    """At the lower left, level with the catcher's box's rear line or as far below it as it must be."""
    left, bottom = draft.station("T2")[0], draft.station("C3" if "C3" in draft.plan.stations else "T2")[1]
    bar = draw_scale_bar(left, bottom, draft.view.scale, 3, draft.room.sheet.size_pt)
    draft.place(([*shift(bar, 0.0, -1.5 * step)] for step in range(24)), "scale bar")


def _place_arrow(draft: _Drafting) -> None:
    """The arrow to the pitcher, in the clear part of the first-base-side box ahead of the plate, or at the right."""
    (left, top), (right, front) = draft.station("F4"), draft.station("F3")
    places = [(left + (right - left) * share, top - 3.4) for share in (0.28, 0.3, 0.2, 0.12)]
    places += [(right + 2.0 + 1.5 * step, front + draft.rise_mm) for step in range(24)]
    size = draft.room.sheet.size_pt
    draft.place((draw_pitcher_arrow(place, 6.5, size, beside=True) for place in places), "arrow")


def write_plate_area(plan: Plan, lengths: Mapping[str, Length]) -> str:
    """The figure in words, for who cannot see it."""
    gap, diagonal = (plan.figures[name].length for name in ("gap-between-boxes", "box-diagonal"))
    reach = say("centred on the middle of the plate")
    length = lengths["box-length"] if "box-length" in lengths else plan.figures["box-length"].length
    if "box-ahead" in lengths:
        ahead, behind = (write_feet_inches(lengths[f"box-{way}"]) for way in ("ahead", "behind"))
        reach = say(
            "from {ahead} ahead to {behind} behind the plate's centre line", ahead=ahead, behind=behind
        )
    return say(
        "Plan of the plate area. Two batter's boxes, each {width} wide and {length} long, measured to the outside of "
        "the lines, stand {offset} from the sides of a plate {plate} wide, with {gap} between them, {reach}. "
        "The diagonal of a box is {diagonal}.",
        width=write_feet_inches(lengths["box-width"]),
        length=write_feet_inches(length),
        offset=write_feet_inches(lengths["box-offset"]),
        plate=write_feet_inches(lengths["plate-width"]),
        gap=write_feet_inches(gap),
        reach=reach,
        diagonal=write_feet_inches(diagonal),
    )
