"""The digest that a card bears tells a swapped card, and any other file that says what cards say, by itself."""

from __future__ import annotations

import io
import json
import re
import shutil
from pathlib import Path

import pypdf
import pytest
from cryptography.hazmat.primitives.asymmetric.ed25519 import Ed25519PrivateKey
from cryptography.hazmat.primitives.serialization import Encoding, NoEncryption, PrivateFormat
from edition_attacks import publish, read_files, reseal, run, take_digest
from source_folders import SourceFolders

from pocketref.edition.manifest import MANIFEST, seal_manifest
from pocketref.output.reading.readback import read_pdf

CARD = "layouts/cards/batters-box.yaml"
BEARS = re.compile(r"Digest ([0-9]{5}(?: [0-9]{5}){3})(?![0-9])")
HEAD = "name,number,chapter,code,level,quantity\n"


@pytest.fixture
def edition(folders: SourceFolders) -> Path:
    """A published edition of which one card bears the digest."""
    folders.replace(CARD, "back:\n", "back:\n  - {block: qr}\n")
    folders.replace(CARD, "index-3x5", "index-4x6")
    result = publish(folders)
    assert result.exit_code == 0, result.output
    return folders.root / "out" / "2027"


def find_digest(data: bytes) -> set[str]:
    """The digests that a PDF shows, as pypdf, another reader, has its text."""
    pages = pypdf.PdfReader(io.BytesIO(data)).pages
    return set(BEARS.findall(" ".join(" ".join(page.extract_text().split()) for page in pages)))


def test_every_file_that_shows_the_card_bears_the_digest_that_its_files_make(edition: Path) -> None:
    (digest,) = find_digest((edition / "cards" / "batters-box.pdf").read_bytes())
    assert digest == take_digest(edition, digest)
    assert digest == json.loads((edition / MANIFEST).read_bytes())["digest"]
    for name in ("press/cards-letter.pdf", "press/cards-with-marks.pdf"):
        assert find_digest((edition / name).read_bytes()) == {digest}
    for name in ("index.html", "drawings/batters-box-back.svg"):
        assert set(BEARS.findall((edition / name).read_text(encoding="utf-8"))) == {digest}
    printed = {
        text.content for text in read_pdf((edition / "cards" / "batters-box.pdf").read_bytes()).pages[1].texts
    }
    assert f"Digest {digest}" in printed
    assert not any(b"00000 00000" in data for data in read_files(edition).values())


def test_a_swapped_card_is_found_with_the_digest_alone(edition: Path) -> None:
    (digest,) = find_digest((edition / "cards" / "batters-box.pdf").read_bytes())
    assert run("verify", edition, "--digest", digest).exit_code == 0
    shutil.copy(edition / "sheets" / "plate-area.pdf", edition / "cards" / "batters-box.pdf")
    forged = reseal(edition)
    assert run("verify", edition).exit_code == 0
    result = run("verify", edition, "--digest", digest)
    assert result.exit_code == 1
    assert f"the digest {digest} is not this edition's, {forged}" in result.stderr


def test_a_card_vouches_for_an_edition_whose_signature_is_of_a_key_that_was_not_given(
    edition: Path, folders: SourceFolders, tmp_path: Path
) -> None:
    private = tmp_path / "private.pem"
    key = Ed25519PrivateKey.from_private_bytes(bytes(32))
    private.write_bytes(key.private_bytes(Encoding.PEM, PrivateFormat.PKCS8, NoEncryption()))
    assert publish(folders, "--sign", private).exit_code == 0
    digest = json.loads((edition / MANIFEST).read_bytes())["digest"]
    result = run("verify", edition, "--digest", digest)
    assert result.exit_code == 1
    assert "files are whole and unaltered; the card says nothing of press/" in result.output
    assert "[signature-unknown]" in result.stderr
    assert "nobody that you know signed it" in result.stderr


def test_any_other_change_added_or_missing_file_is_found_with_it_too(edition: Path) -> None:
    """Of all that says what the cards say; the press sheets are said to be left out."""
    digest = json.loads((edition / MANIFEST).read_bytes())["digest"]
    whole = read_files(edition)
    names = [name for name in whole if name != MANIFEST and not name.startswith("press/")]
    attacks = [
        *((name, bytes([*whole[name][:-9], whole[name][-9] ^ 1, *whole[name][-8:]])) for name in names),
        ("cards/more.pdf", b"%PDF-1.7"),
        ("cards/batters-box.pdf", None),
    ]
    for name, data in attacks:
        path = edition / name
        path.write_bytes(data) if data is not None else path.unlink()
        reseal(edition)
        result = run("verify", edition, "--digest", digest)
        assert result.exit_code == 1, name
        assert "[digest-other]" in result.stderr, name
        path.unlink(missing_ok=True)
        for each, genuine in whole.items():
            (edition / each).write_bytes(genuine)
    assert "says nothing of press/ and members/" in run("verify", edition, "--digest", digest).output


def test_a_manifest_that_keeps_the_digest_over_other_files_is_found_without_a_card(edition: Path) -> None:
    (edition / "sheets" / "plate-area.pdf").write_bytes(b"%PDF-1.7")
    digest = json.loads((edition / MANIFEST).read_bytes())["digest"]
    reseal(edition)
    for stated in (digest, digest[::-1]):
        manifest = json.loads((edition / MANIFEST).read_bytes()) | {"digest": stated}
        (edition / MANIFEST).write_bytes(seal_manifest(manifest))
        result = run("verify", edition)
        assert result.exit_code == 1
        assert "the files do not make the digest that manifest.json states" in result.stderr


@pytest.mark.parametrize("stated", ["", "e", "\u0663" * 5, 7, None, "00000 00000 00000 00000", ["1"] * 20])
def test_a_manifest_that_states_no_digest_vouches_for_none(
    stated: object, edition: Path, folders: SourceFolders
) -> None:
    digest = json.loads((edition / MANIFEST).read_bytes())["digest"]
    manifest = json.loads((edition / MANIFEST).read_bytes()) | {"digest": stated}
    (edition / MANIFEST).write_bytes(seal_manifest(manifest))
    assert run("verify", edition, "--digest", digest).exit_code == 1
    assert publish(folders, "--flip", "short").exit_code == 0
    assert run("verify", edition, "--digest", digest).exit_code == 0


def test_the_digest_follows_what_the_edition_says_and_not_how_it_goes_to_print(
    edition: Path, folders: SourceFolders, tmp_path: Path
) -> None:
    """Else a card of the first run would be told from one of the second that says the same."""
    digest = take_digest(edition, json.loads((edition / MANIFEST).read_bytes())["digest"])
    roster = tmp_path / "roster.csv"
    roster.write_text(HEAD + "Ada Invented,U-1,North,high-school,90-ft,1\n", encoding="utf-8")
    assert publish(folders, "--flip", "short", "--members", roster).exit_code == 0
    assert json.loads((edition / MANIFEST).read_bytes())["digest"] == digest
    (cards,) = (edition / "members").rglob("cards-*.pdf")
    assert find_digest(cards.read_bytes()) == {digest}
    folders.replace("content/cautions/marking.yaml", "it burns", "It burns")
    assert publish(folders).exit_code == 0
    assert json.loads((edition / MANIFEST).read_bytes())["digest"] != digest
