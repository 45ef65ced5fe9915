"""What is wrong, by the readings: the tape, a pull misread, a station or a whole shape out of place.

Each is a hypothesis against "the field is as planned, the tape is sound": a direction added to the least squares,
which lowers the weighted sum of squares by a gain that is chi-square distributed where nothing is wrong. For one
misread this is Baarda's data snooping (1968); for more directions at once its general form (P. J. G. Teunissen,
Distributional theory for the DIA method, 2018). What gains most beyond its critical value is taken, until nothing
does: the tape is so found before any corner of a field is blamed for it. What gains as much within one critical
value is told with it as one of these.
"""

from __future__ import annotations

from collections.abc import Iterator
from dataclasses import dataclass, field, replace
from enum import StrEnum
from functools import cache

import numpy as np
from scipy.stats import chi2

from pocketref.tape.error_model import Floats
from pocketref.tape.network import Network, Solution, solve_network
from pocketref.tape.readings import PLATE_MARKS

FALSE_ALARMS = 0.005
"""One sound sheet in so many is told something of: shared over its readings. Our own figure."""
RIVAL = float(chi2.ppf(0.999, 1))
"""What gains less than this beyond a rival is no better than it: Baarda's 0.1 %."""
MOST_CAUSES = 16
"""A plate area has 14 stations that can be off; a file of nonsense must not hold a crew up. Our own figure."""
FEW_LEFT_OUT, MOST_SHARE = 3, 4
"""Where more readings than one in so many had to be left out, the sheet is at fault: our own figures."""
FEW_BESIDE = 2
"""With more places off beside it, the tape doesn't explain the readings: our own figure."""
MOST_SOLVED, HOPEFUL = 6, 0.3
"""So many places are solved anew, as far moves bend the slopes: those that by slopes gain this share of the best."""
ROUNDING = 1e-6
"""What gains the same but for this share gains the same: rounding must not choose between a tape and a field."""
UNCHECKED = 1e-4
"""A reading that the rest holds less firmly than by this share of its weight is checked by nothing: our own figure."""
SHAPES = {
    "first-base-side box": ("F1", "F2", "F3", "F4"),
    "third-base-side box": ("T1", "T2", "T3", "T4"),
    "catcher's box": ("C1", "C2", "C3", "C4"),
    "both batter's boxes": ("F1", "F2", "F3", "F4", "T1", "T2", "T3", "T4"),
}
"""What is set with one template or string, and can be off as one."""


class Kind(StrEnum):
    """What kind of thing is wrong."""

    MISREAD = "misread"
    STATION = "station"
    SHAPE = "shape"
    FIELD = "field"
    """The whole field larger or smaller by a factor."""
    FACTOR = "factor"
    OFFSET = "offset"


TAPE_KINDS = (Kind.FACTOR, Kind.OFFSET)


@dataclass(frozen=True, slots=True)
class Cause:
    """One thing that may be wrong."""

    kind: Kind
    name: str
    marks: tuple[str, ...] = ()
    """The stations that it moves."""
    reading: int = -1
    """The number of a misread."""
    aim: Floats = field(default_factory=lambda: np.zeros((0, 1)), compare=False)
    """The directions in which it lets the unknowns go, (unknowns, size)."""
    gain: float = 0.0
    """How much it lowers the sum of squares beyond its critical value."""
    rivals: tuple[Cause, ...] = ()
    """What explains the readings as well."""

    @property
    def size(self) -> int:
        """How many amounts it adds."""
        return int(self.aim.shape[1])

    @property
    def every(self) -> tuple[Cause, ...]:
        """It and its rivals."""
        return (self, *self.rivals)

    @property
    def is_doubt(self) -> bool:
        """Whether a misread and something else, or several misreads, explain the readings alike."""
        return bool(self.rivals) and any(cause.kind is Kind.MISREAD for cause in self.every)


