"""What readings say is wrong: the tape, single pulls, stations and shapes; against sums of squares by SciPy."""

from __future__ import annotations

from collections.abc import Iterable

import numpy as np
import pytest
from field_sheets import plan_of
from scipy.optimize import least_squares
from tape_samples import INCH, TOLERANCE, judge, pulls_of, read, simulate
from tape_samples import plan_of as place

from pocketref.field.pulls import pulls
from pocketref.tape.explain import begin, find_critical, weigh_all
from pocketref.tape.network import Kind, Network, construct_network, find_places, solve_network
from pocketref.tape.readings import Reading
from pocketref.tape.verdicts import PlaceVerdict, judge_tape

PLATE = plan_of("plate-area")
TAPED = pulls(PLATE)
HONEST_MM = INCH / 6
SQUARE = place({"A": (0, 0), "B": (100, 0), "C": (100, 100), "D": (0, 100), "E": (50, 60)})
SIDES = pulls_of(SQUARE, "A-B", "B-C", "C-D", "A-D", "A-C", "B-D", "A-E", "B-E", "C-E", "D-E")


def network_of(readings: tuple[Reading, ...]) -> Network:
    return construct_network(SQUARE, readings, HONEST_MM)


def minimise(network: Network, free: Iterable[int] = ()) -> tuple[np.ndarray, float]:
    """The unknowns and the least sum of squares by SciPy, with some unknowns let go."""
    spread = network.spread.copy()
    spread[list(free)] = 1e6
    loose = np.flatnonzero(spread)
    roots = np.linalg.cholesky(network.weight).T

    def misfits(values: np.ndarray) -> np.ndarray:
        unknowns = np.zeros(len(spread))
        unknowns[loose] = values
        misfit = roots @ (network.read_mm - network.predict(unknowns)[0])
        return np.concatenate([misfit, values / spread[loose]])

    found = least_squares(misfits, np.zeros(len(loose)), xtol=1e-14, ftol=1e-14, gtol=1e-14, x_scale=1.0)
    whole = np.zeros(len(spread))
    whole[loose] = found.x
    return whole, 2 * found.cost


@pytest.mark.parametrize("seed", range(3))
def test_places_and_sums_of_squares_are_scipys(seed: int) -> None:
    """scipy.optimize.least_squares (MINPACK), its slopes by differences."""
    network = network_of(simulate(SQUARE, SIDES, seed, misplaced_mm=3.0).readings)
    ours = solve_network(network)
    theirs, square = minimise(network)
    assert ours.unknowns == pytest.approx(theirs, abs=0.05)
    assert ours.square == pytest.approx(square, rel=0.01)


@pytest.mark.parametrize("seed", range(3))
def test_each_gain_is_what_letting_go_takes_off_the_sum_of_squares(seed: int) -> None:
    network = network_of(
        simulate(SQUARE, SIDES, seed, moved_in={"C": (0.9, 0.3)}, misread_in={"D-E": 0.5}).readings
    )
    start = begin(network)
    _, whole = minimise(network)
    for cause in weigh_all(start):
        _, rest = minimise(network, cause.freed)
        gain = cause.gain + find_critical(len(cause.freed), len(SIDES))
        assert gain == pytest.approx(whole - rest, rel=0.05), cause


def test_a_stations_own_place_is_that_of_its_pulls_alone() -> None:
    """What was expected of it is taken out again: SciPy with that station let go finds the same place."""
    network = network_of(simulate(SQUARE, SIDES, moved_in={"E": (0.3, -0.2)}).readings)
    off, covariance = find_places(network, solve_network(network))
    at = 2 * network.marks.index("E")
    theirs, _ = minimise(network, [at, at + 1])
    assert off[network.marks.index("E")] == pytest.approx(theirs[at : at + 2], abs=0.05)
    assert np.sqrt(np.linalg.eigvalsh(covariance[network.marks.index("E")])).max() < 3


def causes_of(**faults: object) -> list[tuple[Kind, str]]:
    return [(cause.kind, cause.name) for cause in judge(PLATE, TAPED, **faults).explanation.causes]


def test_a_true_field_has_nothing_to_explain() -> None:
    assert causes_of() == []


