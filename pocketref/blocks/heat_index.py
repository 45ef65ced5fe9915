"""The heat index by air temperature and relative humidity.

It informs and sets no threshold: the caution beside it says what to do, and local policy governs.
"""

from __future__ import annotations

from collections.abc import Iterator
from dataclasses import dataclass
from itertools import pairwise
from typing import Annotated, Literal

from pydantic import Field

from pocketref.blocks.model import MOST_ENTRIES, BlockModel, Cited, list_nothing
from pocketref.blocks.setting import Setting
from pocketref.pages.blocks import HEADING_GAP_MM, Block, Paragraphs, draw_heading, first_baseline
from pocketref.pages.page import Box, Element, Role
from pocketref.pages.type_scale import TypeSizes
from pocketref.pages.words import Listing, TableWords, Words
from pocketref.scene.inks import BLACK, WHITE, grey
from pocketref.scene.items import FontFace, Ink, Item, Shape, Stroke
from pocketref.scene.paths import polyline, rectangle
from pocketref.scene.textfit import leading_mm
from pocketref.scene.typefaces import cap_height_mm, set_text
from pocketref.source.syntax.kinds import WholeNumber
from pocketref.weather.heat_index import (
    CATEGORY_SETS,
    HIGHEST_PRINTED_INDEX_F,
    HOTTEST_PRINTED_F,
    HUMID_PERCENT,
    NEWER,
    CategorySet,
    HeatCell,
    HeatRow,
    heat_index_table,
)
from pocketref.words.speech import say

NOTE_GAP_MM = 1.0


class HeatIndexBlockModel(BlockModel):
    """Heat index by air temperature and relative humidity; nothing outside 80 to 110 F can be said."""

    block: Literal["heat-index"]
    temperatures: tuple[Annotated[WholeNumber, Field(ge=80, le=110)], ...] = Field(
        default=(80, 85, 90, 95, 100, 105, 110),
        min_length=1,
        max_length=MOST_ENTRIES,
        description="air temperatures in degrees Fahrenheit from 80 to 110, a list",
    )
    humidities: tuple[Annotated[WholeNumber, Field(ge=0, le=100)], ...] = Field(
        default=(40, 50, 60, 70, 80, 90, 100),
        min_length=1,
        max_length=MOST_ENTRIES,
        description="relative humidities in percent, a list",
    )
    categories: Literal["older", "newer"] = Field(
        default="newer", description="which published set of categories: older or newer"
    )

    def list_cited(self, setting: Setting) -> Iterator[Cited]:
        """Nothing of the content: the table says itself where its categories come from."""
        return list_nothing()

    def build(self, setting: Setting) -> Block:
        """The table, its legend and note."""
        return HeatIndexTable(self.temperatures, self.humidities, CATEGORY_SETS[self.categories])


@dataclass(frozen=True, slots=True)
class CellLook:
    """How a category looks: paper or ink behind its figures, and the figures' weight and ink."""

    fill: Ink
    face: FontFace
    ink: Ink


# Told apart in black and white: lightness steps of more than 10 L*, the upper two in bold besides, and a
# rule wherever neighbours differ. Figures keep a contrast of 7 or more against what is behind them (WCAG).
LOOKS = (
    CellLook(WHITE, FontFace.REGULAR, BLACK),
    CellLook(grey(0.16), FontFace.REGULAR, BLACK),
    CellLook(grey(0.38), FontFace.BOLD, BLACK),
    CellLook(BLACK, FontFace.BOLD, WHITE),
)

_PAD_MM = 0.7
_ROW_PAD_MM = 0.25
_LEGEND_GAP_MM = 1.2
_MOST_STRETCH_MM = 0.9
_THIN = Stroke(0.12, grey(0.5))
_STEP = Stroke(0.3, BLACK)


def _write_heading() -> str:
    return say("Heat index,\u00a0°F")


def _head_columns() -> str:
    return say("relative humidity, %")


