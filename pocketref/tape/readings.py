"""Taped readings of a plan, the frame they are judged in, and what is wrong with readings as such."""

from __future__ import annotations

import difflib
import itertools
import math
import re
import statistics
from collections.abc import Sequence
from dataclasses import dataclass, replace

from pocketref.field.plan import Plan
from pocketref.problems import Location, ProblemLog, refusal
from pocketref.source.syntax.source_text import clip_text
from pocketref.tape.error_model import STEP
from pocketref.units.length import FOOT_MM, INCH_MM, Length
from pocketref.units.notation import write_tape

PLATE_MARKS = ("A", "P1", "P2", "P3", "P4")
_MOST_MATCHES = 2


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


def check_readings(plan: Plan, readings: Sequence[Reading]) -> tuple[Reading, ...]:
    """The readings, their stations as the plan writes them; raises PocketrefError with every one that can't be one."""
    problems = ProblemLog()
    if not readings:
        problems.error("tape-empty", "there are no readings", "add at least one pull")
    matched = []
    for reading in readings:
        written = reading.from_station, reading.to_station
        ends = [mark if mark in plan.stations else mark.upper() for mark in written]
        for mark, other, said in zip(ends, ends[::-1], written, strict=True):
            if mark not in plan.stations:
                sentence, hint = (
                    f"the plan has no station '{clip_text(said)}'",
                    _suggest(mark, other, reading, plan),
                )
                problems.error("station-unknown", sentence, hint, _point_at(said, reading.where))
        wrong, hint = "", "a pull is longer than nothing"
        if ends[0] == ends[1]:
            wrong, hint = "runs from a station to itself", "name two stations"
        elif reading.length.inches <= 0:
            wrong = f"reads {write_tape(reading.length)}"
        elif reading.step.inches <= 0:
            wrong, hint = f"is read to steps of {write_tape(reading.step)}", "a step is more than nothing"
        if wrong:
            problems.error("reading-impossible", f"{reading.name} {wrong}", hint, reading.where)
        matched.append(replace(reading, from_station=ends[0], to_station=ends[1]))
    problems.raise_errors()
    _refuse_slip(plan, matched)
    return tuple(matched)


def _suggest(mark: str, other: str, reading: Reading, plan: Plan) -> str:
    """The stations written nearly so, those whose pull would read nearest first; else all there are."""

    def find_misfit_mm(name: str) -> tuple[float, str]:
        pull = replace(reading, from_station=other, to_station=name)
        share = measure_share(plan, pull) if other in plan.stations else 1.0
        return round(abs(1 - 1 / share) * reading.length.float_mm, 1) if share else math.inf, name

    close = difflib.get_close_matches(mark, [name for name in plan.stations if name != other], 9, 0.5)
    near = sorted(close, key=find_misfit_mm)[:_MOST_MATCHES]
    return (
        f"did you mean {' or '.join(map(repr, near))}?"
        if near
        else f"its stations: {' '.join(plan.stations)}"
    )


def _point_at(mark: str, where: Location | None) -> Location | None:
    """The mark's own place in the line of its row, if it stands there."""
    found = re.search(rf"(?<!\w){re.escape(mark)}(?!\w)", where.text) if where and where.line else None
    return replace(where, column=found.start() + 1) if where and found else where


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


def _refuse_slip(plan: Plan, readings: Sequence[Reading]) -> None:
    """Raise PocketrefError if nearly all readings are off by one factor, as between two units."""
    shares = [measure_share(plan, reading) for reading in readings]
    slip = write_slip(statistics.median(shares))
    alike = sum(abs(share / SLIPS[slip] - 1) <= WITHIN for share in shares) if slip else 0
    if len(shares) < FEWEST or alike < NEARLY_ALL * len(shares):
        return
    sentence = (
        f"nearly all readings ({alike} of {len(shares)}) are {SLIPS[slip]:.3g} of their targets: {slip}?"
    )
    hint = "write the unit that the tape shows beside every reading; until then nothing is judged"
    raise refusal("readings-unit", sentence, hint)


def measure_share(plan: Plan, reading: Reading) -> float:
    """A reading over its target."""
    start, end = plan.stations[reading.from_station], plan.stations[reading.to_station]
    target_mm = math.hypot(end.x_mm - start.x_mm, end.y_mm - start.y_mm)
    return reading.length.float_mm / target_mm if target_mm else 0.0
