"""Where codes differ on a subject: the plays they rule differently, merged to few rows, computed exactly."""

from __future__ import annotations

from collections.abc import Hashable, Sequence

from pocketref.pages.table_blocks import Cell, Column, TableBlock
from pocketref.rulings.boxes import Combination
from pocketref.rulings.construct import construct_table
from pocketref.rulings.contrast import contrast_many
from pocketref.rulings.table import Table
from pocketref.source.library import Library
from pocketref.source.ruling_models import RulingModel


def build_difference_table(library: Library, subject: str, codes: Sequence[str], home: str) -> TableBlock:
    """One row a group of plays, one column a code; what differs from the `home` code is bold."""
    tables = {
        code: construct_table(library.subjects[subject], library.rulings[code, subject]) for code in codes
    }

    def sign(code: str, outcome: str) -> Hashable:
        return sign_effect(library.rulings[code, subject].rulings[outcome])

    rows = []
    for found in contrast_many(tables, sign):
        cells = [Cell(describe_play(found.when, tables[codes[0]]))]
        at_home = found.outcomes.get(home, "")
        for code in codes:
            outcome = found.outcomes[code]
            words = _write_ruling(library, code, subject, outcome)
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


def _write_ruling(library: Library, code: str, subject: str, outcome: str) -> str:
    """A ruling in a few words: its headline up to the colon, and the ball."""
    model = library.rulings[code, subject]
    if any(row.unsettled for row in model.rows if row.ruling == outcome):
        return "check league"
    ruling = model.rulings[outcome]
    return f"{ruling.headline.split(':')[0]}, {ruling.ball}"


def describe_play(when: Combination, table: Table) -> str:
    """A combination in print: each fact's answers by their labels."""
    parts = []
    for name, answers in when.allowed:
        fact = table.fact_by_name[name]
        parts.append(" or ".join(fact.labels[fact.answers.index(answer)] for answer in answers))
    return "; ".join(parts) or "any play"
