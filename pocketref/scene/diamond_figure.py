"""The whole field at a glance, dimensioned: for a card, and larger for a field sheet."""

from __future__ import annotations

import math
from collections.abc import Mapping
from dataclasses import dataclass

from pocketref.field.plan import Plan
from pocketref.scene.dimensioning import ARROW_MM, THIN_MM, Dimension, DimensionSheet
from pocketref.scene.field_ground import Ground, draw_arcs, draw_areas, draw_bases, draw_foul_lines
from pocketref.scene.inks import BLACK, GREY_LIGHT
from pocketref.scene.items import Face, Item, Shape, Stroke
from pocketref.scene.paths import Point, arrowhead, extent_of_all, polyline
from pocketref.scene.plan_view import (
    FigureDrawing,
    PlanView,
    draw_pitcher_arrow,
    draw_scale_bar,
    finish_figure,
)
from pocketref.scene.plate_figure import Detail, write_label
from pocketref.scene.textfit import leading_mm
from pocketref.scene.typefaces import set_text
from pocketref.units.length import INCHES_PER_FOOT, Length
from pocketref.units.notation import write_feet_inches, write_tape
from pocketref.units.rounding import round_to_mm

_ROOM_FOR_MOUND_NOTE_MM = 19.0
"""Half a diagonal on paper from which a card has room for the mound's note inside the square."""


@dataclass(frozen=True, slots=True)
class _Drafting:
    """What every part of the figure needs."""

    ground: Ground
    lengths: Mapping[str, Length]
    sheet: DimensionSheet
    detail: Detail

    @property
    def plan(self) -> Plan:
        return self.ground.plan

    def at(self, mark: str) -> Point:
        return self.ground.station(mark)

    def has(self, mark: str) -> bool:
        return mark in self.plan.stations

    def figure(self, name: str) -> Length:
        return self.plan.figures[name].length

    def dimension(
        self,
        start: Point,
        end: Point,
        length: Length,
        offset: float = 0.0,
        shift_share: float = 0.0,
        outside: str = "",
    ) -> None:
        self.sheet.draw_dimension(
            Dimension(
                start,
                end,
                _say(length),
                _bracket(length),
                offset,
                shift_share,
                outside,
                extend=abs(offset) > 0,
            )
        )


def _say(length: Length) -> str:
    """As ground distances are said: whole feet as feet, else as a tape reads."""
    if length.inches % INCHES_PER_FOOT == 0:
        return write_feet_inches(length, style="print")
    return write_label(length)


def _bracket(length: Length) -> str:
    return f"[{int(round_to_mm(length).mm)}]"


def draw_diamond(
    plan: Plan, lengths: Mapping[str, Length], scale: float, size_pt: float, detail: Detail
) -> FigureDrawing:
    """The field at 1:`scale`, home plate at the bottom, dimensioned in type of `size_pt`.

    `plan` is a whole field's plan and `lengths` are the level's own dimensions, so that what is printed is the
    source's value. A card has the distances asked for most; a sheet has every one, and a scale bar.
    """
    ground = Ground(plan, PlanView(scale))
    draft = _Drafting(ground, lengths, DimensionSheet(size_pt), detail)
    items: list[Item] = []
    items += draw_arcs(ground, ("infield", "mound", "on-deck-1", "on-deck-3"))
    if ground.shows_boxes:
        items += draw_areas(ground, ("box-first", "box-third"))
    items += draw_areas(ground, ("lane",), GREY_LIGHT)
    items += draw_areas(ground, ("coach-box-first", "coach-box-third"))
    items += draw_foul_lines(ground)
    if detail == "card":
        _dimension_card(draft)
    else:
        _dimension_sheet(draft)
    items += [item for item in draft.sheet.items if isinstance(item, Shape)]
    items += draw_bases(ground)
    items += [item for item in draft.sheet.items if not isinstance(item, Shape)]
    items += _orient(draft, extent_of_all(items))
    return finish_figure(items, scale, describe_diamond(plan, lengths))


def _diagonals(draft: _Drafting) -> tuple[Length, Length, str]:
    """Home to second, first to third, and a note where print tells the published from the exact diagonal.

    Home to second is what the level publishes; if its print differs from the exact figure's, first to third
    carries the exact one.
    """
    exact = draft.figure("square-diagonal")
    published = draft.lengths.get("second-base-diagonal", exact)
    if write_label(published) == write_label(exact):
        return published, published, ""
    return published, exact, f"exact {write_label(exact)}"


