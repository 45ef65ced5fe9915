"""Character height against the angle it fills at the eye."""

from __future__ import annotations

import math

ARCMIN_PER_RADIAN = 180 * 60 / math.pi


def character_height_mm(arcmin: float, distance_mm: float) -> float:
    """Height of a character that fills `arcmin` minutes of arc at a reading distance.

    H = 2 D tan(a/2): NUREG-0700, Human-System Interface Design Review Guidelines. ValueError unless the angle
    is between 0 and 180 degrees and the distance is above 0.
    """
    half_angle = arcmin / ARCMIN_PER_RADIAN / 2
    if not 0 < half_angle < math.pi / 2:
        raise ValueError(f"a character fills an angle between 0 and 180 degrees, not {arcmin} minutes of arc")
    if not 0 < distance_mm < math.inf:
        raise ValueError(f"a reading distance is above 0 mm, not {distance_mm}")
    return 2 * distance_mm * math.tan(half_angle)
