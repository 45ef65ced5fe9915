"""Readings of a field that stands as it is said to, for tests of what a tape tells."""

from __future__ import annotations

from collections.abc import Iterable, Mapping
from fractions import Fraction

import numpy as np
from simulated_fields import SimulatedField, simulate_field

from pocketref.field.plan import Plan, construct_plan, construct_station
from pocketref.field.pulls import Pull, measure_pull
from pocketref.tape.readings import Reading
from pocketref.tape.verdicts import TapeReport, judge_tape
from pocketref.units.length import Length

INCH = 25.4
TOLERANCE = Length(Fraction(1, 2))


def plan_of(places_in: Mapping[str, tuple[float, float]]) -> Plan:
    """A plan of nothing but stations, in inches."""
    stations = [construct_station(mark, mark, x, y) for mark, (x, y) in places_in.items()]
    return construct_plan("network", stations=stations, areas=(), lines=(), arcs=(), figures={})


def pulls_of(plan: Plan, *pairs: str) -> list[Pull]:
    """Pulls such as "A-C"."""
    ends = (pair.split("-") for pair in pairs)
    return [measure_pull(plan.stations[a], plan.stations[b], "check", "") for a, b in ends]


def simulate(plan: Plan, taped: Iterable[Pull], seed: int = 1, **faults: object) -> SimulatedField:
    """A field with these faults (see `simulate_field`), the same for the same seed."""
    return simulate_field(plan, list(taped), np.random.default_rng(seed), **faults)  # type: ignore[arg-type]


def judge(plan: Plan, taped: Iterable[Pull], seed: int = 1, **faults: object) -> TapeReport:
    """What a crew is told of such a field."""
    return judge_tape(plan, simulate(plan, taped, seed, **faults).readings, TOLERANCE)


def read(pull: Pull, inches: float, *, second: bool = False) -> Reading:
    """One reading more."""
    length = Length(Fraction(round(inches * 16), 16))
    return Reading(pull.from_station, pull.to_station, length, is_second_tape=second)
