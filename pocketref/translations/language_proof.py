"""How much of an edition a language says: what lacks a translation, what changed since, and which cautions do."""

from __future__ import annotations

from collections.abc import Iterable, Iterator, Sequence
from dataclasses import dataclass
from pathlib import Path

from pocketref.layouts.layout_library import read_layouts
from pocketref.problems import Location, Problem, ProblemLog, Severity, refusal, suggest_match, write_unknown
from pocketref.scene.items import FontFace
from pocketref.scene.typefaces import typeface
from pocketref.source.library import read_library
from pocketref.source.syntax.source_text import clip_text
from pocketref.source.translation import SourceSentence
from pocketref.translations.program_words import list_program_words
from pocketref.translations.refreshing import list_source_texts
from pocketref.words.catalogue import (
    CARRIED,
    PROGRAM,
    Catalogue,
    construct_language,
    list_languages,
    read_catalogues,
    refresh_catalogue,
    start_catalogue,
)
from pocketref.words.speech import LANGUAGES, Language
from pocketref.words.terminal import tell

_CAUTIONS = "cautions/"


@dataclass(frozen=True, slots=True)
class LanguageProof:
    """A language that can be published: the language, how many texts it says of how many, and what it lacks."""

    language: Language
    translated: int
    texts: int
    problems: tuple[Problem, ...]
    """A warning for each text that lacks a translation, or whose English has changed."""

    def list_lacks(self) -> list[str]:
        """Each text that lacks a translation, a line each: where it stands, and what it is."""
        return [f"{problem.where}: {problem.sentence}" for problem in self.problems]

    def summarize(self) -> str:
        """How much is translated, in a line."""
        changed = sum(problem.code == "translation-outdated" for problem in self.problems)
        lacking = self.texts - self.translated - changed
        said = tell(
            "{language}: {translated:,} of {texts:,} texts translated; {lacking:,} lack a translation and {changed:,} "
            "changed in English since.",
            language=self.language.tag,
            translated=self.translated,
            texts=self.texts,
            lacking=lacking,
            changed=changed,
        )
        if self.language.is_signed_off:
            return said
        return f"{said} {tell('From memory: not yet read by an umpire who speaks it.')}"


def read_language(name: str, content: Path) -> Language:
    """A language by the name of its folder; PocketrefError for one that there is no catalogue of."""
    return construct_language(name, _read(name, content))


def _read(name: str, content: Path) -> list[Catalogue]:
    catalogues = read_catalogues(name, content)
    if not catalogues:
        known = list_languages(content)
        begun = tell("pocketref words {name} begins its catalogues", name=name)
        hint = (
            tell("{name}, or else {begun}", name=suggest_match(name, known), begun=begun) if known else begun
        )
        raise refusal("language-unknown", write_unknown("catalogue of a language", name), hint)
    return catalogues


def prove_language(name: str, content: Path, layouts: Path) -> LanguageProof:
    """What a language lacks; PocketrefError with every caution that it does not say, as that can hurt somebody."""
    catalogues = _read(name, content)
    library = read_library(content)
    looks = read_layouts(layouts, library, content)
    language = construct_language(name, catalogues)
    texts = list_source_texts(library, looks, layouts)
    found = [*_list_lacking(texts, catalogues, language), *_list_unsaid(name, catalogues, language)]
    problems = ProblemLog()
    problems.extend(_list_glyphs(catalogues))
    problems.extend(problem for problem, _ in found if problem and problem.severity is Severity.ERROR)
    problems.raise_errors()
    lacks = [problem for problem, _ in found if problem]
    return LanguageProof(language, len(found) - len(lacks), len(found), tuple(lacks))


def _list_lacking(
    texts: Iterable[SourceSentence], catalogues: Sequence[Catalogue], language: Language
) -> Iterator[tuple[Problem | None, str]]:
    """Each text of the source once, with what is wrong with its translation."""
    texts = list(texts)
    said, told = {text.english for text in texts}, set[str]()
    before = {
        reference: entry.previous or entry.english[0]
        for catalogue in catalogues
        for entry in catalogue.entries
        if any(entry.forms) and (entry.previous or entry.english[0] not in said)
        for reference in entry.references
    }
    for text in texts:
        is_caution = text.name.startswith(_CAUTIONS)
        if text.english in told and not is_caution:
            continue
        told.add(text.english)
        if text.english in language.messages:
            yield None, text.english
            continue
        yield (
            _write_lack(text.english, before.get(text.name, ""), text.where, is_caution=is_caution),
            text.english,
        )


def _write_lack(english: str, previous: str, where: Location | None, *, is_caution: bool = False) -> Problem:
    said = f"'{clip_text(english)}'"
    hint = tell("translate it in the catalogue; `pocketref words` writes it there")
    severity = Severity.ERROR if is_caution else Severity.WARNING
    what = "the caution" if is_caution else "the text"
    if previous and previous != english:
        sentence = tell(
            "{what} {said} was translated when it said '{previous}'",
            what=what,
            said=said,
            previous=clip_text(previous),
        )
        return Problem("translation-outdated", sentence, hint, where, severity)
    return Problem(
        "translation-missing",
        tell("{what} {said} has no translation", what=what, said=said),
        hint,
        where,
        severity,
    )


def _list_unsaid(
    name: str, catalogues: Sequence[Catalogue], language: Language
) -> Iterator[tuple[Problem | None, str]]:
    """The same of the program's own words, at their entries; what a catalogue beside the content has not yet, too."""
    empty = start_catalogue(name, f"{LANGUAGES}/{name}/{PROGRAM}")
    catalogue = next((each for each in catalogues if each.shown.endswith(PROGRAM)), empty)
    if not (CARRIED / name / PROGRAM).is_file():  # which always has them all
        catalogue = refresh_catalogue(catalogue, list_program_words())
    for entry in catalogue.entries:
        english = entry.english[0]
        where = catalogue.locate(entry) if entry.line else Location(catalogue.shown)
        lacks = english not in language.messages
        yield (_write_lack(english, entry.previous, where) if lacks else None), english


def _list_glyphs(catalogues: Sequence[Catalogue]) -> Iterator[Problem]:
    """Each character of a translation that the typeface cannot set, where it first stands."""
    told: set[str] = set()
    for catalogue in catalogues:
        for entry in catalogue.entries:
            for character in typeface(FontFace.REGULAR).missing("".join(entry.forms)):
                if character not in told and not character.isspace():
                    told.add(character)
                    sentence = tell(
                        "the typeface has no glyph for U+{character:04X} '{character2}'",
                        character=ord(character),
                        character2=character,
                    )
                    hint = tell("write it with another character")
                    yield Problem("glyph-missing", sentence, hint, catalogue.locate(entry))
