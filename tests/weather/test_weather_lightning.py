"""Distance from flash to bang, its table, and when play may go on."""

from __future__ import annotations

import math
from datetime import UTC, time

import pytest
from hypothesis import given, settings
from hypothesis import strategies as st

from pocketref.weather.lightning import (
    clear_time,
    flash_to_bang_distance,
    flash_to_bang_seconds,
    flash_to_bang_table,
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


def test_the_table_has_a_row_a_count_and_a_cell_an_air_temperature():
    table = flash_to_bang_table(iter([5, 30]), iter([0, 20, 40]))
    assert [[(cell.seconds, cell.air_c) for cell in row] for row in table] == [
        [(5, 0), (5, 20), (5, 40)],
        [(30, 0), (30, 20), (30, 40)],
    ]
    assert table[1][2] == flash_to_bang_distance(30, 40)


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


def test_the_wait_runs_past_midnight():
    assert clear_time(time(23, 45)) == time(0, 15)


def test_seconds_and_time_zone_of_the_event_are_kept():
    assert clear_time(time(18, 7, 59, tzinfo=UTC)) == time(18, 37, 59, tzinfo=UTC)


def test_a_policy_may_ask_for_a_longer_wait_but_not_a_shorter_one():
    assert clear_time(time(18, 7), wait_minutes=45) == time(18, 52)
    for minutes in (29, 0, -30, 24 * 60):
        with pytest.raises(ValueError, match="30 minutes"):
            clear_time(time(18, 7), wait_minutes=minutes)
