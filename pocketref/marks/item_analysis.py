"""Classical item analysis: how hard each item was, how well it tells the strong from the weak, how steady the score is.

All figures are of the people who took the test, not estimates for others, so deviations are those of a population.
What can't be told (everybody scores alike, nobody misses an item) is None, never 0.
"""

from __future__ import annotations

from collections.abc import Iterable, Sequence
from dataclasses import dataclass
from math import sqrt

GROUP = 0.27
"""The share of the people in the upper and in the lower group: large, yet far apart (Kelley, 1939; from memory)."""
_Z = 1.959964  # the normal deviate that 95 % are within


@dataclass(frozen=True, slots=True)
class Share:
    """So many of so many."""

    count: int
    of: int

    @property
    def value(self) -> float:
        """From 0 to 1; 0 of nobody."""
        return self.count / self.of if self.of else 0.0

    @property
    def least(self) -> float:
        """The lower end of its 95 % confidence interval (Wilson, 1927; name from memory): lower for the fewer."""
        if not self.of:
            return 0.0
        z2 = _Z * _Z / self.of
        spread = _Z * sqrt(self.value * (1 - self.value) / self.of + z2 / (4 * self.of))
        return max((self.value + z2 / 2 - spread) / (1 + z2), 0.0)

    def __str__(self) -> str:
        return f"{self.count} of {self.of}"


def add_shares(shares: Iterable[Share]) -> Share:
    """All of them together."""
    parts = list(shares)
    return Share(sum(part.count for part in parts), sum(part.of for part in parts))


@dataclass(frozen=True, slots=True)
class ItemFigures:
    """What the answers say of one item."""

    right: Share
    """Its difficulty index: the share of the people who have it right."""
    point_biserial: float | None
    """Correlation of right or wrong with the total, the item included."""
    corrected: float | None
    """The same with the total of the other items, as a short test asks for."""
    upper: Share
    lower: Share

    @property
    def discrimination(self) -> float | None:
        """The share right in the upper group less that in the lower; None if there is no telling the groups apart."""
        return self.upper.value - self.lower.value if self.upper.of and self.lower.of else None


@dataclass(frozen=True, slots=True)
class SheetFigures:
    """What the answers say of the whole."""

    people: int
    mean: float
    deviation: float
    kr20: float | None
    """Reliability by the formula 20 of Kuder and Richardson (1937; year from memory)."""
    items: tuple[ItemFigures, ...]


def analyse_items(answers: Sequence[Sequence[bool]]) -> SheetFigures:
    """The figures of a test: a row for each of the people, an entry an item, whether it is right."""
    totals = [sum(row) for row in answers]
    items = []
    for column in zip(*answers, strict=True):
        upper, lower = compare_groups(column, totals)
        rest = [total - right for total, right in zip(totals, column, strict=True)]
        figures = ItemFigures(
            Share(sum(column), len(column)),
            find_point_biserial(column, totals),
            find_point_biserial(column, rest),
            upper,
            lower,
        )
        items.append(figures)
    mean = sum(totals) / len(totals) if totals else 0.0
    return SheetFigures(len(totals), mean, _find_deviation(totals), _find_kr20(items, totals), tuple(items))


def find_point_biserial(item: Sequence[bool], totals: Sequence[int]) -> float | None:
    """(Mp - Mq) / s * sqrt(pq): means of those right and those wrong, deviation of all; None where s, p or q is 0."""
    deviation = _find_deviation(totals)
    right = [total for is_right, total in zip(item, totals, strict=True) if is_right]
    wrong = [total for is_right, total in zip(item, totals, strict=True) if not is_right]
    if not right or not wrong or not deviation:
        return None
    apart = sum(right) / len(right) - sum(wrong) / len(wrong)
    return apart / deviation * sqrt(len(right) * len(wrong)) / len(item)


def compare_groups(item: Sequence[bool], totals: Sequence[int]) -> tuple[Share, Share]:
    """How many are right in the upper and in the lower group; both are of nobody if the two would meet."""
    highest, lowest = find_cuts(totals)
    if highest <= lowest:
        return Share(0, 0), Share(0, 0)
    upper = [right for right, total in zip(item, totals, strict=True) if total >= highest]
    lower = [right for right, total in zip(item, totals, strict=True) if total <= lowest]
    return Share(sum(upper), len(upper)), Share(sum(lower), len(lower))


def find_cuts(totals: Sequence[int]) -> tuple[int, int]:
    """The least total of the upper 27 % and the greatest of the lower: whoever has as many belongs to the group."""
    size, order = max(round(GROUP * len(totals)), 1), sorted(totals)
    return (order[-size], order[size - 1]) if order else (0, 0)


def _find_kr20(items: Sequence[ItemFigures], totals: Sequence[int]) -> float | None:
    """With k items, k / (k - 1) * (1 - sum of pq / variance of the totals); None for one item, or totals all alike."""
    count, variance = len(items), _find_deviation(totals) ** 2
    if count < 2 or not variance:
        return None
    spread = sum(item.right.value * (1 - item.right.value) for item in items)
    return count / (count - 1) * (1 - spread / variance)


def _find_deviation(totals: Sequence[int]) -> float:
    """The population's standard deviation, from whole numbers, so that it is 0 exactly where all are alike."""
    count = len(totals)
    return sqrt(count * sum(total * total for total in totals) - sum(totals) ** 2) / count if count else 0.0
