"""Every derived figure is what its own formula says, whatever the dimensions; and what a mound may be read as."""

from __future__ import annotations

import math
import re
from collections.abc import Mapping
from fractions import Fraction

import pytest
from field_samples import SLOPE, read_lengths
from field_strategies import whole_fields
from hypothesis import given, settings
from hypothesis import strategies as st

from pocketref.field.diamond import construct_diamond
from pocketref.field.figures import PlanFigure, find_root
from pocketref.field.mound import SlopeReading, find_slope_point, judge_slope, list_slope
from pocketref.problems import PocketrefError
from pocketref.units.length import Length
from pocketref.units.notation import read_length

SIGNS = {"×": "*", "²": "**2", "√2": "sqrt(2)", "√(": "sqrt("}


def evaluate(formula: str, values: Mapping[str, float]) -> float:
    """The number a printed formula stands for: names of dimensions and figures, + - × / ² √ and brackets."""
    for name in sorted(values, key=len, reverse=True):
        formula = re.sub(rf"(?<![a-z-]){name}(?![a-z-])", f"({values[name]!r})", formula)
    for sign, operator in SIGNS.items():
        formula = formula.replace(sign, operator)
    return float(eval(formula, {"sqrt": math.sqrt}))


def figures_and_values(dimensions: dict[str, Length]) -> tuple[Mapping[str, PlanFigure], dict[str, float]]:
    figures = construct_diamond(dimensions).figures
    values = {name: float(length.inches) for name, length in dimensions.items()}
    return figures, values | {name: figure.inches for name, figure in figures.items() if name not in values}


@settings(max_examples=40)
@given(whole_fields())
def test_every_figure_is_what_its_formula_says(dimensions: dict[str, Length]) -> None:
    figures, values = figures_and_values(dimensions)
    for figure in figures.values():
        assert figure.inches == pytest.approx(evaluate(figure.formula, values), abs=1e-9), figure.name


@settings(max_examples=20)
@given(whole_fields())
def test_a_figure_changes_only_with_the_dimensions_it_rests_on(dimensions: dict[str, Length]) -> None:
    figures, _ = figures_and_values(dimensions)
    for name in ("box-offset", "line-width", "pitching-distance"):
        moved = construct_diamond(dimensions | {name: dimensions[name] + Length(Fraction(1, 16))}).figures
        for figure in figures.values():
            is_moved = moved[figure.name].value != figure.value
            assert is_moved == (name in figure.rests_on), (name, figure.name)


@given(st.integers(1, 400), st.integers(1, 400))
def test_a_root_is_exact_where_it_is_rational(numerator: int, denominator: int) -> None:
    side = Fraction(numerator, denominator)
    assert find_root(side * side) == side
    assert isinstance(find_root(side * side), Fraction)
    assert find_root(2 * side * side) == pytest.approx(float(side) * math.sqrt(2))
    assert isinstance(find_root(2 * side * side), float)


# --- the mound ----------------------------------------------------------------------------------------------

MOUND = read_lengths(SLOPE)


def test_a_slope_may_run_out_just_at_the_height_of_home_plate() -> None:
    points = list_slope(MOUND | {"mound-slope-length": read_length("10 ft")})
    assert points[-1].height.inches == 0
    with pytest.raises(PocketrefError, match="below home plate"):
        list_slope(MOUND | {"mound-slope-length": read_length("120 1/16 in")})


def test_a_height_two_feet_off_is_the_most_that_is_taken_for_a_reading() -> None:
    readings = [SlopeReading(read_length("6 in"), read_length("24 in"))]
    (judged,) = judge_slope(MOUND, readings, read_length("1/4 in"))
    assert judged.change == "add 24 in"
    with pytest.raises(PocketrefError, match="24 1/16 in below the pitcher's plate can't be"):
        judge_slope(
            MOUND, [SlopeReading(read_length("6 in"), read_length("24 1/16 in"))], read_length("1 in")
        )


def test_a_reading_at_the_tolerance_is_good_and_one_past_it_is_not() -> None:
    at, past = (SlopeReading(read_length("18 in"), read_length(text)) for text in ("1 1/4 in", "1 5/16 in"))
    assert [entry.move for entry in judge_slope(MOUND, [at, past], read_length("1/4 in"))] == [
        "good",
        "add 5/16 in",
    ]


@pytest.mark.parametrize("ahead", ["0 in", "6 in", "78 in"])
def test_the_slope_is_known_from_the_pitchers_plate_to_its_foot(ahead: str) -> None:
    place = read_length(ahead, allow_zero=True)
    fall = max(place.inches - 6, Fraction(0)) / 12
    assert find_slope_point(MOUND, place).below_plate.inches == fall


@pytest.mark.parametrize("ahead", ["-1/16 in", "78 1/16 in"])
def test_off_the_slope_there_is_no_target(ahead: str) -> None:
    with pytest.raises(PocketrefError, match="is not on the slope") as caught:
        find_slope_point(MOUND, read_length(ahead, allow_negative=True))
    assert caught.value.problems[0].hint == "the slope ends 6 ft 6 in ahead of it"


@pytest.mark.parametrize("name", MOUND)
def test_a_mound_without_one_of_its_figures_has_no_slope(name: str) -> None:
    with pytest.raises(PocketrefError) as caught:
        list_slope({key: length for key, length in MOUND.items() if key != name})
    assert [problem.code for problem in caught.value.problems] == ["dimension-missing"]
    with pytest.raises(PocketrefError) as caught:
        list_slope(MOUND | {name: Length.from_inches(0)})
    assert [problem.code for problem in caught.value.problems] == ["dimension-not-positive"]
