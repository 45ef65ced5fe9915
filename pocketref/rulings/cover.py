"""The fewest readable boxes that make up a set of combinations.

The set is given twice: as disjoint boxes, and as the boxes outside it. A box lies within the set exactly
when it meets none of the boxes outside, so growing one to a maximal box needs no listing. Small sets
get the exact minimum, as in the two steps of the Quine-McCluskey method carried over to facts with many
answers (all maximal boxes, then a minimum cover of the parts that they cut the set into). Large sets are
grown and thinned greedily: still exactly the set, though perhaps with more boxes than needed.
"""

from __future__ import annotations

from collections.abc import Iterable, Sequence
from dataclasses import dataclass
from math import inf

from pocketref.rulings.boxes import (
    Box,
    BoxIndex,
    bits,
    contains,
    intersect,
    is_covered,
    is_empty,
    subtract,
    volume,
)

MOST_WANTED = 80
"""Sets of more boxes than this are merged greedily."""
MOST_MAXIMAL = 160
"""The exact search gives up when there are more maximal boxes than this..."""
MOST_JOINS = 8000
"""...or that many boxes come up on the way to them..."""
MOST_ATOMS = 1500
"""...or when they cut the set into more parts than this..."""
MOST_STEPS = 20_000
"""...or when the search for the minimum takes more steps than this."""


@dataclass(frozen=True, slots=True)
class Cover:
    """Boxes that make up a set; `fewest` if it is proven that no fewer would do.

    `whole` is false if the search was cut short at its limit, so that combinations may be missing.
    """

    boxes: tuple[Box, ...]
    fewest: bool
    whole: bool = True


def cover_set(
    full: Box,
    wanted: Iterable[Box],
    outside: Sequence[Box],
    most_boxes: int | None = None,
    spare: Sequence[Box] = (),
) -> Cover:
    """Few maximal boxes that make up the set of the disjoint boxes `wanted`.

    `outside` must hold boxes (overlapping or not) that together are everything not in the set. `spare` are
    boxes that may be covered or not, and belong to neither. If more than `most_boxes` are needed, only so many
    are returned, and `whole` is false.
    """
    wanted = list(wanted)
    if not wanted:
        return Cover((), fewest=True)
    exact = _fewest_boxes(full, wanted, spare) if len(wanted) + len(spare) <= MOST_WANTED else None
    if exact is not None and (most_boxes is None or len(exact) <= most_boxes):
        return Cover(_in_order(full, exact), fewest=True)
    return _grow_and_thin(full, wanted, outside, most_boxes)


def conditions(full: Box, box: Box) -> int:
    """How many facts a reader must look at to know whether a combination is in the box."""
    return sum(mask != all_answers for mask, all_answers in zip(box, full, strict=True))


def _in_order(full: Box, boxes: Iterable[Box]) -> tuple[Box, ...]:
    """Broadest first, then as the author orders facts and answers."""
    return tuple(sorted(boxes, key=lambda box: (conditions(full, box), [m & -m for m in box], box)))


# --- greedy -------------------------------------------------------------------------------------------------


def _grow_and_thin(full: Box, wanted: Sequence[Box], outside: Sequence[Box], most_boxes: int | None) -> Cover:
    """Grow each box not yet covered to a maximal box; then drop the boxes that the others cover."""
    index = BoxIndex(full, outside)
    chosen: list[Box] = []
    whole = True
    for part in sorted(wanted, key=volume, reverse=True):
        if any(contains(box, part) for box in chosen) or is_covered(part, chosen):
            continue
        if len(chosen) == most_boxes:
            whole = False
            break
        chosen.append(grow_box(index, part))
    if whole:
        for box in sorted(chosen, key=volume):
            others = [other for other in chosen if other is not box]
            if is_covered(box, others):
                chosen = others
    return Cover(_in_order(full, chosen), fewest=len(chosen) == 1 and whole, whole=whole)


def grow_box(outside: BoxIndex, seed: Box) -> Box:
    """A maximal box around `seed` that meets none of the boxes outside.

    Facts that can be freed altogether are freed first, since each is a condition less to read.
    """
    box = list(seed)
    for whole_only in (True, False):
        for place, full in enumerate(outside.full):
            free = box[place] | _answers_to_add(outside, box, place)
            if free != box[place] and (free == full or not whole_only):
                box[place] = free
    return tuple(box)


def _answers_to_add(outside: BoxIndex, box: Sequence[int], place: int) -> int:
    """The answers of one fact that can be added to a box without meeting a box outside."""
    near = outside.everyone
    for other, mask in enumerate(box):
        if other != place:
            near &= outside.meeting_in(other, mask)
    full = outside.full[place]
    return sum(1 << a for a in range(full.bit_length()) if not near & outside.with_answer(place, a))


# --- exact --------------------------------------------------------------------------------------------------


