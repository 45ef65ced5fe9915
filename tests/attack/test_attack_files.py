"""Files that mean harm, or are not what they are called: answered or refused, within bounds of time and memory."""

from __future__ import annotations

import json
import re
from collections.abc import Callable, Iterator, Mapping
from dataclasses import fields
from functools import cache
from pathlib import Path

import pytest
from click.testing import CliRunner
from field_sheets import fill_sheet, publish
from hostile_pdfs import FILES, READ_ALL_THE_SAME, REFUSED, reshape
from pikepdf import Pdf
from source_folders import SourceFolders

from pocketref.cli import main
from pocketref.edition.manifest import BuiltFile
from pocketref.edition.proof import Proof
from pocketref.edition.source_reading import read_source
from pocketref.output.reading import filled_sheet
from pocketref.output.reading.filled_sheet import read_filled_sheet
from pocketref.problems import PocketrefError
from pocketref.publish.build import publish_edition

SLOWEST_S = 5.0
"""Of processor time, so that a busy machine tells no tales."""
MOST_KIB = 500 * 1024

# --- PDFs ------------------------------------------------------------------------------------------------


@cache
def filled() -> bytes:
    return fill_sheet(publish("plate-area"), {"A-F1": "31 3/16 in"})


WATCH = """
import json, resource, subprocess, sys
code = subprocess.run([sys.executable, "-P", {reader!r}]).returncode
used = resource.getrusage(resource.RUSAGE_CHILDREN)
with open({record!r}, "a") as record:
    record.write(json.dumps([used.ru_utime + used.ru_stime, used.ru_maxrss]) + "\\n")
sys.exit(code if code >= 0 else 1)
"""
"""Starts the reader from a small process: Linux counts the memory of the process that starts one as its own."""


@pytest.fixture
def _bounded(tmp_path: Path, monkeypatch: pytest.MonkeyPatch) -> Iterator[None]:
    """Reading in the test takes no more than 5 s of a processor, and 500 MiB."""
    filled()
    watch, record = tmp_path / "watch.py", tmp_path / "record.jsonl"
    watch.write_text(WATCH.format(reader=str(filled_sheet._READER), record=str(record)), encoding="utf-8")
    monkeypatch.setattr(filled_sheet, "_READER", watch)
    yield
    for line in record.read_text(encoding="utf-8").splitlines():
        seconds, kib = json.loads(line)
        assert seconds < SLOWEST_S
        assert kib <= MOST_KIB


def read_codes(data: bytes) -> set[str]:
    """The codes of a refusal; a sheet that is read says what was typed."""
    try:
        sheet = read_filled_sheet(data, "sheet.pdf")
    except PocketrefError as error:
        return {problem.code for problem in error.problems}
    assert {name: text for name, text in sheet.values.items() if text} == {"A-F1": "31 3/16 in"}
    return set()


@pytest.mark.usefixtures("_bounded")
@pytest.mark.parametrize("change", READ_ALL_THE_SAME)
def test_what_lies_beside_a_sheet_s_fields_is_neither_drawn_nor_run(change: Callable[[Pdf], None]) -> None:
    assert not read_codes(reshape(filled(), change))


@pytest.mark.usefixtures("_bounded")
@pytest.mark.parametrize("change", REFUSED)
def test_a_sheet_that_would_eat_time_or_memory_is_refused(change: Callable[[Pdf], None]) -> None:
    assert read_codes(reshape(filled(), change)) in ({"sheet-unreadable"}, {"sheet-foreign"})


@pytest.mark.usefixtures("_bounded")
@pytest.mark.parametrize("name", FILES)
def test_a_file_that_would_eat_time_or_memory_is_refused(name: str) -> None:
    assert read_codes(FILES[name]()) == {"sheet-unreadable"}


def test_a_sheet_locked_against_reading_is_refused_and_one_locked_against_changes_is_read() -> None:
    assert read_codes(reshape(filled(), lambda _: None, "word")) == {"sheet-unreadable"}
    assert not read_codes(reshape(filled(), lambda _: None, ""))


