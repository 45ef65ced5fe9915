"""Published editions and their places under attack: nothing unvouched is signed, nothing of somebody else's goes."""

from __future__ import annotations

import hashlib
import shutil
from collections.abc import Callable, Iterator
from pathlib import Path

import pytest
from click.testing import Result
from cryptography.hazmat.primitives.asymmetric.ed25519 import Ed25519PrivateKey
from cryptography.hazmat.primitives.serialization import Encoding, NoEncryption, PrivateFormat, PublicFormat
from edition_attacks import publish, read_files, reseal, run
from source_folders import SourceFolders, copy_folders

from pocketref.edition.manifest import MANIFEST

OTHERS = "Fennick Basin Umpires"
CARD = "cards/batters-box.pdf"
SHEET = "sheets/plate-area.pdf"


@pytest.fixture
def edition(folders: SourceFolders) -> Path:
    """A published edition."""
    assert publish(folders).exit_code == 0
    return folders.root / "out" / "2027"


@pytest.fixture
def keys(tmp_path: Path) -> Iterator[Callable[[str], tuple[Path, Path]]]:
    """Makes a private and a public key of a name."""

    def make(name: str) -> tuple[Path, Path]:
        key = Ed25519PrivateKey.from_private_bytes(hashlib.sha256(name.encode()).digest())
        private, public = tmp_path / f"{name}-private.pem", tmp_path / f"{name}-public.pem"
        private.write_bytes(key.private_bytes(Encoding.PEM, PrivateFormat.PKCS8, NoEncryption()))
        private.chmod(0o600)
        public.write_bytes(key.public_key().public_bytes(Encoding.PEM, PublicFormat.SubjectPublicKeyInfo))
        return private, public

    return make


def assert_refused(result: Result, code: str, *named: str) -> None:
    assert result.exit_code == 1
    assert f"[{code}]" in result.stderr
    for name in named:
        assert name in result.stderr
    assert "1 error; nothing was written" in result.stderr


# --- what is signed --------------------------------------------------------------------------------------


def test_a_card_copied_over_another_and_resealed_is_not_signed(
    edition: Path, folders: SourceFolders, keys: Callable[[str], tuple[Path, Path]]
) -> None:
    private, public = keys("association")
    genuine = (edition / CARD).read_bytes()
    shutil.copy(edition / SHEET, edition / CARD)
    reseal(edition)
    result = publish(folders, "--sign", private)
    assert result.exit_code == 0
    assert "reused" not in result.output
    assert (edition / CARD).read_bytes() == genuine
    assert "whole and unaltered" in run("verify", edition, "--key", public).output


def test_an_edition_that_another_key_signed_lends_no_file_to_one_signed_by_ours(
    edition: Path, folders: SourceFolders, keys: Callable[[str], tuple[Path, Path]]
) -> None:
    assert publish(folders, "--sign", keys("forger")[0]).exit_code == 0
    assert "reused" not in publish(folders, "--sign", keys("association")[0]).output
    folders.replace("content/cautions/marking.yaml", "it burns", "It burns")
    assert f"{CARD}  2 pages, reused" in publish(folders, "--sign", keys("association")[0]).output


def test_a_manifest_resealed_under_an_old_signature_lends_nothing(
    edition: Path, folders: SourceFolders, keys: Callable[[str], tuple[Path, Path]]
) -> None:
    private = keys("association")[0]
    assert publish(folders, "--sign", private).exit_code == 0
    genuine = read_files(edition)
    shutil.copy(edition / SHEET, edition / CARD)
    reseal(edition)
    result = publish(folders, "--sign", private)
    assert result.exit_code == 0
    assert "reused" not in result.output
    assert read_files(edition) == genuine


