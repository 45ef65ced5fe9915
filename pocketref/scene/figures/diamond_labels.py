"""What the figure of a whole field says: its dimensions, notes and station marks, each where there is room for it."""

from __future__ import annotations

import math
from collections.abc import Collection, Mapping
from dataclasses import dataclass, replace

from pocketref.field.plan import Plan
from pocketref.scene.dimensioning import DimensionLine
from pocketref.scene.field_ground import BASES, Ground
from pocketref.scene.figures.plate_figure import write_label
from pocketref.scene.free_room import FreeRoom, Note, fan_out
from pocketref.scene.inks import BLACK
from pocketref.scene.items import Shape
from pocketref.scene.paths import Point, circle
from pocketref.scene.textfit import leading_mm
from pocketref.units.length import INCHES_PER_FOOT, Length
from pocketref.units.notation import typeset_figures, write_feet_inches, write_mm
from pocketref.words.speech import say

_DOT_MM = 0.45
_LEVEL_MM = (9.5, 11.0, 13.0, -9.5, -11.0, -13.0)
"""Where first to third may run beside the line of the bases."""
SURROUNDINGS = (
    ("backstop-distance", "backstop {length} behind the plate"),
    ("foul-pole-distance", "foul poles {length}"),
    ("centre-field-distance", "centre field {length}"),
    ("plate-circle-diameter", "plate circle Ø {length}"),
    ("base-cutout-radius", "base cut-outs R {length}"),
)
"""What lies outside the drawing or is not drawn, and how it is noted."""


@dataclass(frozen=True, slots=True)
class Drafting:
    """What every part of the figure needs."""

    ground: Ground
    lengths: Mapping[str, Length]
    room: FreeRoom

    @property
    def plan(self) -> Plan:
        """The field's plan."""
        return self.ground.plan

    @property
    def lead_mm(self) -> float:
        """From one line of a note to the next."""
        return leading_mm(self.room.sheet.size_pt)

    def at(self, mark: str) -> Point:
        """The paper place of a station."""
        return self.ground.station(mark)

    def has(self, mark: str) -> bool:
        """Whether the plan has the station."""
        return mark in self.plan.stations

    def figure(self, name: str) -> Length:
        """A figure of the plan."""
        return self.plan.figures[name].length

    def circle(self, name: str) -> tuple[Point, float]:
        """The centre and radius of an arc on paper."""
        found = self.plan.arcs[name]
        return self.ground.view.at(found.x_mm, found.y_mm), found.radius_mm / self.ground.view.scale


def _say(length: Length) -> str:
    """As ground distances are said: whole feet as feet, else as a tape reads."""
    if length.inches % INCHES_PER_FOOT == 0:
        return typeset_figures(write_feet_inches(length))
    return write_label(length)


def _bracket(length: Length) -> str:
    return f"[{write_mm(length)}]"


def _measure(
    start: Point, end: Point, length: Length, offset: float = 0.0, outside: str = ""
) -> DimensionLine:
    is_off = abs(offset) > 0
    return DimensionLine(start, end, _say(length), _bracket(length), offset, outside, extend=is_off)


def _step_from(place: Point, dx: float, dy: float, count: int = 12) -> list[Point]:
    """Places in a row, one step after the other."""
    return [(place[0] + dx * step, place[1] + dy * step) for step in range(count)]


def differing_diagonals(plan: Plan, lengths: Mapping[str, Length]) -> tuple[Length, Length] | None:
    """The published home to second and the square's diagonal, where print tells them apart."""
    exact = plan.figures["square-diagonal"].length
    published = lengths.get("second-base-diagonal", exact)
    return (published, exact) if write_label(published) != write_label(exact) else None


# --- a card --------------------------------------------------------------------------------------------------


