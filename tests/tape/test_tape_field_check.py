"""The field check's pulls: chosen by trying, the same every time, and honest about what they miss."""

from __future__ import annotations

import itertools
import math
from collections.abc import Callable, Iterable

import pytest
from field_sheets import lengths_of, library, plan_of

from pocketref.field.pulls import pulls
from pocketref.tape.crew_errors import list_crew_errors
from pocketref.tape.field_check import choose_field_check, measure_change_mm
from pocketref.units.length import Length
from pocketref.units.notation import read_length

PLAN, LENGTHS = plan_of("plate-area"), lengths_of()
QUARTER = read_length("1/4 in")
ERRORS = list_crew_errors(PLAN, LENGTHS)


def weigh(tolerance: Length) -> Callable[[Iterable[str]], tuple[int, int, float]]:
    """What makes a set of pulls the better one: errors shown, those shown twice over, and shorter tapes."""
    shown = {
        pull.name: [abs(measure_change_mm(PLAN, pull, error)) / tolerance.float_mm for error in ERRORS]
        for pull in pulls(PLAN)
    }
    length = {pull.name: pull.length_mm for pull in pulls(PLAN)}

    def weigh_set(names: Iterable[str]) -> tuple[int, int, float]:
        most = [max(sizes) for sizes in zip(*(shown[name] for name in names), strict=True)]
        counts = (sum(size > least for size in most) for least in (1, 2))
        return (*counts, -round(sum(length[name] for name in names), 6))

    return weigh_set


@pytest.mark.parametrize("tolerance", ["1/4 in", "1 in", "2 in"])
@pytest.mark.parametrize("count", [1, 2])
def test_no_other_set_of_as_many_pulls_is_better(tolerance: str, count: int) -> None:
    allowed = read_length(tolerance)
    weigh_set = weigh(allowed)
    check = choose_field_check(PLAN, LENGTHS, allowed, count)
    every = [pull.name for pull in pulls(PLAN)]
    best = max(weigh_set(names) for names in itertools.combinations(every, count))
    assert weigh_set([pull.name for pull in check.pulls]) == best
    assert check.found == best[0]


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
