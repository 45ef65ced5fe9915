"""Heights of a mound: the blanks' names, files of heights, and what is said of each."""

from __future__ import annotations

from fractions import Fraction

import pytest
from field_sheets import lengths_of
from hypothesis import given, settings
from hypothesis import strategies as st

from pocketref.field.mound import SlopeReading, list_slope
from pocketref.problems import PocketrefError, ProblemLog
from pocketref.source.syntax.nodes import build_tree
from pocketref.source.syntax.source_text import decode_text
from pocketref.tape.mound_readings import (
    JudgedMound,
    judge_mound,
    read_depth,
    read_slope_field,
    write_slope_field,
)
from pocketref.tape.readings_file import MoundModel, read_readings
from pocketref.tape_report.tape_words import write_mound
from pocketref.units.length import Length
from pocketref.units.notation import NotationError, read_length

QUARTER = read_length("1/4 in")


@settings(max_examples=50)
@given(st.fractions(0, 200, max_denominator=16))
def test_a_blanks_name_says_its_distance_back(inches: Fraction) -> None:
    assert read_slope_field(write_slope_field(Length(inches))) == Length(inches)


def test_other_fields_are_no_heights() -> None:
    assert [read_slope_field(name) for name in ("A-F1", "Field", "plate-height", "below-in")] == [None] * 4


def test_a_low_place_wants_ground_and_a_high_one_loses_it() -> None:
    slope = (
        SlopeReading(read_length("18 in"), read_length("1 1/2 in")),
        SlopeReading(read_length("30 in"), read_length("1 1/2 in")),
        SlopeReading(read_length("42 in"), read_length("3 1/8 in")),
    )
    judged = judge_mound(lengths_of(), slope, read_length("9 1/2 in"), QUARTER)
    words = write_mound(judged)
    assert "off: raise it 1/2 in (reads 9 1/2 in, target 10 in)" in words[0]
    assert "off: add 1/2 in" in words[1]
    assert "off: take off 1/2 in" in words[2]
    assert ": good (" in words[3]
    assert not judged.is_good


def read_heights(rows: str) -> tuple[SlopeReading, ...]:
    problems = ProblemLog()
    text = f"level: high-school-90-ft\nplan: mound\nreadings:\n{rows}"
    source = decode_text(text.encode(), "m.yaml", problems)
    tree = build_tree(source, problems) if source else None
    readings = read_readings(tree, problems)
    assert isinstance(readings, MoundModel)
    return readings.list_slope()


def test_the_faults_of_a_file_of_heights_have_places() -> None:
    with pytest.raises(PocketrefError) as caught:
        read_heights("  - {ahead: 18 in, below: 1}\n")
    (problem,) = caught.value.problems
    assert problem.code == "unit-missing"
    assert str(problem.where).startswith("m.yaml:4:")


def test_a_height_off_the_slope_has_the_place_it_was_written_at() -> None:
    with pytest.raises(PocketrefError) as caught:
        judge_mound(lengths_of(), read_heights("  - {ahead: 18 ft, below: 1 in}\n"), None, QUARTER)
    (problem,) = caught.value.problems
    assert "not on the slope" in problem.sentence
    assert problem.where is not None
    assert problem.where.line == 4


def test_no_heights_at_all_are_told() -> None:
    with pytest.raises(PocketrefError) as caught:
        judge_mound(lengths_of(), (), None, QUARTER)
    assert caught.value.problems[0].code == "tape-empty"


# --- ground above the level line ---


@pytest.mark.parametrize("text", ["-1/2 in", "−½ in", "1/2 in above", "1/2 in ABOVE the level line"])
def test_a_hump_above_the_level_line_can_be_written_and_comes_off(text: str) -> None:
    depth = read_depth(text)
    assert depth == -read_length("1/2 in")
    judged = judge_mound(lengths_of(), (SlopeReading(read_length("6 in"), depth),), None, QUARTER)
    words = write_mound(judged)[0]
    assert "off: take off 1/2 in (reads 1/2 in above the line, target 0 in)" in words


def test_below_and_a_bare_nought_are_depths_too() -> None:
    assert read_depth("2 in below the line") == read_length("2 in")
    assert read_depth("0").inches == 0


@pytest.mark.parametrize("text", ["+1/2 in", "-1/2 in above", "- 1/2 in below"])
def test_a_sign_that_says_neither_above_nor_below_is_asked_about(text: str) -> None:
    with pytest.raises(NotationError) as caught:
        read_depth(text)
    assert caught.value.hint == "write 1/2 in below or 1/2 in above, without a sign"


