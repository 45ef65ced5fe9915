"""The mound's slope: how high it is at each foot, how far below a level line, and readings judged against it.

Heights are above home plate. The slope starts in front of the pitcher's plate (6 in, in every full-size code)
and falls evenly (1 in a foot for 6 ft: HS 1-2-6, OBR 2.01, COL 1-9-a). What is left at its foot is blended
into the grass by eye, so nothing is asked of it.
"""

from __future__ import annotations

from collections.abc import Mapping, Sequence
from dataclasses import dataclass, replace
from enum import StrEnum
from fractions import Fraction

from pocketref.field.dimensions import DimensionProblem, read_inches
from pocketref.problems import Location, PocketrefError, ProblemLog, refusal
from pocketref.units.length import INCHES_PER_FOOT, Length
from pocketref.units.notation import write_tape
from pocketref.words.speech import say
from pocketref.words.terminal import tell

NEEDED = ("pitchers-plate-height", "mound-flat-front", "mound-slope-length", "mound-slope-drop")
FARTHEST_OFF_IN = Fraction(24)
"""A height farther than this from its target is a slip of the pen: our own bound."""
DOUBTFUL_OFF_IN = Fraction(3)
"""Farther than this from its target a height is read again before ground is moved: our own bound."""

_LEAST_HEIGHTS = 2


class Doubt(StrEnum):
    """Why a reading is not to be acted upon yet."""

    NONE = ""
    FAR = "misread?"
    """Farther from its target than a kept mound lies."""
    OTHER_COLUMN = "wrong column?"
    """It is the height above home plate, where the depth below the level line is asked for."""


@dataclass(frozen=True, slots=True)
class SlopePoint:
    """A place on the slope, where a board or line level with the pitcher's plate's top is measured down from."""

    ahead: Length
    """From the front edge of the pitcher's plate toward home."""
    below_plate: Length
    """Below the top of the pitcher's plate: what a rule reads under a level line."""
    height: Length
    """Above home plate."""


@dataclass(frozen=True, slots=True)
class SlopeReading:
    """How far below the level line the ground was found, at a distance ahead of the pitcher's plate."""

    ahead: Length
    below_plate: Length
    """Negative where the ground is above the line."""
    where: Location | None = None


@dataclass(frozen=True, slots=True)
class JudgedSlope:
    """A reading against its target. `add` is how much ground to add (take off if negative)."""

    reading: SlopeReading
    target: SlopePoint
    add: Length
    is_good: bool
    doubt: Doubt = Doubt.NONE

    @property
    def verdict(self) -> str:
        """The reading in a word or two: good, out, or why it is doubted."""
        return "good" if self.is_good else str(self.doubt) or "out"

    @property
    def move(self) -> str:
        """What to do, to 1/16 in; nothing is moved on a reading that is in doubt."""
        if self.is_good:
            return say("good")
        if self.doubt is Doubt.OTHER_COLUMN:
            return say("read it below the level line")
        if self.doubt is Doubt.FAR:
            return say("measure it again")
        return self.change

    @property
    def change(self) -> str:
        """How much ground the reading asks for, if it is right."""
        by = write_tape(abs(self.add))
        return say("add {by}", by=by) if self.add.inches > 0 else say("take off {by}", by=by)


def list_slope(dimensions: Mapping[str, Length]) -> tuple[SlopePoint, ...]:
    """The points to measure: where the slope starts, then each foot, then its foot if that is no whole one.

    Raises PocketrefError with every dimension that is missing, and if the slope would end below home plate.
    """
    _, start, run, _ = _read_slope(dimensions)
    feet = [Fraction(INCHES_PER_FOOT * foot) for foot in range(int(run / INCHES_PER_FOOT) + 1)]
    if feet[-1] != run:
        feet.append(run)
    return tuple(find_slope_point(dimensions, Length(start + along)) for along in feet)


def find_slope_point(dimensions: Mapping[str, Length], ahead: Length) -> SlopePoint:
    """The target at a distance ahead of the pitcher's plate's front edge; level before the slope starts.

    Raises PocketrefError beyond the slope's foot or behind the front edge.
    """
    height, start, run, drop = _read_slope(dimensions)
    along = ahead.inches - start
    if ahead.inches < 0 or along > run:
        sentence = tell("{ahead} ahead of the pitcher's plate is not on the slope", ahead=write_tape(ahead))
        hint = tell("the slope ends {start} ahead of it", start=write_tape(Length(start + run)))
        raise refusal("mound-off-slope", sentence, hint)
    below = max(along, Fraction(0)) * drop / INCHES_PER_FOOT
    return SlopePoint(ahead, Length(below), Length(height - below))


