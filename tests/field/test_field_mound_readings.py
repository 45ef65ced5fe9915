"""Heights of a mound: the blanks' names, files of heights, and what is said of each."""

from __future__ import annotations

from fractions import Fraction
from pathlib import Path

import pytest
from field_sheets import lengths_of
from hypothesis import given, settings
from hypothesis import strategies as st

from pocketref.field.mound import SlopeReading
from pocketref.field.mound_readings import (
    MoundReadings,
    judge_mound,
    name_slope_field,
    read_mound_readings,
    read_slope_field,
    says_mound,
    word_height,
)
from pocketref.problems import PocketrefError
from pocketref.units.length import Length
from pocketref.units.notation import read_length

QUARTER = read_length("1/4 in")


@settings(max_examples=50, deadline=None)
@given(st.fractions(0, 200, max_denominator=16))
def test_a_blanks_name_says_its_distance_back(inches: Fraction) -> None:
    assert read_slope_field(name_slope_field(Length(inches))) == Length(inches)


def test_other_fields_are_no_heights() -> None:
    assert [read_slope_field(name) for name in ("A-F1", "Field", "plate-height", "below-in")] == [None] * 4


def test_a_low_place_wants_ground_and_a_high_one_loses_it() -> None:
    readings = MoundReadings(
        "high-school-90-ft",
        (
            SlopeReading(read_length("18 in"), read_length("1 1/2 in")),
            SlopeReading(read_length("30 in"), read_length("1 1/2 in")),
            SlopeReading(read_length("42 in"), read_length("3 1/8 in")),
        ),
        read_length("9 1/2 in"),
    )
    judged = judge_mound(readings, lengths_of(), QUARTER)
    words = [word_height(height) for height in judged.slope]
    assert "out: add 1/2 in" in words[0]
    assert "out: take off 1/2 in" in words[1]
    assert ": good (" in words[2]
    assert judged.plate is not None
    assert "out: raise it 1/2 in (reads 9 1/2 in, target 10 in)" in word_height(judged.plate, is_plate=True)
    assert not judged.is_good


def test_a_file_of_heights_is_known_by_its_plan_and_its_faults_have_places(tmp_path: Path) -> None:
    path = tmp_path / "m.yaml"
    path.write_text("level: high-school-90-ft\nplan: mound\nreadings:\n  - {ahead: 18 in, below: 1}\n")
    assert says_mound(path, "m.yaml")
    with pytest.raises(PocketrefError) as caught:
        read_mound_readings(path, "m.yaml")
    (problem,) = caught.value.problems
    assert problem.code == "unit-missing"
    assert str(problem.where).startswith("m.yaml:4:")


def test_a_height_off_the_slope_has_the_place_it_was_written_at(tmp_path: Path) -> None:
    path = tmp_path / "m.yaml"
    path.write_text("level: high-school-90-ft\nplan: mound\nreadings:\n  - {ahead: 18 ft, below: 1 in}\n")
    with pytest.raises(PocketrefError) as caught:
        judge_mound(read_mound_readings(path, "m.yaml"), lengths_of(), QUARTER)
    (problem,) = caught.value.problems
    assert "not on the slope" in problem.sentence
    assert problem.where is not None
    assert problem.where.line == 4


def test_no_heights_at_all_are_told() -> None:
    with pytest.raises(PocketrefError) as caught:
        judge_mound(MoundReadings("high-school-90-ft", ()), lengths_of(), QUARTER)
    assert caught.value.problems[0].code == "tape-empty"
