"""Heights taped on a mound: below the level line at each place, and the pitcher's plate above home plate.

As YAML::

    level: high-school-90-ft
    plan: mound
    plate-height: 10 in
    readings:
      - {ahead: 18 in, below: 1 in}
"""

from __future__ import annotations

import re
from collections.abc import Mapping
from dataclasses import dataclass, replace
from fractions import Fraction
from itertools import zip_longest
from pathlib import Path
from typing import Literal

from pydantic import Field

from pocketref.field.mound import JudgedSlope, SlopeReading, judge_plate_height, judge_slope
from pocketref.problems import Location, PocketrefError, Problem, ProblemLog
from pocketref.source.kinds import LengthField, LengthOrZero, Name
from pocketref.source.located import SourceModel
from pocketref.source.nodes import MapNode, TextNode, read_tree
from pocketref.source.validation import validate_node
from pocketref.units.length import Length
from pocketref.units.notation import write_tape

PLATE_FIELD = "plate-height"
_SLOPE_FIELD = re.compile(r"below-([0-9]{1,4})(?:_([0-9]{1,3})-([1-9][0-9]{0,2}))?-in")


class HeightModel(SourceModel):
    """One height as measured."""

    ahead: LengthOrZero = Field(
        description="from the front of the pitcher's plate toward home, such as 18 in"
    )
    below: LengthOrZero = Field(description="ground below the level line, such as 1 in")


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
    places: tuple[Location | None, ...] = ()
    """Where each height of the slope is written."""


@dataclass(frozen=True, slots=True)
class JudgedMound:
    """A mound's heights against the level; `plate` is None where the pitcher's plate was not read."""

    plate: JudgedSlope | None
    slope: tuple[JudgedSlope, ...]

    @property
    def is_good(self) -> bool:
        """Whether every height that was read is within the tolerance."""
        return all(judged.is_good for judged in (*self.slope, *((self.plate,) if self.plate else ())))


def name_slope_field(ahead: Length) -> str:
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


def says_mound(path: Path, shown: str) -> bool:
    """Whether a YAML file's `plan` is the mound; faults are left to whoever reads it whole."""
    tree = read_tree(path, shown, ProblemLog())
    if not isinstance(tree, MapNode):
        return False
    return any(
        key.text == "plan" and isinstance(value, TextNode) and value.text == "mound"
        for key, value in tree.entries
    )


def read_mound_readings(path: Path, shown: str) -> MoundReadings:
    """A YAML file of heights; raises PocketrefError with all that is wrong."""
    problems = ProblemLog()
    tree = read_tree(path, shown, problems)
    model = validate_node(tree, MoundReadingsModel, problems) if tree is not None else None
    problems.raise_errors()
    if model is None:
        raise PocketrefError(problems.problems)
    slope = tuple(SlopeReading(row.ahead, row.below) for row in model.readings)
    return MoundReadings(
        model.level, slope, model.plate_height, tuple(row.location for row in model.readings)
    )


def judge_mound(readings: MoundReadings, lengths: Mapping[str, Length], tolerance: Length) -> JudgedMound:
    """Every height against the level; raises PocketrefError if there is none, or one can't be."""
    if not readings.slope and readings.plate_height is None:
        raise PocketrefError([Problem("tape-empty", "there are no readings", "write at least one height")])
    plate = None
    if readings.plate_height is not None:
        plate = judge_plate_height(lengths, readings.plate_height, tolerance)
    problems = ProblemLog()
    slope: list[JudgedSlope] = []
    for reading, where in zip_longest(readings.slope, readings.places):
        try:
            slope += judge_slope(lengths, [reading], tolerance)
        except PocketrefError as error:
            problems.extend(replace(problem, where=where) for problem in error.problems)
    problems.raise_errors()
    return JudgedMound(plate, tuple(slope))


def word_height(judged: JudgedSlope, *, is_plate: bool = False) -> str:
    """One height in a line: where, what it should be, and what to do."""
    if is_plate:
        place = "pitcher's plate above home plate"
        wanted, found = judged.target.height, judged.target.height - judged.add
        move = f"{'raise' if judged.add.inches > 0 else 'lower'} it {write_tape(abs(judged.add))}"
    else:
        place = f"{write_tape(judged.reading.ahead)} ahead of the pitcher's plate"
        wanted, found = judged.target.below_plate, judged.reading.below_plate
        move = judged.move
    verdict = "good" if judged.is_good else f"out: {move}"
    return f"{place}: {verdict} (reads {write_tape(found)}, target {write_tape(wanted)})"