def label_card(draft: Drafting) -> None:
    """Base distance, pitching distance and both diagonals, then notes; what has no room is left out.

    Home to second is what the level publishes; if its print differs from the exact figure's, first to third
    carries the exact one.
    """
    at, lengths, room = draft.at, draft.lengths, draft.room
    differing = differing_diagonals(draft.plan, lengths)
    exact = draft.figure("square-diagonal")
    published, across = differing or (lengths.get("second-base-diagonal", exact),) * 2
    base, second = lengths["base-distance"], (at("A"), at("2B"))
    room.place_dimension(
        _measure(at("3B"), at("2B"), base, 4.2), _measure(at("2B"), at("1B"), base, 4.2), must=True
    )
    room.place_dimension(_measure(at("A"), at("PP"), lengths["pitching-distance"]), must=True)
    room.place_dimension(*(_measure(*second, published, offset) for offset in (-6.4, -7.6, -8.8, 6.4, 8.8)))
    level = [_measure(at("3B"), at("1B"), across, offset) for offset in (0.0, *_LEVEL_MM)]
    room.place_dimension(*level, *(replace(each, second="") for each in level))
    _note_arc(draft)
    _note_lane(draft)
    _note_coach_box(draft)
    _note_mound(draft, (-3.4, 9.8), _list_circle(draft)[:1])
    if differing:
        x, y = -at("1B")[0] * 0.5 - 3.6, at("1B")[1] * 0.2
        lines = (say("exact {length}", length=write_label(exact)), say("home to second"))
        room.place_note(
            Note(lines, [*_step_from((x, y), 0.6, -0.8), *_step_from((-x, y), -0.6, -0.8)], ends=True)
        )
    elif draft.has("D3"):
        (x, y), radius = draft.circle("on-deck-3")
        words = (say("on-deck {length}", length=_say(lengths["on-deck-distance"])),)
        room.place_note(Note(words, [(x - radius - 1.0, y)], ends=True))


def _note_mound(draft: Drafting, step: Point, lines: list[str]) -> None:
    """A leader from the mound's or circle's rim to a note that stands `step` from its centre, or elsewhere around."""
    if lines:
        centre, radius = draft.circle("mound" if "mound" in draft.plan.arcs else "pitching-circle")
        best = (centre[0] + step[0], centre[1] + step[1])
        draft.room.place_note(Note(tuple(lines), fan_out(centre, radius, best), (centre, radius)))


def _list_circle(draft: Drafting) -> list[str]:
    """How large the mound or the pitching circle is; nothing where the field has neither."""
    if "mound" in draft.plan.arcs:
        return [f"Ø {_say(draft.lengths['mound-diameter'])}"]
    if "pitching-circle" in draft.plan.arcs:
        return [f"R {_say(draft.lengths['pitching-circle-radius'])}"]
    return []


def _note_arc(draft: Drafting) -> None:
    """The infield arc's radius, written outside it: at the upper right, else farther round."""
    if "infield" not in draft.plan.arcs:
        return
    centre, radius = draft.circle("infield")
    words = (f"R {_say(draft.lengths['infield-arc'])}", _bracket(draft.lengths["infield-arc"]))
    places = [
        (centre[0] + (radius + 2.7) * math.cos(turn), centre[1] + (radius + 2.7) * math.sin(turn))
        for turn in map(math.radians, (40, 32, 24, 48, 55, 140, 148, 125))
    ]
    draft.room.place_note(Note(words, places, (centre, radius)))


def _note_lane(draft: Drafting) -> None:
    if not draft.has("R1"):
        return
    (x2, y2), (x3, y3) = draft.at("R2"), draft.at("R3")
    tip = (x2 + (x3 - x2) * 0.12, y2 + (y3 - y2) * 0.12)
    width, length = _say(draft.lengths["lane-width"]), _say(_lane_length(draft))
    words = (say("lane {width} × {length}", width=width, length=length),)
    draft.room.place_note(Note(words, fan_out(tip, 0.0, (tip[0] + 1.6, tip[1] - 1.8)), (tip, 0.0)))


def _lane_length(draft: Drafting) -> Length:
    """From where the lane starts to the back corner of first base."""
    return draft.lengths["base-distance"] - draft.figure("lane-start")


def _note_coach_box(draft: Drafting) -> None:
    if not draft.has("K7"):
        return
    (x7, y7), (x8, y8) = draft.at("K7"), draft.at("K8")
    tip = (x7 + (x8 - x7) * 0.3, y7 + (y8 - y7) * 0.3)
    size = f"{_say(draft.lengths['coach-box-length'])} × {_say(draft.lengths['coach-box-width'])}"
    best = (-draft.at("1B")[0] * 0.5 - 2.4, tip[1] - draft.lead_mm * 1.9)
    places = [*_step_from(best, -0.8, 0.0, 10), *fan_out(tip, 0.0, best)]
    draft.room.place_note(Note((say("coach’s box"), size), places, (tip, 0.0), ends=True))