def test_a_swapped_card_is_not_taken_over_unsigned_either_as_it_is_read_back(
    edition: Path, folders: SourceFolders
) -> None:
    genuine = (edition / CARD).read_bytes()
    for swapped in ((edition / SHEET).read_bytes(), b"%PDF-1.7 no more"):
        (edition / CARD).write_bytes(swapped)
        reseal(edition)
        folders.replace("content/cautions/marking.yaml", "it burns", "It burns")
        result = publish(folders)
        assert result.exit_code == 0
        assert (edition / CARD).read_bytes() == genuine
        folders.replace("content/cautions/marking.yaml", "It burns", "it burns")
        assert publish(folders).exit_code == 0


# --- who vouches -----------------------------------------------------------------------------------------


def test_nobody_vouches_for_an_edition_that_agrees_with_its_own_manifest(edition: Path) -> None:
    shutil.copy(edition / SHEET, edition / CARD)
    reseal(edition)
    result = run("verify", edition)
    assert result.exit_code == 0
    assert "nobody vouches for them" in result.output
    assert "unaltered" not in result.output


def test_an_edition_signed_by_a_stranger_is_trusted_only_with_the_strangers_key(
    edition: Path, folders: SourceFolders, keys: Callable[[str], tuple[Path, Path]]
) -> None:
    stranger, association = keys("stranger"), keys("association")
    assert publish(folders, "--sign", stranger[0]).exit_code == 0
    result = run("verify", edition)
    assert result.exit_code == 1
    assert "[signature-unknown]" in result.stderr
    assert "--key" in result.stderr
    assert run("verify", edition, "--key", association[1]).exit_code == 1
    assert run("verify", edition, "--key", stranger[1]).exit_code == 0


# --- what is never removed -------------------------------------------------------------------------------


@pytest.mark.parametrize("name", ["notes.txt", "cards/mine.pdf", "empty/", "photos/game.jpg", "link"])
def test_what_the_user_put_into_an_edition_stops_a_publish_and_is_named(
    name: str, edition: Path, folders: SourceFolders
) -> None:
    path = edition / name
    if name == "link":
        path.symlink_to(folders.content)
    elif name.endswith("/"):
        path.mkdir()
    else:
        path.parent.mkdir(exist_ok=True)
        path.write_text("years of work")
    before = read_files(edition)
    for options in ((), ("--fresh",), ("--flip", "short")):
        assert_refused(publish(folders, *options), "publish-target-changed", name)
        assert read_files(edition) == before
        assert path.exists()


def test_a_check_sheet_filled_in_and_saved_where_it_was_is_not_replaced(
    edition: Path, folders: SourceFolders
) -> None:
    filled = (edition / SHEET).read_bytes() + b"% readings"
    (edition / SHEET).write_bytes(filled)
    assert_refused(publish(folders), "publish-target-changed", SHEET)
    assert (edition / SHEET).read_bytes() == filled
    (edition / SHEET).rename(folders.root / "filled-in.pdf")
    assert publish(folders).exit_code == 0


def test_a_hundred_files_of_the_user_are_told_in_few_words(edition: Path, folders: SourceFolders) -> None:
    for number in range(100):
        (edition / f"note-{number:03d}.txt").touch()
    result = publish(folders)
    assert_refused(result, "publish-target-changed", "note-000.txt", "and 92 more")
    assert len(result.stderr) < 2000


@pytest.mark.parametrize(
    "manifest",
    [
        b'{"name": "a web application", "icons": []}',
        b"[]",
        b"\xff",
        b"",
        b'{"format": 99}',
        b'{"files": {"a": 1}}',
    ],
)
def test_a_foreign_folder_with_a_manifest_json_is_left_alone(manifest: bytes, folders: SourceFolders) -> None:
    place = folders.root / "out" / "2027"
    place.mkdir(parents=True)
    (place / MANIFEST).write_bytes(manifest)
    (place / "thesis.txt").write_text("years of work")
    before = read_files(place)
    assert_refused(publish(folders), "publish-target-foreign", str(place))
    assert read_files(place) == before


