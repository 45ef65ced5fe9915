"""Stations that their readings put in two places: tapes from pins in a line can't tell its two sides apart."""

from __future__ import annotations

from functools import cache

import numpy as np
from scipy.stats import chi2

from pocketref.field.plan import PointMm
from pocketref.tape.tape_network import Floats, Network, Solution

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
