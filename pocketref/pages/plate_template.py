"""The pages of the full-size plate template: one tile a page, with what to do and rules to check the print."""

from __future__ import annotations

from pocketref.pages.blocks import first_baseline
from pocketref.pages.page import Box, Element, Page, Role
from pocketref.pages.type_scale import TypeSizes
from pocketref.scene.figures.template_figure import Tile, TileGrid, draw_rule, draw_tile, plan_tiles
from pocketref.scene.inks import BLACK
from pocketref.scene.items import FontFace, Item
from pocketref.scene.paths import shift
from pocketref.scene.textfit import break_text, leading_mm, write_line
from pocketref.scene.typefaces import set_text
from pocketref.units.length import INCH_MM, Length
from pocketref.words.speech import say

RULE_IN = 4
"""The rules on each tile, inches: our own figure, long enough to show a scale of 99 %."""
_ABOVE_MM = 11.5
_BELOW_MM = 18.5
_BESIDE_MM = 12.0


def tile_room_mm(width_mm: float, height_mm: float) -> tuple[float, float]:
    """The greatest width and height of a tile's window on a page whose blocks have this much room."""
    return width_mm - _BESIDE_MM, height_mm - _ABOVE_MM - _BELOW_MM


def lay_out_tiles(
    plate_width: Length, page: Page, inner: Box, sizes: TypeSizes, foot: str
) -> tuple[Page, ...]:
    """One page a tile, of the size and safe area of `page`; `foot` ends each. Raises as `plan_tiles` does."""
    grid = plan_tiles(plate_width, *tile_room_mm(inner.width_mm, inner.height_mm))
    return tuple(_lay_out_tile(grid, tile, page, inner, sizes, foot) for tile in grid.tiles)


def _lay_out_tile(grid: TileGrid, tile: Tile, page: Page, inner: Box, sizes: TypeSizes, foot: str) -> Page:
    x, y = locate_window(grid, inner)
    size, lead = sizes.small_pt, leading_mm(sizes.small_pt)
    top = first_baseline(inner.top, sizes.heading_pt)
    place = {"row": tile.row + 1, "column": tile.column + 1}
    title = say(
        "Home plate, tile {number} of {count}: row {row}, column {column}",
        number=tile.number,
        count=len(grid.tiles),
        **place,
    )
    heading = set_text(inner.x, top, title, FontFace.BOLD, sizes.heading_pt, BLACK)
    steps: list[Item] = []
    for number, line in enumerate(
        break_text(_write_steps(grid, tile), FontFace.REGULAR, inner.width_mm, size), 1
    ):
        steps += write_line(line, inner.x, top - lead * number, size)
    figure = Element(
        Role.FIGURE,
        shift(draw_tile(grid, tile), x, y),
        alt=say("Part of home plate at full size, row {row}, column {column}.", **place),
        label=f"tile {tile.number}",
    )
    elements = (
        Element(Role.HEADING, (heading,)),
        Element(Role.PARAGRAPH, tuple(steps)),
        figure,
        _draw_rules(grid, inner, sizes),
        Element(Role.PARAGRAPH, _write_foot(inner, size, foot)),
    )
    section = Element(Role.SECTION, (), elements, label=f"tile {tile.number}")
    return Page(f"tile-{tile.number}", page.width_mm, page.height_mm, (section,), page.safe)


def locate_window(grid: TileGrid, inner: Box) -> tuple[float, float]:
    """The lower left corner of a tile's window on its page."""
    return inner.x, inner.top - _ABOVE_MM - grid.height_mm


def _write_steps(grid: TileGrid, tile: Tile) -> str:
    cuts_right, cuts_below = tile.column < grid.columns - 1, tile.row < grid.rows - 1
    laid = say("Crosses of neighbours fall on each other.")
    if not (cuts_right or cuts_below):
        cut = say("Cut the plate along the middle of the thick line.")
        return f"{laid} {cut}"
    if cuts_right and cuts_below:
        cut = say("Cut along the dashed right and lower edge; lay it over the next tile's grey strip.")
    elif cuts_right:
        cut = say("Cut along the dashed right edge; lay it over the next tile's grey strip.")
    else:
        cut = say("Cut along the dashed lower edge; lay it over the next tile's grey strip.")
    return f"{cut} {laid}"


def _draw_rules(grid: TileGrid, inner: Box, sizes: TypeSizes) -> Element:
    """One rule under the window and one beside it, so that a stretch either way shows."""
    x, y = locate_window(grid, inner)
    size = sizes.small_pt
    level = shift(draw_rule(RULE_IN, size), x + 2.0, y - 7.0)
    upright = shift(draw_rule(RULE_IN, size, is_upright=True), x + grid.width_mm + 9.0, y + 4.0)
    words = say("Lay a steel rule on both: exactly {length} in, or print again at 100 %.", length=RULE_IN)
    left, baseline = x + 2.0 + RULE_IN * INCH_MM + 8.0, y - 4.5
    note: list[Item] = []
    for number, line in enumerate(break_text(words, FontFace.REGULAR, inner.right - left, size)):
        note += write_line(line, left, baseline - number * leading_mm(size), size)
    alt = say("Two rules of {length} inches to check that the page was printed at full size.", length=RULE_IN)
    rules = Element(Role.FIGURE, (*level, *upright), alt=alt, label="rules")
    return Element(Role.SECTION, (), (rules, Element(Role.PARAGRAPH, tuple(note))))


def _write_foot(inner: Box, size_pt: float, foot: str) -> tuple[Item, ...]:
    baseline = inner.y + 0.8
    return (set_text(inner.x, baseline, foot, FontFace.REGULAR, size_pt, BLACK),)
