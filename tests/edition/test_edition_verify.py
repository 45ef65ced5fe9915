"""A published edition is checked file by file, its manifest against its signature; no change goes unseen."""

from __future__ import annotations

import json
import random
import shutil
from collections.abc import Callable, Mapping
from pathlib import Path
from typing import Any

import pytest
from click.testing import CliRunner
from cryptography.hazmat.primitives.asymmetric.ec import SECP256R1, generate_private_key
from cryptography.hazmat.primitives.asymmetric.ed25519 import Ed25519PrivateKey
from cryptography.hazmat.primitives.serialization import (
    BestAvailableEncryption,
    Encoding,
    NoEncryption,
    PrivateFormat,
    PublicFormat,
)
from source_folders import SourceFolders

from pocketref.cli import main
from pocketref.edition.manifest import BuiltFile
from pocketref.edition.proof import Proof
from pocketref.edition.signing import check_key_place, make_signer, read_private_key, read_public_key
from pocketref.edition.verify import verify_folder
from pocketref.problems import PocketrefError
from pocketref.publish.build import publish_edition
from pocketref.source.record import digest_library

FILES = [
    BuiltFile("cards/a.pdf", b"%PDF-1.7 a card"),
    BuiltFile("cards/é.pdf", bytes(range(256))),
    BuiltFile("source.json", b"{}\n"),
    BuiltFile("empty.txt", b""),
]


def write_private(path: Path, key: object, protection: object = None) -> Path:
    data = key.private_bytes(Encoding.PEM, PrivateFormat.PKCS8, protection or NoEncryption())  # type: ignore[attr-defined]
    path.write_bytes(data)
    path.chmod(0o600)
    return path


def write_public(path: Path, key: Ed25519PrivateKey) -> Path:
    data = key.public_key().public_bytes(Encoding.PEM, PublicFormat.SubjectPublicKeyInfo)
    path.write_bytes(data)
    return path


@pytest.fixture
def private(tmp_path: Path) -> Path:
    return write_private(tmp_path / "private.pem", Ed25519PrivateKey.from_private_bytes(bytes(32)))


@pytest.fixture
def public(tmp_path: Path) -> Path:
    return write_public(tmp_path / "public.pem", Ed25519PrivateKey.from_private_bytes(bytes(32)))


@pytest.fixture
def plain(proven: Proof, tmp_path: Path) -> Path:
    return publish_edition(proven, FILES, tmp_path / "plain")


@pytest.fixture
def signed(proven: Proof, tmp_path: Path, private: Path) -> Path:
    signer, _ = make_signer(private)
    return publish_edition(proven, FILES, tmp_path / "signed", signer)


def codes(folder: Path, key: Path | None = None) -> list[str]:
    try:
        verdict = verify_folder(folder, read_public_key(key) if key else None)
    except PocketrefError as error:
        return [problem.code for problem in error.problems]
    return [problem.code for problem in verdict.problems]


def refusal(act: Callable[[], object]) -> str:
    with pytest.raises(PocketrefError) as caught:
        act()
    assert caught.value.problems[0].hint
    return caught.value.problems[0].code


# --- whole and unaltered ---------------------------------------------------------------------------------


def test_an_edition_as_it_was_published_has_nothing_wrong(plain: Path, signed: Path, public: Path) -> None:
    assert codes(plain) == []
    assert codes(signed) == []
    assert codes(signed, public) == []
    assert verify_folder(plain).signed_by == ""
    assert len(verify_folder(signed).signed_by) == 16


def test_every_missing_extra_and_altered_file_is_named(plain: Path) -> None:
    (plain / "cards" / "a.pdf").unlink()
    (plain / "cards" / "b.pdf").write_bytes(b"%PDF")
    (plain / "empty.txt").write_bytes(b"more")
    found = {(p.code, p.sentence.split()[0]) for p in verify_folder(plain).problems}
    assert found == {
        ("file-missing", "cards/a.pdf"),
        ("file-extra", "cards/b.pdf"),
        ("file-altered", "empty.txt"),
    }


def test_a_file_of_the_same_size_with_other_bytes_is_altered(plain: Path) -> None:
    (plain / "source.json").write_bytes(b"[]\n")
    assert codes(plain) == ["file-altered"]


def test_a_link_in_the_place_of_a_file_or_folder_is_not_followed(plain: Path, tmp_path: Path) -> None:
    path = plain / "source.json"
    twin = tmp_path / "twin.json"
    shutil.move(path, twin)
    path.symlink_to(twin)
    (plain / "more").symlink_to(tmp_path)
    assert codes(plain) == ["file-extra", "file-altered"]


