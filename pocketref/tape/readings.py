"""Taped readings of a plan, the pins they are judged from, and what is wrong with readings as such."""

from __future__ import annotations

import itertools
import math
import statistics
from collections.abc import Iterable, Mapping, Sequence
from dataclasses import dataclass, replace
from fractions import Fraction

from pocketref.field.plan import Plan
from pocketref.problems import Location, PocketrefError, Problem, ProblemLog, suggest_match
from pocketref.units.length import FOOT_MM, INCH_MM, Length
from pocketref.units.notation import write_tape

TRIANGLE_FACTOR = 1.5
TRIANGLE_SLACK_IN = 24.0
"""A side is impossible beyond half as much again as the other two together and 2 ft: our own bounds.

Smaller misfits are left to the adjustment, which can tell which of the three is misread."""

PLATE_MARKS = ("A", "P1", "P2", "P3", "P4")
PLATE_TURN_MM = 3.2
"""How far a plate's corner may be from true when the field's line to second is the direction: 1/8 in, ours."""
_CENTRE_MARKS = ("2B", "PP", "MC")
REPEATS_WITHIN = Length(Fraction(1, 2))
"""Two readings of one pull that lie farther apart are not the same pull read twice: our own figure."""


@dataclass(frozen=True, slots=True)
class Reading:
    """A pull as measured. `resolution` is the step it was read to; None stands for the budget's.

    `times` says of how many readings of the pull this is the mean.
    """

    from_station: str
    to_station: str
    length: Length
    temperature_f: float | None = None
    resolution: Length | None = None
    where: Location | None = None
    times: int = 1

    @property
    def name(self) -> str:
        """The pull's name: its stations joined by a hyphen."""
        return f"{self.from_station}-{self.to_station}"

    @property
    def pair(self) -> frozenset[str]:
        """Its two stations, whichever way it was taped."""
        return frozenset((self.from_station, self.to_station))


@dataclass(frozen=True, slots=True)
class Pin:
    """A station known beforehand, across the field (x) and along it (y).

    Each error is a standard deviation in mm: 0 holds the coordinate where the plan has it, None leaves it
    to the readings.
    """

    station: str
    x_error_mm: float | None = 0.0
    y_error_mm: float | None = 0.0


def choose_pins(plan: Plan, readings: Iterable[Reading]) -> tuple[Pin, ...]:
    """The pins that readings of a plan are judged from unless others are named.

    Around home plate the plate is the frame: a rigid body as installed, its corners where its dimensions put
    them, origin at the apex, direction by the middle of the front edge. On a whole field the apex is the
    origin and second base (else the pitcher's plate, else the mound's centre) is on the centre line; the plate is too
    small to aim a field by, so its corners are only known to 1/8 in. Raises PocketrefError if nothing gives a
    direction.
    """
    read = {mark for reading in readings for mark in (reading.from_station, reading.to_station)}
    if "1B" not in plan.stations:
        return tuple(Pin(mark) for mark in PLATE_MARKS if mark in plan.stations)
    corners = [mark for mark in PLATE_MARKS[1:] if mark in read]
    aim = next((mark for mark in _CENTRE_MARKS if mark in read), None)
    if aim is not None:
        turned = (Pin(mark, PLATE_TURN_MM, PLATE_TURN_MM) for mark in corners)
        return (Pin("A"), Pin(aim, 0.0, None), *turned)
    if corners:
        return (Pin("A"), *(Pin(mark) for mark in corners))
    hint = "add a pull to second base (2B) or to the middle of the pitcher's plate (PP)"
    raise PocketrefError([Problem("tape-no-direction", "no reading says which way the field points", hint)])


def check_readings(plan: Plan, readings: Sequence[Reading]) -> None:
    """Raise PocketrefError with every reading that can't be one: unknown, repeated or impossible."""
    problems = ProblemLog()
    if not readings:
        problems.error("tape-empty", "there are no readings", "add at least one pull")
    first: dict[frozenset[str], Reading] = {}
    sound: dict[frozenset[str], Reading] = {}
    for reading in readings:
        before = len(problems.problems)
        _check_reading(plan, reading, problems)
        if len(problems.problems) == before:
            sound.setdefault(reading.pair, reading)
        _check_repeat(first.setdefault(reading.pair, reading), reading, problems)
    _check_triangles(sound, problems)
    problems.raise_errors()