def judge_slope(
    dimensions: Mapping[str, Length], readings: Sequence[SlopeReading], tolerance: Length
) -> tuple[JudgedSlope, ...]:
    """Each reading against its target, good where it is within the level's height tolerance.

    Raises PocketrefError with every reading that is off the slope or impossible, at its place.
    """
    problems = ProblemLog()
    judged: list[JudgedSlope] = []
    for reading in readings:
        try:
            target = find_slope_point(dimensions, reading.ahead)
        except PocketrefError as error:
            problems.extend(replace(problem, where=reading.where) for problem in error.problems)
            continue
        # A reading below its target's depth is ground that lies too low.
        add = reading.below_plate - target.below_plate
        if abs(add.inches) > FARTHEST_OFF_IN:
            sentence = tell(
                "{below_plate} below the pitcher's plate can't be",
                below_plate=write_tape(reading.below_plate),
            )
            hint = tell(
                "it should be {below_plate}; check the unit", below_plate=write_tape(target.below_plate)
            )
            problems.error("reading-impossible", sentence, hint, reading.where)
        judged.append(_judge_height(reading, target, add, tolerance))
    problems.raise_errors()
    if _is_other_column(judged, tolerance):
        judged = [one if one.is_good else replace(one, doubt=Doubt.OTHER_COLUMN) for one in judged]
    return tuple(judged)


def judge_plate_height(dimensions: Mapping[str, Length], reading: Length, tolerance: Length) -> JudgedSlope:
    """The pitcher's plate's top above home plate, as read with a level, against the level's height."""
    height = _need(dimensions, NEEDED[:1])[0]
    zero = Length(Fraction(0))
    add = Length(height) - reading
    target = SlopePoint(zero, zero, Length(height))
    return _judge_height(SlopeReading(zero, add), target, add, tolerance)


def _is_other_column(judged: Sequence[JudgedSlope], tolerance: Length) -> bool:
    """Whether a slope's readings are its heights above home plate rather than depths below the level line.

    Two or more must be out as depths and good as heights, and more than half of all that tell the two apart.
    """
    apart = tolerance + tolerance
    telling = [one for one in judged if abs(one.target.height - one.target.below_plate) > apart]
    heights = [one for one in telling if abs(one.reading.below_plate - one.target.height) <= tolerance]
    return len(heights) >= _LEAST_HEIGHTS and 2 * len(heights) > len(telling)


def _judge_height(reading: SlopeReading, target: SlopePoint, add: Length, tolerance: Length) -> JudgedSlope:
    doubt = Doubt.FAR if abs(add.inches) > DOUBTFUL_OFF_IN else Doubt.NONE
    return JudgedSlope(reading, target, add, abs(add) <= tolerance, doubt)


def check_has_mound(dimensions: Mapping[str, Length]) -> None:
    """Raises PocketrefError for a level with a pitching circle, if it states nothing of a mound."""
    if "pitching-circle-radius" in dimensions and dimensions.keys().isdisjoint(NEEDED):
        sentence = tell(
            "the field has a pitching circle and no mound, so it has no heights to draw, list or judge"
        )
        raise refusal(
            "mound-none", sentence, tell("leave out what is about a mound; figure 'mound' draws the circle")
        )


def _read_slope(dimensions: Mapping[str, Length]) -> tuple[Fraction, Fraction, Fraction, Fraction]:
    """Height, start, run and fall a foot, in inches."""
    check_has_mound(dimensions)
    height, start, run, drop = _need(dimensions, NEEDED)
    if run * drop / INCHES_PER_FOOT > height:
        sentence = tell("the mound's slope would end below home plate")
        hint = tell("check 'mound-slope-drop', the fall over one foot, and 'pitchers-plate-height'")
        names = (NEEDED[-1], *NEEDED[:-1])
        raise PocketrefError([DimensionProblem("dimension-inconsistent", sentence, hint, dimensions=names)])
    return height, start, run, drop


def _need(dimensions: Mapping[str, Length], names: Sequence[str]) -> list[Fraction]:
    problems = ProblemLog()
    inches = read_inches(dimensions, names, (), problems, beside=NEEDED[-1:])
    problems.raise_errors()
    return [inches[name] for name in names]
