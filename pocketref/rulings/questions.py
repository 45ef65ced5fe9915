"""Which question to ask next: the fewest that settle the outcome, in the worst case, then on average.

A state is a box in which each fact has one answer or may still have any. Every state is solved once, those with
the most answers first, all states with the same facts answered together, as arrays. Tables with more states than
that allows are asked by a rule of thumb until few facts are left.
"""

from __future__ import annotations

from collections.abc import Iterator, Sequence
from fractions import Fraction
from math import lcm, prod
from typing import Any, TypeAlias

import numpy as np
from numpy.typing import NDArray

from pocketref.problems import refusal
from pocketref.rulings.boxes import Box, LabelledBoxes, bits
from pocketref.rulings.table import Fact, Table
from pocketref.words.terminal import tell

MOST_FACTS = 10
MOST_STATES = 2_000_000
"""With more facts or states than these, charts are found by the rule of thumb."""
FEW_FACTS = 5
"""Parts of such a table with no more facts than this are asked about in the best way."""

NO_WAY = 100
"""The number of questions where no questions can settle the outcome."""
ANY = -1
"""The answer, and the place in an axis, of a fact that is not answered yet."""

_Grid: TypeAlias = NDArray[Any]
"""An axis for each fact, with a place for each answer and the last for ANY."""
_Asked: TypeAlias = tuple[int, int, tuple[Any, ...]]
"""A fact to ask, the axis of its answers once they are known, and the states after them."""


class BestQuestions:
    """The question to ask in every state of a table.

    `ruled` are the possible plays by their ending. If `order` lists all facts, they are asked in no other order.
    `is_proven` says that no other choice of questions takes fewer.
    """

    def __init__(self, table: Table, ruled: LabelledBoxes, order: Sequence[int] = ()) -> None:
        self.weights = [whole_weights(fact) for fact in table.facts]
        self._ruled = ruled
        self._in_order = bool(order)
        self._places = [place for place in order or range(len(table.facts)) if ruled.index.narrowing[place]]
        states = prod(len(self.weights[place]) + 1 for place in self._places)
        is_small = len(self._places) <= MOST_FACTS and states <= MOST_STATES
        self._choice = self._solve(ruled.everyone, self._places) if is_small else None
        # Where every play can happen, a fact is asked at its turn just if the outcome hangs on it.
        self.is_proven = is_small or (self._in_order and not table.never)

    def choose(self, alive: int, answers: Sequence[int]) -> int:
        """The fact to ask where the boxes `alive` (a bitmask) are left and not settled; ANY where not answered."""
        if self._choice is not None:
            return self._places[int(self._choice[tuple(answers[place] for place in self._places)])]
        narrowing = self._ruled.index.narrowing
        left = [place for place in self._places if answers[place] == ANY and alive & narrowing[place]]
        if self._in_order:
            turns = enumerate(left, start=1)
            return next(place for turn, place in turns if not self._ruled.suffice(left[turn:], alive))
        if len(left) <= FEW_FACTS:
            return left[int(self._solve(alive, left)[(ANY,) * len(left)])]
        return min(left, key=lambda place: (*self._count_after(alive, place), place))

    def _count_after(self, alive: int, place: int) -> tuple[int, int]:
        """(boxes not settled after all answers together, after the worst answer)."""
        answers = range(len(self.weights[place]))
        after = [alive & self._ruled.index.with_answer(place, answer) for answer in answers]
        counts = [0 if self._ruled.is_settled(boxes) else boxes.bit_count() for boxes in dict.fromkeys(after)]
        return sum(counts), max(counts)

    def _solve(self, alive: int, places: Sequence[int]) -> _Grid:
        boxes = [tuple(self._ruled.boxes[number][place] for place in places) for number in bits(alive)]
        labels = [self._ruled.labels[number] for number in bits(alive)]
        return solve_states(boxes, labels, [self.weights[place] for place in places], in_order=self._in_order)


