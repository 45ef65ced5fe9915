"""The training sheets of an edition: plays judged, sheets and keys laid out, and what the plays exercise."""

from __future__ import annotations

from collections.abc import Iterator, Sequence
from dataclasses import dataclass
from functools import cached_property
from pathlib import Path

from pocketref.layouts.answer_sheets import lay_out_answers
from pocketref.layouts.cards import LaidOut
from pocketref.layouts.layout_library import Layouts
from pocketref.layouts.play_layouts import read_play_sheets
from pocketref.layouts.play_sheets import PlaySheet, check_fit, lay_out_key, lay_out_questions
from pocketref.plays.choices import ask_plays
from pocketref.plays.play_coverage import PlayCoverage, TableCoverage, measure_coverage
from pocketref.plays.play_selection import fits_sheet, select_plays
from pocketref.plays.plays import CasePlay, RuleBooks, RuledPlay, list_plays, rule_on_all, rule_on_play
from pocketref.problems import PocketrefError, ProblemLog
from pocketref.source.library import Library
from pocketref.source.play_models import PlaySheetModel
from pocketref.words.speech import say
from pocketref.words.terminal import tell, tell_list


@dataclass(frozen=True)
class PlayProof:
    """Plays that passed: how many, as ruled on by each code, and the sheets to lay out."""

    plays: int
    ruled: tuple[RuledPlay, ...]
    sheets: tuple[PlaySheet, ...]
    books: RuleBooks
    unasked: tuple[str, ...] = ()
    """Plays that no sheet asks, of those ruled on by a code that has sheets."""

    @cached_property
    def coverage(self) -> PlayCoverage:
        """What the plays exercise; measured when it is asked for, as publishing does not need it."""
        return measure_coverage(self.books, self.ruled) if self.ruled else PlayCoverage((), ())


def prove_plays(
    library: Library,
    layouts: Layouts,
    folder: Path,
    problems: ProblemLog,
    models: Sequence[PlaySheetModel] | None = None,
) -> PlayProof:
    """Rule on every play, and choose the plays of every training sheet of the layouts folder; what is wrong is noted.

    A sheet's plays all fit their columns, so that laying the sheet out cannot fail. The sheets' `models` are read
    from the folder if not given.
    """
    models = read_play_sheets(folder, library, layouts) if models is None else models
    books = RuleBooks(library)
    cases = list_plays(library)
    before = len(problems.errors)
    ruled = rule_on_all(books, cases, problems)
    sheets: list[PlaySheet] = []
    for model in models if len(problems.errors) == before else ():
        try:
            sheets += make_sheets(model, books, cases, ruled)
        except PocketrefError as error:
            problems.extend(error.problems)
    too_large = {p.where: p for sheet in sheets for p in check_fit(sheet, books, layouts)}
    problems.extend(too_large.values())
    asked = {each.ruled.case.name for sheet in sheets for each in sheet.questions}
    codes = {model.code for model in models}
    unasked = [case for case in cases if codes & set(case.model.expect) and case.name not in asked]
    tags = ", ".join(sorted({tag for model in models for tag in model.tags}))
    for case in unasked:
        if not any(fits_sheet(model, case) for model in models):
            hint = tell(
                "name it in a sheet of {name}/plays: 'cases: [{name2}]'", name=folder.name, name2=case.name
            )
            hint = (
                tell("give it a tag that a sheet asks for ({tags}), or {hint}", tags=tags, hint=hint)
                if tags
                else hint
            )
            sentence = tell("no training sheet asks for '{name}'", name=case.name)
            problems.warn("play-unasked", sentence, hint, case.model.location)
    return PlayProof(len(cases), tuple(ruled), tuple(sheets), books, tuple(case.name for case in unasked))


def lay_out_plays(proof: PlayProof, layouts: Layouts) -> Iterator[LaidOut]:
    """Each training sheet followed by its answer sheet and its key, named as its file is to be."""
    for sheet in proof.sheets:
        yield lay_out_questions(sheet, proof.books, layouts)
        yield lay_out_answers(sheet, proof.books.library, layouts)
        yield lay_out_key(sheet, proof.books, layouts)


def make_sheets(
    model: PlaySheetModel, books: RuleBooks, cases: Sequence[CasePlay], ruled: Sequence[RuledPlay]
) -> Iterator[PlaySheet]:
    """The one sheet that a layout asks for, or each of its series."""
    selected = select_plays(model, cases, ruled, books)
    known = {(each.case.name, each.code): each for each in ruled}
    for week, chosen in enumerate(selected, start=1):
        plays = [_rule_again(books, case, model, known.get((case.name, model.code))) for case in chosen]
        name = f"{model.sheet}-{week:02d}" if model.is_series else model.sheet
        series = say("{title}, {week} of {weeks}", title=model.title, week=week, weeks=len(selected))
        title = series if model.is_series else model.title
        yield PlaySheet(model, name, title, ask_plays(books, plays))


