"""What is wrong, by the readings: the tape, a pull misread, a station or a whole shape out of place.

Each is a hypothesis against "the field is as planned, the tape is sound": a direction added to the least squares,
which lowers the weighted sum of squares by a gain that is chi-square distributed where nothing is wrong. For one
misread this is Baarda's data snooping (1968); for more directions at once its general form (P. J. G. Teunissen,
Distributional theory for the DIA method, 2018). What gains most beyond its critical value is taken, until nothing
does: the tape is so found before any corner of a field is blamed for it. What gains as much within one critical
value is told with it as one of these.
"""

from __future__ import annotations

from collections.abc import Iterator, Sequence
from dataclasses import dataclass, replace
from enum import StrEnum
from functools import cache

import numpy as np
from scipy.stats import chi2

from pocketref.tape.error_model import Floats
from pocketref.tape.network import Network, Solution, cut_blocks, solve_network
from pocketref.tape.readings import PLATE_MARKS

FALSE_ALARMS = 0.005
"""One sound sheet in so many is told something of: shared over its readings. Our own figure."""
RIVAL = float(chi2.ppf(0.999, 1))
"""What gains less than this beyond a rival is no better than it: Baarda's 0.1 %."""
_MOST_CAUSES = 16
"""A plate area has 14 stations that can be off; a file of nonsense must not hold a crew up. Our own figure."""
_MOST_SOLVED = 6
_HOPEFUL = 0.3
"""So many places are solved anew, as far moves bend the slopes: those that by slopes gain this share of the best."""
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
    """One thing that may be wrong: of a misread `reading` is its number, of the rest `name` says what."""

    kind: Kind
    name: str
    size: int
    """How many directions it adds."""
    reading: int = -1
    gain: float = 0.0
    """How much it lowers the sum of squares beyond its critical value."""
    rivals: tuple[Cause, ...] = ()
    """What explains the readings as well."""

    @property
    def is_doubt(self) -> bool:
        """Whether a misread and something else, or several misreads, explain the readings alike."""
        every = (self, *self.rivals)
        return len(every) > 1 and any(cause.kind is Kind.MISREAD for cause in every)


@dataclass(frozen=True, slots=True)
class Explanation:
    """Causes in the order they were found, and the network solved with them."""

    network: Network
    causes: tuple[Cause, ...]
    solution: Solution
    is_settled: bool
    """Whether nothing is left to explain."""

    def list_left_out(self) -> tuple[int, ...]:
        """The readings that count for nothing."""
        return _list_left_out(self.causes)


@cache
def find_critical(size: int, readings: int) -> float:
    """The gain of so many directions that one sound sheet in 200 reaches anywhere."""
    return float(chi2.ppf(1 - FALSE_ALARMS / readings, size))


def explain(network: Network) -> Explanation:
    """Everything that the readings say is wrong."""
    found = Explanation(network, (), solve_network(network), is_settled=False)
    for _ in range(_MOST_CAUSES):
        cause = _find_cause(found)
        if cause is None:
            return replace(found, is_settled=True)
        found = _drop_idle(_solve(network, (*found.causes, cause)))
    return found


def _solve(network: Network, causes: tuple[Cause, ...]) -> Explanation:
    added = [_direct(network, cause) for cause in causes if _is_added(cause)]
    directions = np.hstack(added) if added else None
    solution = solve_network(network, directions, _list_left_out(causes))
    return Explanation(network, causes, solution, is_settled=False)


def _is_added(cause: Cause) -> bool:
    return cause.kind is not Kind.MISREAD and not cause.is_doubt


def _list_left_out(causes: Sequence[Cause]) -> tuple[int, ...]:
    doubted = (one for cause in causes for one in (cause, *cause.rivals) if cause.is_doubt)
    misread = (cause for cause in causes if not cause.is_doubt)
    return tuple(dict.fromkeys(one.reading for one in (*misread, *doubted) if one.kind is Kind.MISREAD))


def _direct(network: Network, cause: Cause) -> Floats:
    """The directions that a cause adds, (unknowns, size)."""
    size = len(network.spread)
    if cause.kind in TAPE_KINDS:
        return np.eye(size)[:, [size - 2 if cause.kind is Kind.FACTOR else size - 1]]
    if cause.kind is Kind.STATION:
        return np.eye(size)[:, _list_loose(network, cause.name)]
    marks = _list_field(network) if cause.kind is Kind.FIELD else SHAPES[cause.name]
    rows = np.array([network.marks.index(mark) for mark in marks])
    points = network.planned_mm[rows]
    moves = np.zeros((size, 1 if cause.kind is Kind.FIELD else 3))
    if cause.kind is Kind.FIELD:
        origin = network.planned_mm[network.marks.index("A")]
        moves[2 * rows, 0], moves[2 * rows + 1, 0] = ((points - origin) / 1000).T
        return moves
    arm = points - points.mean(axis=0)
    moves[2 * rows, 0], moves[2 * rows + 1, 1] = 1.0, 1.0
    moves[2 * rows, 2], moves[2 * rows + 1, 2] = -arm[:, 1] / 1000, arm[:, 0] / 1000
    return moves


def _list_loose(network: Network, mark: str) -> list[int]:
    """The numbers of a station's unknowns that are not held."""
    at = 2 * network.marks.index(mark)
    return [number for number in (at, at + 1) if network.spread[number] > 0]


def _list_field(network: Network) -> tuple[str, ...]:
    return tuple(mark for mark in network.marks if mark not in PLATE_MARKS)


