"""The taped distances that fix a plan on the ground and check it afterwards, each between two stations."""

from __future__ import annotations

import math
import re
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
    def pair(self) -> frozenset[str]:
        """Its two stations, whichever way it is taped."""
        return frozenset((self.from_station, self.to_station))

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

_MIRRORED = {"P1": "P4", "P2": "P3", "C1": "C3", "C2": "C4", "L1": "L3", "1B": "3B", "1A": "3A", "PP1": "PP3"}
_MIRRORED |= {"K1": "K5", "K2": "K6", "D1": "D3", **{f"F{number}": f"T{number}" for number in (1, 2, 3, 4)}}
_MIRRORED |= {other: mark for mark, other in _MIRRORED.items()}
"""The station on the other side of the centre line."""


def mirror_mark(mark: str) -> str:
    """The station on the other side of the line to the pitcher; itself where it is on that line."""
    return _MIRRORED.get(mark, mark)


def _mirror(row: _Row) -> _Row:
    start, end, kind, description = row
    other = {"first": "third", "third": "first"}
    description = re.sub("first|third", lambda side: other[side[0]], description)
    return _MIRRORED.get(start, start), _MIRRORED.get(end, end), kind, description


def _with_mirrored(*rows: _Row) -> tuple[_Row, ...]:
    """Each pull, then the same on the other side."""
    return tuple(each for row in rows for each in (row, _mirror(row)))


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
_BOX: tuple[_Row, ...] = (
    ("F1", "F2", "side", "back line, first-base-side box"),
    ("F2", "F3", "side", "outer line, first-base-side box"),
    ("F3", "F4", "side", "front line, first-base-side box"),
    ("F4", "F1", "side", "inner line, first-base-side box"),
    ("F1", "F3", "diagonal", "inner back corner to outer front corner, first-base-side box"),
    ("F2", "F4", "diagonal", "outer back corner to inner front corner, first-base-side box"),
    ("P2", "F4", "offset", "near front corner of the plate to inner front corner, first-base-side box"),
    ("P2", "F1", "offset", "near front corner of the plate to inner back corner, first-base-side box"),
    ("P3", "F4", "offset", "far front corner of the plate to inner front corner, first-base-side box"),
    ("P3", "F1", "offset", "far front corner of the plate to inner back corner, first-base-side box"),
    ("P2", "F2", "check", "near front corner of the plate to outer back corner, first-base-side box"),
    ("A", "F1", "check", "rear tip to inner back corner, first-base-side box"),
    ("A", "F2", "check", "rear tip to outer back corner, first-base-side box"),
    ("A", "F3", "check", "rear tip to outer front corner, first-base-side box"),
    ("A", "F4", "check", "rear tip to inner front corner, first-base-side box"),
)
_BOX_TO_BOX: tuple[_Row, ...] = (
    ("T1", "F1", "offset", "between the boxes, inner back corners"),
    ("T4", "F4", "offset", "between the boxes, inner front corners"),
    ("T2", "F2", "check", "across both boxes, outer back corners"),
    ("T3", "F3", "check", "across both boxes, outer front corners"),
    ("T2", "F3", "check", "both boxes corner to corner, third-base back to first-base front"),
    ("F2", "T3", "check", "both boxes corner to corner, first-base back to third-base front"),
)
_REAR = "the catcher's box's rear corner, first-base side"
_SIDE = "the catcher's box's side, first-base side"
_CATCHERS_BOX: tuple[_Row, ...] = (
    ("C3", "C1", "side", "rear line of the catcher's box"),
    *_with_mirrored(
        ("C1", "C2", "side", "side of the catcher's box, first-base side"),
        ("C3", "C2", "diagonal", "catcher's box, third-base rear corner to first-base side's start"),
        ("F1", "C2", "offset", f"inner back corner to {_SIDE}"),
        ("F2", "C1", "check", f"outer back corner to {_REAR}"),
        ("P2", "C2", "check", f"near front corner of the plate to {_SIDE}"),
        ("P4", "C2", "check", f"far rear corner of the plate to {_SIDE}"),
        ("P4", "C1", "check", f"far rear corner of the plate to {_REAR}"),
        ("P2", "C1", "check", f"near front corner of the plate to {_REAR}"),
        ("T2", "C1", "check", f"outer back corner of the third-base-side box to {_REAR}"),
        ("A", "C1", "check", f"rear tip to {_REAR}"),
    ),
)
_FOUL_LINES: tuple[_Row, ...] = (
    *_with_mirrored(
        ("F4", "L1", "offset", "inner front corner to the start of the first-base foul line"),
        ("A", "L1", "check", "rear tip to the start of the first-base foul line"),
        ("F2", "L1", "check", "outer back corner to the start of the first-base foul line"),
        ("P3", "L1", "check", "far front corner of the plate to the start of the first-base foul line"),
    ),
    ("L3", "L1", "check", "between the starts of the foul lines"),
)
_FIRST = "the back corner of first base"
_SECOND = "the centre of second base"
_DIAMOND: tuple[_Row, ...] = (
    ("A", "1B", "side", f"rear tip of the plate to {_FIRST}"),
    ("1B", "2B", "side", f"back corner of first base to {_SECOND}"),
    ("2B", "3B", "side", "centre of second base to the back corner of third base"),
    ("3B", "A", "side", "back corner of third base to the rear tip of the plate"),
    ("A", "2B", "diagonal", f"rear tip of the plate to {_SECOND}"),
    ("1B", "3B", "diagonal", "back corner of first base to the back corner of third base"),
    ("A", "PP", "offset", "rear tip of the plate to the front of the pitcher's plate"),
    ("PP", "2B", "check", f"front of the pitcher's plate to {_SECOND}"),
    *_with_mirrored(
        ("PP1", "1B", "check", f"front corner of the pitcher's plate to {_FIRST}"),
        ("PP", "1B", "check", f"front of the pitcher's plate to {_FIRST}"),
        ("A", "PP1", "check", "rear tip of the plate to the pitcher's plate's front corner, first-base side"),
        ("PP1", "2B", "check", f"front corner of the pitcher's plate to {_SECOND}, first-base side"),
    ),
    ("PP3", "PP1", "side", "front edge of the pitcher's plate"),
    ("A", "MC", "offset", "rear tip of the plate to the centre of the mound"),
    *_with_mirrored(
        ("1B", "1A", "offset", "back corner of first base to its anchor"),
        ("A", "1A", "check", "rear tip of the plate to first base's anchor"),
        ("1A", "2B", "check", f"first base's anchor to {_SECOND}"),
    ),
    ("1B", "1C", "side", "back edge of first base's coloured half"),
    ("A", "1C", "check", "rear tip of the plate to the outer back corner of first base's coloured half"),
    ("1C", "2B", "check", f"outer back corner of first base's coloured half to {_SECOND}"),
    ("A", "R1", "offset", "rear tip of the plate to the start of the running lane, on the foul line"),
    ("R1", "R2", "side", "start of the running lane, foul line to lane line"),
    ("R2", "R3", "side", "running lane's outer line"),
    ("1B", "R3", "offset", "back corner of first base to the end of the lane line"),
    ("R1", "R3", "diagonal", "running lane, start on the foul line to the end of the lane line"),
    *_with_mirrored(
        ("1B", "K1", "offset", "back corner of first base to the coach's box"),
        ("K1", "K2", "side", "coach's box nearest side, first-base side"),
        ("A", "D1", "offset", "rear tip of the plate to the on-deck circle's centre, first-base side"),
    ),
)
_ROWS = (*_HOME_PLATE, *_BOX, *map(_mirror, _BOX), *_BOX_TO_BOX, *_CATCHERS_BOX, *_FOUL_LINES, *_DIAMOND)


def list_descriptions() -> list[str]:
    """What the pulls are, all that any plan has."""
    return [description for *_, description in _ROWS]


def pulls(plan: Plan) -> tuple[Pull, ...]:
    """Every pull whose two stations are on the plan, in the order a crew would tape them."""
    return tuple(
        measure_pull(plan.stations[start], plan.stations[end], kind, description)
        for start, end, kind, description in _ROWS
        if start in plan.stations and end in plan.stations
    )


def measure_pull(start: Station, end: Station, kind: PullKind, description: str) -> Pull:
    """The pull from one station to another, its length from the plan."""
    length_mm = math.hypot(end.x_mm - start.x_mm, end.y_mm - start.y_mm)
    return Pull(f"{start.name}-{end.name}", start.name, end.name, length_mm, kind, description)
