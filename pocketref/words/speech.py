"""Sentences in the language in force: English as it stands in the code, any other looked up by that English.

The language is in force within `speak` alone; without one, what is said is the English itself, byte for byte.
"""

from __future__ import annotations

from collections.abc import Callable, Iterable, Iterator, Mapping, Sequence
from contextlib import contextmanager
from contextvars import ContextVar
from dataclasses import dataclass, field
from datetime import date
from functools import lru_cache, reduce, wraps
from typing import Any, ParamSpec, TypeVar

P = ParamSpec("P")
T = TypeVar("T")

ENGLISH = "en-US"
"""The tag (BCP 47) of the language that the program and its content are written in."""
UNTRANSLATED = "‡"
"""Stands after English that the language in force has no translation of."""
LANGUAGES = "languages"
"""The folder of content, as of the program, that holds a folder of catalogues for each language."""


@dataclass(
    frozen=True, eq=False
)  # each reading is itself, so that what is kept by language needs no comparing
class Language:
    """A language: its tag (BCP 47), each English text with its forms, and which form goes with a number."""

    tag: str
    messages: Mapping[str, tuple[str, ...]]
    choose_form: Callable[[int], int] = lambda number: int(number != 1)
    is_signed_off: bool = False
    """Whether somebody who speaks it and umpires has read the translations."""
    missed: set[str] = field(default_factory=set)
    """The English texts that were asked for and have no translation: what is printed of them is in English."""
    mark: str = UNTRANSLATED
    """Stands after such a text."""

    def find(self, english: str, number: int = 1, many: str = "") -> str:
        """The text in this language; the English, marked, if there is no translation: that for many, if there are."""
        forms = self.messages.get(english)
        if forms is None:
            said = many if many and number != 1 else english
            self.missed.update((english, said))
            return said + self.mark
        return forms[self.choose_form(number)] if len(forms) > 1 else forms[0]

    def write_day(self, day: date) -> str:
        """A day with its month in a few letters."""
        from babel.dates import format_date  # deferred: English needs none of it

        return format_date(day, "d MMM y", locale=self.tag.replace("-", "_"))


_IN_FORCE: ContextVar[Language | None] = ContextVar("language", default=None)
_PAIR: ContextVar[tuple[Language | None, ...]] = ContextVar("pair", default=())


def find_language() -> Language | None:
    """The language in force; None for English."""
    return _IN_FORCE.get()


def name_language() -> str:
    """The tag of the language in force."""
    language = _IN_FORCE.get()
    return language.tag if language else ENGLISH


def find_pair() -> tuple[Language | None, ...]:
    """The two languages of a card that is two-sided by language, that of its front first; none for one language."""
    pair = _PAIR.get()
    return pair if _IN_FORCE.get() in pair else ()


@contextmanager
def speak(language: Language | None, pair: tuple[Language | None, ...] | None = None) -> Iterator[None]:
    """Within it, what is said is said in a language; None for English.

    `pair` are the two languages that cards may be two-sided by; None for those there are.
    """
    before = _IN_FORCE.set(language), _PAIR.set(_PAIR.get() if pair is None else pair)
    try:
        yield
    finally:
        _IN_FORCE.reset(before[0])
        _PAIR.reset(before[1])


def say(english: str, /, **slots: object) -> str:
    """A sentence in the language in force, its {slots} filled.

    Catalogues are written from the literal texts that this is called with; what is kept in tables is listed in
    `pocketref/translations/program_words.py`. A text without slots may hold braces.
    """
    return say_in(_IN_FORCE.get(), english, slots)


def say_count(count: int, one: str, many: str, /, **slots: object) -> str:
    """A sentence about a number of things, in the form that the language has for it; {count} is the number."""
    return count_in(_IN_FORCE.get(), count, (one, many), slots)


def say_in(language: Language | None, english: str, slots: Mapping[str, object]) -> str:
    """A sentence in a language, its {slots} filled."""
    words = language.find(english) if language and english else english
    return words.format(**slots) if slots else words


def count_in(
    language: Language | None, count: int, english: tuple[str, str], slots: Mapping[str, object]
) -> str:
    """A sentence in a language about a number of things; `english` for one, and for many."""
    words = language.find(english[0], count, english[1]) if language else english[count != 1]
    return words.format(count=count, **slots)


def join_words(words: Sequence[str], *, is_or: bool = False) -> str:
    """Words in a row: "a, b and c", or "a, b or c"."""
    if len(words) < 2:
        return "".join(words)
    said = {"most": ", ".join(words[:-1]), "last": words[-1]}
    return say("{most} or {last}", **said) if is_or else say("{most} and {last}", **said)


def join_answers(words: Iterable[str]) -> str:
    """Answers that lead the same way: "a or b or c"."""
    return reduce(lambda most, last: join_words((most, last), is_or=True), words)


def quote(words: str) -> str:
    """Words in the quotation marks of the language in force."""
    return say("“{words}”", words=words)


def count(number: int, noun: str) -> str:
    """A number of things in English, whatever the language; "1 answer sheet", "2 groups of plays"."""
    first, of, rest = noun.partition(" of ")
    return f"{number} {first}{'' if number == 1 else 's'}{of}{rest}"


def say_day(day: date) -> str:
    """A day with its month in a few letters: "31 Dec 2027", by CLDR's names in another language."""
    language = _IN_FORCE.get()
    return language.write_day(day) if language else write_english_day(day)


def write_english_day(day: date) -> str:
    """A day in English, whatever the locale."""
    return f"{day.day} {_MONTHS[day.month - 1]} {day.year}"


_MONTHS = ["Jan", "Feb", "Mar", "Apr", "May", "Jun", "Jul", "Aug", "Sep", "Oct", "Nov", "Dec"]


def cache_words(size: int) -> Callable[[Callable[P, T]], Callable[P, T]]:
    """As `lru_cache`, for what holds words: kept for each language apart."""

    def decorate(make: Callable[P, T]) -> Callable[P, T]:
        keep: Any = lru_cache(maxsize=size)(lambda _, *args, **named: make(*args, **named))

        @wraps(make)
        def find(*args: P.args, **named: P.kwargs) -> T:
            return keep(_IN_FORCE.get(), *args, **named)  # type: ignore[no-any-return]

        return find

    return decorate
