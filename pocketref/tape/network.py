"""Taped readings as a least-squares problem: what is unknown, what is known of it beforehand, and its solution.

Unknown are each station's displacement from the plan, the tape's factor (in thousandths) and offset, how shapes are
moved whole, and by how much each reading is misread. Each has what is known of it beforehand as a standard deviation:
0 holds it, as shapes and misreadings are until one is let go. The textbook form is used throughout: weight matrix W,
normal matrix N = JᵀWJ + P, covariance Q = N⁻¹, and W - WJQJᵀW behind every test of a residual (W. Baarda, A testing
procedure for use in geodetic networks, 1968).
"""

from __future__ import annotations

from collections.abc import Iterable, Sequence
from dataclasses import dataclass
from enum import StrEnum

import numpy as np
import numpy.typing as npt

from pocketref.field.plan import Plan
from pocketref.tape.error_model import OFFSET_MM, PLATE_MM, STEEL, TURN_MM, Floats, Tape, predict_hand_mm2
from pocketref.tape.readings import PLATE_MARKS, Reading

Whole = npt.NDArray[np.intp]
FREE_MM = 3000.0
"""Standard deviation of what is let go: it may be anything, and is still a number. Our own figure."""
CENTRE_MARKS = ("2B", "PP", "MC")
MOST_STEPS = 15
SETTLED_MM = 1e-4
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


@dataclass(frozen=True, slots=True)
class Cause:
    """One thing that may be wrong."""

    kind: Kind
    name: str
    freed: tuple[int, ...]
    """The unknowns that it lets go: of a shape across, along and its turn in thousandths, as of the tape's factor."""
    marks: tuple[str, ...] = ()
    """The stations that it moves."""
    gain: float = 0.0
    """How much it lowers the sum of squares beyond its critical value."""
    rivals: tuple[Cause, ...] = ()
    """What explains the readings as well."""

    @property
    def every(self) -> tuple[Cause, ...]:
        """It and its rivals."""
        return (self, *self.rivals)

    @property
    def pulls(self) -> tuple[str, ...]:
        """The pulls of these that may be misread."""
        return tuple(cause.name for cause in self.every if cause.kind is Kind.MISREAD)

    @property
    def places(self) -> tuple[str, ...]:
        """The others' names."""
        return tuple(dict.fromkeys(cause.name for cause in self.every if cause.kind is not Kind.MISREAD))

    @property
    def is_doubt(self) -> bool:
        """Whether a misread and something else, or several misreads, explain the readings alike."""
        return bool(self.rivals and self.pulls)


@dataclass(frozen=True, slots=True)
class Network:
    """Readings between stations, as arrays.

    The unknowns are x and y by station, factor, offset, the amounts of each shape, then each reading's misreading.
    """

    marks: tuple[str, ...]
    planned_mm: Floats
    """(stations, 2)"""
    starts: Whole
    ends: Whole
    read_mm: Floats
    weight: Floats
    """Inverse of the readings' covariance."""
    own_tape: Floats
    """1 where a reading is by the tape whose factor and offset are unknown, 0 where by another."""
    mix: Floats
    """How x and y of the stations follow from all unknowns but the misreadings."""
    spread: Floats
    """What is known of the unknowns: standard deviations; 0 where held."""
    causes: tuple[Cause, ...] = ()
    """Everything that may be wrong; the misreads are the last, in the order of the readings."""

    @property
    def target_mm(self) -> Floats:
        """What the plan says each reading should be."""
        target: Floats = np.hypot(*(self.planned_mm[self.ends] - self.planned_mm[self.starts]).T)
        return target

    def number(self, misread: Cause) -> int:
        """The number of the reading that is misread."""
        return misread.freed[0] - int(self.mix.shape[1])

    def predict(self, unknowns: Floats) -> tuple[Floats, Floats]:
        """The readings that unknowns would give, and how they change with each, (readings, unknowns)."""
        size, first = self.mix.shape
        tape = slice(size, size + 2)
        points = self.planned_mm + (self.mix @ unknowns[:first]).reshape(-1, 2)
        towards = points[self.ends] - points[self.starts]
        distance = np.maximum(np.hypot(towards[:, 0], towards[:, 1]), 1e-9)
        at = np.arange(len(distance))
        by_place = np.zeros((len(distance), size))
        for axis in (0, 1):
            by_place[at, 2 * self.ends + axis] = towards[:, axis] / distance
            by_place[at, 2 * self.starts + axis] = -towards[:, axis] / distance
        slopes = np.zeros((len(distance), len(unknowns)))
        slopes[:, :first] = by_place @ self.mix
        slopes[:, tape] = np.column_stack([self.own_tape * distance / 1000, self.own_tape])
        slopes[at, first + at] = 1.0
        return distance + slopes[:, tape] @ unknowns[tape] + unknowns[first:], slopes