def test_an_edition_whose_manifest_was_altered_by_hand_is_left_alone(
    edition: Path, folders: SourceFolders
) -> None:
    text = (edition / MANIFEST).read_text(encoding="utf-8")
    (edition / MANIFEST).write_text(text.replace('"season": "2027"', '"season": "2026"'), encoding="utf-8")
    assert_refused(publish(folders), "publish-target-foreign", MANIFEST)


def test_another_association_s_edition_is_never_replaced(edition: Path, folders: SourceFolders) -> None:
    before = read_files(edition)
    folders.replace("content/edition.yaml", "Larkmoor Test Umpires", OTHERS)
    result = publish(folders)
    assert_refused(result, "publish-target-other", "edition 2027 of Larkmoor Test Umpires", OTHERS)
    assert read_files(edition) == before


def test_another_edition_in_this_one_s_folder_is_not_replaced(edition: Path, folders: SourceFolders) -> None:
    folders.replace("content/edition.yaml", 'edition: "2027"', 'edition: "2028"')
    edition.rename(edition.parent / "2028")
    assert_refused(publish(folders), "publish-target-other", "edition 2027")


def test_the_demo_is_not_published_where_an_association_keeps_its_editions(
    edition: Path, folders: SourceFolders, monkeypatch: pytest.MonkeyPatch
) -> None:
    """Whose content folder is not there, or who stands in the wrong place, does not mean the demo's."""
    shutil.copytree(edition, edition.parent / "2031")
    shutil.rmtree(edition)
    before = read_files(folders.root / "out")
    shutil.rmtree(folders.content)
    shutil.rmtree(folders.layouts)
    monkeypatch.chdir(folders.root)
    result = run("publish")
    assert_refused(result, "demo-used", "Larkmoor Test Umpires", "--content")
    assert read_files(folders.root / "out") == before


def test_the_publish_of_a_second_association_into_a_place_of_its_own_is_not_hindered(
    edition: Path, folders: SourceFolders, tmp_path: Path
) -> None:
    others = copy_folders(tmp_path / "others")
    others.replace("content/edition.yaml", "Larkmoor Test Umpires", OTHERS)
    others.replace("content/edition.yaml", 'edition: "2027"', "edition: fennick-2027")
    assert run("publish", *others.options, "--out", edition.parent).exit_code == 0
    assert sorted(path.name for path in edition.parent.iterdir()) == ["2027", "fennick-2027"]


@pytest.mark.parametrize("kind", ["old", "new"])
def test_a_backup_of_the_user_s_beside_the_edition_is_neither_swept_nor_put_back(
    kind: str, edition: Path, folders: SourceFolders
) -> None:
    backups = [edition.parent / f".{name}.{kind}-20261127" for name in ("2027", "letters")]
    for backup in backups:
        backup.mkdir()
        (backup / "mine.txt").write_text("years of work")
    assert publish(folders, "--flip", "short").exit_code == 0
    assert run("verify", edition).exit_code == 0
    assert all((backup / "mine.txt").is_file() for backup in backups)


def test_an_edition_named_as_the_content_folder_does_not_replace_it(folders: SourceFolders) -> None:
    folders.replace("content/edition.yaml", 'edition: "2027"', "edition: content")
    before = read_files(folders.root)
    assert_refused(
        run("publish", *folders.options, "--out", folders.root), "publish-target-foreign", "edition.yaml"
    )
    assert read_files(folders.root) == before


# --- killed in mid-swap ----------------------------------------------------------------------------------


@pytest.mark.parametrize("command", ["verify", "changes", "publish"])
def test_an_edition_that_a_killed_run_had_set_aside_is_found_again_by_the_next_command(
    command: str, edition: Path, folders: SourceFolders
) -> None:
    before = read_files(edition)
    edition.rename(edition.parent / ".2027.old-0123456789abcdef")
    if command == "publish":
        assert "unchanged" in publish(folders).output
    else:
        assert run(command, edition, *([folders.content] if command == "changes" else [])).exit_code == 0
    assert read_files(edition) == before