# --- folders and files that are not what they should be ---------------------------------------------------


def refuse(folders: SourceFolders, *command: str) -> str:
    """What a command of exit 1 says, with nothing made beside the folders."""
    options = [] if command[0] in ("changes", "verify", "tape") else folders.options
    result = CliRunner().invoke(main, [*command, *options])
    assert result.exception is None or isinstance(result.exception, SystemExit), repr(result.exception)
    assert result.exit_code == 1
    assert not (folders.root / "out").exists()
    return result.stderr


@pytest.mark.parametrize("command", [["proof"], ["rule"], ["publish"], ["tape", "x.csv"], ["start", "ours"]])
def test_a_working_folder_that_is_gone_is_told(
    command: list[str], tmp_path: Path, monkeypatch: pytest.MonkeyPatch
) -> None:
    (tmp_path / "gone").mkdir()
    monkeypatch.chdir(tmp_path / "gone")
    (tmp_path / "gone").rmdir()
    result = CliRunner().invoke(main, command)
    assert isinstance(result.exception, SystemExit), repr(result.exception)
    assert result.exit_code == 1
    assert result.stderr == "error: the folder that you are in is no longer there: go to one that is\n"


@pytest.mark.parametrize("inner", ["content/notes", "content/rulings/college", "layouts/cards/old"])
@pytest.mark.parametrize("is_there", [True, False])
def test_a_link_to_a_folder_is_told_and_not_passed_over(
    inner: str, is_there: bool, folders: SourceFolders, tmp_path: Path
) -> None:
    if is_there:
        (tmp_path / "elsewhere").mkdir()
    (folders.root / inner).symlink_to(tmp_path / "elsewhere")
    said = refuse(folders, "publish", "--out", str(folders.root / "out"))
    assert f"{inner}: error: {inner} is a link to a folder" in said
    assert "put the folder itself there" in said


@pytest.mark.parametrize("name", ["content", "layouts"])
def test_a_folder_that_is_not_there_is_told_as_it_was_given(name: str, folders: SourceFolders) -> None:
    (folders.root / name).rename(folders.root / "elsewhere")
    assert f"there is no folder {folders.root / name} [" in refuse(folders, "proof")


@pytest.mark.parametrize("name", ["content", "edition.yaml", "fields"])
def test_a_folder_or_file_that_may_not_be_read_says_so_and_to_look_at_permissions(
    name: str, folders: SourceFolders, monkeypatch: pytest.MonkeyPatch
) -> None:
    for act in ("stat", "iterdir"):
        monkeypatch.setattr(Path, act, forbid(getattr(Path, act), name))
    said = refuse(folders, "proof")
    assert "permission denied" in said
    assert "check its permissions, and those of the folder that it is in" in said
    assert "there is no folder" not in said


def forbid(act: Callable[..., object], name: str) -> Callable[..., object]:
    def refuse_or_act(path: Path, *args: object, **options: object) -> object:
        if path.name == name:
            raise PermissionError(13, "Permission denied", str(path))
        return act(path, *args, **options)

    return refuse_or_act


def test_a_place_that_may_not_be_looked_at_is_told(tmp_path: Path, monkeypatch: pytest.MonkeyPatch) -> None:
    monkeypatch.chdir(tmp_path)
    monkeypatch.setattr(Path, "is_dir", forbid(Path.is_dir, "content"))
    result = CliRunner().invoke(main, ["proof"])
    assert isinstance(result.exception, SystemExit), repr(result.exception)
    assert "cannot be reached: permission denied\n    check its permissions" in result.stderr


STORED = "2026.json"


@pytest.fixture
def stored(built: Mapping[str, BuiltFile], tmp_path: Path) -> Path:
    """An edition's source, to be spoilt."""
    path = tmp_path / STORED
    path.write_bytes(built["source.json"].data)
    return path


