"""The outline of a shoe's sole, as a polygon that can be laid on the ground.

The shape is the project's own: a drawn sole of ordinary proportions, not a measured shoe. Its size is given
by the caller; the default stands for a common adult cleat.
"""

from __future__ import annotations

from functools import cache
from typing import Literal

from shapely import Polygon, affinity, box

FootSide = Literal["left", "right"]
Contact = Literal["flat", "heel", "toe", "air"]

SHOE_LENGTH_MM = 300.0
"""Length of the default sole: our own figure, a common adult size."""
SHOE_WIDTH_MM = 105.0
"""Greatest width of the default sole: our own figure."""
HEEL_SHARE = 0.30
"""The share of the length, from the back, that is down when only the heel is: our own figure."""
TOE_SHARE = 0.35
"""The share of the length, from the tip, that is down when only the toes and ball are: our own figure."""

# Corner points of a right sole before rounding: share of the length from the heel, share of the width from
# the middle towards the big toe. Only proportions matter; the outline is stretched to its size afterwards.
_CORNERS: tuple[tuple[float, float], ...] = (
    (0.00, -0.12),
    (0.03, -0.28),
    (0.14, -0.36),
    (0.34, -0.36),
    (0.52, -0.43),
    (0.68, -0.50),
    (0.82, -0.43),
    (0.94, -0.20),
    (1.00, 0.04),
    (0.99, 0.24),
    (0.90, 0.42),
    (0.74, 0.50),
    (0.60, 0.38),
    (0.46, 0.24),
    (0.32, 0.24),
    (0.14, 0.34),
    (0.03, 0.28),
    (0.00, 0.12),
)
_ROUNDINGS = 2


def _round_corners(points: tuple[tuple[float, float], ...]) -> tuple[tuple[float, float], ...]:
    """Cut each corner of a closed outline at a quarter and three quarters of its sides (Chaikin's rule)."""
    rounded: list[tuple[float, float]] = []
    for (x1, y1), (x2, y2) in zip(points, points[1:] + points[:1], strict=True):
        rounded.append((0.75 * x1 + 0.25 * x2, 0.75 * y1 + 0.25 * y2))
        rounded.append((0.25 * x1 + 0.75 * x2, 0.25 * y1 + 0.75 * y2))
    return tuple(rounded)


@cache
def _construct_unit_sole() -> Polygon:
    """A right sole 1 long and 1 wide, middle of its extent at the origin, toes towards +x."""
    points = _CORNERS
    for _ in range(_ROUNDINGS):
        points = _round_corners(points)
    sole = Polygon(points)
    left, bottom, right, top = sole.bounds
    centred = affinity.translate(sole, -(left + right) / 2, -(bottom + top) / 2)
    return affinity.scale(centred, 1 / (right - left), 1 / (top - bottom), origin=(0, 0))


def construct_sole(
    side: FootSide = "right", length_mm: float = SHOE_LENGTH_MM, width_mm: float = SHOE_WIDTH_MM
) -> Polygon:
    """A sole of the given size in mm, middle of its extent at the origin, toes towards +x."""
    across = width_mm if side == "right" else -width_mm
    return affinity.scale(_construct_unit_sole(), length_mm, across, origin=(0, 0))


def cut_contact(sole: Polygon, contact: Contact) -> Polygon:
    """The part of an unplaced sole (toes towards +x) that is on the ground; empty for a foot in the air."""
    left, bottom, right, top = sole.bounds
    length = right - left
    if contact == "flat":
        return sole
    if contact == "heel":
        part = sole & box(left, bottom, left + HEEL_SHARE * length, top)
    elif contact == "toe":
        part = sole & box(right - TOE_SHARE * length, bottom, right, top)
    else:
        return Polygon()
    return part if isinstance(part, Polygon) else Polygon()
