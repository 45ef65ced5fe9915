"""What an attacker does to a published edition: its manifest made anew over whatever files are there."""

from __future__ import annotations

import hashlib
import json
import re
from pathlib import Path

from click.testing import CliRunner, Result
from source_folders import SourceFolders

from pocketref.cli import main
from pocketref.edition.manifest import MANIFEST, seal_manifest


def run(*command: str | Path) -> Result:
    """A command to its end; no traceback."""
    result = CliRunner().invoke(main, [str(word) for word in command])
    assert result.exception is None or isinstance(result.exception, SystemExit), repr(result.exception)
    return result


def publish(folders: SourceFolders, *options: str | Path) -> Result:
    """A publish into `out` beside the folders."""
    return run("publish", *folders.options, "--out", folders.root / "out", "--each", *options)


def read_files(folder: Path) -> dict[str, bytes]:
    """All files by name."""
    return {p.relative_to(folder).as_posix(): p.read_bytes() for p in folder.rglob("*") if p.is_file()}


EMPTY = "00000 00000 00000 00000"
_CODES = {ord(" "): " "} | {ord("0") + n: chr(n + 1) for n in range(9)} | {ord("9"): "\x0b"}


def change_fields(data: bytes, before: str, after: str) -> bytes:
    """The file with another digest: in texts as it is written, in a PDF's strings by the first codes of the face, in
    drawings by the names of the digits' outlines.

    A reckoning of its own after what DEVELOPERS.md says, apart from the program's.
    """
    data = data.replace(before.encode(), after.encode())
    names = [*re.finditer(rb'href="#[^"]+-digest-([0-9])"', data)]
    digits = [before.replace(" ", "").encode(), after.replace(" ", "").encode()]
    for start in range(0, len(names), 20):
        found = names[start : start + 20]
        if b"".join(name[1] for name in found) == digits[0]:
            for name, digit in zip(found, digits[1], strict=True):
                data = data[: name.start(1)] + bytes([digit]) + data[name.end(1) :]
    return data.replace(before.translate(_CODES).encode(), after.translate(_CODES).encode())


def take_digest(folder: Path, digest: str) -> str:
    """The digest of the files in the folder, which bear `digest`; the reckoning of its own likewise."""
    whole = hashlib.sha256()
    for name, data in sorted(read_files(folder).items()):
        if name not in (MANIFEST, "manifest.sig") and not name.startswith(("press/", "members/")):
            whole.update(hashlib.sha256(name.encode()).digest())
            whole.update(hashlib.sha256(change_fields(data, digest, EMPTY)).digest())
    digits = str(int(whole.hexdigest(), 16))[-20:]
    return " ".join(digits[n : n + 5] for n in (0, 5, 10, 15))


def reseal(folder: Path) -> str:
    """Make the manifest agree with the files, as anybody can; gives the digest that they then state and bear."""
    manifest = json.loads((folder / MANIFEST).read_bytes())
    before, manifest["digest"] = manifest["digest"], take_digest(folder, manifest["digest"])
    for name, data in read_files(folder).items():
        (folder / name).write_bytes(change_fields(data, before, manifest["digest"]))
    manifest["files"] = {
        name: {"bytes": len(data), "sha256": hashlib.sha256(data).hexdigest()}
        for name, data in sorted(read_files(folder).items())
        if name not in (MANIFEST, "manifest.sig")
    }
    (folder / MANIFEST).write_bytes(seal_manifest(manifest))
    return str(manifest["digest"])
