"""What a crew does about taped readings: check the tape, tape this again, leave it, move it.

First what is wrong with the tape and with single pulls; while a tape is in question nothing is moved. Then each station
by where its own pulls put it, whatever was expected of it: it is moved where it is beyond its tolerance at 95 % and no
single misread can have put it there, left where the readings don't show it off, and taped again in between.
"""

from __future__ import annotations

import math
from collections.abc import Mapping, Sequence
from dataclasses import dataclass
from enum import StrEnum
from fractions import Fraction
from functools import cached_property

import numpy as np
from scipy.stats import chi2, norm

from pocketref.field.plan import Plan
from pocketref.field.pulls import Pull, pulls
from pocketref.tape.error_model import HONEST, STEEL, Floats, Tape
from pocketref.tape.explain import SHAPES, TAPE_KINDS, Cause, Explanation, Kind, explain, weigh_residuals
from pocketref.tape.network import Network, construct_network, find_places, solve_network
from pocketref.tape.readings import PLATE_MARKS, Reading, check_readings, choose_frame
from pocketref.units.length import Length
from pocketref.units.notation import write_feet_inches

ELLIPSE_FACTOR = float(np.sqrt(chi2.ppf(0.95, 2)))
"""Standard ellipse to 95 % ellipse: √5.991."""
_SHOWN = float(chi2.ppf(0.999, 2))
"""A station whose place is less significant than this is not shown to be off."""
_ORDER = float(norm.ppf(0.95))
_SILENT = float(norm.ppf(0.995))
"""A station that is off passes where so many standard errors more leave it in its tolerance: 1 in 200 is missed."""
_LOOSE = 4.0
"""A station known worse than to this many tolerances, as a standard error, is not known: our own figure."""
_ALONG_MM = 3.0
"""A shape's corners that move alike to this are told one move: 1/8 in, our own figure."""
_WORST = 4
_UNCHECKED = 1e-4


LEAST_MOVE = Length(Fraction(1, 8))
"""A crew is not told of less than this: our own figure."""


@dataclass(frozen=True, slots=True)
class Move:
    """How to move a station to its planned place: `toward_pitcher` is negative toward the backstop, and so on."""

    toward_pitcher: Length
    toward_first: Length

    def write(self, denominator: int = 16) -> str:
        """The move in field words, such as "2 1/4 in toward the pitcher, 3/4 in toward third"; else "no move"."""
        ways = (
            (self.toward_pitcher, "the pitcher", "the backstop"),
            (self.toward_first, "first", "third"),
        )
        parts = [
            f"{write_feet_inches(abs(amount), denominator)} toward {ahead if amount.inches > 0 else back}"
            for amount, ahead, back in ways
            if abs(amount).inches >= LEAST_MOVE.inches
        ]
        return ", ".join(parts) or "no move"


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
    def move(self) -> Move:
        """How to bring it to its planned place."""
        across, along = self.off_mm
        return Move(*(Length(Length.from_mm(Fraction(-amount)).inches) for amount in (along, across)))


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


@dataclass(frozen=True, slots=True)
class Residual:
    """A reading against the field as found."""

    target_mm: float
    left_mm: float
    """The distance between the stations as found, less the reading."""
    errors: float | None
    """The same in standard errors of its own; None where nothing checks it."""


@dataclass(frozen=True, slots=True)
class Misread:
    """A misread pull, its number, and how much too long it reads (too short if negative)."""

    name: str
    index: int
    by_mm: float


@dataclass(frozen=True, slots=True)
class Doubt:
    """One of these pulls is misread, or one of these stations or shapes is off: the readings can't say which."""

    pulls: tuple[str, ...]
    places: tuple[str, ...]


