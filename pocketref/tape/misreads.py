"""Data snooping: which readings are misread, one after another until the rest agree.

The test is Baarda's (1968): the largest standardised residual against 3.29 (two-sided, 0.1 %). A misread
of a foot on a box of four is no small error, so the linear test only raises the alarm: each reading is left
out in turn, the field is solved again, and the one that leaves the rest fitting best is named, if it does so
beyond doubt. Where several do as well, all of them are doubted: they go on to say next to nothing. Two more
causes are weighed beside a single misread: two readings written in each other's place, and a corner of a true
frame (home plate) that is not where its dimensions put it.
"""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass, replace
from itertools import combinations
from operator import itemgetter

import numpy as np
from scipy.stats import chi2, norm

from pocketref.tape.network import DOUBTED_MM, Floats, Network, Solution, solve_network

CRITICAL = float(norm.ppf(1 - 0.001 / 2))
"""3.29"""
LEAST_REDUNDANCY = 1e-4
"""A standardised residual of a reading that is less checked than this is all rounding."""
MOST_CAUSES = 8
MOST_SHARE = 5
"""Causes are looked for until there is one for so many readings: beyond that the sheet is at fault. Our own figures."""
MOST_SUSPECTS = 5
"""More suspects than this are not named where the readings agree as a whole: our own figure."""
DISAGREEMENT = 0.999
"""A chi-square beyond this share of sound fields' says that the readings disagree: Baarda's 0.1 % again."""
_MOST_FREED = 2
MOST_TRIED = 60
"""So many readings, or pairs of them, are tried for each cause: the likeliest by the linear test. Our own figure."""
_TRIED_STEPS = 12
"""A try that fits the rest takes fewer steps; one that doesn't need not be exact."""
_SWAP_FITS = 0.4
"""Exchanged, two readings come this much nearer to their targets, or exchanging them is not worth a try."""
_WELL_KNOWN = 4.0
"""The rest judges a doubted reading where it knows its length to so many of its errors: our own figure."""

_Tried = tuple[float, int, Network, Solution]


@dataclass(frozen=True, slots=True)
class Search:
    """What was found wrong with the readings, each by number, and the network to go on with."""

    network: Network
    solution: Solution
    left_out: tuple[int, ...] = ()
    """Misread beyond doubt, the likeliest first."""
    swapped: tuple[tuple[int, int], ...] = ()
    """Pairs of `left_out` that read as if written in each other's place."""
    suspects: tuple[tuple[int, ...], ...] = ()
    """Groups one of each of which is misread."""
    freed: tuple[str, ...] = ()
    """Corners of the frame that are not where its dimensions put them."""
    is_settled: bool = True
    """Whether no reading that is left fails the test."""


