"""How sure a taped reading is: the tape, how finely it is read, the marks it is held on, its temperature.

Each part is a standard deviation; independent parts add by their squares (JCGM 100:2008, 5.1). A tolerance
or a step of reading stands for a uniform spread: half-width / √3, step / √12 (JCGM 100:2008, 4.3.7 and F.2.2.1).
One tape's own error is the same in all its readings; it is treated as independent from pull to pull, which is
right for a tape whose error changes along its length and a little hopeful for one that is evenly long or short.
"""

from __future__ import annotations

import math
from dataclasses import dataclass
from fractions import Fraction
from functools import cache

from pocketref.problems import PocketrefError, Problem
from pocketref.units.length import Length

_HUNDRED_FEET_IN = 1200
# Tolerance of a metal tape, either way, by length up to so many inches: NIST Handbook 44, section 5.52.
_TOLERANCES: tuple[tuple[int, Fraction], ...] = (
    (6 * 12, Fraction(1, 32)),
    (30 * 12, Fraction(1, 16)),
    (55 * 12, Fraction(1, 8)),
    (80 * 12, Fraction(3, 16)),
    (_HUNDRED_FEET_IN, Fraction(1, 4)),
)
STEEL_EXPANSION_PER_F = 0.0000065
"""Steel's expansion per deg F, by the US Navy Engineering Aid course and surveying texts."""
STANDARD_TEMPERATURE_F = 68.0
"""The temperature a steel tape is true at, by the same texts."""


@dataclass(frozen=True, slots=True)
class ErrorBudget:
    """What a reading's standard deviation is made of, apart from the reading itself.

    Steel's figures are those of NIST Handbook 44, section 5.52 and the surveying texts; the rest are ours.
    """

    setting: Length = Length(Fraction(1, 16))  # noqa: RUF009 - a Length is frozen
    """Standard deviation of holding both ends of the tape on their marks: our own figure."""
    resolution: Length = Length(Fraction(1, 16))  # noqa: RUF009 - a Length is frozen
    """The step a tape is read to, where the reading doesn't say."""
    tolerance_factor: int = 1
    """How many times the handbook's tolerance for a metal tape the tape is allowed."""
    expansion_per_f: float = STEEL_EXPANSION_PER_F
    """0 leaves the reading as it is, whatever the temperature."""
    temperature_error_f: float = 5.0
    """Standard deviation of a tape's temperature where it is given: our own figure."""
    unknown_temperature_error_f: float = 30 / math.sqrt(3)
    """The same where it is not: within 30 deg F of the standard temperature, our own figure."""


STEEL = ErrorBudget()
FIBREGLASS = ErrorBudget(tolerance_factor=4, expansion_per_f=0.0)
"""Fibreglass stretches under pull: allowed four times a metal tape's tolerance, our own figure."""
TAPES: dict[str, ErrorBudget] = {"steel": STEEL, "fibreglass": FIBREGLASS}
"""The budget of each kind of tape a file of readings may name."""


def correct_temperature_mm(reading_mm: float, temperature_f: float | None, budget: ErrorBudget) -> float:
    """The true distance behind a reading: a warm tape is long and reads short.

    A tape of unknown temperature is taken to be at the standard one.
    """
    if temperature_f is None:
        return reading_mm
    return reading_mm * (1 + budget.expansion_per_f * (temperature_f - STANDARD_TEMPERATURE_F))


def predict_reading_error_mm(
    length: Length,
    temperature_f: float | None,
    resolution: Length | None,
    budget: ErrorBudget,
    times: int = 1,
) -> float:
    """The standard deviation of a reading of this length, in mm, or of the mean of a number of readings.

    Reading a pull again evens out what is held and read, not the tape's own error nor its temperature's.
    """
    tape = budget.tolerance_factor * find_tape_tolerance(length).float_mm / math.sqrt(3)
    degrees = budget.unknown_temperature_error_f if temperature_f is None else budget.temperature_error_f
    warmth = budget.expansion_per_f * degrees * length.float_mm
    return math.sqrt(tape**2 + warmth**2 + predict_hand_mm2(resolution, budget) / times)


@cache
def predict_hand_mm2(resolution: Length | None, budget: ErrorBudget) -> float:
    """The variance of holding and reading a tape, in mm²: what reading it again evens out."""
    step = (resolution or budget.resolution).float_mm / math.sqrt(12)
    return float(step**2 + budget.setting.float_mm**2)


def find_tape_tolerance(length: Length) -> Length:
    """How far off a good metal tape may be at this length, either way (NIST Handbook 44, section 5.52).

    The handbook's table names whole feet and ends at 100 ft. A length between two rows has the longer row's
    tolerance. A longer one is taken as laid in 100-ft lengths, and the tolerances add.
    """
    if length.inches < 0:
        raise PocketrefError([Problem("length-negative", "a pull can't be shorter than nothing")])
    full_tapes, rest = divmod(length.inches, _HUNDRED_FEET_IN)
    tolerance = full_tapes * _TOLERANCES[-1][1]
    if rest or not full_tapes:
        tolerance += next(limit for upto, limit in _TOLERANCES if rest <= upto)
    return Length(tolerance)
