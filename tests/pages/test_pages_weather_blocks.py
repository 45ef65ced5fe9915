"""Weather tables: figures as computed, categories told apart without colour, nothing said out of range."""

from __future__ import annotations

import math
import re
from collections.abc import Iterator
from itertools import combinations

import pytest
from hypothesis import given, settings
from hypothesis import strategies as st

from pocketref.blocks.flash_to_bang import FlashToBangBlockModel, write_flash_to_bang
from pocketref.blocks.heat_index import LOOKS, HeatIndexBlockModel, HeatIndexTable
from pocketref.pages.blocks import Paragraphs
from pocketref.pages.page import Box, Element, Role
from pocketref.pages.type_scale import TypeSizes, floor_size_pt, sizes_for
from pocketref.scene.inks import WHITE
from pocketref.scene.items import Ink, Shape, Text
from pocketref.scene.paths import extent_of
from pocketref.weather.heat_index import NEWER, OLDER, heat_index_f, is_within_range
from pocketref.weather.lightning import flash_to_bang_distance

FLOOR_PT = floor_size_pt(16, 400)
SIZES = sizes_for(7.6, FLOOR_PT)
BOX = Box(10, 10, 70, 56)
TEMPERATURES, HUMIDITIES = (80, 85, 90, 95, 100, 105, 110), (40, 50, 60, 70, 80, 90, 100)
HEAT = HeatIndexTable(TEMPERATURES, HUMIDITIES)


def walk(element: Element) -> Iterator[Element]:
    yield element
    for child in element.children:
        yield from walk(child)


def texts_of(element: Element) -> list[Text]:
    return [item for part in walk(element) for item in part.items if isinstance(item, Text)]


def read_rows(element: Element) -> list[list[str]]:
    """The cells' words, row by row, header first."""
    return [
        [" ".join(text.content for text in texts_of(cell)) for cell in row.children]
        for row in walk(element)
        if row.role is Role.TABLE_ROW
    ]


def read_all(element: Element) -> str:
    return " ".join(text.content.replace("\u00a0", " ") for text in texts_of(element))


def luminance(ink: Ink) -> float:
    """Relative luminance of a screen colour (WCAG 2.2)."""
    parts = [int(ink.srgb[i : i + 2], 16) / 255 for i in (1, 3, 5)]
    linear = [c / 12.92 if c <= 0.04045 else ((c + 0.055) / 1.055) ** 2.4 for c in parts]
    return sum(w * c for w, c in zip((0.2126, 0.7152, 0.0722), linear, strict=True))


def lightness(ink: Ink) -> float:
    """L* of a screen colour (CIE 1976)."""
    y = luminance(ink)
    return 116 * math.cbrt(y) - 16 if y > 0.008856 else 903.3 * y


def test_each_printed_cell_is_the_heat_index_in_whole_degrees_and_each_other_one_is_blank() -> None:
    header, *rows = read_rows(HEAT.draw(BOX, SIZES))
    assert header == ["Air", *map(str, HUMIDITIES)]
    assert [row[0] for row in rows] == [str(t) for t in TEMPERATURES]
    for temperature, row in zip(TEMPERATURES, rows, strict=True):
        for humidity, words in zip(HUMIDITIES, row[1:], strict=True):
            index = round(heat_index_f(temperature, humidity))
            assert words == (str(index) if is_within_range(temperature, humidity) else "")


def test_cells_out_of_range_have_neither_figure_nor_shade() -> None:
    hottest = HeatIndexTable((110,), (90, 100))
    element = hottest.draw(BOX, SIZES)
    assert read_rows(element)[1] == ["110", "", ""]
    legend = {extent_of(shape) for shape in _filled(element) if shape.stroke}
    assert {extent_of(shape) for shape in _filled(element)} == legend


def test_blank_cells_are_called_hotter_only_when_every_one_is() -> None:
    assert "hotter still" in read_all(HEAT.draw(BOX, SIZES))
    assert "beyond the chart" in read_all(HeatIndexTable((80, 110), (0, 90)).draw(BOX, SIZES))
    assert "Blank" not in read_all(HeatIndexTable((90,), (50, 60)).draw(BOX, SIZES))


def _filled(element: Element) -> list[Shape]:
    items = [item for part in walk(element) for item in part.items]
    return [item for item in items if isinstance(item, Shape) and item.fill not in (None, WHITE)]


def test_categories_differ_by_ten_steps_of_lightness_or_by_weight_and_the_darker_is_the_worse() -> None:
    for one, other in combinations(LOOKS, 2):
        assert abs(lightness(one.fill) - lightness(other.fill)) >= 10 or one.face is not other.face
    shades = [lightness(look.fill) for look in LOOKS]
    assert shades == sorted(shades, reverse=True)


def test_categories_are_told_apart_by_black_ink_alone() -> None:
    assert all(look.fill.cmyk[:3] == (0, 0, 0) for look in LOOKS)
    assert len({(look.fill, look.face) for look in LOOKS}) == len(LOOKS)


def test_figures_keep_a_contrast_of_seven_on_their_shade() -> None:
    for look in LOOKS:
        light, dark = sorted((luminance(look.fill), luminance(look.ink)), reverse=True)
        assert (light + 0.05) / (dark + 0.05) >= 7


@pytest.mark.parametrize("categories", [NEWER, OLDER], ids=lambda c: c.name)
def test_each_figure_looks_as_the_legend_says_of_its_degrees(categories: object) -> None:
    table = HeatIndexTable(TEMPERATURES, HUMIDITIES, categories)  # type: ignore[arg-type]
    spans = {}
    for look, span, name in table.list_legend():
        low, _, high = span.rstrip("+").partition("–")
        for degrees in range(int(low), int(high or 200) + 1):
            assert degrees not in spans
            spans[degrees] = (look, name)
    for row in table.list_rows():
        for cell in row.cells:
            if cell.is_within_range:
                assert (table.look_of(cell), cell.category) == spans[cell.index_f]


