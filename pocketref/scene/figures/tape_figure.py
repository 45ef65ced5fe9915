"""Where taped readings put the stations, against where the plan has them, with the errors magnified.

Thin lines are the plan; thick dashed lines and marks are the field as found. Each error is drawn as many times
larger than the plan's scale as the figure says, so that inches show on a field of yards.
"""

from __future__ import annotations

import math
from collections.abc import Mapping
from dataclasses import dataclass

from pocketref.field.plan import Plan
from pocketref.scene.inks import BLACK, GREY_MID, WHITE
from pocketref.scene.items import FontFace, Item, Segment, Shape, Stroke
from pocketref.scene.label_room import LabelRoom
from pocketref.scene.paths import Point, arrowhead, circle, extent_of_all, polyline, rectangle
from pocketref.scene.plan_view import (
    EDGE_MM,
    OUTLINE_MM,
    FigureDrawing,
    PlanView,
    draw_pitcher_arrow,
    finish_figure,
)
from pocketref.scene.textfit import leading_mm
from pocketref.scene.typefaces import cap_height_mm, set_text
from pocketref.tape.verdicts import LEAVE, FoundStation, PlaceVerdict, TapeReport
from pocketref.words.speech import say

FACTORS = (200, 100, 50, 40, 30, 25, 20, 15, 10, 8, 6, 5, 4, 3, 2, 1)
FARTHEST_MM = 14.0
"""The longest error on paper, with its ellipse: our own figure."""
_LEAST_ARROW_MM = 1.6
_TO_PITCHER_MM = 12.0
_FOUND = Stroke(OUTLINE_MM, BLACK, (2.0, 0.9))
_ELLIPSE = Stroke(0.2, BLACK)
_MISREAD = Stroke(0.35, BLACK, (0.5, 0.7))


@dataclass(frozen=True, slots=True)
class _Drafting:
    """What every part of the figure needs."""

    report: TapeReport
    view: PlanView
    factor: int

    @property
    def plan(self) -> Plan:
        return self.report.plan

    def planned(self, mark: str) -> Point:
        station = self.plan.stations[mark]
        return self.view.at(station.x_mm, station.y_mm)

    def found(self, mark: str) -> Point:
        """Where a station is drawn as found: its planned place and its magnified error."""
        x, y = self.planned(mark)
        if mark not in self.report.stations:
            return x, y
        grow = self.factor / self.view.scale
        across, along = self.report.stations[mark].off_mm
        return x + across * grow, y + along * grow


def choose_factor(stations: Mapping[str, FoundStation], scale: float) -> int:
    """How many times larger than the plan's scale errors are drawn, so that the longest still fits."""
    told = (s for s in stations.values() if s.verdict is not PlaceVerdict.FEW)
    longest = max((s.offset_mm + s.ellipse_mm[0] for s in told), default=0.0)
    return next((factor for factor in FACTORS if longest * factor / scale <= FARTHEST_MM), 1)


def draw_tape_report(report: TapeReport, scale: float, size_pt: float) -> FigureDrawing:
    """The plan at 1:`scale` with the field as found over it, in type of `size_pt`."""
    draft = _Drafting(report, PlanView(scale), choose_factor(report.stations, scale))
    room = LabelRoom(size_pt)
    items: list[Item] = [*_draw_plan(draft), *_draw_found(draft, room)]
    items += _draw_misread(draft, room)
    for mark, judged in report.stations.items():
        items += _draw_station(draft, judged, mark)
        room.keep_clear([draft.planned(mark), draft.found(mark)], 1.0)
    middle = draft.view.at(*_find_middle(report))
    for mark in sorted(report.stations, key=lambda mark: report.stations[mark].verdict in LEAVE):
        at = draft.found(mark)
        turn = math.degrees(math.atan2(at[1] - middle[1], at[0] - middle[0]))
        # Marks of a plate area crowd on a whole field: of those that are good some stay without their words.
        room.write(at, mark, toward_deg=turn, is_needed=report.stations[mark].verdict not in LEAVE)
    items += room.items
    left, bottom, right, top = extent_of_all(items)
    items += draw_pitcher_arrow((left - _TO_PITCHER_MM, top), _TO_PITCHER_MM, size_pt)
    items += _draw_legend(draft, (left + right) / 2, bottom - 3.0, size_pt)
    return finish_figure(items, scale, write_tape_words(report))


