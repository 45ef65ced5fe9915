"""A whole publish gives the same files installed or from the repository, whatever the machine's settings."""

from __future__ import annotations

import hashlib
import os
import shutil
import subprocess
import sys
import tomllib
from collections.abc import Mapping
from pathlib import Path

import pytest

ROOT = Path(__file__).parents[2]
PROGRAM = "from pocketref.cli import main; main()"
ROSTER = """\
name,number,chapter,code,level,quantity
Béla Invented,U-1,North,high-school,90-ft,2
Zoë Invented,U-2,South,high-school,90-ft,1
"""
OTHER_CLOCK = """\
import time

time.time = lambda: 4_000_000_000.0
time.time_ns = lambda: 4_000_000_000_000_000_000
time.localtime = time.gmtime = lambda seconds=None: time.struct_time((2096, 10, 2, 7, 6, 40, 1, 276, 0))
"""
"""Loaded by Python at its start, where it lies on the path as sitecustomize.py: the clock of a far day."""
PRINTED = ("contact", "field", "feet", "box", "plate-area")
"""A card of calls, one of figures, a training sheet, a class and a field sheet: one of each that is printed."""
HERE = {"TZ": "UTC", "LANG": "C.UTF-8", "LC_ALL": "C.UTF-8", "PYTHONHASHSEED": "1"}
FAR_AWAY = {
    "TZ": "Pacific/Kiritimati",
    "LANG": "de_DE.UTF-8",
    "LC_ALL": "C",
    "PYTHONUTF8": "0",
    "PYTHONCOERCECLOCALE": "0",
    "PYTHONHASHSEED": "2",
    "SOURCE_DATE_EPOCH": "1",
}


def start_publish(
    folder: Path, path: Path, environment: Mapping[str, str], *options: str
) -> subprocess.Popen[bytes]:
    """A publish with cards by name from a folder of its own, with the package that lies on `path`."""
    folder.mkdir()
    (folder / "roster.csv").write_text(ROSTER, encoding="utf-8")
    return subprocess.Popen(
        [sys.executable, "-c", PROGRAM, "publish", "--members", "roster.csv", *options],
        cwd=folder,
        env={**os.environ, **environment, "PYTHONPATH": str(path)},
        stdout=subprocess.DEVNULL,
        stderr=subprocess.PIPE,
    )


def finish(run: subprocess.Popen[bytes], folder: Path) -> dict[str, str]:
    """The SHA-256 of every file published, by name."""
    _, said = run.communicate(timeout=300)
    assert run.returncode == 0, said.decode(errors="replace")
    files = [path for path in (folder / "out").rglob("*") if path.is_file()]
    return {
        path.relative_to(folder).as_posix(): hashlib.sha256(path.read_bytes()).hexdigest() for path in files
    }


@pytest.fixture(scope="module")
def installed(tmp_path_factory: pytest.TempPathFactory) -> Path:
    """The files a wheel would install, as the build settings lay them out."""
    site = tmp_path_factory.mktemp("site packages ⚾")
    settings = tomllib.loads((ROOT / "pyproject.toml").read_text(encoding="utf-8"))
    wheel = settings["tool"]["hatch"]["build"]["targets"]["wheel"]
    parts = {**{name: name for name in wheel["packages"]}, **wheel["force-include"]}
    for source, target in parts.items():
        shutil.copytree(ROOT / source, site / target, ignore=shutil.ignore_patterns("__pycache__"))
    (site / "sitecustomize.py").write_text(OTHER_CLOCK, encoding="utf-8")
    return site


def take_out(layouts: Path) -> None:
    """Leave in a folder of layouts those of `PRINTED` alone."""
    for path in layouts.glob("*/*.yaml"):
        if path.stem not in PRINTED:
            path.unlink()


def test_an_installed_pocketref_publishes_what_the_repository_does(installed: Path, tmp_path: Path) -> None:
    near, far, layouts = tmp_path / "near", tmp_path / "weit weg, où ça", tmp_path / "layouts"
    shutil.copytree(ROOT / "layouts", layouts)
    site = tmp_path / "site packages ⚾"
    shutil.copytree(installed, site)
    for folder in (layouts, site / "pocketref/starter/layouts"):
        take_out(folder)
    source = ("--content", str(ROOT / "content"), "--layouts", str(layouts))
    runs = start_publish(near, ROOT, HERE, *source), start_publish(far, site, FAR_AWAY)
    here, there = finish(runs[0], near), finish(runs[1], far)
    assert there == here
    assert {name.split("/")[2] for name in here} >= {
        "cards",
        "sheets",
        "drawings",
        "press",
        "plays",
        "members",
    }
    assert sorted(path.name for path in far.iterdir()) == ["out", "roster.csv"]


def test_an_installed_pocketref_starts_an_association_that_proves_clean(
    installed: Path, tmp_path: Path
) -> None:
    environment = {**os.environ, **FAR_AWAY, "PYTHONPATH": str(installed)}
    for folder, *command in ((tmp_path, "start", "ours"), (tmp_path / "ours", "proof")):
        done = subprocess.run(
            [sys.executable, "-c", PROGRAM, *command],
            cwd=folder,
            env=environment,
            capture_output=True,
            check=False,
        )
        assert done.returncode == 0, command
        # All there is to say is that the new association has yet to write its own values.
        told = [line for line in done.stderr.decode().splitlines() if not line.startswith("    ")]
        assert all(line.endswith("[edition-placeholder]") for line in told), command
    assert (tmp_path / "ours" / "content" / "edition.yaml").is_file()
