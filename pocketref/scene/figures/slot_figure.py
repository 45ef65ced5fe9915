"""The slot from above: where the plate umpire looks in, between the batter and the catcher."""

from __future__ import annotations

from shapely import Point as Place
from shapely import affinity, box

from pocketref.field.feet import FootPlacement
from pocketref.field.plan import Plan, to_mm
from pocketref.scene.dimensioning import DimensionSheet
from pocketref.scene.figures.position_figure import draw_umpire
from pocketref.scene.figures.shoe_marks import draw_ground, draw_shoe, fill_shape
from pocketref.scene.inks import BLACK, GREY_LIGHT, WHITE
from pocketref.scene.items import Item, Shape, Stroke
from pocketref.scene.paths import extent_of_all, polyline
from pocketref.scene.plan_view import FigureDrawing, PlanView, draw_pitcher_arrow, finish_figure
from pocketref.words.speech import say

# Places in inches from the apex, for a right-handed batter: our own figures of an ordinary stance.
_BATTER_FEET = ((-24.0, 20.0, 4.0, "left"), (-25.0, -4.0, -4.0, "right"))
_CATCHER_IN = (2.0, -34.0)
_UMPIRE_BACK_IN = -62.0
_SLOT_FEET = ((-9.0, 3.0, 80.0, "left"), (7.0, -8.8, 78.0, "right"))  # from the umpire's head
_SIGHT = Stroke(0.25, BLACK, (2.4, 0.8))


def draw_slot(plan: Plan, scale: float, size_pt: float) -> FigureDrawing:
    """The plate area at 1:`scale` with a right-handed batter's feet, the catcher and the plate umpire.

    The umpire's head is over the plate's edge on the batter's side, the feet heel to toe: the toe of the rear
    foot level with the heel of the other.
    """
    view, line_mm = PlanView(scale), plan.lines["box-third-inner"].width_mm
    edge = plan.stations["P3"].x_mm  # the plate's side nearest the batter
    head = (edge, to_mm(_UMPIRE_BACK_IN))
    window = box(plan.stations["T2"].x_mm - 1, head[1] - to_mm(20), to_mm(15.5), plan.stations["T3"].y_mm + 1)
    items: list[Item] = draw_ground(view, plan, line_mm, window, ("box-third",))
    for x, y, heading, side in _BATTER_FEET:
        items += draw_shoe(view, FootPlacement(to_mm(x), to_mm(y), heading, "flat", side))  # type: ignore[arg-type]
    items += _draw_person(view, (to_mm(_CATCHER_IN[0]), to_mm(_CATCHER_IN[1])))
    for x, y, heading, side in _SLOT_FEET:
        foot = FootPlacement(head[0] + to_mm(x), head[1] + to_mm(y), heading, "flat", side)  # type: ignore[arg-type]
        items += draw_shoe(view, foot)
    front = plan.stations["P3"].y_mm
    items.append(Shape(polyline(view.points(((edge, head[1]), (edge, front + to_mm(14))))), _SIGHT))
    items += draw_umpire(view.at(*head), "P", size_pt)
    items += _write_notes(view, head, size_pt)
    top = extent_of_all(items)[3]
    items += draw_pitcher_arrow((view.at(to_mm(8), 0)[0], top - 0.5), 6.5, size_pt, beside=True)
    alt = say(
        "The slot from above, right-handed batter: the plate umpire stands behind the catcher, between catcher and "
        "batter, head over the plate's edge on the batter's side, eyes no lower than the top of the catcher's "
        "helmet, feet heel to toe, and sees the plate and the batter's feet."
    )
    return finish_figure(items, scale, alt)


def _draw_person(view: PlanView, place: tuple[float, float]) -> list[Item]:
    """Shoulders and head from above."""
    pen = Stroke(0.35, BLACK)
    shoulders = affinity.scale(Place(*place).buffer(1.0), 240.0, 130.0)
    head = Place(place[0], place[1] + 30.0).buffer(105.0)
    return [*fill_shape(view, shoulders, GREY_LIGHT, pen), *fill_shape(view, head, WHITE, pen)]


def _write_notes(view: PlanView, head: tuple[float, float], size_pt: float) -> list[Item]:
    """Leaders from what matters to words on the clear side."""
    sheet = DimensionSheet(size_pt)
    x = view.at(to_mm(14), 0)[0]
    catcher = view.at(to_mm(_CATCHER_IN[0]) + 240.0, to_mm(_CATCHER_IN[1]))
    sheet.draw_leader(catcher, (x, catcher[1] + 2.0), [say("catcher")])
    sight = view.at(head[0], to_mm(-16.0))
    sheet.draw_leader(sight, (x, sight[1] + 1.0), say("head over|the inside edge").split("|"), "dot")
    foot = view.at(head[0] + to_mm(9.6), head[1] + to_mm(-5.0))
    sheet.draw_leader(
        foot, (x, foot[1] + 1.0), say("feet heel to toe,|eyes no lower than|catcher’s helmet top").split("|")
    )
    # Between the feet, and clear of the box's inner line that they stand close to.
    xs, ys = zip(*(view.at(to_mm(foot[0]), to_mm(foot[1])) for foot in _BATTER_FEET), strict=True)
    sheet.write_lines((min(xs) - 1.0, sum(ys) / len(ys)), [say("batter")], "end")
    return sheet.items
