"""Answers marked by the key: scores, what each play showed, chapters, and the rows that were missed."""

from __future__ import annotations

from collections import Counter
from collections.abc import Iterable, Mapping, Sequence
from dataclasses import dataclass, replace

from pocketref.layouts.play_sheets import PlaySheet
from pocketref.marks.answers import AnswerRow, Intake
from pocketref.marks.item_analysis import (
    ItemFigures,
    Share,
    SheetFigures,
    add_shares,
    analyse_items,
    find_cuts,
)
from pocketref.marks.misreadings import (
    Betrayal,
    Place,
    Tally,
    explain_choices,
    list_betrayals,
)
from pocketref.members.roster import Member
from pocketref.plays.choices import LETTERS, AskedPlay
from pocketref.plays.plays import Row, RuleBooks
from pocketref.problems import ProblemLog
from pocketref.words.collation import find_sort_key
from pocketref.words.terminal import tell

TAUGHT = 0.75
"""A row is missed if fewer than this share have its plays right: above it, a teachers' handout on item analysis
(Scribd 299313306) calls an item easy. That a row below it is taught again is our proposal."""


@dataclass(frozen=True, slots=True)
class MarkedPlay:
    """A play of a sheet: its figures, how many took each letter ("" for none), and its wrong choices."""

    question: AskedPlay
    number: int
    row: Row
    figures: ItemFigures
    counts: Mapping[str, int]
    upper_counts: Mapping[str, int]
    """The same of those with the highest scores."""
    betrayals: Mapping[str, Betrayal]
    """What each wrong choice that was taken betrays, by its letter; none of one that nothing explains."""

    @property
    def wrong(self) -> tuple[str, ...]:
        """The wrong letters that were taken, the most taken first."""
        taken = [letter for letter in LETTERS if self.counts.get(letter) and letter != self.question.letter]
        return tuple(sorted(taken, key=lambda letter: -self.counts[letter]))


@dataclass(frozen=True, slots=True)
class MarkedSheet:
    """A sheet, the answers to it in the order they came, how many each has right, and what the plays showed."""

    sheet: PlaySheet
    answers: tuple[AnswerRow, ...]
    right: tuple[int, ...]
    figures: SheetFigures
    plays: tuple[MarkedPlay, ...]


@dataclass(frozen=True, slots=True)
class MemberMark:
    """What a member has right of each sheet, and of all."""

    name: str
    number: str
    chapter: str
    sheets: Mapping[str, Share]

    @property
    def right(self) -> Share:
        """Of all sheets together."""
        return add_shares(self.sheets.values())

    @property
    def shown(self) -> str:
        """Name and number, or what of these is known."""
        return ", ".join(filter(None, (self.name, self.number)))


@dataclass(frozen=True, slots=True)
class RowMark:
    """How many answers to the plays that meet a row are right."""

    row: Row
    right: Share

    @property
    def is_missed(self) -> bool:
        """Whether it is to be taught again."""
        return self.right.value < TAUGHT


@dataclass(frozen=True, slots=True)
class Marks:
    """All that the answers say."""

    books: RuleBooks
    sheets: tuple[MarkedSheet, ...]
    members: tuple[MemberMark, ...]
    chapters: Mapping[str, tuple[int, Share]]
    """How many members each has, and what these have right; "" for those whose chapter is not known."""
    misread: tuple[Tally, ...]
    rows: tuple[RowMark, ...]
    """The rows that the plays meet, the most missed first."""
    unmarked: int
    empty: int
    silent: tuple[Member, ...]
    """Who is on the roster and handed in nothing."""


def mark_answers(
    intake: Intake, sheets: Sequence[PlaySheet], books: RuleBooks, roster: Sequence[Member] = ()
) -> Marks:
    """Mark what came in; a second answer to a sheet by the same member is told in the intake, and not marked."""
    rows = _find_members(intake.rows, roster, intake.problems)
    kept = _drop_repeats(rows, intake)
    answered = [sheet for sheet in sheets if any(row.sheet == sheet.name for row in kept)]
    mine = {sheet.name: tuple(row for row in kept if row.sheet == sheet.name) for sheet in answered}
    told, misread = _explain(answered, mine, books)
    marked = tuple(_mark_sheet(sheet, mine[sheet.name], told, books) for sheet in answered)
    members = _gather_members(marked)
    here = {member.number for member in members}
    silent = {member.number: member for member in roster if member.number not in here}
    return Marks(
        books,
        marked,
        members,
        _gather_chapters(members),
        misread,
        _gather_rows(marked),
        intake.faulty,
        intake.empty,
        tuple(silent.values()),
    )


