"""The tape report's arithmetic against published tables, handbook figures and another solver."""

from __future__ import annotations

import math
from fractions import Fraction

import numpy as np
import pytest
from field_samples import SLOPE, read_lengths
from scipy.optimize import least_squares
from simulated_fields import errors_of, simulate_field

from pocketref.field.mound import list_slope
from pocketref.field.plan import Plan, construct_plan, construct_station
from pocketref.field.pulls import measure_pull
from pocketref.tape.adjust import ELLIPSE_FACTOR, adjust_readings
from pocketref.tape.error_budget import (
    STEEL,
    ErrorBudget,
    correct_temperature_mm,
    predict_reading_error_mm,
)
from pocketref.tape.misreads import CRITICAL
from pocketref.tape.readings import Pin, Reading
from pocketref.tape.reliability import MISREAD_SHOWS
from pocketref.units.length import Length
from pocketref.units.notation import read_length

INCH = 25.4


def test_normal_and_chi_square_quantiles_are_those_of_the_tables() -> None:
    """NIST/SEMATECH e-Handbook of Statistical Methods, 1.3.6.7.1 and 1.3.6.7.4; from memory."""
    assert abs(ELLIPSE_FACTOR**2 - 5.991) < 5e-4


def test_snooping_constants_are_baardas() -> None:
    """W. Baarda, A testing procedure for use in geodetic networks (1968): 3.29 and 4.13; from memory."""
    assert math.isclose(CRITICAL, 3.29, abs_tol=5e-3)
    assert math.isclose(MISREAD_SHOWS, 4.13, abs_tol=5e-3)


@pytest.mark.parametrize(
    ("feet", "tolerance_in"), [(6, 1 / 32), (30, 1 / 16), (55, 1 / 8), (80, 3 / 16), (100, 1 / 4)]
)
def test_a_tapes_share_of_the_error_is_the_handbooks_tolerance_spread_evenly(
    feet: int, tolerance_in: float
) -> None:
    """NIST Handbook 44, section 5.52; a tolerance as a uniform spread: JCGM 100:2008, 4.3.7."""
    tape_alone = ErrorBudget(
        setting=Length(Fraction(0)), resolution=Length(Fraction(1, 10**9)), temperature_error_f=0.0
    )
    error = predict_reading_error_mm(Length(Fraction(12 * feet)), 68.0, None, tape_alone)
    assert error == pytest.approx(tolerance_in * INCH / math.sqrt(3), rel=1e-6)


def test_a_step_of_reading_is_a_uniform_spread() -> None:
    """JCGM 100:2008, F.2.2.1: a resolution δ has the standard deviation 0.29 δ."""
    steps_alone = ErrorBudget(setting=Length(Fraction(0)), tolerance_factor=0, temperature_error_f=0.0)
    error = predict_reading_error_mm(Length(Fraction(60)), 68.0, Length(Fraction(1)), steps_alone)
    assert error / INCH == pytest.approx(0.29, abs=0.002)


def test_steel_grows_a_hundredth_of_a_foot_in_a_hundred_for_15_degrees() -> None:
    """US Navy Engineering Aid course: about 0.01 ft per 100 ft per 15 F from 68 F."""
    hundred_ft = 100 * 12 * INCH
    growth_ft = (correct_temperature_mm(hundred_ft, 83.0, STEEL) - hundred_ft) / (12 * INCH)
    assert growth_ft == pytest.approx(0.01, abs=0.0003)


def test_the_slope_board_shows_gaps_of_one_to_six_inches() -> None:
    """SportsTURF, Sloping a Mound: marks at 18 in and every 12 in to 6 ft 6 in; gaps 1, 2 ... 6 in."""
    slope = list_slope(read_lengths(SLOPE))
    assert [int(point.ahead.inches) for point in slope] == [6, 18, 30, 42, 54, 66, 78]
    assert [int(point.below_plate.inches) for point in slope] == [0, 1, 2, 3, 4, 5, 6]
    assert slope[-1].height == read_length("4 in")


def plan_of(places_in: dict[str, tuple[float, float]]) -> Plan:
    stations = [construct_station(mark, mark, x, y) for mark, (x, y) in places_in.items()]
    return construct_plan("network", stations=stations, areas=(), lines=(), arcs=(), figures={})


def test_two_tapes_crossing_squarely_give_the_textbook_errors() -> None:
    """Two pulls along the axes fix x and y one each: standard errors are the pulls' own (any surveying text)."""
    plan = plan_of({"A": (0, 0), "B": (100, 300), "C": (100, 0)})
    readings = [
        Reading("A", "C", Length(Fraction(100)), 68.0),
        Reading("B", "C", Length(Fraction(300)), 68.0),
    ]
    found = adjust_readings(plan, readings, (Pin("A"), Pin("B"))).stations["C"]
    expected = [predict_reading_error_mm(r.length, 68.0, None, STEEL) for r in readings]
    assert errors_of(found) == pytest.approx(expected, rel=1e-6)
    assert found.ellipse.semi_major_mm == pytest.approx(2.4477 * max(expected), rel=1e-4)
    assert found.ellipse.turn_deg == pytest.approx(90, abs=1e-3)


