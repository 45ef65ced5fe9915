"""Every library is stated, and may be used by a program under the MIT licence.

Names of licences are those of the SPDX list. That a program under the MIT licence may use libraries under these is
common practice: all but MPL-2.0 ask for notice alone, and that one for the sources of its own files, which are used
as they are.
"""

from __future__ import annotations

import ast
import re
import sys
import tomllib
from collections.abc import Iterator
from importlib.metadata import Distribution, PackageNotFoundError, distribution, packages_distributions
from pathlib import Path

import pytest
from packaging.requirements import Requirement

ROOT = Path(__file__).parents[1]
PROJECT = tomllib.loads((ROOT / "pyproject.toml").read_text(encoding="utf-8"))["project"]
STATED = [*PROJECT["dependencies"], *PROJECT["optional-dependencies"]["dev"]]
HOW = {
    "MIT": r"MIT\b(?!-CMU)",
    "BSD": "BSD",
    "Apache-2.0": "Apache",
    "MPL-2.0": "MPL|Mozilla Public",
    "HPND": "HPND|MIT-CMU|Historical Permission",
    "PSF-2.0": "PSF|Python Software Foundation",
    "OFL-1.1": "OFL",
}
"""How each licence is named by what packages say of themselves."""


def spell(name: str) -> str:
    return re.sub("[-_.]+", "-", name).lower()


def find_all() -> dict[str, Distribution]:
    """Every library stated, and what they bring along here."""
    found: dict[str, Distribution] = {}
    waiting = list(STATED)
    while waiting:
        wanted = Requirement(waiting.pop())
        if spell(wanted.name) in found or (wanted.marker and not wanted.marker.evaluate({"extra": ""})):
            continue
        try:
            found[spell(wanted.name)] = distribution(wanted.name)
        except PackageNotFoundError:  # for another system
            continue
        waiting += found[spell(wanted.name)].requires or ()
    return found


def read_licences(library: Distribution) -> set[str]:
    """The licences that a library names: in its expression, else among its classifiers, else in words."""
    says = library.metadata
    classified = [each for each in says.get_all("Classifier") or () if each.startswith("License ::")]
    words = says.get("License-Expression") or " ".join(classified) or (says.get("License") or "")[:200]
    return {name for name, pattern in HOW.items() if re.search(pattern, words)}


def read_table() -> dict[str, str]:
    """Libraries and the licence that the developers' guide lists them under."""
    text = (ROOT / "DEVELOPERS.md").read_text(encoding="utf-8")
    table = text.partition("| licence | libraries |")[2].partition("\n\n")[0]
    rows = re.findall(r"^\| ([\w.-]+) \| (.*) \|$", table, re.MULTILINE)
    return {name: licence for licence, names in rows for name in re.findall(r"[a-z][a-z0-9-]+", names)}


LIBRARIES = find_all()


@pytest.mark.parametrize("name", sorted(LIBRARIES))
def test_a_library_has_a_licence_that_may_be_used_and_the_one_that_is_listed(name: str) -> None:
    licences, listed = read_licences(LIBRARIES[name]), read_table()
    assert licences
    assert listed.get(name, min(licences)) in licences


def test_every_library_that_is_stated_is_listed_with_its_licence() -> None:
    assert {spell(Requirement(each).name) for each in STATED} <= set(read_table())
    assert set(read_table().values()) == set(HOW)


def list_imports(folder: str) -> Iterator[str]:
    for path in (ROOT / folder).rglob("*.py"):
        for node in ast.walk(ast.parse(path.read_text(encoding="utf-8"))):
            if isinstance(node, ast.Import):
                yield from (each.name.split(".")[0] for each in node.names)
            elif isinstance(node, ast.ImportFrom) and node.module and not node.level:
                yield node.module.split(".")[0]


@pytest.mark.parametrize(("folder", "stated"), [("pocketref", PROJECT["dependencies"]), ("tests", STATED)])
def test_what_is_imported_is_stated(folder: str, stated: list[str]) -> None:
    names = {spell(Requirement(each).name) for each in stated}
    names |= {"pydantic-core", "fontpkg"}  # which pydantic and the typeface bring along for this
    names |= {"packaging"} if folder == "tests" else set()  # and pytest
    owners = packages_distributions()
    outside = {
        name for name in list_imports(folder) if name in owners and name not in sys.stdlib_module_names
    }
    unstated = {name for name in outside - {"pocketref"} if not names & set(map(spell, owners[name]))}
    assert not unstated
