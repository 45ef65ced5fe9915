"""The errors that crews make around home plate: what each does to a box, measured on the moved corners."""

from __future__ import annotations

import math
from dataclasses import dataclass

import pytest
from field_samples import CATCHERS_BOX, PLACED, PLATE_AREA, read_lengths

from pocketref.field.plan import construct_plate_area
from pocketref.tape.crew_errors import ALL, CORNER, CrewError, list_crew_errors
from pocketref.tape.crew_errors import CATCHER as CATCHER_KIND

LENGTHS = read_lengths(PLATE_AREA | CATCHERS_BOX)
PLAN = construct_plate_area(LENGTHS)
ERRORS = {error.name: error for error in list_crew_errors(PLAN, LENGTHS)}
INCH = 25.4
BOXES = {"first-base-side": "F", "third-base-side": "T"}


@dataclass(frozen=True)
class Shape:
    """A box as a crew would see it, in inches: its four edges across and along the field, and its turn."""

    left: float
    right: float
    back: float
    front: float
    turn_deg: float = 0.0


def measure(letter: str, error: CrewError | None = None) -> Shape:
    """The edges of a box, as the middles of its corners' places, with an error's moves."""
    corners = {}
    for mark in (f"{letter}{number}" for number in (1, 2, 3, 4)):
        dx, dy = error.moves.get(mark, (0.0, 0.0)) if error else (0.0, 0.0)
        station = PLAN.stations[mark]
        corners[mark] = ((station.x_mm + dx) / INCH, (station.y_mm + dy) / INCH)
    across, along = (sorted(place[axis] for place in corners.values()) for axis in (0, 1))
    planned = [(PLAN.stations[mark].x_mm, PLAN.stations[mark].y_mm) for mark in corners]
    moved = list(corners.values())
    turn = math.atan2(moved[1][1] - moved[0][1], moved[1][0] - moved[0][0])
    turn -= math.atan2(planned[1][1] - planned[0][1], planned[1][0] - planned[0][0])
    return Shape(
        (across[0] + across[1]) / 2,
        (across[2] + across[3]) / 2,
        (along[0] + along[1]) / 2,
        (along[2] + along[3]) / 2,
        math.degrees((turn + math.pi) % (2 * math.pi) - math.pi),
    )


def change(letter: str, error: CrewError) -> tuple[float, float, float, float]:
    """How far a box's left, right, back and front edges moved, in inches: + toward first, + toward the pitcher."""
    before, after = measure(letter), measure(letter, error)
    return (
        after.left - before.left,
        after.right - before.right,
        after.back - before.back,
        after.front - before.front,
    )


