"""What a crew does about taped readings: check the tape, tape this again, leave it, move it.

First what is wrong with the tape and with single pulls; while a tape is in question nothing is moved. Then each station
by where its own pulls put it, whatever was expected of it: it is moved where it is beyond its tolerance at 95 % and no
single misread can have put it there, left where the readings don't show it off, and taped again in between.
"""

from __future__ import annotations

import math
from collections.abc import Iterator, Mapping, Sequence
from dataclasses import dataclass
from enum import StrEnum
from fractions import Fraction
from itertools import combinations
from statistics import NormalDist
from typing import NamedTuple

import numpy as np

from pocketref.field.plan import Plan
from pocketref.field.pulls import Pull, pulls
from pocketref.tape.error_model import ELLIPSE_FACTOR, HONEST, STEEL, Floats, Tape
from pocketref.tape.explain import TAPE_KINDS, UNCHECKED, Explanation, explain, weigh_residuals
from pocketref.tape.network import Cause, Kind, construct_network, find_places, solve_network
from pocketref.tape.readings import PLATE_MARKS, Reading, refuse_slip
from pocketref.units.length import INCH_MM, Length
from pocketref.units.notation import write_feet_inches
from pocketref.words.speech import say

_SHOWN_AROUND_PLATE, _SHOWN_ON_FIELD = (-2 * math.log(1 - share) for share in (0.98, 0.99))
"""A station whose place is less significant than this is not shown to be off: our own figures, by simulation.

Of two unknowns the chi-square distribution is an exponential one.
"""
ORDER = NormalDist().inv_cdf(0.95)
SILENT = NormalDist().inv_cdf(0.995)
"""A station that is off passes where so many standard errors more leave it in its tolerance: 1 in 200 is missed."""
LOOSE = 4.0
"""A station known worse than to this many tolerances, as a standard error, is not known: our own figure."""
ALIKE_MM = 3 / 16 * INCH_MM
"""A shape's corners whose moves lie this near their mean are moved as one: our own figure."""
WORST = 4
SWAPPED = 0.2
"""Two misreads are a swap where each is the difference of their targets but for this share of it: our own figure."""
LEAST_MOVE = Length(Fraction(1, 8))
"""A crew is not told of less than this: our own figure."""


def write_move(across_mm: float, along_mm: float) -> str:
    """How to bring back what is off by so much, such as "2 1/4 in toward the pitcher, 3/4 in toward third"."""
    far_along, far_across = (
        write_feet_inches(Length.from_mm(Fraction(abs(mm)))) for mm in (along_mm, across_mm)
    )
    parts = []
    if abs(along_mm) >= LEAST_MOVE.float_mm:
        to_pitcher = say("{far} toward the pitcher", far=far_along)
        parts.append(to_pitcher if along_mm < 0 else say("{far} toward the backstop", far=far_along))
    if abs(across_mm) >= LEAST_MOVE.float_mm:
        to_first = say("{far} toward first", far=far_across)
        parts.append(to_first if across_mm < 0 else say("{far} toward third", far=far_across))
    return ", ".join(parts) or say("no move")


class PlaceVerdict(StrEnum):
    """What to do about a station."""

    GOOD = "good"
    PASSES = "good as far as this tape tells"
    OUT = "move it"
    AGAIN = "tape again"
    FEW = "too few pulls"
    KNOWN = "taken as known"


LEAVE = (PlaceVerdict.GOOD, PlaceVerdict.PASSES, PlaceVerdict.KNOWN)


@dataclass(frozen=True, slots=True)
class FoundStation:
    """Where a station is by its own pulls, how sure that is, and what to do about it."""

    mark: str
    label: str
    off_mm: tuple[float, float]
    """From its planned place, across the field and along it."""
    covariance_mm2: Floats
    tolerance: Length
    verdict: PlaceVerdict
    pulls: tuple[str, ...] = ()
    """The pulls to tape again, or to add."""

    @property
    def offset_mm(self) -> float:
        """How far it is from its planned place."""
        return float(np.hypot(*self.off_mm))

    @property
    def ellipse_mm(self) -> tuple[float, float, float]:
        """The 95 % error ellipse: semi-axes, and the turn of the longer one from +x in degrees."""
        values, vectors = np.linalg.eigh(self.covariance_mm2)
        minor, major = (ELLIPSE_FACTOR * np.sqrt(np.maximum(values, 0.0))).tolist()
        return major, minor, float(np.degrees(np.arctan2(vectors[1, 1], vectors[0, 1])) % 180)

    @property
    def move(self) -> str:
        """How to bring it to its planned place."""
        return write_move(*self.off_mm)


