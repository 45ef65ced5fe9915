"""One typographic scale for a whole edition, and the floor under it."""

from __future__ import annotations

from dataclasses import dataclass

from pocketref.scene.items import FontFace
from pocketref.scene.typefaces import typeface
from pocketref.units.angle import character_height_mm


@dataclass(frozen=True, slots=True)
class TypeSizes:
    """The sizes of one face, in points: everything follows from its body size."""

    body_pt: float
    small_pt: float
    heading_pt: float
    title_pt: float


def floor_size_pt(arcmin: float, distance_mm: float) -> float:
    """The least type size: capitals subtend `arcmin` minutes of arc at `distance_mm`.

    16 minutes is the least capital height of ISO 9241-3 and NUREG-0700.
    """
    return typeface(FontFace.REGULAR).size_for_cap_height(character_height_mm(arcmin, distance_mm))


def sizes_for(body_pt: float, floor_pt: float) -> TypeSizes:
    """The sizes that go with a body size; none is below the floor."""
    return TypeSizes(
        body_pt=body_pt,
        small_pt=max(floor_pt, round(body_pt * 0.9, 2)),
        heading_pt=round(body_pt * 1.06, 2),
        title_pt=round(max(body_pt * 1.36, 11.5), 2),
    )