# What happens to the box on the first-base side: its edge near the plate, far from it, back and front.
# + is away from the plate, and toward the pitcher. A box is off by 2 in, its size by 3 in.
ONE_BOX = {
    "{} box 2 in toward the pitcher": (0, 0, 2, 2),
    "{} box 2 in toward the backstop": (0, 0, -2, -2),
    "{} box 2 in away from the plate": (2, 2, 0, 0),
    "{} box 2 in toward the plate": (-2, -2, 0, 0),
    "{} box 3 in too long in front": (0, 0, 0, 3),
    "{} box 3 in too short in front": (0, 0, 0, -3),
    "{} box 3 in too long behind": (0, 0, -3, 0),
    "{} box 3 in too short behind": (0, 0, 3, 0),
    "{} box 3 in too wide": (0, 3, 0, 0),
    "{} box 3 in too narrow": (0, -3, 0, 0),
    "inner line of the {} box 2 in too far from the plate": (2, 0, 0, 0),
    "inner line of the {} box 2 in too near the plate": (-2, 0, 0, 0),
}
# The same for both boxes at once. The plate is 17 in long, so tip and front edge are 8 1/2 in from its middle;
# a box measured to the inside of 2 1/2-in lines is that much larger all round.
BOTH_BOXES = {
    "both boxes centred on the plate's tip": (0, 0, -8.5, -8.5),
    "both boxes centred on the plate's front edge": (0, 0, 8.5, 8.5),
    "both boxes 2 in toward the pitcher": (0, 0, 2, 2),
    "both boxes 2 in toward the backstop": (0, 0, -2, -2),
    "both boxes measured to the inside of their lines": (-2.5, 2.5, -2.5, 2.5),
    "both boxes by a template a foot longer": (0, 0, -6, 6),
    "both boxes by a template a foot narrower": (0, -12, 0, 0),
}
TURNED = ("{} box turned +1°", "{} box turned -1°")
ASIDE = {"both boxes 2 in toward first": 2, "both boxes 2 in toward third": -2}
TURNED_TOGETHER = {"both boxes turned +1° about the plate": 1, "both boxes turned -1° about the plate": -1}
FOUL_LINES = {
    "first-base foul line starts 2 in toward first": ("L1", 2),
    "first-base foul line starts 2 in toward third": ("L1", -2),
    "third-base foul line starts 2 in toward first": ("L3", 2),
    "third-base foul line starts 2 in toward third": ("L3", -2),
}
# The catcher's box by its left, right, back and front edges; its size grows by half on either side.
CATCHER = {
    "catcher's box 2 in toward first": (2, 2, 0, 0),
    "catcher's box 2 in toward third": (-2, -2, 0, 0),
    "catcher's box 3 in too wide": (-1.5, 1.5, 0, 0),
    "catcher's box 3 in too narrow": (1.5, -1.5, 0, 0),
    "catcher's box's rear line 1 in too deep": (0, 0, -1, 0),
    "catcher's box's rear line 1 in too near": (0, 0, 1, 0),
}


def on_side(letter: str, near: float, far: float) -> tuple[float, float]:
    """Moves away from the plate as moves of the left and the right edge."""
    return (near, far) if letter == "F" else (-far, -near)


@pytest.mark.parametrize("side", BOXES)
@pytest.mark.parametrize("pattern", ONE_BOX)
def test_an_error_of_one_box_moves_the_edges_it_names_and_no_other_box(side: str, pattern: str) -> None:
    error = ERRORS[pattern.format(side)]
    letter = BOXES[side]
    near, far, back, front = ONE_BOX[pattern]
    assert change(letter, error) == pytest.approx((*on_side(letter, near, far), back, front), abs=1e-9)
    assert {mark[0] for mark in error.moves} == {letter}


@pytest.mark.parametrize("name", BOTH_BOXES)
@pytest.mark.parametrize("letter", ["F", "T"])
def test_an_error_of_both_boxes_moves_each_alike_as_seen_from_the_plate(letter: str, name: str) -> None:
    near, far, back, front = BOTH_BOXES[name]
    expected = (*on_side(letter, near, far), back, front)
    assert change(letter, ERRORS[name]) == pytest.approx(expected, abs=1e-9)


@pytest.mark.parametrize("letter", ["F", "T"])
@pytest.mark.parametrize("name", ASIDE)
def test_both_boxes_aside_keep_their_gap_to_each_other(letter: str, name: str) -> None:
    assert change(letter, ERRORS[name]) == pytest.approx((ASIDE[name], ASIDE[name], 0, 0), abs=1e-9)


@pytest.mark.parametrize("side", BOXES)
@pytest.mark.parametrize(("pattern", "degrees"), [(TURNED[0], 1.0), (TURNED[1], -1.0)])
def test_a_turned_box_keeps_its_middle_and_its_shape(side: str, pattern: str, degrees: float) -> None:
    error = ERRORS[pattern.format(side)]
    assert measure(BOXES[side], error).turn_deg == pytest.approx(degrees)
    marks = [f"{BOXES[side]}{number}" for number in (1, 2, 3, 4)]
    for axis in (0, 1):
        assert sum(error.moves[mark][axis] for mark in marks) == pytest.approx(0, abs=1e-9)
    # Half the diagonal of a box of 4 by 6 ft, over which a degree is 0.755 in.
    for mark in marks:
        assert math.hypot(*error.moves[mark]) / INCH == pytest.approx(0.755, abs=5e-4)


