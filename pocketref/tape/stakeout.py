"""How a plan is staked out: what is set first, and the two to four tapes that each later station is set by.

Tapes locate a station where their arcs cross; of three or four the crew takes the middle of the small figure they
make. Each tape errs by chance (`error_model`), all by one factor, and each pin by how it was set itself: all of it
is carried on to the next station. What is printed is how far off a station is at most, 19 times of 20.
"""

from __future__ import annotations

import math
from collections.abc import Iterable, Sequence
from dataclasses import dataclass, replace
from functools import lru_cache
from itertools import combinations
from types import MappingProxyType
from typing import Literal

import numpy as np

from pocketref.field.plan import Plan, Station
from pocketref.field.pulls import Pull, measure_pull
from pocketref.problems import refusal
from pocketref.tape.error_model import PLATE_MM, STEEL, Floats
from pocketref.tape.readings import PLATE_MARKS
from pocketref.units.length import FOOT_MM, INCH_MM
from pocketref.words.terminal import tell

LEAST_CROSSING_DEG = 30.0
"""Two tapes of a station cross at no less than this, where any do: our own figure."""
NEAR_ENOUGH_MM = INCH_MM / 4
"""A station that so many tapes set as near as this needs no more: our own goal, half its tolerance."""
STRING_FT = {"S1": 8, "S2": -5}
"""Where on a string from the plate's tip to the pitcher two marks help, in feet ahead of the tip: our own figures."""
STRING_MM = INCH_MM / 32
"""Standard deviation of such a mark across the string: our own figure."""
_MOST_TAPES = 4
"""So many tapes around the plate and between the bases; two set what else is on a field. Our own figures."""
_NEAREST = 9
"""Pins farther off than the nearest so many are not tried."""
_WORTH_IT = 0.95
"""One tape more is worth its while if it takes off a twentieth: our own figure."""
BASE_MARKS = ("A", "2B", "1B", "3B", "1A", "3A", "1C", "PP", "PP1", "PP3")
"""The stations of a whole field that its base distances and the pitching distance run to."""


@dataclass(frozen=True, slots=True)
class StakeoutPoint:
    """A station and the pulls to set it by, the two that cross best first.

    `crossing_deg` is the angle between these, 0 to 90. They cross twice; `side` says which crossing is meant, looking
    from the first pull's pin to the second's. `within_mm` holds it 19 times of 20.
    """

    station: str
    pulls: tuple[Pull, ...]
    crossing_deg: float
    within_mm: float
    side: Literal["left", "right"]


@dataclass(frozen=True, slots=True)
class StakeoutStage:
    """Stations set from those of earlier stages. The first stage has no points: its stations are set by hand."""

    heading: str
    stations: tuple[str, ...]
    points: tuple[StakeoutPoint, ...] = ()


def cross_tapes(aims: Floats, errors_mm: Floats) -> Floats:
    """Covariance, 2 x 2, of a point where tapes with these unit directions and standard deviations cross."""
    covariance: Floats = np.linalg.inv((aims / errors_mm[..., None] ** 2).swapaxes(-1, -2) @ aims)
    return covariance


def locate(aims: Floats, covariance: Floats) -> tuple[Floats, Floats]:
    """A point's covariance, 2 x 2, and how it moves with each of its tapes, whose errors have this covariance.

    The crew weighs tapes by their own errors, as if these were independent. Leading axes are choices of tapes.
    """
    errors = np.sqrt(np.diagonal(covariance, axis1=-2, axis2=-1))
    moves = cross_tapes(aims, errors) @ (aims / errors[..., None] ** 2).swapaxes(-1, -2)
    return moves @ covariance @ moves.swapaxes(-1, -2), moves


_TURNS = np.linspace(0.0, np.pi, 90, endpoint=False)


