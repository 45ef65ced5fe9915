"""Closing a season: what publishing says when the edition before is not kept, and what is wrong with what is kept."""

from __future__ import annotations

import json
import shutil
from pathlib import Path

from click.testing import CliRunner, Result
from cryptography.hazmat.primitives.asymmetric.ed25519 import Ed25519PrivateKey
from cryptography.hazmat.primitives.serialization import Encoding, NoEncryption, PrivateFormat
from source_folders import SourceFolders

from pocketref.cli import main

EDITION = "content/edition.yaml"


def run(folders: SourceFolders, *command: str) -> Result:
    return CliRunner().invoke(main, [*command, *folders.options])


def next_season(folders: SourceFolders) -> None:
    text = (folders.root / EDITION).read_text(encoding="utf-8").replace("2027", "2028")
    (folders.root / EDITION).write_text(text, encoding="utf-8")


def test_the_edition_before_that_is_not_kept_is_told_and_once_kept_gives_the_sheet_of_changes(
    folders: SourceFolders, tmp_path: Path
) -> None:
    out, past = tmp_path / "out", folders.content / "past"
    publish = ("publish", "--out", str(out))
    assert "[past-missing]" not in run(folders, *publish).stderr
    next_season(folders)
    told = run(folders, *publish)
    assert told.exit_code == 0
    assert f"the edition before, {out / '2027'}, is not kept in {past}" in told.stderr
    command = f"mkdir -p {past} && cp {out / '2027' / 'source.json'} {past / '2027.json'}"
    assert command in told.stderr
    assert not (out / "2028" / "sheets" / "what-changed.pdf").exists()
    past.mkdir()
    shutil.copy(out / "2027" / "source.json", past / "2027.json")
    assert "[past-missing]" not in run(folders, *publish).stderr
    assert (out / "2028" / "sheets" / "what-changed.pdf").is_file()


def test_another_association_s_edition_beside_is_no_edition_before(
    folders: SourceFolders, tmp_path: Path
) -> None:
    publish = ("publish", "--out", str(tmp_path / "out"))
    run(folders, *publish)
    next_season(folders)
    folders.replace(EDITION, "association: Larkmoor Test Umpires", "association: Northmere Test Umpires")
    assert "[past-missing]" not in run(folders, *publish).stderr


def test_a_broken_past_edition_is_told_with_its_place_and_a_remedy_that_can_be_followed(
    folders: SourceFolders,
) -> None:
    folders.add("content/past/2026.json", "junk")
    said = run(folders, "proof").stderr
    assert (
        "content/past/2026.json: error: content/past/2026.json is not as it was published: it is not JSON"
        in said
    )
    assert "copy the source.json of that published edition here again, or take this file out" in said
    assert "publish it again" not in said


def test_a_past_edition_that_is_not_named_by_its_edition_is_told(
    folders: SourceFolders, tmp_path: Path
) -> None:
    run(folders, "publish", "--out", str(tmp_path / "out"))
    source = json.loads((tmp_path / "out" / "2027" / "source.json").read_bytes())
    source["edition"] |= {"edition": "2026", "valid": {"from": "2026-02-01", "through": "2026-12-31"}}
    folders.add("content/past/source.json", json.dumps(source))
    result = run(folders, "proof")
    assert result.exit_code == 0
    assert (
        "content/past/source.json: warning: content/past/source.json keeps the edition 2026" in result.stderr
    )
    assert "rename it to 2026.json" in result.stderr


def test_a_season_outside_the_dates_it_holds_is_told(folders: SourceFolders) -> None:
    assert "[edition-season]" not in run(folders, "proof").stderr
    folders.replace(EDITION, 'season: "2027"', 'season: "2028"')
    said = run(folders, "proof")
    assert said.exit_code == 0
    assert "the season is 2028, but the edition holds from 2027-02-01 through 2027-12-31" in said.stderr


def test_an_edition_that_was_signed_and_is_published_without_the_key_is_told(
    folders: SourceFolders, tmp_path: Path
) -> None:
    key = tmp_path / "private.pem"
    key.write_bytes(
        Ed25519PrivateKey.generate().private_bytes(Encoding.PEM, PrivateFormat.PKCS8, NoEncryption())
    )
    key.chmod(0o600)
    publish = ("publish", "--out", str(tmp_path / "out"))
    assert "[signature-left-out]" not in run(folders, *publish, "--sign", str(key)).stderr
    again = run(folders, *publish, "--fresh")
    assert "was signed before, and is not now [signature-left-out]" in again.stderr
    assert "publish with --sign" in again.stderr
