"""The pulls that a check sheet of a plan asks for: as few as know every station well, in an order to walk."""

from __future__ import annotations

import math
from collections.abc import Callable, Sequence
from dataclasses import dataclass
from functools import lru_cache

import numpy as np
import numpy.typing as npt

from pocketref.field.plan import Plan
from pocketref.field.pulls import Pull, mirror_mark, pulls
from pocketref.tape.error_model import ELLIPSE_FACTOR, HONEST, LIMIT_FACTOR, STEEL, Floats, round_up_mm
from pocketref.tape.network import Network, construct_network
from pocketref.tape.readings import PLATE_MARKS, Reading
from pocketref.tape.stakeout import BASE_MARKS
from pocketref.tape.verdicts import SILENT, find_shown
from pocketref.units.length import FOOT_MM, Length

KNOWN = 0.6
"""The must-tape pulls know each station to this share of its tolerance, 19 times of 20: a corner off by the whole of
it is then told 199 times of 200, and a true sheet passes 98 times of 100. Our own figure, found by simulation."""
_ALWAYS = frozenset({"A", "2B"})
"""How far second base is, is asked for in any case."""
_ALONE = 0.5
"""One station off is looked for among others that stand this much nearer than an honest field's: our own figure."""
_TRUE = 0.01
"""Where the others are true."""
_NEARLY = 1.04
"""Where all pulls together know little better than that, a twenty-fifth worse than they is near enough: ours."""
_TELLING = 60.0
"""A misread of a foot explains the readings better by this than anything else does: five times what is needed, ours."""
SECOND_TAPE = "second tape "
"""How the name of the blank starts for a pull that is taped with a second tape."""
Chosen = npt.NDArray[np.bool_]
"""Which of all pulls are chosen, or of each of several choices: the last axis is the pulls."""


@dataclass(frozen=True, slots=True)
class SheetPulls:
    """The pulls to tape in any case, in walking order; more for who has time or a doubt; how well the first know."""

    must: tuple[Pull, ...]
    more: tuple[Pull, ...]
    known_mm: float
    """The longest semi-axis of any station's 95 % ellipse by them."""
    told_mm: float
    """A station as far off as this alone, whichever way, is moved or asked for again 199 times of 200."""


def list_untaped(plan: Plan, readings: Sequence[Reading], tolerance: Length) -> tuple[str, ...]:
    """The names of the must-tape pulls that have no reading."""
    taped = {reading.pair for reading in readings}
    return tuple(pull.name for pull in choose_sheet_pulls(plan, tolerance).must if pull.pair not in taped)


@lru_cache(maxsize=16)
def choose_sheet_pulls(plan: Plan, tolerance: Length) -> SheetPulls:
    """The pulls of a plan's check sheet, of a whole field those between its bases.

    As few as know every station to KNOWN of the tolerance and tell each misread; where all pulls know them little
    better or worse, nearly as well as all of them.
    """
    every = pulls(plan)
    if "1B" in plan.stations:
        every = tuple(pull for pull in every if pull.pair <= set(BASE_MARKS))
    readings = [Reading(pull.from_station, pull.to_station, pull.length) for pull in every]
    honest_mm = tolerance.float_mm / HONEST
    shares = (1, _ALONE, _TRUE)
    honest, alone, true = (_Search(construct_network(plan, readings, share * honest_mm)) for share in shares)
    most_mm = max(KNOWN * tolerance.float_mm, _NEARLY * honest.know(np.ones(len(every), bool)))
    groups = _pair_mirrored(every)
    for count in range(2 * len(alone.axes) + 2, len(every) + 1):
        kept = leave_out(groups, count, alone.weigh)
        kept = exchange_pulls(kept, groups, count, alone.weigh, alone.count_untold)
        if honest.know(kept) <= most_mm and not alone.count_untold(kept):
            break
    must = [pull for pull, is_kept in zip(every, kept, strict=True) if is_kept]
    more = tuple(pull for pull, is_kept in zip(every, kept, strict=True) if not is_kept)
    # off enough that its place is significant by what is expected of the rest, and not by luck, the rest being true
    told = math.sqrt(find_shown(plan)) * honest.find_axes(kept[None]) + SILENT * true.find_axes(kept[None])
    told_mm = max(tolerance.float_mm, float(told.max()) / ELLIPSE_FACTOR)
    return SheetPulls(_order_walk(plan, must), more, honest.know(kept), told_mm)


def _pair_mirrored(every: Sequence[Pull]) -> Chosen:
    """Each pull with its mirror image, but for what is always asked for."""
    images = [frozenset(map(mirror_mark, pull.pair)) for pull in every]
    pairs = [
        [other.pair in (pull.pair, image) for other in every]
        for pull, image in zip(every, images, strict=True)
    ]
    free = [pair for pair, pull in zip(pairs, every, strict=True) if pull.pair != _ALWAYS]
    return np.array(list(dict.fromkeys(map(tuple, free))))


def leave_out(groups: Chosen, count: int, weigh: Callable[[Chosen], Floats]) -> Chosen:
    """So many of all pulls at most: the group that costs least to be without is left out, one after another."""
    kept = np.ones(groups.shape[1], dtype=bool)
    while len(out := groups[~(groups & ~kept).any(axis=1) & (kept.sum() - groups.sum(axis=1) >= count)]):
        prices = (weigh(kept & ~out) - weigh(kept[None])) / out.sum(axis=1)
        kept = kept & ~out[int(np.argmin(prices))]
    return kept


