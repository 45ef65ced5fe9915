"""Writes the manifest of an edition: every file with its size, pages and SHA-256, and what it was made from."""

from __future__ import annotations

from collections.abc import Mapping
from pathlib import Path

from pocketref.edition.manifest import (
    FORMAT,
    MANIFEST,
    REUSE,
    SOURCE,
    BuiltFile,
    seal_manifest,
)
from pocketref.layouts.layout_library import Layouts
from pocketref.source.digest import KEY
from pocketref.source.library import Library
from pocketref.source.record import write_record
from pocketref.source.syntax.source_text import clean_name
from pocketref.version import VERSION


def write_source(library: Library) -> BuiltFile:
    """The normalised source, for later comparison; its SHA-256 begins with the digest in a card's code."""
    return BuiltFile(SOURCE, write_record(library))


def write_manifest(
    library: Library,
    files: Mapping[str, object],
    inputs: Mapping[str, str],
    making: Mapping[str, object] | None = None,
    digest: str = "",
) -> BuiltFile:
    """The manifest over `files`, what `write_file` says of each by name; they bear the `digest`.

    `inputs` are the SHA-256 of each source file by name, `making` goes under REUSE.
    """
    edition = library.edition
    content = {
        "format": FORMAT,
        "made-by": f"pocketref {VERSION}",
        "association": edition.association,
        "edition": edition.mark,
        "season": edition.season,
        "valid": {"from": edition.starts.isoformat(), "through": edition.valid.through.isoformat()},
        KEY: digest,
        "inputs": dict(sorted(inputs.items())),
        "files": dict(sorted(files.items())),
    }
    if making is not None:
        content[REUSE] = dict(making)
    return BuiltFile(MANIFEST, seal_manifest(content))


def list_pictures(content: Path, layouts: Layouts) -> dict[str, str]:
    """SHA-256 of every picture that the layouts show, named as `hash_inputs` names the files of `content`."""
    home = content.name or content.resolve().name
    return {clean_name(f"{home}/{picture.name}"): picture.sha256 for picture in layouts.pictures.values()}
