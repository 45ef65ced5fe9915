"""A station out of place, or a few misread pulls? The simpler story stands until the pulls are taped again.

A station that is out puts most of its pulls off their targets. Where only a pull or two more than were named
as misread are off, those pulls may as well be misread too, and the station true: least squares alone can't tell,
as in a weak net two misreads can agree with each other. A pull that was taped twice is not misread.
"""

from __future__ import annotations

import numpy as np

from pocketref.tape.adjust import Adjustment
from pocketref.tape.adjust_misread import CRITICAL

MOST_STRAYS = 2
"""A station with no more pulls than this off their targets, misreads aside, is not moved by them: our own figure."""
_TELLING = 0.15
"""A pull off by less than this share of the station's move says nothing of the move: our own figure."""


def find_strays(adjustment: Adjustment, mark: str) -> tuple[str, ...]:
    """What to tape again before a station is moved, if those of its pulls that are off their targets are so few.

    Where none of its own is, the misreads elsewhere that moved it, or else all its own.
    """
    network = adjustment.network
    number = network.marks.index(mark)
    own = (network.starts == number) | (network.ends == number)
    misread = {found.name for found in adjustment.misreads}
    names, kept = [], 0
    telling_mm = _TELLING * adjustment.stations[mark].offset_mm
    for index in np.flatnonzero(own).tolist():
        judged = adjustment.readings[index]
        is_misread = judged.reading.name in misread
        off_mm = abs(judged.corrected_mm - judged.planned_mm)
        if is_misread or off_mm > max(CRITICAL * judged.error_mm, telling_mm):
            if not is_misread and judged.reading.times > 1:
                return ()
            names.append(judged.reading.name)
            kept += not is_misread
    if kept > MOST_STRAYS:
        return ()
    every = [adjustment.readings[index].reading.name for index in np.flatnonzero(own).tolist()]
    return tuple(names or sorted(misread) or every)
