"""Imports go one way only, none is hidden, and only the command line prints or exits."""

from __future__ import annotations

import ast
from collections.abc import Iterator
from pathlib import Path

import pytest

PACKAGE = Path(__file__).parents[1] / "pocketref"
ORDER = (
    "words",
    "problems",
    "version",
    "words.catalogue",
    "units",
    "source.syntax",
    "source",
    "field",
    "tape",
    "rulings",
    "plays",
    "weather",
    "scene",
    "scene.charts",
    "scene.figures",
    "pages",
    "pages.press",
    "blocks",
    "layouts",
    "classes",
    "output",
    "output.reading",
    "edition",
    "tape_report",
    "changes",
    "bulletins",
    "web",
    "members",
    "marks",
    "translations",
    "publish",
    "look",
    "console",
    "publishing",
    "training",
    "editions",
    "looking",
    "cli",
)
MODULES = sorted(path for path in PACKAGE.rglob("*.py") if path.name != "__init__.py")
NAMES = [path.relative_to(PACKAGE).as_posix() for path in MODULES]


def parse(path: Path) -> ast.Module:
    return ast.parse(path.read_text(encoding="utf-8"))


def find_imports(tree: ast.AST) -> Iterator[str]:
    """The project's modules that are imported anywhere, in functions too; a relative import counts as a fault."""
    for node in ast.walk(tree):
        if isinstance(node, ast.Import):
            yield from (alias.name for alias in node.names if alias.name.split(".")[0] == "pocketref")
        elif isinstance(node, ast.ImportFrom):
            assert node.level == 0, f"line {node.lineno}: a relative import hides which package is meant"
            if node.module == "pocketref":
                yield from (f"pocketref.{alias.name}" for alias in node.names)
            elif node.module and node.module.startswith("pocketref."):
                yield node.module


def package_of(module: str) -> str:
    """The package or module of `ORDER` that holds it; pocketref itself stands below all, as it holds nothing."""
    parts = module.split(".")[1:]
    nested = ".".join(parts[:2])
    return nested if nested in ORDER else parts[0] if parts else ORDER[0]


def own_package(path: Path) -> str:
    return package_of(".".join(("pocketref", *path.relative_to(PACKAGE).with_suffix("").parts)))


def test_every_package_has_its_place_in_the_order() -> None:
    assert {own_package(path) for path in MODULES} <= set(ORDER)


@pytest.mark.parametrize("path", MODULES, ids=NAMES)
def test_a_module_imports_only_its_own_package_and_those_before_it(path: Path) -> None:
    own = own_package(path)
    for module in find_imports(parse(path)):
        assert ORDER.index(package_of(module)) <= ORDER.index(own), f"{own} imports {module}"


@pytest.mark.parametrize("path", MODULES, ids=NAMES)
def test_no_import_hides_under_type_checking(path: Path) -> None:
    names = {node.id for node in ast.walk(parse(path)) if isinstance(node, ast.Name)}
    attributes = {node.attr for node in ast.walk(parse(path)) if isinstance(node, ast.Attribute)}
    assert "TYPE_CHECKING" not in names | attributes


PROGRAMS = (
    "cli.py",
    "console.py",
    "editions.py",
    "looking.py",
    "publishing.py",
    "training.py",
    "form_values.py",
)
"""The last is started by filled_sheet.py, and writes to it alone."""


@pytest.mark.parametrize("path", MODULES, ids=NAMES)
def test_only_the_command_line_prints_and_exits(path: Path) -> None:
    calls = {ast.unparse(node.func) for node in ast.walk(parse(path)) if isinstance(node, ast.Call)}
    ends = calls & {"print", "click.echo", "click.secho", "sys.exit", "exit", "quit", "os._exit"}
    writes = {call for call in calls if call.startswith(("sys.stdout.", "sys.stderr."))}
    raised = {
        ast.unparse(node.exc) for node in ast.walk(parse(path)) if isinstance(node, ast.Raise) and node.exc
    }
    ends |= {exit_ for exit_ in raised if exit_.startswith("SystemExit")}
    assert path.name in PROGRAMS or not ends | writes


def test_a_package_holds_a_docstring_and_nothing_else() -> None:
    for path in PACKAGE.rglob("__init__.py"):
        (only,) = parse(path).body
        assert isinstance(only, ast.Expr), path
        assert isinstance(only.value, ast.Constant), path
