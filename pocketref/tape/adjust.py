"""Taped readings to the places of the stations, by least squares, with everything that says how sure they are.

Standard errors come from the error budget; if what is left over after misread pulls are out still exceeds what
the budget explains (chi-square test, 95 %), they are raised by the square root of the excess. Beyond what one
sound field in a thousand shows (99.9 %), the readings disagree and no station can be judged by them.
"""

from __future__ import annotations

from collections.abc import Mapping, Sequence
from dataclasses import dataclass
from enum import StrEnum
from types import MappingProxyType

import numpy as np
from scipy.stats import chi2
from shapely import MultiPoint, Point

from pocketref.field.plan import Plan, PointMm
from pocketref.problems import PocketrefError, Problem
from pocketref.tape.error_budget import STEEL, ErrorBudget
from pocketref.tape.loose_stations import refuse_loose
from pocketref.tape.misreads import DISAGREEMENT, Search, find_misreads
from pocketref.tape.network import Floats, Network, Solution, construct_network, solve_network
from pocketref.tape.readings import (
    PLATE_MARKS,
    Pin,
    Reading,
    check_readings,
    choose_pins,
    merge_repeats,
    refuse_slip,
)
from pocketref.tape.reliability import UNCHECKED, find_ground, find_mirrored

CONFIDENCE = 0.95
ELLIPSE_FACTOR = float(np.sqrt(chi2.ppf(CONFIDENCE, 2)))
"""Standard ellipse to 95 % ellipse: √5.991."""


@dataclass(frozen=True, slots=True)
class Ellipse:
    """The 95 % error ellipse of a station. `turn_deg` is the major axis, counter-clockwise from +x."""

    semi_major_mm: float
    semi_minor_mm: float
    turn_deg: float


@dataclass(frozen=True, slots=True)
class FoundStation:
    """Where a station is, by the readings, and where the plan has it."""

    mark: str
    label: str
    x_mm: float
    y_mm: float
    planned_x_mm: float
    planned_y_mm: float
    covariance_mm2: tuple[float, float, float]
    """Variance of x, covariance of x and y, variance of y."""
    ellipse: Ellipse
    mirror_mm: PointMm | None = None
    """A second place that the station's own readings fit as well; the one nearer the plan was taken."""

    @property
    def offset_mm(self) -> float:
        """How far it is from its planned place."""
        return float(np.hypot(self.x_mm - self.planned_x_mm, self.y_mm - self.planned_y_mm))


@dataclass(frozen=True, slots=True)
class JudgedReading:
    """A reading against the adjusted field."""

    reading: Reading
    corrected_mm: float
    """The reading at the tape's standard temperature."""
    error_mm: float
    planned_mm: float
    residual_mm: float
    """The distance between the stations as adjusted, less the corrected reading."""
    redundancy: float
    """0: nothing checks it; 1: the rest fixes its stations without it."""
    standardised: float | None
    """Residual over its own standard deviation; None where nothing checks it."""

    @property
    def is_unchecked(self) -> bool:
        """Whether a misread of it could go unseen whatever its size."""
        return self.standardised is None and self.reading.times == 1


@dataclass(frozen=True, slots=True)
class Misread:
    """A misread pull, and how much too long it reads (too short if negative)."""

    name: str
    by_mm: float


@dataclass(frozen=True, slots=True)
class Adjustment:
    """What readings say of a plan. Mappings and tuples keep the order of the readings."""

    plan: Plan
    stations: Mapping[str, FoundStation]
    readings: tuple[JudgedReading, ...]
    misreads: tuple[Misread, ...]
    """The pulls that are misread and were left out, likeliest first."""
    swapped: tuple[tuple[str, str], ...]
    """Pairs of misread pulls that read as if written in each other's place."""
    suspects: tuple[str, ...]
    """Pulls one of which, or one of each group of which, is misread, where the readings can't say which."""
    suspect_groups: tuple[tuple[str, ...], ...]
    off_frame: tuple[str, ...]
    """Corners of home plate that are not where its dimensions put them; they were left to the readings."""
    is_settled: bool
    """Whether no reading that was kept still fails the test of misreads."""
    ground: Mapping[str, tuple[str, ...]]
    """By station, the readings that it rests on although nothing checks them or they may be misread."""
    chi_square: float
    spare: int
    """Degrees of freedom."""
    chi_square_most: float
    """Beyond it, 99.9 %, the readings disagree."""
    scale: float
    """What the budget's variances were multiplied by: 1 where it explains the misfits."""
    network: Network
    solution: Solution

    @property
    def misread(self) -> str:
        """The likeliest misread pull; empty if none was left out."""
        return self.misreads[0].name if self.misreads else ""

    @property
    def misread_by_mm(self) -> float:
        """How much too long that pull reads (too short if negative)."""
        return self.misreads[0].by_mm if self.misreads else 0.0

    @property
    def is_consistent(self) -> bool:
        """Whether the readings that were kept agree; if not, no station can be judged by them."""
        return self.is_settled and self.chi_square <= self.chi_square_most

    @property
    def unchecked(self) -> tuple[str, ...]:
        """Readings that nothing checks, but for those that may be misread anyway."""
        names = (judged.reading.name for judged in self.readings if judged.is_unchecked)
        return tuple(name for name in names if name not in self.suspects)