@dataclass(frozen=True, slots=True)
class Explanation:
    """Causes in the order they were found, and the network solved with them."""

    network: Network
    places: tuple[Cause, ...]
    """Everything but single readings that may be wrong."""
    causes: tuple[Cause, ...]
    solution: Solution
    is_settled: bool = False
    """Whether nothing is left to explain."""

    @property
    def added(self) -> list[Cause]:
        """The causes that let unknowns go."""
        return [cause for cause in self.causes if cause.kind is not Kind.MISREAD and not cause.is_doubt]

    @property
    def left_out(self) -> tuple[int, ...]:
        """The readings that count for nothing: misread, or doubted."""
        one = (each for cause in self.causes for each in (cause.every if cause.is_doubt else (cause,)))
        return tuple(dict.fromkeys(each.reading for each in one if each.kind is Kind.MISREAD))

    def solve(self, *more: Cause) -> Explanation:
        """The same with more causes, solved anew."""
        found = replace(self, causes=(*self.causes, *more))
        directions = np.hstack([cause.aim for cause in found.added]) if found.added else None
        return replace(found, solution=solve_network(self.network, directions, found.left_out))

    def measure(self, cause: Cause) -> tuple[Floats, Floats]:
        """The amounts of one of its causes, and their covariance."""
        if cause.kind is Kind.MISREAD:
            start = sum(each.size for each in self.added) + self.left_out.index(cause.reading)
        else:
            start = sum(each.size for each in self.added[: self.added.index(cause)])
        own = slice(len(self.network.spread) + start, len(self.network.spread) + start + cause.size)
        return self.solution.added[start : start + cause.size], self.solution.cofactor[own, own]


@cache
def find_critical(size: int, readings: int) -> float:
    """The gain of so many directions that one sound sheet in 200 reaches anywhere."""
    return float(chi2.ppf(1 - FALSE_ALARMS / readings, size))


def begin(network: Network) -> Explanation:
    """Nothing explained yet."""
    return Explanation(network, tuple(_list_places(network)), (), solve_network(network))


def explain(network: Network) -> Explanation:
    """Everything that the readings say is wrong.

    The tape is named only where it explains the readings: not beside many corners that are off all the same.
    """
    start = begin(network)
    found = _explain(start)
    of_tape = [cause for cause in found.added if cause.kind in (*TAPE_KINDS, Kind.FIELD)]
    if of_tape and len(found.added) - len(of_tape) > FEW_BESIDE:
        places = tuple(cause for cause in start.places if cause.kind not in (*TAPE_KINDS, Kind.FIELD))
        other = _explain(replace(start, places=places))
        return other if other.is_settled else found
    return found