def _find_cause(found: Explanation) -> Cause | None:
    """What gains most beyond its critical value, with its rivals; None if nothing gains."""
    network, weighed = found.network, weigh_all(found)
    if not weighed:
        return None
    solved, tries = [], 0
    for cause in weighed:
        is_hopeful = cause.gain > _HOPEFUL * weighed[0].gain
        if is_hopeful and cause.kind in (Kind.STATION, Kind.SHAPE) and tries < _MOST_SOLVED:
            tries += 1
            gain = found.solution.square - _solve(network, (*found.causes, cause)).solution.square
            solved.append(replace(cause, gain=gain - _need(network, cause.size)))
        else:
            solved.append(cause)
    best, *others = sorted(solved, key=lambda cause: -cause.gain)
    rivals = tuple(other for other in others if other.gain > best.gain - RIVAL)
    return replace(best, rivals=rivals) if best.gain > 0 else None


def weigh_all(found: Explanation) -> list[Cause]:
    """Every single thing more that would explain the readings better, by slopes; what gains most first."""
    return sorted((*_weigh_misreads(found), *_weigh_places(found)), key=lambda cause: -cause.gain)


def _need(network: Network, size: int) -> float:
    return find_critical(size, len(network.read_mm))


def _weigh_misreads(found: Explanation) -> Iterator[Cause]:
    """Each reading as a misread: w² of data snooping."""
    network, solution = found.network, found.solution
    force, hold = weigh_residuals(network, solution)
    own = np.diag(network.weight)
    firm = hold > 1e-4 * own
    gains = np.where(firm, force**2 / np.where(firm, hold, 1.0), 0.0)
    need = _need(network, 1)
    for index in np.flatnonzero(gains > need).tolist():
        name = f"{network.marks[network.starts[index]]}-{network.marks[network.ends[index]]}"
        yield Cause(Kind.MISREAD, name, 1, index, float(gains[index]) - need)


def weigh_residuals(network: Network, solution: Solution) -> tuple[Floats, Floats]:
    """Of each reading the pull of its residual, and how firmly the rest holds it: w is one over the other's root."""
    weighted = network.weight @ solution.rows
    hold: Floats = np.diag(network.weight) - ((weighted @ solution.cofactor) * weighted).sum(axis=1)
    return network.weight @ solution.left_mm, hold


def _weigh_places(found: Explanation) -> Iterator[Cause]:
    """Stations, shapes, the field and the tape: each as a direction let go of what was known beforehand."""
    network, solution = found.network, found.solution
    spread = network.spread
    known = np.where(spread == 0, 0.0, 1 / np.where(spread == 0, 1.0, spread) ** 2)
    force = known * solution.own
    hold = np.diag(known) - known[:, None] * solution.covariance * known
    count = len(network.marks)
    gains = _gain(force[:-2].reshape(count, 2), cut_blocks(hold, count))
    taken = {(cause.kind, cause.name) for cause in found.causes}
    for cause in _list_places(network):
        if (cause.kind, cause.name) in taken:
            continue
        if cause.kind is Kind.STATION:
            gain = gains[network.marks.index(cause.name)]
        else:
            aim = _direct(network, cause)
            gain = _gain(aim.T @ force, aim.T @ hold @ aim)
        if gain > _need(network, cause.size):
            yield replace(cause, gain=float(gain) - _need(network, cause.size))


def _gain(pull: Floats, firm: Floats) -> Floats:
    """pullᵀ firm⁻¹ pull, of one or of many; directions that nothing holds gain nothing."""
    values, vectors = np.linalg.eigh(firm)
    is_firm = values > 1e-9 * np.maximum(values[..., -1:], 1e-12)
    along = np.einsum("...ji,...j->...i", vectors, pull)
    gain: Floats = np.where(is_firm, along**2 / np.where(is_firm, values, 1.0), 0.0).sum(axis=-1)
    return gain


def _list_places(network: Network) -> Iterator[Cause]:
    touched = {network.marks[index] for index in np.union1d(network.starts, network.ends).tolist()}
    for mark in network.marks:
        size = len(_list_loose(network, mark))
        if mark in touched and size:
            yield Cause(Kind.STATION, mark, size)
    for name, marks in SHAPES.items():
        if touched.issuperset(marks):
            yield Cause(Kind.SHAPE, name, 3)
    yield Cause(Kind.FACTOR, "factor", 1)
    yield Cause(Kind.OFFSET, "offset", 1)
    if len(_list_field(network)) > 1:
        yield Cause(Kind.FIELD, "field", 1)


def _drop_idle(found: Explanation) -> Explanation:
    """The same without causes that later ones leave nothing to explain; what was left out is so put back."""
    network, size = found.network, len(found.network.spread)
    added = sum(cause.size for cause in found.causes if _is_added(cause))
    left_out = found.list_left_out()
    column, idle = 0, []
    for cause in found.causes[:-1]:
        if cause.is_doubt:
            continue
        if cause.kind is Kind.MISREAD:
            start = added + left_out.index(cause.reading)
        else:
            start, column = column, column + cause.size
        part, own = slice(start, start + cause.size), slice(size + start, size + start + cause.size)
        amount = found.solution.added[part]
        gain = float(amount @ np.linalg.solve(found.solution.cofactor[own, own], amount))
        if gain < _need(network, cause.size):
            idle.append(cause)
    if not idle:
        return found
    return _solve(network, tuple(cause for cause in found.causes if cause not in idle))
