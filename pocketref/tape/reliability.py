"""What the readings can't tell: misreads that no test shows, and stations that they fit in two places.

A reading of standard deviation σ and redundancy number r hides a misread of up to 4.13 σ / √r; the station
moves by as much of it as its place leans on that reading (Baarda's external reliability, 1968). Tapes from pins
in a line can't tell its two sides apart.
"""

from __future__ import annotations

from collections.abc import Mapping, Sequence
from functools import cache

import numpy as np
from scipy.stats import chi2, norm

from pocketref.field.plan import PointMm
from pocketref.tape.network import Floats, Network, Solution
from pocketref.tape.readings import Reading

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


_SAME_PLACE = 4.0
"""Two places nearer than this many standard errors are one: our own figure."""
_HOPELESS = 1e5


def find_mirrored(network: Network, solution: Solution) -> dict[int, PointMm]:
    """Stations, by number, with the other place that their own readings fit as well, in mm.

    The other place is the mirror image across the line that lies nearest the stations it was taped from,
    settled by its readings with those stations held; it fits if a chi-square test at 99 % lets it pass.
    """
    points = solution.position_mm.reshape(-1, 2)
    spread = np.zeros(len(solution.position_mm))
    spread[network.columns] = np.diag(solution.covariance)
    spread = spread.reshape(-1, 2).max(axis=1)
    unknown = set(network.columns.tolist())
    is_used = np.isfinite(network.error_mm)
    mirrored = {}
    for index in range(len(network.marks)):
        if 2 * index not in unknown or 2 * index + 1 not in unknown:
            continue
        is_own = is_used & ((network.starts == index) | (network.ends == index))
        others = np.where(network.starts == index, network.ends, network.starts)[is_own]
        variance = network.error_mm[is_own] ** 2 + spread[others]
        near = _SAME_PLACE * float(np.sqrt(spread[index]))
        place = _find_other(points[index], points[others], network.reading_mm[is_own], variance, near)
        if place is not None:
            mirrored[index] = place
    return mirrored


def _find_other(
    point: Floats, pins: Floats, reading_mm: Floats, variance: Floats, near_mm: float
) -> PointMm | None:
    if len(pins) < 2:
        return None
    centre = pins.mean(axis=0)
    apart = pins - centre
    _, vectors = np.linalg.eigh(apart.T @ apart)
    normal = vectors[:, 0]
    place: Floats = point - 2 * float((point - centre) @ normal) * normal
    if _misfit(place, pins, reading_mm, variance) > _HOPELESS:
        return None
    place = _settle(place, pins, reading_mm, variance)
    if np.hypot(*(place - point)) <= near_mm:
        return None
    if _misfit(place, pins, reading_mm, variance) > _find_limit(len(pins)):
        return None
    return float(place[0]), float(place[1])


@cache
def _find_limit(readings: int) -> float:
    return float(chi2.ppf(0.99, readings))


def _misfit(place: Floats, pins: Floats, reading_mm: Floats, variance: Floats) -> float:
    away = np.linalg.norm(pins - place, axis=1)
    return float((((away - reading_mm) ** 2) / variance).sum())


def _settle(place: Floats, pins: Floats, reading_mm: Floats, variance: Floats) -> Floats:
    """A few Gauss-Newton steps with the other stations held."""
    weight = 1 / np.sqrt(variance)
    for _ in range(4):
        towards = place - pins
        away = np.maximum(np.linalg.norm(towards, axis=1), 1e-9)
        rows = towards / away[:, None] * weight[:, None]
        place = place + np.linalg.lstsq(rows, (reading_mm - away) * weight, rcond=None)[0]
    return place