def find_shown(plan: Plan) -> float:
    """How significant the place of a station must be, in chi-square of two degrees of freedom, to be asked again."""
    return _SHOWN_ON_FIELD if "1B" in plan.stations else _SHOWN_AROUND_PLATE


def write_shared_move(stations: Sequence[FoundStation]) -> str | None:
    """The one move that brings all to their places, near enough; None if they turn or stretch."""
    off = np.array([found.off_mm for found in stations])
    middle = off.mean(axis=0)
    return write_move(*middle.tolist()) if float(np.abs(off - middle).max()) <= ALIKE_MM else None


@dataclass(frozen=True, slots=True)
class TapeFault:
    """A common factor or offset that explains the readings."""

    kinds: tuple[Kind, ...]
    thousandths: float
    """How much too long it reads, in thousandths; too short if negative."""
    offset_mm: float
    is_field_perhaps: bool
    """Whether a field set out with such a tape explains the readings as well."""
    is_proved: bool
    """Whether a second tape says so too."""
    is_harmless: bool
    """Whether every station is within its tolerance, be it the tape or the field."""


class Residual(NamedTuple):
    """A reading against the field as found."""

    target_mm: float
    left_mm: float
    """The distance between the stations as found, less the reading."""
    errors: float | None
    """The same in standard errors of its own; None where nothing checks it."""


@dataclass(frozen=True, slots=True)
class TapeReport:
    """Everything that readings say of a plan, in the order of the readings."""

    plan: Plan
    tolerance: Length
    readings: tuple[Reading, ...]
    explanation: Explanation
    stations: Mapping[str, FoundStation]
    tape: TapeFault | None

    @property
    def is_settled(self) -> bool:
        """Whether everything in the readings is explained."""
        return self.explanation.is_settled

    @property
    def is_fine(self) -> bool:
        """Whether nothing is to be moved, taped again or checked."""
        tape_is_fine = self.tape is None or self.tape.is_harmless
        stations = all(found.verdict in LEAVE for found in self.stations.values())
        return stations and tape_is_fine and self.is_settled and not self.explanation.left_out

    @property
    def misreads(self) -> tuple[Cause, ...]:
        """The pulls that are misread and were left out, the likeliest first."""
        return tuple(c for c in self.explanation.causes if c.kind is Kind.MISREAD and not c.is_doubt)

    @property
    def doubts(self) -> tuple[Cause, ...]:
        """What explains the readings alike: one of these pulls is misread, or one of these places is off."""
        return tuple(cause for cause in self.explanation.causes if cause.is_doubt)

    @property
    def swapped(self) -> tuple[tuple[str, str], ...]:
        """Pairs of misreads that read as if written in each other's place."""
        found, target = self.explanation, self.explanation.network.target_mm
        pairs = []
        for first, second in combinations(self.misreads, 2):
            apart = float(target[found.network.number(second)] - target[found.network.number(first)])
            if max(abs(found.measure(first) - apart), abs(found.measure(second) + apart)) < SWAPPED * abs(
                apart
            ):
                pairs.append((first.name, second.name))
        return tuple(pairs)

    @property
    def together(self) -> Mapping[str, tuple[str, ...]]:
        """Shapes that are moved whole, with their stations."""
        out = set(self.list_stations(PlaceVerdict.OUT))
        shapes = (cause for cause in self.explanation.added if cause.kind is Kind.SHAPE)
        return {cause.name: cause.marks for cause in shapes if out.issuperset(cause.marks)}

    @property
    def worst(self) -> tuple[str, ...]:
        """The pulls that disagree most with all that was explained."""
        paired = zip(self.list_residuals(), self.readings, strict=True)
        worst = sorted(paired, key=lambda pair: -abs(pair[0].errors or 0.0))
        return tuple(reading.name for _, reading in worst[:WORST])

    @property
    def second_pull(self) -> Pull | None:
        """What to tape with a second tape; None where that is not asked for."""
        again = (self.stations[mark] for mark in self.list_stations(PlaceVerdict.AGAIN))
        is_waited_for = self.tape and not (self.tape.is_harmless and all(found.pulls for found in again))
        if not self.tape or self.tape.is_proved or not is_waited_for:
            return None
        taped = {reading.pair for reading in self.readings}
        usual = [pull for pull in pulls(self.plan) if pull.pair in taped]
        return max(usual, key=lambda pull: pull.length_mm, default=None)

    @property
    def field_thousandths(self) -> float:
        """How much larger than planned the whole field is, in thousandths; 0 where the readings don't say so."""
        grown = [self.explanation.measure(c) for c in self.explanation.added if c.kind is Kind.FIELD]
        return grown[0] if grown and (self.tape is None or self.tape.is_proved) else 0.0

    def list_residuals(self) -> tuple[Residual, ...]:
        """Each reading against the field as found, in order."""
        network, solution = self.explanation.network, self.explanation.solution
        force, firm = weigh_residuals(network, solution)
        hold = np.diag(firm)
        is_checked = (hold > UNCHECKED * np.diag(network.weight)).tolist()
        sizes = (-force / np.sqrt(np.maximum(hold, 1e-12))).tolist()
        errors = [size if checked else None for size, checked in zip(sizes, is_checked, strict=True)]
        return tuple(map(Residual, network.target_mm.tolist(), (-solution.left_mm).tolist(), errors))

    def list_stations(self, *verdicts: PlaceVerdict) -> tuple[str, ...]:
        """The marks of the stations with one of these verdicts."""
        return tuple(mark for mark, found in self.stations.items() if found.verdict in verdicts)


