"""Wet-bulb globe temperature from its three readings (ISO 7243).

Measured on the field with an instrument: nothing turns a heat index into it. Thresholds come from the policy
adopted locally. Weights add to 1, so readings may be all in deg C or all in deg F; the result is in the same.
"""

from __future__ import annotations

import math


def wbgt_outdoors(natural_wet_bulb: float, globe: float, air: float) -> float:
    """WBGT with solar load, ISO 7243: 0.7 natural wet bulb + 0.2 black globe + 0.1 air temperature.

    ValueError if a reading is not finite.
    """
    _require_finite(natural_wet_bulb, globe, air)
    return 0.7 * natural_wet_bulb + 0.2 * globe + 0.1 * air


def wbgt_no_sun(natural_wet_bulb: float, globe: float) -> float:
    """WBGT indoors or without solar load, ISO 7243: 0.7 natural wet bulb + 0.3 black globe.

    ValueError if a reading is not finite.
    """
    _require_finite(natural_wet_bulb, globe)
    return 0.7 * natural_wet_bulb + 0.3 * globe


def _require_finite(*readings: float) -> None:
    for reading in readings:
        if not math.isfinite(reading):
            raise ValueError(f"a temperature reading is a finite number, not {reading}")
