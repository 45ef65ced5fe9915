"""Taped readings as a least-squares problem: what is unknown, what is known of it beforehand, and its solution.

Unknown are each station's displacement from the plan, the tape's factor (in thousandths) and its offset, each with
what is known of it beforehand as a standard deviation; 0 holds it. What is added to a network has no such bound: a
station let go, a shape moved whole, a reading left out. The textbook form is used throughout: weight matrix W,
normal matrix N = JᵀWJ + P, covariance Q = N⁻¹, and W - WJQJᵀW behind every test of a residual (W. Baarda, A testing
procedure for use in geodetic networks, 1968).
"""

from __future__ import annotations

from collections.abc import Mapping, Sequence
from dataclasses import dataclass

import numpy as np
import numpy.typing as npt

from pocketref.field.plan import Station
from pocketref.tape.error_model import OFFSET_MM, Floats, Tape, predict_hand_mm2
from pocketref.tape.readings import Frame, Reading

Whole = npt.NDArray[np.intp]
FREE_MM = 3000.0
"""Standard deviation of what is let go: it may be anything, and is still a number. Our own figure."""
MOST_STEPS = 15
SETTLED_MM = 1e-7


@dataclass(frozen=True, slots=True)
class Network:
    """Readings between stations, as arrays. The unknowns are x and y by station, then factor and offset."""

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
    spread: Floats
    """What is known of the unknowns: standard deviations; 0 where held."""

    @property
    def target_mm(self) -> Floats:
        """What the plan says each reading should be."""
        target: Floats = np.hypot(*(self.planned_mm[self.ends] - self.planned_mm[self.starts]).T)
        return target

    def name_pull(self, index: int) -> str:
        """A reading's name: its stations joined by a hyphen."""
        return f"{self.marks[self.starts[index]]}-{self.marks[self.ends[index]]}"

    def predict(self, unknowns: Floats) -> tuple[Floats, Floats]:
        """The readings that unknowns would give, and how they change with each, (readings, unknowns)."""
        points = self.planned_mm + unknowns[:-2].reshape(-1, 2)
        towards = points[self.ends] - points[self.starts]
        distance = np.maximum(np.hypot(towards[:, 0], towards[:, 1]), 1e-9)
        slopes = np.zeros((len(distance), len(unknowns)))
        at = np.arange(len(distance))
        for axis in (0, 1):
            slopes[at, 2 * self.ends + axis] = towards[:, axis] / distance
            slopes[at, 2 * self.starts + axis] = -towards[:, axis] / distance
        slopes[:, -2], slopes[:, -1] = self.own_tape * distance / 1000, self.own_tape
        return distance + slopes[:, -2:] @ unknowns[-2:], slopes


@dataclass(frozen=True, slots=True)
class Solution:
    """A network's unknowns by least squares. `added` are the amounts of what was added, in order."""

    unknowns: Floats
    """All of them: what was added is in."""
    own: Floats
    """Without what was added: how far each was drawn from what was known of it."""
    added: Floats
    shift: Floats
    """How the unknowns change with each of these amounts."""
    cofactor: Floats
    """Covariance of `own` (zeros where held), then of `added`."""
    rows: Floats
    """How readings change with each of these."""
    left_mm: Floats
    """Reading less prediction."""
    square: float
    """The weighted sum of squares: of the readings, and of what was known beforehand."""

    @property
    def covariance(self) -> Floats:
        """Covariance of all unknowns with nothing added."""
        return self.cofactor[: len(self.own), : len(self.own)]


def construct_network(
    stations: Mapping[str, Station],
    readings: Sequence[Reading],
    frame: Frame,
    tape: Tape,
    honest_mm: float,
) -> Network:
    """The arrays of readings; `honest_mm` is how far a station of an honest field is off, each way."""
    marks = tuple(
        dict.fromkeys([*frame, *(mark for r in readings for mark in (r.from_station, r.to_station))])
    )
    number = {mark: index for index, mark in enumerate(marks)}
    read_mm = np.array([tape.correct_mm(r.length.float_mm, r.temperature_f) for r in readings])
    known = all(reading.temperature_f is not None for reading in readings)
    places = [frame.get(mark, (honest_mm, honest_mm)) for mark in marks]
    tape_spread = (1000 * tape.predict_factor(is_warmth_known=known), OFFSET_MM)
    planned = np.array([[stations[mark].x_mm, stations[mark].y_mm] for mark in marks])
    starts = np.array([number[reading.from_station] for reading in readings], dtype=np.intp)
    ends = np.array([number[reading.to_station] for reading in readings], dtype=np.intp)
    target = np.hypot(*(planned[ends] - planned[starts]).T)
    return Network(
        marks,
        planned,
        starts,
        ends,
        read_mm,
        weigh_readings(readings, target, tape),
        np.array([0.0 if reading.is_second_tape else 1.0 for reading in readings]),
        np.array([*(error for place in places for error in place), *tape_spread]),
    )


