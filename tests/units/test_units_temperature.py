"""Fahrenheit and Celsius name the same temperature."""

from __future__ import annotations

import pytest

from pocketref.units.temperature import celsius_from_fahrenheit, fahrenheit_from_celsius


@pytest.mark.parametrize(("temperature_f", "temperature_c"), [(32, 0), (212, 100), (-40, -40), (50, 10)])
def test_both_scales_name_the_same_temperature(temperature_f, temperature_c):
    assert celsius_from_fahrenheit(temperature_f) == pytest.approx(temperature_c)
    assert fahrenheit_from_celsius(temperature_c) == pytest.approx(temperature_f)
