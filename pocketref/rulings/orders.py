"""One order of questions for the whole chart: what an order costs, and the search for the best.

In a chart with one order, every path asks its facts in that order and skips those it need not ask.
"""

from __future__ import annotations

import heapq
from collections.abc import Iterator, Sequence
from dataclasses import dataclass

from pocketref.rulings.questions import NO_WAY, QuestionSearch, SearchTooLongError


@dataclass(frozen=True, slots=True)
class OrderedState:
    """A state along an order: the pieces in play, the facts not answered, and how far the order has come."""

    alive: int
    unanswered: int
    level: int
    budget: int


class OrderSearch:
    """Least numbers of questions when facts are asked in the order of `places`, all others freely after them.

    With only the first few places given, the numbers are lower bounds for every order that starts so. Where
    some combinations cannot happen, asking a fact that could be skipped is tried too, since it may save
    later questions; `thrifty` always skips such facts, which is quicker but may ask more.
    """

    def __init__(self, search: QuestionSearch, places: Sequence[int], *, thrifty: bool = False) -> None:
        self.search = search
        self.thrifty = thrifty
        self.places = tuple(places)
        rest = search.every_place
        self.allowed = [rest]
        for place in places:
            rest &= ~(1 << place)
            self.allowed.append(rest)
        suffixes = [self.places[level:] for level in range(len(self.allowed))]
        shared = [search.along(*key, thrifty=thrifty) for key in zip(self.allowed, suffixes, strict=True)]
        self._worst = [each.worst for each in shared]
        self._cost = [each.cost for each in shared]

    @property
    def start(self) -> OrderedState:
        """Nothing is answered yet, and the budget is the least worst case."""
        everyone = self.search.pieces.everyone
        budget = self.worst(everyone, 0)
        return OrderedState(everyone, self.search.every_place, 0, budget)

    def value(self) -> tuple[int, int]:
        """(least worst case, then least weighted sum of questions)."""
        start = self.start
        return start.budget, self.cost(start)[0]

    def worst(self, alive: int, level: int) -> int:
        """The fewest questions in the worst case from here; NO_WAY if the facts left are not enough."""
        known = self._worst[level].get(alive)
        if known is not None:
            return known
        if self.search.is_settled(alive):
            return 0
        if level == len(self.places):
            return self.search.worst(alive, self.allowed[level])
        self.search.step()
        best = NO_WAY
        if self.may_ask(alive, level):
            asked = self.search.children(alive, self.places[level])
            best = 1 + max([self.worst(child, level + 1) for _, child, _ in asked])
        if self.may_skip(alive, level):
            best = min(best, self.worst(alive, level + 1))
        self._worst[level][alive] = best = min(best, NO_WAY)
        return best

    def may_ask(self, alive: int, level: int) -> bool:
        """Whether the next fact is worth asking."""
        if self.thrifty and not self.search.is_total:
            return not self.may_skip(alive, level)
        return self.places[level] in self.search.useful(alive, self.allowed[level])

    def may_skip(self, alive: int, level: int) -> bool:
        """Whether the next fact may be left out. Where everything can happen, only if it is not worth asking."""
        if self.search.is_total:
            return not self.may_ask(alive, level)
        return not self.thrifty or self.search.is_enough(alive, self.allowed[level + 1])

    def cost(self, state: OrderedState) -> tuple[int, int, bool]:
        """(least weighted sum of questions, questions in the tree, whether the next fact is asked)."""
        if self.search.is_settled(state.alive):
            return 0, 0, False
        if state.level == len(self.places):
            allowed = self.allowed[state.level]
            return *self.search.cost(state.alive, state.unanswered, allowed, state.budget), False
        known, key = self._cost[state.level], (state.alive, state.unanswered, state.budget)
        if key not in known:
            known[key] = self._cheapest(state)
        return known[key]

    def _cheapest(self, state: OrderedState) -> tuple[int, int, bool]:
        """The cost where the next fact may be asked or skipped."""
        self.search.step()
        mass = self.search.mass(state.alive, state.unanswered)
        options = [(NO_WAY * (mass + 1), NO_WAY, False)]
        skipped = OrderedState(state.alive, state.unanswered, state.level + 1, state.budget)
        if self.may_skip(state.alive, state.level) and self._fits(skipped):
            options.append((*self.cost(skipped)[:2], False))
        if self.may_ask(state.alive, state.level):
            children = list(self.after_asking(state))
            if all(self._fits(child) for _, child, _ in children):
                costs = [(weight, self.cost(child)) for _, child, weight in children]
                total = mass + sum(weight * cost[0] for weight, cost in costs)
                options.append((total, 1 + sum(cost[1] for _, cost in costs), True))
        return min(options)

    def _fits(self, state: OrderedState) -> bool:
        return self.worst(state.alive, state.level) <= state.budget

    def after_asking(self, state: OrderedState) -> Iterator[tuple[int, OrderedState, int]]:
        """(answers, state, weight) after each answer to the next fact."""
        place = self.places[state.level]
        unanswered = state.unanswered & ~(1 << place)
        for mask, child, weight in self.search.children(state.alive, place):
            yield mask, OrderedState(child, unanswered, state.level + 1, state.budget - 1), weight

    def frontier(self) -> set[int]:
        """The pieces in play wherever the order ends with the outcome still open."""
        found, waiting, seen = set(), [self.start], set()
        while waiting:
            state = waiting.pop()
            if state in seen or self.search.is_settled(state.alive):
                continue
            seen.add(state)
            if state.level == len(self.places):
                found.add(state.alive)
            elif self.cost(state)[2]:
                waiting += [child for _, child, _ in self.after_asking(state)]
            else:
                waiting.append(OrderedState(state.alive, state.unanswered, state.level + 1, state.budget))
        return found


