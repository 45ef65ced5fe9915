"""The mound's heights at each foot below a level line, with targets, tolerance and blanks."""

from __future__ import annotations

from collections.abc import Iterator, Mapping
from typing import Literal

from pocketref.blocks.field.figure import MOUND
from pocketref.blocks.model import BlockModel, Cited
from pocketref.blocks.setting import Setting
from pocketref.field.mound import SlopePoint, check_has_mound, list_slope
from pocketref.pages.blocks import Block
from pocketref.pages.table_blocks import Cell, Column, TableBlock
from pocketref.source.field_models import FieldModel
from pocketref.tape.mound_readings import PLATE_FIELD, write_slope_field
from pocketref.units.length import Length
from pocketref.units.notation import write_feet_inches, write_mm, write_tape
from pocketref.words.speech import say
from pocketref.words.terminal import tell


def _head_columns() -> tuple[Column, ...]:
    """The blank stands beside the target it is judged by, with the height above home plate at the far end."""
    return (
        Column(say("Ahead of the pitcher's plate"), flex=True),
        Column(say("Target"), "end"),
        Column(say("reading"), "middle", 34.0),
        Column("mm", "end"),
        Column("±", "end"),
        Column(say("Above home plate"), "end"),
    )


class MoundHeightsBlockModel(BlockModel):
    """The mound's heights below a level line, with targets, tolerance and blanks."""

    block: Literal["mound-heights"]

    def tell_unfit(self, field: FieldModel) -> str:
        """That it has a pitching circle."""
        is_circle = "pitching-circle-radius" in field.dimensions
        return tell("it has a pitching circle in the place of a mound") if is_circle else ""

    def list_cited(self, setting: Setting) -> Iterator[Cited]:
        """The mound's dimensions, and the tolerance of a height."""
        yield from setting.list_dimensions(MOUND)
        yield from setting.list_tolerances("height")

    def build(self, setting: Setting) -> Block:
        """A row a foot of the slope."""
        check_has_mound(setting.lengths)
        return build_mound_table(setting.lengths, setting.tolerances["height"])


def build_mound_table(lengths: Mapping[str, Length], tolerance: Length) -> TableBlock:
    """The pitcher's plate above home plate, then the ground below the level line at each foot of the slope.

    Raises PocketrefError if the slope's dimensions are missing or make no sense.
    """
    points = list_slope(lengths)
    allowed = Cell(write_tape(tolerance))
    height = lengths["pitchers-plate-height"]
    tip = say(
        "top of the pitcher's plate above home plate: target {target}", target=write_feet_inches(height)
    )
    plate = (
        Cell(say("*Top of the pitcher's plate*, above home plate")),
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
    heading = say("Ground below the level line (where it lies above, write so: 1/2 in above)")
    return TableBlock("mound heights", _head_columns(), tuple(rows), heading, most_stretch_mm=3.0)


def _row_of_point(point: SlopePoint, number: int, last: int, allowed: Cell) -> tuple[Cell, ...]:
    where = write_tape(point.ahead)
    if number == 1:
        where = say("{far}, where the slope starts", far=where)
    if number == last:
        where = say("{far}, the slope's foot", far=where)
    words = write_feet_inches(point.below_plate)
    tip = say(
        "ground below the level line {far} ahead: target {target}; above it, write so",
        far=write_feet_inches(point.ahead),
        target=words,
    )
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
