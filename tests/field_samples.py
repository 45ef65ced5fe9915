"""The dimensions of a full-size field as texts, by what they are of, for tests to change and build plans from."""

from __future__ import annotations

from collections.abc import Mapping

from pocketref.field.feet import FootPlacement
from pocketref.field.shoe import FootSide
from pocketref.units.length import Length
from pocketref.units.notation import read_length

PLATE_AREA = {
    "plate-width": "17 in",
    "box-length": "6 ft",
    "box-width": "4 ft",
    "box-offset": "6 in",
    "line-width": "2 1/2 in",
}
EDGES = {"plate-side": "8 1/2 in", "plate-rear-edge": "12 in"}
CATCHERS_BOX = {"catchers-box-width": "43 in", "catchers-box-depth": "8 ft"}
PLACED = PLATE_AREA | {
    "box-length": "",
    "box-ahead": "4 ft",
    "box-behind": "3 ft",
    "box-width": "3 ft",
    "catchers-box-width": "8 ft 5 in",
    "catchers-box-length": "10 ft",
}
"""A plate area whose boxes are placed by the plate's centre line, and whose catcher's box is as wide as both."""
FIELD = PLATE_AREA | {
    "base-distance": "90 ft",
    "base-size": "15 in",
    "pitching-distance": "60 ft 6 in",
    "pitchers-plate-width": "24 in",
    "pitchers-plate-depth": "6 in",
}
DIAGONAL = {"second-base-diagonal": "127 ft 3 3/8 in"}
MOUND = {"mound-diameter": "18 ft", "mound-centre": "59 ft"}
HEIGHT = {"pitchers-plate-height": "10 in"}
SLOPE = HEIGHT | {"mound-flat-front": "6 in", "mound-slope-length": "6 ft", "mound-slope-drop": "1 in"}
LANE = {"lane-width": "3 ft"}
SURROUNDINGS = {
    "coach-box-length": "20 ft",
    "coach-box-width": "5 ft",
    "coach-box-offset": "15 ft",
    "on-deck-diameter": "5 ft",
    "on-deck-distance": "37 ft",
}
ARC = {"infield-arc": "95 ft"}


CIRCLE = {"pitching-circle-radius": "8 ft"}
SOFTBALL = (
    FIELD
    | PLACED
    | CIRCLE
    | {
        "base-distance": "60 ft",
        "double-base-width": "30 in",
        "pitching-distance": "43 ft",
        "lane-width": "3 ft",
        "lane-length": "30 ft",
        "infield-arc": "60 ft",
    }
)
"""A fast-pitch field of 60 ft, from tests/reference/test_softball_reference.py."""


def read_lengths(texts: Mapping[str, str], **changes: str) -> dict[str, Length]:
    """The dimensions, with changes (underscores for hyphens; "" leaves one out)."""
    changed = {**texts, **{name.replace("_", "-"): text for name, text in changes.items()}}
    return {name: read_length(text) for name, text in changed.items() if text}


def mirror(placement: FootPlacement) -> FootPlacement:
    """The other foot at the mirror image across the line from the plate to second base."""
    other: FootSide = "left" if placement.side == "right" else "right"
    heading = (180.0 - placement.heading_deg) % 360.0
    return FootPlacement(-placement.x_mm, placement.y_mm, heading, placement.contact, other)
