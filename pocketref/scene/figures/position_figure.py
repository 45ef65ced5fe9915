"""Where two umpires start: plate and base umpire on small fields by the runners on base, and the slot.

Places follow common two-umpire mechanics: A with nobody on, B with a runner on first only, C with any other.
Books leave the distances to custom, so the words say "custom"; what was read is for 60-ft fields, where base
umpires stay outside the bases; on larger fields B and C stand inside, between mound and second (two training
pages; distances from memory).
"""

from __future__ import annotations

import math
from collections.abc import Sequence
from dataclasses import dataclass, replace
from typing import Literal

from pocketref.field.plan import Plan, to_mm
from pocketref.scene.dimensioning import THIN_MM
from pocketref.scene.field_ground import BASES, Ground, draw_arcs, draw_bases
from pocketref.scene.inks import BLACK, WHITE
from pocketref.scene.items import FontFace, Ink, Item, Shape, Stroke
from pocketref.scene.paths import Point, circle, extent_of_all, polyline, shift
from pocketref.scene.plan_view import OUTLINE_MM, FigureDrawing, PlanView, finish_figure
from pocketref.scene.textfit import break_text, leading_mm, write_line
from pocketref.scene.typefaces import cap_height_mm, set_text
from pocketref.units.length import MM_PER_PT
from pocketref.words.speech import join_words, say

Letter = Literal["A", "B", "C"]
Runners = frozenset[str]

OUTSIDE_UP_TO_FT = 60
"""The largest base distance at which the base umpire stays outside the bases: our reading of the sources."""
SMALL_SCALES = (400, 500, 600, 750, 1000, 1250, 1500, 2000, 2500)
CASES: tuple[Runners, ...] = (
    frozenset(),
    frozenset({"first"}),
    frozenset({"second"}),
    frozenset({"first", "third"}),
)
"""Nobody on; first only; any other (second stands for them); first and third, where manuals differ."""
_GUTTER_MM = 3.2
_LEAST_COLUMN_MM = 26.0
_LEAST_MOUND_MM = 2.0  # radius on paper below which a mound would crowd the pitcher's plate
_ORDINAL = {"first": 1, "second": 2, "third": 3}


@dataclass(frozen=True, slots=True)
class Start:
    """Where the base umpire starts: the position's letter, its place on the plan, and the place in words.

    `other` is the position that some manuals give instead, "" if they agree.
    """

    letter: Letter
    x_mm: float
    y_mm: float
    words: str
    other: Literal["", "B"] = ""


def find_start(plan: Plan, runners: Runners) -> Start:
    """The base umpire's start for the runners on base. ValueError for a base that is none."""
    unknown = runners - _ORDINAL.keys()
    if unknown:
        msg = f"a runner is on first, second or third, not on {', '.join(sorted(unknown))}"
        raise ValueError(msg)
    letter: Letter = "A" if not runners else "B" if runners == {"first"} else "C"
    start = _find_place(plan, letter)
    if runners == {"first", "third"}:
        return replace(start, words=say("C or B: the manual says which"), other="B")
    return start


def _find_place(plan: Plan, letter: Letter) -> Start:
    base = math.hypot(plan.stations["1B"].x_mm, plan.stations["1B"].y_mm)
    second = plan.stations["2B"].y_mm
    is_outside = base <= to_mm(12 * OUTSIDE_UP_TO_FT) + 1
    if letter == "A":
        # Both feet foul, a little past the bag; the first baseman, not the bag, is what the distance is from.
        along, out = base * 1.2, base * 0.012
        place = ((along + out) * math.sqrt(0.5), (along - out) * math.sqrt(0.5))
        behind = "10–12 ft" if is_outside else "10–15 ft"
        return Start(letter, *place, say("foul side, {far} behind first baseman (custom)", far=behind))
    side = 1 if letter == "B" else -1
    if is_outside:
        middle, beyond = base * math.sqrt(0.5) / 2, base * 0.25 * math.sqrt(0.5)
        half_way, off = (
            say("outside, half-way first to second (custom)"),
            say("outside, 20–30 ft off second (custom)"),
        )
        where = half_way if letter == "B" else off
        return Start(letter, side * (middle + beyond), second - middle + beyond, where)
    mound = plan.arcs.get("mound") or plan.arcs.get("pitching-circle")
    ahead = say(mound.name.rpartition("-")[2] if mound else "pitcher's plate")
    words = (
        say("inside, {ahead} to second, first-base side (custom)", ahead=ahead)
        if letter == "B"
        else say("inside, {ahead} to second, third-base side (custom)", ahead=ahead)
    )
    back = mound.y_mm + mound.radius_mm if mound else plan.stations["PP"].y_mm
    return Start(letter, side * base * 0.13, back + (second - back) * 0.45, words)


def write_held(runners: Runners) -> str:
    """The runners in words: "nobody on", "first only", "first and third", "bases full"."""
    on = sorted(runners, key=_ORDINAL.__getitem__)
    if len(on) == len(_ORDINAL):
        return say("bases full")
    if not on:
        return say("nobody on")
    return say("{base} only", base=say(on[0])) if len(on) == 1 else join_words([say(base) for base in on])


