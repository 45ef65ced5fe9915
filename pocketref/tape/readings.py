"""Taped readings of a plan, and the slip of a unit that makes all of them wrong alike."""

from __future__ import annotations

import itertools
import math
import statistics
from collections.abc import Sequence
from dataclasses import dataclass

from pocketref.field.plan import Plan
from pocketref.problems import refusal
from pocketref.tape.error_model import STEP
from pocketref.units.length import FOOT_MM, INCH_MM, Length
from pocketref.words.terminal import tell

PLATE_MARKS = ("A", "P1", "P2", "P3", "P4")


@dataclass(frozen=True, slots=True)
class Reading:
    """A pull as measured. `step` is what it was read to."""

    from_station: str
    to_station: str
    length: Length
    temperature_f: float | None = None
    step: Length = STEP
    is_second_tape: bool = False
    """Whether it was taped with another tape than the rest, to check that one."""

    @property
    def name(self) -> str:
        """The pull's name: its stations joined by a hyphen."""
        return f"{self.from_station}-{self.to_station}"

    @property
    def pair(self) -> frozenset[str]:
        """Its two stations, whichever way it was taped."""
        return frozenset((self.from_station, self.to_station))


FEWEST = 3
"""Fewer readings than this may be off by such a factor by chance."""
NEARLY_ALL = 0.8
WITHIN = 0.04
"""How near a share must be to that of two units: above what a corner out of place does to most pulls, ours."""
_UNITS_MM = {"millimetres": 1.0, "centimetres": 10.0, "inches": INCH_MM, "feet": FOOT_MM, "metres": 1000.0}
SLIPS = {
    f"{meant} written as {written}": _UNITS_MM[written] / _UNITS_MM[meant]
    for meant, written in itertools.permutations(_UNITS_MM, 2)
}


def write_slip(share: float) -> str:
    """The slip that makes a reading this share of its target, such as "metres written as feet"; or nothing."""
    return next((name for name, factor in SLIPS.items() if abs(share / factor - 1) <= WITHIN), "")


def refuse_slip(plan: Plan, readings: Sequence[Reading]) -> None:
    """Raise PocketrefError if nearly all readings are off by one factor, as between two units."""
    shares = [measure_share(plan, reading) for reading in readings]
    slip = write_slip(statistics.median(shares))
    alike = sum(abs(share / SLIPS[slip] - 1) <= WITHIN for share in shares) if slip else 0
    if len(shares) < FEWEST or alike < NEARLY_ALL * len(shares):
        return
    sentence = tell(
        "nearly all readings ({alike} of {count}) are {slips:.3g} of their targets: {slip}?",
        alike=alike,
        count=len(shares),
        slips=SLIPS[slip],
        slip=tell(slip),
    )
    hint = tell("write the unit that the tape shows beside every reading; until then nothing is judged")
    raise refusal("readings-unit", sentence, hint)


def measure_share(plan: Plan, reading: Reading) -> float:
    """A reading over its target."""
    start, end = plan.stations[reading.from_station], plan.stations[reading.to_station]
    target_mm = math.hypot(end.x_mm - start.x_mm, end.y_mm - start.y_mm)
    return reading.length.float_mm / target_mm if target_mm else 0.0
