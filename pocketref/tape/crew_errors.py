"""The errors that crews make when they lay out the plate area, as moves of its stations.

Which errors, and how large, is our own list: each is one slip with its usual size, and all count alike.
"""

from __future__ import annotations

import math
from collections.abc import Iterable, Mapping
from dataclasses import dataclass

from pocketref.field.dimensions import PlateDimensions, read_plate_dimensions
from pocketref.field.plan import Plan, PointMm, to_mm
from pocketref.units.length import INCH_MM, Length

SLIP_IN = 2
"""A box shifted, or its gap to the plate wrong."""
SIZE_SLIP_IN = 3
"""A box too long or too wide."""
TURN_DEG = 1.0

_SLIP_MM, _SIZE_SLIP_MM = SLIP_IN * INCH_MM, SIZE_SLIP_IN * INCH_MM
_SIDES = (("F", 1, "first-base-side box"), ("T", -1, "third-base-side box"))
_ALONG = ("toward the pitcher", "toward the backstop")
_ACROSS = ("first", "third")


@dataclass(frozen=True, slots=True)
class CrewError:
    """One error: what went wrong, and how it moves each station that it moves, in mm."""

    name: str
    moves: Mapping[str, PointMm]


def list_crew_errors(plan: Plan, dimensions: Mapping[str, Length]) -> tuple[CrewError, ...]:
    """Every error of the list that the plan of a plate area can have, in a fixed order."""
    errors = [error for side in _SIDES for error in _spoil_box(plan, *side)]
    errors += _spoil_boxes(plan, read_plate_dimensions(dimensions))
    for mark, name in (("L1", "first-base foul line"), ("L3", "third-base foul line")):
        errors += _spoil(f"{name} starts {SLIP_IN} in toward {{}}", _ACROSS, {mark: (_SLIP_MM, 0.0)})
    return (*errors, *(_spoil_catchers_box() if "C1" in plan.stations else ()))


def _spoil(name: str, words: tuple[str, str], moves: Mapping[str, PointMm]) -> list[CrewError]:
    """The same moves one way and the other, each named with its word in the place of {}."""
    return [
        CrewError(name.format(word), {mark: (way * x, way * y) for mark, (x, y) in moves.items()})
        for way, word in zip((1, -1), words, strict=True)
    ]


def _turn(plan: Plan, name: str, marks: Iterable[str], centre: PointMm) -> list[CrewError]:
    """Stations turned about a point, counter-clockwise and clockwise."""
    errors = []
    for degrees in (TURN_DEG, -TURN_DEG):
        cos, sin = math.cos(math.radians(degrees)), math.sin(math.radians(degrees))
        moves = {}
        for mark in marks:
            x, y = plan.stations[mark].x_mm - centre[0], plan.stations[mark].y_mm - centre[1]
            moves[mark] = (x * cos - y * sin - x, x * sin + y * cos - y)
        errors.append(CrewError(name.format(f"{degrees:+g}"), moves))
    return errors


def _spoil_box(plan: Plan, letter: str, sign: int, name: str) -> list[CrewError]:
    marks = [f"{letter}{number}" for number in (1, 2, 3, 4)]
    inner_back, outer_back, outer_front, inner_front = marks
    points = [(plan.stations[mark].x_mm, plan.stations[mark].y_mm) for mark in marks]
    centre = sum(x for x, _ in points) / 4, sum(y for _, y in points) / 4
    size, too, out = f"{name} {SIZE_SLIP_IN} in too {{}}", ("long", "short"), sign * _SIZE_SLIP_MM
    front = dict.fromkeys((inner_front, outer_front), (0.0, _SIZE_SLIP_MM))
    back = dict.fromkeys((inner_back, outer_back), (0.0, -_SIZE_SLIP_MM))
    lengths = zip(_spoil(f"{size} in front", too, front), _spoil(f"{size} behind", too, back), strict=True)
    aside = (sign * _SLIP_MM, 0.0)
    inner_line = f"inner line of the {name} {SLIP_IN} in too {{}} the plate"
    return [
        *_spoil(f"{name} {SLIP_IN} in {{}}", _ALONG, dict.fromkeys(marks, (0.0, _SLIP_MM))),
        *_spoil(f"{name} {SLIP_IN} in {{}} the plate", ("away from", "toward"), dict.fromkeys(marks, aside)),
        *_turn(plan, f"{name} turned {{}}°", marks, centre),
        *(error for pair in lengths for error in pair),
        *_spoil(size, ("wide", "narrow"), dict.fromkeys((outer_back, outer_front), (out, 0.0))),
        *_spoil(inner_line, ("far from", "near"), dict.fromkeys((inner_back, inner_front), aside)),
    ]


def _spoil_boxes(plan: Plan, plate: PlateDimensions) -> list[CrewError]:
    """Both boxes wrong in the same way."""
    marks = [f"{letter}{number}" for letter, _, _ in _SIDES for number in (1, 2, 3, 4)]
    half, width = to_mm(plate.half_plate), to_mm(plate.line_width)
    corners = ((1, -1, -1), (2, 1, -1), (3, 1, 1), (4, -1, 1))
    larger = {
        f"{s}{n}": (sign * out * width, ahead * width) for s, sign, _ in _SIDES for n, out, ahead in corners
    }
    centred = "both boxes centred on the plate's {}"
    return [
        *_spoil(centred, ("tip", "front edge"), dict.fromkeys(marks, (0.0, -half))),
        *_spoil(f"both boxes {SLIP_IN} in {{}}", _ALONG, dict.fromkeys(marks, (0.0, _SLIP_MM))),
        *_spoil(f"both boxes {SLIP_IN} in toward {{}}", _ACROSS, dict.fromkeys(marks, (_SLIP_MM, 0.0))),
        *_turn(plan, "both boxes turned {}° about the plate", marks, (0.0, half)),
        CrewError("both boxes measured to the inside of their lines", larger),
    ]


def _spoil_catchers_box() -> list[CrewError]:
    marks, half = ("C1", "C2", "C3", "C4"), _SIZE_SLIP_MM / 2
    wider = {mark: (half if mark in ("C1", "C2") else -half, 0.0) for mark in marks}
    size = f"catcher's box {SIZE_SLIP_IN} in too {{}}"
    return [
        *_spoil(f"catcher's box {SLIP_IN} in toward {{}}", _ACROSS, dict.fromkeys(marks, (_SLIP_MM, 0.0))),
        *_spoil(size, ("wide", "narrow"), wider),
        *_spoil(size, ("deep", "shallow"), dict.fromkeys(("C1", "C3"), (0.0, -_SIZE_SLIP_MM))),
    ]
