"""Heat index, WBGT and flash-to-bang against published tables and worked examples."""

from __future__ import annotations

import pytest

from pocketref.units.length import METRES_PER_MILE
from pocketref.units.temperature import celsius_from_fahrenheit
from pocketref.weather.heat_index import (
    NEWER,
    OLDER,
    heat_index_f,
    heat_index_table,
    is_within_range,
    regression_f,
)
from pocketref.weather.lightning import (
    RULE_SECONDS_PER_MILE,
    flash_to_bang_distance,
    speed_of_sound_m_s,
)

# NWS heat index chart, Tulsa forecast office page, cross-read with two copies: air temperature in deg F, then
# the index for relative humidity 40, 45, ... percent as far as the chart prints it.
NWS_CHART = """
80 80 80 81 81 82 82 83 84 84 85 86 86 87
82 81 82 83 84 84 85 86 88 89 90 91 93 95
84 83 84 85 86 88 89 90 92 94 96 98 100 103
86 85 87 88 89 91 93 95 97 100 102 105 108 112
88 88 89 91 93 95 98 100 103 106 110 113 117 121
90 91 93 95 97 100 103 106 109 113 117 122 127 132
92 94 96 99 101 105 108 112 116 121 126 131
94 97 100 103 106 110 114 119 124 129 135
96 101 104 108 112 116 121 126 132
98 105 109 113 117 123 128 134
100 109 114 118 124 129 136
102 114 119 124 130 137
104 119 124 131 137
106 124 130 137
108 130 137
110 136
"""
CHART_CELLS = [
    (temperature, 40 + 5 * column, index)
    for temperature, *indices in (map(int, line.split()) for line in NWS_CHART.split("\n") if line)
    for column, index in enumerate(indices)
]

# Computed once from the published equation, apart from this program.
GOLDEN_F = {
    (70, 50): 69.050,
    (75, 60): 75.020,
    (80, 40): 79.580,
    (80, 50): 80.803,
    (80, 100): 89.288,
    (82, 95): 93.972,
    (84, 70): 90.475,
    (86, 90): 105.394,
    (88, 60): 95.149,
    (90, 10): 85.279,
    (90, 50): 94.597,
    (90, 70): 105.922,
    (95, 5): 88.177,
    (96, 65): 121.032,
    (98, 70): 134.294,
    (100, 10): 94.122,
    (100, 40): 109.256,
    (102, 50): 124.251,
    (104, 55): 137.361,
    (106, 50): 137.311,
    (110, 10): 104.389,
    (110, 40): 135.657,
}


@pytest.mark.parametrize(("air", "index"), GOLDEN_F.items())
def test_the_algorithm_gives_the_golden_values(air, index):
    # Equation: NWS Weather Prediction Center, "The Heat Index Equation"; SR 90-23.
    assert heat_index_f(*air) == pytest.approx(index, abs=0.001)


def test_the_simple_form_is_itself_the_average_with_the_air_temperature():
    # The public NWS-lineage source (GEMPAK prheat.f) tests the simple form as it is: at 79 F and 90 percent
    # it is above 80 F and the full equation gives 82.98 F; averaged once more it would be 80.83 F.
    assert heat_index_f(79, 90) == pytest.approx(82.98, abs=0.005)


def test_the_step_at_the_switch():
    # At 80 F and 45 percent: simple form 79.815 F, regression 80.349 F.
    assert heat_index_f(80, 45) == pytest.approx(79.815, abs=0.0005)
    assert regression_f(80, 45) == pytest.approx(80.349, abs=0.0005)


def test_the_chart_prints_the_regression():
    assert len(CHART_CELLS) == 135
    for temperature, humidity, index in CHART_CELLS:
        assert regression_f(temperature, humidity) == pytest.approx(index, abs=0.51)


def test_the_full_algorithm_differs_from_the_chart_only_in_humid_air_and_one_rounding():
    # The printed chart leaves the humid adjustment out; 90 F and 45 percent is printed 93 for 92.49.
    cells = {
        (row.temperature_f, cell.humidity_percent): cell.index_f
        for row in heat_index_table(range(80, 111, 2), range(40, 101, 5))
        for cell in row.cells
    }
    different = {(t, rh) for t, rh, index in CHART_CELLS if cells[t, rh] != index}
    humid = {(80, 95), (80, 100), (82, 90), (82, 95), (82, 100), (84, 95), (84, 100), (86, 95)}
    assert different == {(90, 45)} | humid


