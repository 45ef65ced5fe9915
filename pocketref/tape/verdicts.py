"""Each station's verdict against its tolerance, the move that mends it, and what would settle the rest.

A station is only to be moved where no misread can have put it out: the readings agree, and those that it rests
on are checked. Otherwise it is not judged, whatever its place.
"""

from __future__ import annotations

from collections.abc import Mapping, Sequence
from dataclasses import dataclass, replace
from fractions import Fraction

import numpy as np

from pocketref.field.plan import Plan
from pocketref.tape.adjust import Adjustment, FoundStation, PlaceVerdict, adjust_readings, judge_place
from pocketref.tape.error_budget import STEEL, ErrorBudget
from pocketref.tape.loose_stations import list_untaped
from pocketref.tape.misreads import CRITICAL
from pocketref.tape.readings import PLATE_MARKS, Pin, Reading
from pocketref.tape.reliability import find_unseen
from pocketref.tape.settling import NextPull, SettledBy, find_next_pulls, find_what_settles
from pocketref.units.length import Length, round_to
from pocketref.units.notation import write_feet_inches

_BOXES = {"F": "first-base-side box", "T": "third-base-side box", "C": "catcher's box"}
TOGETHER = Length(Fraction(3, 16))
"""A box's corners are moved as one where no move is farther than this from their mean: our own figure."""
MANY_MISREADS = 3
"""With so many misread pulls, a crew tapes them again before it moves anything: our own figure."""
FEW_PULLS_OFF = 2
"""A station with no more pulls than this off their targets, misreads aside, is not moved by them: our own figure."""
_TELLING = 0.15
"""A pull off by less than this share of the station's move says nothing of the move: our own figure."""


@dataclass(frozen=True, slots=True)
class Move:
    """How to move a station to its planned place, along the field and across it.

    `toward_pitcher` is negative toward the backstop, `toward_first` negative toward third base.
    """

    toward_pitcher: Length
    toward_first: Length

    def write(self, denominator: int = 16) -> str:
        """The move in field words, such as "2 1/4 in toward the pitcher, 3/4 in toward third".

        A part that rounds to nothing is left out; "no move" if both do.
        """
        parts = []
        for amount, ahead, back in (
            (self.toward_pitcher, "the pitcher", "the backstop"),
            (self.toward_first, "first", "third"),
        ):
            if round_to(amount, denominator).inches:
                way = ahead if amount.inches > 0 else back
                parts.append(f"{write_feet_inches(abs(amount), denominator)} toward {way}")
        return ", ".join(parts) or "no move"


@dataclass(frozen=True, slots=True)
class StationVerdict:
    """A station as found, its verdict and its move."""

    found: FoundStation
    tolerance: Length
    verdict: PlaceVerdict
    move: Move
    check_first: tuple[str, ...] = ()
    """Readings to tape again before it can be judged; empty too where all readings are in doubt."""
    settled_by: SettledBy | None = None
    """What would settle it, where it is too close to call."""
    pull: NextPull | None = None
    """The pull that would settle most of it, where pulls are what settles it."""


@dataclass(frozen=True, slots=True)
class SharedMove:
    """A shape whose corners are all out by the same move: it is moved whole."""

    marks: tuple[str, ...]
    name: str
    move: Move


@dataclass(frozen=True, slots=True)
class PlateCheck:
    """Home plate by its own pulls, where the rest is judged from it."""

    taped: tuple[str, ...]
    """Its own pulls that were taped."""
    off: tuple[str, ...]
    """Corners that are not where the plate's dimensions put them."""


@dataclass(frozen=True, slots=True)
class TapeReport:
    """Everything that a set of readings says: stations by mark, readings, and what to tape next."""

    adjustment: Adjustment
    stations: Mapping[str, StationVerdict]
    next_pull: NextPull | None
    plate: PlateCheck | None
    """None where the plate is not what the rest is judged from."""
    untaped: tuple[str, ...]
    """The plan's own pulls that were not taped."""
    together: tuple[SharedMove, ...]
    """Boxes to move whole."""

    def list_stations(self, verdict: PlaceVerdict) -> tuple[str, ...]:
        """The marks of the stations with a verdict."""
        return tuple(mark for mark, judged in self.stations.items() if judged.verdict is verdict)


def judge_tape(
    plan: Plan,
    readings: Sequence[Reading],
    tolerance: Length,
    *,
    pins: Sequence[Pin] | None = None,
    budget: ErrorBudget = STEEL,
) -> TapeReport:
    """Adjust readings and judge every station against the level's station tolerance.

    Raises what `adjust_readings` raises.
    """
    adjustment = adjust_readings(plan, readings, pins, budget)
    stations = judge_stations(adjustment, tolerance, budget)
    wanting = [mark for mark, judged in stations.items() if judged.settled_by is SettledBy.PULLS]
    next_pull = None
    if adjustment.is_consistent:
        pulls = find_next_pulls(adjustment, wanting, budget)
        next_pull = pulls.best
        stations |= {mark: replace(stations[mark], pull=pull) for mark, pull in pulls.by_station.items()}
    untaped = list_untaped(plan, readings)
    return TapeReport(
        adjustment, stations, next_pull, _check_plate(adjustment), untaped, _find_shared(stations)
    )


