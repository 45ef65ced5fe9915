"""Publish the starter edition on every Python there is and compare each file, byte for byte.

A wheel is built from a clean clone and installed into a fresh environment for each Python 3.11 or later found
on the path or among pyenv's; each publishes with cards by name from a folder that holds neither content nor
layouts, then again under another time zone, language, hash seed, folder and encoding. Prints a table of the
SHA-256 digests; exits 1 if any file differs anywhere.

python tests/benchmarks/check_everywhere.py [--uncommitted] [--work FOLDER]
"""

from __future__ import annotations

import argparse
import hashlib
import os
import shutil
import subprocess
import sys
import tempfile
from collections.abc import Iterator, Mapping
from dataclasses import dataclass, field
from pathlib import Path

ROOT = Path(__file__).parents[2]
ROSTER = """\
name,number,chapter,code,level,quantity
Ada Invented,U-1,North,high-school,90-ft,2
Béla Invented,U-2,North,high-school,90-ft,1
Zoë Invented,U-3,South,high-school,90-ft,1
"""


@dataclass(frozen=True, slots=True)
class Run:
    """One publish: where, and in what surroundings."""

    label: str
    folder: str = "elsewhere"
    environment: Mapping[str, str] = field(default_factory=dict)
    options: tuple[str, ...] = ()


PLAIN = Run("plain")
SURROUNDINGS = (
    Run("another zone", "zone", {"TZ": "Pacific/Kiritimati"}),
    Run("decimal commas", "commas", {"LANG": "de_DE.UTF-8", "LC_ALL": "de_DE.UTF-8", "LC_NUMERIC": "de_DE"}),
    Run("ASCII only", "ascii", {"LC_ALL": "C", "LANG": "C", "PYTHONUTF8": "0", "PYTHONCOERCECLOCALE": "0"}),
    Run("hash seed 1", "seed-1", {"PYTHONHASHSEED": "1"}),
    Run("hash seed 4 000 000", "seed-2", {"PYTHONHASHSEED": "4000000"}),
    Run("a folder named in other letters", "dossier à côté ⚾", {}),
    Run("no assertions", "bare", {"PYTHONOPTIMIZE": "2"}),
    Run("another day for builds", "epoch", {"SOURCE_DATE_EPOCH": "1"}),
)


def find_pythons() -> dict[str, Path]:
    """One interpreter for each minor version from 3.11 on, by "3.11"."""
    pyenv = Path(os.environ.get("PYENV_ROOT", Path.home() / ".pyenv")) / "versions"
    on_path = (shutil.which(f"python3.{minor}") for minor in range(11, 30))
    found: dict[str, Path] = {}
    for python in (*sorted(pyenv.glob("3.*/bin/python")), *(Path(name) for name in on_path if name)):
        asked = [python, "-c", "import sys; print('%d.%d' % sys.version_info[:2])"]
        answer = subprocess.run(asked, capture_output=True, text=True, check=False)
        version = answer.stdout.strip()
        if answer.returncode == 0 and tuple(map(int, version.split("."))) >= (3, 11):
            found.setdefault(version, python)
    return dict(sorted(found.items(), key=lambda pair: tuple(map(int, pair[0].split(".")))))


def build_wheel(work: Path, python: Path, *, uncommitted: bool) -> Path:
    """The wheel of a clean clone; with `uncommitted`, of what a commit of the whole working tree would hold."""
    clone = work / "clone"
    if uncommitted:
        command = ["git", "ls-files", "-z", "--cached", "--others", "--exclude-standard"]
        listed = subprocess.run(command, cwd=ROOT, capture_output=True, check=True).stdout.decode()
        for name in filter(None, listed.split("\0")):
            if (ROOT / name).is_file():
                (clone / name).parent.mkdir(parents=True, exist_ok=True)
                shutil.copyfile(ROOT / name, clone / name)
    else:
        subprocess.run(["git", "clone", "--quiet", ROOT, clone], check=True)
    command = [python, "-m", "pip", "wheel", "-qq", clone, "--no-deps", "--wheel-dir", work / "wheel"]
    subprocess.run(command, check=True)
    (wheel,) = (work / "wheel").glob("*.whl")
    return wheel


def install(work: Path, version: str, python: Path, wheel: Path) -> Path:
    """A fresh environment with the wheel; gives its folder of programs."""
    environment = work / f"python{version}"
    subprocess.run([python, "-m", "venv", environment], check=True)
    programs = environment / "bin"
    subprocess.run([programs / "python", "-m", "pip", "install", "-qq", wheel], check=True)
    return programs