def adjust_readings(
    plan: Plan,
    readings: Sequence[Reading],
    pins: Sequence[Pin] | None = None,
    budget: ErrorBudget = STEEL,
) -> Adjustment:
    """The places of all stations that the readings touch, judged from the pins (see `choose_pins`).

    Misread pulls are found, named and left out. Raises PocketrefError for readings that can't be, or that
    leave a station loose (which one, and which pulls to add).
    """
    refuse_slip(plan, readings)
    check_readings(plan, readings)
    readings = merge_repeats(readings)
    pins = choose_pins(plan, readings) if pins is None else pins
    network = construct_network(plan.stations, readings, pins, budget)
    refuse_loose(plan, network)
    solution = solve_network(network)
    if solution is None:
        sentence = "the readings don't fix the stations where they put them"
        hint = "look for a reading with a wrong foot or a wrong station, or add diagonals"
        raise PocketrefError([Problem("tape-unsolved", sentence, hint)])
    return _assemble(plan, readings, find_misreads(network, solution, _list_frame(pins)))


def _list_frame(pins: Sequence[Pin]) -> tuple[str, ...]:
    """The corners of home plate where the whole plate is held as true; else nothing."""
    held = {pin.station for pin in pins if pin.x_error_mm == 0 and pin.y_error_mm == 0}
    return PLATE_MARKS if held.issuperset(PLATE_MARKS) else ()


def _assemble(plan: Plan, readings: Sequence[Reading], search: Search) -> Adjustment:
    network, solution = search.network, search.solution
    chi_square, spare = solution.weigh(network)
    limit, most = (
        float(chi2.ppf(share, spare)) if spare > 0 else np.inf for share in (CONFIDENCE, DISAGREEMENT)
    )
    scale = chi_square / spare if chi_square > limit else 1.0
    judged = _judge_readings(readings, network, solution)
    name = [reading.name for reading in readings]
    groups = tuple(tuple(name[index] for index in group) for group in search.suspects)
    return Adjustment(
        plan=plan,
        stations=_find_stations(plan, network, solution, scale),
        readings=judged,
        misreads=tuple(Misread(name[index], -judged[index].residual_mm) for index in search.left_out),
        swapped=tuple((name[first], name[second]) for first, second in search.swapped),
        suspects=tuple(one for group in groups for one in group),
        suspect_groups=groups,
        off_frame=search.freed,
        is_settled=search.is_settled,
        ground=find_ground(network, solution, readings),
        chi_square=chi_square,
        spare=spare,
        chi_square_most=most,
        scale=scale,
        network=network,
        solution=solution,
    )


def _judge_readings(
    readings: Sequence[Reading], network: Network, solution: Solution
) -> tuple[JudgedReading, ...]:
    points, planned = solution.position_mm.reshape(-1, 2), network.planned_mm.reshape(-1, 2)
    found = np.linalg.norm(points[network.ends] - points[network.starts], axis=1)
    wanted = np.linalg.norm(planned[network.ends] - planned[network.starts], axis=1)
    residual = found - network.reading_mm
    redundancy = np.clip(solution.redundancy[: len(readings)], 0.0, 1.0)
    tested = residual / (network.error_mm * np.sqrt(np.maximum(redundancy, UNCHECKED)))
    columns = (network.reading_mm, network.error_mm, wanted, residual, redundancy, tested)
    rows = zip(readings, *(column.tolist() for column in columns), strict=True)
    return tuple(
        JudgedReading(reading, read, error, target, off, share, size if share >= UNCHECKED else None)
        for reading, read, error, target, off, share, size in rows
    )