def _find_middle(report: TapeReport) -> Point:
    found = [report.plan.stations[mark] for mark in report.stations]
    xs, ys = [station.x_mm for station in found], [station.y_mm for station in found]
    return (min(xs) + max(xs)) / 2, (min(ys) + max(ys)) / 2


def _corner_marks(draft: _Drafting, name: str) -> list[str]:
    """The stations at an area's corners; empty if one has no station."""
    by_place = {(round(s.x_mm, 3), round(s.y_mm, 3)): mark for mark, s in draft.plan.stations.items()}
    marks = [by_place.get((round(x, 3), round(y, 3)), "") for x, y in draft.plan.areas[name].points_mm]
    return marks if all(marks) else []


def _draw_plan(draft: _Drafting) -> list[Item]:
    """The field as planned: the plate, both boxes and the catcher's box's lines, or the whole field."""
    pen = Stroke(EDGE_MM, BLACK)
    items: list[Item] = []
    for name, area in draft.plan.areas.items():
        if name != "catchers-box":  # its outline runs around the boxes and the plate, where no line is
            items.append(Shape(polyline(draft.view.points(area.points_mm), closed=True), pen))
    for name, line in draft.plan.lines.items():
        if name.startswith("catchers-box"):
            items.append(Shape(polyline(draft.view.points((line.start_mm, line.end_mm))), pen))
    if draft.plan.name == "diamond":
        square = [draft.planned(mark) for mark in ("A", "1B", "2B", "3B")]
        items.append(Shape(polyline(square, closed=True), Stroke(EDGE_MM, GREY_MID)))
    return items


def _draw_found(draft: _Drafting, room: LabelRoom) -> list[Item]:
    """The boxes, or the square of the bases, through the stations as found."""
    rings = [_corner_marks(draft, name) for name in draft.plan.areas if name != "plate"]
    if draft.plan.name == "diamond":
        rings.append(["A", "1B", "2B", "3B"])
    items: list[Item] = []
    for ring in rings:
        if ring and all(mark in draft.report.stations for mark in ring):
            points = [draft.found(mark) for mark in ring]
            items.append(Shape(polyline(points, closed=True), _FOUND))
            for start, end in zip(points, points[1:] + points[:1], strict=True):
                room.keep_line_clear(start, end)
    return items


def _draw_misread(draft: _Drafting, room: LabelRoom) -> list[Item]:
    """The misread pulls as dotted lines with their word."""
    items: list[Item] = []
    for misread in draft.report.misreads:
        start, end = (draft.planned(mark) for mark in misread.name.split("-"))
        room.write(
            ((start[0] + end[0]) / 2, (start[1] + end[1]) / 2), say("misread {pull}", pull=misread.name)
        )
        items.append(Shape(polyline([start, end]), _MISREAD))
    return items


def _draw_station(draft: _Drafting, judged: FoundStation, mark: str) -> list[Item]:
    start, end = draft.planned(mark), draft.found(mark)
    items: list[Item] = []
    major, minor, turn = judged.ellipse_mm
    grow = draft.factor / draft.view.scale
    if judged.verdict is PlaceVerdict.FEW:
        return draw_verdict_mark(judged.verdict, *start)
    if major:
        items.append(Shape(_draw_ellipse(end, major * grow, minor * grow, turn), _ELLIPSE))
    if math.dist(start, end) > _LEAST_ARROW_MM:
        # An arrow says which way to move it, so only what is to be moved has one.
        heading = math.degrees(math.atan2(start[1] - end[1], start[0] - end[0]))
        items.append(Shape(polyline([end, start]), Stroke(0.35, BLACK)))
        if judged.verdict is PlaceVerdict.OUT:  # wider than a dimension's, to be seen at arm's length
            items.append(Shape(arrowhead(start, heading, 3.6, spread_deg=45.0), fill=BLACK))
    return [*items, *draw_verdict_mark(judged.verdict, *end)]


