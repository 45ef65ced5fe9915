"""What a user gets wrong: exit 1, the place, a caret under it, a remedy; nothing written and no traceback."""

from __future__ import annotations

import re
import shutil
from collections.abc import Callable
from dataclasses import dataclass, replace
from datetime import date
from pathlib import Path

import pytest
from click.testing import CliRunner, Result
from source_folders import SourceFolders

from pocketref.cli import main
from pocketref.edition.manifest_writing import write_source
from pocketref.source.library import read_library

EDITION = "content/edition.yaml"
WORKS = "content/works.yaml"
FIELD = "content/fields/high-school-90-ft.yaml"
TABLE = "content/rulings/high-school/stance.yaml"
TEXTS = "content/mechanics/stance.yaml"
CARD = "layouts/cards/batters-box.yaml"
SHEET = "layouts/sheets/plate-area.yaml"
STYLES = "layouts/styles.yaml"

LONG = "Feet first, as the batter sets, and then again before every single pitch of the whole game. " * 4


@dataclass(frozen=True)
class Slip:
    """One mistake in one file: a piece replaced, or (with no `old`) the whole file."""

    file: str
    old: str
    new: str | bytes
    at: str
    """What the caret must point at; empty where the whole file is meant."""
    code: str
    says: str
    hint: str
    told_in: str = ""
    """The file the place is in, where it is not the one with the mistake."""


SLIPS = {
    "misspelt-dimension": Slip(
        FIELD,
        "box-length:",
        "box-lenght:",
        "box-lenght",
        "key-unknown",
        "'box-lenght'",
        "did you mean 'box-length'?",
    ),
    "misspelt-key": Slip(
        FIELD,
        "tolerances:",
        "tolerence:",
        "tolerence",
        "key-unknown",
        "'tolerence'",
        "did you mean 'tolerances'?",
    ),
    "duplicate-key": Slip(
        FIELD,
        "  box-offset:",
        "  box-width: {value: 4 ft, source: house, confidence: secondary}\n  box-offset:",
        "box-width: {value: 4 ft, source: house",
        "yaml-duplicate-key",
        "stands twice; it is first on line 8",
        "keep one of the two",
    ),
    "unknown-unit": Slip(FIELD, "4 ft", "4 fet", "fet", "unit-unknown", "'fet'", "did you mean 'feet'?"),
    "no-unit": Slip(
        FIELD, "{value: 6 in", "{value: 6", ", source", "unit-missing", "6 has no unit", "write 6 ft or 6 in"
    ),
    "negative-length": Slip(FIELD, "4 ft", "-4 ft", "-4 ft", "length-range", "sign", "leave the sign out"),
    "zero-length": Slip(FIELD, "4 ft", "0 ft", "0 ft", "length-range", "more than zero", "unit"),
    "section-that-is-not-listed": Slip(
        TABLE,
        "field-book 7-3",
        "field-book 7-33",
        "field-book 7-33",
        "cite-section",
        "no section '7-33'",
        "'7-3'?",
    ),
    "work-that-is-not-listed": Slip(
        TABLE, "field-book 7-3", "feild-book 7-3", "feild-book", "cite-work", "'feild-book'", "'field-book'?"
    ),
    "answer-that-is-not-listed": Slip(
        TABLE,
        'told: "no"',
        "told: maybe",
        "maybe",
        "answer-unknown",
        "no answer 'maybe'",
        "use one of: no, yes",
    ),
    "not-yaml": Slip(
        TABLE, "", "subject: [stance\ncode: }\n", ": }", "yaml-syntax", "broken here", "close it"
    ),
    "not-utf8": Slip(
        EDITION,
        "",
        b'edition: "2027"\nassociation: Caf\xe9 Umpires\n',
        "\ufffd Umpires",
        "text-not-utf8",
        "0xe9 is not UTF-8",
        "encoding UTF-8",
    ),
    "empty": Slip(TABLE, "", "", "", "file-empty", "is empty", "key: value"),
    "five-megabytes": Slip(
        TABLE, "", "# " + "x" * 5_000_000, "", "file-too-big", "at most 5,000,000", "right file, or split it"
    ),
    "deeply-nested": Slip(TABLE, "", "a: " + "[" * 100_000, "[", "yaml-depth", "too deep", "fewer"),
    "character-without-a-glyph-in-a-title": Slip(
        CARD,
        "title: Batter's box",
        "title: 打者 box",
        "打者 box",
        "glyph-missing",
        "U+6253",
        "another character",
    ),
    "character-without-a-glyph-in-a-text": Slip(
        TEXTS, "Feet first", "足 first", "", "glyph-missing", "U+8DB3", "another character"
    ),
    "text-too-long-for-its-face": Slip(
        TABLE,
        'say: ["Strike."]',
        f'say: ["{LONG}", "{LONG}"]',
        "{block: calls, subject: stance}",
        "block-too-large",
        "calls stance is ",
        "shorten its text, drop a block, or choose a larger stock",
        CARD,
    ),
    "misspelt-block": Slip(
        CARD, "block: calls", "block: cals", "cals", "value-choice", "'cals'", "did you mean 'calls'?"
    ),
    "misspelt-figure": Slip(
        CARD,
        "figure: plate-area",
        "figure: plate-aria",
        "plate-aria",
        "key-unknown",
        "'plate-aria'",
        "'plate-area'?",
    ),
    "misspelt-stock": Slip(
        CARD, "stock: index-3x5", "stock: indx-3x5", "indx-3x5", "stock-unknown", "'indx-3x5'", "'index-3x5'?"
    ),
    "misspelt-text": Slip(
        CARD,
        "mechanics/stance/lines",
        "mechanics/stance/line",
        "mechanics/stance/line",
        "text-unknown",
        "'mechanics/stance/line'",
        "did you mean 'mechanics/stance/lines'?",
    ),
    "misspelt-caution": Slip(
        SHEET,
        "caution: marking",
        "caution: markin",
        "markin",
        "caution-unknown",
        "'markin'",
        "did you mean 'marking'?",
    ),
    "misspelt-derived-figure": Slip(
        CARD,
        "[boxes-outer",
        "[boxes-uter",
        "boxes-uter",
        "figure-unknown",
        "'boxes-uter-to-outer'",
        "did you mean",
    ),
    "two-rows-for-one-play": Slip(
        TABLE,
        '  - when: {over-line: "no"}',
        "  - when: {}",
        "when: {over",
        "table-overlap",
        "two rows",
        "the other row",
    ),
    "a-play-without-a-row": Slip(
        TABLE, 'told: "yes"}', 'told: "no"}', "rows:", "table-gap", "no row rules on", "add a row"
    ),
}


