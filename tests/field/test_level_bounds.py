"""What each dimension of a level can be: the figures written out again, with why, and each end tried on both sides."""

from __future__ import annotations

from collections.abc import Callable
from fractions import Fraction
from pathlib import Path

import pytest

from pocketref.field.level_check import check_levels
from pocketref.problems import Problem, ProblemLog
from pocketref.source.field_models import BOUNDS, FieldModel
from pocketref.source.syntax.nodes import read_tree
from pocketref.source.syntax.validation import validate_node

Checker = Callable[[str, Fraction], list[Problem]]

# The least and the greatest, and why. All are our own choice around what the levels in content/fields have, with
# their sources there; what other fields have is from memory.
TABLE = {
    "plate-width": ("12 in", "24 in", "17 in everywhere; a toy plate is a foot across"),
    "plate-side": ("6 in", "12 in", "8 1/2 in: half of the width's bounds"),
    "plate-rear-edge": ("8 in", "17 in", "12 in: the width's bounds over √2, 8.5 and 17.0 in"),
    "box-length": ("3 ft", "10 ft", "6 ft full size"),
    "box-ahead": (
        "18 in",
        "8 ft",
        "4 ft for a box 7 ft long: half of the length's bounds, and more ahead than half",
    ),
    "box-behind": ("12 in", "8 ft", "3 ft for a box 7 ft long"),
    "box-width": ("1 ft 6 in", "8 ft", "3 ft youth, 4 ft full size; a figure in inches falls below"),
    "box-offset": ("1 in", "24 in", "4 in youth, 6 in full size; 4 ft falls above"),
    "catchers-box-width": ("17 in", "240 in", "43 in; never narrower than the plate"),
    "catchers-box-depth": ("3 ft", "20 ft", "8 ft; some divisions 6 ft 4 in"),
    "catchers-box-length": (
        "2 ft",
        "16 ft",
        "10 ft; the depth's bounds less what the batter's boxes reach behind",
    ),
    "base-distance": ("25 ft", "110 ft", "50 ft for the youngest, 90 ft full size; a lost digit falls out"),
    "base-size": ("8 in", "24 in", "15 and 18 in"),
    "double-base-width": ("16 in", "48 in", "30 in: two bases of 15 in"),
    "base-thickness": ("1/4 in", "8 in", "3 to 5 in; a throw-down base is a mat"),
    "second-base-diagonal": ("35 ft", "156 ft", "√2 of the base distance's bounds, 35.4 and 155.6 ft"),
    "line-width": ("1/2 in", "8 in", "2 to 4 in; a string is thinner, a roller never wider"),
    "pitching-distance": ("15 ft", "75 ft", "38 ft for the youngest, 60 ft 6 in full size"),
    "pitchers-plate-width": ("8 in", "36 in", "18 in youth, 24 in full size"),
    "pitchers-plate-depth": ("1 in", "12 in", "4 in youth, 6 in full size"),
    "pitchers-plate-height": ("1/2 in", "24 in", "4 in youth, 10 in full size, 15 in until 1968"),
    "mound-diameter": ("3 ft", "30 ft", "10 ft youth, 18 ft full size"),
    "mound-centre": ("15 ft", "75 ft", "as far as the pitcher's plate; 59 ft full size"),
    "pitching-circle-radius": ("2 ft", "15 ft", "8 ft; its diameter of 16 ft falls above"),
    "mound-flat-width": ("1 ft", "15 ft", "5 ft"),
    "mound-flat-depth": ("6 in", "10 ft", "34 in"),
    "mound-flat-front": ("1/2 in", "36 in", "6 in"),
    "mound-slope-length": ("1 ft", "15 ft", "6 ft"),
    "mound-slope-drop": ("1/8 in", "4 in", "1 in in a foot"),
    "lane-width": ("1 ft", "10 ft", "3 ft"),
    "lane-length": ("5 ft", "110 ft", "half of the base distance, never more than all of it"),
    "coach-box-length": ("3 ft", "50 ft", "20 ft"),
    "coach-box-width": ("1 ft", "30 ft", "5 or 10 ft"),
    "coach-box-offset": ("1 ft", "40 ft", "15 ft"),
    "on-deck-diameter": ("1 ft", "15 ft", "5 ft"),
    "on-deck-distance": ("5 ft", "120 ft", "37 ft"),
    "infield-arc": ("20 ft", "150 ft", "50 ft youth, 95 ft full size"),
    "plate-circle-diameter": ("5 ft", "50 ft", "26 ft"),
    "base-cutout-radius": ("2 ft", "30 ft", "13 ft"),
    "backstop-distance": ("10 ft", "150 ft", "25 ft youth, 60 ft full size"),
    "foul-pole-distance": ("75 ft", "500 ft", "200 ft youth, 325 ft and more full size"),
    "centre-field-distance": ("75 ft", "600 ft", "400 ft and more full size"),
}
ENDS = [(name, low, high) for name, (low, high, _) in TABLE.items()]
HAIR = Fraction(1, 1000)


