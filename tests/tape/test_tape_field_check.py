"""The field check's pulls: chosen by trying, the same every time, and honest about what they miss."""

from __future__ import annotations

import math
from collections.abc import Iterable

import pytest
from field_sheets import lengths_of, library, plan_of

from pocketref.field.pulls import pulls
from pocketref.tape.crew_errors import ALL, CORNER, CrewError, list_crew_errors
from pocketref.tape.field_check import choose_field_check, measure_change_mm
from pocketref.tape.sheet_pulls import find_limit_mm

PLAN, LENGTHS = plan_of("plate-area"), lengths_of()
ERRORS = list_crew_errors(PLAN, LENGTHS)
KINDS = [error.kind for error in ERRORS]
SHOWS = {
    pull.name: {
        error.name for error in ERRORS if abs(measure_change_mm(PLAN, pull, error)) > find_limit_mm(pull)
    }
    for pull in pulls(PLAN)
}


def weigh(names: Iterable[str]) -> float:
    """What a set of pulls shows of each kind of error, the shares added."""
    seen = set().union(*(SHOWS[name] for name in names))
    return sum(1 / KINDS.count(error.kind) for error in ERRORS if error.name in seen)


@pytest.mark.parametrize("count", [1, 2, 5])
def test_no_exchange_of_one_pull_shows_more(count: int) -> None:
    chosen = [pull.name for pull in choose_field_check(PLAN, LENGTHS, count).pulls]
    assert len(chosen) == count
    best = max(weigh({*chosen, name} - {out}) for out in chosen for name in SHOWS if name not in chosen)
    assert weigh(chosen) >= best - 1e-9


@pytest.mark.parametrize("level", sorted(library().fields))
def test_five_pulls_show_every_shifted_turned_or_missized_box(level: str) -> None:
    check = choose_field_check(plan_of("plate-area", level), lengths_of(level))
    assert {error.kind for error in check.missed} <= {CORNER, ALL}
    assert check == choose_field_check(plan_of("plate-area", level), lengths_of(level))


def test_what_is_missed_is_said_the_likeliest_first_and_what_is_caught_is_named_by_pull() -> None:
    check = choose_field_check(PLAN, LENGTHS)
    assert check.missed[0].kind == CORNER
    assert check.found + len(check.missed) == check.errors == len(ERRORS)
    caught = {name for names in check.caught.values() for name in names}
    assert caught.isdisjoint(error.name for error in check.missed)
    assert len(caught) == check.found


def test_a_mark_that_no_pull_ends_at_is_unseen_and_another_shows_along_its_pull() -> None:
    check = choose_field_check(PLAN, LENGTHS)
    for mark in check.unseen:
        far = CrewError(CORNER, "far", {mark: (900.0, 700.0)})
        assert all(measure_change_mm(PLAN, pull, far) == 0 for pull in check.pulls)
    for pull, limit in zip(check.pulls, check.limits_mm, strict=True):
        start, end = PLAN.stations[pull.from_station], PLAN.stations[pull.to_station]
        share = check.corner_mm / pull.length_mm
        along = CrewError(
            CORNER,
            "along",
            {pull.to_station: ((end.x_mm - start.x_mm) * share, (end.y_mm - start.y_mm) * share)},
        )
        assert measure_change_mm(PLAN, pull, along) >= limit - 1e-6


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


def test_a_pull_grows_by_what_an_error_does_to_its_two_ends_and_by_nothing_else() -> None:
    errors = {error.name: error for error in ERRORS}
    taped = {pull.name: pull for pull in pulls(PLAN)}
    forward = errors["first-base-side box 2 in toward the pitcher"]
    assert measure_change_mm(PLAN, taped["T4-T1"], forward) == pytest.approx(0, abs=1e-9)
    assert measure_change_mm(PLAN, taped["F4-F1"], forward) == pytest.approx(0, abs=1e-9)
    start, end = PLAN.stations["T2"], PLAN.stations["F3"]
    across, along = end.x_mm - start.x_mm, end.y_mm - start.y_mm
    expected = math.hypot(across, along + 2 * 25.4) - math.hypot(across, along)
    assert measure_change_mm(PLAN, taped["T2-F3"], forward) == pytest.approx(expected)
