"""Disjoint boxes that each carry a label (an outcome), and which facts tell the labels apart.

Two pieces are *rivals* if their labels differ. A set of facts is enough to know the label exactly when
every two rivals differ on one of those facts.
"""

from __future__ import annotations

from collections.abc import Iterable, Sequence

from pocketref.rulings.boxes import Box, BoxIndex, Space, bits


class Pieces:
    """Boxes with labels, and quick answers about rivals. Sets of pieces are bitmasks of their numbers."""

    def __init__(self, space: Space, boxes: Sequence[Box], labels: Sequence[str]) -> None:
        self.space = space
        self.boxes = tuple(boxes)
        self.labels = tuple(labels)
        self.index = BoxIndex(space.full, boxes)
        self.everyone = self.index.everyone
        by_label: dict[str, int] = {}
        for number, label in enumerate(labels):
            by_label[label] = by_label.get(label, 0) | 1 << number
        self.by_label = by_label
        # Pieces of a faulty table may overlap; no fact can tell those apart, so they are no rivals.
        self.rivals = tuple(
            self.everyone & ~by_label[label] & ~self.index.meeting(box)
            for box, label in zip(boxes, labels, strict=True)
        )

    def apart_in(self, place: int, number: int) -> int:
        """The pieces that share no answer of one fact with a piece."""
        return self.everyone & ~self.index.meeting_in(place, self.boxes[number][place])

    def is_settled(self, alive: int) -> bool:
        """Whether the pieces in play all have the same label."""
        return not alive or not alive & ~self.by_label[self.labels[(alive & -alive).bit_length() - 1]]

    def suffice(self, places: Iterable[int], alive: int) -> bool:
        """Whether answers to these facts always tell the label, among the pieces in play."""
        chosen = tuple(places)
        for number in bits(alive):
            apart = 0
            for place in chosen:
                apart |= self.apart_in(place, number)
            if self.rivals[number] & alive & ~apart:
                return False
        return True

    def deciding_places(self, alive: int, places: Iterable[int]) -> tuple[int, ...]:
        """Facts in play where two combinations with the same other answers have different labels."""
        found: set[int] = set()
        chosen = tuple(places)
        for number in bits(alive):
            rivals = self.rivals[number] & alive
            once = twice = 0
            aparts = [(place, self.apart_in(place, number) & rivals) for place in chosen]
            for _, apart in aparts:
                twice |= once & apart
                once |= apart
            if alone := once & ~twice:
                found.update(place for place, apart in aparts if apart & alone)
            if len(found) == len(chosen):
                break
        return tuple(place for place in chosen if place in found)

    def telling_places(self, alive: int, places: Iterable[int]) -> tuple[int, ...]:
        """Facts in play on which at least two rivals differ."""
        return tuple(
            place
            for place in places
            if any(self.rivals[number] & alive & self.apart_in(place, number) for number in bits(alive))
        )

    def enough_places(self, alive: int, places: Sequence[int]) -> tuple[int, ...]:
        """Facts that are enough to know the label, none of which could be left out; the later ones go first."""
        kept = list(places)
        for place in reversed(places):
            rest = [other for other in kept if other != place]
            if self.suffice(rest, alive):
                kept = rest
        return tuple(kept)
