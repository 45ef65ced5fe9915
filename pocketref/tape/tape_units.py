"""Readings written in another unit than the tape's: their share of the target gives the two units away."""

from __future__ import annotations

import itertools
import math
import statistics
from collections.abc import Sequence

from pocketref.field.plan import Plan
from pocketref.problems import PocketrefError, Problem
from pocketref.tape.tape import Reading
from pocketref.units.length import FOOT_MM, INCH_MM

FEWEST = 3
"""Fewer readings than this may be off by such a factor by chance."""
NEARLY_ALL = 0.8
WITHIN = 0.04
"""How near a share must be to that of two units: above what a corner out of place does to most pulls, ours."""

_UNITS_MM = {"millimetres": 1.0, "centimetres": 10.0, "inches": INCH_MM, "feet": FOOT_MM, "metres": 1000.0}
_SLIPS = {
    f"{meant} written as {written}": _UNITS_MM[written] / _UNITS_MM[meant]
    for meant, written in itertools.permutations(_UNITS_MM, 2)
}


def name_slip(share: float) -> str:
    """The slip that makes a reading this share of its target, such as "metres written as feet"; or nothing."""
    return next((name for name, factor in _SLIPS.items() if abs(share / factor - 1) <= WITHIN), "")


def refuse_slip(plan: Plan, readings: Sequence[Reading]) -> None:
    """Raise PocketrefError if nearly all readings are off by one factor, as between two units."""
    shares = [share for reading in readings if (share := measure_share(plan, reading)) > 0]
    if len(shares) < FEWEST:
        return
    slip = name_slip(statistics.median(shares))
    if not slip:
        return
    alike = sum(abs(share / _SLIPS[slip] - 1) <= WITHIN for share in shares)
    if alike < NEARLY_ALL * len(shares):
        return
    sentence = (
        f"nearly all readings ({alike} of {len(shares)}) are {_SLIPS[slip]:.3g} of their targets: {slip}?"
    )
    hint = "write the unit that the tape shows beside every reading; until then nothing is judged"
    raise PocketrefError([Problem("readings-unit", sentence, hint)])


def measure_share(plan: Plan, reading: Reading) -> float:
    """A reading over its target; 0 where the plan has none."""
    if reading.from_station not in plan.stations or reading.to_station not in plan.stations:
        return 0.0
    start, end = plan.stations[reading.from_station], plan.stations[reading.to_station]
    target_mm = math.hypot(end.x_mm - start.x_mm, end.y_mm - start.y_mm)
    return reading.length.float_mm / target_mm if target_mm else 0.0