def _dimension_card(draft: _Drafting) -> None:
    """Base distance, both diagonals, pitching distance; notes for mound, arc, lane and coach's box."""
    at, lengths = draft.at, draft.lengths
    home_second, first_third, note = _diagonals(draft)
    draft.dimension(at("3B"), at("2B"), lengths["base-distance"], 4.2, shift_share=0.08)
    draft.dimension(at("A"), at("PP"), lengths["pitching-distance"], shift_share=0.03)
    draft.dimension(at("A"), at("2B"), home_second, -6.4, shift_share=0.29)
    draft.dimension(at("3B"), at("1B"), first_third, shift_share=_find_room_beside_mound(draft))
    has_room = at("1B")[0] > _ROOM_FOR_MOUND_NOTE_MM
    if has_room:
        _note_mound(draft, (-3.2, 7.8))
    _note_arc(draft)
    _note_lower_right(draft)
    _note_lower_left(draft, note, names_mound=not has_room)


def _find_room_beside_mound(draft: _Drafting) -> float:
    """Where first to third is written: midway between third base and the mound, as a share from the middle."""
    right = max(x for x, _ in draft.ground.outline("third-base"))
    mound = draft.plan.arcs.get("mound")
    left = -mound.radius_mm / draft.ground.view.scale if mound else 0.0
    return (right + left) / 2 / (2 * draft.at("1B")[0])


def _note_mound(draft: _Drafting, step: Point) -> None:
    """A leader from the mound's rim to a note that stands `step` from its centre."""
    if "mound" not in draft.plan.arcs:
        return
    found = draft.plan.arcs["mound"]
    x, y = draft.ground.view.at(found.x_mm, found.y_mm)
    knee = (x + step[0], y + step[1])
    words = [f"Ø {_say(draft.lengths['mound-diameter'])}"]
    if draft.detail == "sheet":
        centre = write_label(draft.lengths["mound-centre"])
        words = [f"mound {words[0]}", f"centre {centre}", "from rear tip"]
    draft.sheet.draw_leader(_on_rim((x, y), knee, found.radius_mm / draft.ground.view.scale), knee, words)


def _on_rim(centre: Point, toward: Point, radius: float) -> Point:
    """The point of a circle nearest to a place outside it."""
    dx, dy = toward[0] - centre[0], toward[1] - centre[1]
    share = radius / math.hypot(dx, dy)
    return centre[0] + dx * share, centre[1] + dy * share


def _note_arc(draft: _Drafting) -> None:
    """The infield arc's radius, written outside it at the upper right."""
    if "infield" not in draft.plan.arcs:
        return
    found = draft.plan.arcs["infield"]
    centre = draft.ground.view.at(found.x_mm, found.y_mm)
    radius_mm = found.radius_mm / draft.ground.view.scale
    tip = _on_rim(centre, (centre[0] + 1.0, centre[1] + 0.8), radius_mm)
    radius = draft.lengths["infield-arc"]
    draft.sheet.draw_leader(tip, (tip[0] + 1.6, tip[1] + 2.2), [f"R {_say(radius)}", _bracket(radius)])


def _note_lower_right(draft: _Drafting) -> None:
    """The running lane, and the distance from the front of the plate."""
    sheet, lead = draft.sheet, leading_mm(draft.sheet.size_pt)
    x, y = draft.at("1B")[0] * 0.5 + 5.6, draft.at("1B")[1] * 0.5 - 1.1
    if draft.has("R1"):
        (x2, y2), (x3, y3) = draft.at("R2"), draft.at("R3")
        tip = (x2 + (x3 - x2) * 0.12, y2 + (y3 - y2) * 0.12)
        words = f"lane {_say(draft.lengths['lane-width'])} × {_say(_lane_length(draft))}"
        sheet.draw_leader(tip, (x - 1.8, y), [words])
    front = _say(draft.figure("plate-front-to-pitchers-plate"))
    sheet.write_lines((x, y - lead * 2.15), [front, "plate front to", "pitcher’s plate"])


def _lane_length(draft: _Drafting) -> Length:
    """From where the lane starts to the back corner of first base."""
    return draft.lengths["base-distance"] - draft.figure("lane-start")


