"""What seals an edition's folder: its files, its manifest, and the digests of what it was made from."""

from __future__ import annotations

import hashlib
import json
from collections.abc import Mapping
from dataclasses import dataclass
from pathlib import Path

from pocketref.problems import Location, explain_refusal, refusal
from pocketref.source.syntax.source_text import clean_name
from pocketref.words.terminal import tell

MANIFEST = "manifest.json"
SOURCE = "source.json"
STORED = ".json"
"""How a stored source's file name ends."""
PAST = "past"
"""The folder under content that keeps the sources of past editions, one JSON file each."""
SEAL = "sha256"
REUSE = "reuse"
"""What the edition was made with, for a later publish that can use its files again."""
FORMAT = 1
"""Counts up when a reader of an older manifest would misread a newer one."""


@dataclass(frozen=True, slots=True)
class BuiltFile:
    """A file of an edition: its name within the folder, its bytes, its pages, and its read-back in a line."""

    name: str
    data: bytes
    pages: int = 0
    report: str = ""
    made_of: str = ""
    """The fingerprint of what it shows and of what wrote it; empty for a file that is always made anew."""


def seal_manifest(content: Mapping[str, object]) -> bytes:
    """The manifest as its file, with the SHA-256 of all the rest of it as its last entry.

    Reading it back and sealing it again gives the same bytes, so that no bit of it can change unseen.
    """
    rest = {key: value for key, value in content.items() if key != SEAL}
    return _write_json(rest | {SEAL: hashlib.sha256(_write_json(rest)).hexdigest()})


def write_file(file: BuiltFile) -> dict[str, object]:
    """What the manifest says of one file."""
    entry: dict[str, object] = {"bytes": len(file.data), "sha256": hashlib.sha256(file.data).hexdigest()}
    return entry | ({"pages": file.pages} if file.pages else {})


def hash_file(path: Path) -> str:
    """The SHA-256 of a file; OSError if it cannot be read."""
    with path.open("rb") as stream:
        return hashlib.file_digest(stream, "sha256").hexdigest()


def hash_inputs(*folders: Path) -> dict[str, str]:
    """SHA-256 of every YAML file under the folders, named from each folder's own name on.

    What is no plain file of the folder is passed over, as reading does not meet it. PocketrefError
    ("file-unreadable") for one that cannot be read, ("folder-linked") for a link to a folder, or to nothing that
    may have been one.
    """
    hashes = {}
    for folder in folders:
        home = folder.resolve()
        for path in sorted(folder.rglob("*")):
            name = clean_name(f"{folder.name or home.name}/{path.relative_to(folder).as_posix()}")
            if path.is_symlink() and (path.is_dir() or not (path.suffix or path.exists())):
                sentence = tell("{name} is a link to a folder, in which changes would go unseen", name=name)
                hint = tell("put the folder itself there in place of the link")
                raise refusal("folder-linked", sentence, hint, Location(name))
            if path.suffix != ".yaml" or not path.is_file() or not path.resolve().is_relative_to(home):
                continue
            try:
                hashes[name] = hash_file(path)
            except OSError as error:
                raise refusal("file-unreadable", *explain_refusal(name, error), Location(name)) from None
    return hashes


def _write_json(content: object) -> bytes:
    # A manifest that was changed by hand may hold half a surrogate pair; it differs then, and is no worse.
    return (json.dumps(content, ensure_ascii=False, indent=1) + "\n").encode("utf-8", "surrogatepass")
