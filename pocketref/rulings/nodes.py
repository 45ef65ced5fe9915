"""The nodes of a chart, and how a way of asking is drawn together: equal parts of it become one node."""

from __future__ import annotations

from collections import deque
from collections.abc import Iterable, Mapping
from dataclasses import dataclass
from fractions import Fraction
from typing import Protocol, TypeAlias

from pocketref.rulings.boxes import bits
from pocketref.rulings.orders import OrderedState, OrderSearch
from pocketref.rulings.questions import QuestionSearch
from pocketref.rulings.table import Row, Table, read_ending

FEW_PIECES = 12
"""Parts of a large table with no more pieces than this..."""
FEW_FACTS = 6
"""...and facts than this are asked about in the best way; larger parts by a rule of thumb."""


@dataclass(frozen=True, slots=True)
class Exit:
    """A way out of a question: the answers that take it, and the number of the node it leads to."""

    answers: tuple[str, ...]
    target: int


@dataclass(frozen=True, slots=True)
class Question:
    """A decision: a fact to observe, with one exit for the answers that lead to the same node."""

    fact: str
    exits: tuple[Exit, ...]


@dataclass(frozen=True, slots=True)
class Ending:
    """An outcome, with every row of the table that leads to it, for citations.

    What a code leaves unsettled (`is_open`) ends apart from the same outcome where it is settled.
    """

    outcome: str
    rows: tuple[Row, ...]
    is_open: bool = False


Node: TypeAlias = Question | Ending


@dataclass(frozen=True, slots=True)
class Drawing:
    """Nodes with questions first, each before those it leads to nearest; the root is the first node."""

    nodes: tuple[Node, ...]
    worst: int
    expected: float
    value: tuple[int, Fraction]
    """Worst case and expected number of questions, exact, for comparison."""

    @property
    def questions(self) -> int:
        """The number of question nodes."""
        return sum(isinstance(node, Question) for node in self.nodes)

    @property
    def facts(self) -> tuple[str, ...]:
        """The facts asked, in the order in which they first come up."""
        return tuple(dict.fromkeys(node.fact for node in self.nodes if isinstance(node, Question)))


class Route(Protocol):
    """A way of asking: which fact comes next in a state that is not settled."""

    @property
    def start(self) -> OrderedState:
        """Nothing is answered yet."""

    def ask(self, state: OrderedState) -> tuple[int, list[tuple[int, OrderedState, int]]]:
        """The fact to ask, and (answers, state, weight) after each answer to it."""


class FreeRoute:
    """The best way of asking where every branch may have its own order."""

    def __init__(self, search: QuestionSearch) -> None:
        self.search = search
        everyone, places = search.pieces.everyone, search.every_place
        self.start = OrderedState(everyone, places, 0, search.worst(everyone, places))

    @property
    def value(self) -> tuple[int, int]:
        """(least worst case, then least weighted sum of questions)."""
        start = self.start
        return start.budget, self.search.cost(start.alive, start.unanswered, start.unanswered, start.budget)[
            0
        ]

    def ask(self, state: OrderedState) -> tuple[int, list[tuple[int, OrderedState, int]]]:
        """As Route."""
        place = self.search.choice(state.alive, state.unanswered, state.unanswered, state.budget)
        return place, _after_asking(self.search, state, place, state.budget - 1)


class OrderRoute:
    """The best way of asking in one order that leaves nothing open."""

    def __init__(self, order: OrderSearch) -> None:
        self.order = order
        self.start = order.start

    def ask(self, state: OrderedState) -> tuple[int, list[tuple[int, OrderedState, int]]]:
        """As Route."""
        while not self.order.cost(state)[2]:
            state = OrderedState(state.alive, state.unanswered, state.level + 1, state.budget)
        return self.order.places[state.level], list(self.order.after_asking(state))


class GreedyRoute:
    """A good way of asking for tables too large for the best: split the pieces evenly, repeat few of them."""

    def __init__(self, search: QuestionSearch) -> None:
        self.search = search
        self.start = OrderedState(search.pieces.everyone, search.every_place, 0, 0)

    def ask(self, state: OrderedState) -> tuple[int, list[tuple[int, OrderedState, int]]]:
        """As Route."""
        search, alive, unanswered = self.search, state.alive, state.unanswered
        useful = search.useful(alive, unanswered)
        if alive.bit_count() <= FEW_PIECES and len(useful) <= FEW_FACTS:
            budget = search.worst(alive, unanswered)
            place = search.choice(alive, unanswered, unanswered, budget)
        else:
            place = min(useful, key=lambda place: (*self._spread(alive, place), place))
        return place, _after_asking(search, state, place, state.budget)

    def _spread(self, alive: int, place: int) -> tuple[int, int]:
        """(pieces still to be told apart after all answers together, after the worst answer)."""
        sizes = [child.bit_count() for _, child, _ in self.search.children(alive, place)]
        return sum(sizes), max(sizes)


