"""Fields whose truth is known, taped with the errors of a budget: to see whether what is claimed is so."""

from __future__ import annotations

import math
from collections.abc import Sequence
from dataclasses import dataclass, replace
from fractions import Fraction

import numpy as np

from pocketref.field.plan import Plan, PointMm
from pocketref.field.pulls import Pull
from pocketref.tape.adjust import FoundStation
from pocketref.tape.error_budget import STEEL, ErrorBudget, find_tape_tolerance
from pocketref.tape.readings import Reading
from pocketref.units.length import INCH_MM, Length


@dataclass(frozen=True, slots=True)
class SimulatedField:
    """Where its stations truly are, by mark, and what a crew would read."""

    true_mm: dict[str, PointMm]
    readings: tuple[Reading, ...]


def simulate_field(
    plan: Plan,
    taped: Sequence[Pull],
    held: Sequence[str],
    random: np.random.Generator,
    *,
    misplaced_mm: float = 10.0,
    budget: ErrorBudget = STEEL,
) -> SimulatedField:
    """A field marked with errors (standard deviation `misplaced_mm` each way, none for `held`), then taped.

    Each part of the budget is drawn as what it is: the tape's own error uniform within its tolerance, the
    marks and the unknown temperature normal, the reading rounded to the budget's step.
    """
    marks = dict.fromkeys(mark for pull in taped for mark in (pull.from_station, pull.to_station))
    true_mm = {mark: (plan.stations[mark].x_mm, plan.stations[mark].y_mm) for mark in marks}
    for mark in marks:
        if mark not in held:
            dx, dy = (random.normal(0.0, misplaced_mm, 2)).tolist()
            true_mm[mark] = (true_mm[mark][0] + dx, true_mm[mark][1] + dy)
    return SimulatedField(true_mm, tuple(_read_pull(pull, true_mm, random, budget) for pull in taped))


def misread_pull(field: SimulatedField, index: int, by: Length) -> SimulatedField:
    """The same field with one reading off by a length."""
    readings = list(field.readings)
    readings[index] = replace(readings[index], length=readings[index].length + by)
    return replace(field, readings=tuple(readings))


def _read_pull(
    pull: Pull, true_mm: dict[str, PointMm], random: np.random.Generator, budget: ErrorBudget
) -> Reading:
    distance = math.dist(true_mm[pull.from_station], true_mm[pull.to_station])
    length = Length.from_mm(Fraction(round(distance * 100), 100))
    tolerance = budget.tolerance_factor * find_tape_tolerance(length).float_mm
    warmer_f = random.normal(0.0, budget.unknown_temperature_error_f)
    read = distance / (1 + budget.expansion_per_f * warmer_f)
    read += random.uniform(-tolerance, tolerance) + random.normal(0.0, budget.setting.float_mm)
    step = budget.resolution.inches
    return Reading(
        pull.from_station, pull.to_station, Length(round(read / INCH_MM / float(step)) * Fraction(step))
    )


def errors_of(found: FoundStation) -> tuple[float, float]:
    """Standard errors of x and y, in mm."""
    return math.sqrt(found.covariance_mm2[0]), math.sqrt(found.covariance_mm2[2])