def _note_lower_left(draft: _Drafting, note: str, *, names_mound: bool) -> None:
    """The coach's box, then the exact diagonal or the on-deck circle, and the mound if it is not yet named."""
    sheet, lead, lengths = draft.sheet, leading_mm(draft.sheet.size_pt), draft.lengths
    x, y = -draft.at("1B")[0] * 0.5 - 3.6, draft.at("1B")[1] * 0.5 - 0.7
    if draft.has("K7"):
        (x7, y7), (x8, y8) = draft.at("K7"), draft.at("K8")
        tip = (x7 + (x8 - x7) * 0.3, y7 + (y8 - y7) * 0.3)
        knee = (tip[0] - 0.6, y + lead * 0.2)
        sheet.items.append(Shape(polyline([tip, knee]), Stroke(THIN_MM, BLACK)))
        sheet.items.append(Shape(arrowhead(tip, _heading(knee, tip), ARROW_MM), fill=BLACK))
        size = f"{_say(lengths['coach-box-length'])} × {_say(lengths['coach-box-width'])}"
        sheet.write_lines((x, y - lead * 0.85), ["coach’s box", size], "end")
        y -= lead * 2.0
    notes = [note, "home to second"] if note else []
    if names_mound and "mound" in draft.plan.arcs:
        notes += [f"mound Ø {_say(lengths['mound-diameter'])}"]
    if notes:
        aside = 0.0 if draft.has("K7") else 2.2  # nearer the foul line, where no coach's box stands above
        sheet.write_lines((x + aside, y - lead * len(notes) / 2), notes, "end")
    elif draft.has("D3"):
        x3, y3 = draft.at("D3")
        radius = draft.plan.arcs["on-deck-3"].radius_mm / draft.ground.view.scale
        words = f"on-deck {_say(lengths['on-deck-distance'])}"
        sheet.write_lines((x3 - radius - 1.0, y3), [words], "end")


def _heading(start: Point, end: Point) -> float:
    return math.degrees(math.atan2(end[1] - start[1], end[0] - start[0]))


def _dimension_sheet(draft: _Drafting) -> None:
    """Every distance of the square and the centre line, then lane, coach's box, on-deck circle and notes."""
    at, lengths = draft.at, draft.lengths
    home_second, first_third, note = _diagonals(draft)
    for start, end in (("3B", "2B"), ("2B", "1B")):
        draft.dimension(at(start), at(end), lengths["base-distance"], 5.0)
    draft.dimension(at("A"), at("3B"), lengths["base-distance"], 5.0)
    draft.dimension(at("A"), at("PP"), lengths["pitching-distance"], shift_share=0.04)
    draft.dimension(at("PP"), at("2B"), draft.figure("pitchers-plate-to-second"), shift_share=0.06)
    draft.dimension(at("A"), at("2B"), home_second, 13.0, shift_share=0.18)
    draft.dimension(at("3B"), at("1B"), first_third, shift_share=0.28)
    front = (at("P2")[0], at("P2")[1])
    draft.dimension(
        front, (front[0], at("PP")[1]), draft.figure("plate-front-to-pitchers-plate"), -9.0, shift_share=0.12
    )
    _dimension_lane(draft)
    _dimension_coach_box(draft)
    _dimension_on_deck(draft)
    _note_mound(draft, (10.0, 15.0))
    _note_arc(draft)
    _note_bases(draft, note)


def _dimension_lane(draft: _Drafting) -> None:
    if not draft.has("R1"):
        draft.dimension(draft.at("A"), draft.at("1B"), draft.lengths["base-distance"], -5.0)
        return
    at = draft.at
    (x1, y1), (x2, y2), (x3, y3) = at("R1"), at("R2"), at("R3")
    offset = -math.hypot(x2 - x1, y2 - y1) - 4.4
    draft.dimension(at("A"), at("R1"), draft.figure("lane-start"), offset)
    draft.dimension(at("R1"), at("1B"), _lane_length(draft), offset)
    tip = (x2 + (x3 - x2) * 0.2, y2 + (y3 - y2) * 0.2)
    width = draft.lengths["lane-width"]
    knee = (tip[0] + 9.0, tip[1] - 10.5)
    draft.sheet.draw_leader(tip, knee, [f"running lane {_say(width)} wide", _bracket(width)])


