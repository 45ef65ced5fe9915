"""Next week's sheet: the fewest plays not used yet that exercise the rows that a class missed."""

from __future__ import annotations

from collections import Counter
from collections.abc import Collection, Mapping, Sequence
from dataclasses import dataclass
from pathlib import Path

from pocketref.marks.mark_files import read_layout_name, write_file
from pocketref.marks.mark_text import find_headline, write_row
from pocketref.marks.marking import Marks, RowMark
from pocketref.marks.misreadings import Misreading, find_betrayals
from pocketref.marks.training_sheets import Training
from pocketref.plays.choices import find_choices
from pocketref.plays.computed_plays import name_computed
from pocketref.plays.plays import Row, RuleBooks, RuledPlay
from pocketref.problems import refusal
from pocketref.source.play_models import MOST_PLAYS, PlaySheetModel
from pocketref.words.terminal import tell, tell_count, tell_list


@dataclass(frozen=True, slots=True)
class NextSheet:
    """The plays to ask, each with the row that it is asked for, in the order of the rows missed most."""

    model: PlaySheetModel
    """A layout of the sheets that were marked: its paper, code and level are the next one's too."""
    plays: tuple[tuple[str, RowMark], ...]
    left: tuple[RowMark, ...]
    """Rows missed that there is no play left for, or no room."""


def choose_next_sheet(training: Training, marks: Marks, used: Collection[str] = ()) -> NextSheet:
    """The fewest plays for the rows missed; no play of a marked sheet or its series, or of the `used` sheets.

    Of plays that meet a row, one comes first in which what was misread there shows again. A row
    whose plays are all used is asked by its computed play. PocketrefError: "next-nothing" if no row is missed or
    no play is left, "next-codes" if the sheets ask by several codes, "sheet-unknown".
    """
    models = [sheet.sheet.model for sheet in marks.sheets]
    codes = sorted({model.code for model in models})
    missed = [mark for mark in marks.rows if mark.is_missed]
    if len(codes) > 1:
        sentence = tell("the answers are to sheets by {codes}", codes=tell_list(codes))
        raise refusal(
            "next-codes", sentence, tell("a sheet asks by one code: give the answers to those of one code")
        )
    if not missed:
        raise refusal(
            "next-nothing",
            tell("no row was missed by the class"),
            tell("ask other plays: there is nothing to repeat"),
        )
    taken = training.list_used([*(model.sheet for model in models), *used])
    pool = _list_pool(training, marks, taken)
    names: dict[Row, str] = {}
    for row, name in pool:  # a play meets one row of its code, so that one play a row is the fewest
        names.setdefault(row, name)
    asked = [(names[mark.row], mark) for mark in missed if mark.row in names][:MOST_PLAYS]
    if not asked:
        sentence = tell("no play is left for the rows that were missed")
        raise refusal("next-nothing", sentence, tell("write new plays for them under plays/ of the content"))
    left = [mark for mark in missed if mark.row not in {mark.row for _, mark in asked}]
    return NextSheet(models[-1], tuple(asked), tuple(left))


def _list_pool(training: Training, marks: Marks, taken: Collection[str]) -> list[tuple[Row, str]]:
    """Plays that may be asked, by the row that each meets, those to be preferred first."""
    missed = {mark.row for mark in marks.rows if mark.is_missed}
    misread = _count_misread(marks)
    found = [play for play in training.ruled if play.row in missed and play.case.name not in taken]
    found.sort(key=lambda play: -_weigh(play, misread[play.row], training.books))
    pool = [(play.row, play.case.name) for play in found]
    computed = ((row, name_computed(row[1], row[0], row[2])) for row in sorted(missed))
    return [*pool, *((row, name) for row, name in computed if name not in taken)]


def _count_misread(marks: Marks) -> Mapping[Row, Counter[Misreading]]:
    """For each row, how many of its wrong answers each misreading explains."""
    misread: dict[Row, Counter[Misreading]] = {}
    for play in (play for sheet in marks.sheets for play in sheet.plays):
        known = misread.setdefault(play.row, Counter())
        for letter, betrayal in play.betrayals.items():
            known[betrayal.misreading] += play.counts[letter]
    return misread


def _weigh(play: RuledPlay, misread: Counter[Misreading], books: RuleBooks) -> int:
    """How many of a row's wrong answers were misreadings that show in this play too."""
    _, *wrong = find_choices(books, play)
    shown = {each.misreading for choice in wrong for each in find_betrayals(books, play, choice)}
    return sum(count for misreading, count in misread.items() if misreading in shown)


def write_next_layout(training: Training, marks: Marks, used: Collection[str], path: Path) -> str:
    """Write next week's sheet as a new layout, named as its file; what it asks and what it can't, in a sentence or two.

    PocketrefError as `choose_next_sheet`, "layout-place", "file-exists", "file-unwritable".
    """
    name = read_layout_name(path)
    found = choose_next_sheet(training, marks, used)
    write_file(path, write_next_sheet(found, marks, name).encode())
    said = tell_count(
        len(found.plays),
        "next: {count} play for {count} row missed.",
        "next: {count} plays for {count} rows missed.",
    )
    rows = "; ".join(write_row(training.books, mark.row) for mark in found.left)
    return f"{said} {tell('No play is left for: {rows}.', rows=rows)}" if rows else said


def write_next_sheet(found: NextSheet, marks: Marks, name: str) -> str:
    """The sheet as a layout, a line a play that says why it is asked."""
    sheets = ", ".join(sheet.sheet.name for sheet in marks.sheets)
    lines = [
        f"# The rows that were missed on {sheets}: for each play its row, and how many had that right.",
        *write_layout_head(found.model, name, "Case plays: what was missed"),
        "cases:",
    ]
    for play, mark in found.plays:
        _, subject, number = mark.row
        lines.append(
            f"  - {play}  # {subject}, row {number}, {find_headline(marks.books, mark.row)}: {mark.right}"
        )
    return "\n".join(lines) + "\n"


def write_layout_head(model: PlaySheetModel, name: str, title: str) -> Sequence[str]:
    """The lines of a training sheet's layout that a new one shares with another."""
    return (
        f"sheet: {name}",
        f'title: "{title}"',
        f"stock: {model.stock}",
        f"code: {model.code}",
        f"level: {model.level}",
    )
