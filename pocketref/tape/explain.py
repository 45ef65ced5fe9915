"""What is wrong, by the readings: the tape, a pull misread, a station or a whole shape out of place.

Each is a hypothesis against "the field is as planned, the tape is sound": unknowns let go of what was known of them,
which lowers the weighted sum of squares by a gain that is chi-square distributed where nothing is wrong. For one
misread this is Baarda's data snooping (1968); for more unknowns at once its general form (P. J. G. Teunissen,
Distributional theory for the DIA method, 2018). What gains most beyond its critical value is taken, until nothing
does: the tape is so found before any corner of a field is blamed for it. What gains as much within one critical
value is told with it as one of these.
"""

from __future__ import annotations

from dataclasses import dataclass, replace
from functools import cache
from statistics import NormalDist

import numpy as np

from pocketref.tape.error_model import Floats
from pocketref.tape.network import Cause, Kind, Network, Solution, solve_network

FALSE_ALARMS = 0.005
"""One sound sheet in so many is told something of: shared over its readings. Our own figure."""
RIVAL = NormalDist().inv_cdf(0.9995) ** 2
"""What gains less than this beyond a rival is no better than it: Baarda's 0.1 %."""
MOST_CAUSES = 16
"""A plate area has 14 stations that can be off; a file of nonsense must not hold a crew up. Our own figure."""
FEW_LEFT_OUT, MOST_SHARE = 3, 4
"""Where more readings than one in so many had to be left out, the sheet is at fault: our own figures."""
FEW_BESIDE = 2
"""With more places off beside it, the tape doesn't explain the readings: our own figure."""
MOST_SOLVED, HOPEFUL = 6, 0.3
"""So many places are solved anew, as far moves bend the slopes: those that by slopes gain this share of the best."""
ROUNDING = 1e-6
"""What gains the same but for this share gains the same: rounding must not choose between a tape and a field."""
UNCHECKED = 1e-4
"""A reading that the rest holds less firmly than by this share of its weight is checked by nothing: our own figure."""


TAPE_KINDS = (Kind.FACTOR, Kind.OFFSET)


@dataclass(frozen=True, slots=True)
class Explanation:
    """Causes in the order they were found, and the network solved with them."""

    network: Network
    causes: tuple[Cause, ...]
    solution: Solution
    is_settled: bool = False
    """Whether nothing is left to explain."""

    @property
    def added(self) -> list[Cause]:
        """The causes that are no misread and no doubt."""
        return [cause for cause in self.causes if cause.kind is not Kind.MISREAD and not cause.is_doubt]

    @property
    def freed(self) -> list[int]:
        """The unknowns let go: of a doubt all readings that may be misread, so that none of them counts."""
        doubted = (each for cause in self.causes if cause.is_doubt for each in cause.every)
        sure = (cause for cause in self.causes if not cause.is_doubt)
        one = (*sure, *(each for each in doubted if each.kind is Kind.MISREAD))
        return list(dict.fromkeys(number for each in one for number in each.freed))

    @property
    def left_out(self) -> list[int]:
        """The readings that count for nothing: misread, or doubted."""
        first = self.network.mix.shape[1]
        return [number - first for number in self.freed if number >= first]

    def solve(self, *more: Cause) -> Explanation:
        """The same with more causes, solved anew."""
        found = replace(self, causes=(*self.causes, *more))
        return replace(found, solution=solve_network(self.network, found.freed))

    def measure(self, cause: Cause) -> float:
        """The amount of one of its causes, the first where it has several."""
        return float(self.solution.unknowns[cause.freed[0]])


@cache
def find_critical(size: int, readings: int) -> float:
    """The gain of so many unknowns that one sound sheet in 200 reaches anywhere."""
    from scipy.special import gammaincinv  # slow to load, and of use to readings alone

    return float(2 * gammaincinv(size / 2, 1 - FALSE_ALARMS / readings))


def begin(network: Network) -> Explanation:
    """Nothing explained yet."""
    return Explanation(network, (), solve_network(network))


def explain(network: Network) -> Explanation:
    """Everything that the readings say is wrong.

    The tape is named only where it explains the readings: not beside many corners that are off all the same.
    """
    found = _explain(begin(network))
    of_tape = [cause for cause in found.added if cause.kind in (*TAPE_KINDS, Kind.FIELD)]
    if of_tape and len(found.added) - len(of_tape) > FEW_BESIDE:
        causes = tuple(cause for cause in network.causes if cause.kind not in (*TAPE_KINDS, Kind.FIELD))
        other = _explain(begin(replace(network, causes=causes)))
        return other if other.is_settled else found
    return found


