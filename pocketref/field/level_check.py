"""Levels checked whole: each dimension within what a ballfield can be, and all of them in agreement.

A level is checked whether or not anything is drawn from it, and each problem is told at the dimension in its file.
"""

from __future__ import annotations

from collections.abc import Callable, Iterable, Mapping

from pocketref.field.dimensions import DimensionProblem, read_diamond_dimensions, read_plate_dimensions
from pocketref.field.mound import list_slope
from pocketref.problems import PocketrefError, Problem, Severity
from pocketref.source.field_models import BOUNDS, FieldModel
from pocketref.units.length import Length
from pocketref.units.notation import write_tape
from pocketref.words.terminal import tell

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
    found = [_write_slip(name, length) for name, length in lengths.items() if not _is_likely(name, length)]
    slips = {problem.dimensions[0] for problem in found}
    for problem in _find_disagreements(lengths):
        # What follows from a slip would only repeat it.
        if problem not in found and not slips & set(problem.dimensions):
            found.append(problem)
    if not found:
        found += _find_odd_lane(lengths)
    return [_place(problem, field) for problem in found]


def _is_likely(name: str, length: Length) -> bool:
    least, most = BOUNDS[name]
    return least <= length <= most


def _write_slip(name: str, length: Length) -> DimensionProblem:
    least, most = map(write_tape, BOUNDS[name])
    sentence = tell(
        "'{name}' is {length}; on any ballfield it is {least} to {most}",
        name=name,
        length=write_tape(length),
        least=least,
        most=most,
    )
    hint = tell("check the figure and its unit")
    return DimensionProblem("dimension-unlikely", sentence, hint, dimensions=(name,))


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
    sentence = tell(
        "'lane-length' is {stated}, but half of 'base-distance' is {half}",
        stated=write_tape(stated),
        half=half,
    )
    hint = tell(
        "the lane is drawn as stated; rule books make it the last half of the way to first, but for some divisions"
    )
    names = ("lane-length", "base-distance")
    return [
        DimensionProblem("dimension-unusual", sentence, hint, severity=Severity.WARNING, dimensions=names)
    ]


def _place(problem: DimensionProblem, field: FieldModel) -> Problem:
    """The problem at its first dimension that the file gives, else where the file's dimensions start."""
    given = next((name for name in problem.dimensions if name in field.dimensions), None)
    where = field.locate("dimensions", given, "value") if given else field.locate_key("dimensions")
    return Problem(problem.code, problem.sentence, problem.hint, where, problem.severity)
