"""Levels checked whole: each dimension within what a ballfield can be, and all of them in agreement.

A level is checked whether or not anything is drawn from it, and each problem is told at the dimension in its file.
"""

from __future__ import annotations

from collections.abc import Callable, Iterable, Mapping
from dataclasses import dataclass
from fractions import Fraction
from types import MappingProxyType

from pocketref.field.dimensions import DimensionProblem, read_diamond_dimensions, read_plate_dimensions
from pocketref.field.mound import list_slope
from pocketref.problems import Location, PocketrefError, Problem, Severity
from pocketref.source.field_models import FieldModel
from pocketref.units.length import INCHES_PER_FOOT, Length
from pocketref.units.notation import write_tape


@dataclass(frozen=True, slots=True)
class Bounds:
    """The least and the greatest a dimension can be, in inches."""

    least: Fraction
    most: Fraction

    def hold(self, length: Length) -> bool:
        """Whether the length is within them."""
        return self.least <= length.inches <= self.most

    def __str__(self) -> str:
        return f"{write_tape(Length(self.least))} to {write_tape(Length(self.most))}"


def _inches(least: float, most: float) -> Bounds:
    return Bounds(Fraction(least), Fraction(most))


def _feet(least: float, most: float) -> Bounds:
    return Bounds(Fraction(least) * INCHES_PER_FOOT, Fraction(most) * INCHES_PER_FOOT)


BOUNDS: Mapping[str, Bounds] = MappingProxyType(
    {
        "plate-width": _inches(12, 24),
        "plate-side": _inches(6, 12),
        "plate-rear-edge": _inches(8, 17),
        "box-length": _feet(3, 10),
        "box-width": _feet(1.5, 8),
        "box-offset": _inches(1, 24),
        "catchers-box-width": _inches(17, 240),
        "catchers-box-depth": _feet(3, 20),
        "base-distance": _feet(25, 110),
        "base-size": _inches(8, 24),
        "double-base-width": _inches(16, 48),
        "base-thickness": _inches(0.25, 8),
        "second-base-diagonal": _feet(35, 156),
        "line-width": _inches(0.5, 8),
        "pitching-distance": _feet(15, 75),
        "pitchers-plate-width": _inches(8, 36),
        "pitchers-plate-depth": _inches(1, 12),
        "pitchers-plate-height": _inches(0.5, 24),
        "mound-diameter": _feet(3, 30),
        "mound-centre": _feet(15, 75),
        "mound-flat-width": _feet(1, 15),
        "mound-flat-depth": _feet(0.5, 10),
        "mound-flat-front": _inches(0.5, 36),
        "mound-slope-length": _feet(1, 15),
        "mound-slope-drop": _inches(0.125, 4),
        "lane-width": _feet(1, 10),
        "lane-length": _feet(5, 110),
        "coach-box-length": _feet(3, 50),
        "coach-box-width": _feet(1, 30),
        "coach-box-offset": _feet(1, 40),
        "on-deck-diameter": _feet(1, 15),
        "on-deck-distance": _feet(5, 120),
        "infield-arc": _feet(20, 150),
        "plate-circle-diameter": _feet(5, 50),
        "base-cutout-radius": _feet(2, 30),
        "backstop-distance": _feet(10, 150),
        "foul-pole-distance": _feet(75, 500),
        "centre-field-distance": _feet(75, 600),
    }
)
"""What each dimension can be on any ballfield, children's to full size: our own bounds, wide enough for house rules
and narrow enough that feet for inches, or a lost digit, fall outside most of them."""

_READERS: tuple[Callable[[Mapping[str, Length]], object], ...] = (
    read_plate_dimensions,
    read_diamond_dimensions,
    list_slope,
)


def check_levels(fields: Iterable[FieldModel]) -> list[Problem]:
    """Everything wrong or odd about the dimensions of levels, each at its place in the level's file.

    What a level leaves out is no problem here: what needs it tells.
    """
    return [problem for field in fields for problem in _check_level(field)]


def _check_level(field: FieldModel) -> list[Problem]:
    lengths = {name: dimension.value for name, dimension in field.dimensions.items()}
    found = [_write_slip(name, length) for name, length in lengths.items() if not BOUNDS[name].hold(length)]
    slips = {problem.dimensions[0] for problem in found}
    for problem in _find_disagreements(lengths):
        # What follows from a slip would only repeat it.
        if problem not in found and not slips & set(problem.dimensions):
            found.append(problem)
    if not found:
        found += _find_odd_lane(lengths)
    return [_place(problem, field) for problem in found]


def _write_slip(name: str, length: Length) -> DimensionProblem:
    sentence = f"'{name}' is {write_tape(length)}; on any ballfield it is {BOUNDS[name]}"
    return DimensionProblem(
        "dimension-unlikely", sentence, "check the figure and its unit", dimensions=(name,)
    )


def _find_disagreements(lengths: Mapping[str, Length]) -> list[DimensionProblem]:
    found: list[DimensionProblem] = []
    for read in _READERS:
        try:
            read(lengths)
        except PocketrefError as error:
            named = [problem for problem in error.problems if isinstance(problem, DimensionProblem)]
            found += [p for p in named if p.code != "dimension-missing" or lengths.keys() & {*p.dimensions}]
    return found


def _find_odd_lane(lengths: Mapping[str, Length]) -> list[DimensionProblem]:
    """A warning where the lane is not the last half of the way to first, as the rule books have it."""
    stated, base = lengths.get("lane-length"), lengths.get("base-distance")
    if stated is None or base is None or stated.inches * 2 == base.inches:
        return []
    half = write_tape(Length(base.inches / 2))
    return [
        DimensionProblem(
            "dimension-unusual",
            f"'lane-length' is {write_tape(stated)}, but half of 'base-distance' is {half}",
            "the lane is drawn as stated; rule books make it the last half of the way to first, but for some divisions",
            severity=Severity.WARNING,
            dimensions=("lane-length", "base-distance"),
        )
    ]


def _place(problem: DimensionProblem, field: FieldModel) -> Problem:
    """The problem at its first dimension that the file gives."""
    where = locate_dimension(field, problem.dimensions)
    return Problem(problem.code, problem.sentence, problem.hint, where, problem.severity)


def locate_dimension(field: FieldModel, names: Iterable[str]) -> Location | None:
    """Where the first of the dimensions that a level gives has its value; else where its dimensions start."""
    given = next((name for name in names if name in field.dimensions), None)
    return field.locate("dimensions", given, "value") if given else field.locate_key("dimensions")
