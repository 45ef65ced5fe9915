"""The least-squares problem behind a taped field, against SciPy and against finite differences."""

from __future__ import annotations

import itertools
import math
from dataclasses import replace

import numpy as np
import pytest
from scipy.optimize import least_squares
from tape_samples import pin, plan_of, tape

from pocketref.tape.error_budget import STEEL
from pocketref.tape.network import Network, construct_network, solve_network
from pocketref.tape.readings import Pin

PLACES = {"A": (0, 0), "B": (700, 40), "C": (650, 560), "D": (90, 610), "E": (330, 260)}
MOVED = PLACES | {"C": (662, 548), "D": (84, 615), "E": (310, 290)}


def net_of(*pins: Pin, **by_in: float) -> Network:
    """Five stations all taped, by a plan from which three have moved; some readings off by inches."""
    pulls = [f"{start}-{end}" for start, end in itertools.combinations(PLACES, 2)]
    readings = tape(plan_of(MOVED), pulls, **by_in)
    return construct_network(plan_of(PLACES).stations, readings, pins or pin("A", "B"), STEEL)


NETS = {
    "as taped": net_of(),
    "misread by feet": net_of(C_D=30.0, A_E=-18.0),
    "a pin that gives way": net_of(*pin("A"), Pin("B", 25.0, 0.0), Pin("C", None, 12.0), C_D=2.0),
    "a misread of half a field": net_of(B_D=-400.0),
}


@pytest.mark.parametrize("name", NETS)
def test_the_places_found_are_those_of_scipy(name: str) -> None:
    network = NETS[name]
    solution = solve_network(network)
    assert solution is not None

    def misfit(unknowns: np.ndarray) -> np.ndarray:
        places = network.planned_mm.copy()
        places[network.columns] = unknowns
        points = places.reshape(-1, 2)
        away = np.hypot(*(points[network.ends] - points[network.starts]).T)
        drift = (places - network.planned_mm)[network.pinned] / network.pin_error_mm
        return np.concatenate([(away - network.reading_mm) / network.error_mm, drift])

    start = solution.position_mm[network.columns] + 0.5
    found = least_squares(misfit, start, xtol=1e-15, ftol=1e-15, gtol=1e-15)
    assert solution.position_mm[network.columns] == pytest.approx(found.x, abs=1e-4)
    assert solution.square_sum == pytest.approx(2 * found.cost, rel=1e-9, abs=1e-9)
    assert solution.misfit == pytest.approx(misfit(solution.position_mm[network.columns]), abs=1e-9)
    held = np.setdiff1d(np.arange(len(network.planned_mm)), network.columns)
    assert (solution.position_mm[held] == network.planned_mm[held]).all()
    covariance = np.linalg.inv(found.jac.T @ found.jac)
    assert solution.covariance == pytest.approx(covariance, rel=1e-3, abs=1e-3)
    redundancy = 1 - np.diag(found.jac @ covariance @ found.jac.T)
    assert solution.redundancy == pytest.approx(redundancy, abs=1e-4)


@pytest.mark.parametrize("name", NETS)
def test_rows_are_the_slopes_of_the_misfits(name: str) -> None:
    network = NETS[name]
    place = network.planned_mm + np.linspace(-40, 60, len(network.planned_mm))
    rows, _ = network.linearise(place)
    for column, coordinate in enumerate(network.columns.tolist()):
        ahead, behind = place.copy(), place.copy()
        ahead[coordinate] += 1e-3
        behind[coordinate] -= 1e-3
        slope = (network.linearise(ahead)[1] - network.linearise(behind)[1]) / 2e-3
        assert rows[:, column] == pytest.approx(slope, abs=1e-6)


def test_two_stations_in_one_place_stop_nothing() -> None:
    network = replace(NETS["as taped"], planned_mm=np.zeros(10))
    rows, misfit = network.linearise(network.planned_mm)
    assert np.isfinite(rows).all()
    assert misfit == pytest.approx(-network.reading_mm / network.error_mm)


def test_a_station_that_is_let_go_is_unknown_both_ways() -> None:
    network = NETS["as taped"]
    assert network.columns.tolist() == [4, 5, 6, 7, 8, 9]
    assert network.free("B").columns.tolist() == [2, 3, 4, 5, 6, 7, 8, 9]
    assert network.free("A").columns.tolist() == [0, 1, 4, 5, 6, 7, 8, 9]


def test_readings_left_out_doubted_and_exchanged_are_no_longer_firm_or_themselves() -> None:
    network = NETS["as taped"]
    assert network.is_firm.all()
    assert np.flatnonzero(~network.leave_out(2, 5).is_firm).tolist() == [2, 5]
    assert np.flatnonzero(~network.doubt([1, 4]).is_firm).tolist() == [1, 4]
    swapped = network.swap(1, 4).reading_mm
    assert (swapped[1], swapped[4]) == (network.reading_mm[4], network.reading_mm[1])
    assert np.delete(swapped, [1, 4]).tolist() == np.delete(network.reading_mm, [1, 4]).tolist()


def test_the_weight_of_misfits_leaves_out_what_is_doubted() -> None:
    network = NETS["misread by feet"]
    whole = solve_network(network)
    assert whole is not None
    square, spare = whole.weigh(network)
    # Ten readings, six unknowns, but the one between the held pins, which is all to spare.
    assert (square, spare) == (pytest.approx(whole.square_sum), 4)
    doubted = network.doubt([7])
    loose = solve_network(doubted, may_be_loose=True)
    assert loose is not None
    square, spare = loose.weigh(doubted)
    assert square == pytest.approx(loose.square_sum - float(loose.misfit[7]) ** 2)
    assert spare == 3


def test_a_station_known_no_better_than_to_a_foot_is_loose() -> None:
    """C from two pins ever nearer to one line with it: its own standard error by the tapes' angle, 300 mm at most."""
    told = []
    for off in np.geomspace(0.05, 3, 40).tolist():
        plan = plan_of({"A": (0, 0), "B": (100, 0), "C": (50, off)})
        network = construct_network(plan.stations, tape(plan, ("A-C", "B-C")), pin("A", "B"), STEEL)
        rows, _ = network.linearise(network.planned_mm)
        error = math.sqrt(float(np.diag(np.linalg.inv(rows.T @ rows)).max()))
        assert abs(error / 300 - 1) > 1e-3
        solution = solve_network(network)
        told.append(solution is not None)
        assert told[-1] == (error < 300)
        assert (solve_network(network, may_be_loose=True) is not None) == (error < 10_000)
    assert {*told} == {True, False}
