"""The grid of a press sheet: how many cards fit, where each lies, and which card is shown in which place."""

from __future__ import annotations

import math
from collections.abc import Iterator
from dataclasses import dataclass
from typing import Literal

from pocketref.pages.page import Box
from pocketref.pages.press.press_marks import mark_offset_mm
from pocketref.pages.stocks import Sheet
from pocketref.problems import PocketrefError, Problem
from pocketref.scene.textfit import leading_mm
from pocketref.words.terminal import tell

Order = Literal["repeat", "sequence", "cut-and-stack"]
"""Each card fills a sheet; cards follow one another on a sheet; or cards follow one another in a stack."""

SLUG_PT = 7.6
"""The type of the slug line: capitals of 16 minutes of arc at 400 mm need 7.57 pt."""
LEAST_MARK_MM = 3.175
"""Crop marks give way to the slug line down to this length."""
FIT_MM = 1e-6
"""What lengths may differ by and count as equal."""

_SLUG_GAP_MM = 0.8  # white between the slug line and the ends of crop marks


@dataclass(frozen=True, slots=True)
class Grid:
    """Places for cards on a sheet, centred, row by row from the top left as the fronts are seen.

    Cuts go along columns and rows, each from one edge of the sheet to the other. (x, y) is the lower left
    corner; `is_turned` tells that fronts lie a quarter turn counter-clockwise.
    """

    columns: int
    rows: int
    cell_width_mm: float
    cell_height_mm: float
    gutter_mm: float
    x: float
    y: float
    is_turned: bool

    @property
    def count(self) -> int:
        """How many cards a sheet holds."""
        return self.columns * self.rows

    @property
    def box(self) -> Box:
        """From the first card to the last, gutters included."""
        width = _span(self.columns, self.cell_width_mm, self.gutter_mm)
        return Box(self.x, self.y, width, _span(self.rows, self.cell_height_mm, self.gutter_mm))

    def cell(self, column: int, row: int) -> Box:
        """The trimmed card at a column from the left and a row from the top."""
        x = self.x + column * (self.cell_width_mm + self.gutter_mm)
        y = self.y + (self.rows - 1 - row) * (self.cell_height_mm + self.gutter_mm)
        return Box(x, y, self.cell_width_mm, self.cell_height_mm)

    def cuts(self) -> tuple[tuple[float, ...], tuple[float, ...]]:
        """The x of every vertical cut and the y of every horizontal one; neighbours share one if they touch."""
        columns = [self.cell(column, 0) for column in range(self.columns)]
        rows = [self.cell(0, row) for row in range(self.rows)]
        xs = {round(edge, 6) for box in columns for edge in (box.x, box.right)}
        ys = {round(edge, 6) for box in rows for edge in (box.y, box.top)}
        return tuple(sorted(xs)), tuple(sorted(ys))


def _span(count: int, size_mm: float, gutter_mm: float) -> float:
    return count * size_mm + max(count - 1, 0) * gutter_mm


def arrange_cards(cards: int, places: int, order: Order) -> tuple[tuple[int | None, ...], ...]:
    """For each sheet, which card each place shows; None for a place to spare.

    Cut-and-stack: place p of sheet s shows card p*N + s of N sheets. Once the sheets are cut as one pile, the
    stack of the first place on top of that of the second and so on holds the cards in order.
    """
    if order == "repeat":
        return tuple((card,) * places for card in range(cards))
    sheets = math.ceil(cards / places)

    def pick(sheet: int, place: int) -> int | None:
        card = place * sheets + sheet if order == "cut-and-stack" else sheet * places + place
        return card if card < cards else None

    return tuple(tuple(pick(sheet, place) for place in range(places)) for sheet in range(sheets))


def choose_grid(
    sheet: Sheet,
    card_width_mm: float,
    card_height_mm: float,
    *,
    gutter_mm: float = 0.0,
    bleed_mm: float = 0.0,
) -> Grid:
    """The grid that holds the most cards, upright or turned, inside the printable area; upright if both do.

    A strip for the slug line stays free beside or below the cards. PocketrefError ("card-too-large") if not
    one card fits.
    """
    grids = [
        grid
        for is_turned in (False, True)
        for grid in _list_grids(sheet, card_width_mm, card_height_mm, gutter_mm, is_turned)
        if find_slug_room(sheet, grid, bleed_mm) is not None
    ]
    if not grids:
        sentence = tell(
            "a card of {card_width_mm:g} by {card_height_mm:g} mm does not fit on {name} with its marks",
            card_width_mm=card_width_mm,
            card_height_mm=card_height_mm,
            name=sheet.name,
        )
        raise PocketrefError([Problem("card-too-large", sentence, tell("choose a larger paper"))])
    return max(grids, key=lambda grid: (grid.count, not grid.is_turned))


def _list_grids(
    sheet: Sheet, width_mm: float, height_mm: float, gutter_mm: float, is_turned: bool
) -> Iterator[Grid]:
    """The fullest grid, and those with one column or row fewer."""
    if is_turned:
        width_mm, height_mm = height_mm, width_mm
    room = sheet.printable
    columns = int((room.width_mm + gutter_mm + FIT_MM) // (width_mm + gutter_mm))
    rows = int((room.height_mm + gutter_mm + FIT_MM) // (height_mm + gutter_mm))
    for across, down in ((columns, rows), (columns - 1, rows), (columns, rows - 1)):
        if across > 0 and down > 0:
            x = (sheet.width_mm - _span(across, width_mm, gutter_mm)) / 2
            y = (sheet.height_mm - _span(down, height_mm, gutter_mm)) / 2
            yield Grid(across, down, width_mm, height_mm, gutter_mm, x, y, is_turned)


def find_slug_room(sheet: Sheet, grid: Grid, bleed_mm: float, lines: int = 1) -> bool | None:
    """Whether the slug line runs up the left side (True) or below the cards (False); None if neither has room."""
    needed = mark_offset_mm(bleed_mm) + LEAST_MARK_MM + slug_strip_mm(lines)
    for is_upright, room in ((False, grid.y - sheet.edge_mm), (True, grid.x - sheet.edge_mm)):
        if room >= needed:
            return is_upright
    return None


def slug_strip_mm(lines: int) -> float:
    """What so many slug lines take at the printable edge."""
    return lines * leading_mm(SLUG_PT) + _SLUG_GAP_MM
