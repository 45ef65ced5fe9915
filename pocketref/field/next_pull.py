"""The one extra pull that would settle most.

A new row a, weighted by its predicted error, takes Q a aᵀ Q / (1 + aᵀ Q a) off the covariance Q (Sherman and
Morrison, 1950), so every pull there could be is weighed without solving anything again.
"""

from __future__ import annotations

import itertools
from collections.abc import Sequence
from dataclasses import dataclass
from typing import Literal

import numpy as np

from pocketref.field.adjust import UNCHECKED, Adjustment
from pocketref.field.error_budget import ErrorBudget, predict_reading_error_mm
from pocketref.field.plan import Plan
from pocketref.field.pulls import Pull, measure_pull, pulls
from pocketref.field.tape import PLATE_MARKS
from pocketref.field.tape_network import Floats, Network
from pocketref.units.length import Length

_OWN_IS_ENOUGH = 0.8
"""A pull of the plan's own is named if it gains this share of the best there could be: our own figure."""


@dataclass(frozen=True, slots=True)
class NextPull:
    """A pull to add, and why: it settles stations that are too close to call, or checks unchecked readings.

    `gain` is the share, 0 to 1, of those stations' variance that it takes away, or how much it adds to those
    readings' redundancy numbers.
    """

    pull: Pull
    reason: Literal["settles", "checks"]
    gain: float


def find_next_pull(adjustment: Adjustment, unsettled: Sequence[str], budget: ErrorBudget) -> NextPull | None:
    """The most useful pull between stations in use that is not taped yet; None where nothing is open."""
    network = adjustment.network
    unchecked = np.array([judged.is_unchecked for judged in adjustment.readings], dtype=bool)
    unchecked &= np.isfinite(network.error_mm)
    if not unsettled and not unchecked.any():
        return None
    candidates = _list_candidates(adjustment)
    if not candidates:
        return None
    rows = _weigh_rows(adjustment, candidates, budget)
    covariance = adjustment.solution.covariance
    spread = rows @ covariance
    share = 1 + np.einsum("ij,ij->i", spread, rows)
    if unsettled:
        at = _list_columns(network, unsettled)
        gains = (spread[:, at] ** 2).sum(axis=1) / share / np.diag(covariance)[at].sum()
    else:
        checked = adjustment.solution.rows[: len(unchecked)][unchecked]
        gains = ((checked @ spread.T) ** 2 / share).sum(axis=0)
    best = _prefer_own(adjustment.plan, candidates, gains)
    if float(gains[best]) < UNCHECKED:
        return None
    pull = _name_pull(adjustment.plan, *candidates[best])
    return NextPull(pull, "settles" if unsettled else "checks", float(gains[best]))


def _list_candidates(adjustment: Adjustment) -> list[tuple[str, str]]:
    """Pairs of stations in use that are not taped; a pull across home plate would say nothing."""
    taken = {judged.reading.pair for judged in adjustment.readings}
    plate = set(PLATE_MARKS)
    return [
        pair
        for pair in itertools.combinations(adjustment.network.marks, 2)
        if frozenset(pair) not in taken and not plate.issuperset(pair)
    ]


def _weigh_rows(adjustment: Adjustment, candidates: Sequence[tuple[str, str]], budget: ErrorBudget) -> Floats:
    """Each candidate as a weighted row over the unknowns, where the stations were found."""
    network = adjustment.network
    number = {mark: index for index, mark in enumerate(network.marks)}
    starts = np.array([number[start] for start, _ in candidates])
    ends = np.array([number[end] for _, end in candidates])
    points = adjustment.solution.position_mm.reshape(-1, 2)
    towards = points[ends] - points[starts]
    distance = np.maximum(np.hypot(towards[:, 0], towards[:, 1]), 1e-9)
    errors = np.array([_predict_error_mm(float(mm), budget) for mm in distance])
    slope = towards / (distance * errors)[:, None]
    rows = np.zeros((len(candidates), len(network.planned_mm)))
    at = np.arange(len(candidates))
    for axis in (0, 1):
        rows[at, 2 * ends + axis] = slope[:, axis]
        rows[at, 2 * starts + axis] = -slope[:, axis]
    return rows[:, network.columns]


def _predict_error_mm(distance_mm: float, budget: ErrorBudget) -> float:
    return predict_reading_error_mm(Length.from_mm(round(distance_mm)), None, None, budget)


def _list_columns(network: Network, marks: Sequence[str]) -> list[int]:
    """Where the unknowns of these stations stand."""
    wanted = {2 * network.marks.index(mark) + axis for mark in marks for axis in (0, 1)}
    return [index for index, coordinate in enumerate(network.columns.tolist()) if coordinate in wanted]


def _prefer_own(plan: Plan, candidates: Sequence[tuple[str, str]], gains: Floats) -> int:
    """The best candidate, or the best of the plan's own pulls where that is nearly as good."""
    own = {frozenset((pull.from_station, pull.to_station)) for pull in pulls(plan)}
    best = int(np.argmax(gains))
    usual = [index for index, pair in enumerate(candidates) if frozenset(pair) in own]
    nearly = max(usual, key=lambda index: float(gains[index]), default=best)
    return nearly if gains[nearly] >= _OWN_IS_ENOUGH * gains[best] else best


def _name_pull(plan: Plan, start: str, end: str) -> Pull:
    """The plan's own pull between two stations, else one made for them."""
    for pull in pulls(plan):
        if {pull.from_station, pull.to_station} == {start, end}:
            return pull
    a, b = plan.stations[start], plan.stations[end]
    return measure_pull(a, b, "check", f"{a.label} to {b.label}")
