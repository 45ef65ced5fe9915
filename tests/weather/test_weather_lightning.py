"""Distance from flash to bang, its table, and when play may go on."""

from __future__ import annotations

import math

import pytest
from hypothesis import given, settings
from hypothesis import strategies as st

from pocketref.weather.lightning import (
    flash_to_bang_distance,
    flash_to_bang_seconds,
    speed_of_sound_m_s,
)


def test_thunder_at_once_is_no_distance():
    assert flash_to_bang_distance(0, 20).metres == 0


@settings(max_examples=60)
@given(st.floats(0, 120), st.floats(-15, 45))
def test_the_rule_of_thumb_never_reads_farther_than_true_in_playing_weather(seconds, air_c):
    distance = flash_to_bang_distance(seconds, air_c)
    assert distance.rule_miles <= distance.miles


@settings(max_examples=60)
@given(st.floats(0, 120), st.floats(-40, 50))
def test_seconds_and_distance_are_inverse(seconds, air_c):
    metres = flash_to_bang_distance(seconds, air_c).metres
    assert flash_to_bang_seconds(metres, air_c) == pytest.approx(seconds)


@pytest.mark.parametrize("seconds", [-1, math.nan, math.inf])
def test_a_count_that_cannot_be_is_refused(seconds):
    with pytest.raises(ValueError, match="flash to thunder"):
        flash_to_bang_distance(seconds, 20)


@pytest.mark.parametrize("metres", [-1, math.nan, math.inf])
def test_a_distance_that_cannot_be_is_refused(metres):
    with pytest.raises(ValueError, match="distance"):
        flash_to_bang_seconds(metres, 20)


@pytest.mark.parametrize("air_c", [-273.15, -300, math.nan, math.inf])
def test_air_that_cannot_be_is_refused(air_c):
    with pytest.raises(ValueError, match="air temperature"):
        speed_of_sound_m_s(air_c)
