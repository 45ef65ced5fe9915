"""Case plays answered on the page in a phone-size browser without a network: told at once, kept, asked again, sent."""

from __future__ import annotations

import csv
import json
from pathlib import Path
from typing import Any

import pytest
from page_scripts import Browser

from pocketref.edition.proof import Proof
from pocketref.layouts.play_sheets import PlaySheet, build_entry, build_question, write_choices_mark
from pocketref.web.web import INDEX

SHEET = "feet"
VIEWS = ("sheets", "sheet", "question", "answer")


@pytest.fixture(scope="module")
def sheet(demo: Proof) -> PlaySheet:
    (found,) = [sheet for sheet in demo.plays.sheets if sheet.name == SHEET]
    return found


@pytest.fixture(scope="module")
def report(
    browser: Browser, demo_folder: Path, sheet: PlaySheet, tmp_path_factory: pytest.TempPathFactory
) -> dict[str, Any]:
    folder = tmp_path_factory.mktemp("plays-view")
    asked = {"sheet": SHEET, "right": [question.letter for question in sheet.questions]}
    (folder / "asked.json").write_text(json.dumps(asked), encoding="utf-8")
    said: dict[str, Any] = browser.run(
        "check_plays_view.mjs", demo_folder / INDEX, folder / "asked.json", folder
    )
    return said


def plain(words: str) -> str:
    return words.replace("*", "").replace("'", "’")


def test_a_wrong_answer_is_told_at_once_with_the_keys_reason_and_picture(
    report: dict[str, Any], sheet: PlaySheet, demo: Proof
) -> None:
    question, missed = sheet.questions[0], report["missed"]
    assert missed["focused"] == f"Not right: the answer is {question.letter}"
    first_wrong = next(
        (letter, choice)
        for letter, choice in zip("ABCD", question.choices, strict=False)
        if not choice.is_right
    )
    assert missed["told"][0] == plain(f"Why not {first_wrong[0]}: {first_wrong[1].reason}")
    assert missed["told"][1:] == list(map(plain, build_entry(1, question, demo.plays.books).entries))
    picture = build_question(1, question, demo.plays.books, sheet, 8.0).picture(88.0, 66.0)
    assert picture
    assert missed["picture"] == picture.alt
    assert missed["drawn"] > 5
    assert missed["held"] == len(question.ruled.case.model.situation.runners)
    assert missed["score"].endswith("0 right of 1 answered.")
    assert missed["next"] == "Next: play 2"


def test_a_right_answer_is_told_with_the_same_key(
    report: dict[str, Any], sheet: PlaySheet, demo: Proof
) -> None:
    question, right = sheet.questions[1], report["right"]
    assert right["focused"] == f"Right: {question.letter}"
    assert right["told"] == list(map(plain, build_entry(2, question, demo.plays.books).entries))


def test_the_score_is_kept_and_what_was_missed_is_asked_first(
    report: dict[str, Any], sheet: PlaySheet
) -> None:
    assert report["promise"].startswith("Choose a sheet. Your answers stay on this device")
    assert report["score"] == "1 right of 2 answered."
    assert report["again"] == "Go on: 1 missed first"
    assert report["asked"].startswith("1. ")
    assert report["mended"]["focused"] == f"Right: {sheet.questions[0].letter}"
    assert report["finalScore"] == "2 right of 2 answered."


def test_the_answers_chosen_first_go_to_the_instructor_under_a_name(
    report: dict[str, Any], sheet: PlaySheet
) -> None:
    assert report["nameless"].startswith("Type your name")
    assert report["saved"]["name"] == f"{SHEET}-answers.csv"
    with Path(report["saved"]["path"]).open(encoding="utf-8", newline="") as file:
        (row,) = csv.DictReader(file)
    first = "B" if sheet.questions[0].letter == "A" else "A"
    answers = f"{first}{sheet.questions[1].letter}".ljust(len(sheet.questions), "-")
    who = {"name": "Robin Vale", "number": "7001"}
    assert row == who | {"sheet": SHEET, "choices": write_choices_mark(sheet), "answers": answers}


def test_a_device_that_keeps_nothing_promises_nothing_and_marks_all_the_same(
    report: dict[str, Any], sheet: PlaySheet
) -> None:
    private = report["private"]
    assert "keeps no answers" in private["promise"]
    assert "stay on this device" not in private["promise"]
    assert "private mode" in private["notice"]
    assert private["focused"] == f"Right: {sheet.questions[0].letter}"


def test_a_link_to_an_answer_leads_on_to_another_play(report: dict[str, Any]) -> None:
    assert report["linked"]["next"] == "Next: play 2"


def test_the_keyboard_goes_from_the_question_through_its_choices_in_order(report: dict[str, Any]) -> None:
    assert report["order"][0].startswith("1. ")
    choices = [each for each in report["order"][1:] if each.startswith("choice-")]
    assert choices == [f"choice-{letter}" for letter in "ABCD"[: len(choices)]]
    assert len(choices) >= 2


def test_every_view_is_clear_to_everybody_light_and_dark_and_nothing_fails(report: dict[str, Any]) -> None:
    assert set(report["looks"]) == {f"{view}-{scheme}" for view in VIEWS for scheme in ("light", "dark")}
    for name, look in report["looks"].items():
        assert look == {"violations": [], "overflow": 0, "small": []}, name
    assert report["errors"] == []
