"""Taped readings of a plan, the frame they are judged in, and what is wrong with readings as such."""

from __future__ import annotations

import itertools
import math
import statistics
from collections.abc import Mapping, Sequence
from dataclasses import dataclass

from pocketref.field.plan import Plan
from pocketref.problems import Location, PocketrefError, Problem, ProblemLog, suggest_match
from pocketref.tape.error_model import PLATE_MM, STEP, TURN_MM
from pocketref.units.length import FOOT_MM, INCH_MM, Length
from pocketref.units.notation import write_tape

PLATE_MARKS = ("A", "P1", "P2", "P3", "P4")
_CENTRE_MARKS = ("2B", "PP", "MC")
Frame = Mapping[str, tuple[float, float]]
"""Stations that the rest is judged from: standard deviations across the field and along it in mm, 0 where held."""


@dataclass(frozen=True, slots=True)
class Reading:
    """A pull as measured. `step` is what it was read to."""

    from_station: str
    to_station: str
    length: Length
    temperature_f: float | None = None
    step: Length = STEP
    where: Location | None = None
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


def choose_frame(plan: Plan, readings: Sequence[Reading], honest_mm: float) -> Frame:
    """What readings of a plan are judged from.

    Around home plate it is the plate, its corners where its dimensions put them. On a whole field the apex is the
    origin and second base (else the pitcher's plate, else the mound's centre) is on the centre line; the plate is too
    small to aim a field by.
    """
    if "1B" not in plan.stations:
        return {mark: (PLATE_MM, PLATE_MM) for mark in PLATE_MARKS if mark in plan.stations}
    read = {mark for reading in readings for mark in reading.pair}
    aim = next((mark for mark in _CENTRE_MARKS if mark in read), None)
    corner = TURN_MM if aim else PLATE_MM
    corners = {mark: (corner, corner) for mark in PLATE_MARKS[1:] if mark in read}
    return {"A": (0.0, 0.0), **({aim: (0.0, honest_mm)} if aim else {}), **corners}


def check_readings(plan: Plan, readings: Sequence[Reading]) -> None:
    """Raise PocketrefError with every reading that can't be one."""
    problems = ProblemLog()
    if not readings:
        problems.error("tape-empty", "there are no readings", "add at least one pull")
    for reading in readings:
        for mark in dict.fromkeys((reading.from_station, reading.to_station)):
            if mark not in plan.stations:
                hint = suggest_match(mark, plan.stations)
                problems.error("station-unknown", f"the plan has no station '{mark}'", hint, reading.where)
        said, hint = "", "a pull is longer than nothing"
        if reading.from_station == reading.to_station:
            said, hint = "runs from a station to itself", "name two stations"
        elif reading.length.inches <= 0:
            said = f"reads {write_tape(reading.length)}"
        elif reading.step.inches <= 0:
            said, hint = f"is read to steps of {write_tape(reading.step)}", "a step is more than nothing"
        if said:
            problems.error("reading-impossible", f"{reading.name} {said}", hint, reading.where)
    problems.raise_errors()
    _refuse_slip(plan, readings)


_FEWEST = 3
"""Fewer readings than this may be off by such a factor by chance."""
_NEARLY_ALL = 0.8
_WITHIN = 0.04
"""How near a share must be to that of two units: above what a corner out of place does to most pulls, ours."""
_UNITS_MM = {"millimetres": 1.0, "centimetres": 10.0, "inches": INCH_MM, "feet": FOOT_MM, "metres": 1000.0}
_SLIPS = {
    f"{meant} written as {written}": _UNITS_MM[written] / _UNITS_MM[meant]
    for meant, written in itertools.permutations(_UNITS_MM, 2)
}


def write_slip(share: float) -> str:
    """The slip that makes a reading this share of its target, such as "metres written as feet"; or nothing."""
    return next((name for name, factor in _SLIPS.items() if abs(share / factor - 1) <= _WITHIN), "")


def _refuse_slip(plan: Plan, readings: Sequence[Reading]) -> None:
    """Raise PocketrefError if nearly all readings are off by one factor, as between two units."""
    shares = [measure_share(plan, reading) for reading in readings]
    slip = write_slip(statistics.median(shares))
    alike = sum(abs(share / _SLIPS[slip] - 1) <= _WITHIN for share in shares) if slip else 0
    if len(shares) < _FEWEST or alike < _NEARLY_ALL * len(shares):
        return
    sentence = (
        f"nearly all readings ({alike} of {len(shares)}) are {_SLIPS[slip]:.3g} of their targets: {slip}?"
    )
    hint = "write the unit that the tape shows beside every reading; until then nothing is judged"
    raise PocketrefError([Problem("readings-unit", sentence, hint)])


def measure_share(plan: Plan, reading: Reading) -> float:
    """A reading over its target."""
    start, end = plan.stations[reading.from_station], plan.stations[reading.to_station]
    target_mm = math.hypot(end.x_mm - start.x_mm, end.y_mm - start.y_mm)
    return reading.length.float_mm / target_mm if target_mm else 0.0
