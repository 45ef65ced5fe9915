"""Boxes in answer space: a set of answers for each fact, and every combination that picks from those sets.

A box is a tuple with one bitmask per fact; bit *i* stands for the fact's *i*-th answer. Boxes stand for
huge numbers of combinations without listing them, which keeps audits exact and quick.
"""

from __future__ import annotations

from collections.abc import Iterable, Iterator, Mapping, Sequence
from dataclasses import dataclass
from functools import cached_property
from math import prod
from operator import and_
from typing import TypeAlias

from pocketref.problems import refusal, suggest_match, write_unknown
from pocketref.words.terminal import tell

Box: TypeAlias = tuple[int, ...]


@dataclass(frozen=True, slots=True)
class Combination:
    """A box as a reader sees it: the facts it narrows, in the author's order, each with its allowed answers."""

    allowed: tuple[tuple[str, tuple[str, ...]], ...]

    def __str__(self) -> str:
        """As "plate = yes, foot = outside or in-air"; "any play" if nothing is narrowed."""
        if not self.allowed:
            return tell("any play")
        return ", ".join(f"{fact} = {' or '.join(answers) or 'no answer'}" for fact, answers in self.allowed)

    @property
    def when(self) -> dict[str, frozenset[str]]:
        """The same as the conditions of a row."""
        return {fact: frozenset(answers) for fact, answers in self.allowed}


@dataclass(frozen=True)
class Space:
    """The facts and answers that boxes are made over: `answers[i]` belong to the fact `names[i]`."""

    names: tuple[str, ...]
    answers: tuple[tuple[str, ...], ...]

    @cached_property
    def full(self) -> Box:
        """The box of all combinations."""
        return tuple((1 << len(answers)) - 1 for answers in self.answers)

    @cached_property
    def place_of(self) -> Mapping[str, int]:
        """Where each fact stands in a box."""
        return {name: place for place, name in enumerate(self.names)}

    @cached_property
    def _bits(self) -> tuple[Mapping[str, int], ...]:
        return tuple({answer: 1 << i for i, answer in enumerate(answers)} for answers in self.answers)

    def box(self, allowed: Mapping[str, Iterable[str]]) -> Box:
        """The box of the combinations whose answers are all allowed; a fact not named may have any answer.

        Raises PocketrefError for a fact or an answer that the space does not have.
        """
        masks = list(self.full)
        for fact, answers in allowed.items():
            place = self.place_of.get(fact)
            if place is None:
                hint = suggest_match(fact, self.names)
                raise refusal("fact-unknown", write_unknown("fact", fact), hint)
            masks[place] = 0
            for answer in answers:
                if answer not in self._bits[place]:
                    sentence = tell("the fact '{fact}' has no answer '{answer}'", fact=fact, answer=answer)
                    raise refusal("answer-unknown", sentence, suggest_match(answer, self.answers[place]))
                masks[place] |= self._bits[place][answer]
        return tuple(masks)

    def at(self, answers: Mapping[str, str]) -> Box:
        """The box of the combinations with these answers; raises as `box`."""
        return self.box({fact: (answer,) for fact, answer in answers.items()})

    def describe(self, box: Box) -> Combination:
        """The box in words: only the facts that it narrows."""
        return Combination(
            tuple(
                (name, self.answers_of(place, mask))
                for place, (name, mask, full) in enumerate(zip(self.names, box, self.full, strict=True))
                if mask != full
            )
        )

    def answers_of(self, place: int, mask: int) -> tuple[str, ...]:
        """The answers that a mask stands for, in the author's order."""
        return tuple(answer for i, answer in enumerate(self.answers[place]) if mask >> i & 1)


def intersect(a: Box, b: Box) -> Box:
    """The combinations in both boxes; test with `is_empty`."""
    return tuple(map(and_, a, b))  # done ten thousands of times, and quicker so than by a loop