def in_inches(text: str) -> Fraction:
    """Feet and inches as this table writes them, read without the project's own notation."""
    words, total = text.split(), Fraction(0)
    for number, unit in zip(words[::2], words[1::2], strict=True):
        total += Fraction(number) * {"ft": 12, "in": 1}[unit]
    return total


@pytest.fixture
def check(tmp_path: Path) -> Checker:
    """The problems of a level that has one dimension and no other."""

    def check_one(name: str, inches: Fraction) -> list[Problem]:
        text = f"{float(inches):.3f}".rstrip("0").rstrip(".")
        path = tmp_path / "one.yaml"
        path.write_text(
            f"level: one\ncode: trial\nname: one\ndimensions:\n  {name}: "
            f"{{value: {text} in, source: house, confidence: our proposal}}\n",
            encoding="utf-8",
        )
        problems = ProblemLog()
        tree = read_tree(path, path.name, problems)
        assert tree is not None
        level = validate_node(tree, FieldModel, problems)
        assert level is not None, problems.problems
        return check_levels([level])

    return check_one


def test_the_table_has_every_dimension_of_a_level() -> None:
    assert TABLE.keys() == BOUNDS.keys()


@pytest.mark.parametrize(("name", "low", "high"), ENDS, ids=list(TABLE))
def test_a_dimension_at_the_end_of_its_range_is_let_pass_and_a_hair_beyond_is_told(
    check: Checker, name: str, low: str, high: str
) -> None:
    least, most = in_inches(low), in_inches(high)
    for inches in (least, least + HAIR, most - HAIR, most):
        # That it is given alone may be told, but not the figure itself.
        assert "dimension-unlikely" not in [problem.code for problem in check(name, inches)]
    for inches in (least - HAIR, most + HAIR):
        (problem,) = check(name, inches)
        assert problem.code == "dimension-unlikely"
        assert problem.sentence.startswith(f"'{name}' is ")
        assert problem.where is not None
        assert problem.where.line == 5


@pytest.mark.parametrize(
    ("name", "inches", "words"),
    [
        ("base-distance", 9 * 12, "'base-distance' is 9 ft; on any ballfield it is 25 ft to 110 ft"),
        ("box-width", 4, "'box-width' is 4 in; on any ballfield it is 18 in to 8 ft"),
        ("base-thickness", 60, "'base-thickness' is 5 ft; on any ballfield it is 1/4 in to 8 in"),
    ],
)
def test_what_a_dimension_can_be_is_said_in_feet_and_inches(
    check: Checker, name: str, inches: int, words: str
) -> None:
    (problem,) = check(name, Fraction(inches))
    assert problem.sentence == words
    assert problem.hint == "check the figure and its unit"


@pytest.mark.parametrize(("name", "low", "high"), ENDS, ids=list(TABLE))
def test_a_dimension_ten_times_too_large_or_small_cannot_pass_at_both_ends(
    name: str, low: str, high: str
) -> None:
    """A figure in the geometric middle of its range, with its unit slipped by a foot for an inch, falls outside."""
    least, most = (end.inches for end in BOUNDS[name])
    middle = float(in_inches(low) * in_inches(high)) ** 0.5
    assert not least <= middle * 12 <= most
    assert not least <= middle / 12 <= most


def test_what_follows_from_a_slip_in_the_mound_is_not_told_beside_it(tmp_path: Path) -> None:
    """A slope 40 ft long ends below home plate, but the length is what can't be; one too steep is told at its fall."""
    level = (
        "level: one\ncode: trial\nname: one\ndimensions:\n"
        "  pitchers-plate-height: {{value: 10 in, source: house, confidence: our proposal}}\n"
        "  mound-flat-front: {{value: 6 in, source: house, confidence: our proposal}}\n"
        "  mound-slope-length: {{value: {length}, source: house, confidence: our proposal}}\n"
        "  mound-slope-drop: {{value: {drop}, source: house, confidence: our proposal}}\n"
    )
    told = {}
    for length, drop in (("40 ft", "1 in"), ("6 ft", "2 in")):
        path = tmp_path / "one.yaml"
        path.write_text(level.format(length=length, drop=drop), encoding="utf-8")
        problems = ProblemLog()
        tree = read_tree(path, path.name, problems)
        assert tree is not None
        field = validate_node(tree, FieldModel, problems)
        assert field is not None
        (problem,) = check_levels([field])
        assert problem.where is not None
        told[length] = (problem.code, problem.where.line)
    assert told == {"40 ft": ("dimension-unlikely", 7), "6 ft": ("dimension-inconsistent", 8)}
