"""A new kind of block is one module and its name in one list: all else follows, and what is left out is told."""

from __future__ import annotations

import os
import re
import shutil
import subprocess
import sys
from pathlib import Path

import pytest
from pypdf import PdfReader
from source_folders import SourceFolders

ROOT = Path(__file__).parents[1]
KIND = '''"""A text's first entry, large, as a motto."""

from __future__ import annotations

from collections.abc import Iterator
from typing import Literal

from pydantic import Field

from pocketref.blocks.model import BlockModel, Cited, Text
from pocketref.blocks.setting import Setting
from pocketref.pages.blocks import Block, Paragraphs


class MottoBlockModel(BlockModel):
    """A text's first entry, as a motto."""

    block: Literal["motto"]
    text: Text = Field(description="where the text is")

    def list_cited(self, setting: Setting) -> Iterator[Cited]:
        """The text."""
        yield setting.find_text(self.text)

    def build(self, setting: Setting) -> Block:
        """Its first entry."""
        return Paragraphs("motto", (f"Motto: {setting.find_text(self.text).entries[0]}",))
'''
COMMAND = ("-c", "from pocketref.cli import main; main()")
TEXT = """  motto:
    heading: Motto
    entries:
      - "Feet first."
    source: field-book 7-3
    confidence: secondary
"""


@pytest.fixture
def package(tmp_path: Path) -> Path:
    """A folder with a copy of the package, the new kind in its own module and named in `AnyBlock`."""
    root = tmp_path / "extended"
    ignored = shutil.ignore_patterns("__pycache__")
    shutil.copytree(ROOT / "pocketref", root / "pocketref", ignore=ignored)
    shutil.copy(ROOT / "pyproject.toml", root)
    (root / "pocketref" / "blocks" / "motto.py").write_text(KIND, encoding="utf-8")
    kinds = root / "pocketref" / "blocks" / "kinds.py"
    listed = kinds.read_text(encoding="utf-8")
    listed = listed.replace(
        "\nfrom pocketref.blocks.photo",
        "\nfrom pocketref.blocks.motto import MottoBlockModel\nfrom pocketref.blocks.photo",
        1,
    )
    kinds.write_text(
        listed.replace("    | QrBlockModel\n", "    | QrBlockModel\n    | MottoBlockModel\n", 1),
        encoding="utf-8",
    )
    return root


def run(package: Path, *arguments: str) -> subprocess.CompletedProcess[str]:
    surroundings = {**os.environ, "PYTHONPATH": str(package), "COLUMNS": "200"}
    return subprocess.run(
        [sys.executable, *arguments],
        cwd=package,
        env=surroundings,
        capture_output=True,
        text=True,
        check=False,
    )


def ask_for_it(folders: SourceFolders, text: str = "mechanics/stance/motto") -> None:
    folders.replace("content/mechanics/stance.yaml", "  tape:\n", TEXT + "  tape:\n")
    layout = "layouts/cards/batters-box.yaml"
    folders.replace(layout, "  - {block: calls", f"  - {{block: motto, text: {text}}}\n  - {{block: calls")


def test_a_new_kind_is_printed_cited_and_read_on_the_page(
    package: Path, folders: SourceFolders, tmp_path: Path
) -> None:
    ask_for_it(folders)
    out = tmp_path / "out"
    done = run(package, *COMMAND, "publish", *folders.options, "--out", str(out))
    assert done.returncode == 0, done.stdout + done.stderr
    (card,) = out.glob("*/cards/batters-box.pdf")
    back = PdfReader(card).pages[-1].extract_text()
    assert "Motto: Feet first." in back
    assert "7-3" in back, "its section is in the footer"
    (page,) = out.glob("*/index.html")
    assert "Motto: Feet first." in page.read_text(encoding="utf-8")


def test_what_a_new_kind_refers_to_is_checked(package: Path, folders: SourceFolders) -> None:
    ask_for_it(folders, "mechanics/stance/moto")
    done = run(package, *COMMAND, "proof", *folders.options)
    told = done.stdout + done.stderr
    assert done.returncode == 1
    assert "there is no text 'mechanics/stance/moto'" in told
    assert "mechanics/stance/motto" in told, "the close match"
    assert re.search(r"batters-box\.yaml:\d+:\d+", told)


def test_a_kind_that_lacks_its_parts_fails_in_mypy(package: Path) -> None:
    module = package / "pocketref" / "blocks" / "motto.py"
    module.write_text(
        KIND.replace("def list_cited(", "def cite(").replace("def build(", "def make("), encoding="utf-8"
    )
    done = run(package, "-m", "mypy", "--cache-dir", str(package / "cache"))
    assert done.returncode == 1
    for part in ("list_cited", "build"):
        assert re.search(rf'"MottoBlockModel".* has no attribute "{part}"', done.stdout)