@pytest.mark.parametrize("factor", [-0.02, -0.005, 0.01])
def test_a_stretched_tape_is_the_tape_and_no_corner(factor: float) -> None:
    report = judge(PLATE, TAPED, factor=factor)
    assert report.tape is not None
    assert report.tape.thousandths == pytest.approx(1000 * factor, abs=1.5)
    assert not report.tape.is_proved
    assert [cause.kind for cause in report.explanation.causes] in ([Kind.FACTOR], [Kind.FIELD])


@pytest.mark.parametrize("offset_in", [-2.0, 0.5, 1.0])
def test_a_cut_end_is_the_tape_and_no_corner(offset_in: float) -> None:
    report = judge(PLATE, TAPED, offset_in=offset_in)
    assert report.tape is not None
    assert report.tape.kinds == (Kind.OFFSET,)
    assert report.tape.offset_mm / INCH == pytest.approx(offset_in, abs=0.1)


def test_a_misread_pull_is_named_with_its_size() -> None:
    report = judge(PLATE, TAPED, misread_in={"A-T2": 12.0})
    (misread,) = report.misreads
    assert report.readings[report.explanation.network.number(misread)].name == misread.name == "A-T2"
    assert report.explanation.measure(misread) / INCH == pytest.approx(12, abs=0.2)


def test_two_pulls_written_in_each_others_place_are_told_as_swapped() -> None:
    length = {pull.name: pull.length_mm / INCH for pull in TAPED}
    apart = length["P2-F4"] - length["P2-F1"]
    report = judge(PLATE, TAPED, misread_in={"P2-F4": -apart, "P2-F1": apart})
    assert [set(pair) for pair in report.swapped] == [{"P2-F4", "P2-F1"}]


def test_a_far_corner_is_found_where_it_is() -> None:
    report = judge(PLATE, TAPED, moved_in={"F3": (-7.0, 9.0)})
    assert [(c.kind, c.name) for c in report.explanation.causes] == [(Kind.STATION, "F3")]
    assert np.array(report.stations["F3"].off_mm) / INCH == pytest.approx([-7, 9], abs=0.25)


def test_a_box_off_as_a_whole_is_one_cause() -> None:
    moved = {f"F{number}": (1.5, -1.0) for number in (1, 2, 3, 4)}
    assert causes_of(moved_in=moved) == [(Kind.SHAPE, "first-base-side box")]


def test_a_corner_and_a_misread_are_told_apart() -> None:
    found = causes_of(moved_in={"T3": (2.0, 1.0)}, misread_in={"P3-F1": -6.0})
    assert set(found) == {(Kind.STATION, "T3"), (Kind.MISREAD, "P3-F1")}


def test_what_explains_the_readings_alike_is_told_as_one_of_these() -> None:
    """F1 on two pulls: either may be misread, or F1 off."""
    report = judge(PLATE, pulls_of(PLATE, "P2-F1", "P3-F1", "P2-P3"), misread_in={"P2-F1": 3.0})
    (doubt,) = report.doubts
    assert set(doubt.pulls) >= {"P2-F1"}
    assert "F1" in doubt.places
    assert not report.misreads


def test_a_second_tape_tells_the_tape_from_the_field() -> None:
    far = max(TAPED, key=lambda pull: pull.length_mm)
    inches = far.length_mm / INCH
    long_tape = simulate(PLATE, TAPED, factor=0.01).readings
    true_field = judge_tape(PLATE, (*long_tape, read(far, inches, second=True)), TOLERANCE)
    assert true_field.tape is not None
    assert true_field.tape.is_proved
    assert true_field.list_stations(PlaceVerdict.OUT) == ()
    long_field = judge_tape(PLATE, (*long_tape, read(far, inches * 1.01, second=True)), TOLERANCE)
    assert long_field.tape is None
    assert long_field.field_thousandths == pytest.approx(10, abs=1.5)
    assert long_field.stations["F3"].verdict is PlaceVerdict.OUT


def test_a_field_that_is_bad_throughout_is_not_blamed_on_the_tape() -> None:
    random = np.random.default_rng(4)
    marks = [mark for mark in PLATE.stations if mark[0] in "FTCL"]
    moved = {mark: tuple(random.normal(0, 1.5, 2).tolist()) for mark in marks}
    report = judge(PLATE, TAPED, moved_in=moved)
    assert report.tape is None
    far = {mark for mark, move in moved.items() if np.hypot(*move) > 1.0}
    assert far <= set(report.list_stations(PlaceVerdict.OUT))
    for mark in far:
        assert np.array(report.stations[mark].off_mm) / INCH == pytest.approx(moved[mark], abs=0.3)