def _rule_again(
    books: RuleBooks, case: CasePlay, model: PlaySheetModel, known: RuledPlay | None
) -> RuledPlay:
    """The play on the sheet's own field; as it is known if nothing is drawn on it, or it is the code's first."""
    if known and (known.scene.is_empty or books.plan(model.code, model.level) is books.plan(model.code)):
        return known
    return rule_on_play(books, case, model.code, model.level)


def write_coverage(proof: PlayProof) -> list[str]:
    """What the plays exercise, a line a table and a subject, each followed by what they leave out."""
    lines = []
    for table in proof.coverage.tables:
        lines += [_write_table(table), *(f"    {each}" for each in _list_missing(table))]
    for found in proof.coverage.differences:
        met = found.total - len(found.unmet)
        said = {"subject": found.subject, "met": met, "total": found.total}
        lines.append(tell("{subject}: plays stand for {met} of {total} differences between codes", **said))
        lines += [f"    {tell('no play stands for: {when}', when=when)}" for when in found.unmet]
    if proof.unasked:
        line = tell(
            "on no training sheet: {plays}; a sheet asks for plays by name with 'cases: [{play}, ...]'",
            plays=", ".join(proof.unasked),
            play=proof.unasked[0],
        )
        lines.append(line)
    return lines


def _write_table(table: TableCoverage) -> str:
    changes = table.mutations
    ways, rows = table.ways - len(table.unwalked), table.rows - len(table.unmet_rows)
    said = {
        "subject": table.subject,
        "code": table.code,
        "plays": table.plays,
        "met": rows,
        "rows": table.rows,
    }
    said |= {"gone": ways, "ways": table.ways}
    if not changes.measured:
        return tell(
            "{subject}, {code}: plays: {plays}; they meet {met} of {rows} rows, go {gone} of {ways} ways through "
            "the chart, changes not tried: too many facts",
            **said,
        )
    return tell(
        "{subject}, {code}: plays: {plays}; they meet {met} of {rows} rows, go {gone} of {ways} ways through the "
        "chart, notice {caught} of {changes} changes, {share:.0%}",
        caught=changes.caught,
        changes=changes.total,
        share=changes.share,
        **said,
    )


def _list_missing(table: TableCoverage) -> list[str]:
    """Rows, ways and changes that no play exercises; a row that none meets says the rest."""
    lines = [tell("no play meets row {number}", number=number) for number in table.unmet_rows]
    for way in table.unwalked:
        asked = ", ".join(f"{fact} = {tell_list(answers, is_or=True)}" for fact, answers in way)
        lines.append(tell("no play goes {asked}", asked=asked))
    for each in table.mutations.missed:
        change = {"row": each.row, "words": each.words}
        if each.row in table.unmet_rows:
            line = tell("row {row} {words}: no play meets the row", **change)
        else:
            line = tell("row {row} {words}: no play tells the difference", **change)
        lines.append(line + (f" ({each.where})" if each.where else ""))
    return lines


def summarize_plays(proof: PlayProof) -> str:
    """All plays in a line: what they meet and notice, and how many no training sheet asks; empty without plays."""
    if not proof.plays:
        return ""
    tables, differences = proof.coverage.tables, proof.coverage.differences
    rows, met = sum(t.rows for t in tables), sum(t.rows - len(t.unmet_rows) for t in tables)
    changes, caught = sum(t.mutations.total for t in tables), sum(t.mutations.caught for t in tables)
    total, left = sum(each.total for each in differences), sum(len(each.unmet) for each in differences)
    said = tell(
        "{plays} plays, {rulings} rulings as expected; they meet {met} of {rows} rows, notice {caught} of {changes} "
        "single changes of the tables and stand for {told} of {total} differences between codes",
        plays=proof.plays,
        rulings=len(proof.ruled),
        met=met,
        rows=rows,
        caught=caught,
        changes=changes,
        told=total - left,
        total=total,
    )
    sheets = tell("training sheets: {count}", count=len(proof.sheets))
    unasked = [tell("plays on none of them: {count}", count=len(proof.unasked))] if proof.unasked else []
    return "; ".join((said, sheets, *unasked, tell("--plays says more.")))
