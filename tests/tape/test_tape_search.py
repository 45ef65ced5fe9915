"""How misreads are searched for: how many at most, beyond what doubt, and what becomes of those that aren't certain."""

from __future__ import annotations

import itertools
import math
from collections.abc import Mapping
from dataclasses import dataclass, replace
from typing import Any

import numpy as np
import pytest
from scipy.optimize import OptimizeResult, least_squares
from scipy.stats import chi2, norm
from tape_samples import INCH, pin, plan_of, tape

from pocketref.tape.error_budget import STEEL
from pocketref.tape.misreads import Search, find_misreads, standardise
from pocketref.tape.network import Flags, Floats, Network, Solution, construct_network, solve_network

PLACES = {
    "A": (0, 0),
    "B": (700, 40),
    "C": (650, 560),
    "D": (90, 610),
    "E": (330, 830),
    "F": (380, 260),
    "G": (-190, 320),
    "H": (900, 340),
    "I": (220, -310),
    "J": (480, -220),
    "K": (-240, 30),
}


def net_of(count: int, **by_in: float) -> tuple[Network, list[str]]:
    """So many stations, each taped from each but A from B, which are held; some off by so many inches ("C_D")."""
    marks = list(PLACES)[:count]
    pulls = [f"{start}-{end}" for start, end in itertools.combinations(marks, 2)][1:]
    plan = plan_of({mark: PLACES[mark] for mark in marks})
    readings = tape(plan, pulls, **by_in)
    return construct_network(plan.stations, readings, pin("A", "B"), STEEL), pulls


def search(network: Network, frame: tuple[str, ...] = ()) -> Search:
    solution = solve_network(network)
    assert solution is not None
    return find_misreads(network, solution, frame)


def named(found: Search, pulls: list[str]) -> list[str]:
    return [pulls[index].replace("-", "_") for index in found.left_out]


NINE_READINGS = (5, {"C_D": 40, "D_E": -10})
FOURTEEN = (6, {"E_F": 50, "B_E": -20, "D_F": 8})
TWENTY = (7, {"C_F": 60, "C_G": -30, "A_D": 15, "B_F": -8, "D_F": 4})
FIFTY_FOUR = (
    11,
    {
        "C_J": 80,
        "H_I": -60,
        "D_E": 45,
        "A_E": -33,
        "B_J": 25,
        "D_K": -18,
        "D_J": 13,
        "C_K": -9,
        "C_E": 6,
    },
)


@pytest.mark.parametrize(("stations", "offs"), [NINE_READINGS, FOURTEEN, TWENTY, FIFTY_FOUR])
def test_one_reading_in_five_may_be_misread_and_eight_at_most(
    stations: int, offs: Mapping[str, float]
) -> None:
    """Of 9, 14, 20 and 54 readings: one, two, four and eight are found; one more, and the sheet is at fault."""
    bearable = dict(list(offs.items())[:-1])
    network, pulls = net_of(stations, **bearable)
    found = search(network)
    assert found.is_settled
    assert {*named(found, pulls)} == {*bearable}
    assert (found.suspects, found.swapped, found.freed) == ((), (), ())
    left = found.solution.position_mm - found.network.planned_mm
    assert float(np.abs(left).max()) < 0.01
    network, _ = net_of(stations, **offs)
    assert not search(network).is_settled


def choose_pulls(random: np.random.Generator, count: int, *, spare: tuple[int, int]) -> list[str]:
    """Pulls among so many stations, so many more than fix them; none if there are no more."""
    pulls = [f"{start}-{end}" for start, end in itertools.combinations(list(PLACES)[:count], 2)][1:]
    taped = 2 * (count - 2) + int(random.integers(*spare))
    if taped > len(pulls):
        return []
    return [pulls[index] for index in sorted(random.choice(len(pulls), taped, replace=False).tolist())]


def misread(pulls: list[str], by_in: Mapping[int, float]) -> Network:
    """Exact readings of the pulls but for some, by number, from A and B."""
    plan = plan_of({mark: PLACES[mark] for mark in PLACES if any(mark in pull for pull in [*pulls, "A-B"])})
    offs = {pulls[index].replace("-", "_"): off for index, off in by_in.items()}
    return construct_network(plan.stations, tape(plan, pulls, **offs), pin("A", "B"), STEEL)


# --- one misread against the definition ------------------------------------------------------------------------