@dataclass(frozen=True, slots=True)
class Solution:
    """A network's unknowns by least squares, 0 where held."""

    unknowns: Floats
    covariance: Floats
    spread: Floats
    """What was known of them: standard deviations."""
    slopes: Floats
    """How readings change with each of them."""
    left_mm: Floats
    """Reading less prediction."""
    square: float
    """The weighted sum of squares: of the readings, and of what was known beforehand."""


def choose_frame(plan: Plan, readings: Iterable[Reading], honest_mm: float) -> dict[str, tuple[float, float]]:
    """What readings of a plan are judged from: standard deviations across the field and along it, mm, 0 where held.

    Around home plate it is the plate, its corners where its dimensions put them. On a whole field the apex is the
    origin and second base (else the pitcher's plate, else the mound's centre) is on the centre line; the plate is too
    small to aim a field by.
    """
    if "1B" not in plan.stations:
        return {mark: (PLATE_MM, PLATE_MM) for mark in PLATE_MARKS if mark in plan.stations}
    read = {mark for reading in readings for mark in reading.pair}
    aim = next((mark for mark in CENTRE_MARKS if mark in read), None)
    corner = TURN_MM if aim else PLATE_MM
    corners = {mark: (corner, corner) for mark in PLATE_MARKS[1:] if mark in read}
    return {"A": (0.0, 0.0), **({aim: (0.0, honest_mm)} if aim else {}), **corners}


def construct_network(
    plan: Plan, readings: Sequence[Reading], honest_mm: float, tape: Tape = STEEL
) -> Network:
    """The arrays of readings; `honest_mm` is how far a station of an honest field is off, each way."""
    frame = choose_frame(plan, readings, honest_mm)
    pairs = [(reading.from_station, reading.to_station) for reading in readings]
    marks = tuple(dict.fromkeys([*frame, *(mark for pair in pairs for mark in pair)]))
    planned = np.array([[plan.stations[mark].x_mm, plan.stations[mark].y_mm] for mark in marks])
    starts, ends = (
        np.array([marks.index(mark) for mark in side], dtype=np.intp) for side in zip(*pairs, strict=True)
    )
    known = all(reading.temperature_f is not None for reading in readings)
    places = [error for mark in marks for error in frame.get(mark, (honest_mm, honest_mm))]
    causes, mix = _list_causes(marks, planned, np.union1d(starts, ends).tolist(), places)
    first, held = mix.shape[1], [0.0] * (mix.shape[1] - len(places) - 2 + len(readings))
    return Network(
        marks,
        planned,
        starts,
        ends,
        np.array([tape.correct_mm(r.length.float_mm, r.temperature_f) for r in readings]),
        weigh_readings(readings, np.hypot(*(planned[ends] - planned[starts]).T), tape),
        np.array([0.0 if reading.is_second_tape else 1.0 for reading in readings]),
        mix,
        np.array([*places, 1000 * tape.predict_factor(is_warmth_known=known), OFFSET_MM, *held]),
        (*causes, *(Cause(Kind.MISREAD, r.name, (first + index,)) for index, r in enumerate(readings))),
    )


def _list_causes(
    marks: Sequence[str], planned: Floats, touched: Sequence[int], spread: Sequence[float]
) -> tuple[list[Cause], Floats]:
    """All causes but misreads, and how x and y of the stations change with the unknowns that these let go."""
    size, causes = 2 * len(marks), []
    for at in touched:
        loose = tuple(number for number in (2 * at, 2 * at + 1) if spread[number] > 0)
        causes += [Cause(Kind.STATION, marks[at], loose, (marks[at],))] if loose else []
    causes += [Cause(Kind.FACTOR, "the tape", (size,)), Cause(Kind.OFFSET, "the tape", (size + 1,))]
    taped, others = {marks[at] for at in touched}, tuple(mark for mark in marks if mark not in PLATE_MARKS)
    shapes = [(Kind.SHAPE, name, corners) for name, corners in SHAPES.items() if taped.issuperset(corners)]
    shapes += [(Kind.FIELD, "the whole field", others)] if len(others) > 1 else []
    columns = [np.eye(size, size + 2)]
    for kind, name, corners in shapes:
        rows = np.array([marks.index(mark) for mark in corners])
        moves = np.zeros((len(marks), 2, 3 if kind is Kind.SHAPE else 1))
        if kind is Kind.SHAPE:
            arm = (planned[rows] - planned[rows].mean(axis=0)) / 1000
            moves[rows, 0, 0] = moves[rows, 1, 1] = 1.0
            moves[rows, 0, 2], moves[rows, 1, 2] = -arm[:, 1], arm[:, 0]
        else:
            moves[rows, :, 0] = (planned[rows] - planned[marks.index("A")]) / 1000
        first = sum(each.shape[1] for each in columns)
        causes.append(Cause(kind, name, tuple(range(first, first + moves.shape[2])), corners))
        columns.append(moves.reshape(size, -1))
    return causes, np.hstack(columns)