def is_empty(box: Box) -> bool:
    """Whether no combination is in the box (some fact has no allowed answer)."""
    return 0 in box


def contains(outer: Box, inner: Box) -> bool:
    """Whether every combination of `inner` is in `outer`. An empty box is in every box."""
    return is_empty(inner) or all(x & ~y == 0 for x, y in zip(inner, outer, strict=True))


def volume(box: Box) -> int:
    """The number of combinations in the box."""
    return prod(mask.bit_count() for mask in box)


def subtract(box: Box, away: Box) -> list[Box]:
    """The combinations of `box` not in `away`, as disjoint boxes: at most one for each fact."""
    if is_empty(box):
        return []
    if is_empty(intersect(box, away)):
        return [box]
    parts = []
    rest = list(box)
    for place, mask in enumerate(away):
        outside = rest[place] & ~mask
        if outside:
            parts.append((*rest[:place], outside, *rest[place + 1 :]))
        rest[place] &= mask
    return parts


def bits(mask: int) -> Iterator[int]:
    """The places of the bits that are set, lowest first."""
    while mask:
        low = mask & -mask
        yield low.bit_length() - 1
        mask ^= low


class BoxIndex:
    """Answers "which of these boxes meet that box?" with a few bit operations, however many boxes there are."""

    def __init__(self, full: Box, boxes: Sequence[Box]) -> None:
        self.boxes = tuple(boxes)
        self.full = full
        self.everyone = (1 << len(self.boxes)) - 1
        self._by_answer = [[0] * mask.bit_length() for mask in full]
        self.narrowing = [0] * len(full)
        """For each fact, the boxes that do not allow all its answers."""
        for number, box in enumerate(self.boxes):
            for place, mask in enumerate(box):
                for answer in bits(mask):
                    self._by_answer[place][answer] |= 1 << number
                if mask != full[place]:
                    self.narrowing[place] |= 1 << number
        self._by_mask: list[dict[int, int]] = [{} for _ in full]

    def with_answer(self, place: int, answer: int) -> int:
        """The boxes that allow one answer of a fact, as a bitmask of their numbers."""
        return self._by_answer[place][answer]

    def meeting_in(self, place: int, mask: int) -> int:
        """The boxes that allow any of some answers of one fact, as a bitmask of their numbers."""
        known = self._by_mask[place]
        if mask not in known:
            found = 0
            for answer in bits(mask):
                found |= self._by_answer[place][answer]
            known[mask] = found
        return known[mask]

    def meeting(self, box: Box) -> int:
        """The boxes with a combination in common with `box`, as a bitmask of their numbers."""
        found = self.everyone
        for place, mask in enumerate(box):
            found &= self.meeting_in(place, mask)
            if not found:
                break
        return found


def subtract_boxes(within: Box, boxes: Sequence[Box]) -> Iterator[Box]:
    """The combinations of `within` in none of `boxes`, as disjoint boxes; found one at a time, on demand.

    Taking box after box away multiplies the parts. Instead the region is split on the fact that most of the boxes
    still in play ask about, until none is left (a part remains) or one covers the region (nothing remains). A
    region is known by its boxes in play and its unsplit facts: those that leave nothing are never searched twice.
    """
    if is_empty(within):
        return
    inside = [part for box in boxes if not is_empty(part := intersect(box, within))]
    if not inside:
        yield within
    elif within not in inside:
        yield from _Splitter(within, inside).parts()


def is_covered(within: Box, boxes: Sequence[Box]) -> bool:
    """Whether every combination of `within` is in one of `boxes`."""
    return next(subtract_boxes(within, boxes), None) is None


