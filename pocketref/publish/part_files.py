"""Files written one by one into a folder: some parts of an edition, beside the published one and never into it."""

from __future__ import annotations

from collections.abc import Sequence
from pathlib import Path

from pocketref.edition.manifest import MANIFEST, BuiltFile
from pocketref.marks.mark_files import write_file
from pocketref.problems import Location, explain_refusal, refusal
from pocketref.source.digest import FIELD, set_digest
from pocketref.words.terminal import tell

ONLY = "-only"
"""How the folder's name goes on after the edition's."""


def find_part_folder(out: Path, edition: str) -> Path:
    """Where parts of an edition go; PocketrefError ("only-published") if an edition is published there."""
    folder = out / f"{edition}{ONLY}"
    if (folder / MANIFEST).exists():
        sentence = tell("{folder} is a published edition, which stays as it is", folder=folder)
        raise refusal("only-published", sentence, tell("write elsewhere with --out"))
    return folder


def write_part_files(files: Sequence[BuiltFile], folder: Path) -> None:
    """Write each file, whole or not at all, in the place of one of its name; whatever else is there stays.

    PocketrefError ("file-unwritable") if one can't be written.
    """
    for file in files:
        path = folder / file.name
        try:
            path.parent.mkdir(parents=True, exist_ok=True)
        except OSError as error:
            said = explain_refusal(
                str(path.parent), error, "written", tell("name a folder that you may write to")
            )
            raise refusal("file-unwritable", *said, Location(str(path))) from None
        write_file(path, file.data, Path.is_file)


def bears_digest(file: BuiltFile) -> bool:
    """Whether an edition's digest would stand in the file."""
    return set_digest(file.data, FIELD.replace("0", "1")) != file.data
