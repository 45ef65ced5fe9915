"""The nodes of a chart, drawn together: equal parts of it become one node."""

from __future__ import annotations

from collections.abc import Iterator, Mapping, Sequence
from dataclasses import dataclass
from fractions import Fraction
from math import prod
from typing import TypeAlias

from pocketref.rulings.boxes import LabelledBoxes, bits
from pocketref.rulings.questions import ANY, BestQuestions
from pocketref.rulings.table import Row, Table, read_ending

MOST_PARTS = 100_000
"""A chart with more parts than this, equal ones counted once, is refused."""


class ChartTooLargeError(Exception):
    """The chart has too many parts to draw."""


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

_Draft: TypeAlias = str | tuple[int, tuple[tuple[int, int], ...]]
"""An ending, or a fact's place with (answers, draft's number) for each exit."""


@dataclass(frozen=True, slots=True)
class _Part:
    """What follows a state: its draft's number, weighted sum of questions, and questions in the worst case."""

    draft: int
    cost: int
    depth: int


def draw_nodes(
    table: Table, ruled: LabelledBoxes, questions: BestQuestions
) -> tuple[tuple[Node, ...], tuple[int, Fraction]]:
    """The nodes, the root first, questions before endings; and (worst case, expected number) of questions.

    Raises ChartTooLargeError if there are more than MOST_PARTS states to draw.
    """
    drawer = _Drawer(table, ruled, questions)
    root = drawer.draw(ruled.everyone, (ANY,) * len(table.facts))
    mass = drawer.weigh(ruled.everyone, range(len(table.facts)))
    return drawer.number_nodes(root.draft), (root.depth, Fraction(root.cost, mass) if mass else Fraction(0))


class _Drawer:
    def __init__(self, table: Table, ruled: LabelledBoxes, questions: BestQuestions) -> None:
        self.table, self.ruled, self.questions = table, ruled, questions
        self.drafts: dict[_Draft, int] = {}
        self.parts: dict[tuple[int, tuple[bool, ...]], _Part] = {}

    def draw(self, alive: int, answers: tuple[int, ...]) -> _Part:
        """What follows the answers that leave the boxes `alive`; the same for all that leave the same to ask."""
        key = alive, tuple(answer == ANY for answer in answers)
        if key not in self.parts:
            if len(self.parts) == MOST_PARTS:
                raise ChartTooLargeError
            self.parts[key] = self._draw(alive, answers)
        return self.parts[key]

    def _draw(self, alive: int, answers: tuple[int, ...]) -> _Part:
        if self.ruled.is_settled(alive):
            return _Part(self._number(self.ruled.labels[next(bits(alive))]), 0, 0)
        place = self.questions.choose(alive, answers)
        exits: dict[int, int] = {}
        cost = depth = 0
        for answer, weight in enumerate(self.questions.weights[place]):
            if left := alive & self.ruled.index.with_answer(place, answer):
                part = self.draw(left, (*answers[:place], answer, *answers[place + 1 :]))
                exits[part.draft] = exits.get(part.draft, 0) | 1 << answer
                cost += weight * part.cost
                depth = max(depth, part.depth)
        if len(exits) == 1:
            return _Part(next(iter(exits)), cost, depth)
        draft = place, tuple((mask, number) for number, mask in exits.items())
        mass = self.weigh(alive, [place for place, answer in enumerate(answers) if answer == ANY])
        return _Part(self._number(draft), cost + mass, depth + 1)

    def weigh(self, alive: int, places: Sequence[int]) -> int:
        """The weight of the plays in some boxes, over the facts not answered."""
        return sum(
            prod(
                sum(self.questions.weights[place][answer] for answer in bits(self.ruled.boxes[number][place]))
                for place in places
            )
            for number in bits(alive)
        )

    def _number(self, draft: _Draft) -> int:
        return self.drafts.setdefault(draft, len(self.drafts))

    def number_nodes(self, root: int) -> tuple[Node, ...]:
        """The drafts that the root leads to as nodes: questions by their distance from it, then endings."""
        drafts = list(self.drafts)
        reached = [root]
        for number in reached:
            draft = drafts[number]
            if not isinstance(draft, str):
                reached += dict.fromkeys(target for _, target in draft[1] if target not in reached)
        reached.sort(key=lambda number: isinstance(drafts[number], str))
        numbers = {number: place for place, number in enumerate(reached)}
        return tuple(self._finish(drafts[number], numbers) for number in reached)

    def _finish(self, draft: _Draft, numbers: Mapping[int, int]) -> Node:
        if isinstance(draft, str):
            outcome, is_open = read_ending(draft)
            return Ending(outcome, tuple(self._rows_leading_to(draft)), is_open)
        place, ways = draft
        space = self.table.space
        exits = tuple(Exit(space.answers_of(place, mask), numbers[target]) for mask, target in ways)
        return Question(space.names[place], exits)

    def _rows_leading_to(self, ending: str) -> Iterator[Row]:
        for row, box in zip(self.table.rows, self.table.row_boxes, strict=True):
            if row.ending == ending and self.ruled.index.meeting(box):
                yield row
