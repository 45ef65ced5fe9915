"""Degrees Fahrenheit and Celsius; the scales meet at 32 F = 0 C and 212 F = 100 C."""

from __future__ import annotations

ABSOLUTE_ZERO_C = -273.15


def celsius_from_fahrenheit(temperature_f: float) -> float:
    """A temperature in deg F as deg C."""
    return (temperature_f - 32) * 5 / 9


def fahrenheit_from_celsius(temperature_c: float) -> float:
    """A temperature in deg C as deg F."""
    return temperature_c * 9 / 5 + 32