def make(slip: Slip, folders: SourceFolders) -> None:
    if slip.old:
        assert isinstance(slip.new, str)
        folders.replace(slip.file, slip.old, slip.new)
    else:
        folders.write(slip.file, slip.new)


def run(folders: SourceFolders, *command: str) -> Result:
    return CliRunner().invoke(main, [*command, *folders.options])


def find_finding(output: str, code: str) -> list[str]:
    """The lines of the first problem with a code."""
    lines = output.splitlines()
    first = next(index for index, line in enumerate(lines) if line.endswith(f"[{code}]"))
    rest = [*lines[first + 1 :], "end"]
    return lines[first : first + 1 + next(i for i, line in enumerate(rest) if not line.startswith("    "))]


def assert_refused(result: Result, folders: SourceFolders) -> None:
    assert result.exit_code == 1
    assert result.exception is None or isinstance(result.exception, SystemExit), repr(result.exception)
    assert "Traceback" not in result.output
    assert re.search(r"^\d+ errors?; nothing was written\.$", result.stderr, re.MULTILINE)
    assert sorted(path.name for path in folders.root.iterdir() if path.name != "content") == ["layouts"]


@pytest.mark.parametrize("name", SLIPS)
def test_a_mistake_is_told_with_its_place_a_caret_and_a_remedy(name: str, folders: SourceFolders) -> None:
    slip = SLIPS[name]
    make(slip, folders)
    result = run(folders, "publish", "--out", str(folders.root / "out"))
    assert_refused(result, folders)
    finding = find_finding(result.stderr, slip.code)
    assert slip.says in finding[0]
    assert slip.hint in finding[-1]
    assert len(finding) > 1
    if slip.at:
        assert re.match(rf"{re.escape(slip.told_in or slip.file)}:\d+:\d+: error: ", finding[0])
        caret = finding[2].index("^")
        assert finding[1][caret:].startswith(slip.at)


@pytest.mark.parametrize("which", ["content", "layouts"])
def test_a_missing_folder_is_named_with_what_it_should_hold(which: str, folders: SourceFolders) -> None:
    shutil.move(folders.root / which, folders.root.parent / "elsewhere")
    result = run(folders, "publish", "--out", str(folders.root / "out"))
    assert result.exit_code == 1
    assert f"there is no folder {folders.root / which}" in result.stderr
    assert "give the folder that holds" in result.stderr
    assert not (folders.root / "out").exists()


def test_a_text_too_long_is_told_with_its_block_and_the_excess_in_mm(folders: SourceFolders) -> None:
    make(SLIPS["text-too-long-for-its-face"], folders)
    result = run(folders, "proof")
    assert re.search(
        r"card batters-box, back: calls stance is \d+\.\d mm too high for index card, 3 x 5 in", result.stderr
    )


def test_every_mistake_is_told_at_once(folders: SourceFolders) -> None:
    for name in ("unknown-unit", "answer-that-is-not-listed", "section-that-is-not-listed"):
        make(SLIPS[name], folders)
    stderr = run(folders, "proof").stderr
    assert "3 errors; nothing was written." in stderr
    for code in ("unit-unknown", "answer-unknown", "cite-section"):
        assert stderr.count(f"[{code}]") == 1


# --- mistakes that no file check alone can see ---

Spoil = Callable[[SourceFolders], None]

