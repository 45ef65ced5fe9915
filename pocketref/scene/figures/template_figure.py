"""Home plate at full size on tiles that overlap, each clipped to its window, and how the tiles go together.

Plate coordinates are those of a plan: origin at the rear tip, +y to the pitcher, mm. Tiles are numbered along
rows from the pitcher's side, left to right.
"""

from __future__ import annotations

import math
from collections.abc import Sequence
from dataclasses import dataclass
from itertools import pairwise

from shapely import LineString, box

from pocketref.problems import PocketrefError, Problem
from pocketref.scene.inks import BLACK, GREY_PALE, WHITE
from pocketref.scene.items import FontFace, Item, Shape, Stroke
from pocketref.scene.paths import Point, circle, extent_of_all, polyline, rectangle
from pocketref.scene.plan_view import EDGE_MM, OUTLINE_MM, FigureDrawing, draw_pitcher_arrow, finish_figure
from pocketref.scene.textfit import leading_mm
from pocketref.scene.typefaces import set_text
from pocketref.units.length import INCH_MM, Length
from pocketref.words.speech import say
from pocketref.words.terminal import tell

OVERLAP_MM = 10.0
"""What neighbouring tiles share: our own figure, a finger's width for tape or glue."""
AROUND_MM = 4.0
"""What is left around the plate, so that its outline is never at a tile's edge."""
MOST_TILES = 24
_CUT = Stroke(EDGE_MM, BLACK, (3.0, 1.2))
_CENTRE = Stroke(EDGE_MM, BLACK, (6.0, 1.2, 0.6, 1.2))  # ISO 128: long dash, dot
OUTLINE = Stroke(OUTLINE_MM, BLACK)


@dataclass(frozen=True, slots=True)
class Tile:
    """One tile: its number from 1, row and column from 0, and its window's lower left corner on the plate, mm."""

    number: int
    row: int
    column: int
    x: float
    y: float


@dataclass(frozen=True, slots=True)
class TileGrid:
    """Windows of one size that cover the plate, each overlapping its neighbours by `OVERLAP_MM`."""

    plate_mm: float
    columns: int
    rows: int
    width_mm: float
    height_mm: float

    @property
    def tiles(self) -> tuple[Tile, ...]:
        """Every tile in the order of its number."""
        left, top = -self.plate_mm / 2 - AROUND_MM, self.plate_mm + AROUND_MM
        step_x, step_y = self.width_mm - OVERLAP_MM, self.height_mm - OVERLAP_MM
        return tuple(
            Tile(
                row * self.columns + column + 1,
                row,
                column,
                left + column * step_x,
                top - self.height_mm - row * step_y,
            )
            for row in range(self.rows)
            for column in range(self.columns)
        )


def plan_tiles(plate_width: Length, room_width_mm: float, room_height_mm: float) -> TileGrid:
    """The fewest tiles no larger than the room that cover the plate; PocketrefError if the room is too small."""
    plate = plate_width.float_mm
    span = plate + 2 * AROUND_MM
    if min(room_width_mm, room_height_mm) > 2 * OVERLAP_MM:
        columns, rows = (
            math.ceil((span - OVERLAP_MM) / (room - OVERLAP_MM)) for room in (room_width_mm, room_height_mm)
        )
        if columns * rows <= MOST_TILES:
            widths = [(span + (count - 1) * OVERLAP_MM) / count for count in (columns, rows)]
            return TileGrid(plate, columns, rows, *widths)
    hint = tell("choose letter, A4 or a larger paper")
    raise PocketrefError(
        [Problem("template-paper-small", tell("the paper is too small for the plate's tiles"), hint)]
    )


def outline_plate(plate_mm: float) -> tuple[Point, ...]:
    """The plate's corners counter-clockwise from its rear tip: a square with its two rear corners cut off."""
    half = plate_mm / 2
    return (0.0, 0.0), (half, half), (half, plate_mm), (-half, plate_mm), (-half, half)


def draw_tile(grid: TileGrid, tile: Tile) -> list[Item]:
    """A tile's part of the plate at full size, its cut lines and crosses; origin at the window's lower left."""
    corners = outline_plate(grid.plate_mm)
    items: list[Item] = [Shape(polyline(p), OUTLINE) for p in _clip([*corners, corners[0]], grid, tile)]
    centre = [(0.0, -AROUND_MM), (0.0, grid.plate_mm + AROUND_MM)]
    items += [Shape(polyline(part), _CENTRE) for part in _clip(centre, grid, tile)]
    return [*_draw_edges(grid, tile), *_draw_crosses(grid, tile), *items]


def _clip(line: Sequence[Point], grid: TileGrid, tile: Tile) -> list[list[Point]]:
    """The parts of a line in a tile's window, in the window's own coordinates."""
    window = box(tile.x, tile.y, tile.x + grid.width_mm, tile.y + grid.height_mm)
    parts: list[list[Point]] = []
    for start, end in pairwise(line):
        inside = LineString([start, end]).intersection(window)
        if not inside.is_empty and inside.length > 0:
            points = [(x - tile.x, y - tile.y) for x, y in inside.coords]
            if parts and math.dist(parts[-1][-1], points[0]) < 1e-6:
                parts[-1].append(points[-1])
            else:
                parts.append(points)
    return parts


