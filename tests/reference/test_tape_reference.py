"""The tape's arithmetic against published networks, tables, handbook figures and worked corrections."""

from __future__ import annotations

import math
from collections.abc import Mapping, Sequence
from dataclasses import dataclass

import numpy as np
import pytest
from field_samples import SLOPE, read_lengths
from scipy.stats import norm, t

from pocketref.field.mound import list_slope
from pocketref.tape.error_model import (
    ELLIPSE_FACTOR,
    LIMIT_FACTOR,
    STEEL,
    find_class_three_mm,
    predict_hand_mm2,
)
from pocketref.tape.explain import RIVAL, weigh_residuals
from pocketref.tape.network import Network, Solution, solve_network
from pocketref.tape.stakeout import cross_tapes
from pocketref.units.notation import read_length

INCH = 25.4
FREE = 1e6


@dataclass(frozen=True)
class Published:
    """A network of distances as a textbook gives it: one unit of length throughout."""

    fixed: Mapping[str, tuple[float, float]]
    start: Mapping[str, tuple[float, float]]
    distances: Sequence[tuple[str, str, float, float]]
    """From, to, distance, standard deviation."""

    def solve(self) -> tuple[Network, Solution]:
        """The free network adjusted from its start."""
        marks = (*self.fixed, *self.start)
        planned = np.array([*self.fixed.values(), *self.start.values()])
        number = {mark: index for index, mark in enumerate(marks)}
        starts, ends = ([number[row[side]] for row in self.distances] for side in (0, 1))
        weight = np.diag([row[3] ** -2.0 for row in self.distances])
        read = np.array([row[2] for row in self.distances])
        size, held = 2 * len(marks) + 2, 2 * len(self.fixed)
        network = Network(
            marks,
            planned,
            np.array(starts),
            np.array(ends),
            read,
            weight,
            np.zeros(len(read)),
            np.eye(size - 2, size),
            np.zeros(size + len(read)),
        )
        return network, solve_network(network, range(held, size - 2), free_mm=FREE)

    def place(self, mark: str) -> tuple[list[float], list[float]]:
        """A new point's coordinates, and their standard deviations scaled by what is left over."""
        network, solution = self.solve()
        at = 2 * network.marks.index(mark)
        spread = np.sqrt(np.diag(solution.covariance)[at : at + 2]) * self.measure_s0(network, solution)
        place = network.planned_mm.ravel()[at : at + 2] + solution.unknowns[at : at + 2]
        return place.tolist(), spread.tolist()

    def measure_s0(self, network: Network, solution: Solution) -> float:
        """The posterior standard deviation of unit weight, in units of that taken beforehand."""
        spare = len(self.distances) - 2 * len(self.start)
        return math.sqrt(float(solution.left_mm @ network.weight @ solution.left_mm) / spare)


BENNING = Published(
    {"1": (0, 1000), "2": (1000, 1000)},
    {"3": (0, 0), "4": (1000, 0)},
    [
        ("1", "3", 1000.02, 0.01),
        ("1", "4", 1414.20, 0.01),
        ("2", "3", 1414.24, 0.01),
        ("2", "4", 999.98, 0.01),
        ("3", "4", 1000.00, 0.01),
    ],
)
STRANG = Published(
    {"1": (170.71, 270.71), "2": (100, 100), "3": (241.42, 100)},
    {"P": (170.71, 170.71)},
    [("1", "P", 100.01, 0.01), ("2", "P", 100.02, 0.01), ("3", "P", 100.03, 0.01)],
)
GHILANI = Published(
    {"Badger": (2410000, 390000), "Bucky": (2411820, 386881.222)},
    {"Wisconsin": (2415776.819, 391043.461), "Campus": (2416892.670, 387603.450)},
    [
        ("Badger", "Wisconsin", 5870.302, 0.01),
        ("Badger", "Campus", 7297.588, 0.01),
        ("Wisconsin", "Campus", 3616.434, 0.01),
        ("Wisconsin", "Bucky", 5742.878, 0.01),
        ("Campus", "Bucky", 5123.760, 0.01),
    ],
)
_WEISS = """
4-6 709.927 1.70, 5-8 1206.806 1.00, 7-8 667.595 0.60, 2-6 392.550 0.60, 4-8 1634.747 1.30, 5-7 823.990 1.60,
2-4 642.409 1.30, 4-5 498.107 1.60, 5-6 722.631 1.30, 3-4 939.941 1.20, 2-5 904.962 1.40, 6-9 1193.036 0.70,
3-9 566.555 0.80, 2-7 1630.454 1.10, 5-9 572.094 0.70, 4-9 1050.204 1.10, 1-7 849.005 0.80, 3-5 504.968 1.70,
1-4 1210.478 0.80, 1-9 601.906 1.20, 3-7 591.506 1.60, 1-5 901.755 0.80, 8-9 666.874 1.30, 7-9 328.667 0.90
"""


