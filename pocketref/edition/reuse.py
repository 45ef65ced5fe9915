"""What an earlier publish left that can be used again: all of the edition, or the files that would come out the same.

A manifest says under REUSE what its edition was made with: the program, the options, and a fingerprint of what
each PDF was made of. A file is used again only if its fingerprint is the one now asked for and its bytes are
those that the manifest states, so that an edition is the same with and without an old one in its place. Anybody can
seal a manifest: what is to be signed comes from an edition that the same key has signed, or is made anew.
"""

from __future__ import annotations

import hashlib
import json
import os
import stat
from collections.abc import Callable, Iterable, Mapping
from contextlib import suppress
from dataclasses import dataclass, field, replace
from pathlib import Path

from pocketref.edition.fingerprint import mark_program, take_fingerprint
from pocketref.edition.manifest import (
    MANIFEST,
    PAST,
    REUSE,
    STORED,
    BuiltFile,
    hash_file,
    hash_inputs,
    seal_manifest,
    write_file,
)
from pocketref.edition.signing import SIGNATURE
from pocketref.edition.verify import verify_folder
from pocketref.pages.page import Document, Page
from pocketref.problems import PocketrefError
from pocketref.source.digest import FIELD, KEY, find_digest, set_digest
from pocketref.words.speech import LANGUAGES
from pocketref.words.terminal import tell, tell_count

Signer = Callable[[bytes], BuiltFile]
REUSED = "reused"
"""How the report on a file ends that is taken from an earlier publish."""


def list_options(content: Path, roster: Path | None = None, **options: str) -> dict[str, str]:
    """What a publish depends on beside its YAML files: the options, the roster's digest, that of stored editions."""
    # A stored source is compared with those beside it, as a folder is with those it keeps.
    kept = content.parent if content.suffix == STORED else content / PAST
    stored = {*kept.glob(f"*{STORED}"), *([content] if content.suffix == STORED else [])}
    digest = hashlib.sha256()
    for path in sorted(stored):
        digest.update(f"{path.name} {_hash_file(path)}\n".encode("utf-8", "surrogateescape"))
    for language in filter(None, options.get("language", "").split(",")):
        for path in sorted((content / LANGUAGES / language).glob("*.po")):
            digest.update(f"{path.name} {_hash_file(path)}\n".encode("utf-8", "surrogateescape"))
    # A roster that cannot be read is not none at all: no edition was ever made with it, so none is used again.
    members = (_hash_file(roster) or "unreadable") if roster else ""
    return {**options, "members": members, "stored": digest.hexdigest()}


def _hash_file(path: Path) -> str:
    """The file's SHA-256; nothing if it is no plain file or cannot be read, which is told where it is used."""
    with suppress(OSError):
        return hash_file(path) if path.is_file() else ""
    return ""


class FileList:
    """The files of an edition as they are written: what the manifest says of each, and of how they were made."""

    def __init__(self, options: Mapping[str, str], digest: str, sign: Signer | None = None) -> None:
        self._options, self._digest, self._sign = options, digest, sign
        self.entries: dict[str, dict[str, object]] = {}
        self._made_of: dict[str, str] = {}

    def add(self, file: BuiltFile) -> bytes:
        """Note a finished file; gives a line by which `read_left_files` knows it if the publish is stopped.

        It is empty for a file that is always made anew. Where the edition is to be signed, so is the line.
        """
        entry = self.entries[file.name] = write_file(file)
        if not file.made_of:
            return b""
        self._made_of[file.name] = file.made_of
        noted = {"name": file.name, "made-of": file.made_of, KEY: self._digest, **entry}
        line = json.dumps(noted).encode()
        return line + b"\t" + _sign_note(line, self._sign)

    def write_making(self) -> dict[str, object]:
        """What a manifest says under REUSE."""
        return {
            "program": mark_program(),
            "options": dict(sorted(self._options.items())),
            "files": dict(sorted(self._made_of.items())),
        }


def _sign_note(line: bytes, sign: Signer | None) -> bytes:
    return sign(line).data.replace(b"\n", b" ") if sign else b""


# --- an edition as a whole -------------------------------------------------------------------------------


def find_unchanged(out: Path, content: Path, layouts: Path, options: Mapping[str, str]) -> Path | None:
    """The edition in `out` that publishing would make again, whole and unaltered by its manifest; else None.

    Neither content nor layouts are read, only their digests taken. Members' cards that are there are right as long
    as all else is, so that a publish without a roster leaves them. Whether it is signed as asked is another
    question: `is_signed_by`.
    """
    folders = sorted(path.parent for path in out.glob(f"*/{MANIFEST}")) if os.path.isdir(out) else []  # noqa: PTH112  # Path.is_dir raises where a name is too long
    if not folders:
        return None
    with suppress(PocketrefError):
        inputs = hash_inputs(content, layouts)
        for folder in folders:
            manifest = _read_manifest(folder)
            if (
                manifest.get("edition") == folder.name
                and _is_made_so(manifest, options)
                and _has_same_inputs(manifest, inputs, content)
                and not verify_folder(folder).problems
            ):
                return folder
    return None


def is_signed_by(folder: Path, sign: Signer | None) -> bool:
    """Whether the edition has the signature that `sign` makes over its manifest, or none if there is no `sign`."""
    path = folder / SIGNATURE
    if sign is None:
        return not path.exists()
    with suppress(OSError):
        return path.read_bytes() == sign((folder / MANIFEST).read_bytes()).data
    return False


