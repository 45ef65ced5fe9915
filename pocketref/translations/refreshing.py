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
from pocketref.translations.command_words import list_command_words
from pocketref.translations.program_words import list_program_words
from pocketref.words.catalogue import (
    CARRIED,
    COMMANDS,
    CONTENT,
    PROGRAM,
    Catalogue,
    Entry,
    read_catalogue,
    refresh_catalogue,
    start_catalogue,
    write_catalogue,
)
from pocketref.words.speech import LANGUAGES
from pocketref.words.terminal import tell


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
    sentence = tell("'{name}' is no tag of a language that there are plural rules for", name=clip_text(name))
    if name == "en":
        sentence = tell("English is what everything is translated from")
    raise refusal("language-tag", sentence, tell("write a tag such as es, fr or pt-BR"))


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
    own = [file for file in (PROGRAM, COMMANDS) if not (CARRIED / name / file).is_file()]
    made += [
        BuiltFile((home / file).as_posix(), refresh_program(name, content / home / file)) for file in own
    ]
    return made


def refresh_program(name: str, path: Path) -> bytes:
    """The program's catalogue of a language as it should be: of what it prints, or of what its commands tell."""
    said = list_command_words() if path.name == COMMANDS else list_program_words()
    return write_catalogue(refresh_catalogue(_read(name, path), said))


def _read(name: str, path: Path) -> Catalogue:
    return read_catalogue(path, path.name) if path.is_file() else start_catalogue(name)