@dataclass(frozen=True, slots=True)
class Judged:
    """What a misread looks like by definition, found without the search."""

    fails: bool
    """Whether a standardised residual is beyond Baarda's 3.29."""
    bears: bool
    """Whether the readings agree as a whole at 99.9 %."""
    alike: frozenset[int]
    """Readings that, left out, leave the rest as well off as the best does, but for one critical residual."""


def net_with_one_misread(seed: int) -> Network | None:
    """A net of 4 to 6 stations with one to three readings to spare; None if a reading can't be spared."""
    random = np.random.default_rng(seed)
    pulls = choose_pulls(random, int(random.integers(4, 7)), spare=(1, 4))
    if not pulls:
        return None
    network = misread(
        pulls, {int(random.integers(len(pulls))): float(random.choice([0.3, 0.5, 1, 3, -6, 12]))}
    )
    spared = (solve_network(network.leave_out(index)) for index in range(len(pulls)))
    return network if all(solution is not None for solution in spared) else None


def fit(network: Network, kept: Flags) -> OptimizeResult:
    """The places that some of the readings fit best, by SciPy."""

    def misfit(unknowns: Floats) -> Floats:
        places = network.planned_mm.copy()
        places[network.columns] = unknowns
        points = places.reshape(-1, 2)
        away = np.hypot(*(points[network.ends] - points[network.starts]).T)
        result: Floats = ((away - network.reading_mm) / network.error_mm)[kept]
        return result

    start = network.planned_mm[network.columns]
    return least_squares(misfit, start, xtol=1e-14, ftol=1e-14, gtol=1e-14)


def judge(network: Network) -> Judged:
    every = np.arange(len(network.reading_mm))
    left = [2 * fit(network, every != index).cost for index in every]
    alike = frozenset(index for index in every.tolist() if left[index] - min(left) <= norm.isf(0.0005) ** 2)
    whole = fit(network, every >= 0)
    covariance = np.linalg.inv(whole.jac.T @ whole.jac)
    redundancy = 1 - np.diag(whole.jac @ covariance @ whole.jac.T)
    fails = bool((np.abs(whole.fun) / np.sqrt(redundancy)).max() > norm.isf(0.0005))
    spare = len(every) - len(network.columns)
    return Judged(fails, bool(2 * whole.cost <= chi2.isf(0.001, spare)), alike)


SEEDS = (*range(60), 262, 354, 615, 681, 794, 797)
"""The last ones: four to six readings alike, where the whole can bear the misfit and where it can't."""


def test_one_misread_is_named_or_doubted_or_borne_as_its_definition_says() -> None:
    """W. Baarda (1968), by SciPy alone: readings left out one by one, residuals and redundancy by the textbook."""
    seen = set()
    for seed in SEEDS:
        if (network := net_with_one_misread(seed)) is None:
            continue
        judged, found = judge(network), search(network)
        is_borne = not judged.fails or (len(judged.alike) > 5 and judged.bears)
        is_named = not is_borne and len(judged.alike) == 1
        assert found.is_settled
        assert {*found.left_out} == (judged.alike if is_named else set())
        doubted = set() if is_borne or is_named else {judged.alike}
        assert {frozenset(group) for group in found.suspects} == doubted
        seen.add((judged.fails, judged.bears, min(len(judged.alike), 7)))
    assert {(True, False, 1), (True, False, 2), (True, True, 5), (True, True, 6), (True, False, 6)} <= seen


# --- several misreads --------------------------------------------------------------------------------------------


def net_with_misreads(seed: int) -> tuple[Network, set[int]] | None:
    """A net of 5 to 7 stations, 3 to 6 readings to spare, two or three misread; None if it is loose."""
    random = np.random.default_rng(seed)
    pulls = choose_pulls(random, int(random.integers(5, 8)), spare=(3, 7))
    if not pulls:
        return None
    bad = random.choice(len(pulls), int(random.integers(2, 4)), replace=False).tolist()
    network = misread(pulls, {index: float(random.choice([-12, -6, -3, -1, 1, 3, 6, 12])) for index in bad})
    return None if solve_network(network) is None else (network, set(bad))


def worst(network: Network) -> float:
    """The largest standardised residual."""
    solution = solve_network(network, may_be_loose=True)
    assert solution is not None
    return float(standardise(network, solution).max())