def _is_made_so(manifest: Mapping[str, object], options: Mapping[str, str]) -> bool:
    making = manifest.get(REUSE)
    if not isinstance(making, dict):
        return False
    known, asked = making.get("options"), dict(options)
    if not isinstance(known, dict) or making.get("program") != mark_program():
        return False
    return known == asked or (not asked.get("members") and {**known, "members": ""} == asked)


def _has_same_inputs(manifest: Mapping[str, object], inputs: Mapping[str, str], content: Path) -> bool:
    """Whether the YAML files are those the edition was made from, and so are the pictures that they show."""
    known = manifest.get("inputs")
    if not isinstance(known, dict):
        return False
    others = {name: digest for name, digest in known.items() if name not in inputs}
    if any(known.get(name) != digest for name, digest in inputs.items()):
        return False
    home = f"{content.name or content.resolve().name}/"
    return all(
        name.startswith(home)
        and not name.endswith(".yaml")
        and _hash_file(content / name.removeprefix(home)) == digest
        for name, digest in others.items()
    )


def _read_manifest(folder: Path) -> dict[str, object]:
    """The folder's manifest; empty if there is none, or if it is not as it was published."""
    try:
        data = (folder / MANIFEST).read_bytes()
        content = json.loads(data.decode("utf-8"))
    except (OSError, ValueError, RecursionError):
        return {}
    return content if isinstance(content, dict) and seal_manifest(content) == data else {}


# --- file by file ----------------------------------------------------------------------------------------


@dataclass
class EarlierFiles:
    """The files of an edition published before, by what each was made of; nothing without one."""

    folder: Path | None = None
    made_of: Mapping[str, object] = field(default_factory=dict)
    entries: Mapping[str, object] = field(default_factory=dict)
    digest: str = FIELD
    """What was set into them, and is taken out of what is used again."""
    before: EarlierFiles | None = None
    """Others, to look for a file that is not among these."""
    _pages: dict[int, tuple[Page, str]] = field(default_factory=dict)

    def find_within(self, folder: str) -> EarlierFiles:
        """The files of a language by their names in its folder, such as "es/"."""

        def choose(values: Mapping[str, object]) -> dict[str, object]:
            return {name.removeprefix(folder): values[name] for name in values if name.startswith(folder)}

        before = self.before.find_within(folder) if self.before else None
        home = self.folder and self.folder / folder
        return EarlierFiles(home, choose(self.made_of), choose(self.entries), self.digest, before)

    def mark_page(self, page: Page) -> str:
        """The page's fingerprint, taken once however many files show the page."""
        if id(page) not in self._pages:
            self._pages[id(page)] = (page, take_fingerprint(page))
        return self._pages[id(page)][1]

    def mark_document(self, document: Document, floor_pt: float) -> str:
        """The fingerprint of a document as PDF, judged by the least type it may have."""
        pages = tuple(self.mark_page(page) for page in document.pages)
        return take_fingerprint("PDF", replace(document, pages=()), pages, float(floor_pt))

    def take(self, name: str, made_of: str) -> BuiltFile | None:
        """The file if it was made of the same and is still as it was published; None if not."""
        return self._take(name, made_of) or (self.before.take(name, made_of) if self.before else None)

    def _take(self, name: str, made_of: str) -> BuiltFile | None:
        entry = self.entries.get(name)
        if self.folder is None or self.made_of.get(name) != made_of or not isinstance(entry, dict):
            return None
        path = self.folder / name
        try:
            if not stat.S_ISREG(path.lstat().st_mode):
                return None
            data = path.read_bytes()
        except OSError:
            return None
        if len(data) != entry.get("bytes") or hashlib.sha256(data).hexdigest() != entry.get("sha256"):
            return None
        data = set_digest(data, FIELD, self.digest)
        pages = entry.get("pages", 0)
        return BuiltFile(
            name,
            data,
            pages,
            f"{tell_count(pages, '{count} page', '{count} pages')}, {tell(REUSED)}",
            made_of,
        )


def read_earlier_files(folder: Path, sign: Signer | None = None) -> EarlierFiles:
    """What can be used again of the edition in a folder; nothing if it is none or altered.

    Where it is to be signed, nothing either unless the same key has signed what is there.
    """
    manifest = _read_manifest(folder) if sign is None or is_signed_by(folder, sign) else {}
    making, entries = manifest.get(REUSE), manifest.get("files")
    made_of = making.get("files") if isinstance(making, dict) else None
    if not isinstance(made_of, dict) or not isinstance(entries, dict):
        return EarlierFiles()
    return EarlierFiles(folder, made_of, entries, find_digest(manifest))


def read_left_files(notes: Iterable[bytes], folder: Path | None, sign: Signer | None = None) -> EarlierFiles:
    """What can be used again of the folder of a publish that was stopped, by the notes of `FileList.add`.

    Where it is to be signed, only what the same key has signed.
    """
    made_of, entries, digest = {}, {}, FIELD
    for note in notes:
        line, _, signed = note.partition(b"\t")
        with suppress(ValueError, RecursionError, KeyError, TypeError):
            entry = json.loads(line)
            name, made = entry["name"], entry["made-of"]
            if signed == _sign_note(line, sign) and digest in (FIELD, find_digest(entry)):
                made_of[name], entries[name], digest = made, entry, find_digest(entry)
    return EarlierFiles(folder, made_of, entries, digest)
