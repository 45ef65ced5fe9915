"""Each station's verdict against its tolerance, the move that mends it, and the pull that would settle most."""

from __future__ import annotations

from collections.abc import Mapping, Sequence
from dataclasses import dataclass
from enum import StrEnum
from fractions import Fraction

import numpy as np

from pocketref.field.adjust import Adjustment, FoundStation, adjust_readings
from pocketref.field.error_budget import STEEL, ErrorBudget
from pocketref.field.next_pull import NextPull, find_next_pull
from pocketref.field.plan import Plan
from pocketref.field.tape import Pin, Reading
from pocketref.units.length import Length
from pocketref.units.notation import Style, write_feet_inches
from pocketref.units.rounding import round_to

_TURNS = np.linspace(0.0, 2 * np.pi, 180, endpoint=False)
_CIRCLE = np.stack([np.cos(_TURNS), np.sin(_TURNS)])


class Verdict(StrEnum):
    """Whether a station is within its tolerance, at 95 %."""

    GOOD = "good"
    """The whole 95 % ellipse is within the tolerance."""
    OUT = "out"
    """All of it is beyond."""
    TOO_CLOSE = "too close to call"
    """It lies on both sides."""
    TAKEN_AS_KNOWN = "taken as known"
    """A pin that is held: the readings say nothing of it."""


@dataclass(frozen=True, slots=True)
class Move:
    """How to move a station to its planned place, along the field and across it.

    `toward_pitcher` is negative toward the backstop, `toward_first` negative toward third base.
    """

    toward_pitcher: Length
    toward_first: Length

    def write(self, denominator: int = 16, style: Style = "plain") -> str:
        """The move in field words, such as "2 1/4 in toward the pitcher, 3/4 in toward third".

        A part that rounds to nothing is left out; "no move" if both do.
        """
        parts = []
        for amount, ahead, back in (
            (self.toward_pitcher, "the pitcher", "the backstop"),
            (self.toward_first, "first", "third"),
        ):
            if round_to(amount, denominator).inches:
                way = ahead if amount.inches > 0 else back
                parts.append(f"{write_feet_inches(abs(amount), denominator, style)} toward {way}")
        return ", ".join(parts) or "no move"


@dataclass(frozen=True, slots=True)
class StationVerdict:
    """A station as found, its verdict and its move."""

    found: FoundStation
    tolerance: Length
    verdict: Verdict
    move: Move


@dataclass(frozen=True, slots=True)
class TapeReport:
    """Everything that a set of readings says: stations by mark, readings, and what to tape next."""

    adjustment: Adjustment
    stations: Mapping[str, StationVerdict]
    next_pull: NextPull | None

    def list_stations(self, verdict: Verdict) -> tuple[str, ...]:
        """The marks of the stations with a verdict."""
        return tuple(mark for mark, judged in self.stations.items() if judged.verdict is verdict)


def judge_tape(
    plan: Plan,
    readings: Sequence[Reading],
    tolerance: Length,
    *,
    pins: Sequence[Pin] | None = None,
    budget: ErrorBudget = STEEL,
) -> TapeReport:
    """Adjust readings and judge every station against the level's station tolerance.

    Raises what `adjust_readings` raises.
    """
    adjustment = adjust_readings(plan, readings, pins, budget)
    stations = judge_stations(adjustment, tolerance)
    unsettled = [mark for mark, judged in stations.items() if judged.verdict is Verdict.TOO_CLOSE]
    return TapeReport(adjustment, stations, find_next_pull(adjustment, unsettled, budget))


def judge_stations(adjustment: Adjustment, tolerance: Length) -> dict[str, StationVerdict]:
    """The verdict on every station that the readings touch, in the order of the adjustment."""
    return {
        mark: StationVerdict(found, tolerance, _judge(found, tolerance.float_mm), _find_move(found))
        for mark, found in adjustment.stations.items()
    }


def _judge(found: FoundStation, tolerance_mm: float) -> Verdict:
    ellipse = found.ellipse
    if ellipse.semi_major_mm == 0:
        return Verdict.TAKEN_AS_KNOWN
    if found.offset_mm + ellipse.semi_major_mm <= tolerance_mm:
        return Verdict.GOOD
    if found.offset_mm - ellipse.semi_major_mm > tolerance_mm:
        return Verdict.OUT
    turn = np.radians(ellipse.turn_deg)
    major, minor = ellipse.semi_major_mm * _CIRCLE[0], ellipse.semi_minor_mm * _CIRCLE[1]
    across = found.x_mm - found.planned_x_mm + major * np.cos(turn) - minor * np.sin(turn)
    along = found.y_mm - found.planned_y_mm + major * np.sin(turn) + minor * np.cos(turn)
    away = np.hypot(across, along)
    if float(away.max()) <= tolerance_mm:
        return Verdict.GOOD
    # With every edge point beyond, the ellipse may still hold the planned place itself.
    is_around = np.hypot(*_stretch(found, turn)) <= 1
    return Verdict.OUT if float(away.min()) > tolerance_mm and not is_around else Verdict.TOO_CLOSE


def _stretch(found: FoundStation, turn: float) -> tuple[float, float]:
    """The offset in the ellipse's own axes, as shares of their lengths."""
    dx, dy = found.x_mm - found.planned_x_mm, found.y_mm - found.planned_y_mm
    major = (dx * np.cos(turn) + dy * np.sin(turn)) / found.ellipse.semi_major_mm
    minor = (dy * np.cos(turn) - dx * np.sin(turn)) / max(found.ellipse.semi_minor_mm, 1e-9)
    return float(major), float(minor)


def _find_move(found: FoundStation) -> Move:
    along, across = found.planned_y_mm - found.y_mm, found.planned_x_mm - found.x_mm
    return Move(*(Length(Length.from_mm(Fraction(amount)).inches) for amount in (along, across)))
