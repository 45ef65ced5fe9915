"""A level's dimensions checked whole: slips of the pen and the unit, disagreements, and where each is told."""

from __future__ import annotations

from pathlib import Path

import pytest

from pocketref.field.level_check import check_levels
from pocketref.problems import Problem, ProblemLog, Severity
from pocketref.source.field_models import FieldModel
from pocketref.source.syntax.nodes import read_tree
from pocketref.source.syntax.validation import validate_node

CONTENT = Path(__file__).parents[2] / "content" / "fields"


def read_level(path: Path) -> FieldModel:
    problems = ProblemLog()
    tree = read_tree(path, path.name, problems)
    assert tree is not None
    model = validate_node(tree, FieldModel, problems)
    assert model is not None, problems.problems
    return model


def change_level(folder: Path, key: str, *changes: tuple[str, str, str]) -> FieldModel:
    """A level of the content with values changed: dimension, old and new."""
    lines = (CONTENT / f"{key}.yaml").read_text(encoding="utf-8").splitlines()
    for name, old, new in changes:
        start = next(number for number, line in enumerate(lines) if line.strip().startswith(f"{name}:"))
        spot = next(number for number in (start, start + 1) if f"value: {old}" in lines[number])
        lines[spot] = lines[spot].replace(f"value: {old}", f"value: {new}")
    path = folder / f"{key}.yaml"
    path.write_text("\n".join(lines), encoding="utf-8")
    return read_level(path)


def told(problems: list[Problem]) -> list[str]:
    """Each problem's sentence after the source line it points at."""
    return [f"{p.where.text.strip()}: {p.sentence}" for p in problems if p.where]


@pytest.mark.parametrize("path", sorted(CONTENT.glob("*.yaml")), ids=lambda path: path.stem)
def test_every_level_of_the_content_is_sound(path: Path) -> None:
    assert check_levels([read_level(path)]) == []


def test_a_diagonal_that_the_bases_do_not_make_is_told_at_its_own_line_in_feet_and_inches(
    tmp_path: Path,
) -> None:
    level = change_level(
        tmp_path,
        "high-school-90-ft",
        ("base-distance", "90 ft", "95 ft"),
        ("lane-length", "45 ft", "47 ft 6 in"),
    )
    (problem,) = (p for p in check_levels([level]) if "second-base-diagonal" in p.sentence)
    assert problem.where is not None
    assert problem.where.text.strip() == "value: 127 ft 3 3/8 in"
    assert "134 ft 4 3/16 in" in problem.hint
    assert "'base-distance' 95 ft" in problem.hint


@pytest.mark.parametrize(
    ("key", "name", "old", "new"),
    [
        ("high-school-90-ft", "box-width", "4 ft", "4 in"),
        ("high-school-90-ft", "box-width", "4 ft", "60 ft"),
        ("youth-60-ft", "base-distance", "60 ft", "9 ft"),
        ("college-90-ft", "backstop-distance", "60 ft", "6 ft"),
    ],
)
def test_a_unit_that_slipped_is_told_once_at_its_own_line(
    tmp_path: Path, key: str, name: str, old: str, new: str
) -> None:
    (line,) = told(check_levels([change_level(tmp_path, key, (name, old, new))]))
    assert line.startswith(f"{name}:")
    assert f"'{name}' is {new}; on any ballfield it is " in line


def test_a_slope_that_ends_below_the_plate_is_told_in_the_level_s_file(tmp_path: Path) -> None:
    (line,) = told(
        check_levels([change_level(tmp_path, "high-school-90-ft", ("mound-slope-drop", "1 in", "2 in"))])
    )
    assert line.startswith("mound-slope-drop:")
    assert "below home plate" in line


def test_a_lane_that_is_not_the_last_half_is_drawn_as_stated_with_a_warning(tmp_path: Path) -> None:
    level = change_level(tmp_path, "high-school-90-ft", ("lane-length", "45 ft", "20 ft"))
    (warning,) = check_levels([level])
    assert warning.severity is Severity.WARNING
    assert warning.where is not None
    assert warning.where.text.strip().startswith("lane-length:")
    assert "'lane-length' is 20 ft, but half of 'base-distance' is 45 ft" in warning.sentence


def test_a_lane_longer_than_the_way_to_first_is_an_error(tmp_path: Path) -> None:
    level = change_level(tmp_path, "youth-60-ft", ("lane-length", "30 ft", "61 ft"))
    (problem,) = check_levels([level])
    assert problem.severity is Severity.ERROR
    assert problem.sentence == "the running lane would start behind home plate"
