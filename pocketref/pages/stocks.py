"""Stocks as layout needs them: the paper a press sheet is printed on, and the boxes of a card."""

from __future__ import annotations

from dataclasses import dataclass

from pocketref.pages.page import Box
from pocketref.pages.stock_models import StockModel


@dataclass(frozen=True, slots=True)
class Sheet:
    """A paper: its size, and the edge that a printer leaves white, all in mm."""

    name: str
    width_mm: float
    height_mm: float
    edge_mm: float

    @property
    def printable(self) -> Box:
        """What a printer can reach."""
        return Box(0, 0, self.width_mm, self.height_mm).inset(self.edge_mm)


def sheet_of(stock: StockModel) -> Sheet:
    """The paper that a stock describes."""
    return Sheet(stock.name, stock.width.float_mm, stock.height.float_mm, stock.unprintable.float_mm)


def safe_box(stock: StockModel) -> Box:
    """Where text may stand: clear of the trimmed edges, and of the strip that a hole is in."""
    return _keep_clear(stock, stock.safe.float_mm)


def content_box(stock: StockModel) -> Box:
    """Where blocks start: inside the margins, and clear of the strip that a hole is in."""
    return _keep_clear(stock, stock.margin.float_mm)


def _keep_clear(stock: StockModel, distance_mm: float) -> Box:
    box = Box(0, 0, stock.width.float_mm, stock.height.float_mm).inset(distance_mm)
    hole = stock.punch
    if hole is None:
        return box
    taken = (hole.distance + hole.diameter + hole.clearance).float_mm
    strip = max(taken - distance_mm, 0.0)
    x, y, width, height = box.x, box.y, box.width_mm, box.height_mm
    if hole.edge in ("left", "right"):
        return Box(x + strip if hole.edge == "left" else x, y, width - strip, height)
    return Box(x, y + strip if hole.edge == "bottom" else y, width, height - strip)
