"""Places that readings can't tell apart, against a search of the other side by SciPy's least squares."""

from __future__ import annotations

import math
from collections.abc import Mapping

import numpy as np
import pytest
from scipy.optimize import least_squares
from scipy.stats import chi2
from tape_samples import INCH, pin, plan_of, tape

from pocketref.field.plan import PointMm
from pocketref.tape.error_budget import STEEL
from pocketref.tape.network import Network, Solution, construct_network, solve_network
from pocketref.tape.readings import Pin
from pocketref.tape.reliability import find_mirrored


def network_of(places_in: Mapping[str, tuple[float, float]], *pulls: str) -> Network:
    """Exact readings of pulls such as "A-C" of places in inches; what comes before C in the alphabet is a pin."""
    plan = plan_of(places_in)
    pins = pin(*(mark for mark in places_in if mark < "C"))
    return construct_network(plan.stations, tape(plan, pulls), pins, STEEL)


def solve(network: Network) -> Solution:
    solution = solve_network(network)
    assert solution is not None
    return solution


def mirror_of(network: Network, mark: str = "C") -> PointMm | None:
    return find_mirrored(network, solve(network)).get(network.marks.index(mark))


def search_other_side(network: Network, start_mm: PointMm) -> tuple[PointMm, float]:
    """The place on that side that C's readings from the pins fit best, and its chi-square, by SciPy."""
    points = network.planned_mm.reshape(-1, 2)
    own = network.ends == network.marks.index("C")
    pins, lengths, errors = (
        points[network.starts[own]],
        network.reading_mm[own],
        network.error_mm[own],
    )
    found = least_squares(
        lambda place: (np.hypot(*(pins - place).T) - lengths) / errors, start_mm, xtol=1e-14, ftol=1e-14
    )
    x, y = found.x.tolist()
    return (x, y), 2 * float(found.cost)


@pytest.mark.parametrize("shift", [(0.0, 0.0), (400.0, -250.0)])
def test_the_other_place_lies_across_the_line_of_the_pins_wherever_the_field_lies(
    shift: tuple[float, float],
) -> None:
    places = {"A": (0.0, 0.0), "B": (90.0, 40.0), "C": (20.0, 80.0)}
    # 20, 80 mirrored across the line through 0, 0 and 90, 40: its part along the line less its part across
    along = (20 * 90 + 80 * 40) / (90**2 + 40**2)
    expected = (2 * along * 90 - 20 + shift[0], 2 * along * 40 - 80 + shift[1])
    moved = {mark: (x + shift[0], y + shift[1]) for mark, (x, y) in places.items()}
    found = mirror_of(network_of(moved, "A-C", "B-C"))
    assert found == pytest.approx(tuple(inches * INCH for inches in expected), abs=0.01)


@pytest.mark.parametrize("far", [120.0, 900.0])
@pytest.mark.parametrize("count", [3, 4, 5])
def test_a_pin_off_the_line_rules_the_other_place_out_once_its_misfit_is_beyond_the_limit(
    far: float, count: int
) -> None:
    """Chi-square at 99 % with as many degrees of freedom as readings, short and long tapes weighed by their errors."""
    told = []
    for off in np.linspace(0.02, 0.9, 45).tolist():
        places = {"A": (0.0, 0.0), "A2": (far, 0.0), "B": (80.0, off), "B2": (30.0, 0.0), "B3": (-40.0, 0.0)}
        places = dict(list(places.items())[:count]) | {"C": (50.0, 70.0)}
        network = network_of(places, *(f"{mark}-C" for mark in places if mark != "C"))
        place, misfit = search_other_side(network, (50 * INCH, -70 * INCH))
        found = mirror_of(network)
        limit = float(chi2.ppf(0.99, count))
        assert abs(misfit - limit) > 0.01
        assert (found is not None) == (misfit < limit)
        if found is not None:
            assert found == pytest.approx(place, abs=0.02)
        told.append(found is not None)
    assert {*told} == {True, False}


def test_a_reading_that_was_left_out_rules_no_place_out() -> None:
    network = network_of({"A": (0, 0), "B": (100, 0), "B2": (20, 90), "C": (50, 70)}, "A-C", "B-C", "B2-C")
    assert mirror_of(network) is None
    assert mirror_of(network.leave_out(2)) == pytest.approx((50 * INCH, -70 * INCH), abs=0.01)


def test_one_reading_alone_is_no_second_place() -> None:
    network = network_of({"A": (0, 0), "B": (100, 0), "C": (50, 70)}, "A-C", "B-C")
    assert find_mirrored(network.leave_out(1), solve(network)) == {}


def test_two_places_nearer_than_four_standard_errors_are_one() -> None:
    told = []
    for off in np.linspace(1.0, 6.0, 51).tolist():
        network = network_of({"A": (0, 0), "B": (100, 0), "C": (50, off)}, "A-C", "B-C")
        deviation = math.sqrt(float(np.diag(solve(network).covariance).max()))
        apart = 2 * off * INCH / deviation
        assert abs(apart - 4) > 1e-3
        told.append(mirror_of(network) is not None)
        assert told[-1] == (apart > 4)
    assert {*told} == {True, False}


def test_a_neighbour_that_is_itself_taped_is_allowed_its_own_error() -> None:
    """From D, which is itself known by tape only, the other side of C is not ruled out as it would be from a pin."""
    places = {"A": (0.0, 0.0), "B": (100.0, 0.0), "C": (50.0, 70.0)}
    for name, is_told in (("B9", False), ("D", True)):
        here = places | {name: (60.0, 0.17)}
        pulls = ["A-C", "B-C", f"{name}-C", *([] if name == "B9" else ["A-D", "B-D"])]
        assert (mirror_of(network_of(here, *pulls)) is not None) == is_told


def test_a_pin_that_is_held_one_way_has_no_other_place() -> None:
    plan = plan_of({"A": (0, 0), "B": (100, 0), "C": (50, 70)})
    for held in (Pin("C", None, 0.0), Pin("C", 0.0, None)):
        network = construct_network(plan.stations, tape(plan, ("A-C", "B-C")), [*pin("A", "B"), held], STEEL)
        assert find_mirrored(network, solve(network)) == {}