def judge_tape(plan: Plan, readings: Sequence[Reading], tolerance: Length, tape: Tape = STEEL) -> TapeReport:
    """Judge readings of a plan against the tolerance for stations; raises PocketrefError for a mistaken unit."""
    refuse_slip(plan, readings)
    found = explain(construct_network(plan, readings, tolerance.float_mm / HONEST, tape))
    fault = _find_tape_fault(found, tolerance.float_mm)
    judge = _Judge(plan, readings, found, tolerance, may_move=fault is None or fault.is_proved)
    stations = map(judge.judge, np.union1d(found.network.starts, found.network.ends).tolist())
    return TapeReport(
        plan, tolerance, tuple(readings), found, {place.mark: place for place in stations}, fault
    )


def _find_tape_fault(found: Explanation, tolerance_mm: float) -> TapeFault | None:
    """The tape, where it or a field set out with such a tape is among the causes."""
    network = found.network
    at_fault = [c for c in found.added if any(each.kind in TAPE_KINDS for each in c.every)]
    if not at_fault:
        return None
    amounts = dict.fromkeys((Kind.FACTOR, Kind.OFFSET, Kind.FIELD), 0.0)
    amounts |= {cause.kind: found.measure(cause) for cause in at_fault}
    thousandths = amounts[Kind.FACTOR] or amounts[Kind.FIELD]
    kinds = tuple(kind for kind in TAPE_KINDS if amounts[kind]) or (Kind.FACTOR,)
    is_field_perhaps = any(each.kind is Kind.FIELD for cause in at_fault for each in cause.every)
    reach_mm = float(np.hypot(*(network.planned_mm - network.planned_mm[0]).T).max())
    is_harmless = Kind.OFFSET not in kinds and abs(thousandths) / 1000 * reach_mm <= tolerance_mm
    is_proved = bool((network.own_tape == 0).any()) and not is_field_perhaps
    return TapeFault(kinds, thousandths, amounts[Kind.OFFSET], is_field_perhaps, is_proved, is_harmless)


