"""What would settle a station that is too close to call: the tape's temperature, a steel tape, or more pulls."""

from __future__ import annotations

from collections.abc import Mapping, Sequence
from dataclasses import replace
from enum import StrEnum

import numpy as np

from pocketref.tape.adjust import Adjustment, find_ellipses
from pocketref.tape.error_budget import (
    STANDARD_TEMPERATURE_F,
    STEEL,
    ErrorBudget,
    predict_reading_error_mm,
)
from pocketref.tape.tape_network import Floats
from pocketref.tape.tape_verdict import Verdict, judge_place


class Cure(StrEnum):
    """The least that settles a station, were it found where it is now."""

    TEMPERATURE = "temperature"
    STEEL = "steel tape"
    PULLS = "more pulls"


def find_cures(
    adjustment: Adjustment, unsettled: Sequence[str], tolerance_mm: float, budget: ErrorBudget
) -> Mapping[str, Cure]:
    """The cure of each unsettled station."""
    if not unsettled:
        return {}
    cures = dict.fromkeys(unsettled, Cure.PULLS)
    is_cold = any(judged.reading.temperature_f is None for judged in adjustment.readings)
    tries = []
    if is_cold and budget.expansion_per_f:
        tries.append((Cure.TEMPERATURE, _know_temperature(adjustment, budget)))
    if budget != STEEL:
        tries.append((Cure.STEEL, _take_steel(adjustment)))
    for cure, errors in tries:
        ellipses = find_ellipses(adjustment.network, _imagine_covariance(adjustment, errors))
        for mark in unsettled:
            ellipse = ellipses[adjustment.network.marks.index(mark)]
            found = replace(adjustment.stations[mark], ellipse=ellipse)
            is_settled = judge_place(found, tolerance_mm) is not Verdict.TOO_CLOSE
            if is_settled and cures[mark] is Cure.PULLS:
                cures[mark] = cure
    return cures


def _know_temperature(adjustment: Adjustment, budget: ErrorBudget) -> Floats:
    """Each reading's error, were its temperature known."""
    network = adjustment.network
    is_cold = np.array([judged.reading.temperature_f is None for judged in adjustment.readings])
    unknown, known = budget.unknown_temperature_error_f, budget.temperature_error_f
    stretch = budget.expansion_per_f * network.reading_mm
    errors: Floats = np.sqrt(network.error_mm**2 - is_cold * (unknown**2 - known**2) * stretch**2)
    return errors


def _take_steel(adjustment: Adjustment) -> Floats:
    """Each reading's error, were it taken by a steel tape of known temperature."""
    readings = [judged.reading for judged in adjustment.readings]
    known_f = STANDARD_TEMPERATURE_F
    return np.array(
        [predict_reading_error_mm(r.length, known_f, r.resolution, STEEL, r.times) for r in readings]
    )


def _imagine_covariance(adjustment: Adjustment, errors: Floats) -> Floats:
    """The covariance, had the readings these errors."""
    network = adjustment.network
    rows = adjustment.solution.rows.copy()
    is_firm = network.is_firm
    rows[: len(errors)][is_firm] *= (network.error_mm[is_firm] / errors[is_firm])[:, None]
    covariance: Floats = np.linalg.inv(rows.T @ rows) * adjustment.scale
    return covariance
