"""The wet-bulb globe temperature in either scale, and readings that are refused."""

from __future__ import annotations

import math

import pytest
from hypothesis import given, settings
from hypothesis import strategies as st

from pocketref.units.temperature import fahrenheit_from_celsius
from pocketref.weather.wbgt import wbgt_no_sun, wbgt_outdoors

readings_c = st.floats(-10, 60)


@settings(max_examples=60)
@given(readings_c, readings_c, readings_c)
def test_readings_in_either_scale_give_the_same_temperature(wet, globe, air):
    in_f = wbgt_outdoors(*(fahrenheit_from_celsius(reading) for reading in (wet, globe, air)))
    assert in_f == pytest.approx(fahrenheit_from_celsius(wbgt_outdoors(wet, globe, air)))


def test_with_globe_and_air_alike_the_sun_makes_no_difference():
    assert wbgt_outdoors(24, 31, 31) == pytest.approx(wbgt_no_sun(24, 31))


@pytest.mark.parametrize("position", [0, 1, 2])
@pytest.mark.parametrize("reading", [math.nan, math.inf])
def test_a_reading_that_is_no_number_is_refused(position, reading):
    readings = [25.0, 32.0, 20.0]
    readings[position] = reading
    with pytest.raises(ValueError, match="reading"):
        wbgt_outdoors(*readings)


def test_indoor_readings_are_checked_too():
    with pytest.raises(ValueError, match="reading"):
        wbgt_no_sun(25, math.nan)
