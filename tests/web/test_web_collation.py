"""Words in order, against ICU with the data of Unicode CLDR, as node brings it (`Intl.Collator`, ECMA-402)."""

from __future__ import annotations

import json
from itertools import product

import pytest
from page_scripts import run_module

from pocketref.words.collation import find_sort_key
from pocketref.words.speech import Language, speak

STARTS = (
    "n",
    "N",
    "ñ",
    "Ñ",
    "o",
    "Ó",
    "nz",
    "a",
    "á",
    "Å",
    "æ",
    "ae",
    "De la ",
    "Dela",
    "O’",
    "O'",
    "ø",
    "Ł",
    "l",
)
ENDS = ("", "a", "Á", "uñez", "unez", "úñez", "ün", "-b", " b", ", c", "1", "12", "ç", "Z", "u.")


@pytest.mark.parametrize("tag", ["es-US", "en-US"])
def test_words_stand_in_the_order_of_their_language(tag: str) -> None:
    words = sorted(first + last for first, last in product(STARTS, ENDS))
    script = f"const words = {json.dumps(words)}; const order = new Intl.Collator('{tag[:2]}').compare;"
    expected = run_module("stems.js", "stem", script, "words.sort(order)")
    with speak(Language(tag, {})):
        assert sorted(words, key=find_sort_key) == expected