def exchange_pulls(
    kept: Chosen,
    groups: Chosen,
    count: int,
    weigh: Callable[[Chosen], Floats],
    count_untold: Callable[[Chosen], int] = lambda _: 0,
) -> Chosen:
    """So many pulls at most: groups exchanged while that leaves fewer of them untold, or as few at a lower cost."""
    untold = count_untold(kept)
    while True:
        inside, outside = groups[~(groups & ~kept).any(axis=1)], groups[~(groups & kept).any(axis=1)]
        after = ((kept & ~inside)[:, None] | outside).reshape(-1, len(kept))
        after = after[after.sum(axis=1) <= count]
        here, costs = float(weigh(kept[None])[0]), weigh(after).tolist()
        order = sorted(range(len(costs)), key=costs.__getitem__)
        tried = ((count_untold(after[n]), costs[n], n) for n in order if untold or costs[n] < here)
        better = next((each for each in tried if each < (untold, here)), None)
        if better is None:
            return kept
        untold, kept = better[0], after[better[2]]


class _Search:
    """How well choices of a network's pulls know its stations."""

    def __init__(self, network: Network) -> None:
        spread = network.spread[: 2 * len(network.marks) + 2]
        self.loose = spread > 0
        self.known = np.where(self.loose, 1 / np.where(self.loose, spread, 1.0) ** 2, 1e12)
        judged = np.flatnonzero([mark not in PLATE_MARKS for mark in network.marks])
        self.axes = 2 * judged[:, None] + np.arange(2)
        slopes = network.predict(np.zeros(len(network.spread)))[1][:, : len(spread)]
        self.rows = slopes * np.sqrt(np.diag(network.weight))[:, None]
        self.told = (self.rows[:, :, None] * self.rows[:, None, :]).reshape(len(slopes), -1)
        self.foot = FOOT_MM**2 * np.diag(network.weight)

    def find_axes(self, kept: Chosen) -> Floats:
        """By each choice, how well each judged station is known by its own pulls: 95 % semi-axes, mm."""
        size = len(self.known)
        inverse = np.linalg.inv(np.diag(self.known) + (kept @ self.told).reshape(-1, size, size))
        own = np.linalg.inv(inverse[:, self.axes[:, :, None], self.axes[:, None, :]])
        own[..., [0, 1], [0, 1]] -= np.where(self.loose, self.known, 0.0)[self.axes]
        axes: Floats = ELLIPSE_FACTOR / np.sqrt(np.maximum(np.linalg.eigvalsh(own)[..., 0], 1e-6))
        return axes

    def know(self, kept: Chosen) -> float:
        """How well these pulls know the station that they know worst, mm."""
        return float(self.find_axes(kept[None]).max())

    def weigh(self, kept: Chosen) -> Floats:
        """What each choice leaves unknown, stations that are known worst counting most."""
        worth: Floats = np.round((self.find_axes(kept) ** 4).sum(axis=1), 3)
        return worth

    def count_untold(self, kept: Chosen) -> int:
        """How many of these readings, misread by a foot, are not told from another or from a station being off."""
        rows = self.rows[kept]
        firm = np.eye(len(rows)) - rows @ np.linalg.inv(np.diag(self.known) + rows.T @ rows) @ rows.T
        rival = firm**2 / np.maximum(np.diag(firm), 1e-9)[None, :]
        np.fill_diagonal(rival, 0.0)
        stations = np.arange(0, len(self.loose) - 2, 2)[:, None] + np.arange(2)
        moves = (rows * self.loose)[:, stations].swapaxes(0, 1)
        lean = moves.swapaxes(1, 2) @ firm
        hold = np.linalg.inv(lean @ moves + 1e-6 * np.eye(2))
        best = np.maximum(rival.max(axis=1), (lean * (hold @ lean)).sum(axis=1).max(axis=0))
        return int((self.foot[kept] * (np.diag(firm) - best) <= _TELLING).sum())


def _order_walk(plan: Plan, taped: Sequence[Pull]) -> tuple[Pull, ...]:
    """From the plate on, each next pull the one whose two ends are the shortest walk for two people."""
    left, order = list(taped), []
    here = ("A", "A")

    def walk(pull: Pull) -> tuple[float, str]:
        ends = (pull.from_station, pull.to_station)
        ways = (sum(map(apart, here, each)) for each in (ends, ends[::-1]))
        return round(min(ways), 3), pull.name

    def apart(first: str, second: str) -> float:
        a, b = plan.stations[first], plan.stations[second]
        return math.hypot(a.x_mm - b.x_mm, a.y_mm - b.y_mm)

    while left:
        following = min(left, key=walk)
        order.append(following)
        left.remove(following)
        here = (following.from_station, following.to_station)
    return tuple(order)


def find_limit_mm(pull: Pull) -> float:
    """How far a reading of a true pull is off at most, 999 times of 1000, to the next 1/16 in up."""
    warmth_mm = STEEL.predict_factor(is_warmth_known=False) * pull.length_mm
    chance_mm = float(STEEL.predict_mm(np.array([pull.length_mm]))[0])
    return round_up_mm(LIMIT_FACTOR * math.hypot(warmth_mm, chance_mm))