def judge_stations(
    adjustment: Adjustment, tolerance: Length, budget: ErrorBudget = STEEL
) -> dict[str, StationVerdict]:
    """The verdict on every station that the readings touch, in the order of the adjustment."""
    placed = {mark: judge_place(found, tolerance.float_mm) for mark, found in adjustment.stations.items()}
    first = _find_unproved(adjustment, placed, tolerance.float_mm)
    verdicts = {
        mark: PlaceVerdict.NOT_JUDGED if mark in first else verdict for mark, verdict in placed.items()
    }
    unsettled = [mark for mark, verdict in verdicts.items() if verdict is PlaceVerdict.TOO_CLOSE]
    settled = find_what_settles(adjustment, unsettled, tolerance.float_mm, budget)
    return {
        mark: StationVerdict(
            found, tolerance, verdicts[mark], _find_move(found), first.get(mark, ()), settled.get(mark)
        )
        for mark, found in adjustment.stations.items()
    }


def _find_unproved(
    adjustment: Adjustment, placed: Mapping[str, PlaceVerdict], tolerance_mm: float
) -> dict[str, tuple[str, ...]]:
    """Stations that a misread may have put where they are, with the readings to tape again first."""
    known = PlaceVerdict.TAKEN_AS_KNOWN
    if not adjustment.is_consistent:
        return {mark: () for mark, verdict in placed.items() if verdict is not known}
    suspects = set(adjustment.suspects)
    many = _find_many_misreads(adjustment)
    ground = {mark: adjustment.ground.get(mark, many) for mark in placed}
    unproved = {
        mark: ground[mark]
        for mark, verdict in placed.items()
        if ground[mark] and (verdict is PlaceVerdict.OUT or suspects.intersection(ground[mark]))
    }
    out = [mark for mark, verdict in placed.items() if verdict is PlaceVerdict.OUT and mark not in unproved]
    readings = [judged.reading for judged in adjustment.readings]
    unseen = find_unseen(adjustment.network, adjustment.solution, readings, out)
    for mark, (index, moved_mm) in unseen.items():
        doubtful = list_doubtful_pulls(adjustment, mark)
        if adjustment.stations[mark].offset_mm - moved_mm <= tolerance_mm:
            unproved[mark] = (adjustment.readings[index].reading.name,)
        elif doubtful:
            unproved[mark] = doubtful
    return unproved


def _find_many_misreads(adjustment: Adjustment) -> tuple[str, ...]:
    """The misread pulls, if they are so many that they are taped again before anything is moved."""
    names = tuple(misread.name for misread in adjustment.misreads)
    return names if len(names) + len(adjustment.suspect_groups) >= MANY_MISREADS else ()


def _check_plate(adjustment: Adjustment) -> PlateCheck | None:
    marks = set(PLATE_MARKS)
    if "1B" in adjustment.plan.stations or not marks.issubset(adjustment.network.marks):
        return None
    own = (judged.reading for judged in adjustment.readings if marks.issuperset(judged.reading.pair))
    return PlateCheck(tuple(reading.name for reading in own), adjustment.off_frame)


def _find_shared(stations: Mapping[str, StationVerdict]) -> tuple[SharedMove, ...]:
    shared = []
    for letter, name in _BOXES.items():
        marks = tuple(f"{letter}{number}" for number in (1, 2, 3, 4))
        if any(mark not in stations or stations[mark].verdict is not PlaceVerdict.OUT for mark in marks):
            continue
        moves = [stations[mark].move for mark in marks]
        along = _average([move.toward_pitcher for move in moves])
        across = _average([move.toward_first for move in moves])
        if all(
            max(abs(move.toward_pitcher - along).inches, abs(move.toward_first - across).inches)
            <= TOGETHER.inches
            for move in moves
        ):
            shared.append(SharedMove(marks, name, Move(along, across)))
    return tuple(shared)


def _average(amounts: Sequence[Length]) -> Length:
    return Length(sum((amount.inches for amount in amounts), Fraction(0)) / len(amounts))


def _find_move(found: FoundStation) -> Move:
    along, across = found.planned_y_mm - found.y_mm, found.planned_x_mm - found.x_mm
    return Move(*(Length(Length.from_mm(Fraction(amount)).inches) for amount in (along, across)))


def list_doubtful_pulls(adjustment: Adjustment, mark: str) -> tuple[str, ...]:
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
    if kept > FEW_PULLS_OFF:
        return ()
    every = [adjustment.readings[index].reading.name for index in np.flatnonzero(own).tolist()]
    return tuple(names or sorted(misread) or every)
