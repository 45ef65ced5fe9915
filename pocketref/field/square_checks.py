"""Checks that a staked-out plan is square: equal diagonals, and 3-4-5 triangles as large as the tape allows."""

from __future__ import annotations

from dataclasses import dataclass
from fractions import Fraction

from pocketref.field.plan import Plan
from pocketref.field.pulls import measure_pull
from pocketref.units.length import INCHES_PER_FOOT, Length
from pocketref.units.notation import write_tape

TAPE_FT = 100
"""The tape at hand: the longest pull that a 3-4-5 triangle may ask for, our own figure."""


@dataclass(frozen=True, slots=True)
class SquareCheck:
    """A distance to tape at the end. `note` says what it shows."""

    what: str
    length: Length
    note: str


def list_square_checks(plan: Plan, published_diagonal: Length | None = None) -> tuple[SquareCheck, ...]:
    """The checks of a plan, around home plate or of a whole field.

    Lengths are those of the exact square, which is what is staked out; a published diagonal is named beside them.
    """
    if "1B" in plan.stations:
        return _check_field(plan, published_diagonal)
    return _check_boxes(plan)


def _check_field(plan: Plan, published: Length | None) -> tuple[SquareCheck, ...]:
    diagonal = plan.figures["square-diagonal"].length
    note = "both diagonals equal: the corners are square"
    if published is not None:
        same = write_tape(published) == write_tape(diagonal)
        said = "as published" if same else f"published as {write_tape(published)}"
        note = f"{said}; equal to 1B to 3B: square corners"
    side = measure_pull(plan.stations["A"], plan.stations["1B"], "side", "").length
    return (
        SquareCheck("A to 2B", diagonal, note),
        SquareCheck("1B to 3B", diagonal, "equal to A to 2B: square corners"),
        _make_triangle(side, TAPE_FT, "the tip of the plate", "one foul line", "the other"),
    )


def _check_boxes(plan: Plan) -> tuple[SquareCheck, ...]:
    diagonal = measure_pull(plan.stations["T1"], plan.stations["T3"], "diagonal", "").length
    across = measure_pull(plan.stations["T2"], plan.stations["F3"], "check", "").length
    side = measure_pull(plan.stations["T1"], plan.stations["T4"], "side", "").length
    corners = "T1 to T3, T2 to T4, F1 to F3, F2 to F4"
    return (
        SquareCheck(corners, diagonal, "all four equal: both boxes are square"),
        SquareCheck("T2 to F3, F2 to T3", across, "equal: the boxes stand level with each other"),
        _make_triangle(side, TAPE_FT, "a box's back corner", "its back line", "its side line"),
    )


def find_triangle(side: Length, tape_ft: int) -> tuple[int, int, int]:
    """The largest 3-4-5 triangle in whole feet whose legs fit along the sides and whose long side fits the tape.

    3, 4 and 5 ft at least.
    """
    fits = int(Fraction(side.inches) / INCHES_PER_FOOT / 4)
    factor = max(1, min(fits, tape_ft // 5))
    return 3 * factor, 4 * factor, 5 * factor


def _make_triangle(side: Length, tape_ft: int, corner: str, one: str, other: str) -> SquareCheck:
    a, b, c = find_triangle(side, tape_ft)
    what = f"3-4-5: from {corner} {a} ft along {one} and {b} ft along {other}; between the two marks"
    longest = Length(Fraction(c * INCHES_PER_FOOT))
    return SquareCheck(what, longest, f"{write_tape(longest)}: a right angle")