def _check_reading(plan: Plan, reading: Reading, problems: ProblemLog) -> None:
    for mark in dict.fromkeys((reading.from_station, reading.to_station)):
        if mark not in plan.stations:
            hint = suggest_match(mark, plan.stations)
            problems.error("station-unknown", f"the plan has no station '{mark}'", hint, reading.where)
    if reading.from_station == reading.to_station:
        sentence = f"{reading.name} runs from a station to itself"
        problems.error("reading-impossible", sentence, "name two stations", reading.where)
    if reading.length.inches <= 0:
        sentence = f"{reading.name} reads {write_tape(reading.length)}"
        problems.error("reading-impossible", sentence, "a pull is longer than nothing", reading.where)
    if reading.resolution is not None and reading.resolution.inches <= 0:
        sentence = f"{reading.name} is read to steps of {write_tape(reading.resolution)}"
        problems.error("reading-impossible", sentence, "a step is more than nothing", reading.where)


def _check_repeat(first: Reading, again: Reading, problems: ProblemLog) -> None:
    apart = abs(again.length - first.length)
    if apart.inches > REPEATS_WITHIN.inches:
        at = f" on line {first.where.line}" if first.where and first.where.line else " before"
        sentence = f"{again.name} is read twice, {write_tape(apart)} apart; it is first read{at}"
        problems.error("reading-repeated", sentence, "tape it again and keep the right ones", again.where)


def merge_repeats(readings: Sequence[Reading]) -> tuple[Reading, ...]:
    """Readings of one pull as their mean, in the place of the first."""
    alike: dict[frozenset[str], list[Reading]] = {}
    for reading in readings:
        alike.setdefault(reading.pair, []).append(reading)
    return tuple(_average(group) if len(group) > 1 else group[0] for group in alike.values())


def _average(group: Sequence[Reading]) -> Reading:
    """The mean; of temperature where all are known, of resolution where all are the same."""
    known = [reading.temperature_f for reading in group if reading.temperature_f is not None]
    steps = {reading.resolution for reading in group}
    mean = Length(sum((reading.length.inches for reading in group), Fraction(0)) / len(group))
    return replace(
        group[0],
        length=mean,
        temperature_f=sum(known) / len(known) if len(known) == len(group) else None,
        resolution=steps.pop() if len(steps) == 1 else None,
        times=len(group),
    )


def _check_triangles(readings: Mapping[frozenset[str], Reading], problems: ProblemLog) -> None:
    """Each reading that is far too long for two others that join its ends; each is told once."""
    beside: dict[str, dict[str, float]] = {}
    inches = [(reading, float(reading.length.inches)) for reading in readings.values()]
    for reading, length in inches:
        beside.setdefault(reading.from_station, {})[reading.to_station] = length
        beside.setdefault(reading.to_station, {})[reading.from_station] = length
    for reading, length in inches:
        start, end = beside[reading.from_station], beside[reading.to_station]
        for mark in start.keys() & end.keys():
            around = start[mark] + end[mark]
            if length > around * TRIANGLE_FACTOR + TRIANGLE_SLACK_IN:
                way = f"{reading.from_station}-{mark}-{reading.to_station}"
                sentence = f"{reading.name} reads {write_tape(reading.length)}, but {way} is only "
                sentence += write_tape(Length(Fraction(around)))
                problems.error("reading-impossible", sentence, "check its feet and its unit", reading.where)
                break


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


def write_slip(share: float) -> str:
    """The slip that makes a reading this share of its target, such as "metres written as feet"; or nothing."""
    return next((name for name, factor in _SLIPS.items() if abs(share / factor - 1) <= WITHIN), "")


def refuse_slip(plan: Plan, readings: Sequence[Reading]) -> None:
    """Raise PocketrefError if nearly all readings are off by one factor, as between two units."""
    shares = [share for reading in readings if (share := measure_share(plan, reading)) > 0]
    if len(shares) < FEWEST:
        return
    slip = write_slip(statistics.median(shares))
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