def can_judge(network: Network, group: tuple[int, ...]) -> bool:
    """Whether the rest knows the lengths of doubted readings to four of their errors, and refutes one of them."""
    rest = network.leave_out(*group)
    if (solution := solve_network(rest)) is None:
        return False
    points = solution.position_mm.reshape(-1, 2)
    size = len(network.planned_mm)
    covariance = np.zeros((size, size))
    covariance[np.ix_(network.columns, network.columns)] = solution.covariance
    is_off = []
    for index in group:
        start, end = network.starts[index], network.ends[index]
        apart = points[end] - points[start]
        way = apart / np.hypot(*apart)
        aim = np.zeros(size)
        aim[2 * end : 2 * end + 2], aim[2 * start : 2 * start + 2] = way, -way
        spread = math.sqrt(aim @ covariance @ aim)
        error = float(network.error_mm[index])
        if spread > 4 * error:
            return False
        off = abs(float(np.hypot(*apart)) - network.reading_mm[index])
        is_off.append(off > norm.isf(0.0005) * math.hypot(error, spread))
    return any(is_off)


def test_what_is_named_the_rest_refutes_and_what_is_doubted_it_cannot_judge() -> None:
    groups = 0
    for seed in range(120):
        if (made := net_with_misreads(seed)) is None:
            continue
        network, _ = made
        found = search(network)
        if not found.is_settled:
            continue
        for index in found.left_out:
            error_mm = found.network.error_mm.copy()
            error_mm[index] = network.error_mm[index]
            assert worst(replace(found.network, error_mm=error_mm)) > norm.isf(0.0005)
        for group in found.suspects:
            error_mm = found.network.error_mm.copy()
            error_mm[list(group)] = network.error_mm[list(group)]
            assert not can_judge(replace(found.network, error_mm=error_mm), group)
            groups += 1
    assert groups > 20


@pytest.mark.parametrize("seed", [1, 50, 84, 166, 370, 373, 991, 1283, 1446])
def test_misreads_doubted_at_first_are_named_once_the_rest_agrees(seed: int) -> None:
    made = net_with_misreads(seed)
    assert made is not None
    network, bad = made
    found = search(network)
    assert {*found.left_out} == bad
    assert found.suspects == ()


@pytest.mark.parametrize("seed", [5, 728, 868])
def test_a_true_reading_named_first_is_taken_back_once_the_rest_bears_it_out(seed: int) -> None:
    """Left out alone it explains the misfit best; with what is found after it, it agrees."""
    made = net_with_misreads(seed)
    assert made is not None
    network, bad = made
    assert {*search(network).left_out} == bad


# --- two readings in each other's place ------------------------------------------------------------------------


def net_with_swap(apart_mm: float) -> tuple[Network, tuple[int, int]]:
    """Seven stations all taped; two pulls whose targets differ by so much, each written for the other."""
    (x, y), (to_x, to_y) = PLACES["E"], PLACES["F"]
    stretch = (math.dist(PLACES["C"], PLACES["D"]) + apart_mm / INCH) / math.hypot(to_x - x, to_y - y)
    places = {mark: PLACES[mark] for mark in "ABCDEFG"}
    plan = plan_of(places | {"F": (x + (to_x - x) * stretch, y + (to_y - y) * stretch)})
    pulls = [f"{start}-{end}" for start, end in itertools.combinations(places, 2)][1:]
    readings = tape(plan, pulls, C_D=apart_mm / INCH, E_F=-apart_mm / INCH)
    network = construct_network(plan.stations, readings, pin("A", "B"), STEEL)
    return network, (pulls.index("C-D"), pulls.index("E-F"))


def square_sum(network: Network) -> float:
    solution = solve_network(network)
    assert solution is not None
    return solution.square_sum


def test_an_exchange_is_told_once_it_explains_more_than_any_one_misread_does() -> None:
    """By one critical residual, as a chi-square: below that it may be one misread, or none."""
    told = []
    for apart_mm in np.linspace(4, 40, 25).tolist():
        network, pair = net_with_swap(apart_mm)
        single = min(square_sum(network.leave_out(index)) for index in range(len(network.reading_mm)))
        is_clear = single - square_sum(network.swap(*pair)) > norm.isf(0.0005) ** 2
        found = search(network)
        assert found.swapped == ((pair,) if worst(network) > norm.isf(0.0005) and is_clear else ())
        if found.swapped:
            assert found.left_out == pair
        told.append(bool(found.swapped))
    assert told == sorted(told)
    assert {*told} == {True, False}


