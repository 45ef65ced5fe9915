"""Training sheets in other languages: questions, answer sheets and keys."""

from __future__ import annotations

from pathlib import Path

import pytest
from words_in_print import NAMES, find_plain, list_said

from pocketref.edition.proof import prove
from pocketref.layouts.answer_sheets import lay_out_answers
from pocketref.layouts.overlap_check import check_overlaps
from pocketref.layouts.play_sheets import lay_out_key, lay_out_questions, write_choices_mark
from pocketref.translations.language_proof import read_language
from pocketref.words.pseudo import PSEUDO
from pocketref.words.speech import Language, speak

ROOT = Path(__file__).parents[2]
SHEET = "batter-and-catcher"


@pytest.fixture(scope="module")
def said() -> dict[str, tuple[str, list[list[str]]]]:
    """What marks the choices of the sheet, and what the questions, the answer sheet and the key say, by language."""
    languages: dict[str, Language | None] = {
        "en": None,
        "es": read_language("es", ROOT / "content"),
        "pseudo": PSEUDO,
    }
    return {name: lay_out(language) for name, language in languages.items()}


def lay_out(language: Language | None) -> tuple[str, list[list[str]]]:
    with speak(language):
        proof = prove(ROOT / "content", ROOT / "layouts", only=(SHEET,))
        (sheet,) = proof.plays.sheets
        books, layouts = proof.plays.books, proof.layouts
        made = (
            lay_out_questions(sheet, books, layouts),
            lay_out_answers(sheet, books.library, layouts),
            lay_out_key(sheet, books, layouts),
        )
        for each in made:  # what has no room raises
            assert check_overlaps(each) == []
        return write_choices_mark(sheet), [list(list_said(each)) for each in made]


def test_what_frames_a_sheets_plays_is_looked_up_and_has_room(
    said: dict[str, tuple[str, list[list[str]]]],
) -> None:
    _, (questions, answers, key) = said["pseudo"]
    assert [plain for text in answers if (plain := find_plain(text, NAMES | set(SHEET.split("-"))))] == []
    for words in ("*Ruling:*", "*Next:*", "Answers at a glance:", "Signal:", "From above", "So by the"):
        bare = words.strip("*")
        assert [text for text in (*questions, *key) if bare in text] == []


def test_a_sheet_asks_the_same_choices_by_the_same_letters_in_every_language(
    said: dict[str, tuple[str, list[list[str]]]],
) -> None:
    """So that answers to a sheet in Spanish are marked by the key that the English one has."""
    assert {mark for mark, _ in said.values()} == {said["en"][0]}
