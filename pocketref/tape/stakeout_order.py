"""The order in which a plan is staked out: what is set first, and what each later station is taped from."""

from __future__ import annotations

import math
from collections.abc import Sequence
from dataclasses import dataclass

from pocketref.field.plan import Plan, Station
from pocketref.tape.stakeout import StakeoutPoint, best_pulls
from pocketref.tape.tape import PLATE_MARKS

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
