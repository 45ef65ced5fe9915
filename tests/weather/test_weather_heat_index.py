"""Where the heat index may be used, what adjusts it, its categories and its table."""

from __future__ import annotations

import math

import pytest
from hypothesis import given, settings
from hypothesis import strategies as st

from pocketref.weather.heat_index import (
    CATEGORY_SETS,
    NEWER,
    OLDER,
    heat_index_f,
    heat_index_table,
    is_within_range,
    regression_f,
)


@pytest.mark.parametrize("humidity_percent", [-0.1, 100.1, math.nan, math.inf])
def test_a_humidity_that_air_cannot_have_is_refused(humidity_percent):
    with pytest.raises(ValueError, match="relative humidity"):
        heat_index_f(90, humidity_percent)
    with pytest.raises(ValueError, match="relative humidity"):
        is_within_range(90, humidity_percent)


@pytest.mark.parametrize("temperature_f", [math.nan, math.inf, -math.inf])
def test_a_temperature_that_is_no_number_is_refused(temperature_f):
    with pytest.raises(ValueError, match="air temperature"):
        heat_index_f(temperature_f, 50)


@pytest.mark.parametrize(
    ("temperature_f", "humidity_percent", "is_usable"),
    [
        (80, 40, True),
        (79.9, 100, False),
        (80, 20, False),  # index 78 F: too cool for the equation
        (110, 40, True),
        (110.1, 10, False),
        (104, 55, True),
        (94, 90, False),  # index 141 F: beyond the chart
        (40, 50, False),
    ],
)
def test_the_index_may_be_used_only_where_the_chart_goes(temperature_f, humidity_percent, is_usable):
    assert is_within_range(temperature_f, humidity_percent) is is_usable


@pytest.mark.parametrize(
    ("temperature_f", "humidity_percent"), [(95, 13), (95, 50), (90, 85), (87, 100), (88, 95)]
)
def test_there_is_no_adjustment_at_and_between_its_limits(temperature_f, humidity_percent):
    assert heat_index_f(temperature_f, humidity_percent) == regression_f(temperature_f, humidity_percent)


def test_dry_air_lowers_the_index_and_humid_air_raises_it():
    assert heat_index_f(95, 5) < regression_f(95, 5)
    assert heat_index_f(82, 95) > regression_f(82, 95)


@pytest.mark.parametrize("categories", [OLDER, NEWER], ids=lambda c: c.name)
def test_each_edge_belongs_to_the_category_it_opens(categories):
    below = ""
    for edge, category in categories.edges:
        assert categories.category_of(edge) == category
        assert categories.category_of(math.nextafter(edge, 0)) == below
        below = category
    assert categories.category_of(200) == "extreme danger"


def test_the_two_published_sets_differ_where_they_are_known_to():
    assert (OLDER.category_of(104), NEWER.category_of(104)) == ("extreme caution", "danger")
    assert (OLDER.category_of(125), NEWER.category_of(125)) == ("danger", "extreme danger")


def test_an_index_that_is_no_number_has_no_category():
    with pytest.raises(ValueError, match="finite"):
        NEWER.category_of(math.nan)


def test_every_category_set_says_where_it_comes_from():
    assert set(CATEGORY_SETS) == {"older", "newer"}
    assert all(categories.source for categories in CATEGORY_SETS.values())


def test_the_table_has_a_row_a_temperature_and_a_cell_a_humidity_in_the_order_given():
    table = heat_index_table(iter([80, 90]), iter([40, 70]), OLDER)
    assert [row.temperature_f for row in table] == [80, 90]
    assert [[cell.humidity_percent for cell in row.cells] for row in table] == [[40, 70]] * 2
    assert [[cell.index_f for cell in row.cells] for row in table] == [[80, 83], [91, 106]]
    assert table[1].cells[1].category == "danger"


def test_a_cell_is_categorised_by_the_figure_it_shows():
    # 79.58 F is shown as 80, which is caution.
    (row,) = heat_index_table([80], [40])
    assert (row.cells[0].index_f, row.cells[0].category) == (80, "caution")


def test_cells_beyond_the_chart_are_marked():
    (row,) = heat_index_table([94], [85, 90])
    assert [cell.is_within_range for cell in row.cells] == [True, False]


@settings(max_examples=100)
@given(st.floats(80, 110), st.floats(13, 84))
def test_hotter_air_never_feels_cooler(temperature_f, humidity_percent):
    assert heat_index_f(temperature_f + 1, humidity_percent) > heat_index_f(temperature_f, humidity_percent)