def _fewest_boxes(full: Box, wanted: list[Box], spare: Sequence[Box]) -> list[Box] | None:
    """A minimum cover by maximal boxes, with the fewest conditions among those; None if the search is too long."""
    maximal = _maximal_boxes(full, [*wanted, *spare])
    if maximal is None:
        return None
    atoms = _atoms(wanted, maximal)
    if atoms is None:
        return None
    # One box more always costs more than any number of conditions.
    unit = len(full) * len(maximal) + 1
    costs = [unit + conditions(full, box) for box in maximal]
    chosen, is_proven = choose_cheapest(atoms, costs)
    return [maximal[i] for i in chosen] if is_proven else None


def _maximal_boxes(full: Box, wanted: Sequence[Box]) -> list[Box] | None:
    """Every box within the set that no larger box within it contains; None if too many.

    Iterated consensus: two boxes join into those that span both along one fact and hold what they share
    along all others, until nothing new and larger comes of it (W. V. Quine, "A way to simplify truth
    functions", 1955, for two answers; the same argument holds for more).
    """
    found: dict[Box, int] = {}  # each box, and the same as one number: contained if no bit is missing
    waiting, seen = list(wanted), set(wanted)
    while waiting:
        box = waiting.pop()
        packed = _pack(full, box)
        if any(not packed & ~other for other in found.values()):
            continue
        found = {other: bits for other, bits in found.items() if bits & ~packed}
        joined = {new for other in found for new in _join(box, other)} - seen
        seen |= joined
        waiting += sorted(joined)
        found[box] = packed
        if len(found) > MOST_MAXIMAL or len(seen) > MOST_JOINS:
            return None
    return sorted(found, key=lambda box: (conditions(full, box), box))


def _pack(full: Box, box: Box) -> int:
    packed = 0
    for mask, all_answers in zip(box, full, strict=True):
        packed = packed << all_answers.bit_length() | mask
    return packed


def _join(a: Box, b: Box) -> list[Box]:
    """Boxes that hold all of both along one fact, and what both hold along the others."""
    common = intersect(a, b)
    apart = [place for place, mask in enumerate(common) if not mask]
    if len(apart) > 1:
        return []
    return [
        (*common[:place], both, *common[place + 1 :])
        for place in apart or range(len(common))
        if (both := a[place] | b[place]) not in (a[place], b[place])
    ]


def _atoms(wanted: Sequence[Box], maximal: Sequence[Box]) -> set[int] | None:
    """For each part that the maximal boxes cut the set into, which of them cover it (as a bitmask)."""
    parts = [(box, 0) for box in wanted]
    for number, box in enumerate(maximal):
        cut = []
        for part, covering in parts:
            common = intersect(part, box)
            if not is_empty(common):
                cut.append((common, covering | 1 << number))
            cut += [(rest, covering) for rest in subtract(part, box)]
        parts = cut
        if len(parts) > MOST_ATOMS:
            return None
    return {covering for _, covering in parts}


def choose_cheapest(parts: Iterable[int], costs: Sequence[int]) -> tuple[tuple[int, ...], bool]:
    """The cheapest choice that covers every part, each given by the choices that cover it (as a bitmask).

    The numbers chosen, and whether it is proven that nothing cheaper would do: of equally cheap choices the one
    found first, which takes what covers most, then what comes first. Empty if the search ends without any.
    """
    search = _Search(set(parts), costs)
    return tuple(sorted(search.best)), search.steps <= MOST_STEPS


class _Search:
    """Branch and bound over the choices for the part that fewest cover."""

    def __init__(self, parts: set[int], costs: Sequence[int]) -> None:
        self.costs = costs
        self.best_cost = inf
        self.best: tuple[int, ...] = ()
        self.steps = 0
        # A part covered by all that cover another part is covered with it.
        self._search([p for p in sorted(parts) if not any(q != p and q & p == q for q in parts)], (), 0)

    def _search(self, parts: Sequence[int], chosen: tuple[int, ...], cost: int) -> None:
        self.steps += 1
        if self.steps > MOST_STEPS:
            return
        if not parts:
            if cost < self.best_cost:
                self.best_cost, self.best = cost, chosen
            return
        if cost + self._least_more(parts) >= self.best_cost:
            return
        hardest = min(parts, key=lambda part: (part.bit_count(), part))
        options = sorted(
            bits(hardest), key=lambda i: (-sum(part >> i & 1 for part in parts), self.costs[i], i)
        )
        for i in options:
            self._search([part for part in parts if not part >> i & 1], (*chosen, i), cost + self.costs[i])

    def _least_more(self, parts: Sequence[int]) -> int:
        """A bound: parts that share no choice need one each."""
        used = bound = 0
        for part in sorted(parts, key=int.bit_count):
            if not part & used:
                used |= part
                bound += min(self.costs[i] for i in bits(part))
        return bound
