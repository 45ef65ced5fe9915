"""The fewest plays that together meet everything wanted: a minimum set cover, with how sure that is.

The search is exact (branch and bound) while it takes few enough steps; else the best found, with the number of
plays that are needed at least. Ties go to the plays that come first.
"""

from __future__ import annotations

from collections.abc import Hashable, Sequence
from dataclasses import dataclass
from typing import TypeVar

MOST_STEPS = 50_000
"""The search for fewer gives up after as many."""

Wanted = TypeVar("Wanted", bound=Hashable)


@dataclass(frozen=True, slots=True)
class FewestPlays:
    """The numbers of the plays chosen, in order; no choice has fewer than `at_least`.

    `is_proven` says that no fewer would do. `unmet` counts what no play meets.
    """

    chosen: tuple[int, ...]
    at_least: int
    unmet: int = 0

    @property
    def is_proven(self) -> bool:
        """Whether fewer would not do."""
        return len(self.chosen) <= self.at_least


def choose_fewest(meets: Sequence[frozenset[Wanted]], wanted: frozenset[Wanted] | None = None) -> FewestPlays:
    """The fewest of the plays that meet all of `wanted` (else all that any play meets), each play by what it meets."""
    known = frozenset[Wanted]().union(*meets)
    need = known if wanted is None else wanted & known
    ordered = sorted(need, key=repr)
    places = {thing: 1 << place for place, thing in enumerate(ordered)}
    sets = [sum(places[thing] for thing in met if thing in places) for met in meets]
    everything = (1 << len(ordered)) - 1
    search = _Search(sets, everything)
    chosen, at_least = search.find()
    return FewestPlays(tuple(sorted(chosen)), at_least, len(wanted - known) if wanted else 0)


def cover_greedily(sets: Sequence[int], everything: int) -> list[int]:
    """Take the play that meets most of what is left, until nothing is left (V. Chvátal, 1979)."""
    chosen: list[int] = []
    while everything:
        best = max(range(len(sets)), key=lambda number: ((sets[number] & everything).bit_count(), -number))
        chosen.append(best)
        everything &= ~sets[best]
    return chosen


class _Search:
    """Branch and bound over the plays that meet the thing which fewest plays meet."""

    def __init__(self, sets: Sequence[int], everything: int) -> None:
        self.sets = sets
        self.everything = everything
        self.useful = _drop_contained(sets)
        self.meeting = {
            place: [number for number in self.useful if sets[number] >> place & 1]
            for place in range(everything.bit_length())
        }
        self.best = cover_greedily(sets, everything)
        self.steps = 0

    def find(self) -> tuple[list[int], int]:
        """The best choice, and how many plays are needed at least."""
        bound = self._bound(self.everything)
        if bound < len(self.best):
            self._search(self.everything, [])
            if self.steps <= MOST_STEPS:
                bound = len(self.best)
        return self.best, bound

    def _search(self, left: int, chosen: list[int]) -> None:
        self.steps += 1
        if self.steps > MOST_STEPS:
            return
        if not left:
            if len(chosen) < len(self.best):
                self.best = list(chosen)
            return
        if len(chosen) + self._bound(left) >= len(self.best):
            return
        hardest = min(_bits(left), key=lambda place: len(self.meeting[place]))
        options = sorted(self.meeting[hardest], key=lambda number: -(self.sets[number] & left).bit_count())
        for number in options:
            self._search(left & ~self.sets[number], [*chosen, number])

    def _bound(self, left: int) -> int:
        """Things that no play meets together need a play each."""
        needed = 0
        for place in sorted(_bits(left), key=lambda place: len(self.meeting[place])):
            if left >> place & 1:
                needed += 1
                for number in self.meeting[place]:
                    left &= ~self.sets[number]
        return needed


def _drop_contained(sets: Sequence[int]) -> list[int]:
    """The plays that meet something no earlier or better play meets along with the rest."""
    return [
        number
        for number, met in enumerate(sets)
        if met
        and not any(
            met | other == other and (met != other or place < number)
            for place, other in enumerate(sets)
            if place != number
        )
    ]


def _bits(mask: int) -> list[int]:
    return [place for place in range(mask.bit_length()) if mask >> place & 1]
