"""A station against its tolerance: the whole of its 95 % ellipse within, all of it beyond, or on both sides."""

from __future__ import annotations

from enum import StrEnum

import numpy as np

from pocketref.tape.adjust import FoundStation

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
    NOT_JUDGED = "not judged"
    """A misread could have put it there: the readings disagree, or nothing checks those it rests on."""
    TAKEN_AS_KNOWN = "taken as known"
    """A pin that is held: the readings say nothing of it."""


def judge_place(found: FoundStation, tolerance_mm: float) -> Verdict:
    """The verdict by place and ellipse alone."""
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
