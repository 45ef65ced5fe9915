"""A language made by rule, about a third longer and accented: what it leaves plain was never looked up."""

from __future__ import annotations

import re
from dataclasses import dataclass
from datetime import date

from pocketref.words.speech import Language, write_english_day

_ACCENTED = str.maketrans("aeiouAEIOU", "àéîöüÀÉÎÖÜ")
_SLOT = re.compile(r"(\{[^{}]*\})")


@dataclass(frozen=True, eq=False)
class PseudoLanguage(Language):
    """Every vowel twice and accented; slots, marks and all else as they are. For tests."""

    def find(self, english: str, number: int = 1, many: str = "") -> str:
        """The text in this language; there is none that it lacks."""
        return stretch(english)

    def write_day(self, day: date) -> str:
        """The English day, stretched."""
        return stretch(write_english_day(day))


def stretch(english: str) -> str:
    """The text as the language has it."""
    parts = _SLOT.split(english)
    return "".join(part if _SLOT.fullmatch(part) else _accent(part) for part in parts)


def _accent(text: str) -> str:
    return re.sub("[aeiouAEIOU]", lambda vowel: vowel[0].translate(_ACCENTED) + vowel[0].lower(), text)


PSEUDO = PseudoLanguage("qps", {})
"""Its tag is one of those that ISO 639-2 leaves to private use (qaa to qtz)."""