WEISS = Published(
    {
        "1": (4506.299, 9001.123),
        "2": (2798.622, 9502.490),
        "3": (3803.973, 9894.233),
        "8": (4904.569, 9413.376),
    },
    {
        "4": (3299.980, 9100.838),
        "5": (3697.824, 9400.545),
        "6": (3080.370, 9775.900),
        "7": (4393.265, 9842.503),
        "9": (4251.061, 9546.226),
    },
    [
        (row.split()[0][0], row.split()[0][2], float(row.split()[1]), math.sqrt(float(row.split()[2])))
        for row in _WEISS.split(",")
    ],
)


@pytest.mark.parametrize(
    ("network", "mark", "place", "spread_cm"),
    [
        (BENNING, "3", (-0.0096, -0.0226), (0.901, 0.637)),
        (BENNING, "4", (999.9930, 0.0174), (0.901, 0.637)),
        (STRANG, "P", (170.7029, 170.7234), (3.303, 2.335)),
        (GHILANI, "Wisconsin", (2415776.9044, 391043.2945), (14.879, 22.061)),
        (GHILANI, "Campus", (2416892.6955, 387603.2551), (10.378, 27.054)),
        (WEISS, "4", (3299.9644, 9100.8289), (0.752, 1.121)),
        (WEISS, "5", (3697.8223, 9400.5394), (0.670, 1.207)),
        (WEISS, "6", (3080.3184, 9775.8943), (0.924, 1.193)),
        (WEISS, "7", (4393.2160, 9842.5618), (0.817, 0.879)),
        (WEISS, "9", (4251.0495, 9546.2298), (0.728, 1.016)),
    ],
)
def test_published_networks_come_out_to_every_digit(
    network: Published, mark: str, place: tuple[float, float], spread_cm: tuple[float, float]
) -> None:
    """W. Benning (2011), ex. 8-2; G. Strang and K. Borre, Linear Algebra, Geodesy, and GPS (1997), ex. 10.1 and 12.4;
    C. D. Ghilani, Adjustment Computations (2010), ex. 14.5; G. Weiss and others, Acta Montanistica
    Slovaca 15(1), 2010: as collected by F. Krumm, Geodetic Network Adjustment Examples, rev. 3.5 (2020).
    """
    found, spread = network.place(mark)
    assert found == pytest.approx(place, abs=6e-5)
    assert [100 * each for each in spread] == pytest.approx(spread_cm, abs=6e-4)


def test_residuals_and_their_deviation_are_bennings() -> None:
    """The same example: adjusted less observed, and s0 = 6.882 mm where 10 mm was taken."""
    network, solution = BENNING.solve()
    assert (-solution.left_mm).tolist() == pytest.approx(
        [0.00260, -0.00368, -0.00368, 0.00260, 0.00260], abs=6e-6
    )
    assert BENNING.measure_s0(network, solution) == pytest.approx(0.6882, abs=6e-5)


def test_redundancies_sum_to_the_spare_readings_and_popes_tau_flags_the_one_distance() -> None:
    """Weiss's network, 14 spare: Baarda's w over s0 is Pope's tau; 1-4 has 3.146, 2-6 next 2.288."""
    network, solution = WEISS.solve()
    force, firm = weigh_residuals(network, solution)
    hold = np.diag(firm)
    assert float((hold / np.diag(network.weight)).sum()) == pytest.approx(14, abs=1e-6)
    tau = np.abs(force) / np.sqrt(hold) / WEISS.measure_s0(network, solution)
    order = np.argsort(-tau).tolist()
    assert [WEISS.distances[index][:2] for index in order[:2]] == [("1", "4"), ("2", "6")]
    assert tau[order[:2]].tolist() == pytest.approx([3.146, 2.288], abs=1e-3)
    assert tau[order[0]] > find_tau(14, 0.001) == pytest.approx(2.845, abs=1e-3)
    assert tau[order[1]] < find_tau(14, 0.01) == pytest.approx(2.399, abs=1e-3)


def find_tau(spare: int, alpha: float) -> float:
    """A. J. Pope, The statistics of residuals and the detection of outliers (NOAA TR NOS 65 NGS 1, 1976)."""
    quantile = float(t.ppf(1 - alpha / 2, spare - 1))
    return math.sqrt(spare) * quantile / math.sqrt(spare - 1 + quantile**2)


def test_the_rivals_limit_is_baardas_and_the_ellipses_that_of_the_tables() -> None:
    """W. Baarda, A testing procedure for use in geodetic networks (1968): 3.29; NIST/SEMATECH 1.3.6.7.4: 5.991."""
    assert math.sqrt(RIVAL) == pytest.approx(3.2905, abs=5e-5)
    assert pytest.approx(norm.ppf(0.9995)) == LIMIT_FACTOR
    assert pytest.approx(5.991, abs=5e-4) == ELLIPSE_FACTOR**2