def test_the_mean_of_two_opposed_pulls_splits_their_misfit() -> None:
    """Equal weights in line share a misclosure equally; each has redundancy 1/2 (any adjustment text).

    Pins lie left and right at 10 ft and above at 8 ft; the two in line together read 0.4 in too much.
    """
    plan = plan_of({"A": (0, 0), "B": (240, 0), "D": (120, 96), "C": (120, 0)})
    readings = [
        Reading("A", "C", Length(Fraction(1203, 10)), 68.0),
        Reading("C", "B", Length(Fraction(1201, 10)), 68.0),
        Reading("D", "C", Length(Fraction(96)), 68.0),
    ]
    adjustment = adjust_readings(plan, readings, (Pin("A"), Pin("B"), Pin("D")))
    found = adjustment.stations["C"]
    assert found.x_mm / INCH == pytest.approx(120.1, abs=1e-3)
    assert [j.residual_mm / INCH for j in adjustment.readings[:2]] == pytest.approx([-0.2, -0.2], abs=1e-3)
    assert [j.redundancy for j in adjustment.readings] == pytest.approx([0.5, 0.5, 0.0], abs=1e-3)


def test_a_textbook_trilateration_comes_out_with_its_small_residuals() -> None:
    """Three distances to one station, in ft: C. D. Ghilani, Adjustment Computations, chapter 14.

    Coordinates and distances are from memory; that they close to 0.1 ft in 6,000 bears them out. The place is
    what scipy.optimize.least_squares finds from them, as the book's own was not to hand.
    """
    plan = plan_of(
        {
            "A": (865.40 * 12, 4527.15 * 12),
            "B": (2432.55 * 12, 2047.25 * 12),
            "C": (2865.22 * 12, 27.15 * 12),
            "U": (6860.0 * 12, 3800.0 * 12),
        }
    )
    distances = {"A": "6049.00", "B": "4736.83", "C": "5446.49"}
    readings = [Reading(mark, "U", Length(Fraction(ft) * 12)) for mark, ft in distances.items()]
    alike = ErrorBudget(setting=Length(Fraction(1, 4)), tolerance_factor=0, expansion_per_f=0.0)
    adjustment = adjust_readings(plan, readings, (Pin("A"), Pin("B"), Pin("C")), alike)
    found = adjustment.stations["U"]
    foot = 12 * INCH
    assert (found.x_mm / foot, found.y_mm / foot) == pytest.approx((6861.317, 3727.819), abs=2e-3)
    residuals = [judged.residual_mm / foot for judged in adjustment.readings]
    assert residuals == pytest.approx([-0.037, 0.077, -0.047], abs=2e-3)


@pytest.mark.parametrize("seed", range(3))
def test_scipys_least_squares_finds_the_same_places_and_errors(seed: int) -> None:
    """scipy.optimize.least_squares (MINPACK) on the same weighted distances, its Jacobian by differences."""
    plan = plan_of({"A": (0, 0), "B": (200, 20), "D": (30, 180), "C": (120, 90), "E": (150, 160)})
    marks = ("A", "B", "D", "C", "E")
    pairs = [(a, b) for i, a in enumerate(marks) for b in marks[i + 1 :] if {a, b} & {"C", "E"}]
    taped = [measure_pull(plan.stations[a], plan.stations[b], "check", "") for a, b in pairs]
    field = simulate_field(plan, taped, ("A", "B", "D"), np.random.default_rng(seed))
    ours = adjust_readings(plan, field.readings, (Pin("A"), Pin("B"), Pin("D")))
    held = {mark: (plan.stations[mark].x_mm, plan.stations[mark].y_mm) for mark in ("A", "B", "D")}

    def misfits(unknown: np.ndarray) -> list[float]:
        places = held | {"C": tuple(unknown[:2]), "E": tuple(unknown[2:])}
        return [
            (math.dist(places[r.from_station], places[r.to_station]) - r.length.float_mm)
            / predict_reading_error_mm(r.length, None, None, STEEL)
            for r in field.readings
        ]

    start = [v for mark in ("C", "E") for v in (plan.stations[mark].x_mm, plan.stations[mark].y_mm)]
    theirs = least_squares(misfits, start, xtol=1e-14, ftol=1e-14, gtol=1e-14)
    places = [v for mark in ("C", "E") for v in (ours.stations[mark].x_mm, ours.stations[mark].y_mm)]
    errors = [e for mark in ("C", "E") for e in errors_of(ours.stations[mark])]
    assert places == pytest.approx(list(theirs.x), abs=1e-3)
    assert errors == pytest.approx(list(np.sqrt(np.diag(np.linalg.inv(theirs.jac.T @ theirs.jac)))), rel=1e-3)
    assert ours.chi_square == pytest.approx(2 * theirs.cost, rel=1e-6)
