"""The mound's heights at each foot below a level line, with targets, tolerance and blanks."""

from __future__ import annotations

from collections.abc import Iterator, Mapping
from typing import Literal

from pocketref.blocks.field.figure import MOUND
from pocketref.blocks.model import BlockModel, Cited
from pocketref.blocks.setting import Setting
from pocketref.field.mound import SlopePoint, list_slope
from pocketref.pages.blocks import Block
from pocketref.pages.table_blocks import Cell, Column, TableBlock
from pocketref.tape.mound_readings import PLATE_FIELD, write_slope_field
from pocketref.units.length import Length
from pocketref.units.notation import write_feet_inches, write_mm, write_tape

_COLUMNS = (
    Column("Ahead of the pitcher's plate", flex=True),
    Column("Target", "end"),
    Column("reading", "middle", 34.0),
    Column("mm", "end"),
    Column("±", "end"),
    Column("Above home plate", "end"),
)
"""The blank stands beside the target it is judged by, with the height above home plate at the far end."""
_HEADING = "Ground below the level line (where it lies above, write so: 1/2 in above)"


class MoundHeightsBlockModel(BlockModel):
    """The mound's heights below a level line, with targets, tolerance and blanks."""

    block: Literal["mound-heights"]

    def list_cited(self, setting: Setting) -> Iterator[Cited]:
        """The mound's dimensions, and the tolerance of a height."""
        yield from setting.list_dimensions(MOUND)
        yield from setting.list_tolerances("height")

    def build(self, setting: Setting) -> Block:
        """A row a foot of the slope."""
        return build_mound_table(setting.lengths, setting.tolerances["height"])


def build_mound_table(lengths: Mapping[str, Length], tolerance: Length) -> TableBlock:
    """The pitcher's plate above home plate, then the ground below the level line at each foot of the slope.

    Raises PocketrefError if the slope's dimensions are missing or make no sense.
    """
    points = list_slope(lengths)
    allowed = Cell(write_tape(tolerance))
    height = lengths["pitchers-plate-height"]
    tip = f"top of the pitcher's plate above home plate: target {write_feet_inches(height)}"
    plate = (
        Cell("*Top of the pitcher's plate*, above home plate"),
        _write_target(height),
        Cell(field_name=PLATE_FIELD, tooltip=tip),
        Cell(write_mm(height)),
        allowed,
        Cell(),
    )
    rows = [
        plate,
        *(_row_of_point(point, number, len(points), allowed) for number, point in enumerate(points, 1)),
    ]
    return TableBlock("mound heights", _COLUMNS, tuple(rows), _HEADING, most_stretch_mm=3.0)


def _row_of_point(point: SlopePoint, number: int, last: int, allowed: Cell) -> tuple[Cell, ...]:
    where = write_tape(point.ahead)
    if number == 1:
        where += ", where the slope starts"
    if number == last:
        where += ", the slope's foot"
    words = write_feet_inches(point.below_plate)
    tip = f"ground below the level line {write_feet_inches(point.ahead)} ahead: target {words}; above it, write so"
    return (
        Cell(where),
        _write_target(point.below_plate),
        Cell(field_name=write_slope_field(point.ahead), tooltip=tip),
        Cell(write_mm(point.below_plate)),
        allowed,
        Cell(write_tape(point.height)),
    )


def _write_target(length: Length) -> Cell:
    return Cell(f"*{write_tape(length)}*")