# --- a sheet -------------------------------------------------------------------------------------------------


def label_sheet(draft: Drafting, marked: Collection[str]) -> None:
    """Every distance, of the square as it is staked out; then notes, and the marks of these stations."""
    at, lengths, room = draft.at, draft.lengths, draft.room
    base, diagonal = lengths["base-distance"], draft.figure("square-diagonal")
    for start, end in (("3B", "2B"), ("2B", "1B")):
        room.place_dimension(_measure(at(start), at(end), base, 5.0), must=True)
    room.place_dimension(_measure(at("A"), at("PP"), lengths["pitching-distance"]), must=True)
    room.place_dimension(_measure(at("PP"), at("2B"), draft.figure("pitchers-plate-to-second")))
    for ends, offsets in (
        (("A", "2B"), (13.0, 14.5, 11.5, -13.0, 16.0)),
        (("3B", "1B"), (0.0, *_LEVEL_MM)),
    ):
        choices = [_measure(at(ends[0]), at(ends[1]), diagonal, offset) for offset in offsets]
        room.place_dimension(*choices)
    front, reach = at("P2"), (at("P2")[0], at("PP")[1])
    ahead = draft.figure("plate-front-to-pitchers-plate")
    room.place_dimension(*(_measure(front, reach, ahead, offset) for offset in (-9.0, -10.5, -7.5, -12.0)))
    room.place_dimension(_measure(at("A"), at("3B"), base, 5.0))
    _dimension_lane(draft)
    _dimension_coach_box(draft)
    _dimension_on_deck(draft)
    _note_arc(draft)
    is_mound = draft.has("MC")
    mound = [
        say("mound {size}", size=size) if is_mound else say("pitching circle {size}", size=size)
        for size in _list_circle(draft)
    ]
    if is_mound:
        mound += [say("centre {length}", length=write_label(lengths["mound-centre"])), say("from rear tip")]
    _note_mound(draft, (12.0, 18.0), mound)
    _mark_stations(draft, marked)
    _note_edges(draft)


def _dimension_lane(draft: Drafting) -> None:
    at, room = draft.at, draft.room
    if not draft.has("R1"):
        room.place_dimension(_measure(at("A"), at("1B"), draft.lengths["base-distance"], -5.0))
        return
    (x2, y2), (x3, y3) = at("R2"), at("R3")
    wide = math.dist(at("R1"), at("R2"))
    for ends, length in ((("A", "R1"), draft.figure("lane-start")), (("R1", "1B"), _lane_length(draft))):
        offsets = (-wide - 4.4, -wide - 5.6, -wide - 7.0)
        room.place_dimension(*(_measure(at(ends[0]), at(ends[1]), length, offset) for offset in offsets))
    tip = (x2 + (x3 - x2) * 0.2, y2 + (y3 - y2) * 0.2)
    width = draft.lengths["lane-width"]
    words = (say("running lane {width} wide", width=_say(width)), _bracket(width))
    room.place_note(Note(words, fan_out(tip, 0.0, (tip[0] + 9.0, tip[1] - 10.5)), (tip, 0.0)))


def _dimension_coach_box(draft: Drafting) -> None:
    """On the third-base side: how far from the line, how wide, how long."""
    if not draft.has("K5"):
        return
    at, lengths, room = draft.at, draft.lengths, draft.room
    room.place_dimension(
        *(_measure(at("3B"), at("K5"), lengths["coach-box-offset"], -5.0 - n) for n in (0, 1.5, 3))
    )
    ends = ((("K5", "K8"), -1), (("K6", "K7"), 1))  # at the outfield end, else at the other
    room.place_dimension(
        *(
            _measure(at(near), at(far), lengths["coach-box-width"], side * (5.0 + more), outside="end")
            for (near, far), side in ends
            for more in (0, 1.5, 3)
        )
    )
    room.place_dimension(_measure(at("K7"), at("K8"), lengths["coach-box-length"], 4.6))
    (x3, y3), (x4, y4) = at("K3"), at("K4")
    tip = ((x3 + x4) / 2, (y3 + y4) / 2)
    room.place_note(Note((say("coach’s box"),), fan_out(tip, 0.0, (tip[0] + 4.0, tip[1] - 5.0)), (tip, 0.0)))