def best_orders(
    search: QuestionSearch, most_orders: int, enough: tuple[int, int] | None = None
) -> list[OrderSearch]:
    """The orders with the least (worst case, weighted sum), at most `most_orders` of them.

    Best first: of all starts of orders, the one with the least lower bound is lengthened, so the first
    order that settles everything is proven best. If `enough` is given, only orders of that value are
    looked for, and the list may be empty. Raises SearchTooLongError if none is found in the steps allowed.
    """
    found: list[OrderSearch] = []
    try:
        for order in _orders_best_first(search, enough):
            found.append(order)
            if len(found) == most_orders:
                break
    except SearchTooLongError:
        if not found:
            raise
    return found


def _orders_best_first(search: QuestionSearch, enough: tuple[int, int] | None) -> Iterator[OrderSearch]:
    first = OrderSearch(search, ())
    waiting: list[tuple[tuple[int, int], int, tuple[int, ...], OrderSearch]] = [(first.value(), 0, (), first)]
    while waiting:
        value, _, places, order = heapq.heappop(waiting)
        if value > (enough or value):
            return
        frontier = order.frontier()
        if not frontier:
            enough = value
            yield order
            continue
        for place in _next_places(search, places, frontier):
            longer = (*places, place)
            trial = OrderSearch(search, longer)
            bound = trial.value()
            if bound <= (enough or bound):
                heapq.heappush(waiting, (bound, -len(longer), longer, trial))


def _next_places(search: QuestionSearch, places: tuple[int, ...], frontier: set[int]) -> list[int]:
    """Facts that may come next. Facts not worth asking anywhere now are better placed later."""
    rest = search.every_place
    for place in places:
        rest &= ~(1 << place)
    if not search.is_total:
        return list(search.useful(search.pieces.everyone, rest))
    return sorted({place for alive in frontier for place in search.useful(alive, rest)})


def sift_order(search: QuestionSearch, places: Sequence[int], most_steps: int) -> OrderSearch | None:
    """A good order, by moving one fact after another to its best place (R. Rudell's sifting, ICCAD 1993).

    None if not even the order given can be valued in `most_steps`; the best found by then otherwise.
    """
    best: OrderSearch | None = None
    search.steps_left = most_steps
    try:
        best = OrderSearch(search, places, thrifty=True)
        value = best.value()
    except SearchTooLongError:
        return None
    try:
        for place in places:
            for order in _moved(best.places, place):
                trial = OrderSearch(search, order, thrifty=True)
                if (found := trial.value()) < value:
                    best, value = trial, found
    except SearchTooLongError:
        pass
    return best


def _moved(places: tuple[int, ...], place: int) -> list[tuple[int, ...]]:
    """The orders that differ in where one fact stands."""
    rest = [other for other in places if other != place]
    orders = [(*rest[:i], place, *rest[i:]) for i in range(len(places))]
    return [order for order in orders if order != places]
