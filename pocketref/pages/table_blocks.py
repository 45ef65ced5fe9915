"""A ruled table as a block: a header row, rows of cells, blanks to write or type in."""

from __future__ import annotations

from dataclasses import dataclass, replace
from itertools import accumulate
from typing import Literal, Self

from pocketref.pages.blocks import HEADING_GAP_MM, continue_heading, draw_heading, first_baseline
from pocketref.pages.page import Box, Element, Role
from pocketref.pages.type_scale import TypeSizes
from pocketref.pages.words import Blank, TableWords, Words, find_row_head
from pocketref.scene.inks import BLACK, GREY_PALE, WHITE
from pocketref.scene.items import FontFace, FormField, Item, Shape, Stroke
from pocketref.scene.paths import polyline, rectangle
from pocketref.scene.textfit import (
    break_text,
    count_lines,
    leading_mm,
    measure_line_mm,
    measure_widest_mm,
    write_line,
)

_PAD_MM = 0.9
_RULE = Stroke(0.18, BLACK)
_HEAD_RULE = Stroke(0.35, BLACK)


@dataclass(frozen=True, slots=True)
class Column:
    """A column: its header, alignment, and least width; 0 takes what its widest cell needs, `flex` the rest."""

    header: str
    align: Literal["start", "end", "middle"] = "start"
    width_mm: float = 0.0
    flex: bool = False


@dataclass(frozen=True, slots=True)
class Cell:
    """Words (asterisks make bold), or a blank to fill in whose field has `name` and `tooltip`, or a box to tick."""

    words: str = ""
    field_name: str = ""
    tooltip: str = ""
    is_tick: bool = False

    @property
    def said(self) -> str | Blank:
        """What it says, or the blank that it is."""
        return Blank(self.tooltip) if self.field_name else self.words


