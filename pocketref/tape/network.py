"""The least-squares problem behind taped readings, as arrays; solved by Gauss-Newton from the plan.

Observation i says that the distance between two stations is `reading_mm[i]`, with standard deviation
`error_mm[i]`; a pin with an error says the same of a coordinate. Unknowns are the coordinates not held. The
textbook form is used throughout: weighted rows, normal matrix N = JᵀJ, covariance N⁻¹, redundancy
numbers 1 - diag(J N⁻¹ Jᵀ) (W. Baarda, A testing procedure for use in geodetic networks, 1968).
"""

from __future__ import annotations

from collections.abc import Mapping, Sequence
from dataclasses import dataclass, replace
from typing import Any

import numpy as np
import numpy.typing as npt

from pocketref.field.plan import Station
from pocketref.tape.error_budget import ErrorBudget, correct_temperature_mm, predict_reading_error_mm
from pocketref.tape.readings import Pin, Reading

Floats = npt.NDArray[np.floating[Any]]
Whole = npt.NDArray[np.intp]
Flags = npt.NDArray[np.bool_]

MOST_STEPS = 40
SETTLED_MM = 1e-6
"""A solution is found when no coordinate moves farther."""
LOOSE_MM = 300.0
"""A station that readings fix no better than to a foot is not fixed by them: our own figure."""
DOUBTED_MM = 1000.0
"""The standard deviation of a reading that may be misread by anything: our own figure."""


@dataclass(frozen=True, slots=True)
class Network:
    """Stations, readings and pins as arrays. Coordinates alternate x and y, in the order of `marks`."""

    marks: tuple[str, ...]
    planned_mm: Floats
    """(2 × stations,)"""
    starts: Whole
    ends: Whole
    reading_mm: Floats
    error_mm: Floats
    """Infinite for a reading that is left out, DOUBTED_MM for one that is doubted."""
    columns: Whole
    """Which coordinates are unknown."""
    pinned: Whole
    """Which coordinates are observed by a pin with an error."""
    pin_error_mm: Floats

    def leave_out(self, *indices: int) -> Network:
        """The same without some readings."""
        error_mm = self.error_mm.copy()
        error_mm[list(indices)] = np.inf
        return replace(self, error_mm=error_mm)

    def doubt(self, indices: Sequence[int]) -> Network:
        """The same with readings that say next to nothing, but keep a station from going loose."""
        error_mm = self.error_mm.copy()
        error_mm[list(indices)] = DOUBTED_MM
        return replace(self, error_mm=error_mm)

    def swap(self, first: int, second: int) -> Network:
        """The same with the lengths of two readings exchanged."""
        reading_mm = self.reading_mm.copy()
        reading_mm[[first, second]] = reading_mm[[second, first]]
        return replace(self, reading_mm=reading_mm)

    def free(self, mark: str) -> Network:
        """The same with a held station left to the readings."""
        at = 2 * self.marks.index(mark)
        return replace(self, columns=np.union1d(self.columns, [at, at + 1]).astype(np.intp))

    @property
    def is_firm(self) -> Flags:
        """Which readings count in full: neither left out nor doubted."""
        firm: Flags = self.error_mm < DOUBTED_MM
        return firm

    def linearise(self, position_mm: Floats) -> tuple[Floats, Floats]:
        """Weighted rows (readings, then pins; one column an unknown) and weighted misfits at a position."""
        count = len(self.reading_mm)
        slopes, distance = list_slopes(self.starts, self.ends, position_mm)
        rows = np.vstack([slopes / self.error_mm[:, None], np.zeros((len(self.pinned), len(position_mm)))])
        rows[count + np.arange(len(self.pinned)), self.pinned] = 1 / self.pin_error_mm
        drift = (position_mm[self.pinned] - self.planned_mm[self.pinned]) / self.pin_error_mm
        misfit = np.concatenate([(distance - self.reading_mm) / self.error_mm, drift])
        return rows[:, self.columns], misfit


def list_slopes(starts: Whole, ends: Whole, position_mm: Floats) -> tuple[Floats, Floats]:
    """How the distances between stations change with each coordinate, (distances, 2 × stations); and the distances."""
    points = position_mm.reshape(-1, 2)
    towards = points[ends] - points[starts]
    distance: Floats = np.maximum(np.hypot(towards[:, 0], towards[:, 1]), 1e-9)
    rows = np.zeros((len(starts), len(position_mm)))
    at = np.arange(len(starts))
    for axis in (0, 1):
        rows[at, 2 * ends + axis] = towards[:, axis] / distance
        rows[at, 2 * starts + axis] = -towards[:, axis] / distance
    return rows, distance


