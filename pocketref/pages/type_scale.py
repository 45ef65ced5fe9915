"""One typographic scale for a whole edition, and the floor under it."""

from __future__ import annotations

from dataclasses import dataclass
from functools import lru_cache

from pocketref.scene.items import FontFace
from pocketref.scene.typefaces import typeface
from pocketref.units.angle import character_height_mm

_MOST_BODY_PT = 11.0
TITLE_PT = 11.8
"""The title of every face, so that a card's faces have one header."""


@dataclass(frozen=True, slots=True)
class TypeSizes:
    """The sizes of one face, in points: everything follows from its body size but the title and what is looked up."""

    step_pt: float
    """The step of the scale that they go with."""
    body_pt: float
    small_pt: float
    heading_pt: float
    lead_pt: float
    """What is read while the game waits: questions, answers and verdicts."""
    source_pt: float
    """What is looked up, with the face held near: sections, edition, who issued it."""
    title_pt: float = TITLE_PT


@lru_cache(maxsize=64)
def floor_size_pt(arcmin: float, distance_mm: float) -> float:
    """The least type size: capitals subtend `arcmin` minutes of arc at `distance_mm`.

    16 minutes is the least capital height of ISO 9241-3 and NUREG-0700.
    """
    return typeface(FontFace.REGULAR).size_for_cap_height(character_height_mm(arcmin, distance_mm))


def sizes_for(step_pt: float, floor_pt: float, lead_pt: float = 0.0) -> TypeSizes:
    """The sizes that go with a step of the scale; none is below the floor, and what leads not below `lead_pt`.

    What leads grows with every step, text only until its headings are as large as titles.
    """
    body_pt = min(step_pt, _MOST_BODY_PT)
    return TypeSizes(
        step_pt=step_pt,
        body_pt=body_pt,
        small_pt=max(floor_pt, round(body_pt * 0.9, 2)),
        heading_pt=round(body_pt * 1.06, 2),
        lead_pt=max(step_pt, lead_pt),
        source_pt=floor_pt,
    )
