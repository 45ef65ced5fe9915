"""Readings of a field that stands as it is said to, for tests of what a tape tells."""

from __future__ import annotations

import math
from collections.abc import Iterable, Mapping
from fractions import Fraction

from pocketref.field.plan import Plan
from pocketref.field.pulls import Pull
from pocketref.field.tape import Reading
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