@pytest.mark.parametrize(
    ("turn_deg", "major", "minor"),
    [
        (90, 1.0, 1.0),
        (60, 1.4142, 0.8165),
        (45, 1.8478, 0.7654),
        (30, 2.7321, 0.7321),
        (20, 4.0721, 0.7180),
        (10, 8.1131, 0.7098),
    ],
)
def test_two_tapes_that_cross_have_the_textbook_ellipse(turn_deg: float, major: float, minor: float) -> None:
    """Semi-axes s / (√2 sin g/2) and s / (√2 cos g/2), trace 2 s² / sin² g: any surveying text."""
    turn = math.radians(turn_deg)
    covariance = cross_tapes(np.array([[1.0, 0.0], [math.cos(turn), math.sin(turn)]]), np.ones(2))
    axes = np.sqrt(np.linalg.eigvalsh(covariance))
    assert axes.tolist() == pytest.approx([minor, major], abs=6e-5)
    assert float(np.trace(covariance)) == pytest.approx(2 / math.sin(turn) ** 2)


def test_two_unequal_tapes_have_theirs() -> None:
    """40°, 0.25 along x and 0.50: semi-axes 0.83816 and 0.23202, the longer at 96.64° from x."""
    turn = math.radians(40)
    covariance = cross_tapes(np.array([[1.0, 0.0], [math.cos(turn), math.sin(turn)]]), np.array([0.25, 0.5]))
    values, vectors = np.linalg.eigh(covariance)
    assert np.sqrt(values).tolist() == pytest.approx([0.23202, 0.83816], abs=6e-6)
    assert math.degrees(math.atan2(vectors[1, 1], vectors[0, 1])) % 180 == pytest.approx(96.64, abs=6e-3)


def test_a_tapes_factor_and_offset_come_out_of_known_lengths() -> None:
    """Seven known lengths read by a tape: k -0.00151708, c 0.3792061 in (least squares by hand; text on base lines)."""
    known = np.array([60.0, 120, 240, 360, 600, 900, 1200])
    read = np.array([60.3125, 120.1875, 240.0, 359.8125, 599.5, 899.0, 1198.5625])
    marks = tuple("ABCDEFGH")
    planned = np.column_stack([np.concatenate([[0.0], known]), np.zeros(8)])
    from_first, ones = np.zeros(7, dtype=np.intp), np.ones(7)
    network = Network(
        marks, planned, from_first, np.arange(1, 8), read, np.eye(7), ones, np.eye(16, 18), np.zeros(25)
    )
    solution = solve_network(network, (16, 17), free_mm=FREE)
    assert solution.unknowns[16:18].tolist() == pytest.approx([-1.51708, 0.3792061], abs=1e-5)
    assert solution.left_mm.tolist() == pytest.approx(
        [0.02432, -0.00966, -0.01511, -0.02056, 0.03104, -0.01383, 0.00379], abs=1e-5
    )


def test_steel_is_corrected_for_warmth_as_the_courses_do() -> None:
    """368.50 ft read at 22 F is 0.11 ft less (a surveying course); 0.01 ft in 100 ft for 15 F (US Navy course)."""
    foot = 12 * INCH
    assert STEEL.correct_mm(368.50 * foot, 22.0) / foot == pytest.approx(368.39, abs=0.005)
    assert STEEL.correct_mm(100 * foot, 83.0) / foot - 100 == pytest.approx(0.01, abs=0.0003)


def test_a_step_and_a_tolerance_are_uniform_spreads() -> None:
    """JCGM 100:2008, 4.3.7 and F.2.2.1: half-width / √3; a step δ has the standard deviation 0.29 δ."""
    step = math.sqrt(predict_hand_mm2(INCH) - predict_hand_mm2(0.0))
    assert step / INCH == pytest.approx(0.29, abs=0.002)
    assert STEEL.predict_graduation_mm(np.array([100 * 12 * INCH]))[0] == pytest.approx(
        0.25 * INCH / math.sqrt(3)
    )


@pytest.mark.parametrize(("metres", "most_mm"), [(27.43, 11.8), (38.8, 16.2), (18.3, 8.2), (1.2, 1.4)])
def test_a_class_three_tape_is_allowed_what_the_directive_says(metres: float, most_mm: float) -> None:
    """Directive 2014/32/EU, annex X (MI-008), class III: 0.6 + 0.4 L, L in metres rounded up."""
    assert find_class_three_mm(np.array([1000 * metres]))[0] == pytest.approx(most_mm)


def test_the_slope_board_shows_gaps_of_one_to_six_inches() -> None:
    """SportsTURF, Sloping a Mound: marks at 18 in and every 12 in to 6 ft 6 in; gaps 1, 2 ... 6 in."""
    slope = list_slope(read_lengths(SLOPE))
    assert [int(point.ahead.inches) for point in slope] == [6, 18, 30, 42, 54, 66, 78]
    assert [int(point.below_plate.inches) for point in slope] == [0, 1, 2, 3, 4, 5, 6]
    assert slope[-1].height == read_length("4 in")
