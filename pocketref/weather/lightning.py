"""How far away lightning struck, from the time to its thunder; and when the field may be entered again.

A distance is for understanding, never for permission: thunder heard or a bolt seen means stop and go in,
whatever the count. Local policy may ask for more, not for less.
"""

from __future__ import annotations

import math
from dataclasses import dataclass

from pocketref.units.length import METRES_PER_MILE
from pocketref.units.temperature import ABSOLUTE_ZERO_C

RULE_SECONDS_PER_MILE = 5
"""The rule of thumb: a mile for every five seconds. Exact at -15.3 C; in warmer air it reads nearer than
true, which is the safe side."""


@dataclass(frozen=True, slots=True)
class FlashDistance:
    """The distance to a flash whose thunder took `seconds` in air at `air_c`."""

    seconds: float
    air_c: float
    metres: float

    @property
    def kilometres(self) -> float:
        """The distance in km."""
        return self.metres / 1000

    @property
    def miles(self) -> float:
        """The distance in statute miles."""
        return self.metres / METRES_PER_MILE


def speed_of_sound_m_s(air_c: float) -> float:
    """Speed of sound in dry air, m/s: 331.3 sqrt(1 + C/273.15), the ideal-gas form of acoustics handbooks.

    ValueError at or below absolute zero, or if not finite.
    """
    if not ABSOLUTE_ZERO_C < air_c < math.inf:
        raise ValueError(f"an air temperature is a finite number above {ABSOLUTE_ZERO_C} C, not {air_c}")
    return 331.3 * math.sqrt(1 + air_c / -ABSOLUTE_ZERO_C)


def flash_to_bang_distance(seconds: float, air_c: float) -> FlashDistance:
    """How far sound travels from flash to thunder. ValueError if seconds are negative or not finite."""
    if not 0 <= seconds < math.inf:
        raise ValueError(f"a count from flash to thunder is 0 seconds or more, not {seconds}")
    return FlashDistance(seconds, air_c, seconds * speed_of_sound_m_s(air_c))
