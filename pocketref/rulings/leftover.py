"""What some boxes leave of another: exact, as disjoint boxes, without listing combinations.

Taking box after box away multiplies the pieces. Instead the region is split on the fact that most of the
boxes still in play ask about, until none is left (a piece remains) or one covers the region (nothing
remains). A region is known by its boxes in play and its unsplit facts, so regions found to leave nothing
are never searched twice.
"""

from __future__ import annotations

from collections.abc import Iterator, Sequence

from pocketref.rulings.boxes import Box, BoxIndex, bits, intersect, is_empty


def leftover_pieces(within: Box, boxes: Sequence[Box]) -> Iterator[Box]:
    """The combinations of `within` in none of `boxes`, as disjoint boxes; found one at a time, on demand."""
    if is_empty(within):
        return
    inside = [part for box in boxes if not is_empty(part := intersect(box, within))]
    if not inside:
        yield within
    elif within not in inside:
        yield from _Splitter(within, inside).pieces()


def is_covered(within: Box, boxes: Sequence[Box]) -> bool:
    """Whether every combination of `within` is in one of `boxes`."""
    return next(leftover_pieces(within, boxes), None) is None


class _Splitter:
    """The search for one region; keeps what it has learned about sub-regions."""

    def __init__(self, within: Box, boxes: Sequence[Box]) -> None:
        self.within = within
        self.index = BoxIndex(within, boxes)
        self.covered: set[tuple[int, int]] = set()

    def pieces(self) -> Iterator[Box]:
        facts = sum(1 << place for place, boxes in enumerate(self.index.narrowing) if boxes)
        yield from self._split(self.index.everyone, facts, self.within)

    def _split(self, alive: int, facts: int, region: Box) -> Iterator[Box]:
        """The pieces of a region, given the boxes that meet it and the facts it is not yet split on."""
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
                for piece in self._split(child, facts & ~(1 << place), narrower):
                    found = True
                    yield piece
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
