"""Which question to ask next: exact search for the fewest questions that settle an outcome.

A state is what is known after some answers: the pieces still in play (a bitmask), the facts not answered,
and the facts that may still be asked. States reached along different paths are the same state, so each is
searched once. Combinations that cannot happen are in no piece, hence never stand in the way of a shortcut.
"""

from __future__ import annotations

from dataclasses import dataclass, field
from fractions import Fraction
from math import lcm

from pocketref.problems import PocketrefError, Problem
from pocketref.rulings.boxes import bits
from pocketref.rulings.pieces import Pieces
from pocketref.rulings.table import Fact, Table

NO_WAY = 1 << 30
"""The number of questions where no questions can settle the outcome."""


class SearchTooLongError(Exception):
    """The exact search took more steps than allowed; callers fall back to a heuristic."""


@dataclass(slots=True)
class Along:
    """Found so far of asking along one order, by the pieces in play: see `OrderSearch.worst` and `cost`."""

    worst: dict[int, int] = field(default_factory=dict)
    cost: dict[tuple[int, int, int], tuple[int, int, bool]] = field(default_factory=dict)


class QuestionSearch:
    """Least worst-case and expected numbers of questions for the states of one table.

    `is_total` says that every combination can happen. Expected numbers are sums over combinations, each
    weighted with the product of its answers' weights over the facts not yet answered: whole numbers, so
    that ties are exact.
    """

    def __init__(self, table: Table, pieces: Pieces, most_steps: int) -> None:
        self.pieces = pieces
        self.is_settled = pieces.is_settled
        """Whether the outcome is known, of the pieces in play."""
        self.is_total = not table.never
        self.weights = [whole_weights(fact) for fact in table.facts]
        self.steps_left = most_steps
        self.every_place = (1 << len(table.facts)) - 1
        self._worst: dict[tuple[int, int], int] = {}
        self._cost: dict[tuple[int, int, int, int], tuple[int, int, int]] = {}
        self._mass: dict[tuple[int, int], int] = {}
        self._useful: dict[tuple[int, int], tuple[int, ...]] = {}
        self._enough: dict[tuple[int, int], bool] = {}
        self._children: dict[tuple[int, int], tuple[tuple[int, int, int], ...]] = {}
        self._along: dict[tuple[int, tuple[int, ...], bool], Along] = {}

    def along(self, allowed: int, places: tuple[int, ...], *, thrifty: bool) -> Along:
        """What is known of asking in the order of `places`: one memory for every order that ends in them."""
        return self._along.setdefault((allowed, places, thrifty), Along())

    def step(self) -> None:
        """Count a step of work; raises SearchTooLongError when there are none left."""
        self.steps_left -= 1
        if self.steps_left < 0:
            raise SearchTooLongError

    def useful(self, alive: int, allowed: int) -> tuple[int, ...]:
        """The facts worth asking: all others can be left out without asking more elsewhere."""
        key = (alive, allowed)
        if key not in self._useful:
            self.step()
            find = self.pieces.deciding_places if self.is_total else self.pieces.telling_places
            self._useful[key] = find(alive, bits(allowed))
        return self._useful[key]

    def is_enough(self, alive: int, allowed: int) -> bool:
        """Whether the facts that may still be asked always settle the outcome."""
        key = (alive, allowed)
        if key not in self._enough:
            self.step()
            self._enough[key] = self.pieces.suffice(bits(allowed), alive)
        return self._enough[key]

    def children(self, alive: int, place: int) -> tuple[tuple[int, int, int], ...]:
        """After each answer: (answers that leave the same pieces in play, those pieces, their weight).

        Answers that cannot happen are left out.
        """
        key = (alive, place)
        if key not in self._children:
            groups: dict[int, list[int]] = {}
            for answer, weight in enumerate(self.weights[place]):
                if child := alive & self.pieces.index.with_answer(place, answer):
                    group = groups.setdefault(child, [0, 0])
                    group[0] |= 1 << answer
                    group[1] += weight
            self._children[key] = tuple((mask, child, weight) for child, (mask, weight) in groups.items())
        return self._children[key]

    def mass(self, alive: int, unanswered: int) -> int:
        """The total weight of the pieces in play over the facts not answered."""
        key = (alive, unanswered)
        if key not in self._mass:
            total = 0
            for number in bits(alive):
                part = 1
                for place in bits(unanswered):
                    part *= self._weight_of(place, self.pieces.boxes[number][place])
                total += part
            self._mass[key] = total
        return self._mass[key]

    def _weight_of(self, place: int, mask: int) -> int:
        return sum(weight for answer, weight in enumerate(self.weights[place]) if mask >> answer & 1)

    def worst(self, alive: int, allowed: int) -> int:
        """The fewest questions that settle the outcome whatever the answers; NO_WAY if none do."""
        key = (alive, allowed)
        if key in self._worst:
            return self._worst[key]
        best = 0
        if not self.is_settled(alive):
            self.step()
            best = NO_WAY
            for place in self.useful(alive, allowed):
                worst = self._worst_asking(alive, allowed, place, best)
                best = min(best, worst)
                if best == 1:
                    break
        self._worst[key] = best
        return best

    def _worst_asking(self, alive: int, allowed: int, place: int, enough: int) -> int:
        """The fewest questions if this fact is asked now; may stop at anything that is not below `enough`."""
        worst = 0
        for _, child, _ in self.children(alive, place):
            worst = max(worst, self.worst(child, allowed & ~(1 << place)))
            if worst + 1 >= enough:
                return enough
        return worst + 1

    def cost(self, alive: int, unanswered: int, allowed: int, budget: int) -> tuple[int, int]:
        """(weighted sum of questions, questions in the tree), least with at most `budget` questions asked.

        The first is least among all ways to ask, the second least among those. NO_WAY twice if impossible.
        """
        return self._plan(alive, unanswered, allowed, budget)[:2]

    def choice(self, alive: int, unanswered: int, allowed: int, budget: int) -> int:
        """The place of the fact to ask; the first in the author's order if several are as good."""
        return self._plan(alive, unanswered, allowed, budget)[2]

    def _plan(self, alive: int, unanswered: int, allowed: int, budget: int) -> tuple[int, int, int]:
        if self.is_settled(alive):
            return 0, 0, -1
        budget = min(budget, allowed.bit_count())
        key = (alive, unanswered, allowed, budget)
        if key not in self._cost:
            self.step()
            mass = self.mass(alive, unanswered)
            best = (NO_WAY * (mass + 1), NO_WAY, -1)
            for place in self.useful(alive, allowed):
                if (found := self._plan_asking(key, place, mass, best[0])) is not None:
                    best = min(best, found)
            self._cost[key] = best
        return self._cost[key]

    def _plan_asking(
        self, state: tuple[int, int, int, int], place: int, mass: int, enough: int
    ) -> tuple[int, int, int] | None:
        """The plan if this fact is asked now; None if over budget or certainly above `enough`."""
        alive, unanswered, allowed, budget = state
        rest, open_rest = allowed & ~(1 << place), unanswered & ~(1 << place)
        children = self.children(alive, place)
        if any(self.worst(child, rest) >= budget for _, child, _ in children):
            return None
        # Each child that is not settled takes at least one question more.
        bound = mass + sum(
            weight * self.mass(child, open_rest)
            for _, child, weight in children
            if not self.is_settled(child)
        )
        if bound > enough:
            return None
        total, count = mass, 1
        for _, child, weight in children:
            more, nodes = self.cost(child, open_rest, rest, budget - 1)
            total += weight * more
            count += nodes
        return total, count, place


def whole_weights(fact: Fact) -> tuple[int, ...]:
    """The weights of a fact's answers as whole numbers in the same ratio; equal if the author gives none.

    Raises PocketrefError if their number is not that of the answers, one is negative, or all are 0.
    """
    if not fact.weights:
        return (1,) * len(fact.answers)
    ratios = [Fraction(str(weight)) for weight in fact.weights]
    if len(ratios) != len(fact.answers) or min(ratios) < 0 or not any(ratios):
        hint = "give one number, 0 or more, for each answer"
        raise PocketrefError(
            [Problem("weights-wrong", f"the weights of '{fact.name}' do not fit", hint, fact.where)]
        )
    scale = lcm(*(ratio.denominator for ratio in ratios))
    return tuple(int(ratio * scale) for ratio in ratios)