def _explain(found: Explanation) -> Explanation:
    """Taking what gains most, one after another, until nothing does."""
    network = found.network
    for _ in range(MOST_CAUSES):
        cause = _find_cause(found)
        if cause is None:
            return replace(found, is_settled=True)
        found = _drop_idle(found.solve(cause))
        if len(found.left_out) > max(FEW_LEFT_OUT, len(network.read_mm) // MOST_SHARE):
            break
    return found


def _find_cause(found: Explanation) -> Cause | None:
    """What gains most beyond its critical value, with its rivals; None if nothing gains."""
    weighed = weigh_all(found)
    if not weighed:
        return None
    hopeful = [cause for cause in weighed if cause.gain > HOPEFUL * weighed[0].gain]
    for cause in [each for each in hopeful if each.kind in (Kind.STATION, Kind.SHAPE)][:MOST_SOLVED]:
        gain = found.solution.square - found.solve(cause).solution.square - _need(found, cause)
        weighed[weighed.index(cause)] = replace(cause, gain=gain)
    weighed.sort(key=lambda cause: -cause.gain)
    most = weighed[0].gain
    alike = [cause for cause in weighed if cause.gain >= most - ROUNDING * abs(most)]
    best = min(alike, key=lambda cause: (cause.kind not in TAPE_KINDS, cause.kind, cause.name))
    rivals = tuple(c for c in weighed if c is not best and c.gain > best.gain - RIVAL)
    return replace(best, rivals=rivals) if best.gain > 0 else None


def _need(found: Explanation, cause: Cause) -> float:
    return find_critical(cause.size, len(found.network.read_mm))


def weigh_all(found: Explanation) -> list[Cause]:
    """Every single thing more that would explain the readings better, by slopes; what gains most first."""
    weighed = (replace(cause, gain=gain - _need(found, cause)) for cause, gain in _weigh(found))
    return sorted((cause for cause in weighed if cause.gain > 0), key=lambda cause: -cause.gain)


def _weigh(found: Explanation) -> Iterator[tuple[Cause, float]]:
    """Each reading as a misread, by w² of data snooping; each place and the tape, let go of what was known of it."""
    network, solution = found.network, found.solution
    force, hold = weigh_residuals(network, solution)
    firm = hold > UNCHECKED * np.diag(network.weight)
    squares = np.where(firm, force**2 / np.where(firm, hold, 1.0), 0.0)
    for index, square in enumerate(squares.tolist()):
        yield Cause(Kind.MISREAD, network.name_pull(index), (), index), square
    known = np.where(network.spread == 0, 0.0, 1 / np.where(network.spread == 0, 1.0, network.spread) ** 2)
    drawn = known * solution.own
    held = np.diag(known) - known[:, None] * solution.covariance * known
    for cause in found.places:
        yield cause, _gain(cause.aim.T @ drawn, cause.aim.T @ held @ cause.aim)


def weigh_residuals(network: Network, solution: Solution) -> tuple[Floats, Floats]:
    """Of each reading the pull of its residual, and how firmly the rest holds it: w is one over the other's root."""
    weighted = network.weight @ solution.rows
    hold: Floats = np.diag(network.weight) - ((weighted @ solution.cofactor) * weighted).sum(axis=1)
    return network.weight @ solution.left_mm, hold


def _gain(pull: Floats, firm: Floats) -> float:
    """pullᵀ firm⁻¹ pull; directions that nothing holds gain nothing."""
    values, vectors = np.linalg.eigh(firm)
    is_firm = values > 1e-9 * max(float(values[-1]), 1e-12)
    along = vectors.T @ pull
    return float((along[is_firm] ** 2 / values[is_firm]).sum())


def _drop_idle(found: Explanation) -> Explanation:
    """The same without causes that later ones leave nothing to explain; what was left out is so put back."""
    kept = [found.causes[-1]]
    for cause in found.causes[-2::-1]:
        amount, covariance = (np.zeros(0), np.zeros((0, 0))) if cause.is_doubt else found.measure(cause)
        if cause.is_doubt or float(amount @ np.linalg.solve(covariance, amount)) >= _need(found, cause):
            kept.append(cause)
    return found if len(kept) == len(found.causes) else replace(found, causes=tuple(kept[::-1])).solve()


def _list_places(network: Network) -> Iterator[Cause]:
    """Stations, shapes, the field and the tape, with the directions in which each would let unknowns go."""
    unit = np.eye(len(network.spread))
    touched = {network.marks[index] for index in np.union1d(network.starts, network.ends).tolist()}
    for index, mark in enumerate(network.marks):
        loose = [number for number in (2 * index, 2 * index + 1) if network.spread[number] > 0]
        if mark in touched and loose:
            yield Cause(Kind.STATION, mark, (mark,), aim=unit[:, loose])
    for name, marks in SHAPES.items():
        if touched.issuperset(marks):
            rows = np.array([network.marks.index(mark) for mark in marks])
            arm = (network.planned_mm[rows] - network.planned_mm[rows].mean(axis=0)) / 1000
            x, y = unit[:, 2 * rows], unit[:, 2 * rows + 1]
            turn = y @ arm[:, 0] - x @ arm[:, 1]
            yield Cause(Kind.SHAPE, name, marks, aim=np.column_stack([x.sum(axis=1), y.sum(axis=1), turn]))
    yield Cause(Kind.FACTOR, "the tape", aim=unit[:, [-2]])
    yield Cause(Kind.OFFSET, "the tape", aim=unit[:, [-1]])
    field_marks = tuple(mark for mark in network.marks if mark not in PLATE_MARKS)
    if len(field_marks) > 1:
        rows = np.array([network.marks.index(mark) for mark in field_marks])
        grown = (network.planned_mm[rows] - network.planned_mm[network.marks.index("A")]) / 1000
        aim = unit[:, 2 * rows] @ grown[:, 0] + unit[:, 2 * rows + 1] @ grown[:, 1]
        yield Cause(Kind.FIELD, "the whole field", field_marks, aim=aim[:, None])
