"""How a plan is staked out: what is set first, and the two pins that each later station is taped from.

Two pulls locate a station where their arcs cross. Each tape is taken as off by its tolerance, independently;
the errors propagate to an error ellipse, whose semi-major axis is the predicted error. Arcs that cross squarely and
short tapes make it small; arcs that graze make it grow without bound.
"""

from __future__ import annotations

import itertools
import math
from collections.abc import Iterable, Sequence
from dataclasses import dataclass
from typing import Literal

from pocketref.field.plan import Plan, Station
from pocketref.field.pulls import Pull, measure_pull
from pocketref.problems import PocketrefError, Problem, suggest_match
from pocketref.tape.error_budget import find_tape_tolerance
from pocketref.tape.readings import PLATE_MARKS

GRAZING_DEG = 5.0
"""Arcs that cross at less than this are no fix at all: our own figure."""


@dataclass(frozen=True, slots=True)
class StakeoutPoint:
    """A station and the two pulls to set it by.

    `crossing_deg` is the angle between the pulls, 0 to 90, best at 90. `error_mm` is the predicted error in
    the worst direction. The arcs cross twice; `side` says which crossing is meant, looking from the first
    pull's pin to the second's.
    """

    station: str
    pulls: tuple[Pull, Pull]
    crossing_deg: float
    error_mm: float
    side: Literal["left", "right"]


def best_pulls(plan: Plan, pins: Iterable[Station], station: str) -> StakeoutPoint:
    """The two pins to set a station from, by the smallest predicted error; of equal pairs the first given.

    Pins may be stations of the plan or points of the ground's own, in the plan's frame. Raises PocketrefError
    if the station is unknown or no two pins fix it.
    """
    if station not in plan.stations:
        hint = suggest_match(station, plan.stations)
        raise PocketrefError([Problem("station-unknown", f"the plan has no station '{station}'", hint)])
    target = plan.stations[station]
    usable = [pin for pin in pins if (pin.x_mm, pin.y_mm) != (target.x_mm, target.y_mm)]
    turns = {pair: _find_turn(target, *pair) for pair in itertools.combinations(usable, 2)}
    crossing = {pair: turn for pair, turn in turns.items() if _find_crossing_deg(turn) >= GRAZING_DEG}
    if not crossing:
        sentence = f"no two pins fix station '{station}'"
        hint = "add a pin off the line through the station and the other pins"
        raise PocketrefError([Problem("stakeout-no-fix", sentence, hint)])
    found = [_fix_station(target, *pair, turn) for pair, turn in crossing.items()]
    # Rounded, so that pairs that are equal by symmetry are equal here too.
    return min(found, key=lambda point: round(point.error_mm, 9))


def _find_turn(target: Station, first: Station, second: Station) -> float:
    """From the first pin's bearing to the second's, radians."""
    bearings = [math.atan2(target.y_mm - pin.y_mm, target.x_mm - pin.x_mm) for pin in (first, second)]
    return bearings[1] - bearings[0]


def _find_crossing_deg(turn: float) -> float:
    return math.degrees(math.asin(min(1.0, abs(math.sin(turn)))))


def _fix_station(target: Station, first: Station, second: Station, turn: float) -> StakeoutPoint:
    taped = tuple(
        measure_pull(pin, target, "offset", f"{pin.label} to {target.label}") for pin in (first, second)
    )
    errors = [find_tape_tolerance(pull.length).float_mm for pull in taped]
    return StakeoutPoint(
        target.name,
        (taped[0], taped[1]),
        _find_crossing_deg(turn),
        _predict_error(turn, errors[0], errors[1]),
        "left" if math.sin(turn) > 0 else "right",
    )


def _predict_error(angle: float, first_mm: float, second_mm: float) -> float:
    """Semi-major axis of the error ellipse of two crossing tapes, mm; `angle` between them in radians.

    The covariance of the crossing has trace (a² + b²) / sin² and determinant a²b² / sin², a and b being the
    tapes' errors; its larger eigenvalue is the square of the semi-major axis.
    """
    sine_squared = math.sin(angle) ** 2
    trace = (first_mm**2 + second_mm**2) / sine_squared
    determinant = (first_mm * second_mm) ** 2 / sine_squared
    root = math.sqrt(max(0.0, trace**2 / 4 - determinant))
    return math.sqrt(trace / 2 + root)


BASE_MARKS = ("A", "2B", "1B", "3B", "1A", "3A", "PP", "PP1", "PP3")
"""The stations of a whole field that its base distances and the pitching distance run to."""


@dataclass(frozen=True, slots=True)
class StakeoutStage:
    """Stations set from the same pins. The first stage has no points: its stations are set by hand."""

    heading: str
    stations: tuple[str, ...]
    points: tuple[StakeoutPoint, ...] = ()


def order_stakeout(plan: Plan) -> tuple[StakeoutStage, ...]:
    """The stages of a plan: around home plate from the plate's corners, on a whole field from the line to second.

    Each stage's pins are the stations of those before it, taken as true: the predicted error of a point is that
    of its own two pulls. A whole field's stages leave out what the plate area's have.
    """
    if "1B" in plan.stations:
        rest = tuple(
            mark for mark in plan.stations if not _is_around_plate(mark) and mark not in BASE_MARKS[:4]
        )
        corners = ("Corners of the square", ("1B", "3B"))
        return _set_out(plan, ("Pin these first", ("A", "2B")), (corners, ("Everything else", rest)))
    boxes = tuple(mark for mark in plan.stations if mark[0] in "FT")
    rest = tuple(mark for mark in plan.stations if mark[0] in "CL")
    from_plate = ("The boxes, from the plate", boxes)
    return _set_out(
        plan, ("The plate as installed", PLATE_MARKS), (from_plate, ("The rest, from plate and boxes", rest))
    )


def _is_around_plate(mark: str) -> bool:
    return mark[0] in "FTCL" or mark in PLATE_MARKS


def _set_out(
    plan: Plan, first: tuple[str, tuple[str, ...]], later: Sequence[tuple[str, tuple[str, ...]]]
) -> tuple[StakeoutStage, ...]:
    stages = [StakeoutStage(*first)]
    pins = list(first[1])
    for heading, marks in later:
        points = tuple(best_pulls(plan, _list_nearest(plan, pins, mark), mark) for mark in marks)
        stages.append(StakeoutStage(heading, marks, points))
        pins += marks
    return tuple(stages)


def _list_nearest(plan: Plan, pins: list[str], mark: str) -> list[Station]:
    """The pins, nearest first, so that of pulls that are equally good the shorter are named."""
    target = plan.stations[mark]
    return sorted(
        (plan.stations[pin] for pin in pins),
        key=lambda pin: round(math.hypot(pin.x_mm - target.x_mm, pin.y_mm - target.y_mm), 6),
    )