def _draw_edges(grid: TileGrid, tile: Tile) -> list[Item]:
    """The strip that a neighbour covers is pale; the edge to cut is dashed."""
    width, height = grid.width_mm, grid.height_mm
    items: list[Item] = []
    if tile.column > 0:
        items.append(Shape(rectangle(0, 0, OVERLAP_MM, height), None, GREY_PALE))
    if tile.row > 0:
        items.append(Shape(rectangle(0, height - OVERLAP_MM, width, OVERLAP_MM), None, GREY_PALE))
    if tile.column < grid.columns - 1:
        items.append(Shape(polyline([(width, 0), (width, height)]), _CUT))
    if tile.row < grid.rows - 1:
        items.append(Shape(polyline([(0, 0), (width, 0)]), _CUT))
    return items


def list_crosses(grid: TileGrid) -> tuple[Point, ...]:
    """Where the crosses are on the plate: in the middle of each overlap, two a tile's side."""
    step_x, step_y = grid.width_mm - OVERLAP_MM, grid.height_mm - OVERLAP_MM
    first = grid.tiles[0]
    left, top = first.x, first.y + grid.height_mm
    crosses = []
    for tile in grid.tiles:
        for share in (0.2, 0.8):
            if tile.column > 0:
                crosses.append(
                    (left + tile.column * step_x + OVERLAP_MM / 2, tile.y + share * grid.height_mm)
                )
            if tile.row > 0:
                crosses.append((tile.x + share * grid.width_mm, top - tile.row * step_y - OVERLAP_MM / 2))
    return tuple(crosses)


def _draw_crosses(grid: TileGrid, tile: Tile) -> list[Item]:
    pen = Stroke(0.2, BLACK)
    items: list[Item] = []
    for cross_x, cross_y in list_crosses(grid):
        x, y = cross_x - tile.x, cross_y - tile.y
        if 4.0 < x < grid.width_mm - 4.0 and 4.0 < y < grid.height_mm - 4.0:
            items.append(Shape(circle(x, y, 1.6), pen))
            items.append(Shape(polyline([(x - 4, y), (x + 4, y)]), pen))
            items.append(Shape(polyline([(x, y - 4), (x, y + 4)]), pen))
    return items


def draw_rule(length_in: int, size_pt: float, *, is_upright: bool = False) -> list[Item]:
    """A rule of whole inches from the origin, with a mark at 100 mm where it reaches so far; ticks to one side."""
    pen = Stroke(EDGE_MM, BLACK)
    reach = length_in * INCH_MM
    marks: list[tuple[float, float, str]] = [(inch * INCH_MM, 3.0, str(inch)) for inch in range(length_in)]
    marks.append((reach, 3.0, f"{length_in} in"))
    below = [(100.0, -3.0, "100 mm")] if reach > 100 else []

    def place(along: float, off: float) -> Point:
        return (-off, along) if is_upright else (along, off)

    items: list[Item] = [Shape(polyline([place(0, 0), place(reach, 0)]), pen)]
    for along, tick, words in (*marks, *below):
        items.append(Shape(polyline([place(along, 0), place(along, tick)]), pen))
        lift = tick + 0.7 if tick > 0 else tick - 0.7 - leading_mm(size_pt) * 0.62
        x, y = place(along, lift)
        items.append(
            set_text(x, y, words, FontFace.REGULAR, size_pt, BLACK, "middle", 90.0 if is_upright else 0.0)
        )
    return items


def draw_assembly(
    plate_width: Length, room: tuple[float, float], scale: float, size_pt: float
) -> FigureDrawing:
    """The plate with its tiles as they go together, numbered; 1:`scale`. `room` is a tile's greatest size, mm."""
    grid = plan_tiles(plate_width, *room)
    items: list[Item] = []
    for tile in grid.tiles:
        x, y = tile.x / scale, tile.y / scale
        pen = Stroke(EDGE_MM, BLACK, (1.6, 0.8))
        items.append(Shape(rectangle(x, y, grid.width_mm / scale, grid.height_mm / scale), pen))
    corners = [(x / scale, y / scale) for x, y in outline_plate(grid.plate_mm)]
    items.append(Shape(polyline(corners, closed=True), OUTLINE))
    for tile in grid.tiles:
        middle = ((tile.x + grid.width_mm / 2) / scale, (tile.y + grid.height_mm / 2) / scale)
        items.append(Shape(circle(*middle, size_pt * 0.36), Stroke(EDGE_MM, BLACK), WHITE))
        baseline = middle[1] - size_pt * 0.123
        items.append(set_text(middle[0], baseline, str(tile.number), FontFace.BOLD, size_pt, BLACK, "middle"))
    _, _, right, top = extent_of_all(items)
    items += draw_pitcher_arrow((right + 4.0, top), 8.0, size_pt, beside=True)
    alt = say(
        "Home plate cut into {count} tiles, {columns} across and {rows} down, numbered by row from the pitcher's side.",
        count=len(grid.tiles),
        columns=grid.columns,
        rows=grid.rows,
    )
    return finish_figure(items, scale, alt)
