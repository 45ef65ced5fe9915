"""Catalogues of a language written or brought up to date from what the content, the layouts and the program say."""

from __future__ import annotations

from collections.abc import Iterator
from pathlib import Path

from pocketref.layouts.layout_library import Layouts
from pocketref.source.library import Library
from pocketref.source.translation import SourceText, list_library_texts, list_texts
from pocketref.translations.program_words import list_program_words
from pocketref.words.catalogue import (
    CARRIED,
    CONTENT,
    LANGUAGES,
    PROGRAM,
    Catalogue,
    Entry,
    read_catalogue,
    refresh_catalogue,
    start_catalogue,
    write_catalogue,
)


def list_source_texts(library: Library, layouts: Layouts) -> Iterator[SourceText]:
    """Every sentence of content and layouts, cautions first."""
    yield from list_library_texts(library)
    for kind, models in (("cards", layouts.cards), ("sheets", layouts.sheets), ("classes", layouts.classes)):
        for model in models:
            stem = Path(model.location.file).stem if model.location else ""
            yield from list_texts(f"{kind}/{stem}", model)


def refresh_language(name: str, library: Library, layouts: Layouts, content: Path) -> dict[Path, bytes]:
    """The content's catalogues of a language by their paths; the program's too unless it brings one along."""
    home = content / LANGUAGES / name
    said = [Entry((each.english,), references=(each.name,)) for each in list_source_texts(library, layouts)]
    made = {home / CONTENT: write_catalogue(refresh_catalogue(_read(name, home / CONTENT), said))}
    if not (CARRIED / name / PROGRAM).is_file():
        made[home / PROGRAM] = refresh_program(name, home / PROGRAM)
    return made


def refresh_program(name: str, path: Path) -> bytes:
    """The program's catalogue of a language as it should be."""
    return write_catalogue(refresh_catalogue(_read(name, path), list_program_words()))


def _read(name: str, path: Path) -> Catalogue:
    return read_catalogue(path, path.name) if path.is_file() else start_catalogue(name)