def _dimension_coach_box(draft: _Drafting) -> None:
    """On the third-base side: how far from the line, how wide, how long."""
    if not draft.has("K5"):
        return
    at, lengths = draft.at, draft.lengths
    draft.dimension(at("3B"), at("K5"), lengths["coach-box-offset"], -5.0)
    draft.dimension(at("K5"), at("K8"), lengths["coach-box-width"], -5.0, outside="end")
    draft.dimension(at("K7"), at("K8"), lengths["coach-box-length"], 4.6)
    (x1, y1), (x2, y2) = at("K3"), at("K4")
    drop = leading_mm(draft.sheet.size_pt) * 0.8
    place = (x1 + (x2 - x1) * 0.97 + drop, y1 + (y2 - y1) * 0.97 - drop)
    words = set_text(*place, "coach’s box", draft.sheet.face, draft.sheet.size_pt, BLACK, "end", 45.0)
    draft.sheet.items.append(words)


def _dimension_on_deck(draft: _Drafting) -> None:
    if not draft.has("D3"):
        return
    below = 5.6
    draft.dimension(draft.at("D3"), draft.at("A"), draft.lengths["on-deck-distance"], -below)
    found = draft.plan.arcs["on-deck-1"]
    x, y = draft.at("D1")
    knee = (x + 4.0, y - 4.0)
    tip = _on_rim((x, y), knee, found.radius_mm / draft.ground.view.scale)
    words = [f"on-deck circle Ø {_say(draft.lengths['on-deck-diameter'])}", "place as the ground allows"]
    draft.sheet.draw_leader(tip, knee, words)


def _note_bases(draft: _Drafting, note: str) -> None:
    """How large bases and pitcher's plate are, and what is drawn larger than the scale."""
    lengths = draft.lengths
    size = write_label(lengths["base-size"])
    plate = f"{write_label(lengths['pitchers-plate-width'])} × {write_label(lengths['pitchers-plate-depth'])}"
    lines = [f"bases {size} square", f"pitcher’s plate {plate}"]
    if draft.ground.enlarges:
        lines += ["both drawn larger", "than scale"]
    if note:
        lines += ["home to second:", note]
    left = draft.ground.view.at(*draft.plan.lines["foul-line-third"].end_mm)[0]
    draft.sheet.write_lines((left, leading_mm(draft.sheet.size_pt) * 1.2), lines)


def _orient(draft: _Drafting, extent: tuple[float, float, float, float]) -> list[Item]:
    """The arrow to the pitcher at the upper left, and on a sheet the scale bar at the lower left."""
    size = draft.sheet.size_pt
    left, bottom, right, top = extent
    if draft.detail == "card":
        arrow = draw_pitcher_arrow((min(left + 1.2, -30.8), top - 0.6), 6.5, size, beside=True)
        if not draft.ground.enlarges:
            return arrow
        note = set_text(right, top - 2.0, "bases enlarged", Face.ITALIC, size, BLACK, "end")
        return [*arrow, note]
    bar = draw_scale_bar(left, bottom - 6.0, draft.ground.view.scale, 60, size, 10)
    return [*draw_pitcher_arrow((left + 3.0, top - 4.0), 8.0, size, beside=True), *bar]


def describe_diamond(plan: Plan, lengths: Mapping[str, Length]) -> str:
    """The figure in words, for who cannot see it."""
    say = {name: write_feet_inches(length) for name, length in lengths.items()}
    figures = {name: write_feet_inches(figure.length) for name, figure in plan.figures.items()}
    diagonal = say.get("second-base-diagonal", figures["square-diagonal"])
    exact = figures["square-diagonal"]
    bases = (
        f"Plan of the whole field, home plate at the bottom. Bases {write_tape(lengths['base-size'])} square are "
        f"{say['base-distance']} apart, measured to the back corners of first and third and to the centre of "
        f"second. Home to the centre of second is {diagonal}"
    )
    tells = (
        f"; the square's exact diagonal is {exact}." if diagonal != exact else ", and so is first to third."
    )
    pitching = (
        f"The front of the pitcher's plate is {say['pitching-distance']} from the plate's rear tip and "
        f"{figures['plate-front-to-pitchers-plate']} from its front."
    )
    more = (
        ("mound", "mound-diameter", "The mound is a circle {} across."),
        ("infield", "infield-arc", "The infield arc has a radius of {}."),
    )
    return " ".join(
        [bases + tells, pitching, *(text.format(say[key]) for arc, key, text in more if arc in plan.arcs)]
    )
