"""Signatures over an edition's manifest by Ed25519 (RFC 8032), with keys as PEM files (RFC 7468, RFC 8410).

An association makes its keys with any tool for them, such as

    openssl genpkey -algorithm ed25519 -out association-private.pem
    openssl pkey -in association-private.pem -pubout -out association-public.pem

and keeps the first to itself. Nothing here writes a private key anywhere.
"""

from __future__ import annotations

import hashlib
import re
import stat
import sys
from collections.abc import Callable
from functools import partial
from pathlib import Path

from cryptography.exceptions import InvalidSignature, UnsupportedAlgorithm
from cryptography.hazmat.primitives.asymmetric.ed25519 import Ed25519PrivateKey, Ed25519PublicKey
from cryptography.hazmat.primitives.serialization import load_pem_private_key, load_pem_public_key

from pocketref.edition.manifest import MANIFEST, BuiltFile
from pocketref.problems import PocketrefError, Problem, Severity, explain_refusal, refusal
from pocketref.words.terminal import tell

SIGNATURE = "manifest.sig"

# Lower-case digits alone, so that no bit of the file can change without changing what it says.
_FILE = re.compile(rb"ed25519\npublic-key ([0-9a-f]{64})\nsignature ([0-9a-f]{128})\n")
_MOST_BYTES = 10_000
_MAKING = {
    "private": "make one with: {command}",
    "public": "get it from the private key with: {command}",
}
_COMMANDS = {
    "private": "openssl genpkey -algorithm ed25519 -out private.pem",
    "public": "openssl pkey -in private.pem -pubout -out public.pem",
}
_KINDS = {
    "private": "{path} is not a private Ed25519 key in PEM",
    "public": "{path} is not a public Ed25519 key in PEM",
}


def read_private_key(path: Path) -> tuple[Ed25519PrivateKey, tuple[Problem, ...]]:
    """The key that signs, and warnings about how its file is kept.

    PocketrefError: "key-unreadable", "key-locked" (a password protects it), "key-kind" (no private Ed25519
    key in PEM).
    """
    data = _read_file(path)
    try:
        key = load_pem_private_key(data, password=None)
    except TypeError:
        sentence = tell("{path} is locked with a password", path=path)
        raise refusal("key-locked", sentence, tell("give a key file without one")) from None
    except (ValueError, UnsupportedAlgorithm):
        raise _wrong_kind(path, "private") from None
    if not isinstance(key, Ed25519PrivateKey):
        raise _wrong_kind(path, "private")
    return key, tuple(_list_exposures(path))


def read_public_key(path: Path) -> Ed25519PublicKey:
    """The key that a signature is checked with; raises PocketrefError as `read_private_key` does."""
    data = _read_file(path)
    if b"PRIVATE KEY" in data:
        sentence = tell("{path} is a private key; checking takes the public one", path=path)
        hint = tell("keep the private key to the association, and hand out the public one")
        raise refusal("key-kind", sentence, hint)
    try:
        key = load_pem_public_key(data)
    except (ValueError, UnsupportedAlgorithm):
        raise _wrong_kind(path, "public") from None
    if not isinstance(key, Ed25519PublicKey):
        raise _wrong_kind(path, "public")
    return key


def _read_file(path: Path) -> bytes:
    try:
        with path.open("rb") as stream:
            return stream.read(_MOST_BYTES)
    except OSError as error:
        raise refusal(
            "key-unreadable", *explain_refusal(tell("the key file {path}", path=path), error)
        ) from None


def _wrong_kind(path: Path, kind: str) -> PocketrefError:
    return refusal("key-kind", tell(_KINDS[kind], path=path), tell(_MAKING[kind], command=_COMMANDS[kind]))


def _list_exposures(path: Path) -> list[Problem]:
    """A warning if others than its owner can read the key's file, where the system can tell."""
    if sys.platform == "win32" or not path.stat().st_mode & (stat.S_IRWXG | stat.S_IRWXO):
        return []
    sentence = tell("others can read the private key {path}", path=path)
    return [Problem("key-exposed", sentence, f"chmod 600 {path}", severity=Severity.WARNING)]


def make_signer(path: Path) -> tuple[Callable[[bytes], BuiltFile], tuple[Problem, ...]]:
    """What signs a manifest with the key in a file, and warnings; raises as `read_private_key`."""
    key, warnings = read_private_key(path)
    return partial(sign_manifest, key), warnings


def check_key_place(path: Path, target: Path) -> None:
    """PocketrefError ("key-in-edition") if the private key's file lies in the folder that is handed out."""
    if path.resolve().is_relative_to(target.resolve()):
        sentence = tell("the private key {path} lies in the edition {target}", path=path, target=target)
        raise refusal("key-in-edition", sentence, tell("keep it out of everything that is handed out"))


def sign_manifest(key: Ed25519PrivateKey, manifest: bytes) -> BuiltFile:
    """The signature over a manifest's bytes, with the public key that it is checked with."""
    public = key.public_key().public_bytes_raw().hex()
    text = f"ed25519\npublic-key {public}\nsignature {key.sign(manifest).hex()}\n"
    return BuiltFile(SIGNATURE, text.encode("ascii"))


def check_signature(
    manifest: bytes, signature: bytes, key: Ed25519PublicKey | None
) -> tuple[str, tuple[Problem, ...]]:
    """The mark of the key that signed the manifest, and what is wrong: empty if the signature holds.

    Without a key, the one beside the signature is taken: that shows that the manifest is whole, not whose it is.
    """
    match = _FILE.fullmatch(signature)
    if match is None:
        return "", (_find_wrong(tell("{signature} is no signature", signature=SIGNATURE)),)
    stated = bytes.fromhex(match[1].decode())
    if key is not None and key.public_bytes_raw() != stated:
        mark = mark_key(stated)
        said = tell("{signature} was made with another key, {mark}", signature=SIGNATURE, mark=mark)
        return mark, (_find_wrong(said),)
    try:
        Ed25519PublicKey.from_public_bytes(stated).verify(bytes.fromhex(match[2].decode()), manifest)
    except (InvalidSignature, ValueError):
        said = tell("{signature} does not belong to {manifest}", signature=SIGNATURE, manifest=MANIFEST)
        return mark_key(stated), (_find_wrong(said),)
    return mark_key(stated), ()


def mark_key(public: bytes) -> str:
    """A few digits that tell one public key from another: the start of its SHA-256."""
    return hashlib.sha256(public).hexdigest()[:16]


def _find_wrong(sentence: str) -> Problem:
    hint = tell("ask the association for its edition and its public key")
    return Problem("signature-wrong", sentence, hint)
