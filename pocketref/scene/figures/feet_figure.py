"""Pictures of feet at the batter's box, each captioned with what its placement is judged to be."""

from __future__ import annotations

from collections.abc import Callable, Mapping, Sequence
from dataclasses import dataclass
from functools import lru_cache
from types import MappingProxyType

from shapely import Polygon

from pocketref.field.feet import (
    FootPlacement,
    GroundJudgement,
    Where,
    construct_footprint,
    judge_foot,
    worse_foot,
)
from pocketref.field.plan import Plan, to_mm
from pocketref.field.shoe import Contact, FootSide
from pocketref.scene.dimensioning import THIN_MM
from pocketref.scene.figures.shoe_marks import cut_window, draw_ground, draw_shoe, fill_shape
from pocketref.scene.inks import BLACK
from pocketref.scene.items import FontFace, Item, Stroke
from pocketref.scene.paths import extent_of_all, shift
from pocketref.scene.plan_view import SCALES, FigureDrawing, PlanView, finish_figure
from pocketref.scene.textfit import break_text, leading_mm, write_line
from pocketref.scene.typefaces import cap_height_mm
from pocketref.units.length import Length
from pocketref.words.speech import say

RuleOn = Callable[[Sequence[GroundJudgement]], str]
"""The word of the ruling on judged feet, such as "Out"; the picture itself knows no rules."""

WORDS: Mapping[Where, str] = MappingProxyType(
    {
        Where.IN_AIR: "in the air",
        Where.INSIDE: "inside",
        Where.ON_LINE: "on the line: in",
        Where.OVER: "partly out",
        Where.OUTSIDE: "wholly outside",
    }
)
"""What each place of a foot is called in print."""
ON_PLATE = "on the plate"

WINDOW_IN = (34.0, 14.0)
"""How much ground one picture shows, inches across and along: our own figure."""
GUTTER_MM = 3.6  # between pictures


@dataclass(frozen=True, slots=True)
class FootCase:
    """A foot of a right-handed batter, in inches from the third-base-side box's inner front corner (T4).

    `right_in` runs toward the plate and `ahead_in` toward the pitcher, both to the middle of the sole;
    `view_in` is the middle of the ground that the picture shows, from the same corner.
    """

    name: str
    right_in: float
    ahead_in: float
    heading_deg: float = 0.0
    contact: Contact = "flat"
    side: FootSide = "left"
    view_in: tuple[float, float] = (-7.0, -2.0)

    def place(self, plan: Plan) -> FootPlacement:
        """The placement on a plan's ground."""
        corner = plan.stations["T4"]
        return FootPlacement(
            corner.x_mm + to_mm(self.right_in),
            corner.y_mm + to_mm(self.ahead_in),
            self.heading_deg,
            self.contact,
            self.side,
        )


CASES: tuple[FootCase, ...] = (
    FootCase("inside", -11.0, -5.6, 5.0, view_in=(-7.0, -3.2)),
    FootCase("on the line", -10.0, -2.8, 5.0, view_in=(-7.0, -2.4)),
    FootCase("half out", -10.0, 0.2, 5.0, view_in=(-7.0, -1.6)),
    FootCase("in the air", -9.0, 2.2, 8.0, "air", view_in=(-7.0, -0.8)),
    FootCase("wholly outside", -10.0, 3.3, 5.0, view_in=(-7.0, 0.0)),
    FootCase("on the plate", 4.6, -32.0, 5.0, view_in=(3.0, -32.5)),
)
"""Six places worth knowing; what each is called is judged, not said here."""


def judge_case(
    placements: Sequence[FootPlacement], plan: Plan, line_width: Length
) -> tuple[GroundJudgement, ...]:
    """Each foot judged against the box it is nearest to."""
    outline = Polygon(plan.areas[_find_box(placements)].points_mm)
    plate = Polygon(plan.areas["plate"].points_mm)
    return tuple(judge_foot(foot, outline, plate, line_width.float_mm) for foot in placements)


def write_feet(judgements: Sequence[GroundJudgement]) -> str:
    """The words for the worse foot, and that a foot is on the plate if any is."""
    words = say(WORDS[worse_foot(judgements).where])
    is_on_plate = any(each.touches_plate for each in judgements)
    return f"{say(ON_PLATE)}, {words}" if is_on_plate else words


def write_body(feet: Sequence[GroundJudgement], knees: Sequence[GroundJudgement]) -> str:
    """The worse foot and the worse knee on the ground, in sentences; empty if there is neither."""
    said = [say("The worse foot: {where}.", where=write_feet(feet))] if feet else []
    if len(knees) > 1:
        said.append(say("The worse knee: {where}.", where=write_feet(knees)))
    elif knees:
        said.append(say("The knee: {where}.", where=write_feet(knees)))
    return " ".join(said)


def _find_box(placements: Sequence[FootPlacement]) -> str:
    """The box on the side where the feet are, by their mean place."""
    return "box-third" if sum(foot.x_mm for foot in placements) < 0 else "box-first"