def _explain(found: Explanation) -> Explanation:
    """Taking what gains most, one after another, until nothing does."""
    for _ in range(MOST_CAUSES):
        cause = _find_cause(found)
        if cause is None:
            return replace(found, is_settled=True)
        found = _drop_idle(found.solve(cause))
        if len(found.left_out) > max(FEW_LEFT_OUT, len(found.network.read_mm) // MOST_SHARE):
            break
    return found


def _find_cause(found: Explanation) -> Cause | None:
    """What gains most beyond its critical value, with its rivals; None if nothing gains."""
    weighed = weigh_all(found)
    if not weighed:
        return None
    hopeful = [cause for cause in weighed if cause.gain > HOPEFUL * weighed[0].gain]
    for cause in [each for each in hopeful if each.kind in (Kind.STATION, Kind.SHAPE)][:MOST_SOLVED]:
        gain = found.solution.square - found.solve(cause).solution.square - _need(found, cause)
        weighed[weighed.index(cause)] = replace(cause, gain=gain)
    weighed.sort(key=lambda cause: -cause.gain)
    most = weighed[0].gain
    alike = [cause for cause in weighed if cause.gain >= most - ROUNDING * abs(most)]
    best = min(alike, key=lambda cause: (cause.kind not in TAPE_KINDS, cause.kind, cause.name))
    rivals = tuple(c for c in weighed if c is not best and c.gain > best.gain - RIVAL)
    return replace(best, rivals=rivals) if best.gain > 0 else None


def _need(found: Explanation, cause: Cause) -> float:
    return find_critical(len(cause.freed), len(found.network.read_mm))


def weigh_all(found: Explanation) -> list[Cause]:
    """Every single thing more that would explain the readings better, by slopes; what gains most first.

    What is let go gains pullᵀ firm⁻¹ pull; what nothing holds gains nothing.
    """
    network, solution = found.network, found.solution
    force, hold = weigh_residuals(network, solution)
    pull, firm = solution.slopes.T @ force, solution.slopes.T @ hold @ solution.slopes
    pull[network.mix.shape[1] :] *= np.diag(hold) > UNCHECKED * np.diag(network.weight)
    gaining: list[Cause] = []
    for size in (1, 2, 3):
        causes = [cause for cause in network.causes if len(cause.freed) == size]
        freed = np.array([cause.freed for cause in causes], dtype=np.intp).reshape(-1, size)
        values, vectors = np.linalg.eigh(firm[freed[:, :, None], freed[:, None, :]])
        least = 1e-9 * np.maximum(values[:, -1:], 1e-12)
        along = np.einsum("kij,ki->kj", vectors, pull[freed])
        square = np.where(values > least, along**2 / np.maximum(values, least), 0.0).sum(axis=1)
        gains = (square - find_critical(size, len(network.read_mm))).tolist()
        gaining += [replace(cause, gain=gain) for cause, gain in zip(causes, gains, strict=True) if gain > 0]
    return sorted(gaining, key=lambda cause: -cause.gain)


def weigh_residuals(network: Network, solution: Solution) -> tuple[Floats, Floats]:
    """Of each reading the pull of its residual; and W - WJQJᵀW: Baarda's w is the pull over its diagonal's root."""
    weighted = network.weight @ solution.slopes
    hold: Floats = network.weight - weighted @ solution.covariance @ weighted.T
    return network.weight @ solution.left_mm, hold


def _drop_idle(found: Explanation) -> Explanation:
    """The same without causes that later ones leave nothing to explain; what was left out is so put back."""

    def explains(cause: Cause) -> bool:
        amount = found.solution.unknowns[list(cause.freed)]
        covariance = found.solution.covariance[np.ix_(cause.freed, cause.freed)]
        return float(amount @ np.linalg.solve(covariance, amount)) >= _need(found, cause)

    *before, last = found.causes
    kept = (*(cause for cause in before if cause.is_doubt or explains(cause)), last)
    return found if len(kept) == len(found.causes) else replace(found, causes=kept).solve()
