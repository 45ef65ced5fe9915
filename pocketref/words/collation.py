"""The order of words shown to people: as Unicode CLDR has it for the language in force, as far as Latin letters go.

Compared are letters, then accents, then capitals (UTS 10, multi-level comparison; small letters first). Spaces and
punctuation come before figures, and these before letters. Spanish has the letter ñ between n and o.
"""

from __future__ import annotations

from functools import lru_cache
from unicodedata import combining, normalize

from pocketref.words.speech import name_language

_ORDER = " _-,;:!?.'\"\u201c\u201d()[]{}@*/\\&#%`^+<=>|~$0123456789abcdefghijklmn\ue000opqrstuvwxyz"
_RANKS = {ord(character): chr(rank) for rank, character in enumerate(_ORDER, 1)}
_ENYE = "\ue000"
"""Stands for ñ where it is a letter, among those of no script."""
_STROKE = "\u0338"
_JOINED = str.maketrans(
    {"æ": f"a{_STROKE}e", "Æ": f"A{_STROKE}E", "œ": f"o{_STROKE}e", "Œ": f"O{_STROKE}E"}
    | {letter: base + _STROKE for letter, base in zip("øØłŁ\u2018\u2019", "oOlL''", strict=True)}
)
"""What no decomposition parts, and as what it is compared."""

Key = tuple[str, str, str]


def find_sort_key(text: str) -> Key:
    """What `text` is sorted by among others in the language in force; texts that differ have keys that do."""
    return _find_key(text, is_spanish=name_language().startswith("es"))


@lru_cache(maxsize=8192)
def _find_key(text: str, *, is_spanish: bool) -> Key:
    if text.isascii():
        return text.lower().translate(_RANKS), "", text.swapcase()
    parts = normalize("NFKD", text.translate(_JOINED))
    if is_spanish:
        parts = parts.replace("n\u0303", _ENYE).replace("N\u0303", _ENYE)
    letters = "".join(part for part in parts if not combining(part))
    accents = "".join(part if combining(part) else " " for part in parts)
    return letters.casefold().translate(_RANKS), accents.rstrip(), text.swapcase()