def weigh_readings(readings: Sequence[Reading], target_mm: Floats, tape: Tape) -> Floats:
    """The inverse of the readings' covariance: a pull taped again has the same graduations."""
    step_mm = {step: step.float_mm for step in {reading.step for reading in readings}}
    steps = np.array([step_mm[reading.step] for reading in readings])
    variance = predict_hand_mm2(steps)
    graduation = tape.predict_graduation_mm(target_mm)
    taped = [(reading.pair, reading.is_second_tape) for reading in readings]
    number = {each: index for index, each in enumerate(dict.fromkeys(taped))}
    group = np.array([number[each] for each in taped])
    alike = (group[:, None] == group) * np.outer(graduation, graduation)
    weight: Floats = np.linalg.inv(np.diag(variance) + alike)
    return weight


def solve_network(
    network: Network, added: Floats | None = None, left_out: Sequence[int] = (), free_mm: float = FREE_MM
) -> Solution:
    """The least-squares solution with directions added and readings left out, by Gauss-Newton on what is added.

    `added` is (unknowns, directions). What was known beforehand keeps the other unknowns near the plan, where
    readings are linear in them.
    """
    size, count = len(network.spread), len(network.read_mm)
    added = np.zeros((size, 0)) if added is None else added
    held = network.spread == 0
    out = np.zeros((count, len(left_out)))
    out[list(left_out), np.arange(len(left_out))] = 1.0
    known = np.where(held, 1.0, 1 / np.where(held, 1.0, network.spread) ** 2)
    prior = np.concatenate([known, np.full(added.shape[1] + len(left_out), free_mm**-2)])
    moved = np.zeros(added.shape[1])
    whole = np.zeros(len(prior))
    for _ in range(MOST_STEPS):
        far = added @ moved
        predicted, slopes = network.predict(far)
        rows = np.hstack([np.where(held, 0.0, slopes), slopes @ added, out])
        misfit = network.read_mm - predicted + rows[:, size : size + len(moved)] @ moved
        weighted = network.weight @ rows
        normal = rows.T @ weighted + np.diag(prior)
        whole = np.linalg.solve(normal, weighted.T @ misfit)
        change = whole[size : size + len(moved)] - moved
        moved = whole[size : size + len(moved)]
        if np.max(np.abs(change), initial=0.0) < SETTLED_MM:
            break
    cofactor = np.linalg.inv(normal)
    cofactor[:size][held] = 0.0
    cofactor[:, :size][:, held] = 0.0
    left = misfit - rows @ whole
    square = float(left @ network.weight @ left + prior @ whole**2)
    own = whole[:size]
    shift = np.hstack([added, np.zeros((size, len(left_out)))])
    return Solution(own + added @ moved, own, whole[size:], shift, cofactor, rows, left, square)


def cut_blocks(matrix: Floats, stations: int) -> Floats:
    """Each station's own 2 x 2 part of a matrix over the unknowns, (stations, 2, 2)."""
    whole = matrix[: 2 * stations, : 2 * stations].reshape(stations, 2, stations, 2)
    at = np.arange(stations)
    return whole[at, :, at, :]


def find_places(network: Network, solution: Solution, freed: Sequence[str]) -> tuple[Floats, Floats]:
    """How far off its plan each station is by its own pulls, mm, and the covariance: (stations, 2), (stations, 2, 2).

    What was expected of it is taken out: the information of its own pulls is that of the solution less that of the
    expectation. Stations that are `freed`, alone or with a shape, were expected nowhere.
    """
    count, size = len(network.marks), len(solution.own)
    mix = np.hstack([np.eye(size), solution.shift])
    blocks = cut_blocks(mix @ solution.cofactor @ mix.T, count)
    spread = network.spread[:-2].reshape(count, 2)
    held = spread == 0
    at = np.arange(2)
    blocks[:, at, at] += np.where(held, 1e-12, 0.0)
    known = np.where(held, 0.0, 1 / np.where(held, 1.0, spread) ** 2)
    known[[network.marks.index(mark) for mark in freed]] = 0.0
    whole = np.linalg.inv(blocks)
    aim = np.einsum("sij,sj->si", whole, solution.unknowns[:-2].reshape(count, 2))
    whole[:, at, at] -= known
    values, vectors = np.linalg.eigh(whole)
    values = 1 / np.maximum(values, FREE_MM**-2)
    covariance = np.einsum("sij,sj,skj->sik", vectors, values, vectors)
    return np.einsum("sij,sj->si", covariance, aim), covariance
