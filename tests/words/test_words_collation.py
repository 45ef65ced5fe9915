"""Names in order; what ICU 78.2 with the data of CLDR 48 makes of the same names stands here as it gave it."""

from __future__ import annotations

import pytest

from pocketref.words.collation import find_sort_key
from pocketref.words.speech import Language, speak

NAMES = {
    "en-US": "Abe Åberg Ægir Aegis De_la_Cruz Delacruz Łuk Lz Ñu Nunez Núñez Nz O’Neil ONeil ortiz Ortiz Østby Oz",
    "es-US": "Abe Åberg Ægir Aegis De_la_Cruz Delacruz Łuk Lz Nunez Núñez Nz Ñu O’Neil ONeil ortiz Ortiz Østby Oz",
}


@pytest.mark.parametrize("tag", NAMES)
def test_names_stand_in_the_order_of_the_language_in_force(tag: str) -> None:
    names = NAMES[tag].replace("_", "\u00a0").split(" ")
    with speak(Language(tag, {})):
        assert sorted(sorted(names), key=find_sort_key) == names
