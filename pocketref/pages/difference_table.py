"""Where codes differ on a subject: the plays they rule differently, merged to few rows, computed exactly."""

from __future__ import annotations

from collections.abc import Hashable, Sequence

from pocketref.pages.table_blocks import Cell, Column, TableBlock
from pocketref.rulings.boxes import Combination
from pocketref.rulings.construct import construct_table
from pocketref.rulings.contrast import contrast_many
from pocketref.source.library import Library
from pocketref.source.ruling_models import RulingModel, SubjectModel


def build_difference_table(library: Library, subject: str, codes: Sequence[str], home: str) -> TableBlock:
    """One row a group of plays, one column a code; what differs from the `home` code is bold."""
    tables = {
        code: construct_table(library.subjects[subject], library.rulings[code, subject]) for code in codes
    }

    def sign(code: str, outcome: str) -> Hashable:
        return sign_effect(library.rulings[code, subject].rulings[outcome])

    def is_open(code: str, outcome: str) -> bool:
        return any(r.unsettled for r in library.rulings[code, subject].rows if r.ruling == outcome)

    rows = []
    for found in contrast_many(tables, sign, is_open):
        cells = [Cell(describe_play(found.when, library.subjects[subject]))]
        at_home = found.outcomes.get(home, "")
        for code in codes:
            outcome = found.outcomes[code]
            words = (
                "check league" if is_open(code, outcome) else write_ruling(library, code, subject, outcome)
            )
            is_other = bool(at_home) and sign(code, outcome) != sign(home, at_home)
            cells.append(Cell(f"*{words}*" if is_other else words))
        rows.append(tuple(cells))
    title = library.subjects[subject].title
    columns = (Column(title, flex=True), *(Column(library.codes[code].mark, width_mm=19.5) for code in codes))
    return TableBlock(f"differences {subject}", columns, tuple(rows), row_pad_mm=0.35)


def sign_effect(ruling: RulingModel) -> Hashable:
    """What a ruling comes to: equal for rulings of different codes that are the same in effect."""
    return ruling.ball, _lead(ruling.batter), _lead(ruling.runners)


def _lead(phrase: str) -> str:
    return phrase.replace(";", ",").split(",")[0].strip().lower()


def write_ruling(library: Library, code: str, subject: str, outcome: str) -> str:
    """A ruling in a few words: its headline up to the colon, and the ball."""
    ruling = library.rulings[code, subject].rulings[outcome]
    return f"{ruling.headline.split(':')[0]}, {ruling.ball}"


def describe_play(when: Combination, subject: SubjectModel) -> str:
    """A combination in print: each fact's answers as briefly as the subject says them."""
    parts = []
    for name, answers in when.allowed:
        fact = subject.facts[name]
        words = [fact.brief.get(answer) or fact.answers[answer] for answer in answers]
        parts += [" or ".join(word for word in words if word != "-")] if any(w != "-" for w in words) else []
    sentence = "; ".join(parts) or "any play"
    return sentence[0].upper() + sentence[1:]