def test_the_legend_names_every_category_and_where_they_come_from() -> None:
    words = read_all(HeatIndexTable(TEMPERATURES, HUMIDITIES, OLDER).draw(BOX, SIZES))
    for expected in ("caution", "extreme caution", "danger", "extreme danger", "130+", OLDER.source):
        assert expected in words
    assert NEWER.source not in words


def test_neighbours_of_different_categories_are_parted_by_a_rule() -> None:
    # 85 F at 90 and 100 percent: 102 and 108, either side of the edge at 103.
    table = HeatIndexTable((85,), (90, 100))
    steps = [s for s in _rules(table.draw(BOX, SIZES)) if s[0] == s[2]]
    assert [step[0] for step in steps] == pytest.approx([BOX.x + BOX.width_mm * 2 / 3])
    assert not [s for s in _rules(HeatIndexTable((85,), (70, 80)).draw(BOX, SIZES)) if s[0] == s[2]]


def _rules(element: Element) -> list[tuple[float, float, float, float]]:
    """The ends of every straight two-point rule."""
    found = []
    for part in walk(element):
        for item in part.items:
            if isinstance(item, Shape) and item.fill is None and len(item.path) == 2:
                start, end = item.path
                found.append((start.x, start.y, end.x, end.y))  # type: ignore[union-attr]
    return found


def read_counts(counts: tuple[float, ...], air_f: float) -> list[tuple[str, ...]]:
    """Each count with its miles and kilometres, as printed."""
    words = write_flash_to_bang(counts, air_f).entries[0].replace("\u00a0", " ")
    assert f"{air_f:g} °F" in words
    return re.findall(r"(\d+) s ([\d.]+) mi, ([\d.]+) km", words)


def test_a_distance_is_how_far_sound_goes_in_the_stated_air() -> None:
    first, last = read_counts((5, 30), 68)
    assert (first[0], last[0]) == ("5", "30")
    # 30 s at 68 F: 6.40 mi, 10.30 km, from 331.3 sqrt(1 + 20/273.15) m/s.
    assert last[1:] == ("6.4", "10.3")


@settings(max_examples=25)
@given(st.integers(1, 120), st.integers(-40, 130))
def test_distances_follow_the_temperature_argument(seconds: int, air_f: int) -> None:
    distance = flash_to_bang_distance(seconds, (air_f - 32) * 5 / 9)
    assert read_counts((seconds,), air_f) == [
        (str(seconds), f"{distance.miles:.1f}", f"{distance.kilometres:.1f}")
    ]


def test_warmer_air_carries_the_same_count_further() -> None:
    # 9.94 and 10.64 km, as the speed of sound gives at 0 and 40 C.
    assert [read_counts((30,), f)[0][2] for f in (32, 104)] == ["9.9", "10.6"]


def test_the_rule_of_thumb_stands_under_the_distances_and_no_count_is_called_safe() -> None:
    block = write_flash_to_bang((10, 20), 77)
    assert block.small
    assert "5\u00a0seconds a mile" in block.entries[1]
    assert "never makes it safe" in block.entries[1]


@pytest.mark.parametrize(
    "block", [HEAT, write_flash_to_bang((5, 10, 15, 20, 25, 30), 77)], ids=lambda b: b.label
)
@pytest.mark.parametrize("body_pt", [7.6, 9.2, 11])
def test_a_block_stays_in_its_box_at_its_least_height_and_above_the_floor(
    block: HeatIndexTable | Paragraphs, body_pt: float
) -> None:
    sizes: TypeSizes = sizes_for(body_pt, FLOOR_PT)
    width = 90.0
    assert block.excess_mm(width, sizes) == 0
    height = block.measure_mm(width, sizes)
    box = Box(0, 0, width, height)
    for part in walk(block.draw(box, sizes)):
        for item in part.items:
            left, bottom, right, top = extent_of(item)
            assert left >= -0.3
            assert right <= width + 0.3
            assert top <= height + 0.3
            assert bottom >= -0.3
            assert not isinstance(item, Text) or item.size_pt >= FLOOR_PT - 1e-6


def test_a_table_too_wide_for_its_box_says_by_how_much() -> None:
    narrow = HEAT.excess_mm(30, SIZES)
    assert narrow > 10
    assert HEAT.excess_mm(20, SIZES) == pytest.approx(narrow + 10, abs=1.0)


def test_a_layout_may_leave_out_what_has_a_sensible_default() -> None:
    heat = HeatIndexBlockModel.model_validate({"block": "heat-index"})
    flash = FlashToBangBlockModel.model_validate({"block": "flash-to-bang"})
    block = HeatIndexTable(heat.temperatures, heat.humidities)
    assert block.excess_mm(66, SIZES) == 0
    assert block.measure_mm(70, SIZES) < 57
    assert write_flash_to_bang(flash.seconds, flash.temperature).measure_mm(119, SIZES) < 12


def test_what_is_above_the_published_chart_is_said_with_by_how_much() -> None:
    # NWS chart, 80 F and 100 percent: 87; the equation with its humid adjustment: 89.
    said = "In humid air up to 2 °F above the NWS chart"
    assert said in read_all(HEAT.draw(BOX, SIZES))
    assert "above the NWS chart" not in read_all(HeatIndexTable(TEMPERATURES, (40, 60, 80)).draw(BOX, SIZES))
