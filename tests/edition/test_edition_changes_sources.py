"""Sources to compare, stored or published: what is read from them, what is refused, which is the newest."""

from __future__ import annotations

from pathlib import Path

import pytest
from past_edition import CONTENT, PAST, undo_changes
from source_folders import SourceFolders

from pocketref.changes.changes import compare_editions
from pocketref.edition.manifest_writing import write_source
from pocketref.edition.proof import Proof, prove
from pocketref.edition.source_reading import read_edition_source, read_source
from pocketref.problems import PocketrefError
from pocketref.publish.build import build_edition, publish_edition
from pocketref.source.library import read_library


def refused(path: Path) -> str:
    with pytest.raises(PocketrefError) as caught:
        read_edition_source(path)
    (problem,) = caught.value.problems
    assert problem.hint
    return problem.code


def test_what_is_read_back_from_a_stored_source_is_the_library_itself(proven: Proof, tmp_path: Path) -> None:
    stored = tmp_path / "2027.json"
    stored.write_bytes(write_source(proven.library).data)
    assert write_source(read_source(stored)).data == stored.read_bytes()
    assert read_source(stored).rulings == proven.library.rulings
    assert read_source(stored).fields == proven.library.fields


def test_a_published_edition_tells_a_change_of_layout_alone_apart(
    proven: Proof, folders: SourceFolders, tmp_path: Path
) -> None:
    folders.replace("layouts/cards/batters-box.yaml", "title: ", "title: The ")
    for name, proof in (("a", proven), ("b", prove(folders.content, folders.layouts))):
        publish_edition(proof, list(build_edition(proof)), tmp_path / name)
    found = compare_editions(*(read_edition_source(tmp_path / name / "2027") for name in "ab"))
    assert [(change.what, change.new) for change in found.groups["layouts"]] == [
        ("card 1, title", "The Batter's box and stance")
    ]
    assert found.count == 1


@pytest.mark.parametrize(
    ("data", "code"),
    [
        (b"not JSON", "edition-broken"),
        (b"\xff\xfe", "edition-broken"),
        (b"[1]", "edition-broken"),
        (b"[" * 100_000, "edition-broken"),
        (b"{}", "edition-unknown"),
        (b'{"format": 1}', "edition-earlier"),
        (b'{"format": 2}', "edition-broken"),
        (b'{"format": 99}', "edition-later"),
    ],
)
def test_what_is_no_source_is_refused_in_a_sentence(data: bytes, code: str, tmp_path: Path) -> None:
    (tmp_path / "source.json").write_bytes(data)
    assert refused(tmp_path) == code


@pytest.mark.parametrize(
    ("old", "new"),
    [
        ('"value": "4 ft"', '"value": "4"'),
        ('"ruling": "legal"', '"ruling": "lawful"'),
        ('"ball": "live"', '"ball": "lively"'),
        ('"mechanics/stance/look"', '"mechanics"'),
    ],
)
def test_a_source_changed_by_hand_is_refused_with_the_place(
    old: str, new: str, proven: Proof, tmp_path: Path
) -> None:
    text = write_source(proven.library).data.decode()
    assert old in text
    (tmp_path / "source.json").write_text(text.replace(old, new), encoding="utf-8")
    assert refused(tmp_path) == "edition-broken"


def test_a_folder_that_is_no_edition_and_one_that_is_not_there_are_refused(tmp_path: Path) -> None:
    assert refused(tmp_path) == "edition-unknown"
    assert refused(tmp_path / "nowhere") == "edition-unknown"


def test_the_stored_edition_is_the_writer_s_own() -> None:
    assert write_source(read_source(PAST)).data == PAST.read_bytes()
    assert write_source(undo_changes(read_library(CONTENT))).data == PAST.read_bytes()


def test_publishing_compares_with_the_newest_stored_edition(proven: Proof, folders: SourceFolders) -> None:
    assert proven.previous is None
    past = folders.content / "past"
    past.mkdir()
    text = write_source(proven.library).data.decode()
    for season in ("2025", "2026", "2027"):
        (past / f"{season}.json").write_text(
            text.replace('"edition": "2027"', f'"edition": "{season}"').replace(
                "2027-02-01", f"{season}-02-01"
            ),
            encoding="utf-8",
        )
    proof = prove(folders.content, folders.layouts)
    sheet = next(file for file in build_edition(proof) if file.name == "sheets/what-changed.pdf")
    assert sheet.report.endswith("from 2026")
