"""How long each slide of a class is shown: shares of the class's minutes that add up to these."""

from __future__ import annotations

from collections.abc import Sequence
from itertools import accumulate

from pocketref.pages.words import list_texts

_WORDS_A_SECOND = 2.0
"""How fast an instructor reads aloud to a class: our own figure, slower than talk."""
_READY_S = 5.0
"""To change slides and look up: our own figure."""
STEP_S = 15
"""Times are whole steps of a quarter of a minute."""


def weigh_words(said: object, think_s: float) -> float:
    """Seconds to read aloud every text in `said`, with those in which the class thinks."""
    words = sum(len(text.split()) for text in list_texts(said))
    return _READY_S + words / _WORDS_A_SECOND + think_s


def apportion(units: int, weights: Sequence[float]) -> list[int]:
    """So many units in whole shares by the weights: what is left after rounding down goes to the largest remainders.

    Hamilton's method of apportionment.
    """
    quotas = [units * weight / sum(weights) for weight in weights]
    shares = [int(quota) for quota in quotas]
    by_rest = sorted(range(len(quotas)), key=lambda place: (shares[place] - quotas[place], place))
    for place in by_rest[: units - sum(shares)]:
        shares[place] += 1
    return shares


def share_time(total_s: int, weights: Sequence[float]) -> list[int]:
    """The total in seconds in a share for each weight, in whole steps: one for each, the rest by the weights.

    ValueError if the total has not a step for each.
    """
    steps = total_s // STEP_S - len(weights)
    if steps < 0:
        raise ValueError(f"{total_s} s are too few for {len(weights)} shares")
    return [(share + 1) * STEP_S for share in apportion(steps, weights)]


def list_starts(shares: Sequence[int]) -> list[int]:
    """When each share begins, seconds from the start."""
    return [0, *accumulate(shares)][:-1]


def write_time(seconds: int) -> str:
    """Minutes and seconds: "12:45"."""
    return f"{seconds // 60}:{seconds % 60:02d}"
