"""Where codes differ on a subject: the plays they rule differently, merged to few rows, computed exactly."""

from __future__ import annotations

import re
from collections.abc import Hashable, Iterable, Iterator, Sequence
from typing import Literal

from pydantic import Field

from pocketref.blocks.model import MOST_ENTRIES, BlockModel, Cited, Subject, TableCodes
from pocketref.blocks.setting import Setting
from pocketref.pages.blocks import Block, Paragraphs
from pocketref.pages.table_blocks import Cell, Column, TableBlock
from pocketref.problems import PocketrefError, ProblemLog, Severity
from pocketref.rulings.audit import audit_table, list_problems
from pocketref.rulings.boxes import Combination, intersect, is_covered
from pocketref.rulings.construct import construct_table
from pocketref.rulings.contrast import contrast_many
from pocketref.rulings.effects import sign_effect
from pocketref.rulings.table import Table, read_ending
from pocketref.source.library import Library
from pocketref.source.ruling_models import UNSAID, RowModel, SubjectModel, TableModel
from pocketref.words.speech import find_language, join_answers, say
from pocketref.words.terminal import tell


class DifferencesBlockModel(BlockModel):
    """The plays of a subject that codes rule differently, as a table."""

    block: Literal["differences"]
    subject: Subject = Field(description="the subject whose tables are compared")
    codes: TableCodes = Field(
        default=(),
        max_length=MOST_ENTRIES,
        description="codes to compare, a list; the card's own and those in force that rule on it have columns anyway",
    )

    def check(self, code: str, library: Library, problems: ProblemLog) -> None:
        """As every block; and there must be something to compare."""
        super().check(code, library, problems)
        shown = self.list_columns(code, library)
        if self.subject in library.subjects and len(shown) < 2:
            sentence = tell(
                "one code at most would be compared on {subject}: {codes}",
                subject=self.subject,
                codes=", ".join(shown) or tell("none"),
            )
            hint = tell("list others to compare it with: 'codes: [...]'")
            problems.error("codes-few", sentence, hint, self.locate("codes"))

    def list_columns(self, code: str, library: Library) -> tuple[str, ...]:
        """The codes compared on a face of `code`: those listed, then its own and those in force that rule on it."""
        others = (each for each in (code, *library.edition.codes) if (each, self.subject) in library.rulings)
        return tuple(dict.fromkeys((*self.codes, *others)))

    def list_cited(self, setting: Setting) -> Iterator[Cited]:
        """The rows of each code's table."""
        for code in self.list_columns(setting.code, setting.library):
            yield from setting.find_table(self.subject, code).rows

    def build(self, setting: Setting) -> Block:
        """A row a group of plays, a column a code; where they rule alike, a line that says so."""
        setting.find_subject(self.subject)
        codes = self.list_columns(setting.code, setting.library)
        for code in codes:
            setting.find_table(self.subject, code)
        table = build_difference_table(setting.library, self.subject, codes, setting.code)
        if table.rows:
            return table
        marks = ", ".join(setting.library.codes[code].mark for code in codes)
        title = setting.find_subject(self.subject).title
        alike = say("*{subject}:* {codes} rule every play alike in effect.", subject=title, codes=marks)
        return Paragraphs(table.label, (alike,))


def build_difference_table(library: Library, subject: str, codes: Sequence[str], home: str) -> TableBlock:
    """One row a group of plays, one column a code; what differs from the `home` code is bold.

    Raises PocketrefError ("table-gap", "table-overlap", "row-dead", each at its place) for tables at fault.
    """
    tables = {
        code: construct_table(library.subjects[subject], library.rulings[code, subject]) for code in codes
    }
    _refuse_faulty(tables.values())

    rulings = {code: library.rulings[code, subject].rulings for code in codes}

    def sign(code: str, outcome: str) -> Hashable:
        return sign_effect(rulings[code][outcome]) if outcome else ""

    rows = []
    for found in contrast_many(tables, sign):
        cells = [Cell(write_play(found.when, library.subjects[subject]))]
        endings = {code: read_ending(ending) for code, ending in found.outcomes.items()}
        signs = {code: (is_open, sign(code, outcome)) for code, (outcome, is_open) in endings.items()}
        for code, (outcome, is_open) in endings.items():
            met = _list_met(found.when, tables[code], library.rulings[code, subject])
            words = (
                say("check league") if is_open else say("can't happen")
            )  # which says enough, in doubt or not
            if outcome and not is_open:
                words = write_ruling(library, code, subject, outcome) + library.mark_doubt(*met)
            cells.append(Cell(f"*{words}*" if signs[code] != signs.get(home, signs[code]) else words))
        rows.append(tuple(cells))
    title = library.subjects[subject].title
    columns = (Column(title, flex=True), *(Column(library.codes[code].mark, width_mm=21.4) for code in codes))
    label = say("differences {subject}", subject=title if find_language() else subject)
    return TableBlock(label, columns, tuple(rows), row_pad_mm=0.35, most_stretch_mm=3.0)


def _list_met(when: Combination, table: Table, model: TableModel) -> Iterator[RowModel]:
    """The rows that some play of a combination may meet; facts and answers that the table has not are let pass."""
    known = {
        fact: [a for a in answers if a in table.fact_by_name[fact].answers] for fact, answers in when.allowed
    }
    region = table.space.box(known)
    for row, box in zip(model.rows, table.row_boxes, strict=True):
        if not is_covered(intersect(box, region), table.never_boxes):
            yield row


def _refuse_faulty(tables: Iterable[Table]) -> None:
    problems = [problem for table in tables for problem in list_problems(audit_table(table))]
    if errors := [problem for problem in problems if problem.severity is Severity.ERROR]:
        raise PocketrefError(errors)


def write_ruling(library: Library, code: str, subject: str, outcome: str) -> str:
    """A ruling in a few words: its headline up to the colon, and the ball if that does not say it."""
    ruling = library.rulings[code, subject].rulings[outcome]
    words = ruling.headline.split(":")[0]
    ball = say(ruling.ball)
    return words if re.match(rf"{ball}\b", words, re.IGNORECASE) else f"{words}, {ball}"


def write_play(when: Combination, subject: SubjectModel) -> str:
    """A combination as a sentence of print, each fact's answers as briefly as the subject says them."""
    words = write_combination(when, subject)
    return words[0].upper() + words[1:]


def write_combination(when: Combination, *subjects: SubjectModel) -> str:
    """A combination in a few words; of several versions of a subject, the first that knows an answer words it.

    What an answer leaves unsaid ("-") is left out, and what the answer to another fact tells too, as that is
    asked only after it; all is said in full if nothing would be left.
    """
    facts = {name: [each.facts[name] for each in subjects if name in each.facts] for name, _ in when.allowed}
    told = {item for known in facts.values() for item in known[0].only_after.items()}
    brief, full = [], []
    for name, answers in when.allowed:
        known = [next(fact for fact in facts[name] if answer in fact.answers) for answer in answers]
        pairs = list(zip(known, answers, strict=True))
        full.append(join_answers(fact.answers[answer] for fact, answer in pairs))
        words = [fact.brief.get(answer) or fact.answers[answer] for fact, answer in pairs]
        said = [each for each in words if each != UNSAID]
        if said and not (len(answers) == 1 and (name, answers[0]) in told):
            brief.append(join_answers(said))
    return "; ".join(brief or full) or say("any play")
