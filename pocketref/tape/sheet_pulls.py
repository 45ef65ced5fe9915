"""The pulls that a check sheet of a plan asks for: as few as know every station well, in an order to walk."""

from __future__ import annotations

import math
from collections.abc import Iterable, Sequence
from dataclasses import dataclass
from functools import lru_cache

import numpy as np

from pocketref.field.plan import Plan
from pocketref.field.pulls import Pull, mirror_mark, pulls
from pocketref.tape.error_model import ELLIPSE_FACTOR, HONEST, LIMIT_FACTOR, STEEL, Floats, round_up_mm
from pocketref.tape.network import Network, construct_network
from pocketref.tape.readings import PLATE_MARKS, Reading
from pocketref.tape.stakeout import BASE_MARKS
from pocketref.units.length import FOOT_MM, Length

KNOWN = 0.6
"""The must-tape pulls know each station to this share of its tolerance, 19 times of 20: a corner off by the whole of
it is then told 199 times of 200, and a true sheet passes 98 times of 100. Our own figure, found by simulation."""
_ALWAYS = frozenset({"A", "2B"})
"""How far second base is, is asked for in any case."""
_ALONE = 0.5
"""One station off is looked for among others that stand this much nearer than an honest field's: our own figure."""
_NEARLY = 1.04
"""Where all pulls together know little better than that, a twenty-fifth worse than they is near enough: ours."""
_TELLING = 60.0
"""A misread of a foot explains the readings better by this than anything else does: five times what is needed, ours."""
SECOND_TAPE = "second tape "
"""How the name of the blank starts for a pull that is taped with a second tape."""
Group = tuple[int, ...]
Step = tuple[Group, Group]
"""Pulls that go, and pulls that come in their place."""


@dataclass(frozen=True, slots=True)
class SheetPulls:
    """The pulls to tape in any case, in walking order; more for who has time or a doubt; how well the first know."""

    must: tuple[Pull, ...]
    more: tuple[Pull, ...]
    known_mm: float
    """The longest semi-axis of any station's 95 % ellipse by them."""


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
    honest, alone = (_Search(construct_network(plan, readings, share * honest_mm)) for share in (1, _ALONE))
    most_mm = max(KNOWN * tolerance.float_mm, _NEARLY * honest.know(range(len(every))))
    for count in range(2 * len(alone.axes) + 2, len(every) + 1):
        kept = alone.choose(_pair_mirrored(every), count)
        if honest.know(kept) <= most_mm and not alone.count_untold(kept):
            break
    must = [pull for index, pull in enumerate(every) if index in kept]
    more = tuple(pull for index, pull in enumerate(every) if index not in kept)
    return SheetPulls(_order_walk(plan, must), more, honest.know(kept))


def _pair_mirrored(every: Sequence[Pull]) -> list[Group]:
    """The numbers of each pull and its mirror image, but for what is always asked for."""
    number = {pull.pair: index for index, pull in enumerate(every)}
    pairs = {}
    for ends, index in number.items():
        image = number.get(frozenset(map(mirror_mark, ends)), index)
        if ends != _ALWAYS:
            pairs[min(index, image)] = tuple(sorted({index, image}))
    return list(pairs.values())