@dataclass(frozen=True, slots=True)
class HeatIndexTable:
    """Heat index in whole deg F: a row for each air temperature, a column for each relative humidity.

    Each cell looks as its category; one outside the range of the published chart is left blank. The legend
    gives each category's whole degrees, and where the categories come from.
    """

    temperatures_f: tuple[float, ...]
    humidities_percent: tuple[float, ...]
    categories: CategorySet = NEWER
    label: str = "heat index"
    grows: bool = True

    def list_rows(self) -> tuple[HeatRow, ...]:
        """The table's rows as computed."""
        return heat_index_table(self.temperatures_f, self.humidities_percent, self.categories)

    def look_of(self, cell: HeatCell) -> CellLook | None:
        """How a cell looks; None if it stays blank."""
        if not cell.is_within_range:
            return None
        return LOOKS[[name for _, name in self.categories.edges].index(cell.category)]

    def list_legend(self) -> tuple[tuple[CellLook, str, str], ...]:
        """Each category's look, whole degrees and name; the last is open upward."""
        edges = self.categories.edges
        spans = [f"{low:g}–{high - 1:g}" for (low, _), (high, _) in pairwise(edges)] + [f"{edges[-1][0]:g}+"]
        return tuple(
            (look, span, say(name)) for look, span, (_, name) in zip(LOOKS, spans, edges, strict=True)
        )

    def _note(self) -> Paragraphs:
        blanks = self._explain_blanks()
        shade = say("In shade, light wind; full sun can add up to 15\u00a0°F. *Not WBGT.*")
        source = say("Categories: {source}.", source=say(self.categories.source))
        entries = (f"{shade}{self._explain_excess()}", f"{blanks}{source}")
        return Paragraphs(f"{self.label}, note", entries, small=True)

    def _explain_excess(self) -> str:
        """Why cells in humid air are above those of the published chart, if any is."""
        usable = [cell for row in self.list_rows() for cell in row.cells if cell.is_within_range]
        most = max((cell.over_chart_f for cell in usable if cell.humidity_percent > HUMID_PERCENT), default=0)
        if most <= 0:
            return ""
        excess = say("In humid air up to {most}\u00a0°F above the NWS chart, by its equation.", most=most)
        return f" {excess}"

    def _explain_blanks(self) -> str:
        """What a blank cell means: nobody may take the hottest for harmless."""
        blank = [
            (row.temperature_f, c) for row in self.list_rows() for c in row.cells if not c.is_within_range
        ]
        if not blank:
            return ""
        is_hot = all(c.index_f > HIGHEST_PRINTED_INDEX_F or air > HOTTEST_PRINTED_F for air, c in blank)
        return (say("*Blank: hotter still.*") if is_hot else say("*Blank: beyond the chart.*")) + " "

    def _row_mm(self, sizes: TypeSizes) -> float:
        return leading_mm(sizes.small_pt) + 2 * _ROW_PAD_MM

    def _top_mm(self, sizes: TypeSizes) -> float:
        """The heading's line, which also names the columns at its right."""
        return leading_mm(sizes.heading_pt) + HEADING_GAP_MM

    def _foot_mm(self, width_mm: float, sizes: TypeSizes) -> float:
        """The legend in two lines of two, and the note."""
        legend = 2 * self._row_mm(sizes) + 0.6
        return _LEGEND_GAP_MM + legend + NOTE_GAP_MM + self._note().measure_mm(width_mm, sizes)

    def measure_mm(self, width_mm: float, sizes: TypeSizes) -> float:
        """Heading, header, rows, legend and note."""
        rows = (1 + len(self.temperatures_f)) * self._row_mm(sizes)
        return self._top_mm(sizes) + rows + self._foot_mm(width_mm, sizes)

    def excess_mm(self, width_mm: float, sizes: TypeSizes) -> float:
        """How far the widest figure sticks out of its column, a category out of its half, heading or note."""
        columns = 1 + len(self.humidities_percent)
        figure = _measure("137", FontFace.BOLD, sizes) + 2 * _PAD_MM
        first = _measure(say("Air"), FontFace.BOLD, sizes) + 2 * _PAD_MM
        swatch = self._swatch_mm(sizes) + 1.0
        words = max(_measure(name, FontFace.REGULAR, sizes) for _, _, name in self.list_legend())
        grid = max(figure, first) * columns - width_mm
        heading = set_text(0, 0, _write_heading(), FontFace.BOLD, sizes.heading_pt, BLACK).width_mm
        top = heading + 2.0 + _measure(_head_columns(), FontFace.REGULAR, sizes) - width_mm
        halves = 2 * (swatch + words) - width_mm
        return max(grid, top, halves, self._note().excess_mm(width_mm, sizes), 0.0)

    def _swatch_mm(self, sizes: TypeSizes) -> float:
        return max(_measure(span, FontFace.BOLD, sizes) for _, span, _ in self.list_legend()) + 2 * _PAD_MM

    def draw(self, box: Box, sizes: TypeSizes) -> Element:
        """Heading and grid from the top, legend and note at the foot; height to spare goes to the rows."""
        spare = max(box.height_mm - self.measure_mm(box.width_mm, sizes), 0.0)
        count = 1 + len(self.temperatures_f)
        row_mm = self._row_mm(sizes) + min(spare / count, _MOST_STRETCH_MM)
        heading = draw_heading(_write_heading(), box.x, box.top, sizes)
        grid_top = box.top - self._top_mm(sizes)
        grid = _Grid(box.x, grid_top, box.width_mm / (1 + len(self.humidities_percent)), row_mm)
        baseline = first_baseline(box.top, sizes.heading_pt)
        caption = set_text(
            box.right, baseline, _head_columns(), FontFace.REGULAR, sizes.small_pt, BLACK, "end"
        )
        foot_top = grid_top - count * row_mm - _LEGEND_GAP_MM
        note_mm = self._note().measure_mm(box.width_mm, sizes)
        legend, legend_mm = self._draw_legend(box.x, foot_top, box.width_mm, sizes)
        note_box = Box(box.x, foot_top - legend_mm - NOTE_GAP_MM - note_mm, box.width_mm, note_mm)
        children = (
            heading,
            Element(Role.PARAGRAPH, (caption,)),
            Element(Role.DECORATION, tuple(self._draw_shades(grid))),
            self._draw_figures(grid, sizes),
            *legend,
            self._note().draw(note_box, sizes),
        )
        return Element(Role.SECTION, (), children, label=self.label)

    def words(self) -> Words:
        """The table, what its figures fall under, and the note."""
        columns = (say("Air"), *(f"{humidity:g}" for humidity in self.humidities_percent))
        rows = tuple(
            (f"{row.temperature_f:g}", *(str(c.index_f) if self.look_of(c) else "" for c in row.cells))
            for row in self.list_rows()
        )
        legend = tuple(f"{span}: {name}" for _, span, name in self.list_legend())
        table = TableWords(self.label, columns, rows, f"{_write_heading()}: {_head_columns()}")
        return (table, Listing(legend), *self._note().words())

    def _draw_shades(self, grid: _Grid) -> list[Item]:
        """What is behind the figures: shades, thin rules between rows, steps where neighbours differ."""
        looks = [[self.look_of(cell) for cell in row.cells] for row in self.list_rows()]
        columns = 1 + len(self.humidities_percent)
        items: list[Item] = []
        steps: list[Item] = []
        for r, row in enumerate(looks, 1):
            for c, look in enumerate(row, 1):
                cell = grid.cell(r, c)
                if look and look.fill is not WHITE:
                    items.append(
                        Shape(rectangle(cell.x, cell.y, cell.width_mm, cell.height_mm), None, look.fill)
                    )
                if c < len(row) and row[c] is not look:
                    steps.append(Shape(polyline([(cell.right, cell.y), (cell.right, cell.top)]), _STEP))
                if r < len(looks) and looks[r][c - 1] is not look:
                    steps.append(Shape(polyline([(cell.x, cell.y), (cell.right, cell.y)]), _STEP))
        right = grid.x + columns * grid.column_mm
        for r in range(len(looks) + 1):
            y = grid.cell(r, 0).y
            edge = r in (0, len(looks))
            # Thin rules lead the eye from the temperature; inside the cells the steps speak alone.
            items.append(Shape(polyline([(grid.x, y), (right, y)]), _STEP if edge else _THIN))
        return items + steps

    def _draw_figures(self, grid: _Grid, sizes: TypeSizes) -> Element:
        heads = [say("Air"), *(f"{humidity:g}" for humidity in self.humidities_percent)]
        header = tuple(
            _draw_cell(grid.cell(0, c), words, CellLook(WHITE, FontFace.BOLD, BLACK), sizes, "Column")
            for c, words in enumerate(heads)
        )
        rows = [Element(Role.TABLE_ROW, (), header)]
        for r, row in enumerate(self.list_rows(), 1):
            first = CellLook(WHITE, FontFace.BOLD, BLACK)
            cells = [_draw_cell(grid.cell(r, 0), f"{row.temperature_f:g}", first, sizes, "Row")]
            for c, cell in enumerate(row.cells, 1):
                look = self.look_of(cell)
                cells.append(_draw_cell(grid.cell(r, c), str(cell.index_f) if look else "", look, sizes))
            rows.append(Element(Role.TABLE_ROW, (), tuple(cells)))
        return Element(Role.TABLE, (), tuple(rows), label=self.label)

    def _draw_legend(
        self, x: float, top: float, width_mm: float, sizes: TypeSizes
    ) -> tuple[tuple[Element, ...], float]:
        """Swatches as the cells look, the degrees in them, the category beside: read down, then across."""
        row_mm, swatch_mm, half = self._row_mm(sizes), self._swatch_mm(sizes), width_mm / 2
        frames: list[Item] = []
        entries = []
        for number, (look, span, name) in enumerate(self.list_legend()):
            column, line = divmod(number, 2)
            left, bottom = x + column * half, top - row_mm - line * (row_mm + 0.6)
            swatch = Box(left, bottom, swatch_mm, row_mm)
            frames.append(Shape(rectangle(left, bottom, swatch_mm, row_mm), Stroke(0.2, BLACK), look.fill))
            baseline = _baseline(swatch, sizes)
            words = set_text(left + swatch_mm + 1.0, baseline, name, FontFace.REGULAR, sizes.small_pt, BLACK)
            entries.append(Element(Role.LIST_ITEM, (_set_middle(swatch, span, look, sizes), words)))
        legend = (Element(Role.DECORATION, tuple(frames)), Element(Role.LIST, (), tuple(entries)))
        return legend, 2 * row_mm + 0.6


