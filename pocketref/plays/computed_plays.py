"""Plays made from a table's rows, for rows that no written play meets."""

from __future__ import annotations

import re
from collections.abc import Iterable, Mapping

from pocketref.plays.plays import CasePlay, RuleBooks
from pocketref.problems import refusal
from pocketref.rulings.boxes import contains, is_covered
from pocketref.rulings.next_state import find_missing_runner
from pocketref.rulings.situation import answer_from_situation
from pocketref.rulings.table import Row, Table
from pocketref.source.library import Library
from pocketref.source.play_models import PlayModel
from pocketref.source.ruling_models import RulingModel, SubjectModel
from pocketref.source.situation_models import SituationModel, list_situations
from pocketref.words.terminal import tell

COMPUTED = "computed/"
"""How the name of a computed play begins, where that of another has its file's."""
STORY = "Computed from the table: only what was seen is told."


def compute_plays(books: RuleBooks, subject: str, code: str, rows: Iterable[int]) -> tuple[CasePlay, ...]:
    """A play for each of the rows (from 1): the likeliest answers that meet it, where the game stands at its plainest.

    Its facts and its situation are all that it tells, so that they are what a sheet prints.
    """
    model = books.library.subjects[subject]
    table, rulings = books.rules(subject, code).table, books.library.rulings[code, subject].rulings
    cases = []
    for number in rows:
        row = table.rows[number - 1]
        situation, shown = _plainest_situation(table, row, model, rulings[row.outcome])
        facts = _likeliest_answers(table, row, model, shown)
        play = PlayModel(
            title=f"{model.title}, row {number}",
            situation=situation,
            story=STORY,
            facts={name: answer for name, answer in facts.items() if name not in shown},
            expect={code: row.outcome},
        )
        cases.append(CasePlay(name_computed(subject, code, number), subject, play, is_computed=True))
    return tuple(cases)


def name_computed(subject: str, code: str, row: int) -> str:
    """The name of the play that is made from a row (from 1)."""
    return f"{COMPUTED}{code}-{subject}-{row}"


def read_computed_name(name: str, code: str, library: Library) -> tuple[str, int] | None:
    """The subject and row whose play has such a name by a code; None if there is no such row."""
    subject, _, number = name.removeprefix(f"{COMPUTED}{code}-").rpartition("-")
    table = library.rulings.get((code, subject))
    is_row = table and re.fullmatch("[1-9][0-9]{0,3}", number) and int(number) <= len(table.rows)
    return (subject, int(number)) if is_row and name == name_computed(subject, code, int(number)) else None


def _plainest_situation(
    table: Table, row: Row, subject: SubjectModel, ruling: RulingModel
) -> tuple[SituationModel, Mapping[str, str]]:
    """The first situation that meets the row and has the runners whom it puts out, with the facts that it answers."""
    for situation in list_situations():
        if find_missing_runner(situation, ruling):
            continue
        shown = answer_from_situation(subject, [situation])
        box = table.space.box({**row.when, **{name: (answer,) for name, answer in shown.items()}})
        agrees = all(answer in row.when.get(name, (answer,)) for name, answer in shown.items())
        if agrees and not is_covered(box, table.never_boxes):
            return situation, shown
    sentence = tell("no situation meets a row of {subject}", subject=subject.subject)
    hint = tell("its answers to facts that runners, outs and count answer can't all be given")
    raise refusal("play-impossible", sentence, hint, row.where)


def _likeliest_answers(
    table: Table, row: Row, subject: SubjectModel, shown: Mapping[str, str]
) -> dict[str, str]:
    """An answer to every fact that the row asks: the weightiest that can still happen, else the author's first."""
    answers = dict(shown)
    for fact in table.facts:
        if fact.name not in row.when or fact.name in shown:
            continue
        weights = subject.facts[fact.name].weights
        allowed = [answer for answer in fact.answers if answer in row.when[fact.name]]
        for answer in sorted(allowed, key=lambda answer: -weights.get(answer, 1)):
            box = table.space.at({**answers, fact.name: answer})
            if not any(contains(never, box) for never in table.never_boxes):
                answers[fact.name] = answer
                break
    return answers
