"""The errors that crews make when they lay out the plate area, as moves of its stations.

Which errors, and how large, is our own list: each is one slip with its usual size, and all count alike.
"""

from __future__ import annotations

import math
from collections.abc import Iterator, Mapping
from dataclasses import dataclass

from pocketref.field.dimensions import PlateDimensions, read_plate_dimensions
from pocketref.field.plan import Plan, PointMm, to_mm
from pocketref.units.length import INCH_MM, Length

SLIP_IN = 2
"""A box shifted, or its gap to the plate wrong."""
SIZE_SLIP_IN = 3
"""A box too long or too wide."""
TURN_DEG = 1.0

_SIDES = (("F", 1, "first-base-side box"), ("T", -1, "third-base-side box"))
_WAYS = (1, -1)


@dataclass(frozen=True, slots=True)
class CrewError:
    """One error: what went wrong, and how it moves each station that it moves, in mm."""

    name: str
    moves: Mapping[str, PointMm]


def list_crew_errors(plan: Plan, dimensions: Mapping[str, Length]) -> tuple[CrewError, ...]:
    """Every error of the list that the plan of a plate area can have, in a fixed order."""
    plate = read_plate_dimensions(dimensions)
    errors = [error for side in _SIDES for error in _spoil_box(plan, *side)]
    errors += _spoil_boxes(plan, plate)
    errors += _spoil_foul_lines()
    if "C1" in plan.stations:
        errors += _spoil_catchers_box()
    return tuple(errors)


def _spoil_box(plan: Plan, letter: str, sign: int, name: str) -> Iterator[CrewError]:
    marks = [f"{letter}{number}" for number in (1, 2, 3, 4)]
    inner_back, outer_back, outer_front, inner_front = marks
    slip, size = SLIP_IN * INCH_MM, SIZE_SLIP_IN * INCH_MM
    for way, words in zip(_WAYS, ("toward the pitcher", "toward the backstop"), strict=True):
        yield CrewError(f"{name} {SLIP_IN} in {words}", dict.fromkeys(marks, (0.0, way * slip)))
    for way, words in zip(_WAYS, ("away from the plate", "toward the plate"), strict=True):
        yield CrewError(f"{name} {SLIP_IN} in {words}", dict.fromkeys(marks, (way * sign * slip, 0.0)))
    centre = _find_centre(plan, marks)
    for way in _WAYS:
        turned = {mark: _turn(plan, mark, centre, way * TURN_DEG) for mark in marks}
        yield CrewError(f"{name} turned {way * TURN_DEG:+g}°", turned)
    for way, words in zip(_WAYS, ("long", "short"), strict=True):
        front = dict.fromkeys((inner_front, outer_front), (0.0, way * size))
        yield CrewError(f"{name} {SIZE_SLIP_IN} in too {words} in front", front)
        back = dict.fromkeys((inner_back, outer_back), (0.0, -way * size))
        yield CrewError(f"{name} {SIZE_SLIP_IN} in too {words} behind", back)
    for way, words in zip(_WAYS, ("wide", "narrow"), strict=True):
        outer = dict.fromkeys((outer_back, outer_front), (way * sign * size, 0.0))
        yield CrewError(f"{name} {SIZE_SLIP_IN} in too {words}", outer)
    for way, words in zip(_WAYS, ("far from", "near"), strict=True):
        inner = dict.fromkeys((inner_back, inner_front), (way * sign * slip, 0.0))
        yield CrewError(f"inner line of the {name} {SLIP_IN} in too {words} the plate", inner)


def _spoil_boxes(plan: Plan, plate: PlateDimensions) -> Iterator[CrewError]:
    """Both boxes wrong in the same way."""
    marks = [f"{letter}{number}" for letter, _, _ in _SIDES for number in (1, 2, 3, 4)]
    slip, half = SLIP_IN * INCH_MM, to_mm(plate.half_plate)
    yield CrewError("both boxes centred on the plate's tip", dict.fromkeys(marks, (0.0, -half)))
    yield CrewError("both boxes centred on the plate's front edge", dict.fromkeys(marks, (0.0, half)))
    for way, words in zip(_WAYS, ("toward the pitcher", "toward the backstop"), strict=True):
        yield CrewError(f"both boxes {SLIP_IN} in {words}", dict.fromkeys(marks, (0.0, way * slip)))
    for way, words in zip(_WAYS, ("first", "third"), strict=True):
        yield CrewError(f"both boxes {SLIP_IN} in toward {words}", dict.fromkeys(marks, (way * slip, 0.0)))
    for way in _WAYS:
        turned = {mark: _turn(plan, mark, (0.0, half), way * TURN_DEG) for mark in marks}
        yield CrewError(f"both boxes turned {way * TURN_DEG:+g}° about the plate", turned)
    width = to_mm(plate.line_width)
    yield CrewError("both boxes measured to the inside of their lines", _grow(width))


def _grow(by_mm: float) -> dict[str, PointMm]:
    """Both boxes larger by so much on every side."""
    corners = ((1, -1, -1), (2, 1, -1), (3, 1, 1), (4, -1, 1))
    return {
        f"{letter}{number}": (sign * out * by_mm, ahead * by_mm)
        for letter, sign, _ in _SIDES
        for number, out, ahead in corners
    }


def _spoil_foul_lines() -> Iterator[CrewError]:
    for mark, name in (("L1", "first-base foul line"), ("L3", "third-base foul line")):
        for way, words in zip(_WAYS, ("first", "third"), strict=True):
            yield CrewError(
                f"{name} starts {SLIP_IN} in toward {words}", {mark: (way * SLIP_IN * INCH_MM, 0.0)}
            )


def _spoil_catchers_box() -> Iterator[CrewError]:
    marks = ("C1", "C2", "C3", "C4")
    slip, half_size = SLIP_IN * INCH_MM, SIZE_SLIP_IN * INCH_MM / 2
    for way, words in zip(_WAYS, ("first", "third"), strict=True):
        yield CrewError(f"catcher's box {SLIP_IN} in toward {words}", dict.fromkeys(marks, (way * slip, 0.0)))
    for way, words in zip(_WAYS, ("wide", "narrow"), strict=True):
        wider = {mark: (way * half_size * (1 if mark in ("C1", "C2") else -1), 0.0) for mark in marks}
        yield CrewError(f"catcher's box {SIZE_SLIP_IN} in too {words}", wider)
    for way, words in zip(_WAYS, ("deep", "shallow"), strict=True):
        deeper = dict.fromkeys(("C1", "C3"), (0.0, -2 * way * half_size))
        yield CrewError(f"catcher's box {SIZE_SLIP_IN} in too {words}", deeper)


def _find_centre(plan: Plan, marks: list[str]) -> PointMm:
    points = [(plan.stations[mark].x_mm, plan.stations[mark].y_mm) for mark in marks]
    return sum(x for x, _ in points) / len(points), sum(y for _, y in points) / len(points)


def _turn(plan: Plan, mark: str, centre: PointMm, degrees: float) -> PointMm:
    """How a station moves when its shape turns, counter-clockwise."""
    x, y = plan.stations[mark].x_mm - centre[0], plan.stations[mark].y_mm - centre[1]
    cos, sin = math.cos(math.radians(degrees)), math.sin(math.radians(degrees))
    return x * cos - y * sin - x, x * sin + y * cos - y
