"""Catalogues of a language written or brought up to date from what the content, the layouts and the program say."""

from __future__ import annotations

from collections.abc import Iterator, Sequence
from contextlib import suppress
from pathlib import Path

from babel import Locale, UnknownLocaleError

from pocketref.edition.manifest import BuiltFile
from pocketref.layouts.layout_library import Layouts
from pocketref.layouts.play_layouts import read_play_sheets
from pocketref.problems import refusal
from pocketref.source.library import Library
from pocketref.source.syntax.located import SourceModel
from pocketref.source.syntax.source_text import clip_text
from pocketref.source.translation import SourceSentence, list_library_texts, list_texts
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


def list_source_texts(library: Library, layouts: Layouts, folder: Path) -> Iterator[SourceSentence]:
    """Every sentence of content and layouts, which are in a folder, cautions first."""
    yield from list_library_texts(library)
    groups: tuple[tuple[str, Sequence[SourceModel]], ...] = (
        ("cards", layouts.cards),
        ("sheets", layouts.sheets),
        ("classes", layouts.classes),
        ("plays", read_play_sheets(folder, library, layouts)),
    )
    for kind, models in groups:
        for model in models:
            stem = Path(model.location.file).stem if model.location else ""
            yield from list_texts(f"{kind}/{stem}", model)


def check_tag(name: str) -> None:
    """PocketrefError ("language-tag") for what is no language's tag (BCP 47) known to Unicode CLDR, or is English's."""
    with suppress(ValueError, UnknownLocaleError):
        # The tag names a folder, which is the same on every file system.
        if Locale.parse(name, sep="-").language == name.partition("-")[0] not in ("en", "root"):
            return
    sentence = f"'{clip_text(name)}' is no tag of a language that there are plural rules for"
    if name == "en":
        sentence = "English is what everything is translated from"
    raise refusal("language-tag", sentence, "write a tag such as es, fr or pt-BR")


def refresh_language(
    name: str, library: Library, layouts: Layouts, content: Path, folder: Path
) -> list[BuiltFile]:
    """The content's catalogues of a language by their paths in it; the program's too unless it brings one along.

    `folder` is the layouts'.
    """
    home = Path(LANGUAGES, name)
    said = [
        Entry((each.english,), references=(each.name,))
        for each in list_source_texts(library, layouts, folder)
    ]
    refreshed = write_catalogue(refresh_catalogue(_read(name, content / home / CONTENT), said))
    made = [BuiltFile((home / CONTENT).as_posix(), refreshed)]
    if not (CARRIED / name / PROGRAM).is_file():
        refreshed = refresh_program(name, content / home / PROGRAM)
        made.append(BuiltFile((home / PROGRAM).as_posix(), refreshed))
    return made


def refresh_program(name: str, path: Path) -> bytes:
    """The program's catalogue of a language as it should be."""
    return write_catalogue(refresh_catalogue(_read(name, path), list_program_words()))


def _read(name: str, path: Path) -> Catalogue:
    return read_catalogue(path, path.name) if path.is_file() else start_catalogue(name)
