"""Lengths are exact values: equality, order, arithmetic, and what they do not mix with."""

from __future__ import annotations

import ast
from decimal import Decimal
from fractions import Fraction
from pathlib import Path

import pytest
from hypothesis import given, settings
from hypothesis import strategies as st

from pocketref.units.length import MM_PER_INCH, MM_PER_PT, PT_PER_MM, Length

fractions = st.fractions(min_value=-10_000, max_value=10_000)


def test_equal_lengths_are_equal_whatever_system_they_were_written_in():
    inch, metric = Length.from_inches(1), Length.from_mm(Decimal("25.4"))
    assert inch == metric
    assert hash(inch) == hash(metric)
    assert (inch.system, metric.system) == ("us", "metric")


def test_a_tenth_of_a_millimetre_stays_exact():
    assert sum([Length.from_mm(Decimal("0.1"))] * 10, Length.from_mm(0)).mm == 1


@pytest.mark.parametrize("construct", [Length.from_inches, Length.from_mm])
def test_a_float_is_refused_because_it_would_only_look_exact(construct):
    with pytest.raises(TypeError, match="exact"):
        construct(0.1)


@pytest.mark.parametrize("factor", [0.5, "2", None])
def test_only_exact_numbers_multiply_and_divide_a_length(factor):
    foot = Length.from_inches(12)
    with pytest.raises(TypeError):
        foot * factor
    with pytest.raises(TypeError):
        foot / factor


def test_a_bare_number_does_not_add_to_a_length():
    with pytest.raises(TypeError):
        Length.from_inches(12) + 1
    with pytest.raises(TypeError):
        Length.from_inches(12) - 1


def test_lengths_sort_by_size():
    one, two, three = Length.from_mm(20), Length.from_inches(1), Length.from_mm(30)
    assert sorted([three, one, two]) == [one, two, three]


def test_arithmetic_keeps_the_system_of_the_left_hand_length():
    metric, us = Length.from_mm(254), Length.from_inches(2)
    assert (metric - us, (metric - us).system) == (Length.from_inches(8), "metric")
    assert (us + metric).system == "us"
    assert {(-metric).system, abs(metric).system, (2 * metric).system, (metric / 2).system} == {"metric"}


def test_a_length_divided_by_a_length_is_an_exact_ratio():
    assert Length.from_inches(17) / Length.from_inches(24) == Fraction(17, 24)


def test_a_length_cannot_be_changed():
    with pytest.raises(AttributeError):
        Length.from_inches(1).inches = Fraction(2)


def test_points_and_millimetres_are_inverse():
    assert pytest.approx(1) == PT_PER_MM * MM_PER_PT
    assert pytest.approx(float(MM_PER_INCH)) == 72 * MM_PER_PT


@settings(max_examples=60)
@given(fractions, fractions)
def test_adding_and_taking_away_again_changes_nothing(a, b):
    assert Length.from_inches(a) + Length.from_mm(b) - Length.from_mm(b) == Length.from_inches(a)


@settings(max_examples=60)
@given(fractions)
def test_millimetres_and_back_is_exact(mm):
    assert Length.from_mm(mm).mm == mm
    assert Length.from_mm(mm).float_mm == float(mm)


PACKAGE = Path(__file__).parents[2] / "pocketref"
FACTORS = {25.4, 2.54, 0.0254, 304.8, 0.3048, 72}


def test_factors_between_units_stand_in_one_module_alone():
    strays = [
        f"{path.relative_to(PACKAGE)}:{node.lineno}: {node.value}"
        for path in sorted(PACKAGE.rglob("*.py"))
        if path != PACKAGE / "units" / "length.py"
        for node in ast.walk(ast.parse(path.read_text(encoding="utf-8")))
        if isinstance(node, ast.Constant) and type(node.value) in (int, float) and node.value in FACTORS
    ]
    assert strays == []