def _find_stations(
    plan: Plan, network: Network, solution: Solution, scale: float
) -> Mapping[str, FoundStation]:
    """The stations that a reading touches, with their covariances and 95 % ellipses."""
    blocks = _cut_blocks(network, solution.covariance * scale)
    ellipses = find_ellipses(network, solution.covariance * scale)
    mirrored = find_mirrored(network, solution)
    touched = np.union1d(network.starts, network.ends).tolist()
    points = solution.position_mm.reshape(-1, 2).tolist()
    found = {}
    for index in touched:
        station = plan.stations[network.marks[index]]
        (var_x, both), (_, var_y) = blocks[index].tolist()
        found[station.name] = FoundStation(
            station.name,
            station.label,
            points[index][0],
            points[index][1],
            station.x_mm,
            station.y_mm,
            (var_x, both, var_y),
            ellipses[index],
            mirrored.get(index),
        )
    return MappingProxyType(found)


def find_ellipses(network: Network, covariance: Floats) -> list[Ellipse]:
    """Each station's 95 % ellipse by a covariance of the unknowns, in the order of the network's marks."""
    values, vectors = np.linalg.eigh(_cut_blocks(network, covariance))
    axes = ELLIPSE_FACTOR * np.sqrt(np.maximum(values, 0.0))
    turns = np.degrees(np.arctan2(vectors[:, 1, 1], vectors[:, 0, 1])) % 180
    return [
        Ellipse(major, minor, turn)
        for (minor, major), turn in zip(axes.tolist(), turns.tolist(), strict=True)
    ]


def _cut_blocks(network: Network, covariance: Floats) -> Floats:
    """Each station's own 2 × 2 covariance; zeros where it is held."""
    size = len(network.planned_mm)
    whole = np.zeros((size, size))
    whole[np.ix_(network.columns, network.columns)] = covariance
    at = np.arange(0, size, 2)
    return np.stack([np.stack([whole[at + i, at + j] for j in (0, 1)], axis=1) for i in (0, 1)], axis=1)


_TURNS = np.linspace(0.0, 2 * np.pi, 180, endpoint=False)
_CIRCLE = np.stack([np.cos(_TURNS), np.sin(_TURNS)])


class PlaceVerdict(StrEnum):
    """Whether a station is within its tolerance, at 95 %."""

    GOOD = "good"
    """The whole 95 % ellipse is within the tolerance."""
    OUT = "out"
    """All of it is beyond."""
    TOO_CLOSE = "too close to call"
    """It lies on both sides."""
    NOT_JUDGED = "not judged"
    """A misread could have put it there: the readings disagree, or nothing checks those it rests on."""
    TAKEN_AS_KNOWN = "taken as known"
    """A pin that is held: the readings say nothing of it."""


def judge_place(found: FoundStation, tolerance_mm: float) -> PlaceVerdict:
    """The verdict by place and ellipse alone."""
    ellipse = found.ellipse
    if ellipse.semi_major_mm == 0:
        return PlaceVerdict.TAKEN_AS_KNOWN
    if found.offset_mm + ellipse.semi_major_mm <= tolerance_mm:
        return PlaceVerdict.GOOD
    if found.offset_mm - ellipse.semi_major_mm > tolerance_mm:
        return PlaceVerdict.OUT
    turn = np.radians(ellipse.turn_deg)
    major, minor = ellipse.semi_major_mm * _CIRCLE[0], ellipse.semi_minor_mm * _CIRCLE[1]
    across = found.x_mm - found.planned_x_mm + major * np.cos(turn) - minor * np.sin(turn)
    along = found.y_mm - found.planned_y_mm + major * np.sin(turn) + minor * np.cos(turn)
    if float(np.hypot(across, along).max()) <= tolerance_mm:
        return PlaceVerdict.GOOD
    nearest_mm = MultiPoint(np.column_stack([across, along])).convex_hull.distance(Point(0, 0))
    return PlaceVerdict.OUT if nearest_mm > tolerance_mm else PlaceVerdict.TOO_CLOSE
