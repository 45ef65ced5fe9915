"""Heights taped on a mound: below the level line at each place, and the pitcher's plate above home plate.

As YAML::

    level: high-school-90-ft
    plan: mound
    plate-height: 10 in
    readings:
      - {ahead: 18 in, below: 1 in}
      - {ahead: 30 in, below: 1/2 in above}

The second lies above the level line; "-1/2 in" says the same.
"""

from __future__ import annotations

import re
from collections.abc import Mapping
from dataclasses import dataclass
from fractions import Fraction
from typing import Annotated, Literal

from pydantic import Field, PlainSerializer, PlainValidator

from pocketref.field.mound import (
    NEEDED,
    JudgedSlope,
    SlopePoint,
    SlopeReading,
    judge_plate_height,
    judge_slope,
    list_slope,
)
from pocketref.problems import ProblemLog, refusal
from pocketref.source.syntax.kinds import LengthField, LengthOrZero, Name, convert_length
from pocketref.source.syntax.located import SourceModel
from pocketref.source.syntax.nodes import MapNode, Node, TextNode
from pocketref.tape.readings_file import validate_file
from pocketref.units.length import Length
from pocketref.units.notation import NotationError, read_length, write_exact

PLATE_FIELD = "plate-height"
_SLOPE_FIELD = re.compile(r"below-([0-9]{1,4})(?:_([0-9]{1,3})-([1-9][0-9]{0,2}))?-in")

_SIDE = re.compile(
    r"(?P<length>.*\S)\s+(?P<side>above|below)(\s+(the\s+)?(level\s+)?line)?\s*", re.IGNORECASE
)


def read_depth(text: str, near: Length | None = None) -> Length:
    """How far ground is below the level line: "1 in"; above it "1/2 in above" or "-1/2 in", which are negative.

    `near` is what it should be about. Raises NotationError as `read_length` does, and for a sign that doesn't
    say which way it counts.
    """
    if text.strip() == "0":
        return Length(Fraction(0))  # level is level in any unit
    said = _SIDE.fullmatch(text)
    bare = said["length"] if said else text
    sign = bare.lstrip()[:1]
    if sign == "+" or (said and sign in ("-", "−")):
        sentence = f"'{sign}' doesn't say whether the ground is above or below the level line"
        amount = bare.lstrip()[1:].strip()
        hint = f"write {amount} below or {amount} above, without a sign"
        raise NotationError("length-range", sentence, hint, text.index(sign))
    depth = read_length(bare, allow_zero=True, allow_negative=True, near=near)
    return -depth if said and said["side"].lower() == "above" else depth


Depth = Annotated[
    Length,
    PlainValidator(lambda value: convert_length(value, read_depth)),
    PlainSerializer(write_exact, return_type=str),
]
"""How far below the level line; negative above it."""


class HeightModel(SourceModel):
    """One height as measured."""

    ahead: LengthOrZero = Field(
        description="from the front of the pitcher's plate toward home, such as 18 in"
    )
    below: Depth = Field(description="ground below the level line, such as 1 in, or 1/2 in above it")


class MoundReadingsModel(SourceModel):
    """A file of heights."""

    level: Name = Field(description="the field's file, such as high-school-90-ft")
    plan: Literal["mound"] = Field(description="mound")
    plate_height: LengthField | None = Field(
        default=None, description="top of the pitcher's plate above home plate, such as 10 in"
    )
    readings: tuple[HeightModel, ...] = Field(
        default=(), max_length=100, description="a list of {ahead: , below: }"
    )


@dataclass(frozen=True, slots=True)
class MoundReadings:
    """Heights of a level's mound."""

    level: str
    slope: tuple[SlopeReading, ...]
    plate_height: Length | None = None


@dataclass(frozen=True, slots=True)
class JudgedMound:
    """A mound's heights against the level; `plate` is None where the pitcher's plate was not read."""

    plate: JudgedSlope | None
    slope: tuple[JudgedSlope, ...]
    unread: tuple[SlopePoint, ...] = ()
    """The places of the slope that no reading is of."""

    @property
    def is_good(self) -> bool:
        """Whether every height that was read is within the tolerance."""
        return all(judged.is_good for judged in (*self.slope, *((self.plate,) if self.plate else ())))

    @property
    def is_whole(self) -> bool:
        """Whether the pitcher's plate and every place of the slope were read."""
        return self.plate is not None and not self.unread


def write_slope_field(ahead: Length) -> str:
    """The name of the blank for the ground at a distance ahead of the pitcher's plate, such as "below-18-in"."""
    whole, rest = divmod(ahead.inches, 1)
    return f"below-{whole}_{rest.numerator}-{rest.denominator}-in" if rest else f"below-{whole}-in"


def read_slope_field(name: str) -> Length | None:
    """How far ahead of the pitcher's plate a blank's ground is; None if the name is no such blank's."""
    match = _SLOPE_FIELD.fullmatch(name)
    if match is None:
        return None
    whole, numerator, denominator = match.groups()
    return Length(Fraction(int(whole)) + (Fraction(int(numerator), int(denominator)) if numerator else 0))


def says_mound(tree: Node | None) -> bool:
    """Whether the `plan` of a file's tree is the mound."""
    entry = tree.find("plan") if isinstance(tree, MapNode) else None
    return entry is not None and isinstance(entry[1], TextNode) and entry[1].text == "mound"


def read_mound_readings(tree: Node | None, problems: ProblemLog, level: str = "") -> MoundReadings:
    """The heights of a file's tree, of `level` if it names none; raises as `read_readings` does."""
    model = validate_file(tree, MoundReadingsModel, problems, level)
    slope = tuple(SlopeReading(row.ahead, row.below, row.location) for row in model.readings)
    return MoundReadings(model.level, slope, model.plate_height)


def judge_mound(readings: MoundReadings, lengths: Mapping[str, Length], tolerance: Length) -> JudgedMound:
    """Every height against the level; raises PocketrefError if there is none, or one can't be."""
    if not readings.slope and readings.plate_height is None:
        raise refusal("tape-empty", "there are no readings", "write at least one height")
    height = readings.plate_height
    plate = judge_plate_height(lengths, height, tolerance) if height is not None else None
    slope = judge_slope(lengths, readings.slope, tolerance)
    read = {one.reading.ahead for one in slope}
    has_slope = all(name in lengths for name in NEEDED)
    asked = list_slope(lengths) if has_slope else ()
    return JudgedMound(plate, slope, tuple(point for point in asked if point.ahead not in read))
