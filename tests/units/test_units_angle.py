"""Angle and height of a character at a reading distance, and what is refused."""

from __future__ import annotations

import math

import pytest
from hypothesis import given, settings
from hypothesis import strategies as st

from pocketref.units.angle import character_height_mm


@settings(max_examples=60)
@given(st.floats(1, 600), st.floats(50, 5000))
def test_the_angle_is_twice_that_of_half_the_height(arcmin, distance_mm):
    height_mm = character_height_mm(arcmin, distance_mm)
    assert 60 * math.degrees(2 * math.atan(height_mm / distance_mm / 2)) == pytest.approx(arcmin)


def test_a_right_angle_is_twice_the_distance():
    assert character_height_mm(90 * 60, 100) == pytest.approx(200)


@pytest.mark.parametrize("arcmin", [0, -16, 180 * 60, math.nan, math.inf])
def test_an_angle_no_character_can_fill_is_refused(arcmin):
    with pytest.raises(ValueError, match="minutes of arc"):
        character_height_mm(arcmin, 500)


@pytest.mark.parametrize("distance_mm", [0, -1, math.nan, math.inf])
def test_a_distance_nobody_reads_at_is_refused(distance_mm):
    with pytest.raises(ValueError, match="reading distance"):
        character_height_mm(16, distance_mm)
