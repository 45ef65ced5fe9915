"""content/fields/README.md names every dimension of a field, so that nobody opens Python to add a level."""

from __future__ import annotations

from pathlib import Path

from fields_guide import GUIDE, write_example, write_guide

from pocketref.field.level_check import check_levels
from pocketref.problems import ProblemLog
from pocketref.source.field_models import FieldModel
from pocketref.source.syntax.nodes import read_tree
from pocketref.source.syntax.validation import validate_node


def test_the_guide_is_as_the_models_and_checks_say() -> None:
    stale = "run 'python tests/fields_guide.py', look at what it changed, and commit it"
    assert GUIDE.read_text(encoding="utf-8") == write_guide(), stale


def test_its_example_is_a_level_with_nothing_wrong_and_a_slip_in_it_is_told_with_the_nearest_name(
    tmp_path: Path,
) -> None:
    path = tmp_path / "softball-60-ft.yaml"
    for text, said in (
        (write_example(), []),
        (write_example().replace("box-ahead", "box-ahaed"), ["box-ahead"]),
    ):
        path.write_text(text, encoding="utf-8")
        problems = ProblemLog()
        tree = read_tree(path, path.name, problems)
        assert tree is not None
        level = validate_node(tree, FieldModel, problems)
        assert [name for problem in problems.problems for name in said if name in problem.hint] == said
        assert not said or level is None
        if level is not None:
            assert check_levels([level]) == []
