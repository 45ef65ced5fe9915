"""Data snooping: which one reading is misread, if any.

The test is Baarda's (1968): the largest standardised residual against 3.29 (two-sided, 0.1 %). A misread
of a foot on a box of four is no small error, so the linear test only raises the alarm: each reading is left
out in turn, the field is solved again, and the one that leaves the rest fitting best is named, if it does so
beyond doubt.
"""

from __future__ import annotations

from dataclasses import dataclass

import numpy as np
from scipy.stats import norm

from pocketref.field.tape_network import Network, Solution, solve_network

CRITICAL = float(norm.ppf(1 - 0.001 / 2))
"""3.29"""
LEAST_REDUNDANCY = 1e-4
"""A standardised residual of a reading that is less checked than this is all rounding."""


@dataclass(frozen=True, slots=True)
class Misread:
    """The readings that may be misread, likeliest first, by number; and the network to go on with.

    Where only one is suspected it is left out of the network.
    """

    suspects: tuple[int, ...]
    network: Network
    solution: Solution

    @property
    def is_left_out(self) -> bool:
        """Whether one reading is named and left out."""
        return len(self.suspects) == 1


def find_misread(network: Network, solution: Solution) -> Misread | None:
    """The misread reading or the readings that one of must be; None if all pass."""
    count = len(network.reading_mm)
    redundancy = solution.redundancy[:count]
    is_checked = redundancy > LEAST_REDUNDANCY
    tested = np.where(is_checked, np.abs(solution.misfit[:count]), 0.0)
    tested = tested / np.sqrt(np.where(is_checked, redundancy, 1.0))
    if float(tested.max()) <= CRITICAL:
        return None
    tried = [(index, network.leave_out(index)) for index in range(count)]
    solved = [(index, rest, solve_network(rest)) for index, rest in tried]
    left = sorted(
        ((found.square_sum, index, rest, found) for index, rest, found in solved if found is not None),
        key=lambda entry: (entry[0], entry[1]),
    )
    if not left:
        return None
    best, _, rest, found = left[0]
    # A rival explains the readings as well if it leaves no more than one critical residual beyond the best.
    suspects = tuple(index for square, index, _, _ in left if square - best <= CRITICAL**2)
    untried = [index for index, _, result in solved if result is None]
    suspects += tuple(index for index in untried if _meets(network, index, suspects))
    if len(suspects) > 1:
        return Misread(suspects, network, solution)
    return Misread(suspects, rest, found)


def _meets(network: Network, index: int, suspects: tuple[int, ...]) -> bool:
    """Whether a reading without which a station is loose ends at an unknown station of a suspect's.

    Nothing checks such a reading, but when it is far off it bends the field until its neighbours misfit.
    """
    unknown = set((network.columns // 2).tolist())
    ends = {network.starts[index], network.ends[index]} & unknown
    return any(ends & {network.starts[other], network.ends[other]} for other in suspects)
