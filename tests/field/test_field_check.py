"""The field check's pulls: chosen by trying, the same every time, and honest about what they miss."""

from __future__ import annotations

import itertools
import math

import pytest
from field_sheets import lengths_of, library, plan_of

from pocketref.field.crew_errors import list_crew_errors
from pocketref.field.field_check import choose_field_check, measure_change_mm
from pocketref.field.pulls import pulls
from pocketref.units.length import Length
from pocketref.units.notation import read_length

PLAN, LENGTHS = plan_of("plate-area"), lengths_of()
QUARTER = read_length("1/4 in")
ERRORS = list_crew_errors(PLAN, LENGTHS)


def count_shown(names: tuple[str, ...], tolerance: Length) -> int:
    taped = [pull for pull in pulls(PLAN) if pull.name in names]
    return sum(
        any(abs(measure_change_mm(PLAN, pull, error)) > tolerance.float_mm for pull in taped)
        for error in ERRORS
    )


@pytest.mark.parametrize("tolerance", ["1/4 in", "1 in", "2 in"])
@pytest.mark.parametrize("count", [1, 2])
def test_no_other_set_of_as_many_pulls_shows_more(tolerance: str, count: int) -> None:
    allowed = read_length(tolerance)
    check = choose_field_check(PLAN, LENGTHS, allowed, count)
    every = [pull.name for pull in pulls(PLAN)]
    most = max(count_shown(names, allowed) for names in itertools.combinations(every, count))
    assert check.found == count_shown(tuple(pull.name for pull in check.pulls), allowed) == most


@pytest.mark.parametrize("level", sorted(library().fields))
def test_five_pulls_show_nine_in_ten_at_every_level(level: str) -> None:
    tolerance = library().fields[level].tolerances["pull"].value
    check = choose_field_check(plan_of("plate-area", level), lengths_of(level), tolerance)
    assert len(check.pulls) == 5
    assert check.share >= 0.9
    assert check == choose_field_check(plan_of("plate-area", level), lengths_of(level), tolerance)


def test_what_is_missed_is_said_and_what_is_caught_is_named_by_pull() -> None:
    check = choose_field_check(PLAN, LENGTHS, read_length("2 in"), 2)
    assert check.missed
    assert check.found + len(check.missed) == check.errors == len(ERRORS)
    caught = {name for names in check.caught.values() for name in names}
    assert caught.isdisjoint(check.missed)
    assert len(caught) == check.found


def test_more_pulls_never_show_less() -> None:
    found = [choose_field_check(PLAN, LENGTHS, read_length("1 1/2 in"), count).found for count in (1, 2, 3)]
    assert found == sorted(found)


def test_the_errors_have_names_of_their_own_and_move_what_they_say() -> None:
    assert len({error.name for error in ERRORS}) == len(ERRORS)
    by_name = {error.name: error for error in ERRORS}
    shifted = by_name["first-base-side box 2 in away from the plate"]
    assert shifted.moves == dict.fromkeys(("F1", "F2", "F3", "F4"), (pytest.approx(50.8), 0.0))
    turned = by_name["first-base-side box turned +1°"]
    corner = PLAN.stations["F3"]
    centre_x = (corner.x_mm + PLAN.stations["F1"].x_mm) / 2
    centre_y = (corner.y_mm + PLAN.stations["F1"].y_mm) / 2
    dx, dy = turned.moves["F3"]
    reach = math.dist((corner.x_mm, corner.y_mm), (centre_x, centre_y))
    assert math.hypot(dx, dy) == pytest.approx(2 * reach * math.sin(math.radians(0.5)))
    inside = by_name["both boxes measured to the inside of their lines"]
    assert inside.moves["T2"] == (pytest.approx(-63.5), pytest.approx(-63.5))
