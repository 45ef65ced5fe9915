"""What a misread that no test shows would do to a station: Baarda's external reliability (1968).

A reading of standard deviation σ and redundancy number r hides a misread of up to 4.13 σ / √r; the station
moves by as much of it as its place leans on that reading.
"""

from __future__ import annotations

from collections.abc import Mapping, Sequence

import numpy as np
from scipy.stats import norm

from pocketref.tape.tape import Reading
from pocketref.tape.tape_network import Floats, Network, Solution

UNCHECKED = 0.01
"""A reading with a smaller redundancy number is checked by nothing worth the name: our own figure."""
MISREAD_SHOWS = float(norm.ppf(1 - 0.001 / 2) + norm.ppf(0.80))
"""Baarda's 4.13: a misread this many standard errors large shows in the test with power 80 %."""
_LEANS = 0.05
"""A station leans on a reading whose misread moves it by at least this share: our own figure."""


def measure_leaning(network: Network, solution: Solution) -> Floats:
    """How far each coordinate, (2 × stations,), moves per mm of each reading; 0 where it is held."""
    count = len(network.reading_mm)
    leaning = np.zeros((len(network.planned_mm), count))
    leaning[network.columns] = (solution.rows[:count] @ solution.covariance).T / network.error_mm
    return leaning


def find_ground(
    network: Network, solution: Solution, readings: Sequence[Reading]
) -> Mapping[str, tuple[str, ...]]:
    """By station, the names of the readings it leans on that nothing checks or that may be misread."""
    names = [reading.name for reading in readings]
    is_alone = np.array([reading.times == 1 for reading in readings])
    redundancy = solution.redundancy[: len(names)]
    is_shaky = np.isfinite(network.error_mm) & ((redundancy < UNCHECKED) & is_alone | ~network.is_firm)
    if not is_shaky.any():
        return {}
    leaning = measure_leaning(network, solution).reshape(len(network.marks), 2, len(names))
    leans = (np.hypot(leaning[:, 0], leaning[:, 1]) >= _LEANS) & is_shaky
    return {
        mark: tuple(names[index] for index in np.flatnonzero(row).tolist())
        for mark, row in zip(network.marks, leans, strict=True)
        if row.any()
    }


def find_unseen(
    network: Network, solution: Solution, readings: Sequence[Reading], marks: Sequence[str]
) -> Mapping[str, tuple[int, float]]:
    """By station, the reading that could move it farthest along its offset unseen, and how far in mm.

    One that was taped twice hides no misread.
    """
    redundancy = np.clip(solution.redundancy[: len(readings)], UNCHECKED, 1.0)
    is_alone = np.array([reading.times == 1 for reading in readings])
    hidden = np.where(network.is_firm & is_alone, MISREAD_SHOWS * network.error_mm / np.sqrt(redundancy), 0.0)
    leaning = measure_leaning(network, solution)
    offset = solution.position_mm - network.planned_mm
    found = {}
    for mark in marks:
        at = 2 * network.marks.index(mark)
        way = offset[at : at + 2] / max(float(np.hypot(*offset[at : at + 2])), 1e-9)
        moved = np.abs(way @ leaning[at : at + 2]) * hidden
        worst = int(np.argmax(moved))
        found[mark] = (worst, float(moved[worst]))
    return found