def solve_states(
    boxes: Sequence[Box], labels: Sequence[str], weights: Sequence[Sequence[int]], *, in_order: bool
) -> _Grid:
    """The number of the fact to ask in each state (0 where none needs to be asked): the first of those as good.

    Least is first the number of questions in the worst case from the state with no answers, then the expected
    number. `boxes` are disjoint and hold the plays that can happen.
    """
    is_open, mass = _lay_out_states(boxes, labels, weights)
    least = np.zeros(is_open.shape, np.int8)
    for _, here, asks in _list_steps(weights, in_order=in_order):
        best = np.full(least[here].shape, NO_WAY, np.int8)
        for _, axis, after in asks:
            best = np.minimum(best, least[after].max(axis) + 1)
        least[here] = np.where(is_open[here], best, 0)
    most = int(least[(ANY,) * len(weights)])
    choice = np.zeros(least.shape, np.int8)
    cost = np.zeros(least.shape)
    for known, here, asks in _list_steps(weights, in_order=in_order):
        questions_left = most - known - 1
        cheapest = np.full(least[here].shape, np.inf)
        for fact, axis, after in asks:
            answers = np.moveaxis(cost[after], axis, 0)
            total = sum(weight * answers[answer] for answer, weight in enumerate(weights[fact]))
            fits = least[after].max(axis) <= questions_left
            cheaper = fits & (total < cheapest)
            cheapest = np.where(cheaper, total, cheapest)
            choice[here] = np.where(cheaper, fact, choice[here])
        cost[here] = np.where(is_open[here] & np.isfinite(cheapest), cheapest + mass[here], 0)
    return choice


def _lay_out_states(
    boxes: Sequence[Box], labels: Sequence[str], weights: Sequence[Sequence[int]]
) -> tuple[_Grid, _Grid]:
    """For each state: whether its plays have several labels, and their weight over the facts not answered."""
    shape = [len(each) + 1 for each in weights]
    numbers = {label: number for number, label in enumerate(dict.fromkeys(labels))}
    lowest = np.full(shape, len(numbers), np.int16)
    highest = np.full(shape, -1, np.int16)
    for box, label in zip(boxes, labels, strict=True):
        plays = np.ix_(*(list(bits(mask)) for mask in box))
        lowest[plays] = highest[plays] = numbers[label]
    mass = (highest >= 0).astype(float)
    for axis, each in enumerate(weights):
        low, high, total = (np.moveaxis(grid, axis, 0) for grid in (lowest, highest, mass))
        low[ANY], high[ANY] = low[:ANY].min(0), high[:ANY].max(0)
        total[ANY] = sum(weight * total[answer] for answer, weight in enumerate(each))
    return lowest < highest, mass


def _list_steps(
    weights: Sequence[Sequence[int]], *, in_order: bool
) -> Iterator[tuple[int, tuple[Any, ...], list[_Asked]]]:
    """From states with all facts answered to that with none: how many are known, the states, what may be asked."""
    facts = range(len(weights))

    def states(known: int) -> tuple[Any, ...]:
        return (*(slice(ANY) if known >> fact & 1 else ANY for fact in facts), ...)

    for known in sorted(range((1 << len(weights)) - 1), key=int.bit_count, reverse=True):
        first = known.bit_length() if in_order else 0
        open_facts = [fact for fact in facts[first:] if not known >> fact & 1]
        asks = [(f, (known & ((1 << f) - 1)).bit_count(), states(known | 1 << f)) for f in open_facts]
        yield known.bit_count(), states(known), asks


def whole_weights(fact: Fact) -> tuple[int, ...]:
    """The weights of a fact's answers as whole numbers in the same ratio; equal if the author gives none.

    Raises PocketrefError if their number is not that of the answers, one is negative, or all are 0.
    """
    if not fact.weights:
        return (1,) * len(fact.answers)
    ratios = [Fraction(str(weight)) for weight in fact.weights]
    if len(ratios) != len(fact.answers) or min(ratios) < 0 or not any(ratios):
        hint = tell("give one number, 0 or more, for each answer")
        raise refusal(
            "weights-wrong", tell("the weights of '{name}' do not fit", name=fact.name), hint, fact.where
        )
    scale = lcm(*(ratio.denominator for ratio in ratios))
    return tuple(int(ratio * scale) for ratio in ratios)
