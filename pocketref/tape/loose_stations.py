"""What was not taped, which stations the readings leave loose, and which pulls to add so that nothing is."""

from __future__ import annotations

from collections.abc import Iterator, Sequence

import numpy as np
from scipy.linalg import null_space

from pocketref.field.plan import Plan
from pocketref.field.pulls import Pull, pulls
from pocketref.problems import PocketrefError, Problem
from pocketref.tape.network import LOOSE_MM, Floats, Network, list_slopes
from pocketref.tape.readings import Reading
from pocketref.tape.stakeout import BASE_MARKS

_WELL_AIMED = 0.3
"""A pull of the plan's own is proposed if it holds at least this share of the loose direction: our figure."""


def list_untaped(plan: Plan, readings: Sequence[Reading]) -> tuple[str, ...]:
    """The names of the pulls on the plan's check sheet that have no reading."""
    taped = {reading.pair for reading in readings}
    return tuple(pull.name for pull in list_sheet_pulls(plan) if _ends(pull) not in taped)


def list_sheet_pulls(plan: Plan) -> tuple[Pull, ...]:
    """The pulls that a check sheet of the plan has blanks for: of a whole field, those between its bases."""
    if "1B" not in plan.stations:
        return pulls(plan)
    return tuple(pull for pull in pulls(plan) if _ends(pull) <= set(BASE_MARKS))


def _ends(pull: Pull) -> frozenset[str]:
    return frozenset((pull.from_station, pull.to_station))


def refuse_loose(plan: Plan, network: Network) -> None:
    """Raise PocketrefError naming each station that too few pulls fix, with the pulls to add.

    Judged where the plan has the stations: a direction in which the readings hold a station no better than
    to a foot is loose.
    """
    rows, _ = network.linearise(network.planned_mm)
    values, vectors = np.linalg.eigh(rows.T @ rows)
    loose = vectors[:, values < LOOSE_MM**-2]
    if loose.shape[1] == 0:
        return
    lacking = _list_lacking(network, loose)
    added = _choose_pulls(plan, network, loose, lacking)
    problems = []
    for mark in lacking:
        own = ["-".join(pull) for pull in added if mark in pull]
        hint = (
            f"add {' and '.join(own)}" if own else "it follows once the stations it is taped from are fixed"
        )
        sentence = f"too few pulls fix station {mark}, {plan.stations[mark].label}"
        problems.append(Problem("station-loose", sentence, hint))
    raise PocketrefError(problems)


def _list_lacking(network: Network, loose: Floats) -> list[str]:
    """The stations that can move in some loose direction."""
    moves = np.zeros(len(network.planned_mm))
    moves[network.columns] = np.linalg.norm(loose, axis=1)
    far = moves.reshape(-1, 2).max(axis=1) > 0.05
    return [mark for mark, is_far in zip(network.marks, far, strict=True) if is_far]


def _choose_pulls(plan: Plan, network: Network, loose: Floats, lacking: list[str]) -> list[tuple[str, str]]:
    """Pulls that hold every loose direction, chosen one by one by how well they hold what is left."""
    number = {mark: index for index, mark in enumerate(network.marks)}
    taken = {frozenset(pair) for pair in zip(network.starts.tolist(), network.ends.tolist(), strict=True)}
    pairs = [(number[a], number[b]) for a, b in _list_candidates(plan, network, lacking)]
    pairs = [pair for pair in dict.fromkeys(pairs) if frozenset(pair) not in taken]
    starts, ends = np.array(pairs, dtype=np.intp).reshape(-1, 2).T
    slopes, _ = list_slopes(starts, ends, network.planned_mm)
    rows = {
        (network.marks[a], network.marks[b]): row[network.columns]
        for (a, b), row in zip(pairs, slopes, strict=True)
    }
    usual = {(pull.from_station, pull.to_station) for pull in pulls(plan)}
    chosen: list[tuple[str, str]] = []
    while loose.shape[1] and rows:
        holds = {pair: float(np.linalg.norm(row @ loose)) for pair, row in rows.items()}
        pair = max((p for p in holds if p in usual), key=holds.__getitem__, default=next(iter(holds)))
        if holds[pair] < _WELL_AIMED:
            pair = max(holds, key=holds.__getitem__)
        if holds[pair] < 1e-6:
            break
        chosen.append(pair)
        loose = loose @ null_space(rows.pop(pair)[None, :] @ loose)
    return chosen


def _list_candidates(plan: Plan, network: Network, lacking: list[str]) -> Iterator[tuple[str, str]]:
    """The plan's own pulls of the lacking stations first, then any from stations that are not lacking."""
    in_use = set(network.marks)
    for pull in pulls(plan):
        pair = (pull.from_station, pull.to_station)
        if in_use.issuperset(pair) and not set(lacking).isdisjoint(pair):
            yield pair
    firm = [mark for mark in network.marks if mark not in lacking]
    for mark in lacking:
        yield from ((other, mark) for other in firm or network.marks if other != mark)
