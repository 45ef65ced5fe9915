"""Where a foot or knee is: what of it is on the ground against the batter's box, its lines and home plate.

Boundary cases follow three rules, the same for every code of rules:

* A line is part of the box (OBR 5.04(b)(5) approved ruling), and both its edges belong to the line. A foot
  that only touches a line's edge, with no overlap, touches the line. So a foot that comes up to the outer
  edge from outside is not wholly outside, and one that comes up to the inner edge from inside is on the line.
* The plate's edge belongs to the plate in the same way.
* Only the part of the sole on the ground counts. A foot in the air is nowhere.

Lengths are mm; the frame is the field's (origin at the plate's apex, +y to second base, +x to the first-base
side). Polygons may be any simple shapes in that frame.
"""

from __future__ import annotations

from collections.abc import Iterable
from dataclasses import dataclass
from enum import StrEnum
from functools import lru_cache

from shapely import Point, Polygon, affinity
from shapely.geometry.base import BaseGeometry

from pocketref.field.shoe import (
    SHOE_LENGTH_MM,
    SHOE_WIDTH_MM,
    Contact,
    FootSide,
    construct_sole,
    cut_contact,
)
from pocketref.problems import refusal
from pocketref.units.length import INCH_MM
from pocketref.words.terminal import tell

CONTACT_TOLERANCE_MM = 0.01
"""Things nearer than this touch. Far below what an eye or a tape can tell, far above rounding of floats."""

KNEE_RADIUS_MM = 2 * INCH_MM
"""Half of what a knee covers of the ground: our own figure."""


class Where(StrEnum):
    """Where the grounded part of a foot or knee is, in order from best for the batter to worst."""

    IN_AIR = "in-air"
    """Nothing on the ground."""
    INSIDE = "inside"
    """Wholly within the lines, touching none."""
    ON_LINE = "on-line"
    """Touches a line; nothing past a line's outer edge."""
    OVER = "over"
    """Partly past the outer edge, but touching the box or its lines."""
    OUTSIDE = "outside"
    """On the ground and wholly past the outer edge."""


_ORDER = tuple(Where)


@dataclass(frozen=True, slots=True)
class FootPlacement:
    """A foot on the field: the middle of the sole's extent, which way the toes point, what is on the ground.

    `heading_deg` is counter-clockwise from +x: 90 points at second base. Sizes are mm; the defaults are the
    project's own.
    """

    x_mm: float
    y_mm: float
    heading_deg: float
    contact: Contact = "flat"
    side: FootSide = "right"
    length_mm: float = SHOE_LENGTH_MM
    width_mm: float = SHOE_WIDTH_MM


@dataclass(frozen=True, slots=True)
class KneePlacement:
    """A knee on the ground: the middle of the patch that it covers, in mm."""

    x_mm: float
    y_mm: float
    side: FootSide = "right"


@dataclass(frozen=True, slots=True)
class GroundJudgement:
    """Where a foot or knee is, decided with CONTACT_TOLERANCE_MM."""

    where: Where
    touches_plate: bool

    @property
    def past_outer_edge(self) -> bool:
        """Any part on the ground past a line's outer edge."""
        return self.where in (Where.OVER, Where.OUTSIDE)


@lru_cache(maxsize=1024)  # a foot is judged, measured and drawn
def construct_footprint(placement: FootPlacement) -> tuple[Polygon, Polygon]:
    """The whole sole as placed, and the part of it on the ground (empty for a foot in the air)."""
    if placement.length_mm <= 0 or placement.width_mm <= 0:
        sentence = tell("a shoe must be longer and wider than nothing")
        raise refusal("foot-size", sentence, tell("give length and width in mm"))
    sole = construct_sole(placement.side, placement.length_mm, placement.width_mm)
    grounded = cut_contact(sole, placement.contact)
    return _place(sole, placement), _place(grounded, placement)


def judge_foot(
    placement: FootPlacement, box_polygon: Polygon, plate_polygon: Polygon, line_width_mm: float
) -> GroundJudgement:
    """Judge one foot. `box_polygon` runs along the outside edges of the box's lines."""
    return _judge_print(construct_footprint(placement)[1], box_polygon, plate_polygon, line_width_mm)


def construct_kneeprint(placement: KneePlacement) -> Polygon:
    """The patch of ground that a knee covers."""
    return Point(placement.x_mm, placement.y_mm).buffer(KNEE_RADIUS_MM)


def judge_knee(
    placement: KneePlacement, box_polygon: Polygon, plate_polygon: Polygon, line_width_mm: float
) -> GroundJudgement:
    """Judge one knee, as `judge_foot` does a foot."""
    return _judge_print(construct_kneeprint(placement), box_polygon, plate_polygon, line_width_mm)


def _judge_print(
    sole: Polygon, box_polygon: Polygon, plate_polygon: Polygon, line_width_mm: float
) -> GroundJudgement:
    if sole.is_empty:
        return GroundJudgement(Where.IN_AIR, touches_plate=False)
    touches_plate = sole.distance(plate_polygon) <= CONTACT_TOLERANCE_MM
    return GroundJudgement(_locate(sole, box_polygon, _shrink(box_polygon, line_width_mm)), touches_plate)


def worse_foot(judgements: Iterable[GroundJudgement]) -> GroundJudgement:
    """The foot that is worse for the batter: by place first, then by touching the plate, else the first.

    Whether *any* foot touches the plate is another question: ask it of every foot.
    """
    found = tuple(judgements)
    if not found:
        raise refusal("foot-none", tell("no foot was placed"), tell("place at least one foot"))
    return max(found, key=lambda judgement: (_ORDER.index(judgement.where), judgement.touches_plate))


def _place(shape: Polygon, placement: FootPlacement) -> Polygon:
    turned = affinity.rotate(shape, placement.heading_deg, origin=(0, 0))
    return affinity.translate(turned, placement.x_mm, placement.y_mm)


def _shrink(shape: BaseGeometry, by_mm: float) -> BaseGeometry:
    """The shape `by_mm` smaller on every side, its corners kept sharp (negative: larger)."""
    return shape.buffer(-by_mm, join_style="mitre")


def _locate(sole: Polygon, box_polygon: Polygon, within_lines: BaseGeometry) -> Where:
    """Where a grounded sole is. The order of the questions is what settles the boundary cases."""
    if sole.distance(box_polygon) > CONTACT_TOLERANCE_MM:
        return Where.OUTSIDE
    if not _shrink(box_polygon, -CONTACT_TOLERANCE_MM).covers(sole):
        return Where.OVER
    if not _shrink(within_lines, CONTACT_TOLERANCE_MM).covers(sole):
        return Where.ON_LINE
    return Where.INSIDE