def weigh_readings(readings: Sequence[Reading], target_mm: Floats, tape: Tape) -> Floats:
    """The inverse of the readings' covariance: a pull taped again has the same graduations."""
    variance = predict_hand_mm2(np.array([reading.step.float_mm for reading in readings]))
    graduation = tape.predict_graduation_mm(target_mm)
    taped = [(reading.pair, reading.is_second_tape) for reading in readings]
    number = {each: index for index, each in enumerate(taped)}
    group = np.array([number[each] for each in taped])
    alike = (group[:, None] == group) * np.outer(graduation, graduation)
    weight: Floats = np.linalg.inv(np.diag(variance) + alike)
    return weight


def solve_network(network: Network, freed: Iterable[int] = (), free_mm: float = FREE_MM) -> Solution:
    """The least-squares solution with these unknowns let go, by Gauss-Newton on them.

    What was known beforehand keeps the others near the plan, where readings are linear in them.
    """
    spread, unknowns = network.spread.copy(), np.zeros(len(network.spread))
    far = list(dict.fromkeys(freed))
    spread[far] = free_mm
    loose = np.flatnonzero(spread)
    for _ in range(MOST_STEPS):
        before = np.zeros(len(spread))
        before[far] = unknowns[far]
        predicted, slopes = network.predict(before)
        rows = slopes[:, loose]
        misfit = network.read_mm - predicted + slopes @ before
        weighted = network.weight @ rows
        normal = rows.T @ weighted + np.diag(spread[loose] ** -2.0)
        unknowns[loose] = np.linalg.solve(normal, weighted.T @ misfit)
        if np.max(np.abs(unknowns[far] - before[far]), initial=0.0) < SETTLED_MM:
            break
    covariance = np.zeros((len(spread), len(spread)))
    covariance[np.ix_(loose, loose)] = np.linalg.inv(normal)
    left = misfit - slopes @ unknowns
    square = float(left @ network.weight @ left + ((unknowns[loose] / spread[loose]) ** 2).sum())
    return Solution(unknowns, covariance, spread, slopes, left, square)


def find_places(network: Network, solution: Solution, moved: Iterable[str] = ()) -> tuple[Floats, Floats]:
    """How far off its plan each station is by its own pulls, mm, and the covariance: (stations, 2), (stations, 2, 2).

    What was expected of it is taken out: the information of its own pulls is that of the solution less that of the
    expectation. Stations that are `moved` with a shape were expected nowhere.
    """
    count, mix = len(network.marks), network.mix
    whole = (mix @ solution.covariance[: mix.shape[1], : mix.shape[1]] @ mix.T).reshape(count, 2, count, 2)
    at, axis = np.arange(count), np.arange(2)
    blocks = whole[at, :, at, :]
    expected = solution.spread[: 2 * count].reshape(count, 2)
    blocks[:, axis, axis] += 1e-12 * (expected == 0)
    known = np.divide(1.0, expected**2, out=np.zeros_like(expected), where=expected > 0)
    known[[network.marks.index(mark) for mark in moved]] = 0.0
    own = np.linalg.inv(blocks)
    aim = np.einsum("sij,sj->si", own, (mix @ solution.unknowns[: mix.shape[1]]).reshape(count, 2))
    own[:, axis, axis] -= known
    values, vectors = np.linalg.eigh(own)
    values = 1 / np.maximum(values, FREE_MM**-2)
    covariance = np.einsum("sij,sj,skj->sik", vectors, values, vectors)
    return np.einsum("sij,sj->si", covariance, aim), covariance
