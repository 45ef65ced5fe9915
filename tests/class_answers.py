"""An invented class on the project's own training sheets, with misunderstandings planted."""

from __future__ import annotations

import random
from collections.abc import Callable, Iterable
from functools import cache
from pathlib import Path

from pocketref.layouts.play_sheets import PlaySheet
from pocketref.marks.answers import Intake, read_answers
from pocketref.marks.training_sheets import Training, read_training
from pocketref.plays.choices import LETTERS, AskedPlay, sign_choice
from pocketref.plays.plays import RuleBooks
from pocketref.problems import PocketrefError

ROOT = Path(__file__).parents[1]
EDITION = "2027"
Think = Callable[[AskedPlay], str]
"""How a member comes to a letter."""


@cache
def training() -> Training:
    """The project's own plays and sheets."""
    return read_training(ROOT / "content", ROOT / "layouts")


def books() -> RuleBooks:
    """What they are ruled by."""
    return training().books


def find_sheet(name: str) -> PlaySheet:
    """One of the sheets."""
    return training().find_sheets(name)[0]


def know(question: AskedPlay) -> str:
    """Be right."""
    return question.letter


def misread(subject: str, fact: str, shown: str, taken: str) -> Think:
    """Rule by the table, but take one answer of a fact for another; where no choice says so, be right."""

    def think(question: AskedPlay) -> str:
        play = question.ruled
        if play.case.subject != subject or play.answers.get(fact) != shown:
            return question.letter
        try:
            ruled = books().answer(subject, play.code, {**play.answers, fact: taken})
        except PocketrefError:  # it can't happen so, or another fact would matter then
            return question.letter
        return _find_letter(question, sign_choice(ruled.ruling))

    return think


def rule_as(code: str) -> Think:
    """Rule by the book of another code."""

    def think(question: AskedPlay) -> str:
        play = question.ruled
        try:
            ruled = books().answer(play.case.subject, code, play.answers)
        except PocketrefError:
            return question.letter
        return _find_letter(question, sign_choice(ruled.ruling))

    return think


def _find_letter(question: AskedPlay, sign: object) -> str:
    pairs = zip(LETTERS, question.choices, strict=False)
    return next((letter for letter, each in pairs if sign_choice(each.ruling) == sign), question.letter)


def write_class(sheet: PlaySheet, minds: Iterable[Think], slips: float = 0.0, seed: int = 1) -> str:
    """The answers of a class as CSV, a member a mind; of all answers some `slips` are wrong without a reason."""
    chance = random.Random(seed)
    lines = ["name,number,chapter,sheet,answers"]
    for number, think in enumerate(minds, 1):
        letters = []
        for question in sheet.questions:
            wrong = [letter for letter in LETTERS[: len(question.choices)] if letter != question.letter]
            letters.append(chance.choice(wrong) if chance.random() < slips else think(question))
        chapter = ("North", "South")[number % 2]
        lines.append(f"Member {number},M-{number:03d},{chapter},{sheet.name},{''.join(letters)}")
    return "\n".join(lines) + "\n"


def take_in(folder: Path, text: str | bytes, name: str = "answers.csv") -> Intake:
    """What comes of a file of answers."""
    path = folder / name
    path.write_bytes(text.encode() if isinstance(text, str) else text)
    return read_answers([path], training().sheets, EDITION)