@pytest.mark.parametrize("name", TURNED_TOGETHER)
def test_boxes_turned_about_the_plate_keep_their_distance_from_its_middle(name: str) -> None:
    degrees = TURNED_TOGETHER[name]
    assert len(ERRORS[name].moves) == 8
    for mark, (dx, dy) in ERRORS[name].moves.items():
        x, y = PLAN.stations[mark].x_mm, PLAN.stations[mark].y_mm - 8.5 * INCH
        assert math.hypot(x + dx, y + dy) == pytest.approx(math.hypot(x, y))
        turn = math.atan2(y + dy, x + dx) - math.atan2(y, x)
        assert math.degrees((turn + math.pi) % (2 * math.pi) - math.pi) == pytest.approx(degrees)


@pytest.mark.parametrize("name", FOUL_LINES)
def test_a_foul_line_starts_beside_its_place(name: str) -> None:
    mark, inches = FOUL_LINES[name]
    assert ERRORS[name].moves == {mark: pytest.approx((inches * INCH, 0.0))}


@pytest.mark.parametrize("name", CATCHER)
def test_an_error_of_the_catchers_box_moves_the_edges_it_names(name: str) -> None:
    assert change("C", ERRORS[name]) == pytest.approx(CATCHER[name], abs=1e-9)


def test_a_single_corner_is_off_half_an_inch_in_eight_directions() -> None:
    corners = [error.moves for error in ERRORS.values() if error.kind == CORNER]
    for mark in (mark for mark in PLAN.stations if mark[0] in "FTCL"):
        moves = [moves[mark] for moves in corners if moves.keys() == {mark}]
        assert len(moves) == 8
        assert [math.hypot(*move) for move in moves] == pytest.approx([INCH / 2] * 8)
        assert [sum(axis) for axis in zip(*moves, strict=True)] == pytest.approx([0, 0], abs=1e-9)


def test_where_the_plate_is_off_all_else_moves_as_one() -> None:
    every = {mark for mark in PLAN.stations if mark[0] in "FTCL"}
    for error in (error for error in ERRORS.values() if error.kind == ALL):
        assert error.moves.keys() == every
        if "turned" not in error.name:
            assert len(set(error.moves.values())) == 1


def test_no_error_is_listed_beside_these_and_none_twice() -> None:
    patterns = (*ONE_BOX, *TURNED)
    expected = {pattern.format(side) for pattern in patterns for side in BOXES}
    expected |= {*BOTH_BOXES, *ASIDE, *TURNED_TOGETHER, *FOUL_LINES, *CATCHER, "no catcher's box painted"}
    assert {name for name, error in ERRORS.items() if error.kind not in (CORNER, ALL)} == expected
    assert len(list_crew_errors(PLAN, LENGTHS)) == len(ERRORS)


def test_a_plan_without_a_catchers_box_has_no_errors_of_it() -> None:
    lengths = read_lengths(PLATE_AREA)
    spoilt = list_crew_errors(construct_plate_area(lengths), lengths)
    assert {error.kind for error in ERRORS.values()} - {error.kind for error in spoilt} == {CATCHER_KIND}
    assert not any(mark.startswith("C") for error in spoilt for mark in error.moves)


def test_boxes_not_centred_on_the_plate_can_be_drawn_centred_or_the_wrong_way_round() -> None:
    lengths = read_lengths(PLACED)
    errors = {error.name: error for error in list_crew_errors(construct_plate_area(lengths), lengths)}
    for name, inches in (("both boxes centred on the plate", -6), ("both boxes the wrong way round", -12)):
        moves = errors[name].moves
        assert {mark[0] for mark in moves} == {"F", "T"}
        assert set(moves.values()) == {(0.0, inches * 25.4)}
    assert "both boxes measured from the plate's tip" in errors
    assert "both boxes the wrong way round" not in ERRORS