DEEPER: dict[str, tuple[Spoil, str]] = {
    "a-dimension-that-a-figure-needs-is-missing": (
        lambda f: f.replace(
            FIELD, "  box-length:         {value: 6 ft, source: field-book 1-2, confidence: secondary}\n", ""
        ),
        "box-length",
    ),
    "a-tolerance-that-a-table-needs-is-missing": (
        lambda f: f.replace(
            FIELD, "tolerances:\n  station: {value: 1/2 in, source: house, confidence: our proposal}\n", ""
        ),
        "station",
    ),
    "dimensions-that-contradict-each-other": (
        lambda f: f.replace(FIELD, "value: 6 ft", "value: 1 ft"),
        "box-length",
    ),
    "a-scale-of-nothing": (lambda f: f.replace(CARD, "smallest: 50", "smallest: 0"), "smallest"),
    "a-column-of-no-width": (lambda f: f.replace(CARD, "share: 67", "share: 0"), "share"),
    "a-typographic-scale-below-the-floor": (
        lambda f: f.replace(STYLES, "[7.6, 8, 8.4, 8.8, 9.2, 9.8, 10.4]", "[5, 6]"),
        "floor",
    ),
    "a-floor-of-nothing": (lambda f: f.replace(STYLES, "arcmin: 16", "arcmin: 0"), "arcmin"),
    "two-cards-of-one-name": (
        lambda f: f.write("layouts/cards/other.yaml", (f.root / CARD).read_bytes()),
        "batters-box",
    ),
    "two-blanks-of-one-name": (lambda f: f.replace(SHEET, "[Field, Date,", "[Field, Field,"), "Field"),
    "an-edition-that-leads-elsewhere": (
        lambda f: f.replace(EDITION, 'edition: "2027"', 'edition: "../2027"'),
        "edition",
    ),
}


def add_season(folders: SourceFolders) -> None:
    """An edition before, whose text holds a character that can't be set today."""
    edition = read_library(folders.content).edition
    valid = edition.valid.model_copy(update={"from_": date(2026, 2, 1), "through": date(2026, 12, 31)})
    was = edition.model_copy(update={"edition": "2026", "place": "打 State", "valid": valid})
    stored = write_source(replace(read_library(folders.content), edition=was)).data
    folders.add("content/past/2026.json", stored.decode())


def copy_layout(folders: SourceFolders, old: str, new: str) -> None:
    """A layout once more, under another name."""
    text = (folders.layouts / f"{old}.yaml").read_text()
    folders.add(f"layouts/{new}.yaml", text.replace(Path(old).name, Path(new).name, 1))


def give_address(address: str) -> tuple[Spoil, str]:
    return lambda f: f.replace(EDITION, "place:", f"address: '{address}'\nplace:"), "is not an address"


DEEPER |= {
    "an-address-without-a-scheme": give_address("fennick.example"),
    "an-address-that-is-a-script": give_address("javascript:alert(1)"),
    "an-address-of-files": give_address("ftp://umpires.example"),
    "an-address-of-nobody": give_address("https://"),
    "an-address-of-two-words": give_address("https://a b"),
    "an-address-that-asks": give_address("https://a?b"),
    "an-address-in-half-a-bracket": give_address("http://[a"),
    "an-edition-called-as-a-device": (
        lambda f: f.replace(EDITION, 'edition: "2027"', "edition: con"),
        "on Windows",
    ),
    "a-title-that-no-face-prints": (lambda f: f.replace(WORKS, "title: A", "title: 打 A"), "U+6253"),
    "a-heading-wider-than-its-column": (
        lambda f: f.replace(CARD, "share: 67", "share: 231"),
        "outside the safe area",
    ),
    "a-sheet-called-as-that-of-what-changed": (
        lambda f: copy_layout(f, "sheets/plate-area", "sheets/what-changed"),
        "sheets/what-changed.pdf would be made twice",
    ),
    "a-sheet-whose-drawing-is-a-card-s": (
        lambda f: copy_layout(f, "sheets/plate-area", "sheets/batters-box"),
        "drawings/batters-box-front.svg would be made twice",
    ),
    "an-edition-before-with-a-character-without-a-glyph": (add_season, "content/past/2026.json: error: "),
}


@pytest.mark.parametrize("name", DEEPER)
def test_a_mistake_that_shows_only_when_pages_are_made_is_told_as_well(
    name: str, folders: SourceFolders
) -> None:
    spoil, names = DEEPER[name]
    spoil(folders)
    result = run(folders, "publish", "--out", str(folders.root / "out"))
    assert_refused(result, folders)
    assert names in result.stderr


def test_an_old_edition_survives_a_mistake(folders: SourceFolders, tmp_path: Path) -> None:
    out = tmp_path / "out"
    assert run(folders, "publish", "--out", str(out)).exit_code == 0
    before = {path: path.read_bytes() for path in sorted(out.rglob("*")) if path.is_file()}
    make(SLIPS["unknown-unit"], folders)
    assert run(folders, "publish", "--out", str(out)).exit_code == 1
    assert {path: path.read_bytes() for path in sorted(out.rglob("*")) if path.is_file()} == before