@dataclass(frozen=True, slots=True)
class TapeReport:
    """Everything that readings say of a plan, in the order of the readings."""

    plan: Plan
    readings: tuple[Reading, ...]
    explanation: Explanation
    stations: Mapping[str, FoundStation]
    tape: TapeFault | None
    misreads: tuple[Misread, ...]
    swapped: tuple[tuple[str, str], ...]
    """Misread pulls that read as if written in each other's place."""
    doubts: tuple[Doubt, ...]
    together: Mapping[str, tuple[str, ...]]
    """Shapes that are moved whole, with their stations."""
    worst: tuple[str, ...]
    """Where the readings disagree beyond what can be explained, the pulls that do so most."""
    second_pull: Pull | None
    """What to tape with a second tape; None where that is not asked for."""
    field_thousandths: float
    """How much larger than planned the whole field is, in thousandths; 0 where the readings don't say so."""

    def list_residuals(self) -> tuple[Residual, ...]:
        """Each reading against the field as found, in order."""
        found = self.explanation
        sizes = _standardise(found)
        rows = zip(found.network.target_mm.tolist(), found.solution.left_mm.tolist(), sizes, strict=True)
        return tuple(Residual(target, -left, size) for target, left, size in rows)

    @property
    def is_settled(self) -> bool:
        """Whether everything in the readings is explained."""
        return self.explanation.is_settled

    @property
    def is_fine(self) -> bool:
        """Whether nothing is to be moved, taped again or checked."""
        tape_is_fine = self.tape is None or self.tape.is_harmless
        stations = all(found.verdict in LEAVE for found in self.stations.values())
        return stations and tape_is_fine and self.is_settled and not (self.misreads or self.doubts)

    def list_stations(self, *verdicts: PlaceVerdict) -> tuple[str, ...]:
        """The marks of the stations with one of these verdicts."""
        return tuple(mark for mark, found in self.stations.items() if found.verdict in verdicts)


def judge_tape(plan: Plan, readings: Sequence[Reading], tolerance: Length, tape: Tape = STEEL) -> TapeReport:
    """Judge readings of a plan against the level's station tolerance; raises PocketrefError for what can't be read."""
    check_readings(plan, readings)
    honest_mm = tolerance.float_mm / HONEST
    frame = choose_frame(plan, readings, honest_mm)
    found = explain(construct_network(plan.stations, readings, frame, tape, honest_mm))
    fault = _find_tape_fault(found, tolerance.float_mm)
    judge = _Judge(plan, readings, found, tolerance, may_move=fault is None or fault.is_proved)
    misreads = _list_misreads(found)
    stations = judge.judge_stations()
    asks = fault is not None and not fault.is_proved and not fault.is_harmless
    return TapeReport(
        plan,
        tuple(readings),
        found,
        stations,
        fault,
        misreads,
        _find_swapped(found.network, misreads),
        judge.doubts,
        _find_together(found, stations),
        () if found.is_settled else _list_worst(found),
        max(
            (pull for pull in judge.usual if pull.name in judge.taped),
            key=lambda p: p.length_mm,
            default=None,
        )
        if asks
        else None,
        _measure_field(found) if fault is None or fault.is_proved else 0.0,
    )


def _find_tape_fault(found: Explanation, tolerance_mm: float) -> TapeFault | None:
    every = {one.kind for cause in found.causes for one in (cause, *cause.rivals)}
    kinds = tuple(dict.fromkeys(c.kind for c in found.causes if c.kind in TAPE_KINDS))
    of_field = any(cause.kind is Kind.FIELD for cause in found.causes)
    rival = any(
        cause.kind is Kind.FIELD and any(rival.kind in TAPE_KINDS for rival in cause.rivals)
        for cause in found.causes
    )
    if not kinds and not rival:
        return None
    network, unknowns = found.network, found.solution.unknowns
    thousandths, offset_mm = unknowns[-2:].tolist()
    if of_field:
        thousandths += float(found.solution.added[_find_column(found, Kind.FIELD)])
    reach = np.max(np.hypot(*(network.planned_mm - network.planned_mm[0]).T))
    second = bool((network.own_tape == 0).any())
    field_perhaps = rival or Kind.FIELD in every
    return TapeFault(
        kinds or (Kind.FACTOR,),
        thousandths if Kind.FACTOR in kinds or of_field else 0.0,
        offset_mm if Kind.OFFSET in kinds else 0.0,
        field_perhaps,
        second and not field_perhaps,
        (Kind.OFFSET not in kinds and abs(thousandths) / 1000 * float(reach) <= tolerance_mm),
    )


def _find_column(found: Explanation, kind: Kind) -> int:
    column = 0
    for cause in found.causes:
        if cause.kind is kind:
            return column
        column += cause.size if cause.kind is not Kind.MISREAD and not cause.is_doubt else 0
    raise KeyError(kind)


