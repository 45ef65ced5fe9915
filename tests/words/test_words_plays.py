"""Training sheets in other languages: what is marked is what was asked."""

from __future__ import annotations

from pathlib import Path

from pocketref.edition.proof import prove
from pocketref.layouts.play_sheets import write_choices_mark
from pocketref.translations.language_proof import read_language
from pocketref.words.pseudo import PSEUDO
from pocketref.words.speech import Language, speak

ROOT = Path(__file__).parents[2]
SHEET = "batter-and-catcher"


def mark_choices(language: Language | None) -> str:
    with speak(language):
        (sheet,) = prove(ROOT / "content", ROOT / "layouts", only=(SHEET,)).plays.sheets
        return write_choices_mark(sheet)


def test_a_sheet_asks_the_same_choices_by_the_same_letters_in_every_language() -> None:
    """So that answers to a sheet in Spanish are marked by the key that the English one has."""
    english = mark_choices(None)
    assert mark_choices(read_language("es", ROOT / "content")) == english
    assert mark_choices(PSEUDO) == english