# --- corners of a frame ----------------------------------------------------------------------------------------


def frame_of(**moved_in: tuple[float, float]) -> tuple[Network, list[str]]:
    """Four held corners, some not where they are held, and three stations beyond them, all taped to each other."""
    frame = {"A": (0, 0), "A1": (20, 0), "A2": (20, 20), "A3": (0, 20)}
    beyond = {"C": (90, 10), "D": (-60, 30), "E": (15, 110), "F": (40, -70)}
    plan = plan_of(frame | beyond)
    true = plan_of(
        {
            m: (x + moved_in.get(m, (0, 0))[0], y + moved_in.get(m, (0, 0))[1])
            for m, (x, y) in (frame | beyond).items()
        }
    )
    pulls = [f"{start}-{end}" for start, end in itertools.combinations(frame | beyond, 2)]
    return construct_network(plan.stations, tape(true, pulls), pin(*frame), STEEL), list(frame)


@pytest.mark.parametrize("off", [{"A1": (1, 0)}, {"A2": (0.6, -0.8)}, {"A1": (1, 0.5), "A3": (-0.7, 0.9)}])
def test_a_corner_of_the_frame_that_is_off_is_let_go_and_found(off: dict[str, tuple[float, float]]) -> None:
    network, frame = frame_of(**off)
    found = search(network, tuple(frame))
    assert found.is_settled
    assert {*found.freed} == {*off}
    assert (found.left_out, found.suspects) == ((), ())
    places = found.solution.position_mm.reshape(-1, 2)
    for mark in frame:
        at = network.marks.index(mark)
        moved = (places[at] - network.planned_mm.reshape(-1, 2)[at]) / INCH
        assert moved.tolist() == pytest.approx(list(off.get(mark, (0, 0))), abs=0.01)


def test_two_corners_at_most_are_let_go() -> None:
    network, frame = frame_of(A1=(1, 0.5), A2=(0.6, -0.9), A3=(-0.7, 0.9))
    assert len(search(network, tuple(frame)).freed) == 2


def test_a_misread_at_a_corner_is_no_fault_of_the_corner() -> None:
    network, frame = frame_of()
    long = network.reading_mm.copy()
    long[5] += 3 * INCH
    found = search(replace(network, reading_mm=long), tuple(frame))
    assert (found.left_out, found.freed) == ((5,), ())


def test_a_corner_that_is_not_in_the_readings_is_left_alone() -> None:
    network, frame = frame_of(A1=(1, 0))
    assert search(network, ("P9", *frame)).freed == ("A1",)


def test_readings_that_are_all_wrong_are_given_up_after_so_many_tries(
    monkeypatch: pytest.MonkeyPatch,
) -> None:
    """300 readings of 25 stations, each off by as much as it may: 8 causes, 60 readings and 60 pairs tried for each."""
    random = np.random.default_rng(4)
    places = {f"S{i}": (float(x), float(y)) for i, (x, y) in enumerate(random.uniform(0, 900, (25, 2)))}
    pulls = [f"{start}-{end}" for start, end in itertools.combinations(places, 2)][:300]
    offs = {pull.replace("-", "_"): float(random.uniform(-12, 12)) for pull in pulls}
    plan = plan_of(places)
    network = construct_network(plan.stations, tape(plan, pulls, **offs), pin("S0", "S1"), STEEL)
    tries = []

    def count(*args: Any, **options: Any) -> Solution | None:
        tries.append(args)
        return solve_network(*args, **options)

    monkeypatch.setattr("pocketref.tape.misreads.solve_network", count)
    found = search(network)
    assert not found.is_settled
    assert 300 < len(tries) <= 8 * 125


def test_among_very_many_readings_a_misread_is_still_the_one_that_is_named() -> None:
    random = np.random.default_rng(5)
    places = {f"S{i}": (float(x), float(y)) for i, (x, y) in enumerate(random.uniform(0, 900, (16, 2)))}
    pulls = [f"{start}-{end}" for start, end in itertools.combinations(places, 2)]
    plan = plan_of(places)
    for bad, off in (("S3-S9", 12.0), ("S0-S14", -3.0), ("S7-S8", 0.5)):
        readings = tape(plan, pulls, **{bad.replace("-", "_"): off})
        network = construct_network(plan.stations, readings, pin("S0", "S1"), STEEL)
        assert [pulls[index] for index in search(network).left_out] == [bad]
