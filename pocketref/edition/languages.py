"""The languages that an edition is printed in: its own, and those whose files stand in folders of their names."""

from __future__ import annotations

from collections.abc import Callable, Iterator, Mapping, Sequence
from contextlib import AbstractContextManager
from dataclasses import dataclass, replace
from typing import TypeVar

from pocketref.problems import PocketrefError, Problem, ProblemLog
from pocketref.words.speech import ENGLISH, Language, speak
from pocketref.words.terminal import tell

T = TypeVar("T")


@dataclass(frozen=True, slots=True)
class EditionLanguage:
    """One of an edition's languages: its folder's name among the catalogues, and the language, None for English."""

    name: str
    language: Language | None
    folder: str = ""
    """What its files' names begin with in the edition: "es/", or nothing for the edition's own language."""
    pair: tuple[Language | None, ...] = ()
    """The edition's first two, if it is one of them: cards may be two-sided by these."""

    def speak(self) -> AbstractContextManager[None]:
        """Within it, what is said is said in this language."""
        return speak(self.language, self.pair)

    @property
    def tag(self) -> str:
        """Its tag (BCP 47)."""
        return self.language.tag if self.language else ENGLISH

    @property
    def title(self) -> str:
        """What it calls itself, by Unicode CLDR: "Español"."""
        from babel import Locale  # deferred: English alone needs none of it

        named = Locale.parse(self.tag.replace("-", "_")).get_language_name() or self.name
        return named[:1].upper() + named[1:]

    def find_home(self, name: str = "") -> str:
        """The way from its file of this name to the edition's folder."""
        return "../" * f"{self.folder}{name}".count("/")

    def find_way(self, name: str, other: EditionLanguage) -> str:
        """The way from its file of this name to the same file in another language."""
        return self.find_home(name) + other.folder + name


ALONE = EditionLanguage("", None)
"""That of an edition in one language: whichever is in force."""


def list_in_order(languages: Mapping[str, Language | None]) -> tuple[EditionLanguage, ...]:
    """An edition's languages by their names, its own first."""
    first = tuple(languages.values())[:2] if len(languages) > 1 else ()
    return tuple(
        EditionLanguage(name, language, f"{name}/" if number else "", first if number < 2 else ())
        for number, (name, language) in enumerate(languages.items())
    )


def take_in_each(languages: Sequence[EditionLanguage], step: Callable[[EditionLanguage], T]) -> tuple[T, ...]:
    """What a step gives in each language; PocketrefError with all that is refused in any of them."""
    made, refused = list[T](), dict[str, tuple[Problem, ...]]()
    for each in languages:
        with each.speak():
            try:
                made.append(step(each))
            except PocketrefError as error:
                refused[each.name] = error.problems
    problems = ProblemLog(list(merge_problems(languages, refused)))
    problems.raise_errors()
    return tuple(made)


def merge_problems(
    languages: Sequence[EditionLanguage], found: Mapping[str, Sequence[Problem]]
) -> Iterator[Problem]:
    """What was found in the languages, by their names: once what is so in all, the rest with the language's name."""
    told: list[Problem] = []
    for name, problems in found.items():
        for problem in problems:
            if all(problem in found.get(each.name, ()) for each in languages):
                if problem not in told:
                    told.append(problem)
                    yield problem
            else:
                sentence = tell("in {language}: {said}", language=name, said=problem.sentence)
                yield replace(problem, sentence=sentence)


def say_in(language: EditionLanguage, items: Iterator[T]) -> Iterator[T]:
    """The items, each made while what is said is said in a language."""
    while True:
        with language.speak():
            try:
                item = next(items)
            except StopIteration:
                return
        yield item