class _Splitter:
    """The search for one region; keeps what it has learned about sub-regions."""

    def __init__(self, within: Box, boxes: Sequence[Box]) -> None:
        self.within = within
        self.index = BoxIndex(within, boxes)
        self.covered: set[tuple[int, int]] = set()

    def parts(self) -> Iterator[Box]:
        facts = sum(1 << place for place, boxes in enumerate(self.index.narrowing) if boxes)
        yield from self._split(self.index.everyone, facts, self.within)

    def _split(self, alive: int, facts: int, region: Box) -> Iterator[Box]:
        """The parts of a region that are left, given the boxes that meet it and the facts it is not yet split on."""
        if not alive:
            yield region
            return
        if (alive, facts) in self.covered:
            return
        place = self._fact_to_split(alive, facts)
        found = False
        if place is not None:
            for child, mask in self._children(alive, place, region[place]).items():
                narrower = (*region[:place], mask, *region[place + 1 :])
                for part in self._split(child, facts & ~(1 << place), narrower):
                    found = True
                    yield part
        if not found:
            self.covered.add((alive, facts))

    def _fact_to_split(self, alive: int, facts: int) -> int | None:
        """The fact to split on; None if a box in play has no condition left.

        Boxes with a single condition left come first, since splitting on it makes them cover a part at once;
        then those with two; then any.
        """
        one = two = more = 0
        asking = {place: alive & self.index.narrowing[place] for place in bits(facts)}
        for boxes in asking.values():
            more |= two & boxes
            two |= one & boxes
            one |= boxes
        if alive & ~one:
            return None
        short = (one & ~two) or (two & ~more) or alive
        return max(asking, key=lambda place: ((asking[place] & short).bit_count(), asking[place].bit_count()))

    def _children(self, alive: int, place: int, mask: int) -> dict[int, int]:
        """Boxes in play after each answer -> the answers that leave exactly those."""
        groups: dict[int, int] = {}
        for answer in bits(mask):
            child = alive & self.index.with_answer(place, answer)
            groups[child] = groups.get(child, 0) | 1 << answer
        return groups


class LabelledBoxes:
    """Boxes with labels (endings), and which facts tell the labels apart. Sets of boxes are bitmasks of numbers.

    Two boxes are *rivals* if their labels differ. A set of facts is enough to know the label exactly when every
    two rivals differ on one of those facts.
    """

    def __init__(self, space: Space, labelled: Iterable[tuple[Box, str]]) -> None:
        self.space = space
        both = tuple(labelled)
        self.boxes, self.labels = tuple(box for box, _ in both), tuple(label for _, label in both)
        self.index = BoxIndex(space.full, self.boxes)
        self.everyone = self.index.everyone
        by_label: dict[str, int] = {}
        for number, label in enumerate(self.labels):
            by_label[label] = by_label.get(label, 0) | 1 << number
        self.by_label = by_label
        # Boxes of a faulty table may overlap; no fact can tell those apart, so they are no rivals.
        unlike = (self.everyone & ~by_label[label] for label in self.labels)
        self.rivals = tuple(
            each & ~self.index.meeting(box) for each, box in zip(unlike, self.boxes, strict=True)
        )

    def apart_in(self, place: int, number: int) -> int:
        """The boxes that share no answer of one fact with a box."""
        return self.everyone & ~self.index.meeting_in(place, self.boxes[number][place])

    def is_settled(self, alive: int) -> bool:
        """Whether the boxes in play all have the same label."""
        return not alive or not alive & ~self.by_label[self.labels[(alive & -alive).bit_length() - 1]]

    def suffice(self, places: Iterable[int], alive: int) -> bool:
        """Whether answers to these facts always tell the label, among the boxes in play."""
        chosen = tuple(places)
        for number in bits(alive):
            apart = 0
            for place in chosen:
                apart |= self.apart_in(place, number)
            if self.rivals[number] & alive & ~apart:
                return False
        return True

    def enough_places(self, alive: int, places: Sequence[int]) -> tuple[int, ...]:
        """Facts that are enough to know the label, none of which could be left out; the later ones go first."""
        kept = list(places)
        for place in reversed(places):
            rest = [other for other in kept if other != place]
            if self.suffice(rest, alive):
                kept = rest
        return tuple(kept)