def list_libraries(programs: Path) -> set[str]:
    """The libraries installed, with their versions."""
    command = [programs / "python", "-m", "pip", "freeze"]
    done = subprocess.run(command, capture_output=True, text=True, check=True)
    return {line for line in done.stdout.splitlines() if not line.startswith("pocketref")}


def publish(programs: Path, folder: Path, run: Run) -> dict[str, str]:
    """The SHA-256 of every file that a publish from an empty folder makes, by its name."""
    shutil.rmtree(folder, ignore_errors=True)
    folder.mkdir(parents=True)
    (folder / "roster.csv").write_text(ROSTER, encoding="utf-8")
    command = [programs / "pocketref", "publish", "--members", "roster.csv", *run.options]
    unset = {"PYTHONPATH", "PYTHONHOME", "VIRTUAL_ENV"}
    environment = {name: value for name, value in os.environ.items() if name not in unset}
    done = subprocess.run(
        command, cwd=folder, env={**environment, **run.environment}, capture_output=True, check=False
    )
    if done.returncode:
        sys.stderr.write(done.stderr.decode(errors="replace"))
        raise SystemExit(f"{programs}: publishing failed ({run.label})")
    out = folder / "out"
    files = sorted(path for path in out.rglob("*") if path.is_file())
    return {path.relative_to(out).as_posix(): hashlib.sha256(path.read_bytes()).hexdigest() for path in files}


def check(work: Path, wheel: Path, pythons: Mapping[str, Path]) -> Iterator[tuple[str, dict[str, str]]]:
    """Each run's label and digests: every Python plainly, the first in all surroundings, the last in some."""
    libraries: dict[str, set[str]] = {}
    for version, python in pythons.items():
        programs = install(work, version, python, wheel)
        libraries[version] = list_libraries(programs)
        is_end = version in (next(iter(pythons)), list(pythons)[-1])
        for run in (PLAIN, *(SURROUNDINGS if is_end else ())):
            yield f"{version}, {run.label}", publish(programs, work / run.folder, run)
        if version == next(iter(pythons)):
            options = ("--content", str(work / "clone/content"), "--layouts", str(work / "clone/layouts"))
            run = Run("content and layouts of the clone", options=options)
            yield f"{version}, {run.label}", publish(programs, work / run.folder, run)
    every = set.union(*libraries.values())
    odd = every - set.intersection(*libraries.values())
    sys.stdout.write(f"libraries that differ between the environments: {', '.join(sorted(odd)) or 'none'}\n")


def describe(digests: Mapping[str, str], first: Mapping[str, str]) -> str:
    """A line of the table: the number of files, a digest over all, and what differs."""
    together = hashlib.sha256("".join(f"{d}  {n}\n" for n, d in sorted(digests.items())).encode())
    differing = sorted(n for n in {*digests, *first} if digests.get(n) != first.get(n))
    verdict = f"DIFFERS in {len(differing)}: {', '.join(differing[:5])}" if differing else "same"
    return f"{len(digests):4} files  {together.hexdigest()[:16]}  {verdict}"


def main() -> None:
    """Print the table; exit 1 if anything differs."""
    parser = argparse.ArgumentParser(description=__doc__.splitlines()[0])
    parser.add_argument("--uncommitted", action="store_true", help="take the working tree, not a clean clone")
    parser.add_argument(
        "--work", type=Path, help="a new folder to work in and keep; default: a temporary one"
    )
    arguments = parser.parse_args()
    pythons = find_pythons()
    with tempfile.TemporaryDirectory() as temporary:
        work = (arguments.work or Path(temporary)).absolute()
        work.mkdir(parents=True, exist_ok=arguments.work is None)
        wheel = build_wheel(work, next(iter(pythons.values())), uncommitted=arguments.uncommitted)
        sys.stdout.write(f"{wheel.name}, {wheel.stat().st_size:,} bytes\n")
        first: dict[str, str] = {}
        agree = True
        for label, digests in check(work, wheel, pythons):
            first = first or digests
            agree = agree and digests == first
            sys.stdout.write(f"{label:45}{describe(digests, first)}\n")
            sys.stdout.flush()
    sys.exit(0 if agree else 1)


if __name__ == "__main__":
    main()
