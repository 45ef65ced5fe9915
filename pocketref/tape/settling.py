"""What would settle a station that is too close to call: the tape's temperature, a steel tape, or one pull more.

A new pull's row a, weighted by its predicted error, takes Q a aᵀ Q / (1 + aᵀ Q a) off the covariance Q (Sherman and
Morrison, 1950), so every pull there could be is weighed without solving anything again. Only pulls that a check
sheet has a blank for are named, not taped yet or to tape again, unless none of them gains anything.
"""

from __future__ import annotations

import itertools
from collections.abc import Mapping, Sequence
from dataclasses import dataclass, replace
from enum import StrEnum
from fractions import Fraction
from typing import Literal

import numpy as np

from pocketref.field.pulls import Pull, measure_pull, pulls
from pocketref.tape.adjust import Adjustment, PlaceVerdict, find_ellipses, judge_place
from pocketref.tape.error_budget import (
    STANDARD_TEMPERATURE_F,
    STEEL,
    ErrorBudget,
    predict_hand_mm2,
    predict_reading_error_mm,
)
from pocketref.tape.network import Flags, Floats, list_slopes
from pocketref.tape.readings import PLATE_MARKS, Reading
from pocketref.tape.reliability import UNCHECKED
from pocketref.units.length import Length


class SettledBy(StrEnum):
    """The least that settles a station, were it found where it is now."""

    TEMPERATURE = "temperature"
    STEEL = "steel tape"
    PULLS = "more pulls"


def find_what_settles(
    adjustment: Adjustment, unsettled: Sequence[str], tolerance_mm: float, budget: ErrorBudget
) -> Mapping[str, SettledBy]:
    """The least that settles each station."""
    settled = dict.fromkeys(unsettled, SettledBy.PULLS)
    is_cold = any(judged.reading.temperature_f is None for judged in adjustment.readings)
    tries = [(SettledBy.TEMPERATURE, budget)] if is_cold and budget.expansion_per_f else []
    if budget != STEEL:
        tries.append((SettledBy.STEEL, STEEL))
    for by, tape in tries if unsettled else ():
        ellipses = find_ellipses(adjustment.network, _imagine_covariance(adjustment, tape))
        for mark in unsettled:
            ellipse = ellipses[adjustment.network.marks.index(mark)]
            found = replace(adjustment.stations[mark], ellipse=ellipse)
            is_settled = judge_place(found, tolerance_mm) is not PlaceVerdict.TOO_CLOSE
            if is_settled and settled[mark] is SettledBy.PULLS:
                settled[mark] = by
    return settled


def _imagine_covariance(adjustment: Adjustment, tape: ErrorBudget) -> Floats:
    """The covariance, had the readings been taken by this tape, its temperature known."""
    network = adjustment.network
    readings = [judged.reading for judged in adjustment.readings]
    known_f = STANDARD_TEMPERATURE_F
    errors = np.array(
        [predict_reading_error_mm(r.length, known_f, r.resolution, tape, r.times) for r in readings]
    )
    rows = adjustment.solution.rows.copy()
    is_firm = network.is_firm
    rows[: len(errors)][is_firm] *= (network.error_mm[is_firm] / errors[is_firm])[:, None]
    covariance: Floats = np.linalg.inv(rows.T @ rows) * adjustment.scale
    return covariance


@dataclass(frozen=True, slots=True)
class NextPull:
    """A pull to add, and why: it settles stations that are too close to call, or checks unchecked readings.

    `gain` is the share, 0 to 1, of those stations' variance that it takes away, or how much it adds to those
    readings' redundancy numbers. `is_repeat` says that the pull was taped already.
    """

    pull: Pull
    reason: Literal["settles", "checks"]
    gain: float
    is_repeat: bool = False


@dataclass(frozen=True, slots=True)
class _Candidate:
    """A pull to tape, and the reading of it that there already is with its error."""

    pull: Pull
    taped: Reading | None
    is_own: bool
    error_mm: float = 0.0


@dataclass(frozen=True, slots=True)
class NextPulls:
    """The pull that would settle most of all, and the one that would settle most of each unsettled station."""

    best: NextPull | None
    by_station: Mapping[str, NextPull]


def find_next_pulls(adjustment: Adjustment, unsettled: Sequence[str], budget: ErrorBudget) -> NextPulls:
    """The most useful pulls between stations in use; none where nothing is open or nothing would help."""
    network = adjustment.network
    unchecked = np.array([judged.is_unchecked for judged in adjustment.readings], dtype=bool)
    unchecked &= np.isfinite(network.error_mm)
    if not unsettled and not unchecked.any():
        return NextPulls(None, {})
    pairs = _list_candidates(adjustment, repeats=bool(unsettled))
    own = [candidate for candidate in pairs if candidate.is_own]
    found = _weigh_all(adjustment, own, unsettled, unchecked, budget) if own else NextPulls(None, {})
    if found.best is None and len(own) < len(pairs):
        return _weigh_all(adjustment, pairs, unsettled, unchecked, budget)
    return found