def draw_position_set(
    plan: Plan, size_pt: float, width_mm: float, cases: Sequence[Runners] = CASES
) -> FigureDrawing:
    """Small fields for the distinct cases, in one row or in rows of two, no wider than `width_mm`.

    ValueError if not even the smallest scale fits.
    """
    columns = len(cases)
    while columns > 1 and (width_mm - _GUTTER_MM * (columns - 1)) / columns < _LEAST_COLUMN_MM:
        columns = math.ceil(columns / 2)
    room = (width_mm - _GUTTER_MM * (columns - 1)) / columns
    for scale in SMALL_SCALES:
        fields = [_draw_field(plan, runners, scale, size_pt) for runners in cases]
        if max(right - left for left, _, right, _ in map(extent_of_all, fields)) <= room:
            break
    else:
        msg = f"no scale makes small fields {room:.0f} mm wide"
        raise ValueError(msg)
    drawings = [
        _draw_captioned(plan, runners, scale, size_pt, _title(runners, cases), room) for runners in cases
    ]
    items: list[Item] = []
    top = 0.0
    for start in range(0, len(drawings), columns):
        row = drawings[start : start + columns]
        for number, drawing in enumerate(row):
            x = number * (room + _GUTTER_MM) + (room - drawing.width_mm) / 2
            items += shift(drawing.items, x, top - drawing.height_mm)
        top -= max(drawing.height_mm for drawing in row) + _GUTTER_MM
    alt = " ".join(drawing.alt for drawing in drawings)
    return finish_figure(items, scale, alt)


def _title(runners: Runners, cases: Sequence[Runners]) -> str:
    """The case's title in a set, where second stands for every case that is not drawn."""
    if runners == {"second"} and tuple(cases) == CASES:
        return say("any other") + ": "
    return f"{write_held(runners)}: "


def _begin(title: str) -> str:
    return title[:1].upper() + title[1:]


def _draw_captioned(
    plan: Plan, runners: Runners, scale: float, size_pt: float, title: str, room_mm: float = 0.0
) -> FigureDrawing:
    """The field with its caption, wrapped to the field's width or to the room given."""
    start = find_start(plan, runners)
    items = _draw_field(plan, runners, scale, size_pt)
    left, bottom, right, _ = extent_of_all(items)
    width = max(room_mm, right - left)
    caption = f"*{_begin(title)}{start.letter},* {start.words}"
    if start.other:
        caption = f"*{_begin(title)}* {start.words}"
    lines = break_text(caption, FontFace.REGULAR, width, size_pt)
    baseline = bottom - 1.4 - cap_height_mm(FontFace.BOLD, size_pt)
    for number, line in enumerate(lines):
        x = (left + right) / 2 - line.width_mm / 2
        items += write_line(line, x, baseline - number * leading_mm(size_pt), size_pt)
    place = start.words if start.other else f"{start.letter}, {start.words}"
    behind = say("plate umpire behind the catcher, base umpire at {place}.", place=place)
    alt = f"{_begin(title)}{behind}"
    return finish_figure(items, scale, alt)


def _draw_field(plan: Plan, runners: Runners, scale: float, size_pt: float) -> list[Item]:
    """Foul lines, base paths, mound, bases and both umpires, the plan's origin at the paper's."""
    ground = Ground(plan, PlanView(scale))
    start = find_start(plan, runners)
    items: list[Item] = []
    home, corners = ground.station("A"), [ground.station(mark) for mark in BASES.values()]
    items.append(Shape(polyline(corners), Stroke(THIN_MM, BLACK, (1.2, 0.7))))
    drawn = [name for name in ("mound", "pitching-circle") if name in plan.arcs]
    items += draw_arcs(ground, [n for n in drawn if plan.arcs[n].radius_mm / scale >= _LEAST_MOUND_MM])
    reach = 1.26
    for x, y in (corners[0], corners[2]):
        end = (home[0] + (x - home[0]) * reach, home[1] + (y - home[1]) * reach)
        items.append(Shape(polyline([home, end]), Stroke(OUTLINE_MM, BLACK)))
    filled = frozenset(f"{base}-base" for base in runners)
    items += draw_bases(ground, filled)
    radius = _disc_radius(size_pt)
    items += draw_umpire((home[0], home[1] - radius - 1.4), "P", size_pt)
    place = ground.view.at(start.x_mm, start.y_mm)
    if start.letter == "A":  # the disc clear of the line that both feet are beyond
        out = (radius + 0.9) * math.sqrt(0.5)
        place = (place[0] + out, place[1] - out)
    else:  # never so near the middle that B and C could touch
        place = (math.copysign(max(abs(place[0]), radius + 0.5), place[0]), place[1])
    items += draw_umpire(place, "U", size_pt)
    if start.other:
        items += draw_umpire((-place[0], place[1]), "U", size_pt, possible=True)
    return items


def _disc_radius(size_pt: float) -> float:
    return 0.78 * size_pt * MM_PER_PT


def draw_umpire(place: Point, letter: str, size_pt: float, *, possible: bool = False) -> list[Item]:
    """A disc with a letter: black where the umpire is, white and dashed where another manual has him."""
    ink: Ink = BLACK if possible else WHITE
    pen = Stroke(0.35, BLACK, (0.9, 0.6)) if possible else Stroke(0.35, BLACK)
    disc = Shape(circle(*place, _disc_radius(size_pt)), pen, WHITE if possible else BLACK)
    baseline = place[1] - cap_height_mm(FontFace.BOLD, size_pt) / 2
    return [disc, set_text(place[0], baseline, letter, FontFace.BOLD, size_pt, ink, "middle")]