def test_a_file_of_heights_takes_a_hump() -> None:
    read = read_heights("  - {ahead: 6 in, below: 1/2 in above}\n  - {ahead: 18 in, below: -1 in}\n")
    assert [one.below_plate for one in read] == [-read_length("1/2 in"), -read_length("1 in")]


# --- readings that are not acted upon ---


def judge_depths(*texts: str, plate: str = "10 in") -> JudgedMound:
    """A mound whose depths are read from the slope's start on."""
    points = list_slope(lengths_of())
    slope = tuple(
        SlopeReading(point.ahead, read_depth(text)) for point, text in zip(points, texts, strict=False)
    )
    return judge_mound(lengths_of(), slope, read_length(plate), QUARTER)


def test_a_reading_a_foot_off_is_measured_again_before_ground_is_moved() -> None:
    mound = judge_depths("0 in", "1 in", "14 in", "3 in")
    assert [one.verdict for one in mound.slope] == ["good", "good", "misread?", "good"]
    assert mound.slope[2].move == "measure it again"
    assert "misread? measure it again, and only if it reads the same add 12 in" in write_mound(mound)[3]


def test_a_hole_three_inches_deep_is_filled_and_a_deeper_one_read_again() -> None:
    judged = judge_depths("3 in", "4 1/16 in").slope
    assert [one.move for one in judged] == ["add 3 in", "measure it again"]


def test_heights_written_for_depths_are_recognised_and_nothing_is_moved() -> None:
    mound = judge_depths("10 in", "9 1/8 in", "8 in", "7 in", "6 in", "5 in", "4 in")
    lines = write_mound(mound)
    assert "fit the column 'Above home plate'" in lines[0]
    assert not any("add" in line or "take off" in line for line in lines)
    # 5 ft 6 in ahead both columns say 5 in.
    assert [one.verdict for one in mound.slope] == [*["wrong column?"] * 5, "good", "wrong column?"]
    assert {one.move for one in mound.slope} == {"read it below the level line", "good"}


@settings(max_examples=40)
@given(st.lists(st.fractions(-2, 2, max_denominator=16), min_size=7, max_size=7))
def test_no_mound_within_two_inches_is_taken_for_heights(off: list[Fraction]) -> None:
    depths = [f"{float(number + more):.4f} in" for number, more in enumerate(off)]
    assert "wrong column?" not in {one.verdict for one in judge_depths(*depths).slope}


def test_what_was_not_measured_is_listed_and_the_mound_is_not_whole() -> None:
    mound = judge_depths("0 in", "1 in", "2 in", "3 in", "4 in")
    assert mound.is_good
    assert not mound.is_whole
    assert write_mound(mound)[-1] == "not measured: 5 ft 6 in, 6 ft 6 in ahead of the pitcher's plate"
    only_plate = judge_mound(lengths_of(), (), read_length("10 in"), QUARTER)
    assert write_mound(only_plate)[-1].startswith("not measured: 6 in, 18 in")
    no_plate = judge_mound(lengths_of(), [one.reading for one in mound.slope], None, QUARTER)
    assert write_mound(no_plate)[-1].startswith("not measured: pitcher's plate above home plate; ")


def test_a_file_holds_a_hundred_heights_and_no_more() -> None:
    row = "  - {ahead: 18 in, below: 1 in}\n"
    assert len(read_heights(row * 100)) == 100
    with pytest.raises(PocketrefError):
        read_heights(row * 101)


@pytest.mark.parametrize(("reads", "way"), [("10 1/2 in", "lower"), ("9 1/2 in", "raise")])
def test_a_pitchers_plate_half_an_inch_off_is_lowered_or_raised_by_that(reads: str, way: str) -> None:
    mound = judge_mound(lengths_of(), (), read_length(reads), QUARTER)
    assert f"off: {way} it 1/2 in (reads {reads}, target 10 in)" in write_mound(mound)[0]


@pytest.mark.parametrize(("reads", "change"), [("2 1/2 in", "add"), ("1 1/2 in", "take off")])
def test_ground_half_an_inch_off_is_added_or_taken_off(reads: str, change: str) -> None:
    slope = (SlopeReading(read_length("30 in"), read_length(reads)),)
    words = write_mound(judge_mound(lengths_of(), slope, None, QUARTER))
    assert f"off: {change} 1/2 in (reads {reads}, target 2 in)" in words[0]


def test_a_mound_is_good_if_all_that_was_read_is_whether_or_not_its_plate_was() -> None:
    slope = (SlopeReading(read_length("30 in"), read_length("2 in")),)
    for plate, is_good in ((None, True), ("10 in", True), ("9 in", False)):
        height = read_length(plate) if plate else None
        assert judge_mound(lengths_of(), slope, height, QUARTER).is_good == is_good