def _dimension_on_deck(draft: Drafting) -> None:
    if not draft.has("D3"):
        return
    distance = draft.lengths["on-deck-distance"]
    draft.room.place_dimension(
        *(_measure(draft.at("D3"), draft.at("A"), distance, -n) for n in (5.6, 7.0, 8.4))
    )
    centre, radius = draft.circle("on-deck-1")
    diameter = _say(draft.lengths["on-deck-diameter"])
    words = (say("on-deck circle Ø {diameter}", diameter=diameter), say("place as the ground allows"))
    best = (centre[0] + 4.0, centre[1] - 4.0)
    draft.room.place_note(Note(words, fan_out(centre, radius, best), (centre, radius)))


def _note_edges(draft: Drafting) -> None:
    """At the left how large bases and pitcher's plate are; at the upper right what lies beyond the drawing."""
    lengths = draft.lengths
    thick = lengths.get("base-thickness")
    plate = f"{write_label(lengths['pitchers-plate-width'])} × {write_label(lengths['pitchers-plate-depth'])}"
    lines = [say("bases {size} square", size=write_label(lengths["base-size"]))]
    lines += [say("up to {thick} thick", thick=write_label(thick))] if thick else []
    double = lengths.get("double-base-width")
    lines += [say("first base {width} wide", width=write_label(double))] if double else []
    lines += [say("pitcher’s plate {size}", size=plate)]
    lines += [say("both drawn larger"), say("than scale")] if draft.ground.enlarges else []
    differing = differing_diagonals(draft.plan, lengths)
    if differing:
        lines += [say("home to second is"), say("published as {length}", length=write_label(differing[0]))]
    left = draft.ground.view.at(*draft.plan.lines["foul-line-third"].end_mm)[0]
    low = (left, draft.lead_mm * 1.2)
    places = [*_step_from(low, 0.0, -1.0), *_step_from(low, 0.0, 2.0), *_step_from(low, -4.0, 0.0)]
    draft.room.place_note(Note(tuple(lines), places))
    beyond = [say(words, length=_say(lengths[name])) for name, words in SURROUNDINGS if name in lengths]
    top = (-left, max(draft.at("2B")[1], draft.at("1B")[1]) + 14.0)
    if beyond:
        # By home first, which the backstop is measured from; then above the arc.
        by_home = _step_from((-left, draft.lead_mm * 1.2), 0.0, -1.0)
        corner = [*by_home, *_step_from(top, 0.0, 2.0), *_step_from(top, 4.0, 0.0)]
        draft.room.place_note(Note(tuple(beyond), corner, ends=True))


def _mark_stations(draft: Drafting, marked: Collection[str]) -> None:
    """The marks of these stations of the whole field, with a dot where nothing else shows a place."""
    plate = draft.ground.outline("pitchers-plate")
    shown = {mark: draft.at(mark) for mark in (*BASES.values(), "A", "PP")}
    shown |= {"PP1": plate[1], "PP3": plate[0]}
    for name, mark in (("first-base", "1A"), ("third-base", "3A")):
        corners = draft.ground.outline(name)
        shown[mark] = ((corners[0][0] + corners[2][0]) / 2, (corners[0][1] + corners[2][1]) / 2)
    if draft.has("1C"):
        shown["1C"] = draft.ground.outline("first-base-foul-half")[2]
    bare = [mark for mark in draft.plan.stations if mark[0] in "RKD" or mark == "MC"]
    shown |= {mark: draft.at(mark) for mark in bare}
    shown = {mark: place for mark, place in shown.items() if mark in marked}
    draft.room.add(Shape(circle(*draft.at(mark), _DOT_MM), fill=BLACK) for mark in bare if mark in shown)
    middle = (0.0, draft.at("1B")[1])
    # The most crowded first: what stands alone finds room anyway.
    for mark in sorted(shown, key=lambda mark: math.dist(shown[mark], draft.at("PP"))):
        x, y = shown[mark]
        draft.room.place_mark((x, y), mark, math.degrees(math.atan2(y - middle[1], x - middle[0])))
