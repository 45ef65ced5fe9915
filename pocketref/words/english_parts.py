"""Which words of a text are English that its language has no translation of.

They are known by the texts that were asked for and missed, and the mark that stands after each. What fills a slot of
one is in no language by that: it is marked by itself, or it is not English.
"""

from __future__ import annotations

import re
from collections.abc import Iterable, Iterator, Mapping, Sequence
from functools import lru_cache
from unicodedata import normalize

from pocketref.words.speech import UNTRANSLATED, Language

Range = tuple[int, int]
"""Where words begin and end in a text, as a slice has it."""
_SLOT = re.compile(r"\{[^{}]*\}")
_TOKEN = re.compile(r"\w+|[^\w\s]")
"""Bold words are set apart from what follows them, so that there may be a space before a full stop."""
_TAIL = 3
"""So many characters at a text's end tell most texts apart."""
_AS_WRITTEN = str.maketrans({"⁄": "/", "−": "-", "’": "'", "*": None})


def find_english(text: str, language: Language) -> tuple[Range, ...]:
    """Where `text` is English that `language` lacks, in order, the marks that stand after it included."""
    if UNTRANSLATED not in text or not language.missed:
        return ()
    return _find(text, _sort_texts(language, len(language.missed)))


def covers(text: str, ranges: Iterable[Range]) -> bool:
    """Whether ranges of a text, in order, leave none of its words out."""
    at = 0
    for start, end in ranges:
        if text[at:start].strip():
            return False
        at = end
    return at > 0 and not text[at:].strip()


def cut_ranges(ranges: Iterable[Range], start: int, end: int) -> list[Range]:
    """What of ranges is in a part of the text, as ranges of that part."""
    return [(max(a, start) - start, min(b, end) - start) for a, b in ranges if a < end and b > start]


@lru_cache(maxsize=8)
def _sort_texts(language: Language, _size: int) -> Mapping[str, list[tuple[list[str], str]]]:
    """The texts missed so far by how they end, each with what stands between its slots; under "" what ends in one."""
    found: dict[str, list[tuple[list[str], str]]] = {}
    for english in sorted(language.missed):
        literals = [_squash(literal) for literal in _split_literals(english)]
        found.setdefault(literals[-1][-_TAIL:], []).append((literals, english))
    return found


def _split_literals(english: str) -> list[str]:
    """What stands between the slots, in ordinary characters and without asterisks."""
    return _SLOT.split(_write_plain(english))


def _squash(text: str) -> str:
    return "".join(text.split())


def _write_plain(text: str) -> str:
    return normalize("NFKC", text).translate(_AS_WRITTEN)


@lru_cache(maxsize=8192)
def _compile(english: str) -> re.Pattern[str]:
    """Matches the text, with a group for what stands between slots; up to the end unless that is a slot.

    Spaces may differ.
    """
    literals = _split_literals(english)
    parts = []
    for literal in filter(str.strip, literals):
        words = r"\s*".join(map(re.escape, _TOKEN.findall(literal)))
        before = r"(?<!\w)" if re.match(r"\s*\w", literal) else ""
        after = r"(?!\w)" if re.search(r"\w\s*$", literal) else ""
        parts.append(f"({before}{words}{after})")
    end = r"\s*\Z" if literals[-1].strip() else ""
    return re.compile(".*?".join(parts) + end, re.DOTALL)


def _find(text: str, texts: Mapping[str, Sequence[tuple[list[str], str]]]) -> tuple[Range, ...]:
    plain, places = "", list[int]()
    for place, character in enumerate(text):
        written = _write_plain(character)
        plain += written
        places += [place] * len(written)
    found: list[Range] = []
    before = 0
    for mark in re.finditer(UNTRANSLATED, plain):
        parts = _match_best(plain, before, mark.start(), texts)
        found += ((places[start], places[end - 1] + 1) for start, end in parts)
        if parts and not plain[parts[-1][1] : mark.start()].strip():
            found.append((places[parts[-1][1] - 1], places[mark.start()] + 1))
        before = mark.end()
    return _join(found)


def _match_best(
    plain: str, before: int, end: int, texts: Mapping[str, Sequence[tuple[list[str], str]]]
) -> list[Range]:
    """The words of the text that says the most of what ends at `end`, after the mark `before` it if it can be."""
    said = _squash(plain[:end])
    tail = said[-_TAIL:]
    best: list[Range] = []
    for literals, english in (each for at in range(len(tail) + 1) for each in texts.get(tail[at:], ())):
        if said.endswith(literals[-1]) and all(literal in said for literal in literals):
            pattern = _compile(english)
            match = pattern.search(plain, before, end) or pattern.search(plain, 0, end)
            best = max(best, list(_list_parts(match)) if match else [], key=_count)
    return best


def _list_parts(match: re.Match[str]) -> Iterator[Range]:
    groups = range(1, match.re.groups + 1)
    return (match.span(group) for group in groups if match[group])


def _count(ranges: list[Range]) -> int:
    return sum(end - start for start, end in ranges)


def _join(ranges: Iterable[Range]) -> tuple[Range, ...]:
    joined: list[Range] = []
    for start, end in sorted(ranges):
        if joined and start <= joined[-1][1]:
            joined[-1] = (joined[-1][0], max(end, joined[-1][1]))
        else:
            joined.append((start, end))
    return tuple(joined)
