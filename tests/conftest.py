"""What the tests of scene, pages, edition and command line share: a small source, read, proven and printed once."""

from __future__ import annotations

import os
from collections.abc import Mapping
from importlib import import_module
from pathlib import Path
from pkgutil import walk_packages

import pytest
from hypothesis import HealthCheck, settings
from source_folders import FIXTURES, SourceFolders, copy_folders

os.environ["OPENBLAS_NUM_THREADS"] = "1"  # as the program has it, before numpy is loaded
os.environ["LANGUAGE"] = "en"  # what commands tell is asserted in English, whoever runs the tests

import pocketref
from pocketref.edition.manifest import BuiltFile
from pocketref.edition.proof import Proof, prove
from pocketref.field.plan import Plan, construct_plate_area
from pocketref.publish.build import build_edition
from pocketref.units.length import Length

# No test may fail because a machine is slow, or by chance.
settings.register_profile(
    "any machine", deadline=None, derandomize=True, suppress_health_check=[HealthCheck.too_slow]
)
settings.load_profile("any machine")
# Hypothesis tries the constants of whatever modules are loaded: all are, lest the order of tests choose the examples.
for module in walk_packages(pocketref.__path__, "pocketref."):
    import_module(module.name)


def pytest_addoption(parser: pytest.Parser) -> None:
    """The seed that tests/fuzz starts from."""
    parser.addoption("--fuzz-seed", default="2027", help="seed of the spoilt files that tests/fuzz feeds")


def pytest_collection_modifyitems(items: list[pytest.Item]) -> None:
    """The walk through the guide, the longest test of all, goes first: at the end one worker would wait for it."""
    items.sort(key=lambda item: item.path.name != "test_first_season.py")


@pytest.fixture
def folders(tmp_path: Path) -> SourceFolders:
    """A content folder and its layouts that prove clean, to be spoilt."""
    return copy_folders(tmp_path / "source")


@pytest.fixture(scope="session")
def proven() -> Proof:
    """The same source, proven."""
    return prove(FIXTURES / "content", FIXTURES / "layouts")


@pytest.fixture(scope="session")
def built(proven: Proof) -> Mapping[str, BuiltFile]:
    """The files of its edition by name."""
    return {file.name: file for file in build_edition(proven)}


@pytest.fixture(scope="session")
def lengths(proven: Proof) -> Mapping[str, Length]:
    """Its field's dimensions."""
    field = proven.library.fields["high-school-90-ft"]
    return {name: dimension.value for name, dimension in field.dimensions.items()}


@pytest.fixture(scope="session")
def plan(lengths: Mapping[str, Length]) -> Plan:
    """Its plan of the plate area."""
    return construct_plate_area(lengths)