@dataclass(frozen=True, slots=True)
class Solution:
    """Where the stations are by least squares. Rows, misfits and redundancy: readings, then pins."""

    position_mm: Floats
    rows: Floats
    misfit: Floats
    covariance: Floats
    """(unknowns, unknowns), mm²."""
    redundancy: Floats

    @property
    def square_sum(self) -> float:
        """Weighted sum of squared residuals."""
        return float(self.misfit @ self.misfit)

    def weigh(self, network: Network) -> tuple[float, int]:
        """Weighted sum of squared residuals of the firm readings and pins, and their degrees of freedom."""
        counts = np.concatenate([network.is_firm, np.ones(len(network.pinned), dtype=bool)])
        spare = round(float(np.clip(self.redundancy[counts], 0.0, 1.0).sum()))
        return float((self.misfit[counts] ** 2).sum()), spare


def construct_network(
    stations: Mapping[str, Station], readings: Sequence[Reading], pins: Sequence[Pin], budget: ErrorBudget
) -> Network:
    """The arrays of readings; a pin that no reading touches is left out unless wholly held."""
    read = [mark for reading in readings for mark in (reading.from_station, reading.to_station)]
    pin_of = {pin.station: pin for pin in pins}
    held = [pin.station for pin in pins if pin.x_error_mm == 0 and pin.y_error_mm == 0]
    marks = tuple(dict.fromkeys([*held, *read]))
    number = {mark: index for index, mark in enumerate(marks)}
    errors = [_list_pin_errors(pin_of.get(mark)) for mark in marks]
    flat = [error for pair in errors for error in pair]
    pinned = [index for index, error in enumerate(flat) if error]
    return Network(
        marks=marks,
        planned_mm=np.array([[stations[mark].x_mm, stations[mark].y_mm] for mark in marks]).ravel(),
        starts=np.array([number[reading.from_station] for reading in readings], dtype=np.intp),
        ends=np.array([number[reading.to_station] for reading in readings], dtype=np.intp),
        reading_mm=np.array(
            [correct_temperature_mm(r.length.float_mm, r.temperature_f, budget) for r in readings]
        ),
        error_mm=np.array(
            [
                predict_reading_error_mm(r.length, r.temperature_f, r.resolution, budget, r.times)
                for r in readings
            ]
        ),
        columns=np.array([index for index, error in enumerate(flat) if error != 0], dtype=np.intp),
        pinned=np.array(pinned, dtype=np.intp),
        pin_error_mm=np.array([flat[index] for index in pinned], dtype=np.float64),
    )


def _list_pin_errors(pin: Pin | None) -> tuple[float | None, float | None]:
    return (None, None) if pin is None else (pin.x_error_mm, pin.y_error_mm)


def solve_network(
    network: Network, *, may_be_loose: bool = False, most_steps: int = MOST_STEPS
) -> Solution | None:
    """The least-squares solution near the plan, or None where the readings fix some station too loosely.

    Gauss-Newton; a step that makes the fit worse is halved. With `may_be_loose` a station that only doubted
    readings fix is let pass. Readings that fit take a few steps, those that don't may need more than `most_steps`,
    and are then given as far as they came.
    """
    position, step_size = network.planned_mm.copy(), np.inf
    rows, misfit = network.linearise(position)
    try:
        for _ in range(most_steps):
            step = -np.linalg.solve(rows.T @ rows, rows.T @ misfit)
            position, rows, misfit, step_size = _advance(network, position, step, float(misfit @ misfit))
            if step_size < SETTLED_MM:
                break
        covariance = np.linalg.inv(rows.T @ rows)
    except np.linalg.LinAlgError:
        return None
    loose_mm = 10 * DOUBTED_MM if may_be_loose else LOOSE_MM
    if not np.all(np.abs(np.diag(covariance)) < loose_mm**2):
        return None
    redundancy = 1 - ((rows @ covariance) * rows).sum(axis=1)
    return Solution(position, rows, misfit, covariance, redundancy)


def _advance(
    network: Network, position: Floats, step: Floats, before: float
) -> tuple[Floats, Floats, Floats, float]:
    """The position after a step, halved until the fit is no worse; with its rows, misfits and step size."""
    for _ in range(20):
        trial = position.copy()
        trial[network.columns] += step
        rows, misfit = network.linearise(trial)
        if float(misfit @ misfit) <= before * (1 + 1e-9) + 1e-9:
            break
        step = step / 2
    return trial, rows, misfit, float(np.max(np.abs(step), initial=0.0))
