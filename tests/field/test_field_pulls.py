"""The taped distances of a plan: between named stations, and enough of them to fix every station."""

from __future__ import annotations

import math
from collections import Counter
from fractions import Fraction

import pytest
from field_samples import CATCHERS_BOX, FIELD, LANE, MOUND, PLATE_AREA, SURROUNDINGS, read_lengths

from pocketref.field.diamond import construct_diamond
from pocketref.field.plan import Plan, construct_plate_area
from pocketref.field.pulls import Pull, pulls
from pocketref.units.length import Length
from pocketref.units.notation import write_feet_inches


def plate_area() -> Plan:
    return construct_plate_area(read_lengths(PLATE_AREA | CATCHERS_BOX))


def diamond() -> Plan:
    return construct_diamond(read_lengths(FIELD | CATCHERS_BOX | MOUND | LANE | SURROUNDINGS))


def by_name(plan: Plan) -> dict[str, Pull]:
    return {pull.name: pull for pull in pulls(plan)}


@pytest.mark.parametrize("plan", [plate_area(), diamond()], ids=lambda plan: plan.name)
def test_every_pull_joins_two_stations_of_the_plan_once_and_is_described(plan: Plan) -> None:
    found = pulls(plan)
    pairs = Counter(frozenset((pull.from_station, pull.to_station)) for pull in found)
    assert max(pairs.values()) == 1
    descriptions = Counter(pull.description for pull in found)
    assert max(descriptions.values()) == 1
    for pull in found:
        a, b = plan.stations[pull.from_station], plan.stations[pull.to_station]
        assert pull.length_mm == pytest.approx(math.hypot(a.x_mm - b.x_mm, a.y_mm - b.y_mm))


@pytest.mark.parametrize(("letter", "other"), [("F", "T"), ("T", "F")])
def test_each_box_has_four_sides_both_diagonals_and_equal_ones(letter: str, other: str) -> None:
    found = [p for p in pulls(plate_area()) if {p.from_station[0], p.to_station[0]} == {letter}]
    sides = sorted(write_feet_inches(p.length) for p in found if p.kind == "side")
    diagonals = [p.length for p in found if p.kind == "diagonal"]
    assert sides == ["4 ft", "4 ft", "6 ft", "6 ft"]
    assert [write_feet_inches(length) for length in diagonals] == ["7 ft 2 9/16 in"] * 2
    assert other not in {p.from_station[0] for p in found}


def test_every_station_of_the_plate_area_is_held_by_at_least_three_pulls() -> None:
    plan = plate_area()
    held = Counter(mark for pull in pulls(plan) for mark in (pull.from_station, pull.to_station))
    assert set(held) == set(plan.stations)
    assert min(held.values()) >= 3


def test_the_pulls_of_mirrored_stations_are_equal() -> None:
    found = by_name(plate_area())
    for number in "1234":
        assert found[f"A-F{number}"].length == found[f"A-T{number}"].length
    assert found["P2-F4"].length == found["P3-T4"].length


def test_a_distance_that_is_exact_by_construction_prints_exactly() -> None:
    found = by_name(diamond())
    assert found["A-1B"].length == Length(Fraction(1080))
    assert found["1B-2B"].length == Length(Fraction(1080))
    assert found["F4-L1"].length == Length(Fraction(30))
    assert found["A-D1"].length == Length(Fraction(444))
    assert found["A-2B"].length.inches != round(found["A-2B"].length.inches)


def test_a_plan_without_a_catchers_box_has_no_pulls_to_one() -> None:
    plan = construct_plate_area(read_lengths(PLATE_AREA))
    assert not any("catcher" in pull.description for pull in pulls(plan))
