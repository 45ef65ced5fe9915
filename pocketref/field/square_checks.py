"""Checks that a staked-out plan is square: equal diagonals, and 3-4-5 triangles as large as the tape allows."""

from __future__ import annotations

from dataclasses import dataclass
from fractions import Fraction

from pocketref.field.plan import Plan
from pocketref.field.pulls import measure_pull
from pocketref.units.length import INCHES_PER_FOOT, Length
from pocketref.units.notation import write_tape
from pocketref.words.speech import say

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
    note = say("both diagonals equal: the corners are square")
    if published is not None:
        same = write_tape(published) == write_tape(diagonal)
        note = (
            say("as published; equal to 1B to 3B: square corners")
            if same
            else say("published as {length}; equal to 1B to 3B: square corners", length=write_tape(published))
        )
    side = measure_pull(plan.stations["A"], plan.stations["1B"], "side", "").length
    return (
        SquareCheck(say("A to 2B"), diagonal, note),
        SquareCheck(say("1B to 3B"), diagonal, say("equal to A to 2B: square corners")),
        _make_triangle(
            side,
            say(
                "3-4-5: from the tip of the plate {a} ft along one foul line and {b} ft along the other; "
                "between the two marks"
            ),
        ),
    )


def _check_boxes(plan: Plan) -> tuple[SquareCheck, ...]:
    diagonal = measure_pull(plan.stations["T1"], plan.stations["T3"], "diagonal", "").length
    across = measure_pull(plan.stations["T2"], plan.stations["F3"], "check", "").length
    side = measure_pull(plan.stations["T1"], plan.stations["T4"], "side", "").length
    corners = say("T1 to T3, T2 to T4, F1 to F3, F2 to F4")
    return (
        SquareCheck(corners, diagonal, say("all four equal: both boxes are square")),
        SquareCheck(say("T2 to F3, F2 to T3"), across, say("equal: the boxes stand level with each other")),
        _make_triangle(
            side,
            say(
                "3-4-5: from a box's back corner {a} ft along its back line and {b} ft along its side line; "
                "between the two marks"
            ),
        ),
    )


def find_triangle(side: Length, tape_ft: int) -> tuple[int, int, int]:
    """The largest 3-4-5 triangle in whole feet whose legs fit along the sides and whose long side fits the tape.

    3, 4 and 5 ft at least.
    """
    fits = int(Fraction(side.inches) / INCHES_PER_FOOT / 4)
    factor = max(1, min(fits, tape_ft // 5))
    return 3 * factor, 4 * factor, 5 * factor


def _make_triangle(side: Length, what: str) -> SquareCheck:
    a, b, c = find_triangle(side, TAPE_FT)
    longest = Length(Fraction(c * INCHES_PER_FOOT))
    return SquareCheck(
        what.format(a=a, b=b), longest, say("{length}: a right angle", length=write_tape(longest))
    )
