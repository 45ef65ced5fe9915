"""What commands tell, in their reader's language: that of the environment, whatever language is printed.

An edition in Spanish may be made by somebody who reads English. Without a language here, what is told is the English
itself, byte for byte.
"""

from __future__ import annotations

from collections.abc import Iterable, Iterator, Mapping
from contextlib import contextmanager
from dataclasses import dataclass
from functools import reduce

from pocketref.words.speech import Language, count_in, say_in

_ENGLISH = ("en", "C", "POSIX")
_NAMES = ("LC_ALL", "LC_MESSAGES", "LANG")


@dataclass(slots=True)
class _Reader:
    language: Language | None = None


_READER = _Reader()
"""The whole process has one: its threads tell the same reader, and a context would not reach them."""


@contextmanager
def tell_in(language: Language | None) -> Iterator[None]:
    """Within it, what is told is in a language; None for English."""
    before, _READER.language = _READER.language, language
    try:
        yield
    finally:
        _READER.language = before


def name_reader() -> str | None:
    """The tag of the reader's language; None for English."""
    return _READER.language.tag if _READER.language else None


def tell(english: str, /, **slots: object) -> str:
    """A sentence to the reader, its {slots} filled; a text without slots may hold braces.

    Catalogues are written from the literal texts that this is called with, and from the constants of the same module.
    """
    return say_in(_READER.language, english, slots)


def tell_count(count: int, one: str, many: str, /, **slots: object) -> str:
    """A sentence to the reader about a number of things; {count} is the number."""
    return count_in(_READER.language, count, (one, many), slots)


def tell_list(words: Iterable[str], *, is_or: bool = False) -> str:
    """Words in a row: "a and b and c", or "a or b or c"."""
    both = "{most} or {last}" if is_or else "{most} and {last}"
    return reduce(lambda most, last: tell(both, most=most, last=last), words)


def tell_help(text: str) -> str:
    """A command's help in the reader's language, by paragraphs."""
    return "\n\n".join(_tell_paragraph(paragraph) for paragraph in text.split("\n\n"))


def list_help(text: str) -> list[str]:
    """The texts that `tell_help` looks up."""
    return [_split_paragraph(paragraph)[1] for paragraph in text.split("\n\n")]


def _tell_paragraph(paragraph: str) -> str:
    before, words, after = _split_paragraph(paragraph)
    return f"{before}{tell(words)}{after}"


def _split_paragraph(paragraph: str) -> tuple[str, str, str]:
    """What precedes a paragraph's words, the words on one line, what follows: of an example the words are its title."""
    if not paragraph.startswith("\b\n"):
        return "", " ".join(paragraph.split()), ""
    title, end, example = paragraph[2:].partition("\n")
    return "\b\n", title, end + example


def list_wanted(environment: Mapping[str, str]) -> list[str]:
    """The tags (BCP 47) of the languages that the reader wants, best first, up to English; none for English.

    As GNU gettext reads it: LANGUAGE has several between colons, unless the locale is C; else it is the locale's.
    """
    locale = next((environment[name] for name in _NAMES if environment.get(name)), "")
    wanted = "C" if locale in _ENGLISH else environment.get("LANGUAGE") or locale
    tags: list[str] = []
    for name in wanted.split(":"):
        tag = name.partition(".")[0].partition("@")[0].replace("_", "-")
        if tag.partition("-")[0] in _ENGLISH:
            break
        tags += filter(None, (tag, tag.partition("-")[0]))
    return list(dict.fromkeys(tags))