def _list_misreads(found: Explanation) -> tuple[Misread, ...]:
    firm = [cause for cause in found.causes if cause.kind is Kind.MISREAD and not cause.is_doubt]
    order = found.list_left_out()
    amounts = found.solution.added[len(found.solution.added) - len(order) :]
    return tuple(Misread(c.name, c.reading, float(amounts[order.index(c.reading)])) for c in firm)


def _find_swapped(network: Network, misreads: Sequence[Misread]) -> tuple[tuple[str, str], ...]:
    """Pairs of misreads that come near where each other's pull should be: the targets' difference explains both."""
    pairs = []
    target = network.target_mm
    for number, first in enumerate(misreads):
        for second in misreads[number + 1 :]:
            apart = float(target[second.index] - target[first.index])
            if max(abs(first.by_mm - apart), abs(second.by_mm + apart)) < 0.2 * abs(apart):
                pairs.append((first.name, second.name))
    return tuple(pairs)


def _find_together(found: Explanation, stations: Mapping[str, FoundStation]) -> Mapping[str, tuple[str, ...]]:
    shapes = [cause.name for cause in found.causes if cause.kind is Kind.SHAPE and not cause.is_doubt]
    return {
        name: SHAPES[name]
        for name in shapes
        if any(stations[mark].verdict is PlaceVerdict.OUT for mark in SHAPES[name])
    }


def _measure_field(found: Explanation) -> float:
    if not any(cause.kind is Kind.FIELD for cause in found.causes):
        return 0.0
    return float(found.solution.added[_find_column(found, Kind.FIELD)])


def _standardise(found: Explanation) -> list[float | None]:
    """Each reading's residual in its own standard errors."""
    force, hold = weigh_residuals(found.network, found.solution)
    own = np.diag(found.network.weight)
    size = -force / np.sqrt(np.maximum(hold, 1e-12))
    checked = (hold > _UNCHECKED * own).tolist()
    return [value if is_checked else None for value, is_checked in zip(size.tolist(), checked, strict=True)]


