"""Simulated fields: stations off by what is asked, and readings off by each part of the budget as it is meant."""

from __future__ import annotations

import math
from dataclasses import replace
from fractions import Fraction

import numpy as np
import pytest
from simulated_fields import SimulatedField, misread_pull, simulate_field

from pocketref.field.plan import Plan, construct_plan, construct_station
from pocketref.field.pulls import Pull, measure_pull
from pocketref.tape.error_budget import ErrorBudget
from pocketref.units.length import Length

INCH = 25.4
NOTHING = Length(Fraction(0))
FINE = Length(Fraction(1, 10**6))
PERFECT = ErrorBudget(
    setting=NOTHING, resolution=FINE, tolerance_factor=0, expansion_per_f=0.0, unknown_temperature_error_f=0.0
)
COUNT = 1500
"""Random figures drawn: enough for a standard deviation within some 4 %."""


def fan(length_in: float | Fraction) -> tuple[Plan, list[Pull]]:
    """One station with many around it, all as far off."""
    turns = np.linspace(0.0, 2 * np.pi, COUNT, endpoint=False)
    stations = [construct_station("A", "A", 0, 0)]
    stations += [
        construct_station(
            f"S{i}", f"S{i}", float(length_in) * math.cos(turn), float(length_in) * math.sin(turn)
        )
        for i, turn in enumerate(turns)
    ]
    plan = construct_plan("fan", stations=stations, areas=(), lines=(), arcs=(), figures={})
    start = plan.stations["A"]
    pulls = [measure_pull(start, plan.stations[f"S{i}"], "check", "") for i in range(COUNT)]
    return plan, pulls


def errors_in(length_in: float, budget: ErrorBudget, seed: int = 5) -> np.ndarray:
    """How much too long each of many readings is, of stations that are all where the plan has them."""
    plan, pulls = fan(length_in)
    field = simulate_field(plan, pulls, list(plan.stations), np.random.default_rng(seed), budget=budget)
    return np.array([float(reading.length.inches) - length_in for reading in field.readings])


def moves_mm(field: SimulatedField, plan: Plan) -> np.ndarray:
    return np.array(
        [
            (x - plan.stations[mark].x_mm, y - plan.stations[mark].y_mm)
            for mark, (x, y) in field.true_mm.items()
        ]
    )


def test_a_held_field_read_by_a_perfect_tape_reads_as_planned() -> None:
    assert np.abs(errors_in(720, PERFECT)).max() < 1e-5


@pytest.mark.parametrize("asked_mm", [5.0, 20.0])
def test_stations_are_off_by_what_is_asked_each_way_about_their_places(asked_mm: float) -> None:
    plan, pulls = fan(720)
    field = simulate_field(plan, pulls, ("A",), np.random.default_rng(2), misplaced_mm=asked_mm)
    moved = moves_mm(field, plan)
    assert field.true_mm["A"] == (plan.stations["A"].x_mm, plan.stations["A"].y_mm)
    assert moved[1:].std(axis=0) == pytest.approx([asked_mm] * 2, rel=0.06)
    assert np.abs(moved[1:].mean(axis=0)).max() < 4 * asked_mm / math.sqrt(COUNT)
    assert abs(np.corrcoef(moved[1:].T)[0, 1]) < 0.1


def test_a_perfect_tape_reads_the_true_distances_of_a_misplaced_field() -> None:
    plan, pulls = fan(720)
    field = simulate_field(plan, pulls, ("A",), np.random.default_rng(2), budget=PERFECT)
    for reading in field.readings[::50]:
        truth = math.dist(field.true_mm[reading.from_station], field.true_mm[reading.to_station])
        assert reading.length.float_mm == pytest.approx(truth, abs=1e-3)


@pytest.mark.parametrize("factor", [1, 4])
def test_the_tape_s_own_error_is_spread_evenly_within_its_tolerance_either_way(factor: int) -> None:
    """60 ft: 3/16 in either way for a metal tape (NIST Handbook 44, 5.52)."""
    most = factor * 3 / 16
    errors = errors_in(720, replace(PERFECT, tolerance_factor=factor))
    assert np.abs(errors).max() <= most + 1e-5
    assert errors.min() < -0.95 * most
    assert errors.max() > 0.95 * most
    assert errors.std() == pytest.approx(most / math.sqrt(3), rel=0.05)
    assert abs(errors.mean()) < 0.1 * most


def test_holding_the_tape_on_its_marks_is_off_by_the_budget_s_setting() -> None:
    errors = errors_in(720, replace(PERFECT, setting=Length(Fraction(1, 4))))
    assert errors.std() == pytest.approx(0.25, rel=0.06)
    assert abs(errors.mean()) < 0.03


def test_an_unknown_temperature_stretches_long_pulls_most() -> None:
    """Steel, off by 20 F: 0.0000065 × 20 × 1440 in = 0.187 in over 120 ft, half as much over 60 ft."""
    warm = replace(PERFECT, expansion_per_f=0.0000065, unknown_temperature_error_f=20.0)
    long, short = errors_in(1440, warm), errors_in(720, warm)
    assert long.std() == pytest.approx(0.187, rel=0.06)
    assert short.std() == pytest.approx(0.094, rel=0.06)


@pytest.mark.parametrize("step", [Fraction(1, 16), Fraction(1, 8), Fraction(1)])
def test_readings_are_rounded_to_the_step_that_the_tape_is_read_to(step: Fraction) -> None:
    plan, pulls = fan(Fraction(7211, 10))
    rough = replace(PERFECT, resolution=Length(step))
    field = simulate_field(plan, pulls, list(plan.stations), np.random.default_rng(1), budget=rough)
    assert {reading.length for reading in field.readings} == {Length(round(Fraction(7211, 10) / step) * step)}


def test_a_misread_pull_is_off_by_what_was_asked_and_no_other() -> None:
    plan, pulls = fan(720)
    field = simulate_field(plan, pulls, ("A",), np.random.default_rng(1))
    off = misread_pull(field, 7, Length(Fraction(-12)))
    for index, (before, after) in enumerate(zip(field.readings, off.readings, strict=True)):
        assert after.length - before.length == Length(Fraction(-12 if index == 7 else 0))
    assert off.true_mm == field.true_mm


def test_the_same_seed_gives_the_same_field() -> None:
    plan, pulls = fan(720)
    first, again, other = (simulate_field(plan, pulls, (), np.random.default_rng(seed)) for seed in (1, 1, 2))
    assert first == again
    assert first != other
