"""The dimensioned figure of the area around home plate, for a card and for a check sheet."""

from __future__ import annotations

import math
from collections.abc import Container, Mapping
from dataclasses import dataclass, field, replace
from itertools import pairwise
from typing import Literal

from pocketref.field.plan import PaintedLine, Plan
from pocketref.scene.dimensioning import GAP_MM, THIN_MM, DimensionLine, DimensionSheet
from pocketref.scene.inks import BLACK, GREY_LIGHT, WHITE
from pocketref.scene.items import FontFace, Item, Shape, Stroke
from pocketref.scene.paths import Point, circle, polyline, shift
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
from pocketref.scene.typefaces import cap_height_mm, set_text, typeface
from pocketref.units.length import Length
from pocketref.units.notation import typeset_figures, write_feet_inches, write_mm, write_tape
from pocketref.words.speech import say

Detail = Literal["card", "sheet"]
_CROP_MM = 2.1  # how far a card shows the catcher's box's sides past the boxes, on paper
_BREAK_MM = 0.9  # how far a break line's zigzag reaches
# Of the dimension line over the boxes' front lines; the foul lines' starts stay under it and its words.
_RISE_MM = (5.4, 8.8)
_TIGHT_PT = 8.0  # the largest type that what stands off on a card has room for as it is
_STUB_GAP_MM = 0.5  # between the words under that line and the end of a foul line


@dataclass(frozen=True, slots=True)
class _Drafting:
    """What every part of the figure needs."""

    plan: Plan
    lengths: Mapping[str, Length]
    view: PlanView
    sheet: DimensionSheet
    detail: Detail
    begun: list[tuple[str, int]] = field(default_factory=list)
    """Each group of dimensions, and how many of the sheet's items were there before it."""

    def begin(self, group: str) -> None:
        """What is dimensioned from here on is of this group."""
        self.begun.append((group, len(self.sheet.items)))

    def list_dimensions(self, shown: Container[str] | None) -> list[Item]:
        """The dimensions of the groups that are shown, or all."""
        items, ends = self.sheet.items, [*(start for _, start in self.begun[1:]), len(self.sheet.items)]
        spans = [(group, start, end) for (group, start), end in zip(self.begun, ends, strict=True)]
        return [item for group, a, b in spans if shown is None or group in shown for item in items[a:b]]

    def stand_off(self, card_mm: float, sheet_mm: float) -> float:
        """How far a dimension line stands off: on a card as much as its type needs, on a sheet more than that."""
        return card_mm * max(self.sheet.size_pt / _TIGHT_PT, 1.0) if self.detail == "card" else sheet_mm

    @property
    def rise_mm(self) -> float:
        """How far the dimension line over the boxes stands off their front lines."""
        return self.stand_off(*_RISE_MM)

    def station(self, mark: str) -> Point:
        station = self.plan.stations[mark]
        return self.view.at(station.x_mm, station.y_mm)

    def dimension(
        self,
        start: Point,
        end: Point,
        length: Length,
        offset: float,
        outside: str = "",
    ) -> None:
        metric = f"[{write_mm(length)}]"
        self.sheet.draw_dimension(DimensionLine(start, end, write_label(length), metric, offset, outside))