def _list_worst(found: Explanation) -> tuple[str, ...]:
    network, sizes = found.network, [abs(size or 0.0) for size in _standardise(found)]
    order = sorted(range(len(sizes)), key=lambda index: -sizes[index])[:_WORST]
    return tuple(f"{network.marks[network.starts[i]]}-{network.marks[network.ends[i]]}" for i in order)


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
        self.plan, self.found, self.tolerance = plan, found, tolerance
        self.names = [reading.name for reading in readings]
        self.taped = {*self.names, *(f"{r.to_station}-{r.from_station}" for r in readings)}
        self.may_move = may_move and found.is_settled
        self.doubts = tuple(
            Doubt(
                tuple(one.name for one in (cause, *cause.rivals) if one.kind is Kind.MISREAD),
                tuple(one.name for one in (cause, *cause.rivals) if one.kind is not Kind.MISREAD),
            )
            for cause in found.causes
            if cause.is_doubt
        )
        self.accepted = {
            mark for cause in found.causes if not cause.is_doubt for mark in _list_marks(cause, found.network)
        }
        self.freed = {c.name for c in found.causes if c.kind is Kind.STATION and not c.is_doubt}
        self.doubted = {place for doubt in self.doubts for place in doubt.places}
        self.off, self.covariance = find_places(found.network, found.solution, tuple(self.freed))
        self.axes = np.sqrt(np.maximum(np.linalg.eigvalsh(self.covariance)[:, 1], 0.0))

    @cached_property
    def usual(self) -> tuple[Pull, ...]:
        return pulls(self.plan)

    def judge_stations(self) -> dict[str, FoundStation]:
        network = self.found.network
        touched = np.union1d(network.starts, network.ends).tolist()
        return {network.marks[index]: self._judge(index) for index in touched}

    def _judge(self, index: int) -> FoundStation:
        network = self.found.network
        mark, tolerance_mm = network.marks[index], self.tolerance.float_mm
        station = self.plan.stations[mark]
        is_held = mark in PLATE_MARKS or not network.spread[2 * index : 2 * index + 2].any()
        if is_held and mark not in self.accepted:
            again = self._list_doubted(mark)
            verdict = PlaceVerdict.AGAIN if mark in self.doubted else PlaceVerdict.KNOWN
            return FoundStation(
                mark, station.label, (0.0, 0.0), np.zeros((2, 2)), self.tolerance, verdict, again
            )
        off, covariance = self.off[index], self.covariance[index]
        verdict, again = self._decide(mark, index, off, covariance, tolerance_mm)
        return FoundStation(
            mark, station.label, (float(off[0]), float(off[1])), covariance, self.tolerance, verdict, again
        )

    def _decide(
        self, mark: str, index: int, off: Floats, covariance: Floats, tolerance_mm: float
    ) -> tuple[PlaceVerdict, tuple[str, ...]]:
        if mark in self.doubted or not self.found.is_settled:
            return PlaceVerdict.AGAIN, self._list_doubted(mark)
        if self.axes[index] > _LOOSE * tolerance_mm:
            doubted = self._list_left_out(mark)
            if doubted:
                return PlaceVerdict.AGAIN, doubted
            return PlaceVerdict.FEW, self._choose_pulls(
                index, np.linalg.eigh(covariance)[1][:, 1], 2, repeats=False
            )
        far = float(np.hypot(off[0], off[1]))
        way: Floats = off / max(far, 1e-9)
        error = math.sqrt(max(float(way @ covariance @ way), 0.0))
        if far - _ORDER * error > tolerance_mm:
            again = () if mark in self.accepted else self._find_upsetting(mark, index, tolerance_mm)
            if again or not self.may_move:
                return PlaceVerdict.AGAIN, again
            return PlaceVerdict.OUT, ()
        if (
            far + _SILENT * error > tolerance_mm
            and off @ np.linalg.pinv(covariance, hermitian=True) @ off > _SHOWN
        ):
            return PlaceVerdict.AGAIN, self._choose_pulls(index, way, 1, repeats=True)
        is_sure = far + ELLIPSE_FACTOR * self.axes[index] <= tolerance_mm
        return PlaceVerdict.GOOD if is_sure else PlaceVerdict.PASSES, ()

    def _list_doubted(self, mark: str) -> tuple[str, ...]:
        return tuple(dict.fromkeys(p for doubt in self.doubts if mark in doubt.places for p in doubt.pulls))

    def _list_left_out(self, mark: str) -> tuple[str, ...]:
        names = (self.names[index] for index in self.found.list_left_out())
        return tuple(name for name in names if mark in name.split("-"))

    def _find_upsetting(self, mark: str, index: int, tolerance_mm: float) -> tuple[str, ...]:
        """The pulls any one of which, if misread, could alone have put a station beyond its tolerance."""
        network = self.found.network
        own = np.flatnonzero((network.starts == index) | (network.ends == index)).tolist()
        out = self.found.list_left_out()
        upsetting = []
        for reading in own:
            if reading in out:
                continue
            off, covariance = find_places(network, solve_network(network, None, (*out, reading)), ())
            is_loose = float(np.max(covariance[index])) > (_LOOSE * tolerance_mm) ** 2
            if is_loose or np.hypot(*off[index].tolist()) <= tolerance_mm:
                upsetting.append(self.names[reading])
        return tuple(upsetting)

    def _choose_pulls(self, index: int, way: Floats, count: int, *, repeats: bool) -> tuple[str, ...]:
        """The plan's own pulls of a station that settle most of where it is along `way`."""
        network = self.found.network
        number = {mark: at for at, mark in enumerate(network.marks)}
        mark, points = network.marks[index], network.planned_mm
        scored = []
        for pull in self.usual:
            ends = (pull.from_station, pull.to_station)
            if mark not in ends or (pull.name in self.taped and not repeats):
                continue
            other = ends[1] if ends[0] == mark else ends[0]
            if other not in number:
                continue
            aim = (points[index] - points[number[other]]) / pull.length_mm
            scored.append((-round(abs(float(aim @ way)), 6), pull.name))
        return tuple(name for _, name in sorted(scored)[:count])


def _list_marks(cause: Cause, network: Network) -> Sequence[str]:
    if cause.kind is Kind.STATION:
        return (cause.name,)
    if cause.kind is Kind.FIELD:
        return network.marks
    return SHAPES.get(cause.name, ())
