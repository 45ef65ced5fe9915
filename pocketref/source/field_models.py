"""A level: the field size of a code, as dimensions and tolerances that each say where they come from."""

from __future__ import annotations

from collections.abc import Mapping
from typing import Annotated

from pydantic import AfterValidator, Field

from pocketref.source.syntax.kinds import Confidence, LengthField, Name, Sentence, Sources, refuse_unknown
from pocketref.source.syntax.located import SourceModel

DIMENSIONS: dict[str, str] = {
    "plate-width": "home plate across its front edge",
    "plate-side": "each side edge of home plate",
    "plate-rear-edge": "each edge of home plate that meets at the apex, as published",
    "box-length": "batter's box along the pitch, outside of lines",
    "box-width": "batter's box across, outside of lines",
    "box-offset": "side of home plate to the nearer edge of the batter's box",
    "catchers-box-width": "catcher's box across",
    "catchers-box-depth": "apex to the rear of the catcher's box",
    "base-distance": "side of the diamond's square",
    "base-size": "side of a base",
    "base-thickness": "height of a base above the ground",
    "second-base-diagonal": "apex to the centre of second base, as published",
    "line-width": "chalk or paint line",
    "pitching-distance": "apex to the front edge of the pitcher's plate",
    "pitchers-plate-width": "pitcher's plate across",
    "pitchers-plate-depth": "pitcher's plate from front to rear edge",
    "pitchers-plate-height": "top of the pitcher's plate above home plate",
    "mound-diameter": "mound's circle",
    "mound-centre": "apex to the centre of the mound's circle",
    "mound-flat-width": "flat top of the mound across",
    "mound-flat-depth": "flat top of the mound from front to rear",
    "mound-flat-front": "front edge of the pitcher's plate to where the slope starts",
    "mound-slope-length": "length of the mound's even slope toward home",
    "mound-slope-drop": "fall of the mound's slope over one foot",
    "lane-width": "running lane across",
    "lane-length": "running lane from its start to first base",
    "coach-box-length": "coach's box along the foul line",
    "coach-box-width": "coach's box across",
    "coach-box-offset": "foul line to the nearer edge of the coach's box",
    "on-deck-diameter": "on-deck circle",
    "on-deck-distance": "home plate to the on-deck circle",
    "infield-arc": "radius of the grass line about the front of the pitcher's plate",
    "plate-circle-diameter": "skinned circle about home plate",
    "base-cutout-radius": "skinned cut-out about a base",
    "backstop-distance": "home plate to the backstop",
    "foul-pole-distance": "apex to a foul pole",
    "centre-field-distance": "apex to the fence in centre field",
}
"""Every dimension a field may give, and what it measures."""

TOLERANCES: dict[str, str] = {
    "pull": "tape distance between two stations",
    "station": "place of a station",
    "height": "height of the mound or of the pitcher's plate",
    "line": "edge of a line",
}
"""Every tolerance a field may give, and what it is allowed on."""


def _need_dimension(name: str) -> str:
    return refuse_unknown("dimension", name, DIMENSIONS)


def _need_tolerance(name: str) -> str:
    return refuse_unknown("tolerance", name, TOLERANCES)


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
    dimensions: Mapping[Annotated[str, AfterValidator(_need_dimension)], Dimension] = Field(
        description="each dimension by name", min_length=1
    )
    tolerances: Mapping[Annotated[str, AfterValidator(_need_tolerance)], Dimension] = Field(
        default_factory=dict, description="each tolerance by name"
    )

    @property
    def key(self) -> str:
        """The name an edition lists the field by."""
        return f"{self.code}-{self.level}"
