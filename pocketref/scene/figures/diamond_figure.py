"""The whole field at a glance, dimensioned: for a card, and larger for a field sheet."""

from __future__ import annotations

from collections.abc import Mapping

from pocketref.field.plan import Plan
from pocketref.scene.dimensioning import DimensionSheet
from pocketref.scene.field_ground import Ground, draw_arcs, draw_areas, draw_bases, draw_foul_lines
from pocketref.scene.figures.diamond_labels import Drafting, differing_diagonals, label_card, label_sheet
from pocketref.scene.figures.plate_figure import Detail
from pocketref.scene.free_room import FreeRoom, Note
from pocketref.scene.inks import GREY_LIGHT
from pocketref.scene.items import FontFace, Item, Shape
from pocketref.scene.paths import extent_of_all
from pocketref.scene.plan_view import (
    FigureDrawing,
    PlanView,
    draw_pitcher_arrow,
    draw_scale_bar,
    finish_figure,
)
from pocketref.units.length import Length
from pocketref.units.notation import write_feet_inches, write_tape
from pocketref.words.speech import cache_words, say


def draw_diamond(
    plan: Plan,
    lengths: Mapping[str, Length],
    scale: float,
    size_pt: float,
    detail: Detail,
    marked: frozenset[str] | None = None,
) -> FigureDrawing:
    """The field at 1:`scale`, home plate at the bottom, dimensioned in type of `size_pt`.

    `plan` is a whole field's plan and `lengths` are the level's own dimensions, so that what is printed is the
    source's value. A card has the distances asked for most, as far as there is room; a sheet has every one, the marks
    of the stations (of those `marked`, if given) and a scale bar.
    """
    return _draw(plan, tuple(lengths.items()), scale, size_pt, detail, marked)


@cache_words(32)  # several sheets of an edition show the same field
def _draw(
    plan: Plan,
    named: tuple[tuple[str, Length], ...],
    scale: float,
    size_pt: float,
    detail: Detail,
    marked: frozenset[str] | None,
) -> FigureDrawing:
    lengths = dict(named)
    ground = Ground(plan, PlanView(scale))
    under = draw_arcs(ground, ("infield", "mound", "pitching-circle", "on-deck-1", "on-deck-3"))
    if ground.shows_boxes:
        under += draw_areas(ground, ("box-first", "box-third"))
    under += draw_areas(ground, ("lane",), GREY_LIGHT)
    under += draw_areas(ground, ("coach-box-first", "coach-box-third"))
    under += draw_foul_lines(ground)
    bases = draw_bases(ground)
    draft = Drafting(ground, lengths, FreeRoom(DimensionSheet(size_pt)))
    draft.room.block([*under, *bases])
    _point_to_pitcher(draft, [*under, *bases], detail)
    if detail == "card":
        label_card(draft)
    else:
        label_sheet(draft, plan.stations if marked is None else marked)
    _write_scale(draft, [*under, *bases], detail)
    placed = draft.room.items
    items = [*under, *(item for item in placed if isinstance(item, Shape))]
    items += [*bases, *(item for item in placed if not isinstance(item, Shape))]
    return finish_figure(items, scale, write_diamond(plan, lengths))


def _point_to_pitcher(draft: Drafting, ground: list[Item], detail: Detail) -> None:
    """The arrow to the pitcher at the upper left, as far out as it must be."""
    left, _, _, top = extent_of_all(ground)
    inset, drop, length = (1.2, 0.6, 6.5) if detail == "card" else (3.0, 4.0, 8.0)
    for step in range(16):
        tip = (left + inset - 1.5 * step, top - drop)
        arrow = draw_pitcher_arrow(tip, length, draft.room.sheet.size_pt, beside=True)
        if draft.room.is_open(extent_of_all(arrow)):
            break
    draft.room.add(arrow)


def _write_scale(draft: Drafting, ground: list[Item], detail: Detail) -> None:
    """On a sheet the scale bar at the lower left; on a card whether bases are drawn larger than the scale."""
    size = draft.room.sheet.size_pt
    left, bottom, right, top = extent_of_all([*ground, *draft.room.items])
    if detail == "sheet":
        draft.room.add(draw_scale_bar(left, bottom - 6.0, draft.ground.view.scale, 60, size, 10))
    elif draft.ground.enlarges:
        level = draft.lead_mm / 2
        places = [(right, top - level), (right, bottom + level), (right, bottom - draft.lead_mm)]
        draft.room.place_note(Note((say("bases enlarged"),), places, ends=True, face=FontFace.ITALIC))


def write_diamond(plan: Plan, lengths: Mapping[str, Length]) -> str:
    """The figure in words, for who cannot see it."""
    given = {name: write_feet_inches(length) for name, length in lengths.items()}
    figures = {name: write_feet_inches(figure.length) for name, figure in plan.figures.items()}
    exact = figures["square-diagonal"]
    published = given["second-base-diagonal"] if differing_diagonals(plan, lengths) else exact
    bases = say(
        "Plan of the whole field, home plate at the bottom. Bases {base} square are {distance} apart, measured to the "
        "back corners of first and third and to the centre of second.",
        base=write_tape(lengths["base-size"]),
        distance=given["base-distance"],
    )
    if published == exact:
        second = say(
            "Home to the centre of second is {diagonal}, and so is first to third.", diagonal=published
        )
    else:
        second = say(
            "Home to the centre of second is {diagonal}; the square's exact diagonal is {exact}.",
            diagonal=published,
            exact=exact,
        )
    pitching = say(
        "The front of the pitcher's plate is {tip} from the plate's rear tip and {front} from its front.",
        tip=given["pitching-distance"],
        front=figures["plate-front-to-pitchers-plate"],
    )
    shown = {**plan.areas, **plan.arcs}
    more = [say(words, length=given[key]) for name, (key, words) in PARTS.items() if name in shown]
    return " ".join((bases, second, pitching, *more))


PARTS = {
    "first-base-foul-half": (
        "double-base-width",
        "First base is double, {length} wide, its coloured half in foul ground.",
    ),
    "mound": ("mound-diameter", "The mound is a circle {length} across."),
    "pitching-circle": ("pitching-circle-radius", "The pitching circle has a radius of {length}."),
    "infield": ("infield-arc", "The infield arc has a radius of {length}."),
}
"""What not every field has, by its name on the plan: its dimension, and what is said of it."""
