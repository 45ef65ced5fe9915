"""A disk that is full, cannot be written to, or lacks a file: told in a sentence, and the old edition stands."""

from __future__ import annotations

import os
import resource
import shutil
import subprocess
import sys
from collections.abc import Iterator
from pathlib import Path

import pytest
from click.testing import CliRunner, Result
from source_folders import SourceFolders

from pocketref.cli import main
from pocketref.scene import typefaces

ROOT = Path(__file__).parents[2]
COMMAND = (sys.executable, "-c", "from pocketref.cli import main; main()")


def read_folder(folder: Path) -> dict[str, bytes]:
    return {p.relative_to(folder).as_posix(): p.read_bytes() for p in folder.rglob("*") if p.is_file()}


def publish(folders: SourceFolders, out: Path) -> Result:
    return CliRunner().invoke(main, ["publish", "--out", str(out), *folders.options])


def is_told(result: Result, code: str) -> bool:
    """Whether the problem was printed, and nothing worse."""
    assert result.exception is None or isinstance(result.exception, SystemExit), repr(result.exception)
    return result.exit_code == 1 and f"[{code}]" in result.stderr and "Traceback" not in result.output


def test_a_disk_that_takes_no_more_is_told_and_the_old_edition_stands(
    folders: SourceFolders, tmp_path: Path
) -> None:
    out = tmp_path / "out"
    assert publish(folders, out).exit_code == 0
    before = read_folder(out)
    folders.replace("layouts/cards/batters-box.yaml", "Batter's box and stance", "Another title")
    done = subprocess.run(
        [*COMMAND, "publish", "--out", str(out), *folders.options],
        cwd=ROOT,
        preexec_fn=lambda: resource.setrlimit(resource.RLIMIT_FSIZE, (20_000, 20_000)),
        capture_output=True,
        text=True,
        check=False,
    )
    assert done.returncode == 1, done.stderr
    assert "[disk-full]" in done.stderr
    assert "nothing was written" in done.stderr
    assert "Traceback" not in done.stderr
    assert read_folder(out) == before
    assert [path.name for path in out.iterdir()] == ["2027"]


def test_a_place_that_may_not_be_written_to_is_told(folders: SourceFolders) -> None:
    # No one may make a folder here, whoever runs the test.
    assert is_told(publish(folders, Path("/sys/pocketref-out")), "folder-read-only")


@pytest.mark.parametrize("inner", ["out", "out/deeper"])
def test_a_file_in_the_way_of_the_folder_is_told(folders: SourceFolders, tmp_path: Path, inner: str) -> None:
    (tmp_path / "out").write_text("not a folder")
    assert is_told(publish(folders, tmp_path / inner), "publish-target-not-folder")
    assert (tmp_path / "out").read_text() == "not a folder"


@pytest.fixture
def other_fonts(tmp_path: Path, monkeypatch: pytest.MonkeyPatch) -> Iterator[Path]:
    """A folder of font files of our own, which the typefaces are taken from while the test runs."""
    import fontpkg

    place, real = tmp_path / "fonts", fontpkg.path
    place.mkdir()

    def path(*args: object, **kwargs: object) -> Path:
        found = real(*args, **kwargs)
        return place / Path(found).name

    for weight, style in ((400, "normal"), (500, "normal"), (700, "normal"), (400, "italic")):
        found = real("IBM Plex Sans Condensed", weight=weight, style=style)
        shutil.copy(found, place)
    monkeypatch.setattr(fontpkg, "path", path)
    typefaces.typeface.cache_clear()
    yield place
    typefaces.typeface.cache_clear()


@pytest.mark.parametrize("kept", [None, 0, 10, 1000, 20_000])
def test_a_font_file_that_is_missing_or_cut_off_is_named(
    folders: SourceFolders, tmp_path: Path, other_fonts: Path, kept: int | None
) -> None:
    bold = next(path for path in other_fonts.iterdir() if "Bold" in path.name and "Semi" not in path.name)
    if kept is None:
        bold.unlink()
    else:
        bold.write_bytes(bold.read_bytes()[:kept])
    result = publish(folders, tmp_path / "out")
    assert is_told(result, "typeface-missing")
    assert str(bold) in result.stderr
    assert "install fontpkg-ibm-plex-sans-condensed again" in result.stderr
    assert not (tmp_path / "out").exists()


@pytest.mark.parametrize("command", [["proof"], ["rule", "stance", "told=no"], ["--help"]])
def test_an_output_that_takes_no_more_gives_no_traceback(folders: SourceFolders, command: list[str]) -> None:
    options = folders.options if command == ["proof"] else folders.options[:2] if command[0] == "rule" else []
    with Path("/dev/full").open("w") as full:
        done = subprocess.run(
            [*COMMAND, *command, *options],
            cwd=ROOT,
            stdout=full,
            stderr=subprocess.PIPE,
            text=True,
            check=False,
        )
    assert done.returncode != 0
    assert "Traceback" not in done.stderr


def test_an_output_that_is_closed_early_gives_no_traceback(folders: SourceFolders) -> None:
    reading, writing = os.pipe()
    os.close(reading)
    done = subprocess.run(
        [*COMMAND, "proof", *folders.options],
        cwd=ROOT,
        stdout=writing,
        stderr=subprocess.PIPE,
        text=True,
        check=False,
    )
    os.close(writing)
    assert "Traceback" not in done.stderr
