"""Plays made from a table's rows, for rows that no written play meets."""

from __future__ import annotations

from collections.abc import Iterable

from pocketref.plays.plays import CasePlay, RuleBooks
from pocketref.rulings.boxes import contains
from pocketref.rulings.table import Row, Table
from pocketref.source.play_models import PlayModel, SituationModel
from pocketref.source.ruling_models import SubjectModel

STORY = "Computed from the table: only what was seen is told."


def compute_plays(books: RuleBooks, subject: str, code: str, rows: Iterable[int]) -> tuple[CasePlay, ...]:
    """A play for each of the rows (from 1): the likeliest answers that meet it, with empty bases and no count yet.

    Its facts are all that it tells, so that they are what a sheet prints.
    """
    model = books.library.subjects[subject]
    table = books.rules(subject, code).table
    cases = []
    for number in rows:
        row = table.rows[number - 1]
        play = PlayModel(
            title=f"{model.title}, row {number}",
            situation=SituationModel(runners=(), outs=0, count="0-0"),
            story=STORY,
            facts=_likeliest_answers(table, row, model),
            expect={code: row.outcome},
        )
        cases.append(CasePlay(f"computed/{code}-{subject}-{number}", subject, play, is_computed=True))
    return tuple(cases)


def _likeliest_answers(table: Table, row: Row, subject: SubjectModel) -> dict[str, str]:
    """An answer to every fact that the row asks: the weightiest that can still happen, else the author's first."""
    answers: dict[str, str] = {}
    for fact in table.facts:
        if fact.name not in row.when:
            continue
        weights = subject.facts[fact.name].weights
        allowed = [answer for answer in fact.answers if answer in row.when[fact.name]]
        for answer in sorted(allowed, key=lambda answer: -weights.get(answer, 1)):
            box = table.space.box({name: (given,) for name, given in {**answers, fact.name: answer}.items()})
            if not any(contains(never, box) for never in table.never_boxes):
                answers[fact.name] = answer
                break
    return answers