def find_reach_mm(covariance: Floats) -> Floats:
    """The radius that holds a point with this covariance 19 times of 20, by halving. Leading axes are points."""
    small, large = np.moveaxis(np.maximum(np.linalg.eigvalsh(covariance), 1e-9), -1, 0)
    narrow = np.cos(_TURNS) ** 2 / small[..., None] + np.sin(_TURNS) ** 2 / large[..., None]
    low, high = 1.9 * np.sqrt(large), 2.5 * np.sqrt(large)  # 1.96 in one direction alone, 2.45 in a circle
    for _ in range(20):
        middle = (low + high) / 2
        beyond = (np.exp(-(middle[..., None] ** 2) * narrow / 2) / narrow).mean(axis=-1) / np.sqrt(
            small * large
        )
        low, high = np.where(beyond > 0.05, middle, low), np.where(beyond > 0.05, high, middle)
    reach: Floats = high
    return reach


class _Ground:
    """The stations set so far, with the covariance of all their errors and of the tape's factor, which comes first."""

    def __init__(self, plan: Plan, held: Sequence[str], error_mm: float) -> None:
        self.plan = plan
        self.marks = list(held)
        self.covariance = np.eye(2 * len(held) + 1) * error_mm**2
        self.covariance[0, 0] = STEEL.predict_factor(is_warmth_known=False) ** 2

    def aim(self, mark: str, pins: Sequence[str]) -> tuple[Floats, Floats, Floats]:
        """Unit directions to a station, its tapes' own variances, and how they change with all that is set."""
        target, stations = self.plan.stations[mark], [self.plan.stations[pin] for pin in pins]
        apart = np.array([(target.x_mm - pin.x_mm, target.y_mm - pin.y_mm) for pin in stations])
        length = np.hypot(apart[:, 0], apart[:, 1])
        aims = apart / length[:, None]
        leans = np.zeros((len(pins), len(self.covariance)))
        leans[:, 0] = length
        for row, pin in enumerate(pins):
            at = 1 + 2 * self.marks.index(pin)
            leans[row, at : at + 2] = aims[row]
        return aims, STEEL.predict_mm(length) ** 2, leans

    def set(self, mark: str, pins: Sequence[str], string_mm: float = 0.0) -> None:
        """Add a station; one that is taped from a single pin lies on a string, with this error across it."""
        aims, own, leans = self.aim(mark, pins)
        if len(pins) == 1:
            aims = np.vstack([aims, (-aims[0, 1], aims[0, 0])])
            own, leans = np.append(own, max(string_mm, 1e-3) ** 2), np.vstack([leans, np.zeros_like(leans)])
        covariance, moves = locate(aims, np.diag(own) + leans @ self.covariance @ leans.T)
        shared = moves @ leans @ self.covariance
        self.marks.append(mark)
        self.covariance = np.block([[self.covariance, shared.T], [shared, covariance]])

    def choose(self, mark: str) -> StakeoutPoint:
        """The pins that set a station best: two that cross well, then more while it is worth it."""
        target, stations = self.plan.stations[mark], self.plan.stations
        away = {
            pin: round(math.hypot(target.x_mm - stations[pin].x_mm, target.y_mm - stations[pin].y_mm), 6)
            for pin in self.marks
        }
        near = sorted((pin for pin in self.marks if away[pin] > 1.0), key=away.__getitem__)[:_NEAREST]
        aims, own, leans = self.aim(mark, near)
        together = np.diag(own) + leans @ self.covariance @ leans.T

        def measure_crossing_deg(pair: Sequence[int]) -> float:
            (ax, ay), (bx, by) = aims[list(pair[:2])].tolist()
            return math.degrees(math.asin(max(-1.0, min(1.0, ax * by - ay * bx))))

        def choose_nearest(choices: Sequence[tuple[int, ...]]) -> tuple[float, tuple[int, ...]]:
            """The first that set it nearest, and how near: rounded, so that what is alike by symmetry is so here."""
            each = np.array(choices)
            covariances = locate(aims[each], together[each[:, :, None], each[:, None, :]])[0]
            return min(zip(np.round(find_reach_mm(covariances), 6).tolist(), choices, strict=True))

        crossings = {pair: abs(measure_crossing_deg(pair)) for pair in combinations(range(len(near)), 2)}
        pairs = [pair for pair, degrees in crossings.items() if degrees > 1.0]
        if not pairs:
            sentence, hint = (
                tell("no two pins fix station '{mark}'", mark=mark),
                tell("add a pin off the line through them"),
            )
            raise refusal("stakeout-no-fix", sentence, hint)
        reach, taken = choose_nearest([p for p in pairs if crossings[p] >= LEAST_CROSSING_DEG] or pairs)
        is_near = mark[0] in "FTCL" or mark in BASE_MARKS
        while is_near and len(taken) < min(_MOST_TAPES, len(near)) and reach > NEAR_ENOUGH_MM:
            more = [(*taken, pin) for pin in range(len(near)) if pin not in taken]
            nearer, best = choose_nearest(more)
            if nearer > _WORTH_IT * reach:
                break
            reach, taken = nearer, best
        taped = tuple(
            measure_pull(pin, target, "offset", f"{pin.label} to {target.label}")
            for pin in (stations[near[number]] for number in taken)
        )
        crossing = measure_crossing_deg(taken)
        return StakeoutPoint(mark, taped, abs(crossing), reach, "left" if crossing > 0 else "right")


