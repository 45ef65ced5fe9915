"""Readings of a field that stands as it is said to, for tests of what a tape tells."""

from __future__ import annotations

import math
from collections.abc import Iterable, Mapping
from fractions import Fraction

from pocketref.field.plan import Plan, construct_plan, construct_station
from pocketref.field.pulls import Pull
from pocketref.tape.readings import Pin, Reading
from pocketref.units.length import Length

INCH = 25.4


def read_exactly(
    plan: Plan, pulls: Iterable[Pull], moved: Mapping[str, tuple[float, float]] | None = None
) -> list[Reading]:
    """Readings without error of a field whose stations are as planned but for those moved (inches)."""
    places = {mark: (s.x_mm, s.y_mm) for mark, s in plan.stations.items()}
    for mark, (dx, dy) in (moved or {}).items():
        places[mark] = (places[mark][0] + dx * INCH, places[mark][1] + dy * INCH)
    return [
        Reading(
            p.from_station,
            p.to_station,
            Length.from_mm(Fraction(math.dist(places[p.from_station], places[p.to_station]))),
            68.0,
        )
        for p in pulls
    ]


def plan_of(places_in: Mapping[str, tuple[float, float]]) -> Plan:
    """A plan of nothing but stations, in inches."""
    stations = [construct_station(mark, mark, x, y) for mark, (x, y) in places_in.items()]
    return construct_plan("network", stations=stations, areas=(), lines=(), arcs=(), figures={})


def tape(plan: Plan, pairs: Iterable[str], **by_in: float) -> list[Reading]:
    """Exact readings of "A-C" and the like at 68 F, but for those off by so many inches ("A_C")."""
    readings = []
    for pair in pairs:
        start, end = (plan.stations[mark] for mark in pair.split("-"))
        mm = math.hypot(end.x_mm - start.x_mm, end.y_mm - start.y_mm)
        off = Length(Fraction(by_in.get(pair.replace("-", "_"), 0.0)))
        readings.append(Reading(start.name, end.name, Length.from_mm(Fraction(mm)) + off, 68.0))
    return readings


def pin(*marks: str) -> tuple[Pin, ...]:
    return tuple(Pin(mark) for mark in marks)