def test_a_byte_order_mark_before_a_stored_source_is_no_fault(stored: Path) -> None:
    before = read_source(stored)
    stored.write_bytes(b"\xef\xbb\xbf" + stored.read_bytes())
    after = read_source(stored)
    assert [getattr(after, each.name) for each in fields(after)] == [
        getattr(before, each.name) for each in fields(before)
    ]


def test_a_key_that_stands_twice_in_a_stored_source_is_told(stored: Path, folders: SourceFolders) -> None:
    text = stored.read_text().replace('"place": "State of Larkmoor"', '"place": "One", "place": "Another"')
    assert '"One"' in text
    stored.write_text(text)
    said = refuse(folders, "changes", str(stored), str(folders.content))
    assert f"{STORED} is not as it was published: it says 'place' twice" in said


WRONG: tuple[tuple[str, object, str], ...] = (
    ("association", None, "'association': text belongs here"),
    ("codes", 5, "'codes.0': text belongs here"),
    ("valid", [], "'valid' is not what belongs there"),
    ("valid", {"from": "2026-02-30", "through": "2026-12-31"}, "'valid.from': "),
    ("colour", "red", "'colour' is not known"),
    ("season", "", "'season' is missing"),
    ("address", "fennick.example", "'address': 'fennick.example' is not an address"),
)


@pytest.mark.parametrize(("key", "value", "says"), WRONG)
def test_a_stored_source_that_was_changed_is_told_in_our_own_words(
    key: str, value: object, says: str, stored: Path, folders: SourceFolders
) -> None:
    content = json.loads(stored.read_text())
    content["edition"][key] = value
    stored.write_text(json.dumps(content))
    said = refuse(folders, "changes", str(stored), str(folders.content))
    assert says in said
    assert not re.search(
        "(?i)input should|extra inputs|field required|value error|valid (dict|string|list)", said
    )


@pytest.mark.parametrize("start", [b"PK\x03\x04\x14\0", b"\xd0\xcf\x11\xe0\xa1\xb1"])
def test_a_spreadsheet_s_own_file_is_told_from_csv(
    start: bytes, folders: SourceFolders, tmp_path: Path
) -> None:
    path = tmp_path / "roster.xlsx"
    path.write_bytes(start + bytes(1000))
    said = refuse(folders, "publish", "--out", str(folders.root / "out"), "--members", str(path))
    assert "roster.xlsx is a spreadsheet's own file, not text [text-not-utf8]" in said
    assert "save it as CSV (UTF-8)" in said
    path.rename(tmp_path / "readings.csv")
    result = CliRunner().invoke(main, ["tape", str(tmp_path / "readings.csv")])
    assert result.exit_code == 2
    assert "readings.csv is a spreadsheet's own file" in result.stderr


@pytest.mark.parametrize("device", ["con", "NUL", "Com1", "lpt9"])
def test_a_name_that_windows_keeps_for_a_device_is_refused(
    device: str, folders: SourceFolders, tmp_path: Path
) -> None:
    roster = tmp_path / "roster.csv"
    roster.write_text(
        f"name,number,chapter,code,level,quantity\nAnn Exemplar,1001,{device},high-school,90-ft,1\n"
    )
    said = refuse(folders, "publish", "--out", str(folders.root / "out"), "--members", str(roster))
    assert f"roster.csv:2:19: error: the chapter '{device}' cannot name a folder" in said
    folders.replace("content/edition.yaml", 'edition: "2027"', f"edition: {device.lower()}")
    said = refuse(folders, "publish", "--out", str(folders.root / "out"))
    assert f"content/edition.yaml:1:10: error: '{device.lower()}' can't be a file's name on Windows" in said


def test_a_folder_put_into_an_edition_is_found_though_it_is_empty(proven: Proof, tmp_path: Path) -> None:
    edition = publish_edition(proven, [BuiltFile("a.txt", b"one")], tmp_path)
    (edition / "more" / "inner").mkdir(parents=True)
    result = CliRunner().invoke(main, ["verify", str(edition)])
    assert result.exit_code == 1
    assert "more/inner/ was not published" in result.stderr