def test_single_bits_flipped_anywhere_are_all_found(signed: Path, public: Path) -> None:
    chance = random.Random(7)
    paths = sorted(path for path in signed.rglob("*") if path.is_file() and path.stat().st_size)
    key = read_public_key(public)
    for turn in range(150):
        path = paths[turn % len(paths)]
        data = path.read_bytes()
        place = chance.randrange(8 * len(data))
        flipped = bytearray(data)
        flipped[place // 8] ^= 1 << place % 8
        path.write_bytes(flipped)
        try:
            found = bool(verify_folder(signed, key).problems)
        except PocketrefError:
            found = True
        assert found, f"bit {place} of {path.name}"
        path.write_bytes(data)
    assert codes(signed, public) == []


def test_a_bit_of_an_unsigned_manifest_cannot_change_unseen_either(plain: Path) -> None:
    path = plain / "manifest.json"
    data = path.read_bytes()
    for place in range(0, 8 * len(data), 53):
        flipped = bytearray(data)
        flipped[place // 8] ^= 1 << place % 8
        path.write_bytes(flipped)
        assert codes(plain), f"bit {place}"


def test_a_manifest_made_to_fit_an_altered_file_is_found_by_its_signature(
    signed: Path, proven: Proof, public: Path, tmp_path: Path
) -> None:
    forged = [BuiltFile("cards/a.pdf", b"another card"), *FILES[1:]]
    other = publish_edition(proven, forged, tmp_path / "other")
    shutil.copy(signed / "manifest.sig", other / "manifest.sig")
    assert codes(other, public) == ["signature-wrong"]
    assert codes(other) == ["signature-wrong"]


def test_an_edition_signed_by_somebody_else_is_not_the_association_s(signed: Path, tmp_path: Path) -> None:
    stranger = write_public(tmp_path / "stranger.pem", Ed25519PrivateKey.from_private_bytes(b"x" * 32))
    assert codes(signed, stranger) == ["signature-wrong"]


def test_a_signature_that_was_taken_away_is_missed_by_who_has_the_key(signed: Path, public: Path) -> None:
    (signed / "manifest.sig").unlink()
    assert codes(signed, public) == ["signature-missing"]


@pytest.mark.parametrize("text", ["", "ed25519\n", "ed25519\npublic-key 00\nsignature 00\n"])
def test_what_is_no_signature_is_said_to_be_none(text: str, signed: Path) -> None:
    (signed / "manifest.sig").write_text(text)
    assert codes(signed) == ["signature-wrong"]


def test_what_is_no_edition_or_a_later_one_is_refused(plain: Path, tmp_path: Path) -> None:
    assert codes(tmp_path / "nowhere") == ["edition-unknown"]
    manifest = json.loads((plain / "manifest.json").read_text(encoding="utf-8"))
    (plain / "manifest.json").write_text(json.dumps(manifest | {"format": 99}))
    assert codes(plain) == ["edition-later"]
    for text in ("not JSON", "[]", "\x00"):
        (plain / "manifest.json").write_text(text)
        assert codes(plain) == ["manifest-altered"]


# --- keys ------------------------------------------------------------------------------------------------


def test_a_key_file_that_others_can_read_is_warned_of(private: Path) -> None:
    assert read_private_key(private)[1] == ()
    private.chmod(0o644)
    (warning,) = read_private_key(private)[1]
    assert warning.code == "key-exposed"
    assert "chmod 600" in warning.hint


def test_a_private_key_inside_the_edition_is_refused(tmp_path: Path) -> None:
    assert (
        refusal(lambda: check_key_place(tmp_path / "2027" / "key.pem", tmp_path / "2027")) == "key-in-edition"
    )
    check_key_place(tmp_path / "key.pem", tmp_path / "2027")


def test_a_file_that_is_no_fitting_key_is_refused(private: Path, public: Path, tmp_path: Path) -> None:
    other = write_private(tmp_path / "other.pem", generate_private_key(SECP256R1()))
    key = Ed25519PrivateKey.from_private_bytes(bytes(32))
    locked = write_private(tmp_path / "locked.pem", key, BestAvailableEncryption(b"secret"))
    noise = tmp_path / "noise.pem"
    noise.write_bytes(b"\x00 no key")
    assert refusal(lambda: read_private_key(other)) == "key-kind"
    assert refusal(lambda: read_private_key(public)) == "key-kind"
    assert refusal(lambda: read_private_key(noise)) == "key-kind"
    assert refusal(lambda: read_private_key(locked)) == "key-locked"
    assert refusal(lambda: read_private_key(tmp_path / "none.pem")) == "key-unreadable"
    assert refusal(lambda: read_public_key(private)) == "key-kind"
    assert refusal(lambda: read_public_key(noise)) == "key-kind"


# --- the commands ----------------------------------------------------------------------------------------


def test_an_edition_published_and_signed_from_the_command_line_is_verified_there(
    folders: SourceFolders, private: Path, public: Path, tmp_path: Path
) -> None:
    out = tmp_path / "out"
    run = CliRunner().invoke(main, ["publish", *folders.options, "--out", str(out), "--sign", str(private)])
    assert run.exit_code == 0, run.output
    secret = private.read_bytes().splitlines()[1]
    assert not any(secret in path.read_bytes() for path in out.rglob("*") if path.is_file())
    checked = CliRunner().invoke(main, ["verify", str(out / "2027"), "--key", str(public)])
    assert checked.exit_code == 0, checked.output
    assert "whole and unaltered; signed by key" in checked.output
    unkeyed = CliRunner().invoke(main, ["verify", str(out / "2027")])
    assert unkeyed.exit_code == 1
    assert "[signature-unknown]" in unkeyed.stderr
    assert "agrees with its own manifest; nobody that you know vouches for it" in unkeyed.stderr
    assert "unaltered" not in unkeyed.output
    (out / "2027" / "source.json").write_bytes(b"{}")
    altered = CliRunner().invoke(main, ["verify", str(out / "2027")])
    assert altered.exit_code == 1
    assert "source.json is altered" in altered.output


def test_the_digest_that_cards_bear_is_shown_and_one_from_a_card_is_compared(
    built: Mapping[str, BuiltFile], proven: Proof, tmp_path: Path
) -> None:
    folder = str(publish_edition(proven, list(built.values()), tmp_path))
    digest = verify_folder(Path(folder)).digest
    source = digest_library(proven.library)
    shown = CliRunner().invoke(main, ["verify", folder])
    assert shown.exit_code == 0
    assert f"digest {digest}" in shown.output
    for typed in (digest, digest.replace(" ", ""), f" {digest.replace(' ', '-')} "):
        same = CliRunner().invoke(main, ["verify", folder, "--digest", typed])
        assert same.exit_code == 0
        left = sum(name.startswith("press/") for name in built)
        assert (
            f"as on the card: {len(built) - left} of {len(built)} files are whole and unaltered"
            in same.output
        )
        assert "the card says nothing of press/ and members/" in same.output
        assert "nobody vouches" not in same.output
    code = CliRunner().invoke(main, ["verify", folder, "--digest", source.lower()])
    assert code.exit_code == 0
    assert f"digest {source}: it is the source's, and says nothing of the files" in code.output
    assert "unaltered" not in code.output
    other = CliRunner().invoke(main, ["verify", folder, "--digest", "0123456789"])
    assert other.exit_code == 1
    assert f"the digest 0123456789 is not this edition's, {digest}" in other.stderr
    assert "agrees with its own manifest, but is not what the card is of" in other.stderr


def test_where_there_is_no_edition_those_beside_are_named(plain: Path) -> None:
    result = CliRunner().invoke(main, ["verify", str(plain.parent / "2029")])
    assert result.exit_code == 1
    assert f"there is no edition in {plain.parent / '2029'}" in result.stderr
    assert f"give a published edition: {plain}" in result.stderr
    assert "nothing was written" not in result.stderr


def test_a_file_of_another_size_is_told_with_the_size_it_had(plain: Path) -> None:
    (plain / "cards" / "a.pdf").write_bytes(b"%PDF-1.7")
    (problem,) = verify_folder(plain).problems
    assert problem.sentence == "cards/a.pdf is altered: it has 8 bytes, and was published with 15"


def test_a_file_that_is_no_key_is_answered_with_a_whole_command(tmp_path: Path) -> None:
    noise = tmp_path / "noise.pem"
    noise.write_bytes(b"no key")
    for read, command in (
        (read_private_key, "openssl genpkey -algorithm ed25519 -out private.pem"),
        (read_public_key, "openssl pkey -in private.pem -pubout -out public.pem"),
    ):
        with pytest.raises(PocketrefError) as caught:
            read(noise)
        assert caught.value.problems[0].hint.endswith(command)


def test_a_file_that_cannot_be_read_is_told_by_its_name(plain: Path, monkeypatch: pytest.MonkeyPatch) -> None:
    opened = Path.open

    def refuse(path: Path, *args: Any, **options: Any) -> Any:
        if path.name == "a.pdf":
            raise PermissionError(13, "Permission denied")
        return opened(path, *args, **options)

    monkeypatch.setattr(Path, "open", refuse)
    (problem,) = verify_folder(plain).problems
    assert problem.code == "file-unreadable"
    assert problem.sentence == "cards/a.pdf cannot be read: permission denied"