class _Search:
    """Which pulls of a network to do without."""

    def __init__(self, network: Network) -> None:
        spread = network.spread[: 2 * len(network.marks) + 2]
        self.loose = spread > 0
        self.known = np.where(self.loose, 1 / np.where(self.loose, spread, 1.0) ** 2, 1e12)
        judged = np.flatnonzero([mark not in PLATE_MARKS for mark in network.marks])
        self.axes = 2 * judged[:, None] + np.arange(2)
        slopes = network.predict(np.zeros(len(network.spread)))[1][:, : len(spread)]
        self.rows = slopes * np.sqrt(np.diag(network.weight))[:, None]
        self.told = self.rows[:, :, None] * self.rows[:, None, :]
        self.foot = FOOT_MM**2 * np.diag(network.weight)

    def find_axes(self, kept: Iterable[int], steps: Sequence[Step] = (((), ()),)) -> Floats:
        """After each step from these pulls, how well each judged station is known by its own: 95 % semi-axes, mm."""
        here = np.diag(self.known) + self.told[sorted(kept)].sum(axis=0)
        change = [self.told[list(new)].sum(axis=0) - self.told[list(out)].sum(axis=0) for out, new in steps]
        inverse = np.linalg.inv(here + np.array(change))
        own = np.linalg.inv(inverse[:, self.axes[:, :, None], self.axes[:, None, :]])
        own[..., [0, 1], [0, 1]] -= np.where(self.loose, self.known, 0.0)[self.axes]
        axes: Floats = ELLIPSE_FACTOR / np.sqrt(np.maximum(np.linalg.eigvalsh(own)[..., 0], 1e-6))
        return axes

    def know(self, kept: Iterable[int]) -> float:
        """How well these pulls know the station that they know worst, mm."""
        return float(self.find_axes(kept).max())

    def weigh(self, kept: set[int], steps: Sequence[Step] = (((), ()),)) -> list[float]:
        """What each step leaves unknown, stations that are known worst counting most."""
        worth: list[float] = np.round((self.find_axes(kept, steps) ** 4).sum(axis=1), 3).tolist()
        return worth

    def count_untold(self, kept: set[int]) -> int:
        """How many of these readings, misread by a foot, are not told from another or from a station being off."""
        rows = self.rows[sorted(kept)]
        firm = np.eye(len(rows)) - rows @ np.linalg.inv(np.diag(self.known) + rows.T @ rows) @ rows.T
        rival = firm**2 / np.maximum(np.diag(firm), 1e-9)[None, :]
        np.fill_diagonal(rival, 0.0)
        stations = np.arange(0, len(self.loose) - 2, 2)[:, None] + np.arange(2)
        moves = (rows * self.loose)[:, stations].swapaxes(0, 1)
        lean = moves.swapaxes(1, 2) @ firm
        hold = np.linalg.inv(lean @ moves + 1e-6 * np.eye(2))
        best = np.maximum(rival.max(axis=1), (lean * (hold @ lean)).sum(axis=1).max(axis=0))
        return int((self.foot[sorted(kept)] * (np.diag(firm) - best) <= _TELLING).sum())

    def choose(self, groups: Sequence[Group], count: int) -> set[int]:
        """So many pulls at most: what costs least is left out, then groups exchanged while that is any better."""
        kept = set(range(len(self.rows)))
        while gone := [(g, ()) for g in groups if kept.issuperset(g) and len(kept) - len(g) >= count]:
            here = self.weigh(kept)[0]
            prices = [
                (cost - here) / len(out) for (out, _), cost in zip(gone, self.weigh(kept, gone), strict=True)
            ]
            kept -= set(gone[prices.index(min(prices))][0])
        found: set[int] | None = kept
        while found is not None:
            kept, found = found, self.exchange(groups, found, count)
        return kept

    def exchange(self, groups: Sequence[Group], kept: set[int], count: int) -> set[int] | None:
        """The best exchange of one group for another: more misreads told, else stations known better; None if none."""
        inside = [group for group in groups if kept.issuperset(group)]
        outside = [group for group in groups if kept.isdisjoint(group)]
        steps = [(out, new) for out in inside for new in outside if len(kept) - len(out) + len(new) <= count]
        untold, here = self.count_untold(kept), self.weigh(kept)[0]
        for cost, (out, new) in sorted(zip(self.weigh(kept, steps) if steps else (), steps, strict=True)):
            after = (kept - set(out)) | set(new)
            if not untold and cost >= here:
                break
            if (self.count_untold(after), cost) < (untold, here):
                return after
        return None


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
