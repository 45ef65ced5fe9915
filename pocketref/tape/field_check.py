"""The few pulls that catch the most of the errors crews make, chosen by trying every set of them."""

from __future__ import annotations

import itertools
import math
from collections.abc import Mapping, Sequence
from dataclasses import dataclass

from pocketref.field.plan import Plan
from pocketref.field.pulls import Pull, pulls
from pocketref.tape.crew_errors import CrewError, list_crew_errors
from pocketref.units.length import Length

CLEARLY = 2
"""An error that changes a pull by this many tolerances shows clearly: our own figure."""


@dataclass(frozen=True, slots=True)
class FieldCheck:
    """Pulls in the order a crew would tape them, the errors each catches, and those that none does."""

    pulls: tuple[Pull, ...]
    caught: Mapping[str, tuple[str, ...]]
    """Names of the errors that a pull shows, by the pull's name."""
    errors: int
    missed: tuple[str, ...]
    tolerance: Length

    @property
    def found(self) -> int:
        """How many of the errors at least one pull shows."""
        return self.errors - len(self.missed)

    @property
    def share(self) -> float:
        """The same as a share, 0 to 1."""
        return self.found / self.errors


@dataclass(frozen=True, slots=True)
class _Candidate:
    """A pull, its place in the order of taping, and the errors it shows as bits."""

    pull: Pull
    place: int
    shows: int
    shows_clearly: int
    """Those that change it by more than twice the tolerance."""


def choose_field_check(
    plan: Plan, dimensions: Mapping[str, Length], tolerance: Length, count: int = 5
) -> FieldCheck:
    """The `count` pulls of a plate area that show the most errors.

    A pull shows an error that changes it by more than the tolerance. Of sets that show as many, the one that
    shows the most of them at twice the tolerance is taken, then the one with the shortest tapes. Every set is
    tried, but for pulls that show nothing that one as good does not.
    """
    errors = list_crew_errors(plan, dimensions)
    candidates = _drop_dominated(_list_candidates(plan, errors, tolerance.float_mm))
    best = sorted(_choose(candidates, min(count, len(candidates))), key=lambda candidate: candidate.place)
    caught = {c.pull.name: tuple(e.name for i, e in enumerate(errors) if c.shows >> i & 1) for c in best}
    seen = 0
    for candidate in best:
        seen |= candidate.shows
    missed = tuple(error.name for index, error in enumerate(errors) if not seen >> index & 1)
    return FieldCheck(tuple(c.pull for c in best), caught, len(errors), missed, tolerance)


def _list_candidates(plan: Plan, errors: Sequence[CrewError], tolerance_mm: float) -> list[_Candidate]:
    candidates = []
    for place, pull in enumerate(pulls(plan)):
        changes = [abs(measure_change_mm(plan, pull, error)) for error in errors]
        shows, clearly = (
            sum(1 << index for index, change in enumerate(changes) if change > least)
            for least in (tolerance_mm, CLEARLY * tolerance_mm)
        )
        if shows:
            candidates.append(_Candidate(pull, place, shows, clearly))
    return candidates


def measure_change_mm(plan: Plan, pull: Pull, error: CrewError) -> float:
    """How much longer an error makes a pull, in mm."""
    ends = []
    for mark in (pull.from_station, pull.to_station):
        dx, dy = error.moves.get(mark, (0.0, 0.0))
        ends.append((plan.stations[mark].x_mm + dx, plan.stations[mark].y_mm + dy))
    return math.dist(*ends) - pull.length_mm


def _drop_dominated(candidates: Sequence[_Candidate]) -> list[_Candidate]:
    """Without pulls whose errors another shows too, where that one shows more or is shorter or comes first."""

    def rank(candidate: _Candidate) -> tuple[int, int, float, int]:
        counts = (-candidate.shows.bit_count(), -candidate.shows_clearly.bit_count())
        return (*counts, round(candidate.pull.length_mm, 6), candidate.place)

    def adds(candidate: _Candidate, other: _Candidate) -> int:
        return candidate.shows & ~other.shows | candidate.shows_clearly & ~other.shows_clearly

    kept: list[_Candidate] = []
    for candidate in sorted(candidates, key=rank):
        if all(adds(candidate, other) for other in kept):
            kept.append(candidate)
    return kept


def _choose(candidates: Sequence[_Candidate], count: int) -> tuple[_Candidate, ...]:
    def worth(chosen: tuple[_Candidate, ...]) -> tuple[int, int, float, tuple[int, ...]]:
        shows = clearly = 0
        for candidate in chosen:
            shows |= candidate.shows
            clearly |= candidate.shows_clearly
        length = round(sum(candidate.pull.length_mm for candidate in chosen), 6)
        return (
            -shows.bit_count(),
            -clearly.bit_count(),
            length,
            tuple(candidate.place for candidate in chosen),
        )

    return min(itertools.combinations(candidates, count), key=worth)
