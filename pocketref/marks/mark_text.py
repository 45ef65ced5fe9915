"""What a class's answers showed, as text: plays, what was misread, chapters, members."""

from __future__ import annotations

import re
from collections.abc import Iterable, Sequence
from itertools import groupby

from pocketref.marks.item_analysis import Share
from pocketref.marks.marking import MarkedPlay, MarkedSheet, Marks
from pocketref.marks.misreadings import write_misreading
from pocketref.plays.choices import LETTERS
from pocketref.plays.plays import Row, RuleBooks
from pocketref.words.terminal import tell, tell_count

SAMPLE = (
    "A class is a small sample: read the counts. r is the correlation of a play with the score of the "
    "others; 100 to 200 answers are often named as the least for it. Highest and lowest: the 27 % of the class with "
    "the most and with the fewest right, ties included."
)
"""The number of answers is from a university's assessment handbook (BYU, Assessment Basics)."""
_BOLD = re.compile(r"\*([^*\n]+)\*")


def write_marks(marks: Marks) -> str:
    """All of it, for a terminal."""
    lines: list[str] = []
    for sheet in marks.sheets:
        lines += [_write_head(sheet), *_write_plays(sheet, marks.books), *write_doubtful(sheet), ""]
    lines += [
        *_write_section(tell("Misread"), write_misread(marks)),
        *_write_section(tell("Rows missed"), write_rows(marks)),
    ]
    chapters = [
        tell(
            "{chapter}: {members}, {right} right",
            chapter=name_chapter(name),
            members=count_members(members),
            right=write_percent(right),
        )
        for name, (members, right) in marks.chapters.items()
    ]
    lines += _write_section(tell("By chapter"), chapters)
    rows = [(each.shown, str(each.right), write_percent(each.right)) for each in marks.members]
    lines += _write_section(tell("Members"), _align(rows, "<>>"))
    lines += [f"{tell('< is the right answer.')} {tell(SAMPLE)}", write_intake(marks)]
    return _BOLD.sub(r"‘\1’", "\n".join(lines))


def name_chapter(name: str) -> str:
    """A chapter's name, or that there is none."""
    return name or tell("no chapter")


def count_members(number: int) -> str:
    """How many members."""
    return tell_count(number, "{count} member", "{count} members")


def write_percent(share: Share) -> str:
    """A share in whole percent."""
    return f"{share.value:.0%}".replace("%", " %")


def write_figure(value: float | None) -> str:
    """A correlation with two decimals; what can't be told is said to be so."""
    return tell("not defined") if value is None else f"{value:+.2f}"


def write_intake(marks: Marks) -> str:
    """What of all that came in was marked, in a sentence or two."""
    handed = sum(len(sheet.answers) for sheet in marks.sheets)
    members = count_members(len(marks.members))
    parts = [
        tell_count(
            handed,
            "{count} answer sheet of {members} marked",
            "{count} answer sheets of {members} marked",
            members=members,
        )
    ]
    parts += [tell("{count} not marked, as told", count=marks.unmarked)] if marks.unmarked else []
    parts += [tell("{count} without an answer", count=marks.empty)] if marks.empty else []
    if marks.silent:
        silent = tell_count(
            len(marks.silent),
            "{count} member of the roster handed in nothing",
            "{count} members of the roster handed in nothing",
        )
        parts.append(silent)
    return "; ".join(parts) + "."


def write_summary(sheet: MarkedSheet) -> str:
    """How the class did on a sheet, and how steady its score is."""
    figures = sheet.figures
    kr20 = tell("not defined") if figures.kr20 is None else f"{round(figures.kr20, 2) + 0:.2f}"
    return tell(
        "{members}, {plays}; mean {mean:.1f} right, standard deviation {deviation:.1f}, reliability (KR-20) {kr20}",
        members=count_members(figures.people),
        plays=tell_count(len(sheet.plays), "{count} play", "{count} plays"),
        mean=figures.mean,
        deviation=figures.deviation,
        kr20=kr20,
    )


def write_row(books: RuleBooks, row: Row) -> str:
    """A row by its subject's title, its number and the code's mark: "Infield fly, row 2 (HS)"."""
    code, subject, number = row
    title, mark = books.library.subjects[subject].title, books.library.codes[code].mark
    return tell("{title}, row {number} ({mark})", title=title, number=number, mark=mark)


def find_headline(books: RuleBooks, row: Row) -> str:
    """What a row rules, in a few words."""
    code, subject, number = row
    model = books.library.rulings[code, subject]
    return model.rulings[model.rows[number - 1].ruling].headline.rstrip(".").lower()


