"""The taped distances that fix a plan on the ground and check it afterwards, each between two stations."""

from __future__ import annotations

import math
from dataclasses import dataclass
from fractions import Fraction
from typing import Literal

from pocketref.field.plan import Plan, Station
from pocketref.units.length import Length

PullKind = Literal["side", "diagonal", "offset", "check"]

_SETTLE_DENOMINATOR = 64
_SETTLE_WITHIN_IN = Fraction(1, 10**9)


@dataclass(frozen=True, slots=True)
class Pull:
    """A tape from one station to another. How near is near enough is the caller's to say."""

    name: str
    from_station: str
    to_station: str
    length_mm: float
    kind: PullKind
    """side: along an edge; diagonal: corner to corner of one shape; offset: from one shape to the next;
    check: taped at the end, to catch a mistake."""
    description: str

    @property
    def length(self) -> Length:
        """The pull as a Length for print.

        Stations carry floats, good to about 1e-11 in. A pull within 1e-9 in of a 64th is that 64th, so that
        a distance that is exact by construction prints as such.
        """
        inches = Length.from_mm(Fraction(self.length_mm)).inches
        settled = Fraction(round(inches * _SETTLE_DENOMINATOR), _SETTLE_DENOMINATOR)
        return Length(settled) if abs(settled - inches) <= _SETTLE_WITHIN_IN else Length(inches)


_Row = tuple[str, str, PullKind, str]

_HOME_PLATE: tuple[_Row, ...] = (
    ("A", "P1", "side", "rear edge of the plate, first-base side"),
    ("P1", "P2", "side", "side of the plate, first-base side"),
    ("P2", "P3", "side", "front of the plate"),
    ("P3", "P4", "side", "side of the plate, third-base side"),
    ("P4", "A", "side", "rear edge of the plate, third-base side"),
    ("P4", "P1", "check", "across the plate's rear corners"),
    ("P4", "P2", "diagonal", "across the plate, third-base rear corner to first-base front corner"),
    ("P1", "P3", "diagonal", "across the plate, first-base rear corner to third-base front corner"),
)


def _list_box(letter: str, near: str, far: str, side: str) -> tuple[_Row, ...]:
    """The pulls of one batter's box; `near` and `far` are the plate's front corners on and off its side."""
    box = f"{side} box"
    a, b, c, d = (f"{letter}{number}" for number in (1, 2, 3, 4))
    return (
        (a, b, "side", f"back line, {box}"),
        (b, c, "side", f"outer line, {box}"),
        (c, d, "side", f"front line, {box}"),
        (d, a, "side", f"inner line, {box}"),
        (a, c, "diagonal", f"inner back corner to outer front corner, {box}"),
        (b, d, "diagonal", f"outer back corner to inner front corner, {box}"),
        (near, d, "offset", f"near front corner of the plate to inner front corner, {box}"),
        (near, a, "offset", f"near front corner of the plate to inner back corner, {box}"),
        (far, d, "offset", f"far front corner of the plate to inner front corner, {box}"),
        (far, a, "offset", f"far front corner of the plate to inner back corner, {box}"),
        (near, b, "check", f"near front corner of the plate to outer back corner, {box}"),
        ("A", a, "check", f"rear tip to inner back corner, {box}"),
        ("A", b, "check", f"rear tip to outer back corner, {box}"),
        ("A", c, "check", f"rear tip to outer front corner, {box}"),
        ("A", d, "check", f"rear tip to inner front corner, {box}"),
    )


