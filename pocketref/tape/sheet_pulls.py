"""The pulls that a check sheet of a plan asks for: as few as know every station well, in an order to walk."""

from __future__ import annotations

import math
from collections.abc import Sequence
from dataclasses import dataclass
from functools import lru_cache

import numpy as np

from pocketref.field.plan import Plan
from pocketref.field.pulls import Pull, mirror_mark, pulls
from pocketref.tape.error_model import ELLIPSE_FACTOR, HONEST, LIMIT_FACTOR, STEEL, Floats, round_up_mm
from pocketref.tape.network import Network, construct_network, cut_blocks
from pocketref.tape.readings import PLATE_MARKS, Reading, choose_frame
from pocketref.tape.stakeout import BASE_MARKS
from pocketref.units.length import FOOT_MM, Length

KNOWN = 0.505
"""The must-tape pulls know each station to this share of its tolerance, 19 times of 20: a corner off by the whole of
it is then told 199 times of 200, and a true sheet passes 98 times of 100. Our own figure, found by simulation."""
_ALWAYS = frozenset(
    map(frozenset, (("A", "P1"), ("P4", "A"), ("P4", "P1"), ("P4", "P2"), ("P1", "P3"), ("A", "2B")))
)
"""These tell whether the plate itself is true, and how far second base is: they are asked for in any case."""
_NEARLY = 1.04
"""Where all pulls together know little better than that, a twenty-fifth worse than they is near enough: ours."""
_MISREAD_MM = FOOT_MM
_TELLING = 60.0
"""A misread of a foot explains the readings better by this than anything else does: five times what is needed, ours."""
SECOND_TAPE = "second tape "
"""How the name of the blank starts for a pull that is taped with a second tape."""


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
    return tuple(pull.name for pull in choose_sheet_pulls(plan, tolerance).must if _ends(pull) not in taped)


def _ends(pull: Pull) -> frozenset[str]:
    return frozenset((pull.from_station, pull.to_station))


@lru_cache(maxsize=16)
def choose_sheet_pulls(plan: Plan, tolerance: Length) -> SheetPulls:
    """The pulls of a plan's check sheet, of a whole field those between its bases.

    Mirrored pulls go together; what costs least is left out, one after another, while every station stays known to
    KNOWN of the tolerance. Where all pulls know it little better or worse, nearly as well as by all of them.
    """
    every = pulls(plan)
    if "1B" in plan.stations:
        every = tuple(pull for pull in every if _ends(pull) <= set(BASE_MARKS))
    readings = [Reading(pull.from_station, pull.to_station, pull.length) for pull in every]
    honest_mm = tolerance.float_mm / HONEST
    frame = choose_frame(plan, readings, honest_mm)
    network = construct_network(plan.stations, readings, frame, STEEL, honest_mm)
    rows = network.predict(np.zeros(len(network.spread)))[1] * np.sqrt(np.diag(network.weight))[:, None]
    most_mm = max(KNOWN * tolerance.float_mm, _NEARLY * float(_know(network, rows).max()))
    kept = _leave_out(network, rows, _pair_mirrored(every), most_mm)
    must = [pull for index, pull in enumerate(every) if index in kept]
    more = tuple(pull for index, pull in enumerate(every) if index not in kept)
    return SheetPulls(_order_walk(plan, must), more, float(_know(network, rows[sorted(kept)]).max()))


def _pair_mirrored(every: Sequence[Pull]) -> list[tuple[int, ...]]:
    """The numbers of each pull and its mirror image, but for those that are always asked for."""
    number = {_ends(pull): index for index, pull in enumerate(every)}
    pairs = {}
    for ends, index in number.items():
        image = number.get(frozenset(map(mirror_mark, ends)), index)
        if ends not in _ALWAYS:
            pairs[min(index, image)] = tuple(sorted({index, image}))
    return list(pairs.values())


def _know(network: Network, rows: Floats) -> Floats:
    """How well weighted rows know each station that is not of the frame by its own pulls: 95 % semi-axes, mm."""
    loose = network.spread > 0
    known = np.where(loose, 1 / np.where(loose, network.spread, 1.0) ** 2, 1e12)
    blocks = cut_blocks(np.linalg.inv(rows.T @ rows + np.diag(known)), len(network.marks))
    own = np.linalg.inv(blocks)
    at = np.arange(2)
    own[:, at, at] -= np.where(loose, known, 0.0)[:-2].reshape(-1, 2)
    least = np.linalg.eigvalsh(own)[:, 0]
    judged = [mark not in PLATE_MARKS for mark in network.marks]
    axes: Floats = ELLIPSE_FACTOR / np.sqrt(np.maximum(least, 1e-6))[judged]
    return axes


def _tells(network: Network, rows: Floats, errors_mm: Floats) -> bool:
    """Whether each reading, if misread by a foot, is told from every other reading and from any station being off."""
    loose = network.spread > 0
    known = np.where(loose, 1 / np.where(loose, network.spread, 1.0) ** 2, 1e12)
    firm = np.eye(len(rows)) - rows @ np.linalg.inv(rows.T @ rows + np.diag(known)) @ rows.T
    alone = np.diag(firm)
    rival = firm**2 / np.maximum(alone, 1e-9)[None, :]
    np.fill_diagonal(rival, 0.0)
    best = rival.max(axis=1)
    for index in range(len(network.marks)):
        moves = rows[:, [at for at in (2 * index, 2 * index + 1) if loose[at]]]
        lean = moves.T @ firm
        hold = np.linalg.inv(lean @ moves + 1e-6 * np.eye(moves.shape[1]))
        best = np.maximum(best, np.einsum("ir,ij,jr->r", lean, hold, lean))
    return bool(((_MISREAD_MM / errors_mm) ** 2 * (alone - best) > _TELLING).all())


def _leave_out(network: Network, rows: Floats, pairs: list[tuple[int, ...]], most_mm: float) -> set[int]:
    kept = set(range(len(rows)))
    errors_mm = 1 / np.sqrt(np.diag(network.weight))

    def tells(numbers: set[int]) -> bool:
        return _tells(network, rows[sorted(numbers)], errors_mm[sorted(numbers)])

    while True:
        tried = [(_know(network, rows[sorted(kept - set(pair))]), pair) for pair in pairs]
        before = float((_know(network, rows[sorted(kept)]) ** 2).sum())
        spared = [
            (round((float((axes**2).sum()) - before) / len(pair), 6), pair)
            for axes, pair in tried
            if axes.max() <= most_mm
        ]
        gone = next((pair for _, pair in sorted(spared) if tells(kept - set(pair))), None)
        if gone is None:
            return kept
        kept -= set(gone)
        pairs.remove(gone)


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