@dataclass(frozen=True)
class TableBlock:
    """A table; every other row is shaded so that the eye keeps to its line."""

    label: str
    columns: tuple[Column, ...]
    rows: tuple[tuple[Cell, ...], ...]
    heading: str = ""
    row_pad_mm: float = 0.55
    most_stretch_mm: float = 1.4
    """How much higher a row may become where there is height to spare."""
    grows: bool = True
    whole: tuple[tuple[Cell, ...], ...] = ()
    """All rows of the table that this is a part of: its columns are as wide as theirs."""

    def _widths(self, width_mm: float, sizes: TypeSizes) -> list[float]:
        size = sizes.small_pt
        widths = []
        for index, column in enumerate(self.columns):
            words = (*(row[index].words for row in self.whole or self.rows), f"*{column.header}*")
            if column.width_mm:
                longest = max(measure_widest_mm(text, FontFace.REGULAR, size) for text in words)
                widths.append(max(column.width_mm, longest + 2 * _PAD_MM))
                continue
            if column.flex:
                widths.append(0.0)
                continue
            natural = max(measure_line_mm(text, FontFace.REGULAR, size) for text in words)
            widths.append(natural + 2 * _PAD_MM)
        flexible = [i for i, column in enumerate(self.columns) if column.flex]
        rest = max(width_mm - sum(widths), 0.0)
        for i in flexible:
            widths[i] = rest / len(flexible)
        return widths

    def _header_cells(self) -> tuple[Cell, ...]:
        return tuple(Cell(f"*{column.header}*" if column.header else "") for column in self.columns)

    def _heights(self, width_mm: float, sizes: TypeSizes) -> list[float]:
        """Row heights, header first."""
        size = sizes.small_pt
        rooms = [width - 2 * _PAD_MM for width in self._widths(width_mm, sizes)]
        heights = []
        for row in (self._header_cells(), *self.rows):
            cells = zip(row, rooms, strict=True)
            lines = max(1, *(count_lines(cell.words, FontFace.REGULAR, room, size) for cell, room in cells))
            heights.append(lines * leading_mm(size) + 2 * self.row_pad_mm)
        return heights

    def _heading_mm(self, sizes: TypeSizes) -> float:
        return leading_mm(sizes.heading_pt) + HEADING_GAP_MM if self.heading else 0.0

    def measure_mm(self, width_mm: float, sizes: TypeSizes) -> float:
        """Heading, header row and rows."""
        return self._heading_mm(sizes) + sum(self._heights(width_mm, sizes))

    def split(self, height_mm: float, width_mm: float, sizes: TypeSizes) -> tuple[Self | None, Self | None]:
        """The rows that fit into a height, and those that go on elsewhere, under the same header."""
        room = height_mm - self._heading_mm(sizes)
        heights = list(accumulate(self._heights(width_mm, sizes)))[1:]
        count = sum(height <= room for height in heights)
        part = replace(self, whole=self.whole or self.rows)
        head = replace(part, rows=self.rows[:count]) if count else None
        rest, heading = self.rows[count:], continue_heading(self.heading) if count else self.heading
        return head, replace(part, rows=rest, heading=heading) if rest else None

    def most_mm(self, width_mm: float, sizes: TypeSizes) -> float:
        """As `measure_mm`, with every row as high as it may become."""
        heights = self._heights(width_mm, sizes)
        return self._heading_mm(sizes) + sum(heights) + self.most_stretch_mm * len(heights)

    def excess_mm(self, width_mm: float, sizes: TypeSizes) -> float:
        """How much too wide the columns are, or the widest word of a cell is."""
        widths = self._widths(width_mm, sizes)
        excess = sum(widths) - width_mm
        for row in (self._header_cells(), *self.rows):
            for cell, width in zip(row, widths, strict=True):
                widest = measure_widest_mm(cell.words, FontFace.REGULAR, sizes.small_pt)
                excess = max(excess, widest - (width - 2 * _PAD_MM))
        return max(excess, 0.0) if excess > 0.01 else 0.0

    def draw(self, box: Box, sizes: TypeSizes) -> Element:
        """The table from the top; height to spare is shared among the rows, within reason."""
        widths, heights = self._widths(box.width_mm, sizes), self._heights(box.width_mm, sizes)
        spare = box.height_mm - self._heading_mm(sizes) - sum(heights)
        stretch = min(max(spare, 0.0) / len(heights), self.most_stretch_mm)
        children: list[Element] = []
        top = box.top
        if self.heading:
            children.append(draw_heading(self.heading, box.x, top, sizes))
            top -= self._heading_mm(sizes)
        rules: list[Item] = []
        rows: list[Element] = []
        for number, (row, least) in enumerate(zip((self._header_cells(), *self.rows), heights, strict=True)):
            height = least + stretch
            if number and number % 2 == 0:
                rules.append(Shape(rectangle(box.x, top - height, sum(widths), height), None, GREY_PALE))
            rows.append(
                self._draw_row(row, widths, Box(box.x, top - height, sum(widths), height), sizes, number == 0)
            )
            top -= height
            pen = _HEAD_RULE if number in (0, len(heights) - 1) else _RULE
            rules.append(Shape(polyline([(box.x, top), (box.x + sum(widths), top)]), pen))
        table = Element(Role.TABLE, (), tuple(rows), label=self.label)
        return Element(
            Role.SECTION, (), (Element(Role.DECORATION, tuple(rules)), *children, table), label=self.label
        )

    def words(self) -> Words:
        """The table, under its heading if it has one."""
        rows = tuple(tuple(cell.said for cell in row) for row in self.rows)
        return (TableWords(self.label, tuple(column.header for column in self.columns), rows, self.heading),)

    def _draw_row(
        self, row: tuple[Cell, ...], widths: list[float], box: Box, sizes: TypeSizes, is_header: bool
    ) -> Element:
        cells: list[Element] = []
        x = box.x
        head = None if is_header else find_row_head([cell.said for cell in row])
        for number, (cell, width, column) in enumerate(zip(row, widths, self.columns, strict=True)):
            items = self._draw_cell(cell, Box(x, box.y, width, box.height_mm), column, sizes)
            scope = "Column" if is_header else "Row" if number == head else ""
            cells.append(Element(Role.TABLE_HEADER if scope else Role.TABLE_CELL, tuple(items), scope=scope))
            x += width
        return Element(Role.TABLE_ROW, (), tuple(cells))

    def _draw_cell(self, cell: Cell, box: Box, column: Column, sizes: TypeSizes) -> list[Item]:
        if cell.field_name:
            blank = Box(box.x + 0.6, box.y + 0.5, box.width_mm - 1.2, box.height_mm - 1.0)
            if cell.is_tick:
                side = leading_mm(sizes.small_pt)
                x, y = box.x + (box.width_mm - side) / 2, box.y + (box.height_mm - side) / 2
                blank = Box(x, y, side, side)
            outline = Shape(
                rectangle(blank.x, blank.y, blank.width_mm, blank.height_mm), Stroke(0.25, BLACK), WHITE
            )
            field = FormField(
                blank.x,
                blank.y,
                blank.width_mm,
                blank.height_mm,
                cell.field_name,
                cell.tooltip,
                8.0,
                "checkbox" if cell.is_tick else "text",
            )
            return [outline, field]
        size = sizes.small_pt
        lines = break_text(cell.words, FontFace.REGULAR, box.width_mm - 2 * _PAD_MM, size)
        top = box.y + box.height_mm / 2 + len(lines) * leading_mm(size) / 2
        items: list[Item] = []
        for line in lines:
            slack = box.width_mm - 2 * _PAD_MM - line.width_mm
            x = box.x + _PAD_MM + {"start": 0.0, "middle": slack / 2, "end": slack}[column.align]
            items += write_line(line, x, first_baseline(top, size), size)
            top -= leading_mm(size)
        return items