PLATE_PARTS = ("plate", "batter's boxes", "lines", "catcher's box", "dimensions from the plate")
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
    shown: Container[str] | None = None,
) -> FigureDrawing:
    """Both boxes, the plate and the catcher's box at 1:`scale`, dimensioned in type of `size_pt`.

    `lengths` are the level's own dimensions, so that what is printed is the source's value. A card crops the
    catcher's box; a sheet shows all of it with the station marks and a scale bar. Of the whole, only the parts of
    `PLATE_PARTS` that are `shown` are drawn, each where it is in the whole.
    """
    draft = _Drafting(plan, lengths, PlanView(scale), DimensionSheet(size_pt), detail)
    parts: list[tuple[str, list[Item]]] = [("catcher's box", _draw_catchers_box(draft))]
    boxes = [plan.areas[name].points_mm for name in ("box-third", "box-first")]
    line = lengths["line-width"].float_mm
    if shown is not None:
        edges = [Shape(polyline(draft.view.points(box), closed=True), _OUTLINE) for box in boxes]
        parts.append(("batter's boxes", [*edges]))
    lined = [draw_lined_area(draft.view, box, inset_rectangle(box, line)) for box in boxes]
    parts.append(("lines", [item for area in lined for item in area]))
    for name in ("foul-line-first", "foul-line-third"):
        parts += [("lines", draw_painted_line(draft.view, _cut_foul_line(draft, plan.lines[name])))]
    plate = draft.view.points(plan.areas["plate"].points_mm)
    parts.append(("plate", [Shape(polyline(plate, closed=True), _OUTLINE, WHITE)]))
    under = len(parts)
    _dimension_boxes(draft)
    _dimension_plate(draft)
    _dimension_catchers_box(draft)
    if detail == "sheet":
        parts += [("stations", _mark_stations(draft)), ("plate", _scale_bar(draft))]
    parts.append(("plate", _orientation(draft)))
    chosen = [drawn if shown is None or name in shown else [] for name, drawn in parts]
    items = [item for drawn in chosen[:under] for item in drawn]
    items += [*draft.list_dimensions(shown), *(item for drawn in chosen[under:] for item in drawn)]
    if shown is None:
        return finish_figure(items, scale, write_plate_area(plan, lengths))
    whole = draw_plate_area(plan, lengths, scale, size_pt, detail)
    placed = shift(items, *whole.plan_origin)
    seen = [name for name in PLATE_PARTS if name in shown]
    return replace(whole, items=placed, alt=f"Plan of the plate area, so far: {', '.join(seen)}.")


def _cut_foul_line(draft: _Drafting, line: PaintedLine) -> PaintedLine:
    """As much of a foul line as ends clear of what is written under the dimension line over the boxes' front lines."""
    (x, y), (end_x, end_y) = line.start_mm, line.end_mm
    corner = line.width_mm * math.sqrt(0.5)  # the paint's far corner stands higher than its measured edge
    room = draft.rise_mm - draft.sheet.drop_mm - _STUB_GAP_MM
    reach = min(end_y - y, room * draft.view.scale - corner)
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
    return [item for mark, inward in (("C4", 1), ("C2", -1)) for item in _draw_cut_side(draft, mark, inward)]


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
    draft.dimension(at("T2"), at("T3"), lengths["box-length"], draft.stand_off(3.6, 7.0))
    draft.begin("dimensions from the plate")
    diagonal = figures["box-diagonal"].length
    draft.sheet.draw_dimension(
        DimensionLine(at("T2"), at("T4"), write_label(diagonal), f"[{write_mm(diagonal)}]", extend=False)
    )


def _dimension_plate(draft: _Drafting) -> None:
    """The chain along the right, the plate's width and its distance from the box."""
    at, lengths, figures = draft.station, draft.lengths, draft.plan.figures
    is_card = draft.detail == "card"
    right, front, apex = at("F3")[0], at("P2"), at("A")
    chain = -draft.stand_off(4.2, 7.0)
    points = [(right, at("F2")[1]), (right, apex[1]), (right, front[1]), (right, at("F3")[1])]
    steps = [figures["back-line-behind-apex"], figures["plate-depth"], figures["front-line-ahead-of-plate"]]
    dashed = Stroke(THIN_MM, BLACK, (1.2, 0.7))
    for x, y in ((apex[0] + (0.6 if is_card else 3.0), apex[1]), (front[0] + 0.6, front[1])):
        draft.sheet.items.append(Shape(polyline([(x, y), (right, y)]), dashed))
    for (start, end), figure in zip(pairwise(points), steps, strict=True):
        draft.dimension(start, end, figure.length, chain)
    draft.begin("plate")
    draft.dimension(at("P3"), at("P2"), lengths["plate-width"], draft.stand_off(4.2, 4.2))
    draft.begin("batter's boxes")
    below = apex[1] - draft.stand_off(3.6, 9.0)
    inner, side = at("F1")[0], at("P1")
    draft.sheet.items.append(
        Shape(polyline([(side[0], side[1] - 0.8), (side[0], below - 1.0)]), Stroke(THIN_MM, BLACK))
    )
    draft.dimension((side[0], below), (inner, below), lengths["box-offset"], 0.0, "start")