def _draw_ellipse(centre: Point, major: float, minor: float, turn_deg: float) -> tuple[Segment, ...]:
    cos, sin = math.cos(math.radians(turn_deg)), math.sin(math.radians(turn_deg))
    around = [math.radians(degrees) for degrees in range(0, 360, 6)]
    points = [
        (
            centre[0] + major * math.cos(t) * cos - minor * math.sin(t) * sin,
            centre[1] + major * math.cos(t) * sin + minor * math.sin(t) * cos,
        )
        for t in around
    ]
    return polyline(points, closed=True)


def draw_verdict_mark(verdict: PlaceVerdict, x: float, y: float) -> list[Item]:
    """A verdict's own shape, about (x, y)."""
    pen = Stroke(0.3, BLACK)
    match verdict:
        case PlaceVerdict.GOOD:
            return [Shape(circle(x, y, 0.7), pen, WHITE)]
        case PlaceVerdict.PASSES:
            return [Shape(circle(x, y, 0.9), pen, WHITE), Shape(circle(x, y, 0.35), None, BLACK)]
        case PlaceVerdict.OUT:
            return [Shape(rectangle(x - 0.8, y - 0.8, 1.6, 1.6), None, BLACK)]
        case PlaceVerdict.AGAIN:
            corners = [(x - 1.0, y - 0.7), (x + 1.0, y - 0.7), (x, y + 1.1)]
            return [Shape(polyline(corners, closed=True), pen, WHITE)]
        case PlaceVerdict.FEW:
            corners = [(x, y - 1.1), (x + 1.1, y), (x, y + 1.1), (x - 1.1, y)]
            return [Shape(polyline(corners, closed=True), pen, WHITE)]
        case PlaceVerdict.KNOWN:
            return [
                Shape(polyline([(x - 0.8, y), (x + 0.8, y)]), pen),
                Shape(polyline([(x, y - 0.8), (x, y + 0.8)]), pen),
            ]


def _draw_legend(draft: _Drafting, middle: float, top: float, size_pt: float) -> list[Item]:
    """What the marks mean, and how much larger than the plan the errors are."""
    used = {judged.verdict for judged in draft.report.stations.values()}
    shown = [(verdict, say(verdict)) for verdict in PlaceVerdict if verdict in used]
    widths = [set_text(0, 0, words, FontFace.REGULAR, size_pt, BLACK).width_mm + 6.0 for _, words in shown]
    x, lead = middle - sum(widths) / 2, leading_mm(size_pt)
    lift = cap_height_mm(FontFace.REGULAR, size_pt) / 2
    items: list[Item] = []
    baseline = top - lead
    for (verdict, words), width in zip(shown, widths, strict=True):
        items += draw_verdict_mark(verdict, x + 1.0, baseline + lift)
        items.append(set_text(x + 2.8, baseline, words, FontFace.REGULAR, size_pt, BLACK))
        x += width
    lines = (
        say("Errors are drawn {factor} times larger than the plan.", factor=draft.factor),
        say("Thin: as planned. Dashed: as found. Ellipses hold the station with 95 % confidence."),
        *((say("Arrows show which way to move what is out."),) if PlaceVerdict.OUT in used else ()),
    )
    for number, words in enumerate(lines, 1):
        items.append(
            set_text(middle, baseline - number * lead, words, FontFace.REGULAR, size_pt, BLACK, "middle")
        )
    return items


def write_tape_words(report: TapeReport) -> str:
    """The figure in words, for who cannot see it."""
    said = [
        f"{mark}: {say(judged.verdict)}{f' {judged.move}' if judged.verdict is PlaceVerdict.OUT else ''}"
        for mark, judged in report.stations.items()
        if judged.verdict is not PlaceVerdict.KNOWN
    ]
    found = say(
        "The stations as found over the plan, errors magnified. {stations}.", stations="; ".join(said)
    )
    misread = (say("{pull} is misread.", pull=misread.name) for misread in report.misreads)
    return " ".join((found, *misread))
