"""Killed at any moment, or two at once: the folder holds one edition or the other, whole, and nothing beside it."""

from __future__ import annotations

import os
import random
import signal
import subprocess
import sys
import time
from pathlib import Path

import pytest
from click.testing import CliRunner
from source_folders import SourceFolders

from pocketref.cli import main
from pocketref.output.files import publish_folder, recover_folders

ROOT = Path(__file__).parents[2]
FILES = 60
MARKER = "manifest.json"

PROGRAM = """
import sys
sys.path.insert(0, sys.argv[1])
from pathlib import Path
from pocketref.output import files as module
from pocketref.output.files import publish_folder
target, names, turns, files = Path(sys.argv[2]), sys.argv[3], int(sys.argv[4]), int(sys.argv[5])
if sys.argv[6] == "two steps":
    module._exchange = lambda one, other: False
print("ready", flush=True)
for turn in range(turns):
    word = names[turn % len(names)].encode() * 2000
    edition = {f"cards/{n:03d}.pdf": word for n in range(files)} | {f"{names[turn % len(names)]}.txt": b""}
    publish_folder(target, edition | {"manifest.json": word}, lambda target: None)
"""


def make_edition(name: str) -> dict[str, bytes]:
    word = name.encode() * 2000
    return {f"cards/{n:03d}.pdf": word for n in range(FILES)} | {f"{name}.txt": b"", MARKER: word}


def read_folder(folder: Path) -> dict[str, bytes]:
    return {p.relative_to(folder).as_posix(): p.read_bytes() for p in folder.rglob("*") if p.is_file()}


def start(target: Path, names: str, turns: int, swap: str) -> subprocess.Popen[str]:
    """A process that publishes the editions of these names in turn, swapping folders in so many steps."""
    command = [sys.executable, "-c", PROGRAM, str(ROOT), str(target), names, str(turns), str(FILES), swap]
    process = subprocess.Popen(command, stdout=subprocess.PIPE, stderr=subprocess.PIPE, text=True)
    assert process.stdout is not None
    assert process.stdout.readline() == "ready\n"
    return process


@pytest.mark.parametrize("swap", ["one step", "two steps"])
def test_killed_at_any_moment_an_edition_is_the_old_or_the_new_one(swap: str, tmp_path: Path) -> None:
    target, rng = tmp_path / "out" / "2027", random.Random(7)
    publish_folder(target, make_edition("a"), lambda _: None)
    editions = {name: make_edition(name) for name in "ab"}
    for _ in range(10):
        process = start(target, "ba", 1000, swap)
        time.sleep(rng.uniform(0, 0.06))
        os.kill(process.pid, signal.SIGKILL)
        process.communicate()
        if swap == "two steps":
            recover_folders(target.parent)
        assert read_folder(target) in editions.values()
    publish_folder(target, editions["b"], lambda _: None)
    assert read_folder(target) == editions["b"]
    assert [path.name for path in target.parent.iterdir()] == ["2027"]


@pytest.mark.parametrize("swap", ["one step", "two steps"])
def test_publishes_at_once_into_one_folder_all_succeed_and_leave_one_edition(
    swap: str, tmp_path: Path
) -> None:
    target = tmp_path / "out" / "2027"
    running = [start(target, name, 12, swap) for name in "abc"]
    for process in running:
        _, said = process.communicate(timeout=600)
        assert process.returncode == 0, said
    assert read_folder(target) in [make_edition(name) for name in "abc"]
    assert [path.name for path in target.parent.iterdir()] == ["2027"]


def test_what_a_killed_run_left_is_swept_by_one_that_finds_nothing_to_do(
    folders: SourceFolders, tmp_path: Path
) -> None:
    out = tmp_path / "out"
    command = ["publish", "--out", str(out), *folders.options]
    assert CliRunner().invoke(main, command).exit_code == 0
    left = out / ".2027.new-0123456789abcdef"
    left.mkdir()
    (left / "half.pdf").write_bytes(b"%PDF")
    result = CliRunner().invoke(main, command)
    assert "unchanged" in result.output
    assert [path.name for path in out.iterdir()] == ["2027"]