@lru_cache(maxsize=32)
def order_stakeout(plan: Plan, *, with_string: bool = True) -> tuple[StakeoutStage, ...]:
    """The stages of a plan: around home plate from the plate's corners, on a whole field from the line to second.

    Around home plate two marks on a string from the tip to the pitcher come before the boxes, unless it is to be done
    without: the plate alone is too small to turn by. Within a stage the station that can be set most surely is first.
    A whole field's stages leave out what the plate area's have.
    """
    if "1B" in plan.stations:
        return _order_field(plan)
    ground = _Ground(mark_string(plan), PLATE_MARKS, PLATE_MM)
    by_hand = [StakeoutStage("The plate as installed", PLATE_MARKS)]
    if with_string:
        by_hand.append(StakeoutStage("On a string from the tip to the pitcher", tuple(STRING_FT)))
        for mark in STRING_FT:
            ground.set(mark, ("A",), STRING_MM)
    inner, outer = (
        tuple(m for m in plan.stations if m[0] in "FT" and m[1] in numbers) for numbers in ("14", "23")
    )
    rest = tuple(mark for mark in plan.stations if mark[0] in "CL")
    stages = (("Inner corners", inner), ("Outer corners", outer), ("The rest", rest))
    return (*by_hand, *(_set_out(ground, heading, marks, by_sureness=True) for heading, marks in stages))


def mark_string(plan: Plan) -> Plan:
    """The plan with the string's two marks as stations."""
    marks = {
        mark: Station(mark, "the mark on the string", 0.0, feet * FOOT_MM) for mark, feet in STRING_FT.items()
    }
    return replace(plan, stations=MappingProxyType({**plan.stations, **marks}))


def _order_field(plan: Plan) -> tuple[StakeoutStage, ...]:
    ground = _Ground(plan, ("A",), 0.0)
    ground.set("2B", ("A",))
    rest = tuple(m for m in plan.stations if m[0] not in "FTCL" and m not in (*PLATE_MARKS, *BASE_MARKS[:4]))
    return (
        StakeoutStage("Pin these first", ("A", "2B")),
        _set_out(ground, "Corners of the square", ("1B", "3B")),
        _set_out(ground, "Everything else", rest),
    )


def _set_out(
    ground: _Ground, heading: str, marks: Iterable[str], *, by_sureness: bool = False
) -> StakeoutStage:
    left, points = list(marks), []
    while left:
        chosen = [ground.choose(mark) for mark in (left if by_sureness else left[:1])]
        best = min(chosen, key=lambda point: round(point.within_mm, 3))
        ground.set(best.station, [pull.from_station for pull in best.pulls])
        points.append(best)
        left.remove(best.station)
    return StakeoutStage(heading, tuple(point.station for point in points), tuple(points))
