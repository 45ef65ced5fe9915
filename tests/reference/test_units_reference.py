"""Lengths and character heights against published figures."""

from __future__ import annotations

import math
from fractions import Fraction

import pytest

from pocketref.units.angle import character_height_mm
from pocketref.units.length import METRES_PER_MILE, MM_PER_INCH, PT_PER_MM, Length
from pocketref.units.notation import read_length, write_feet_inches
from pocketref.units.temperature import celsius_from_fahrenheit


def test_the_inch_is_25_4_mm_exactly():
    # International yard and pound agreement, 1959: 1 yd = 0.9144 m, so 1 ft = 0.3048 m and 1 in = 25.4 mm.
    assert Fraction("25.4") == MM_PER_INCH
    assert read_length("3 ft") == read_length("0.9144 m")
    # The mile of 5280 such feet; NIST Special Publication 811, appendix B (from memory): 1.609344 km.
    assert pytest.approx(1609.344, abs=1e-9) == METRES_PER_MILE


@pytest.mark.parametrize(
    ("side", "exact_inches_over_feet", "published"),
    [
        # OBR 2.01, high-school 1-2-5 and college 1-5 print 127 ft 3 3/8 in; the exact diagonal of a 90-ft
        # square is 127 ft 3.351 in (university mathematics notes on OBR 2.01).
        ("90 ft", (127, 3.351), "127 ft 3 3/8 in"),
        # Youth charts: 60 ft, 84 ft 10 1/4 in (exact 10.23); 70 ft, 99 ft (exact 98 ft 11.94 in);
        # 80 ft, 113 ft 1 5/8 in (exact 1.65); 50 ft, 70 ft 8 1/2 in (exact 8.53).
        ("60 ft", (84, 10.23), "84 ft 10 1/4 in"),
        ("70 ft", (98, 11.94), "99 ft"),
        ("80 ft", (113, 1.65), "113 ft 1 5/8 in"),
        ("50 ft", (70, 8.53), "70 ft 8 1/2 in"),
    ],
)
def test_published_diagonals_are_the_exact_ones_to_an_eighth(side, exact_inches_over_feet, published):
    feet, inches = exact_inches_over_feet
    diagonal_inches = float(read_length(side).inches) * math.sqrt(2)
    assert diagonal_inches == pytest.approx(feet * 12 + inches, abs=0.006)
    assert write_feet_inches(Length.from_inches(Fraction(diagonal_inches)), denominator=8) == published


def test_the_published_90_ft_diagonal_is_0_024_in_long():
    # The difference that the same notes give.
    excess = float(read_length("127 ft 3 3/8 in").inches) - 1080 * math.sqrt(2)
    assert excess == pytest.approx(0.024, abs=0.0005)


@pytest.mark.parametrize(("mm", "points"), [(85.60, 242.646), (53.98, 153.014), (100, 283.465), (101.6, 288)])
def test_card_sizes_in_points(mm, points):
    # ISO/IEC 7810 ID-1 is 85.60 x 53.98 mm; 100 mm and 4 in are common print-scale bars. A point is 1/72 in.
    assert mm * PT_PER_MM == pytest.approx(points, abs=0.0006)


@pytest.mark.parametrize(
    ("published_inches", "published_mm"),
    [("3.370 in", "85.60 mm"), ("2.125 in", "53.98 mm"), ("8 1/2 in", "215.9 mm")],
)
def test_sizes_published_in_both_systems_agree(published_inches, published_mm):
    # ISO/IEC 7810 digests print ID-1 in both; US Letter is 8 1/2 in = 215.9 mm wide (from memory).
    assert abs(read_length(published_inches) - read_length(published_mm)).mm <= Fraction(1, 100)


@pytest.mark.parametrize(
    ("distance_mm", "heights_mm"),
    [
        (400, (1.745, 1.862, 2.094, 2.327, 2.560)),
        (500, (2.182, 2.327, 2.618, 2.909, 3.200)),
        (700, (3.054, 3.258, 3.665, 4.072, 4.480)),
    ],
)
def test_capital_heights_by_minutes_of_arc(distance_mm, heights_mm):
    # H = 6.283 D MA / 21600: the small-angle form that NUREG-0700 gives beside the tangent.
    for arcmin, height_mm in zip((15, 16, 18, 20, 22), heights_mm, strict=True):
        assert character_height_mm(arcmin, distance_mm) == pytest.approx(height_mm, abs=0.0006)
        assert 6.283 * distance_mm * arcmin / 21600 == pytest.approx(height_mm, abs=0.0006)


@pytest.mark.parametrize(
    ("height_over_distance", "arcmin", "tolerance"),
    [
        (1 / 200, 17.2, 0.05),  # FAA rule of a two-hundredth of the distance
        (1 / 300, 11.5, 0.05),  # ANSI Z535.2 message text
        (0.004, 15, 1.3),  # NUREG-0700 labels: printed to one figure
        (0.006, 20, 0.7),
    ],
)
def test_heights_given_as_a_share_of_the_distance(height_over_distance, arcmin, tolerance):
    least, most = (character_height_mm(arcmin + off, 1000) for off in (-tolerance, tolerance))
    assert least <= height_over_distance * 1000 <= most


def test_the_five_minute_letter_of_20_40_sight_at_40_cm():
    # Visual acuity optics: a 20/20 letter fills 5 minutes of arc, a 20/40 letter 10.
    assert character_height_mm(10, 400) == pytest.approx(1.16, abs=0.005)


def test_the_conversion_of_the_steel_tape_reference_temperature():
    # Steel tapes are standardised at 68 F = 20 C (surveying texts).
    assert celsius_from_fahrenheit(68) == pytest.approx(20)
