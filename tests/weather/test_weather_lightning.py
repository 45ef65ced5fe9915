"""Distance from flash to bang, its table, and when play may go on."""

from __future__ import annotations

import math

import pytest
from hypothesis import given, settings
from hypothesis import strategies as st

from pocketref.weather.lightning import RULE_SECONDS_PER_MILE, flash_to_bang_distance, speed_of_sound_m_s


def test_thunder_at_once_is_no_distance():
    assert flash_to_bang_distance(0, 20).metres == 0


@settings(max_examples=60)
@given(st.floats(0, 120), st.floats(-15, 45))
def test_the_rule_of_thumb_never_reads_farther_than_true_in_playing_weather(seconds, air_c):
    assert seconds / RULE_SECONDS_PER_MILE <= flash_to_bang_distance(seconds, air_c).miles


@pytest.mark.parametrize("seconds", [-1, math.nan, math.inf])
def test_a_count_that_cannot_be_is_refused(seconds):
    with pytest.raises(ValueError, match="flash to thunder"):
        flash_to_bang_distance(seconds, 20)


@pytest.mark.parametrize("air_c", [-273.15, -300, math.nan, math.inf])
def test_air_that_cannot_be_is_refused(air_c):
    with pytest.raises(ValueError, match="air temperature"):
        speed_of_sound_m_s(air_c)
