"""What the guides name is there, and what the project rests on is named in them."""

from __future__ import annotations

import re
import tomllib
from pathlib import Path

import pytest

ROOT = Path(__file__).parents[1]
GUIDES = ("README.md", "DEVELOPERS.md")
_TOP = {path.name for path in ROOT.iterdir()}
_MADE = re.compile(r"out/\d{4}(/|$)")
"""What a reader's own publish makes is not in the repository."""


def find_paths(text: str) -> list[str]:
    """What stands in backticks or is linked to, and looks like a path in this repository."""
    named = re.findall(r"`([^`\s]+)`", text) + re.findall(r"\]\(([^)\s#]+)\)", text)
    paths = [name for name in named if "://" not in name and not name.startswith("-")]
    return [
        path
        for path in paths
        if (path.split("/")[0] in _TOP or re.fullmatch(r"[\w./-]+/|[\w./-]*\w\.(py|md|ya?ml|toml|svg)", path))
        and not _MADE.match(path)
    ]


@pytest.mark.parametrize("guide", GUIDES)
def test_every_path_a_guide_names_exists(guide: str) -> None:
    paths = find_paths((ROOT / guide).read_text(encoding="utf-8"))
    assert paths, f"{guide} names no path"
    missing = [path for path in paths if not (ROOT / path).exists()]
    assert missing == []


def test_the_developers_guide_walks_every_package() -> None:
    guide = (ROOT / "DEVELOPERS.md").read_text(encoding="utf-8")
    packages = {path.parent.name for path in (ROOT / "pocketref").glob("*/__init__.py")}
    assert [name for name in sorted(packages) if f"`pocketref/{name}/`" not in guide] == []


def test_every_dependency_is_explained_in_the_developers_guide() -> None:
    guide = (ROOT / "DEVELOPERS.md").read_text(encoding="utf-8").lower()
    project = tomllib.loads((ROOT / "pyproject.toml").read_text(encoding="utf-8"))["project"]
    wanted = [
        *project["dependencies"],
        *(d for group in project["optional-dependencies"].values() for d in group),
    ]
    names = [re.split(r"[\[<>=~! ;]", line, maxsplit=1)[0].lower() for line in wanted]
    assert "click" in names
    missing = [name for name in names if not re.search(rf"(?<![\w-]){re.escape(name)}(?![\w-])", guide)]
    assert missing == []
