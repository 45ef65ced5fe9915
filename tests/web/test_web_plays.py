"""The page's case plays against the keys in print: every play of every sheet, right and wrong answers."""

from __future__ import annotations

import csv
import io
import json
from importlib.resources import files
from pathlib import Path
from typing import Any

import pytest
from page_scripts import run_script

from pocketref.edition.proof import Proof
from pocketref.layouts.play_sheets import PlaySheet, build_entry, write_choices_mark
from pocketref.layouts.play_words import write_choice
from pocketref.plays.choices import LETTERS
from pocketref.web.page_script import write_data
from pocketref.web.plays_data import build_plays_data

HERE = Path(__file__).parent
ROOT = HERE.parents[1]


@pytest.fixture(scope="module")
def said(demo: Proof, tmp_path_factory: pytest.TempPathFactory) -> dict[str, dict[str, Any]]:
    """What the page's modules say, run by node, by sheet."""
    file = tmp_path_factory.mktemp("plays") / "plays.json"
    file.write_text(json.dumps(build_plays_data(demo)), encoding="utf-8")
    said = run_script("check_plays.mjs", str(files("pocketref.web") / "page"), file)
    return {sheet["name"]: sheet for sheet in said}


def sheets(proof: Proof) -> list[PlaySheet]:
    assert len(proof.plays.sheets) >= 5
    return list(proof.plays.sheets)


def test_every_play_is_lettered_marked_and_explained_as_in_its_key(
    demo: Proof, said: dict[str, dict[str, Any]]
) -> None:
    for sheet in sheets(demo):
        for question, shown in zip(sheet.questions, said[sheet.name]["plays"], strict=True):
            assert shown["right"] == question.letter
            lettered = zip(LETTERS, question.choices, strict=False)
            assert shown["choices"] == [
                {"letter": letter, "words": write_choice(choice.ruling), "reason": choice.reason}
                for letter, choice in lettered
            ]
            assert shown["key"] == list(build_entry(1, question, demo.plays.books).entries)


def test_what_was_missed_is_asked_again_first_and_the_score_tells_the_last_answers(
    demo: Proof, said: dict[str, dict[str, Any]]
) -> None:
    for sheet in sheets(demo):
        found, numbers = said[sheet.name], list(range(1, len(sheet.questions) + 1))
        missed = numbers[::2]
        assert found["odd"] == numbers
        assert found["before"] == {"answered": len(numbers), "right": len(numbers) - len(missed)}
        assert found["again"] == missed
        assert found["after"] == {"answered": len(numbers), "right": len(numbers)}
        assert found["missed_first"] == [*numbers[-2:], *numbers[:-2]]


def test_the_answer_sheet_is_csv_with_the_letters_chosen_first(
    demo: Proof, said: dict[str, dict[str, Any]]
) -> None:
    """RFC 4180, read by Python's own csv module."""
    for sheet in sheets(demo):
        rows = list(csv.reader(io.StringIO(said[sheet.name]["csv"], newline="")))
        assert rows[0] == ["name", "number", "sheet", "choices", "answers"]
        ((*who, which, choices, letters),) = rows[1:]
        assert (who, which) == (['Robin "R" Vale, Jr.', "7001"], sheet.name)
        assert choices == write_choices_mark(sheet)
        assert len(letters) == len(sheet.questions)
        for number, (letter, question) in enumerate(zip(letters, sheet.questions, strict=True), 1):
            assert (letter == question.letter) == (number % 2 == 0)
        blank = list(csv.reader(io.StringIO(said[sheet.name]["blank"], newline="")))
        assert blank[1][-1] == "-" * len(sheet.questions)


def test_pictures_are_compact_and_show_what_the_printed_ones_do(demo: Proof) -> None:
    data = build_plays_data(demo)
    assert data
    pictured = data["pictures"]
    shown = [place for place in data["plays"]["picture"] if place is not None]
    assert {*shown} == {*range(len(pictured))}
    asked = {
        question.ruled.key
        for sheet in sheets(demo)
        for question in sheet.questions
        if not question.ruled.scene.is_empty
    }
    plays = zip(data["plays"]["id"], data["plays"]["picture"], strict=True)
    assert {name for name, place in plays if place is not None} == asked
    assert all(len(picture["alt"]) > 20 for picture in pictured)
    assert len(write_data(pictured)) < 500 * len(pictured)