def _find_members(
    rows: Sequence[AnswerRow], roster: Sequence[Member], problems: ProblemLog
) -> list[AnswerRow]:
    """The rows with name, number and chapter as the roster has them; who is not on it is told, and stays as written."""
    by_number = {member.number: member for member in roster}
    by_name: dict[str, list[Member]] = {}
    for owner in by_number.values():
        by_name.setdefault(owner.name.casefold(), []).append(owner)
    found = []
    for row in rows:
        namesakes = by_name.get(row.name.casefold(), [])
        member = by_number.get(row.number) if row.number else namesakes[0] if len(namesakes) == 1 else None
        if roster and member is None:
            if row.number:
                sentence = tell("the number {number} is not on the roster", number=row.number)
            elif not namesakes:
                sentence = tell("{name} is not on the roster", name=row.name)
            else:
                sentence = tell(
                    "{name} is on the roster {count} times, with different numbers",
                    name=row.name,
                    count=len(namesakes),
                )
            hint = tell("the answers are marked as they stand; mend the number, or the roster")
            problems.warn("answers-roster", sentence, hint, row.where)
        elif member and row.name and row.name.casefold() != member.name.casefold():
            sentence = tell(
                "{name} has the number {number}, which is {name2}'s on the roster",
                name=row.name,
                number=row.number,
                name2=member.name,
            )
            problems.warn(
                "answers-roster", sentence, tell("marked for the number's owner; mend one"), row.where
            )
        found.append(
            replace(row, name=member.name, number=member.number, chapter=member.chapter) if member else row
        )
    return found


def _drop_repeats(rows: Sequence[AnswerRow], intake: Intake) -> list[AnswerRow]:
    """The first answers of each member to each sheet; others are told, but for those that say the same."""
    first: dict[tuple[str, str], AnswerRow] = {}
    for row in rows:
        known = first.setdefault((identify(row), row.sheet), row)
        if known is row:
            continue
        who = row.name or row.number
        said = {"who": who, "sheet": row.sheet, "where": known.where}
        if known.letters == row.letters:
            sentence = tell("{who} has answered '{sheet}' already, at {where}, alike", **said)
            intake.problems.warn("answers-repeated", sentence, tell("it is marked once"), row.where)
        else:
            sentence = tell("{who} has answered '{sheet}' already, at {where}", **said)
            hint = tell(
                "the first is marked, this one not: take one out, or give each member a number of their own"
            )
            intake.problems.error("answers-repeated", sentence, hint, row.where)
            intake.faulty += 1
    return list(first.values())


def identify(row: AnswerRow) -> str:
    """What tells a member from the others: the number, else the name however its letters are written."""
    return row.number.casefold() or f"name {row.name.casefold()}"


def _explain(
    sheets: Sequence[PlaySheet], rows: Mapping[str, Sequence[AnswerRow]], books: RuleBooks
) -> tuple[dict[Place, Betrayal], tuple[Tally, ...]]:
    """What the wrong choices of all sheets betray."""
    found: dict[Place, Sequence[Betrayal]] = {}
    taken: dict[Place, Share] = {}
    for sheet in sheets:
        for index, question in enumerate(sheet.questions):
            letters = Counter(row.letters[index] for row in rows[sheet.name])
            for letter, betrayals in zip(LETTERS, list_betrayals(books, question), strict=False):
                place = (sheet.name, index + 1, letter)
                if letter != question.letter:
                    found[place] = betrayals
                    taken[place] = Share(letters[letter], letters.total() - letters[""])
    return explain_choices(found, taken)


def _mark_sheet(
    sheet: PlaySheet, rows: tuple[AnswerRow, ...], told: Mapping[Place, Betrayal], books: RuleBooks
) -> MarkedSheet:
    key = [question.letter for question in sheet.questions]
    table = [[given == right for given, right in zip(row.letters, key, strict=True)] for row in rows]
    figures = analyse_items(table)
    totals = tuple(sum(row) for row in table)
    highest, _ = find_cuts(totals)
    plays = []
    for index, (question, found) in enumerate(zip(sheet.questions, figures.items, strict=True)):
        places = {letter: (sheet.name, index + 1, letter) for letter in LETTERS}
        betrayals = {letter: told[place] for letter, place in places.items() if place in told}
        counts = Counter(row.letters[index] for row in rows)
        upper = Counter(
            row.letters[index] for row, total in zip(rows, totals, strict=True) if total >= highest
        )
        plays.append(MarkedPlay(question, index + 1, question.ruled.row, found, counts, upper, betrayals))
    return MarkedSheet(sheet, rows, totals, figures, tuple(plays))


def _gather_members(sheets: Iterable[MarkedSheet]) -> tuple[MemberMark, ...]:
    """Each member's marks, in the order of their names."""
    found: dict[str, MemberMark] = {}
    for sheet in sheets:
        for row, right in zip(sheet.answers, sheet.right, strict=True):
            known = found.get(identify(row), MemberMark(row.name, row.number, row.chapter, {}))
            shares = {**known.sheets, sheet.sheet.name: Share(right, len(row.letters))}
            found[identify(row)] = replace(known, sheets=shares, chapter=known.chapter or row.chapter)
    return tuple(sorted(found.values(), key=lambda member: (find_sort_key(member.name), member.number)))


def _gather_chapters(members: Sequence[MemberMark]) -> dict[str, tuple[int, Share]]:
    names = sorted({member.chapter for member in members}, key=find_sort_key)
    groups = {name: [member for member in members if member.chapter == name] for name in names}
    return {name: (len(own), add_shares(member.right for member in own)) for name, own in groups.items()}


def _gather_rows(sheets: Iterable[MarkedSheet]) -> tuple[RowMark, ...]:
    shares: dict[Row, list[Share]] = {}
    for sheet in sheets:
        for play in sheet.plays:
            shares.setdefault(play.row, []).append(play.figures.right)
    marks = [RowMark(row, add_shares(own)) for row, own in shares.items()]
    return tuple(sorted(marks, key=lambda mark: mark.right.value))
