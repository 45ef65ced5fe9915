"""Plate areas and whole fields of odd sizes, in sixteenths of an inch, that make sense: for laws."""

from __future__ import annotations

import math
from fractions import Fraction

from hypothesis import strategies as st

from pocketref.units.length import Length


def sixteenths(low: int, high: int) -> st.SearchStrategy[Length]:
    """Lengths between so many inches."""
    return st.integers(low * 16, high * 16).map(lambda count: Length(Fraction(count, 16)))


plate_areas: st.SearchStrategy[dict[str, Length]] = st.fixed_dictionaries(
    {
        "plate-width": sixteenths(12, 20),
        "box-length": sixteenths(48, 90),
        "box-width": sixteenths(24, 60),
        "box-offset": sixteenths(2, 10),
        "catchers-box-width": sixteenths(21, 60),
        "catchers-box-depth": sixteenths(60, 120),
        "line-width": sixteenths(1, 4),
    }
)


@st.composite
def legal_plate_areas(draw: st.DrawFn) -> dict[str, Length]:
    """Any plate area that a level may have: boxes centred or placed, the catcher's box by depth, by length or none."""
    plate, width, line = draw(sixteenths(12, 24)), draw(sixteenths(18, 96)), draw(sixteenths(1, 6))
    offset = draw(sixteenths(1, min(24, int(width.inches) - 1)))
    least = int(plate.inches) // 2 + 1
    area = {"plate-width": plate, "box-width": width, "box-offset": offset, "line-width": line}
    if draw(st.booleans()):
        ahead = draw(sixteenths(max(18, int(offset.inches) + 2), 96))
        behind = draw(sixteenths(least, 96))
        area |= {"box-ahead": ahead, "box-behind": behind}
    else:
        length = draw(sixteenths(max(36, 2 * (int(offset.inches) + 2)), 120))
        ahead = behind = length / 2
        area |= {"box-length": length}
    if draw(st.booleans()):
        across = int(plate.inches + 2 * (offset.inches + width.inches))
        least_wide = int(plate.inches) + 1
        widest = plate + (offset + width) * 2
        area["catchers-box-width"] = draw(st.just(widest) | sixteenths(least_wide, min(across, 240)))
        if draw(st.booleans()):
            area["catchers-box-length"] = draw(sixteenths(24, 192))
        else:
            area["catchers-box-depth"] = draw(sixteenths(max(36, int(behind.inches) + 1), 240))
    return area


@st.composite
def whole_fields(draw: st.DrawFn) -> dict[str, Length]:
    """A plate area with bases and pitcher's plate; a mound, a lane and a published diagonal now and then."""
    base, pitching = draw(sixteenths(720, 1080)), draw(sixteenths(480, 640))
    field = draw(plate_areas) | {
        "base-distance": base,
        "base-size": draw(sixteenths(14, 18)),
        "pitching-distance": pitching,
        "pitchers-plate-width": draw(sixteenths(18, 24)),
        "pitchers-plate-depth": draw(sixteenths(4, 6)),
    }
    if draw(st.booleans()):
        diagonal = Length(Fraction(round(base.inches * 16 * Fraction(math.sqrt(2))), 16))
        field["second-base-diagonal"] = diagonal + Length(Fraction(draw(st.integers(-12, 12)), 16))
    if draw(st.booleans()):
        field["lane-width"] = draw(sixteenths(30, 40))
    if draw(st.booleans()):
        field["mound-diameter"] = draw(sixteenths(150, 220))
        field["mound-centre"] = pitching - draw(sixteenths(0, 60))
    return field
