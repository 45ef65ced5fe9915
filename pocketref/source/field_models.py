"""A level: the field size of a code, as dimensions and tolerances that each say where they come from."""

from __future__ import annotations

import re
from collections.abc import Mapping
from typing import Annotated

from pydantic import AfterValidator, Field

from pocketref.source.syntax.kinds import Confidence, LengthField, Name, OneOf, Sentence, Sources
from pocketref.source.syntax.located import SourceModel
from pocketref.units.length import Length
from pocketref.units.notation import read_length

_DIMENSIONS = """
plate-width, 12 to 24 in: home plate, width (its front edge)
plate-side, 6 to 12 in: home plate, each side edge
plate-rear-edge, 8 to 17 in: home plate, each rear edge (those that meet at the apex, as published)
box-length, 3 to 10 ft: batter's box, length (along the pitch, outside of lines)
box-ahead, 1.5 to 8 ft: batter's box, ahead of the plate's centre line (to its front line)
box-behind, 1 to 8 ft: batter's box, behind the plate's centre line (to its back line)
box-width, 1.5 to 8 ft: batter's box, width (outside of lines)
box-offset, 1 to 24 in: home plate to the batter's box (its side to the nearer edge)
catchers-box-width, 17 to 240 in: catcher's box, width
catchers-box-depth, 3 to 20 ft: catcher's box, depth (from the apex to its rear)
catchers-box-length, 2 to 16 ft: catcher's box, length (from the batter's boxes' back lines to its rear)
base-distance, 25 to 110 ft: base to base (side of the diamond's square)
base-size, 8 to 24 in: base, side
double-base-width, 16 to 48 in: double first base, width (its white and its coloured half together)
base-thickness, 0.25 to 8 in: base, height above the ground
second-base-diagonal, 35 to 156 ft: home to second base (apex to the centre of the base, as published)
line-width, 0.5 to 8 in: chalk or paint line, width
pitching-distance, 15 to 75 ft: pitching distance (apex to the front edge of the pitcher's plate)
pitchers-plate-width, 8 to 36 in: pitcher's plate, width
pitchers-plate-depth, 1 to 12 in: pitcher's plate, depth (from front to rear edge)
pitchers-plate-height, 0.5 to 24 in: pitcher's plate, height (its top above home plate)
mound-diameter, 3 to 30 ft: mound, diameter
mound-centre, 15 to 75 ft: home to the centre of the mound (from the apex)
pitching-circle-radius, 2 to 15 ft: pitching circle, radius (about the middle of the pitcher's plate's front edge)
mound-flat-width, 1 to 15 ft: mound's flat top, width
mound-flat-depth, 0.5 to 10 ft: mound's flat top, depth (from front to rear)
mound-flat-front, 0.5 to 36 in: pitcher's plate to the slope (from its front edge to where the slope starts)
mound-slope-length, 1 to 15 ft: mound's slope, length (of its even part, toward home)
mound-slope-drop, 0.125 to 4 in: mound's slope, fall (over one foot)
lane-width, 1 to 10 ft: running lane, width
lane-length, 5 to 110 ft: running lane, length (from its start to first base)
coach-box-length, 3 to 50 ft: coach's box, length (along the foul line)
coach-box-width, 1 to 30 ft: coach's box, width
coach-box-offset, 1 to 40 ft: foul line to the coach's box (to its nearer edge)
on-deck-diameter, 1 to 15 ft: on-deck circle, diameter
on-deck-distance, 5 to 120 ft: home plate to the on-deck circle
infield-arc, 20 to 150 ft: grass line, radius (about the front of the pitcher's plate)
plate-circle-diameter, 5 to 50 ft: skinned circle about home plate, diameter
base-cutout-radius, 2 to 30 ft: skinned cut-out about a base, radius
backstop-distance, 10 to 150 ft: home plate to the backstop
foul-pole-distance, 75 to 500 ft: home to a foul pole (from the apex)
centre-field-distance, 75 to 600 ft: home to the fence in centre field (from the apex)
"""
_ROWS = re.findall(r"^(\S+), (\S+) to (\S+) (in|ft): (.+)$", _DIMENSIONS, re.MULTILINE)
DIMENSIONS: dict[str, str] = {name: label for name, _, _, _, label in _ROWS}
"""Every dimension a field may give: what a crew calls it, and in brackets what exactly it measures."""
BOUNDS: dict[str, tuple[Length, Length]] = {
    name: (read_length(f"{least} {unit}"), read_length(f"{most} {unit}"))
    for name, least, most, unit, _ in _ROWS
}
"""The least and the most that each can be on any ballfield, children's to full size: our own bounds, wide enough for
house rules and narrow enough that feet for inches, or a lost digit, fall outside most of them."""

TOLERANCES: dict[str, str] = {
    "station": "place of a station",
    "height": "height of the mound or of the pitcher's plate",
    "line": "edge of a line",
}
"""Every tolerance a field may give, and what it is allowed on."""


class Dimension(SourceModel):
    """A published length, where it comes from and how sure that is."""

    value: LengthField = Field(description="a length with its unit, such as 8 1/2 in")
    source: Sources = Field(description="the work and section, such as hs-book 1-2-10, or house")
    confidence: Confidence = Field(description=f"one of: {', '.join(Confidence)}")
    note: Sentence = ""


class FieldModel(SourceModel):
    """The file of a level: fields/<code>-<level>.yaml."""

    level: Name = Field(description="the field size, such as 90-ft")
    code: Name = Field(description="the code it belongs to, such as high-school")
    name: Sentence = Field(description="what the field is called in print")
    dimensions: Mapping[Annotated[str, AfterValidator(OneOf("dimension", DIMENSIONS))], Dimension] = Field(
        description="each dimension by name", min_length=1
    )
    tolerances: Mapping[Annotated[str, AfterValidator(OneOf("tolerance", TOLERANCES))], Dimension] = Field(
        default_factory=dict, description="each tolerance by name"
    )

    @property
    def key(self) -> str:
        """The name an edition lists the field by."""
        return f"{self.code}-{self.level}"