def write_wrong(books: RuleBooks, play: MarkedPlay, letter: str) -> str:
    """A wrong choice's ruling, the row that it betrays and what must be misread for it, if anything explains it."""
    ruling = play.question.choices[LETTERS.index(letter)].ruling.headline.rstrip(".")
    betrayal = play.betrayals.get(letter)
    if betrayal is None:
        return ruling
    code, subject, number = betrayal.row
    is_own = subject == play.question.ruled.case.subject
    mark = books.library.codes[code].mark
    row = (
        tell("row {number} ({mark})", number=number, mark=mark) if is_own else write_row(books, betrayal.row)
    )
    misread = write_misreading(books, betrayal.misreading, is_brief=True)
    return tell("{ruling}. Betrays {row}: {misread}", ruling=ruling, row=row, misread=misread)


def write_misread(marks: Marks) -> list[str]:
    """Each misreading that the class shares: in words, in how many answers, and where."""
    lines = []
    for tally in marks.misread:
        if tally.is_shared:
            where = "; ".join(
                f"{name} {' '.join(f'{number}{letter}' for _, number, letter in places)}"
                for name, places in groupby(tally.places, key=lambda place: place[0])
            )
            words = write_misreading(marks.books, tally.misreading)
            line = tell(
                "{words}: {count} answers that could show it ({where})",
                words=words,
                count=tally.taken,
                where=where,
            )
            lines.append(f"{line[0].upper()}{line[1:]}")
    return lines


def write_rows(marks: Marks) -> list[str]:
    """The rows to teach again, and what they rule."""
    books = marks.books
    return [
        tell(
            "{row}, {ruling}: {right} right",
            row=write_row(books, mark.row),
            ruling=find_headline(books, mark.row),
            right=mark.right,
        )
        for mark in marks.rows
        if mark.is_missed
    ]


def write_doubtful(sheet: MarkedSheet) -> list[str]:
    """A sentence for each play of which those with the highest scores took a wrong choice more often than the right."""
    return [
        tell(
            "Play {number}: of those with the highest scores {wrong} took {letter}, and {right} the right {key}: read "
            "the play again before it is taught.",
            number=play.number,
            wrong=play.upper_counts[letter],
            letter=letter,
            right=play.figures.upper.count,
            key=play.question.letter,
        )
        for play in sheet.plays
        for letter in play.wrong
        if play.upper_counts[letter] > play.figures.upper.count
    ]


def _write_head(sheet: MarkedSheet) -> str:
    return f"{sheet.sheet.title} ({sheet.sheet.name}): {write_summary(sheet)}"


def _write_plays(sheet: MarkedSheet, books: RuleBooks) -> Iterable[str]:
    letters = LETTERS[: max(len(play.question.choices) for play in sheet.plays)]
    head = ("", tell("Play"), tell("Right"), *letters, tell("none"), "r", tell("highest"), tell("lowest"))
    rows = [head, *(_list_cells(play, letters) for play in sheet.plays)]
    yield from _align(rows, "><>" + ">" * len(letters) + ">>>>")
    for play in sheet.plays:
        for letter in play.wrong[:1]:
            where = play.betrayals[letter].where if letter in play.betrayals else None
            place = f" [{where}]" if where else ""
            taken = tell(
                "{choice} taken by {count}: {wrong}",
                choice=f"{play.number}{letter}",
                count=play.counts[letter],
                wrong=write_wrong(books, play, letter),
            )
            yield f"  {taken}{place}"


def _list_cells(play: MarkedPlay, letters: str) -> tuple[str, ...]:
    figures, key = play.figures, play.question.letter
    offered = letters[: len(play.question.choices)]
    taken = (f"{play.counts.get(letter, 0)}{'<' if letter == key else ' '}" for letter in offered)
    return (
        f"{play.number}",
        play.question.ruled.case.model.title,
        str(figures.right),
        *taken,
        *("" for _ in letters[len(offered) :]),
        f"{play.counts.get('', 0) or ''}",
        write_figure(figures.corrected),
        str(figures.upper) if figures.upper.of else "",
        str(figures.lower) if figures.lower.of else "",
    )


def _write_section(title: str, lines: Sequence[str]) -> list[str]:
    return [title, *(f"  {line}" for line in lines), ""] if lines else []


def _align(rows: Sequence[Sequence[str]], sides: str) -> list[str]:
    """Cells in columns, each as wide as its widest."""
    widths = [max(map(len, column)) for column in zip(*rows, strict=True)]
    return [
        "  ".join(
            f"{cell:{side}{width}}" for cell, side, width in zip(row, sides, widths, strict=True)
        ).rstrip()
        for row in rows
    ]