@dataclass(frozen=True, slots=True)
class _Grid:
    """Equal cells from the top left corner (x, top)."""

    x: float
    top: float
    column_mm: float
    row_mm: float

    def cell(self, row: int, column: int) -> Box:
        y = self.top - (row + 1) * self.row_mm
        return Box(self.x + column * self.column_mm, y, self.column_mm, self.row_mm)


def _measure(words: str, face: FontFace, sizes: TypeSizes) -> float:
    return set_text(0, 0, words, face, sizes.small_pt, BLACK).width_mm


def _baseline(box: Box, sizes: TypeSizes) -> float:
    """The baseline at which figures stand in the middle of the box's height."""
    return box.y + (box.height_mm - cap_height_mm(FontFace.REGULAR, sizes.small_pt)) / 2


def _set_middle(box: Box, words: str, look: CellLook, sizes: TypeSizes) -> Item:
    middle = box.x + box.width_mm / 2
    return set_text(middle, _baseline(box, sizes), words, look.face, sizes.small_pt, look.ink, "middle")


def _draw_cell(box: Box, words: str, look: CellLook | None, sizes: TypeSizes, scope: str = "") -> Element:
    """A cell's words in its middle; a blank cell keeps its place in the table."""
    items = (_set_middle(box, words, look, sizes),) if look else ()
    return Element(Role.TABLE_HEADER if scope else Role.TABLE_CELL, items, scope=scope)