class _Judge:
    """What every station's verdict needs, computed once."""

    def __init__(
        self,
        plan: Plan,
        readings: Sequence[Reading],
        found: Explanation,
        tolerance: Length,
        *,
        may_move: bool,
    ) -> None:
        self.found, self.network, self.tolerance, self.may_move = found, found.network, tolerance, may_move
        self.pulls, self.taped = pulls(plan), {reading.pair for reading in readings}
        self.names = [reading.name for reading in readings]
        self.shown = find_shown(plan)
        self.labels = {mark: station.label for mark, station in plan.stations.items()}
        self.moved = {mark for cause in found.added for mark in cause.marks}
        self.off, self.covariance = find_places(found.network, found.solution, self.moved)
        self.values, self.vectors = np.linalg.eigh(self.covariance)

    def judge(self, index: int) -> FoundStation:
        """A station's verdict, by its number in the network."""
        mark, network = self.network.marks[index], self.network
        doubts = [cause for cause in self.found.causes if cause.is_doubt]
        doubted = [cause for cause in doubts if any(mark in each.marks for each in cause.every)]
        is_held = mark in PLATE_MARKS or not network.spread[2 * index : 2 * index + 2].any()
        is_known = is_held and mark not in self.moved
        if doubted or not self.found.is_settled:
            names = dict.fromkeys(name for cause in doubted for name in cause.pulls)
            verdict, again = PlaceVerdict.AGAIN, tuple(names)
        else:
            verdict, again = (PlaceVerdict.KNOWN, ()) if is_known else self._decide(index)
        across, along = (0.0, 0.0) if is_known else self.off[index].tolist()
        covariance = np.zeros((2, 2)) if is_known else self.covariance[index]
        return FoundStation(
            mark, self.labels[mark], (across, along), covariance, self.tolerance, verdict, again
        )

    def _decide(self, index: int) -> tuple[PlaceVerdict, tuple[str, ...]]:
        mark, tolerance_mm = self.network.marks[index], self.tolerance.float_mm
        off, covariance = self.off[index], self.covariance[index]
        values, vectors = self.values[index], self.vectors[index]
        axis = math.sqrt(max(float(values[1]), 0.0))
        if axis > LOOSE * tolerance_mm:
            out = [self.names[number] for number in self.found.left_out]
            doubted = tuple(name for name in out if mark in name.split("-"))
            more = self._choose_pulls(index, vectors[:, 1], 2)
            return (PlaceVerdict.AGAIN, doubted) if doubted else (PlaceVerdict.FEW, more)
        far = math.hypot(*off.tolist())
        way: Floats = off / max(far, 1e-9)
        error = math.sqrt(max(float(way @ covariance @ way), 0.0))
        if far - ORDER * error > tolerance_mm:
            again = () if mark in self.moved else tuple(self._find_upsetting(index))
            return (PlaceVerdict.OUT if self.may_move and not again else PlaceVerdict.AGAIN), again
        shown = float(((vectors.T @ off) ** 2 / np.maximum(values, 1e-9)).sum())
        if far + SILENT * error > tolerance_mm and shown > self.shown:
            return PlaceVerdict.AGAIN, self._choose_pulls(index, way, 1)
        is_sure = far + ELLIPSE_FACTOR * axis <= tolerance_mm
        return PlaceVerdict.GOOD if is_sure else PlaceVerdict.PASSES, ()

    def _find_upsetting(self, index: int) -> Iterator[str]:
        """The pulls any one of which, if misread, could alone have put a station beyond its tolerance."""
        network, tolerance_mm = self.network, self.tolerance.float_mm
        for reading in np.flatnonzero((network.starts == index) | (network.ends == index)).tolist():
            if reading not in self.found.left_out:
                freed = (*self.found.freed, network.mix.shape[1] + reading)
                off, covariance = find_places(network, solve_network(network, freed))
                is_loose = float(np.max(covariance[index])) > (LOOSE * tolerance_mm) ** 2
                if is_loose or math.hypot(*off[index].tolist()) <= tolerance_mm:
                    yield self.names[reading]

    def _choose_pulls(self, index: int, way: Floats, count: int) -> tuple[str, ...]:
        """What settles most of where a station is along `way`: two pulls not taped yet, or one that may be."""
        marks, points = self.network.marks, self.network.planned_mm
        scored = []
        for pull in self.pulls:
            others = [marks.index(each) for each in pull.pair - {marks[index]} if each in marks]
            if marks[index] in pull.pair and others and (count == 1 or pull.pair not in self.taped):
                aim = (points[index] - points[others[0]]) / pull.length_mm
                scored.append((-round(abs(float(aim @ way)), 6), pull.name))
        return tuple(name for _, name in sorted(scored)[:count])