_BOX_TO_BOX: tuple[_Row, ...] = (
    ("T1", "F1", "offset", "between the boxes, inner back corners"),
    ("T4", "F4", "offset", "between the boxes, inner front corners"),
    ("T2", "F2", "check", "across both boxes, outer back corners"),
    ("T3", "F3", "check", "across both boxes, outer front corners"),
    ("T2", "F3", "check", "both boxes corner to corner, third-base back to first-base front"),
    ("F2", "T3", "check", "both boxes corner to corner, first-base back to third-base front"),
)
_CATCHERS_BOX: tuple[_Row, ...] = (
    ("C3", "C1", "side", "rear line of the catcher's box"),
    ("C1", "C2", "side", "side of the catcher's box, first-base side"),
    ("C3", "C4", "side", "side of the catcher's box, third-base side"),
    ("C3", "C2", "diagonal", "catcher's box, third-base rear corner to first-base side's start"),
    ("C1", "C4", "diagonal", "catcher's box, first-base rear corner to third-base side's start"),
    ("F1", "C2", "offset", "inner back corner to the catcher's box's side, first-base side"),
    ("T1", "C4", "offset", "inner back corner to the catcher's box's side, third-base side"),
    ("F2", "C1", "check", "outer back corner to the catcher's box's rear corner, first-base side"),
    ("T2", "C3", "check", "outer back corner to the catcher's box's rear corner, third-base side"),
    ("P2", "C2", "check", "near front corner of the plate to the catcher's box's side, first-base side"),
    ("P3", "C4", "check", "near front corner of the plate to the catcher's box's side, third-base side"),
    ("P4", "C2", "check", "far rear corner of the plate to the catcher's box's side, first-base side"),
    ("P1", "C4", "check", "far rear corner of the plate to the catcher's box's side, third-base side"),
    ("P4", "C1", "check", "far rear corner of the plate to the catcher's box's rear corner, first-base side"),
    ("P1", "C3", "check", "far rear corner of the plate to the catcher's box's rear corner, third-base side"),
    (
        "P2",
        "C1",
        "check",
        "near front corner of the plate to the catcher's box's rear corner, first-base side",
    ),
    (
        "P3",
        "C3",
        "check",
        "near front corner of the plate to the catcher's box's rear corner, third-base side",
    ),
    ("A", "C1", "check", "rear tip to the catcher's box's rear corner, first-base side"),
    ("A", "C3", "check", "rear tip to the catcher's box's rear corner, third-base side"),
)
_FOUL_LINES: tuple[_Row, ...] = (
    ("F4", "L1", "offset", "inner front corner to the start of the first-base foul line"),
    ("T4", "L3", "offset", "inner front corner to the start of the third-base foul line"),
    ("A", "L1", "check", "rear tip to the start of the first-base foul line"),
    ("A", "L3", "check", "rear tip to the start of the third-base foul line"),
    ("P3", "L1", "check", "far front corner of the plate to the start of the first-base foul line"),
    ("P2", "L3", "check", "far front corner of the plate to the start of the third-base foul line"),
    ("L3", "L1", "check", "between the starts of the foul lines"),
)
_DIAMOND: tuple[_Row, ...] = (
    ("A", "1B", "side", "rear tip of the plate to the back corner of first base"),
    ("1B", "2B", "side", "back corner of first base to the centre of second base"),
    ("2B", "3B", "side", "centre of second base to the back corner of third base"),
    ("3B", "A", "side", "back corner of third base to the rear tip of the plate"),
    ("A", "2B", "diagonal", "rear tip of the plate to the centre of second base"),
    ("1B", "3B", "diagonal", "back corner of first base to the back corner of third base"),
    ("A", "PP", "offset", "rear tip of the plate to the front of the pitcher's plate"),
    ("PP", "2B", "check", "front of the pitcher's plate to the centre of second base"),
    ("PP1", "1B", "check", "front corner of the pitcher's plate to the back corner of first base"),
    ("PP3", "3B", "check", "front corner of the pitcher's plate to the back corner of third base"),
    ("PP", "1B", "check", "front of the pitcher's plate to the back corner of first base"),
    ("PP", "3B", "check", "front of the pitcher's plate to the back corner of third base"),
    ("A", "PP1", "check", "rear tip of the plate to the pitcher's plate's front corner, first-base side"),
    ("A", "PP3", "check", "rear tip of the plate to the pitcher's plate's front corner, third-base side"),
    (
        "PP1",
        "2B",
        "check",
        "front corner of the pitcher's plate to the centre of second base, first-base side",
    ),
    (
        "PP3",
        "2B",
        "check",
        "front corner of the pitcher's plate to the centre of second base, third-base side",
    ),
    ("PP3", "PP1", "side", "front edge of the pitcher's plate"),
    ("A", "MC", "offset", "rear tip of the plate to the centre of the mound"),
    ("1B", "1A", "offset", "back corner of first base to its anchor"),
    ("3B", "3A", "offset", "back corner of third base to its anchor"),
    ("A", "1A", "check", "rear tip of the plate to first base's anchor"),
    ("A", "3A", "check", "rear tip of the plate to third base's anchor"),
    ("1A", "2B", "check", "first base's anchor to the centre of second base"),
    ("3A", "2B", "check", "third base's anchor to the centre of second base"),
    ("A", "R1", "offset", "rear tip of the plate to the start of the running lane, on the foul line"),
    ("R1", "R2", "side", "start of the running lane, foul line to lane line"),
    ("R2", "R3", "side", "running lane's outer line"),
    ("1B", "R3", "offset", "back corner of first base to the end of the lane line"),
    ("R1", "R3", "diagonal", "running lane, start on the foul line to the end of the lane line"),
    ("1B", "K1", "offset", "back corner of first base to the coach's box"),
    ("3B", "K5", "offset", "back corner of third base to the coach's box"),
    ("K1", "K2", "side", "coach's box nearest side, first-base side"),
    ("K5", "K6", "side", "coach's box nearest side, third-base side"),
    ("A", "D1", "offset", "rear tip of the plate to the on-deck circle's centre, first-base side"),
    ("A", "D3", "offset", "rear tip of the plate to the on-deck circle's centre, third-base side"),
)


def pulls(plan: Plan) -> tuple[Pull, ...]:
    """Every pull whose two stations are on the plan, in the order a crew would tape them."""
    rows = (
        *_HOME_PLATE,
        *_list_box("F", "P2", "P3", "first-base-side"),
        *_list_box("T", "P3", "P2", "third-base-side"),
        *_BOX_TO_BOX,
        *_CATCHERS_BOX,
        *_FOUL_LINES,
        *_DIAMOND,
    )
    return tuple(
        measure_pull(plan.stations[start], plan.stations[end], kind, description)
        for start, end, kind, description in rows
        if start in plan.stations and end in plan.stations
    )


def measure_pull(start: Station, end: Station, kind: PullKind, description: str) -> Pull:
    """The pull from one station to another, its length from the plan."""
    length_mm = math.hypot(end.x_mm - start.x_mm, end.y_mm - start.y_mm)
    return Pull(f"{start.name}-{end.name}", start.name, end.name, length_mm, kind, description)
