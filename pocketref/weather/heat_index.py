"""Heat index by the published algorithm of the US National Weather Service, and its categories.

For shade and light wind; full sun can add up to 15 F. It is not WBGT, and it sets no threshold for play:
local policy and the person in charge on site do.
"""

from __future__ import annotations

import math
from collections.abc import Iterable
from dataclasses import dataclass

SWITCH_F = 80.0
"""Where the simple form gives way to the regression, and below which the regression is not valid."""

HUMID_PERCENT = 85
"""Above it the equation adds to the regression, and the published chart does not."""

HOTTEST_PRINTED_F = 110
HIGHEST_PRINTED_INDEX_F = 137
"""The ends of the published chart: its hottest row, and its largest value. Cells beyond are left blank."""


def heat_index_f(temperature_f: float, humidity_percent: float) -> float:
    """Heat index in deg F of air at `temperature_f` in the shade and relative humidity 0 to 100.

    The simple form while it stays below 80 F, else the regression with its two adjustments. Sources: NWS
    Weather Prediction Center, "The Heat Index Equation"; NWS Southern Region Technical Attachment SR 90-23
    (1990), which states an error of about 1.3 F. ValueError if humidity is outside 0 to 100 or a value is not
    finite. Computes anywhere; `is_within_range` says where the result may be used.
    """
    _require_air(temperature_f, humidity_percent)
    # The published page speaks of averaging with the air temperature: this form is that average already.
    simple = 0.5 * (temperature_f + 61.0 + (temperature_f - 68.0) * 1.2 + humidity_percent * 0.094)
    if simple < SWITCH_F:
        return simple
    return regression_f(temperature_f, humidity_percent) + _adjustment_f(temperature_f, humidity_percent)


def regression_f(temperature_f: float, humidity_percent: float) -> float:
    """The nine-term regression alone, deg F (SR 90-23): what the published chart prints."""
    t, rh = temperature_f, humidity_percent
    return (
        -42.379
        + 2.04901523 * t
        + 10.14333127 * rh
        - 0.22475541 * t * rh
        - 0.00683783 * t**2
        - 0.05481717 * rh**2
        + 0.00122874 * t**2 * rh
        + 0.00085282 * t * rh**2
        - 0.00000199 * t**2 * rh**2
    )


def _adjustment_f(t: float, rh: float) -> float:
    """The dry and the humid adjustment of the Weather Prediction Center's page, deg F."""
    if rh < 13 and 80 <= t <= 112:
        return -((13 - rh) / 4) * math.sqrt((17 - abs(t - 95)) / 17)
    if rh > HUMID_PERCENT and 80 <= t <= 87:
        return ((rh - 85) / 10) * ((87 - t) / 5)
    return 0.0


def is_within_range(temperature_f: float, humidity_percent: float) -> bool:
    """Whether the heat index may be used: air 80 to 110 F and a whole-degree index of 80 to 137 F.

    The equation's page rules out an index below about 80 F and anything beyond the table it was fitted to;
    the upper ends here are those of the published chart. ValueError as `heat_index_f`.
    """
    index = round(heat_index_f(temperature_f, humidity_percent))
    return SWITCH_F <= temperature_f <= HOTTEST_PRINTED_F and SWITCH_F <= index <= HIGHEST_PRINTED_INDEX_F


@dataclass(frozen=True, slots=True)
class CategorySet:
    """A published set of heat index categories: half-open intervals, each from its edge up to the next.

    `edges` are (lower edge in deg F, category), rising; the last is open upward.
    """

    name: str
    source: str
    edges: tuple[tuple[float, str], ...]

    def category_of(self, index_f: float) -> str:
        """The category of a heat index, "" below the first edge. ValueError if it is not finite.

        The sets are published in whole degrees: round an index first, so that what is printed and its
        category agree.
        """
        if not math.isfinite(index_f):
            raise ValueError(f"a heat index is finite, not {index_f}")
        reached = [category for edge, category in self.edges if index_f >= edge]
        return reached[-1] if reached else ""


def _category_set(name: str, source: str, *lower_edges_f: float) -> CategorySet:
    categories = ("caution", "extreme caution", "danger", "extreme danger")
    return CategorySet(name, source, tuple(zip(lower_edges_f, categories, strict=True)))


OLDER = _category_set(
    "older", "NWS heat index chart as published by the Tulsa forecast office", 80, 90, 105, 130
)
# Published with 90 and 103 in two rows and 124 to 125 in none; a shared edge goes to the upper row here.
NEWER = _category_set(
    "newer", "NWS chart as newer office pages print it (secondary copies)", 80, 90, 103, 125
)
CATEGORY_SETS = {categories.name: categories for categories in (OLDER, NEWER)}


@dataclass(frozen=True, slots=True)
class HeatCell:
    """One cell of a heat index table: the index in whole deg F, its category, and whether it may be used.

    `over_chart_f` is how much more it is than the published chart prints, which leaves the humid adjustment out.
    """

    humidity_percent: float
    index_f: int
    over_chart_f: int
    category: str
    is_within_range: bool


@dataclass(frozen=True, slots=True)
class HeatRow:
    """One air temperature's cells, in the order the humidities were given."""

    temperature_f: float
    cells: tuple[HeatCell, ...]


def heat_index_table(
    temperatures_f: Iterable[float], humidities_percent: Iterable[float], categories: CategorySet = NEWER
) -> tuple[HeatRow, ...]:
    """Heat index in whole degrees for every temperature (rows) and humidity (cells), as `heat_index_f`.

    A cell's category is that of its whole-degree index; "" if below the first category.
    """
    humidities = tuple(humidities_percent)
    return tuple(
        HeatRow(temperature, tuple(_construct_cell(temperature, rh, categories) for rh in humidities))
        for temperature in temperatures_f
    )


def _construct_cell(temperature_f: float, humidity_percent: float, categories: CategorySet) -> HeatCell:
    index = round(heat_index_f(temperature_f, humidity_percent))
    is_usable = is_within_range(temperature_f, humidity_percent)
    over_chart = index - round(regression_f(temperature_f, humidity_percent))
    return HeatCell(humidity_percent, index, over_chart, categories.category_of(index), is_usable)


def _require_air(temperature_f: float, humidity_percent: float) -> None:
    if not math.isfinite(temperature_f):
        raise ValueError(f"an air temperature is a finite number of deg F, not {temperature_f}")
    if not 0 <= humidity_percent <= 100:
        raise ValueError(f"a relative humidity is 0 to 100 percent, not {humidity_percent}")