def find_misreads(network: Network, solution: Solution, frame: Sequence[str] = ()) -> Search:
    """Everything that is wrong with the readings. `frame` names held stations that may be out themselves."""
    most = min(MOST_CAUSES, max(1, len(network.reading_mm) // MOST_SHARE))
    search = _explain_all(Search(network, solution), frame, most)
    if not search.is_settled:
        return search
    search = _take_back(search, network)
    sorted_out = _settle_doubts(search, network)
    if sorted_out is search:
        return search
    again = _explain_all(sorted_out, frame, most)
    return _take_back(again, network) if again.is_settled else search


def _explain_all(search: Search, frame: Sequence[str], most: int) -> Search:
    """The search with up to so many causes more, until the rest agrees or none is left to find."""
    for _ in range(most):
        found = _explain(search, frame) if _fails(search) else search
        if found is search:
            return search
        if found is None:
            break
        search = found
    return replace(search, is_settled=not _fails(search))


def _fails(search: Search) -> bool:
    return float(standardise(search.network, search.solution).max()) > CRITICAL


def standardise(network: Network, solution: Solution) -> Floats:
    """The size of each reading's residual in its own standard deviations; 0 where nothing checks it."""
    count = len(network.reading_mm)
    redundancy, misfit = solution.redundancy[:count], solution.misfit[:count]
    is_checked = (redundancy > LEAST_REDUNDANCY) & network.is_firm
    standardised: Floats = np.zeros(count)
    standardised[is_checked] = np.abs(misfit[is_checked]) / np.sqrt(redundancy[is_checked])
    return standardised


def _explain(search: Search, frame: Sequence[str]) -> Search | None:
    """The search with the likeliest cause of the misfit found; None if there is none.

    The same search where any of many readings explains a misfit that the whole can bear: no cause worth naming.
    """
    network = search.network
    tried = [(index, network.leave_out(index)) for index in _list_likely(search)]
    solved = [(index, rest, _try(rest, search)) for index, rest in tried]
    left: list[_Tried] = sorted(
        ((found.square_sum, index, rest, found) for index, rest, found in solved if found is not None),
        key=itemgetter(0),
    )
    least = left[0][0] if left else search.solution.square_sum
    better = _try_swaps(search, least) or _try_frame(search, frame, least)
    if better is not None or not left:
        return better
    best, index, rest, found = left[0]
    # A rival explains the readings as well if it leaves no more than one critical residual beyond the best.
    suspects = tuple(index for square, index, _, _ in left if square - best <= CRITICAL**2)
    untried = [index for index, _, result in solved if result is None]
    suspects += tuple(index for index in untried if _meets(network, index, suspects))
    if len(suspects) == 1:
        solution = _solve(rest, search) or found
        return replace(search, network=rest, solution=solution, left_out=(*search.left_out, index))
    if len(suspects) > MOST_SUSPECTS and _bears_misfit(search):
        return search
    doubted = network.doubt(suspects)
    loose = solve_network(doubted, may_be_loose=True)
    if loose is None:
        return None
    return replace(search, network=doubted, solution=loose, suspects=(*search.suspects, suspects))


def _list_likely(search: Search) -> list[int]:
    """The firm readings, in their order; of very many those with the largest standardised residuals."""
    firm = np.flatnonzero(search.network.is_firm)
    if len(firm) <= MOST_TRIED:
        return [int(index) for index in firm]
    size = standardise(search.network, search.solution)[firm]
    return sorted(int(index) for index in firm[np.argsort(-size, kind="stable")[:MOST_TRIED]])


def _bears_misfit(search: Search) -> bool:
    """Whether the readings agree as a whole for all that one fails the test."""
    square, spare = search.solution.weigh(search.network)
    return spare > 0 and square <= float(chi2.ppf(DISAGREEMENT, spare))


def _solve(network: Network, search: Search) -> Solution | None:
    return solve_network(network, may_be_loose=bool(search.suspects))


def _try(network: Network, search: Search) -> Solution | None:
    return solve_network(network, may_be_loose=bool(search.suspects), most_steps=_TRIED_STEPS)


def _try_swaps(search: Search, least: float) -> Search | None:
    """The pair of readings that explains the misfit when exchanged, clearly better than any single one."""
    best: tuple[float, int, int] | None = None
    for first, second in _list_swaps(search.network):
        found = _try(search.network.swap(first, second), search)
        if found is not None and (best is None or found.square_sum < best[0]):
            best = (found.square_sum, first, second)
    if best is None or least - best[0] <= CRITICAL**2:
        return None
    pair = best[1:]
    rest = search.network.leave_out(*pair)
    solution = _solve(rest, search)
    if solution is None:
        return None
    left_out, swapped = (*search.left_out, *pair), (*search.swapped, pair)
    return replace(search, network=rest, solution=solution, left_out=left_out, swapped=swapped)


def _list_swaps(network: Network) -> list[tuple[int, int]]:
    """Pairs of readings that lie much nearer to each other's targets than to their own, the nearest first."""
    planned = network.planned_mm.reshape(-1, 2)
    target = np.linalg.norm(planned[network.ends] - planned[network.starts], axis=1)
    own = np.abs(network.reading_mm - target)
    off = np.flatnonzero(network.is_firm & (own > CRITICAL * network.error_mm)).tolist()
    crossed = np.abs(network.reading_mm[:, None] - target)
    shares = [
        ((crossed[first, second] + crossed[second, first]) / (own[first] + own[second]), first, second)
        for first, second in combinations(off, 2)
    ]
    return [(first, second) for share, first, second in sorted(shares)[:MOST_TRIED] if share <= _SWAP_FITS]


def _try_frame(search: Search, frame: Sequence[str], least: float) -> Search | None:
    """The held corner that explains the misfit when it is let go, clearly better than any single reading."""
    best: Search | None = None
    for mark in frame:
        if mark in search.freed or len(search.freed) >= _MOST_FREED or mark not in search.network.marks:
            continue
        freed = search.network.free(mark)
        found = _solve(freed, search)
        if found is None or least - found.square_sum <= CRITICAL**2:
            continue
        if _has_misfit_at(freed, found, mark):
            continue
        if best is None or found.square_sum < best.solution.square_sum:
            best = replace(search, network=freed, solution=found, freed=(*search.freed, mark))
    return best


def _has_misfit_at(network: Network, solution: Solution, mark: str) -> bool:
    """Whether a reading of this station still fails the test."""
    number = network.marks.index(mark)
    own = (network.starts == number) | (network.ends == number)
    return bool((standardise(network, solution)[own] > CRITICAL).any())


def _settle_doubts(search: Search, network: Network) -> Search:
    """The search with each group of suspects sorted out that the rest of the readings, once it agrees, can judge."""
    for group in search.suspects:
        indices = list(group)
        aim = search.solution.rows[indices] * DOUBTED_MM
        spread = np.sqrt(np.einsum("ij,jk,ik->i", aim, search.solution.covariance, aim))
        error = network.error_mm[indices]
        off = np.abs(search.solution.misfit[indices]) * DOUBTED_MM / np.hypot(error, spread)
        if (spread > _WELL_KNOWN * error).any() or not (off > CRITICAL).any():
            continue
        bad = tuple(index for index, size in zip(group, off.tolist(), strict=True) if size > CRITICAL)
        error_mm = search.network.error_mm.copy()
        error_mm[indices] = error
        rest = replace(search.network, error_mm=error_mm).leave_out(*bad)
        others = tuple(other for other in search.suspects if other != group)
        solution = solve_network(rest, may_be_loose=bool(others))
        if solution is None:
            continue
        left_out = (*search.left_out, *bad)
        search = replace(search, network=rest, solution=solution, left_out=left_out, suspects=others)
    return search


def _take_back(search: Search, network: Network) -> Search:
    """The search without those left out that the rest, once it agrees, bears out after all."""
    in_pairs = {index for pair in search.swapped for index in pair}
    for index in search.left_out:
        if index in in_pairs:
            continue
        error_mm = search.network.error_mm.copy()
        error_mm[index] = network.error_mm[index]
        back = replace(search.network, error_mm=error_mm)
        solution = _solve(back, search)
        if solution is None:
            continue
        left_out = tuple(other for other in search.left_out if other != index)
        trial = replace(search, network=back, solution=solution, left_out=left_out)
        if not _fails(trial):
            search = trial
    return search


def _meets(network: Network, index: int, suspects: tuple[int, ...]) -> bool:
    """Whether a reading without which a station is loose ends at an unknown station of a suspect's.

    Nothing checks such a reading, but when it is far off it bends the field until its neighbours misfit.
    """
    unknown = set((network.columns // 2).tolist())
    ends = {network.starts[index], network.ends[index]} & unknown
    return any(ends & {network.starts[other], network.ends[other]} for other in suspects)