def _weigh_all(
    adjustment: Adjustment,
    candidates: Sequence[_Candidate],
    unsettled: Sequence[str],
    unchecked: Flags,
    budget: ErrorBudget,
) -> NextPulls:
    """The best of the candidates for all unsettled stations and for each, or to check what nothing checks."""
    rows = _weigh_rows(adjustment, candidates, budget)
    spread: Floats = rows @ adjustment.solution.covariance
    share: Floats = 1 + np.einsum("ij,ij->i", spread, rows)
    if not unsettled:
        checked = adjustment.solution.rows[: len(unchecked)][unchecked]
        gains = ((checked @ spread.T) ** 2 / share).sum(axis=0)
        return NextPulls(_choose(candidates, gains, "checks"), {})

    network = adjustment.network

    def settle(marks: Sequence[str]) -> NextPull | None:
        # The share of these stations' variance that each candidate takes away.
        at = np.isin(network.columns // 2, [network.marks.index(mark) for mark in marks])
        variance = np.diag(adjustment.solution.covariance)[at].sum()
        return _choose(candidates, (spread[:, at] ** 2).sum(axis=1) / share / variance, "settles")

    each = {mark: settle((mark,)) for mark in unsettled}
    return NextPulls(settle(unsettled), {mark: pull for mark, pull in each.items() if pull is not None})


def _list_candidates(adjustment: Adjustment, *, repeats: bool) -> list[_Candidate]:
    """Pairs of stations in use; a pull across home plate would say nothing where the plate is taken as known.

    A pull taped again settles, but whether another was misread it can't tell.
    """
    network = adjustment.network
    taped = {judged.reading.pair: index for index, judged in enumerate(adjustment.readings)}
    own = {frozenset((pull.from_station, pull.to_station)): pull for pull in pulls(adjustment.plan)}
    plate = set(PLATE_MARKS) - set(adjustment.off_frame)
    left_out = {misread.name for misread in adjustment.misreads} | set(adjustment.suspects)
    found = []
    for start, end in itertools.combinations(network.marks, 2):
        pair = frozenset((start, end))
        if plate.issuperset(pair):
            continue
        a, b = adjustment.plan.stations[start], adjustment.plan.stations[end]
        pull = own.get(pair) or measure_pull(a, b, "check", f"{a.label} to {b.label}")
        if pair not in taped:
            found.append(_Candidate(pull, None, pair in own))
            continue
        reading = adjustment.readings[taped[pair]].reading
        if repeats and reading.name not in left_out:
            found.append(_Candidate(pull, reading, True, float(network.error_mm[taped[pair]])))
    return found


def _weigh_rows(adjustment: Adjustment, candidates: Sequence[_Candidate], budget: ErrorBudget) -> Floats:
    """Each candidate as a weighted row over the unknowns, where the stations were found."""
    network = adjustment.network
    number = {mark: index for index, mark in enumerate(network.marks)}
    starts = np.array([number[candidate.pull.from_station] for candidate in candidates])
    ends = np.array([number[candidate.pull.to_station] for candidate in candidates])
    rows, distance = list_slopes(starts, ends, adjustment.solution.position_mm)
    pairs = zip(candidates, distance.tolist(), strict=True)
    weights = np.array([_predict_weight(candidate, mm, budget) for candidate, mm in pairs])
    weighted: Floats = rows[:, network.columns] * weights[:, None]
    return weighted


def _predict_weight(candidate: _Candidate, distance_mm: float, budget: ErrorBudget) -> float:
    """One over the error of a new pull; of one taped again, what that adds to its reading's weight."""
    said = candidate.taped
    if said is None:
        return 1 / predict_reading_error_mm(
            Length.from_mm(Fraction(round(distance_mm * 100), 100)), None, None, budget
        )
    once = candidate.error_mm**2
    hand = predict_hand_mm2(said.resolution, budget)
    again = once - hand / said.times + hand / (said.times + 1)
    return float(np.sqrt(1 / again - 1 / once))


def _choose(
    candidates: Sequence[_Candidate], gains: Floats, reason: Literal["settles", "checks"]
) -> NextPull | None:
    """The candidate that gains most; None if that is next to nothing."""
    chosen = int(np.argmax(gains))
    if float(gains[chosen]) < UNCHECKED:
        return None
    candidate = candidates[chosen]
    return NextPull(candidate.pull, reason, float(gains[chosen]), candidate.taped is not None)
