"""The language of whoever reads what commands tell, from the catalogues of it that there are."""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import replace
from pathlib import Path

from pocketref.words.catalogue import (
    CARRIED,
    COMMANDS,
    construct_language,
    read_catalogue,
    read_catalogues,
)
from pocketref.words.speech import LANGUAGES, Language


def read_reader(wanted: Sequence[str], content: Path) -> Language | None:
    """The first language wanted that the program or the content beside has a catalogue of; None where there is none.

    What it lacks is told in English, unmarked. PocketrefError "catalogue-broken" for a catalogue that is no such file.
    """
    for tag in wanted:
        beside = content / LANGUAGES / tag / COMMANDS
        read = [
            read_catalogue(path, path.name if path != beside else str(beside))
            for path in (CARRIED / tag / COMMANDS, beside)
            if path.is_file()
        ]
        if read:
            return replace(construct_language(tag, read), mark="")
    return None


def read_print(tag: str, content: Path) -> Language | None:
    """What a print in the reader's language says, from the catalogues of it that there are; None without any."""
    for name in (tag, tag.partition("-")[0]):
        if read := read_catalogues(name, content):
            return replace(construct_language(name, read), mark="")
    return None
