"""The few pulls that catch the most of the errors crews make, and what they miss."""

from __future__ import annotations

import math
from collections.abc import Mapping, Sequence
from dataclasses import dataclass

import numpy as np

from pocketref.field.plan import Plan
from pocketref.field.pulls import Pull, pulls
from pocketref.tape.crew_errors import CORNER, CORNER_IN, CrewError, list_crew_errors
from pocketref.tape.error_model import Floats
from pocketref.tape.sheet_pulls import Chosen, exchange_pulls, find_limit_mm
from pocketref.units.length import INCH_MM, Length


@dataclass(frozen=True, slots=True)
class FieldCheck:
    """Pulls in the order a crew would tape them, the errors each shows, and what none does."""

    pulls: tuple[Pull, ...]
    limits_mm: tuple[float, ...]
    """How far off each may read and pass."""
    caught: Mapping[str, tuple[str, ...]]
    """Names of the errors that a pull shows, by the pull's name."""
    errors: int
    missed: tuple[CrewError, ...]
    """The likelier kinds first."""
    unseen: tuple[str, ...]
    """Marks that can be off alone by any distance."""
    corner_mm: float
    """From so far off, in its worst direction but along no pull at all, a single corner at another mark shows."""

    @property
    def found(self) -> int:
        """How many of the errors at least one pull shows."""
        return self.errors - len(self.missed)


def choose_field_check(plan: Plan, dimensions: Mapping[str, Length], count: int = 5) -> FieldCheck:
    """The `count` pulls of a plate area that show the most errors, each kind of error counting alike.

    A pull shows an error that changes it by more than a true pull may read off. Pulls are taken one by one, the best
    first, then exchanged for others as long as that shows more, or as much with shorter tapes.
    """
    errors = list_crew_errors(plan, dimensions)
    every = pulls(plan)
    limits, lengths = np.array([(find_limit_mm(pull), pull.length_mm) for pull in every]).T
    changes = np.array([[abs(measure_change_mm(plan, pull, error)) for error in errors] for pull in every])
    shows = changes > limits[:, None]
    kinds = [error.kind for error in errors]
    weights = np.array([1 / kinds.count(kind) for kind in kinds])

    def weigh(kept: Chosen) -> Floats:
        cost: Floats = kept @ lengths - 1e9 * np.round(((kept @ shows) > 0) @ weights, 9)
        return cost

    each, kept = np.eye(len(every), dtype=bool), np.zeros(len(every), dtype=bool)
    for _ in range(count):
        after = kept | each[~kept]
        kept = after[int(np.argmin(weigh(after)))]
    chosen = np.flatnonzero(exchange_pulls(kept, each, count, weigh))
    seen = shows[chosen].any(axis=0)
    taped = tuple(every[index] for index in chosen.tolist())
    marks = [mark for mark in plan.stations if mark[0] in "FTCL"]
    ends = {mark for pull in taped for mark in (pull.from_station, pull.to_station)}
    return FieldCheck(
        taped,
        tuple(limits[chosen].tolist()),
        {
            every[i].name: tuple(errors[column].name for column in np.flatnonzero(shows[i]).tolist())
            for i in chosen.tolist()
        },
        len(errors),
        tuple(errors[column] for column in np.flatnonzero(~seen).tolist()),
        tuple(mark for mark in marks if mark not in ends),
        _measure_corner_mm(errors, changes[chosen], limits[chosen]),
    )


def _measure_corner_mm(errors: Sequence[CrewError], changes: Floats, limits: Floats) -> float:
    """How far off a corner must be, straight along one of its pulls, to show: the worst of the marks with a pull."""
    corners: dict[str, float] = {}
    for column, error in enumerate(errors):
        if error.kind == CORNER:
            (mark,) = error.moves
            corners[mark] = max(corners.get(mark, 0.0), float((changes[:, column] / limits).max()))
    return max(CORNER_IN * INCH_MM / share for share in corners.values() if share > 0)


def measure_change_mm(plan: Plan, pull: Pull, error: CrewError) -> float:
    """How much longer an error makes a pull, in mm; without end where one of its marks is not there."""
    ends = []
    for mark in (pull.from_station, pull.to_station):
        move = error.moves.get(mark, (0.0, 0.0))
        if move is None:
            return math.inf
        ends.append((plan.stations[mark].x_mm + move[0], plan.stations[mark].y_mm + move[1]))
    return math.dist(*ends) - pull.length_mm