def _after_asking(
    search: QuestionSearch, state: OrderedState, place: int, budget: int
) -> list[tuple[int, OrderedState, int]]:
    unanswered = state.unanswered & ~(1 << place)
    return [
        (mask, OrderedState(child, unanswered, state.level, budget), weight)
        for mask, child, weight in search.children(state.alive, place)
    ]


def draw_together(table: Table, search: QuestionSearch, route: Route) -> Drawing:
    """The nodes of a way of asking, equal parts shared, and how many questions it really takes."""
    return _Builder(table, search, route).draw()


@dataclass(frozen=True, slots=True)
class _Part:
    """A drawn part: its node's key, weighted sum of questions, and questions in the worst case."""

    key: int
    cost: int
    depth: int


class _Builder:
    def __init__(self, table: Table, search: QuestionSearch, route: Route) -> None:
        self.table, self.search, self.route = table, search, route
        self.keys: dict[object, int] = {}
        self.drafts: list[str | tuple[int, tuple[tuple[int, int], ...]]] = []
        self.parts: dict[OrderedState, _Part] = {}

    def draw(self) -> Drawing:
        start = self.route.start
        part = self._part(start)
        numbers = self._number_nodes(part.key)
        nodes = tuple(self._finish(key, numbers) for key in numbers)
        mass = self.search.mass(start.alive, start.unanswered)
        expected = Fraction(part.cost, mass) if mass else Fraction(0)
        return Drawing(nodes, part.depth, float(expected), (part.depth, expected))

    def _part(self, state: OrderedState) -> _Part:
        if state not in self.parts:
            self.parts[state] = self._draw_part(state)
        return self.parts[state]

    def _draw_part(self, state: OrderedState) -> _Part:
        if self.search.is_settled(state.alive):
            first = next(bits(state.alive))
            return _Part(self._key(self.search.pieces.labels[first]), 0, 0)
        self.search.step()
        place, ways = self.route.ask(state)
        exits: dict[int, int] = {}
        cost = depth = 0
        for mask, after, weight in ways:
            part = self._part(after)
            exits[part.key] = exits.get(part.key, 0) | mask
            cost += weight * part.cost
            depth = max(depth, part.depth)
        if len(exits) == 1:
            return _Part(next(iter(exits)), cost, depth)
        ordered = sorted(exits.items(), key=lambda way: way[1] & -way[1])
        draft = (place, tuple((mask, key) for key, mask in ordered))
        return _Part(self._key(draft), cost + self.search.mass(state.alive, state.unanswered), depth + 1)

    def _key(self, draft: str | tuple[int, tuple[tuple[int, int], ...]]) -> int:
        if draft not in self.keys:
            self.keys[draft] = len(self.drafts)
            self.drafts.append(draft)
        return self.keys[draft]

    def _number_nodes(self, root: int) -> Mapping[int, int]:
        """Draft key -> node number: questions by their distance from the root, then endings."""
        reached, waiting = {root: None}, deque([root])
        while waiting:
            draft = self.drafts[waiting.popleft()]
            for _, key in () if isinstance(draft, str) else draft[1]:
                if key not in reached:
                    reached[key] = None
                    waiting.append(key)
        questions = [key for key in reached if not isinstance(self.drafts[key], str)]
        endings = [key for key in reached if isinstance(self.drafts[key], str)]
        return {key: number for number, key in enumerate([*questions, *endings])}

    def _finish(self, key: int, numbers: Mapping[int, int]) -> Node:
        draft = self.drafts[key]
        if isinstance(draft, str):
            outcome, is_open = read_ending(draft)
            return Ending(outcome, tuple(self._rows_leading_to(draft)), is_open)
        place, ways = draft
        space = self.table.space
        return Question(
            space.names[place],
            tuple(Exit(space.answers_of(place, mask), numbers[target]) for mask, target in ways),
        )

    def _rows_leading_to(self, ending: str) -> Iterable[Row]:
        possible = self.search.pieces.index
        for row, box in zip(self.table.rows, self.table.row_boxes, strict=True):
            if row.ending == ending and possible.meeting(box):
                yield row