def draw_foot_case(
    placements: Sequence[FootPlacement],
    plan: Plan,
    line_width: Length,
    scale: float,
    size_pt: float,
    centre_mm: tuple[float, float] | None = None,
    rule_on: RuleOn | None = None,
) -> FigureDrawing:
    """One picture at 1:`scale`: the ground about `centre_mm` (else about the feet), the shoes, the words under it.

    At least one placement. The words are judged from the placements. The window is WINDOW_IN, larger if a shoe
    would reach past it. `rule_on` gives the ruling's word, set bold above the others.
    """
    judgements = judge_case(placements, plan, line_width)
    words = write_feet(judgements)
    drawn, (left, bottom, right, top) = _draw_picture(
        tuple(placements), plan, line_width.float_mm, scale, centre_mm
    )
    verdict = rule_on(judgements) if rule_on else ""
    caption = _write_caption(verdict, words, (left + right) / 2, bottom, right - left, size_pt)
    low = min(bottom, extent_of_all(caption)[1])
    shown = f"{words}, {verdict}" if verdict else words
    alt = say("Foot at the batter's box, from above: {shown}.", shown=shown)
    return FigureDrawing(
        shift((*drawn, *caption), -left, -low),
        right - left,
        top - low,
        scale,
        alt,
        plan_origin=(-left, -low),
        shows=shown,
    )


@lru_cache(maxsize=256)
def _draw_picture(
    placements: tuple[FootPlacement, ...],
    plan: Plan,
    line_mm: float,
    scale: float,
    centre_mm: tuple[float, float] | None,
) -> tuple[tuple[Item, ...], tuple[float, float, float, float]]:
    """A picture without its words, and its extent; kept, because words are tried in each size of the type scale."""
    view = PlanView(scale)
    window = _open_window(placements, scale, centre_mm)
    items = draw_ground(view, plan, line_mm, window, ("box-third", "box-first"))
    for placement in placements:
        items += draw_shoe(view, placement)
    items += fill_shape(view, window, None, Stroke(THIN_MM, BLACK))
    return tuple(items), extent_of_all(items)


def _open_window(
    placements: Sequence[FootPlacement], scale: float, centre_mm: tuple[float, float] | None
) -> Polygon:
    """The window about its centre, each way large enough for every shoe and 1 mm of paper around it."""
    xs, ys = [foot.x_mm for foot in placements], [foot.y_mm for foot in placements]
    centre = centre_mm or (sum(xs) / len(xs), sum(ys) / len(ys))
    width, height = (to_mm(side) for side in WINDOW_IN)
    for foot in placements:
        left, bottom, right, top = construct_footprint(foot)[0].bounds
        spare = 2.0 * scale
        width = max(width, 2 * max(right - centre[0], centre[0] - left) + spare)
        height = max(height, 2 * max(top - centre[1], centre[1] - bottom) + spare)
    return cut_window(*centre, width, height)


def _write_caption(
    verdict: str, words: str, x: float, below: float, width_mm: float, size_pt: float
) -> list[Item]:
    """The ruling in bold and the words, in lines no wider than the picture, centred under it."""
    lines = break_text(verdict, FontFace.BOLD, width_mm, size_pt) if verdict else ()
    lines += break_text(words, FontFace.REGULAR if verdict else FontFace.MEDIUM, width_mm, size_pt)
    baseline = below - 1.1 - cap_height_mm(FontFace.MEDIUM, size_pt)
    items: list[Item] = []
    for number, line in enumerate(lines):
        items += write_line(line, x - line.width_mm / 2, baseline - number * leading_mm(size_pt), size_pt)
    return items


def draw_foot_set(
    cases: Sequence[FootCase],
    plan: Plan,
    line_width: Length,
    size_pt: float,
    width_mm: float,
    columns: int = 3,
    rule_on: RuleOn | None = None,
) -> FigureDrawing:
    """Pictures of the cases in a grid no wider than `width_mm`, at the largest standard scale that fits.

    ValueError if not even the smallest standard scale fits.
    """
    room = (width_mm - (columns - 1) * GUTTER_MM) / columns
    drawings = _draw_cases(cases, plan, line_width, size_pt, room, rule_on)
    wide = max(drawing.width_mm for drawing in drawings)
    items: list[Item] = []
    y = 0.0
    for start in range(0, len(drawings), columns):
        row = drawings[start : start + columns]
        y -= max(drawing.height_mm for drawing in row)
        high = y + max(drawing.height_mm for drawing in row)
        for number, drawing in enumerate(row):
            x = number * (wide + GUTTER_MM) + (wide - drawing.width_mm) / 2
            items += shift(drawing.items, x, high - drawing.height_mm)
        y -= GUTTER_MM * 0.6
    said = "; ".join(f"{number}, {drawing.shows}" for number, drawing in enumerate(drawings, 1))
    alt = say(
        "{count} pictures of a foot at the batter's box, from above: {shown}.",
        count=len(drawings),
        shown=said,
    )
    return finish_figure(items, drawings[0].scale, alt)


def _draw_cases(
    cases: Sequence[FootCase],
    plan: Plan,
    line_width: Length,
    size_pt: float,
    room_mm: float,
    rule_on: RuleOn | None,
) -> list[FigureDrawing]:
    corner = plan.stations["T4"]
    for scale in SCALES:
        drawings: list[FigureDrawing] = []
        for case in cases:
            middle = (corner.x_mm + to_mm(case.view_in[0]), corner.y_mm + to_mm(case.view_in[1]))
            drawing = draw_foot_case([case.place(plan)], plan, line_width, scale, size_pt, middle, rule_on)
            if drawing.width_mm > room_mm:
                break  # one that is too wide settles it for the scale
            drawings.append(drawing)
        else:
            return drawings
    msg = f"no standard scale makes pictures of feet {room_mm:.0f} mm wide"
    raise ValueError(msg)
