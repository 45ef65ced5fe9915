"""The guide through a first season holds: each file and command in it is tried in the order it stands there.

In the guide, a `diff` block changes the file that the line above it names, a `yaml` or `csv` block writes it, and a
`text` block holds lines that the commands before it print, in that order.
"""

from __future__ import annotations

import re
import shlex
import shutil
from collections.abc import Iterator
from dataclasses import dataclass, field
from pathlib import Path

import pytest
from click.testing import CliRunner
from cryptography.hazmat.primitives.asymmetric.ed25519 import Ed25519PrivateKey
from cryptography.hazmat.primitives.serialization import (
    Encoding,
    NoEncryption,
    PrivateFormat,
    PublicFormat,
    load_pem_private_key,
)

from pocketref.cli import main

GUIDE = Path(__file__).parents[1] / "content/README.md"
_BLOCK = re.compile(r"^```(\w+)\n(.*?)^```$", re.M | re.S)
_NAMED = re.compile(r"`([^`\s]+\.\w+)`")


@dataclass
class Walk:
    """Where the reader is, and what the last commands printed."""

    folder: Path
    runner: CliRunner = field(default_factory=CliRunner)
    printed: str = ""

    def write(self, name: str, text: str) -> None:
        path = self.folder / name
        path.parent.mkdir(parents=True, exist_ok=True)
        path.write_text(text, encoding="utf-8")

    def change(self, name: str, difference: str) -> None:
        path = self.folder / name
        rows = difference.splitlines()
        before = "".join(f"{row[1:]}\n" for row in rows if row[:1] != "+")
        after = "".join(f"{row[1:]}\n" for row in rows if row[:1] != "-")
        text = path.read_text(encoding="utf-8")
        assert text.count(before) == 1, f"{name} holds {text.count(before)} times:\n{before}"
        path.write_text(text.replace(before, after), encoding="utf-8")

    def run(self, line: str, monkeypatch: pytest.MonkeyPatch) -> None:
        words = shlex.split(line, comments=True)
        if words[0] == "cd":
            self.folder /= words[1]
            monkeypatch.chdir(self.folder)
        elif words[0] == "cp":
            shutil.copy(self.folder / words[1], self.folder / words[2])
        elif words[0] == "mkdir":
            (self.folder / words[-1]).mkdir(parents=True)
        elif words[0] == "openssl":
            _make_key(self.folder, words)
        else:
            assert words[0] == "pocketref", line
            self.printed += self.runner.invoke(main, words[1:], catch_exceptions=False).output


def _make_key(folder: Path, words: list[str]) -> None:
    """What the two openssl commands make, by a library, so that the test needs no openssl."""
    out = folder / words[words.index("-out") + 1]
    if words[1] == "genpkey":
        assert words[words.index("-algorithm") + 1] == "ed25519"
        key = Ed25519PrivateKey.generate()
        out.write_bytes(key.private_bytes(Encoding.PEM, PrivateFormat.PKCS8, NoEncryption()))
        out.chmod(0o600)
        return
    assert words[1] == "pkey"
    assert "-pubout" in words
    private = load_pem_private_key((folder / words[words.index("-in") + 1]).read_bytes(), None)
    out.write_bytes(private.public_key().public_bytes(Encoding.PEM, PublicFormat.SubjectPublicKeyInfo))


def list_blocks() -> Iterator[tuple[str, str, str]]:
    """Each block's kind and text, and the file that the prose before it named last."""
    text = GUIDE.read_text(encoding="utf-8")
    end, name = 0, ""
    for block in _BLOCK.finditer(text):
        name = [name, *_NAMED.findall(text[end : block.start()])][-1]
        yield block[1], block[2], name
        end = block.end()


def test_a_first_season_goes_as_the_guide_says(tmp_path: Path, monkeypatch: pytest.MonkeyPatch) -> None:
    monkeypatch.chdir(tmp_path)
    walk = Walk(tmp_path)
    for kind, text, name in list_blocks():
        if kind == "text":
            _check_printed(walk.printed, text)
        elif kind == "diff":
            walk.change(name, text)
        elif kind == "sh":
            walk.printed = ""
            for line in text.splitlines():
                walk.run(line, monkeypatch)
        else:
            walk.write(name, text)


def _check_printed(printed: str, expected: str) -> None:
    rest = printed
    for line in expected.splitlines():
        if line.strip() == "...":
            continue
        assert line in rest, f"not printed, or not in this order: {line}\n--- printed:\n{printed}"
        rest = rest.partition(line)[2]


def test_each_step_of_the_year_is_one_that_the_guide_goes_through() -> None:
    _, _, rest = GUIDE.read_text(encoding="utf-8").partition("## The year on one page\n")
    table, _, guide = rest.partition("\n## ")
    _, _, *steps = [row.strip("|").split("|") for row in table.splitlines() if row.startswith("|")]
    headings = re.findall(r"^## \d+\. (.+)$", f"## {guide}", re.M)
    tried = {line for kind, text, _ in list_blocks() if kind == "sh" for line in text.splitlines()}
    assert len(steps) > 1
    for _, _, commands, sections in steps:
        assert set(re.findall("`(.+?)`", commands)) <= tried
        assert {section.strip() for section in sections.split(";")} <= set(headings)