def _dimension_catchers_box(draft: _Drafting) -> None:
    at, lengths = draft.station, draft.lengths
    if "C1" not in draft.plan.stations:
        return
    draft.begin("catcher's box")
    if draft.detail == "card":
        draft.dimension(
            at("C4"),
            at("C2"),
            lengths["catchers-box-width"],
            -draft.stand_off(_CROP_MM + _BREAK_MM + 0.5, 0.0),
        )
        return
    draft.dimension(at("C3"), at("C1"), lengths["catchers-box-width"], -6.0)
    outer = at("F3")[0] + 7.0
    draft.dimension((outer, at("C1")[1]), (outer, at("A")[1]), lengths["catchers-box-depth"], -8.0)
    draft.sheet.items.append(
        Shape(
            polyline([(at("C1")[0] + 4.5, at("C1")[1]), (outer + GAP_MM, at("C1")[1])]),
            Stroke(THIN_MM, BLACK),
        )
    )


def _mark_stations(draft: _Drafting) -> list[Item]:
    """Each station's point and its mark beside it, on the side that keeps clear of lines."""
    items: list[Item] = []
    size = draft.sheet.size_pt
    lift = cap_height_mm(FontFace.BOLD, size)
    for mark, station in draft.plan.stations.items():
        x, y = draft.view.at(station.x_mm, station.y_mm)
        items.append(Shape(circle(x, y, 0.75), Stroke(0.25, BLACK), BLACK))
        dx, dy = _MARK_PLACES[mark]
        anchor = "start" if dx > 0 else "end" if dx < 0 else "middle"
        width = typeface(FontFace.BOLD).measure_mm(mark, size)
        left = x + dx * 1.4 - {"start": 0, "middle": width / 2, "end": width}[anchor]
        base = y + (1.3 if dy > 0 else -1.3 - lift if dy < 0 else -lift / 2)
        if mark.startswith("P"):  # inside the plate, which is white already
            items.append(set_text(left, base, mark, FontFace.BOLD, size, BLACK))
            continue
        halo = polyline(
            [
                (left - 0.3, base - 0.4),
                (left + width + 0.3, base - 0.4),
                (left + width + 0.3, base + lift + 0.4),
                (left - 0.3, base + lift + 0.4),
            ],
            closed=True,
        )
        items.append(Shape(halo, None, WHITE))
        items.append(set_text(left, base, mark, FontFace.BOLD, size, BLACK))
    return items


_MARK_PLACES: dict[str, tuple[int, int]] = {
    "A": (0, -1), "P1": (-1, 0), "P2": (-1, -1), "P3": (1, -1), "P4": (1, 0),
    "F1": (-1, -1), "F2": (1, -1), "F3": (1, 1), "F4": (-1, 1),
    "T1": (1, -1), "T2": (-1, -1), "T3": (-1, 1), "T4": (1, 1),
    "C1": (1, -1), "C2": (1, -1), "C3": (-1, -1), "C4": (-1, -1),
    "L1": (-1, 1), "L3": (1, 1),
}  # fmt: skip


def _scale_bar(draft: _Drafting) -> list[Item]:
    """At the lower left, level with the catcher's box's rear line."""
    left, bottom = draft.station("T2")[0], draft.station("C3" if "C3" in draft.plan.stations else "T2")[1]
    return draw_scale_bar(left, bottom, draft.view.scale, 3, draft.sheet.size_pt)


def _orientation(draft: _Drafting) -> list[Item]:
    """The arrow to the pitcher, in the clear part of the first-base-side box ahead of the plate."""
    (left, top), (right, _) = draft.station("F4"), draft.station("F3")
    x = left + (right - left) * (0.28 if draft.detail == "card" else 0.3)
    return draw_pitcher_arrow((x, top - 3.4), 6.5, draft.sheet.size_pt, beside=True)


def write_plate_area(plan: Plan, lengths: Mapping[str, Length]) -> str:
    """The figure in words, for who cannot see it."""
    gap, diagonal = (plan.figures[name].length for name in ("gap-between-boxes", "box-diagonal"))
    return say(
        "Plan of the plate area. Two batter's boxes, each {width} wide and {length} long, measured to the outside of "
        "the lines, stand {offset} from the sides of a plate {plate} wide, with {gap} between them, centred on the "
        "middle of the plate. The diagonal of a box is {diagonal}.",
        width=write_feet_inches(lengths["box-width"]),
        length=write_feet_inches(lengths["box-length"]),
        offset=write_feet_inches(lengths["box-offset"]),
        plate=write_feet_inches(lengths["plate-width"]),
        gap=write_feet_inches(gap),
        diagonal=write_feet_inches(diagonal),
    )