def test_every_printed_cell_is_within_range():
    assert all(is_within_range(temperature, humidity) for temperature, humidity, _ in CHART_CELLS)


@pytest.mark.parametrize(
    ("categories", "rows"),
    [
        # NWS Tulsa page: 80-89, 90-104, 105-129, 130 and over.
        (OLDER, [(80, 89), (90, 104), (105, 129), (130, 140)]),
        # Newer forecast office pages (two public copies): 80-90, 90-103, 103-124, 125 and over; the shared
        # values are given to the upper row.
        (NEWER, [(80, 89), (90, 102), (103, 124), (125, 140)]),
    ],
    ids=["older", "newer"],
)
def test_whole_degrees_fall_in_the_published_rows(categories, rows):
    names = ["caution", "extreme caution", "danger", "extreme danger"]
    for (lowest, highest), name in zip(rows, names, strict=True):
        assert {categories.category_of(index) for index in range(lowest, highest + 1)} == {name}
    assert categories.category_of(79) == ""


# Speed of sound in dry air by 331.3 sqrt(1 + C/273.15) (acoustics handbooks): deg F, m/s, s per mile,
# s per km, miles and km for 30 s, seconds for 6, 8 and 10 miles.
SOUND_TABLE = [
    (32, 331.30, 4.858, 3.018, 6.18, 9.94, (29.1, 38.9, 48.6)),
    (50, 337.31, 4.771, 2.965, 6.29, 10.12, (28.6, 38.2, 47.7)),
    (68, 343.21, 4.689, 2.914, 6.40, 10.30, (28.1, 37.5, 46.9)),
    (86, 349.02, 4.611, 2.865, 6.51, 10.47, (27.7, 36.9, 46.1)),
    (104, 354.73, 4.537, 2.819, 6.61, 10.64, (27.2, 36.3, 45.4)),
]


@pytest.mark.parametrize("row", SOUND_TABLE, ids=lambda row: f"{row[0]} F")
def test_flash_to_bang_by_air_temperature(row):
    air_f, speed, per_mile, per_km, miles, kilometres, mile_counts = row
    air_c = celsius_from_fahrenheit(air_f)
    assert speed_of_sound_m_s(air_c) == pytest.approx(speed, abs=0.0051)
    assert METRES_PER_MILE / speed_of_sound_m_s(air_c) == pytest.approx(per_mile, abs=0.00051)
    assert 1000 / speed_of_sound_m_s(air_c) == pytest.approx(per_km, abs=0.00051)
    distance = flash_to_bang_distance(30, air_c)
    assert distance.miles == pytest.approx(miles, abs=0.0051)
    assert distance.kilometres == pytest.approx(kilometres, abs=0.0051)
    for distance_miles, count in zip((6, 8, 10), mile_counts, strict=True):
        seconds = distance_miles * METRES_PER_MILE / speed_of_sound_m_s(air_c)
        assert seconds == pytest.approx(count, abs=0.051)


@pytest.mark.parametrize("air_c", range(-10, 41, 5))
def test_the_square_root_stays_by_the_linear_form_of_the_handbooks(air_c):
    # 331.3 + 0.606 C m/s, within 0.8 m/s (to one decimal) up to 40 C.
    assert speed_of_sound_m_s(air_c) == pytest.approx(331.3 + 0.606 * air_c, abs=0.85)


def test_where_the_rules_of_thumb_are_exact():
    # Five seconds a mile at -15.3 C, three a kilometre at 3.4 C (solved from the same formula).
    assert METRES_PER_MILE / speed_of_sound_m_s(-15.3) == pytest.approx(5, abs=0.001)
    assert 1000 / speed_of_sound_m_s(3.4) == pytest.approx(3, abs=0.001)


def test_thirty_seconds_is_six_miles_by_the_rule():
    # The "30-30" rule of NWS and NATA (J Athl Train 35(4), 2000).
    assert 30 / RULE_SECONDS_PER_MILE == 6
