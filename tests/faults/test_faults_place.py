"""Odd places and odd machines: names of any characters, a clock far off, a locale with comma decimals."""

from __future__ import annotations

import hashlib
import os
import shutil
import subprocess
import sys
from collections.abc import Mapping
from pathlib import Path

import pytest
from click.testing import CliRunner
from source_folders import FIXTURES, copy_folders

from pocketref.cli import main
from pocketref.edition.manifest import BuiltFile
from pocketref.source.digest import set_digest, take_digest

ROOT = Path(__file__).parents[2]
COMMAND = (sys.executable, "-c", "from pocketref.cli import main; main()")


def digest_folder(folder: Path) -> dict[str, str]:
    return {
        p.relative_to(folder).as_posix(): hashlib.sha256(p.read_bytes()).hexdigest()
        for p in sorted(folder.rglob("*"))
        if p.is_file()
    }


def digest_built(built: Mapping[str, BuiltFile]) -> dict[str, str]:
    """The files as they are put in place: with the digest of all that the edition says."""
    files = {name: file.data for name, file in sorted(built.items())}
    digest = take_digest(files)
    return {name: hashlib.sha256(set_digest(data, digest)).hexdigest() for name, data in files.items()}


@pytest.mark.parametrize(
    "name",
    [
        "with spaces",
        "Åse's Größe",
        "打者",
        "a'b\"c",
        "-dash",
        "%s {x} $HOME",
        "e\u0301",
        "\u202eevil",
        "x" * 200,
    ],
)
def test_a_folder_of_any_name_publishes_the_same_files(
    name: str, tmp_path: Path, built: Mapping[str, BuiltFile]
) -> None:
    folders = copy_folders(tmp_path / name)
    result = CliRunner().invoke(main, ["publish", "--out", str(tmp_path / name / "out"), *folders.options])
    assert result.exit_code == 0, result.output
    found = digest_folder(tmp_path / name / "out" / "2027")
    assert {key: value for key, value in found.items() if key != "manifest.json"} == digest_built(built)


def test_names_that_are_no_text_at_all_are_printed_all_the_same(tmp_path: Path) -> None:
    environment = {**os.environ, "PYTHONIOENCODING": "utf-8:strict"}
    odd = Path(os.fsdecode(os.fsencode(tmp_path) + b"/odd-\xff\xfe"))
    folders = copy_folders(odd)
    shutil.move(folders.content, odd / os.fsdecode(b"content-\xff"))
    options = [
        "--content",
        odd / os.fsdecode(b"content-\xff"),
        "--layouts",
        folders.layouts,
        "--out",
        odd / "out",
    ]
    done = subprocess.run(
        [*COMMAND, "publish", *options], cwd=ROOT, env=environment, capture_output=True, check=False
    )
    assert done.returncode == 0, done.stderr
    assert (odd / "out" / "2027" / "manifest.json").is_file()
    (odd / os.fsdecode(b"content-\xff") / "works.yaml").unlink()
    done = subprocess.run(
        [*COMMAND, "publish", *options], cwd=ROOT, env=environment, capture_output=True, check=False
    )
    assert done.returncode == 1
    assert b"[file-missing]" in done.stderr
    assert b"Traceback" not in done.stderr


@pytest.mark.parametrize("encoding", ["ascii", "cp1252", "latin-1:strict"])
def test_a_terminal_that_knows_few_characters_gets_no_traceback(encoding: str, tmp_path: Path) -> None:
    folders = copy_folders(tmp_path / "größe 打者")
    options = ["--out", tmp_path / "größe 打者" / "out", *folders.options]
    environment = {**os.environ, "PYTHONIOENCODING": encoding, "PYTHONUTF8": "0"}
    done = subprocess.run(
        [*COMMAND, "publish", *options], cwd=ROOT, env=environment, capture_output=True, check=False
    )
    assert done.returncode == 0, done.stderr
    assert b"2027/cards  " in done.stdout


# The clock is turned before anything else is imported, in the ways that programs ask for it.
TURNED_CLOCK = """
import sys, time, datetime
away = float(sys.argv.pop(1))
real_gm, real_local = time.gmtime, time.localtime
time.time = lambda: away
time.time_ns = lambda: int(away * 1e9)
time.gmtime = lambda seconds=None: real_gm(away if seconds is None else seconds)
time.localtime = lambda seconds=None: real_local(away if seconds is None else seconds)
class Turned(datetime.datetime):
    @classmethod
    def now(cls, tz=None):
        return cls.fromtimestamp(away, tz)
    @classmethod
    def utcnow(cls):
        return cls.fromtimestamp(away)
    today = now
datetime.datetime = Turned
from pocketref.cli import main
main()
"""


@pytest.mark.parametrize("seconds", ["0", "7258118400"], ids=["1970", "2200"])
def test_a_clock_far_off_changes_no_byte(
    seconds: str, tmp_path: Path, built: Mapping[str, BuiltFile]
) -> None:
    options = ["--content", FIXTURES / "content", "--layouts", FIXTURES / "layouts", "--out", tmp_path]
    subprocess.run([sys.executable, "-c", TURNED_CLOCK, seconds, "publish", *options], cwd=ROOT, check=True)
    found = digest_folder(tmp_path / "2027")
    assert {key: value for key, value in found.items() if key != "manifest.json"} == digest_built(built)


COMMA_DECIMALS = """
import ctypes, locale, sys
name = sys.argv.pop(1)
locale.setlocale(locale.LC_ALL, name)
print(locale.localeconv()["decimal_point"], locale.nl_langinfo(locale.ABMON_12) if name != "C" else "", file=sys.stderr)
from pocketref.cli import main
main()
"""


def make_locale(folder: Path) -> str:
    """A locale with comma decimals: the machine's own, else one compiled here; C where neither can be had."""
    installed = subprocess.run(["locale", "-a"], capture_output=True, text=True, check=False).stdout.split()
    for name in installed:
        if name.lower().startswith(("de_de.utf", "fr_fr.utf")):
            return name
    command = ["localedef", "-f", "UTF-8", "-i", "de_DE", str(folder / "de_DE.UTF-8")]
    if (
        shutil.which("localedef")
        and subprocess.run(command, capture_output=True, check=False).returncode == 0
    ):
        return "de_DE.UTF-8"
    return "C"


def test_a_locale_with_comma_decimals_and_other_months_changes_no_byte(
    tmp_path: Path, built: Mapping[str, BuiltFile]
) -> None:
    (tmp_path / "locales").mkdir()
    name = make_locale(tmp_path / "locales")
    options = [
        "--content",
        FIXTURES / "content",
        "--layouts",
        FIXTURES / "layouts",
        "--out",
        tmp_path / "out",
    ]
    done = subprocess.run(
        [sys.executable, "-c", COMMA_DECIMALS, name, "publish", *options],
        cwd=ROOT,
        env={**os.environ, "LOCPATH": str(tmp_path / "locales")},
        capture_output=True,
        text=True,
        check=True,
    )
    assert done.stderr.startswith("." if name == "C" else ", Dez")
    found = digest_folder(tmp_path / "out" / "2027")
    assert {key: value for key, value in found.items() if key != "manifest.json"} == digest_built(built)
