"""A level: the field size of a code, as dimensions and tolerances that each say where they come from."""

from __future__ import annotations

from collections.abc import Mapping
from typing import Annotated

from pydantic import AfterValidator, Field

from pocketref.source.syntax.kinds import Confidence, LengthField, Name, OneOf, Sentence, Sources
from pocketref.source.syntax.located import SourceModel

DIMENSIONS: dict[str, str] = {
    "plate-width": "home plate, width (its front edge)",
    "plate-side": "home plate, each side edge",
    "plate-rear-edge": "home plate, each rear edge (those that meet at the apex, as published)",
    "box-length": "batter's box, length (along the pitch, outside of lines)",
    "box-width": "batter's box, width (outside of lines)",
    "box-offset": "home plate to the batter's box (its side to the nearer edge)",
    "catchers-box-width": "catcher's box, width",
    "catchers-box-depth": "catcher's box, depth (from the apex to its rear)",
    "base-distance": "base to base (side of the diamond's square)",
    "base-size": "base, side",
    "double-base-width": "double first base, width (its white and its coloured half together)",
    "base-thickness": "base, height above the ground",
    "second-base-diagonal": "home to second base (apex to the centre of the base, as published)",
    "line-width": "chalk or paint line, width",
    "pitching-distance": "pitching distance (apex to the front edge of the pitcher's plate)",
    "pitchers-plate-width": "pitcher's plate, width",
    "pitchers-plate-depth": "pitcher's plate, depth (from front to rear edge)",
    "pitchers-plate-height": "pitcher's plate, height (its top above home plate)",
    "mound-diameter": "mound, diameter",
    "mound-centre": "home to the centre of the mound (from the apex)",
    "mound-flat-width": "mound's flat top, width",
    "mound-flat-depth": "mound's flat top, depth (from front to rear)",
    "mound-flat-front": "pitcher's plate to the slope (from its front edge to where the slope starts)",
    "mound-slope-length": "mound's slope, length (of its even part, toward home)",
    "mound-slope-drop": "mound's slope, fall (over one foot)",
    "lane-width": "running lane, width",
    "lane-length": "running lane, length (from its start to first base)",
    "coach-box-length": "coach's box, length (along the foul line)",
    "coach-box-width": "coach's box, width",
    "coach-box-offset": "foul line to the coach's box (to its nearer edge)",
    "on-deck-diameter": "on-deck circle, diameter",
    "on-deck-distance": "home plate to the on-deck circle",
    "infield-arc": "grass line, radius (about the front of the pitcher's plate)",
    "plate-circle-diameter": "skinned circle about home plate, diameter",
    "base-cutout-radius": "skinned cut-out about a base, radius",
    "backstop-distance": "home plate to the backstop",
    "foul-pole-distance": "home to a foul pole (from the apex)",
    "centre-field-distance": "home to the fence in centre field (from the apex)",
}
"""Every dimension a field may give: what a crew calls it, and in brackets what exactly it measures."""

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
