"""How a tape, a hand and a mark err: the one model that stakeout, sheets, card and verdict all go by.

A reading is (1 + factor) x distance + offset + chance. Factor and offset are the tape's own, alike in all its readings:
stretch and warmth, a worn or cut end. Chance is the graduations' tolerance by length, the step it is read to, and
how each end is held. Independent parts add by their squares (JCGM 100:2008, 5.1); a tolerance and a step stand for a
uniform spread, half-width / √3 and step / √12 (the same, 4.3.7 and F.2.2.1).
"""

from __future__ import annotations

import math
from collections.abc import Callable
from dataclasses import dataclass
from fractions import Fraction
from typing import Any

import numpy as np
import numpy.typing as npt

from pocketref.units.length import INCH_MM, Length

Floats = npt.NDArray[np.floating[Any]]

HOLDING_MM = 3 / 64 * INCH_MM
"""Standard deviation of holding one end of a tape on its mark: our own figure."""
STEP = Length(Fraction(1, 16))
"""What a tape is read to where a reading doesn't say: our own figure."""
PLATE_MM = 1 / 64 * INCH_MM
"""Standard deviation of a corner of home plate about its dimensions: our own figure."""
TURN_MM = 1 / 8 * INCH_MM
"""The same on a whole field, where the plate need not point where the field does: our own figure."""
HONEST = 3.0
"""A crew sets a station so that its tolerance is this many standard deviations: our own figure."""
OFFSET_MM = 1 / 64 * INCH_MM
"""Standard deviation of a sound tape's zero end: our own figure."""
STEEL_EXPANSION_PER_F = 0.0000065
"""Steel's expansion per deg F, by the US Navy Engineering Aid course and surveying texts."""
STANDARD_TEMPERATURE_F = 68.0
"""The temperature a steel tape is true at, by the same texts."""
TEMPERATURE_ERROR_F = 5.0
"""Standard deviation of a tape's temperature where it is written: our own figure."""
UNKNOWN_TEMPERATURE_ERROR_F = 30 / math.sqrt(3)
"""The same where it is not: within 30 deg F of the standard temperature, our own figure."""

# Tolerance of a metal tape, either way, by length up to so many feet: NIST Handbook 44, section 5.52.
_HB44_UP_TO_MM = np.array([6.0, 30.0, 55.0, 80.0, 100.0]) * 12 * INCH_MM
_HB44_MM = np.array([1 / 32, 1 / 16, 1 / 8, 3 / 16, 1 / 4]) * INCH_MM
_ROUNDING_MM = 1e-6
ELLIPSE_FACTOR = 2.447747
"""Standard ellipse to the one that holds 19 of 20: the root of chi-square's 5.991 for two degrees of freedom."""
LIMIT_FACTOR = 3.290527
"""Standard deviation to the bound that holds 999 of 1000, of a normal distribution."""


def round_up_mm(mm: float) -> float:
    """A bound as a tape shows it: to the next 1/16 in up, mm."""
    return math.ceil(mm / STEP.float_mm - 1e-6) * STEP.float_mm


def find_metal_tolerance_mm(length_mm: Floats) -> Floats:
    """How far off a good metal tape may be at these lengths, either way (NIST Handbook 44, section 5.52).

    The table names whole feet and ends at 100 ft. A length between two rows has the longer row's tolerance; a longer
    one is taken as laid in 100-ft lengths, and the tolerances add.
    """
    full, rest = np.divmod(np.asarray(length_mm, dtype=np.float64), _HB44_UP_TO_MM[-1])
    row = np.minimum(np.searchsorted(_HB44_UP_TO_MM, rest - _ROUNDING_MM), len(_HB44_MM) - 1)
    at_end = (rest < _ROUNDING_MM) & (full > 0)
    tolerance: Floats = full * _HB44_MM[-1] + np.where(at_end, 0.0, _HB44_MM[row])
    return tolerance


def find_class_three_mm(length_mm: Floats) -> Floats:
    """The largest error of a class III tape, 0.6 + 0.4 mm a metre begun: Directive 2014/32/EU, annex X (MI-008)."""
    tolerance: Floats = 0.6 + 0.4 * np.ceil(np.asarray(length_mm) / 1000 - 1e-9)
    return tolerance


@dataclass(frozen=True, slots=True)
class Tape:
    """A kind of tape: its tolerance by length, its expansion, and how far pull stretches it."""

    tolerance_mm: Callable[[Floats], Floats]
    expansion_per_f: float
    """0 leaves the reading as it is, whatever the temperature."""
    stretch: float
    """Standard deviation of its factor from pull."""

    def correct_mm(self, read_mm: float, temperature_f: float | None) -> float:
        """The distance behind a reading: a warm tape is long and reads short; of unknown warmth it is left."""
        warmer_f = 0.0 if temperature_f is None else temperature_f - STANDARD_TEMPERATURE_F
        return read_mm * (1 + self.expansion_per_f * warmer_f)

    def predict_factor(self, *, is_warmth_known: bool) -> float:
        """Standard deviation of the tape's factor."""
        warmth = TEMPERATURE_ERROR_F if is_warmth_known else UNKNOWN_TEMPERATURE_ERROR_F
        return math.hypot(self.expansion_per_f * warmth, self.stretch)

    def predict_mm(self, length_mm: Floats, step_mm: float | Floats = STEP.float_mm) -> Floats:
        """Standard deviation of readings by chance alone, at these lengths."""
        variance: Floats = self.predict_graduation_mm(length_mm) ** 2 + predict_hand_mm2(step_mm)
        return np.sqrt(variance)

    def predict_graduation_mm(self, length_mm: Floats) -> Floats:
        """The part of it that is the tape's: the same when a pull is taped again."""
        spread: Floats = self.tolerance_mm(length_mm) / math.sqrt(3)
        return spread


def predict_hand_mm2(step_mm: float | Floats) -> Any:
    """The variance of holding both ends and reading to a step, in mm²: what taping again evens out."""
    return 2 * HOLDING_MM**2 + np.square(step_mm) / 12


STEEL = Tape(find_metal_tolerance_mm, STEEL_EXPANSION_PER_F, 0.0)
FIBREGLASS = Tape(find_class_three_mm, 0.0, 0.001 / math.sqrt(3))
"""Stretches under pull by 1 in 1000 either way: our own figure, no measured one was found."""
TAPES: dict[str, Tape] = {"steel": STEEL, "fibreglass": FIBREGLASS}
"""The kinds of tape that a file of readings may name."""
