"""The marks of a class on paper: a page for a class of 50 on a sheet of 20 plays."""

from __future__ import annotations

from collections.abc import Sequence
from pathlib import Path

from pocketref.edition.pdf_file import build_pdf
from pocketref.layouts.cards import LaidOut, lay_out_flow
from pocketref.layouts.footers import write_edition, write_governs
from pocketref.layouts.layout_library import Layouts
from pocketref.marks.answers import MOST_BYTES
from pocketref.marks.mark_files import write_file
from pocketref.marks.mark_text import (
    SAMPLE,
    count_members,
    name_chapter,
    write_doubtful,
    write_figure,
    write_intake,
    write_misread,
    write_percent,
    write_rows,
    write_summary,
    write_wrong,
)
from pocketref.marks.marking import MarkedPlay, MarkedSheet, Marks, MemberMark
from pocketref.output.reading.filled_sheet import read_subject
from pocketref.pages.blocks import Block, Footer, Paragraphs, TitleBand
from pocketref.pages.pagination import Flow
from pocketref.pages.table_blocks import Cell, Column, TableBlock
from pocketref.plays.choices import LETTERS
from pocketref.problems import Location, refusal
from pocketref.scene.items import FontFace
from pocketref.scene.typefaces import typeface
from pocketref.words.terminal import tell

_PAD_MM = 0.3
PRIVATE = "Names and marks of members: for their instructor, not for posting."


def write_mark_report(marks: Marks, layouts: Layouts, paper: str, path: Path) -> None:
    """The report as a PDF file, read back before it is written; only an earlier report is replaced."""
    if path.suffix.lower() != ".pdf":
        sentence = tell("the report is a PDF file, and this name doesn't end in .pdf")
        raise refusal(
            "report-place",
            sentence,
            tell("write --report {name}.pdf", name=path.stem or "marks"),
            Location(str(path)),
        )
    laid_out = lay_out_marks(marks, layouts, paper)
    write_file(path, build_pdf("marks", laid_out.document, laid_out.floor_pt).data, _is_report)


def _is_report(path: Path) -> bool:
    return path.stat().st_size <= MOST_BYTES and read_subject(path.read_bytes()).startswith("marks, edition ")


def lay_out_marks(marks: Marks, layouts: Layouts, paper: str) -> LaidOut:
    """The report as a document on a paper; PocketrefError as `lay_out_flow`."""
    edition = marks.books.library.edition

    def write_foot(page: int, pages: int) -> Footer:
        left = (write_edition(edition), tell("Marks, page {page} of {pages}", page=page, pages=pages))
        return Footer(left, (write_governs(), tell(PRIVATE)))

    def list_lines(head: str, lines: Sequence[str]) -> list[Block]:
        return [Paragraphs(head, tuple(lines), head, small=True)] if lines else []

    members = "; ".join(f"{_name(member)} *{member.right.count}*" for member in marks.members)
    blocks = [
        *list_lines(tell("Misread by the class"), write_misread(marks)),
        *(block for sheet in marks.sheets for block in _show_sheet(sheet, marks)),
        *list_lines(tell("Rows missed"), ["; ".join(write_rows(marks))] if write_rows(marks) else []),
        Paragraphs("chapters", (_write_chapters(marks),), tell("By chapter"), small=True),
        Paragraphs("members", (members,), tell("Members, and how many they have right"), small=True),
    ]
    blocks.append(
        Paragraphs(
            "how to read it",
            (f"{write_intake(marks)} {tell('Bold: the right answer.')} {tell(SAMPLE)}",),
            small=True,
        )
    )
    title = TitleBand(tell("Marks"), f"{edition.season}, {count_members(len(marks.members))}")
    flow = Flow("marks", title, write_foot, (tuple(blocks),))
    return lay_out_flow("marks", tell("Marks"), (flow,), paper, layouts, edition)


def _show_sheet(sheet: MarkedSheet, marks: Marks) -> list[Block]:
    letters = LETTERS[: max(len(play.question.choices) for play in sheet.plays)]
    columns = (
        Column("", "end"),
        Column(tell("Play"), width_mm=34),
        Column(tell("Right"), "end"),
        *(Column(letter, "end") for letter in letters),
        Column(tell("none"), "end"),
        Column("r", "end"),
        Column(tell("High"), "end"),
        Column(tell("Low"), "end"),
        Column(tell("Wrong choice taken most"), flex=True),
    )
    rows = tuple(_show_play(play, letters, marks) for play in sheet.plays)
    head = sheet.sheet.title
    summary = Paragraphs(
        f"summary of {sheet.sheet.name}", (f"{write_summary(sheet)}.", *write_doubtful(sheet))
    )
    table = TableBlock(f"plays of {sheet.sheet.name}", columns, rows, head, _PAD_MM, grows=False)
    return [table, summary]


def _show_play(play: MarkedPlay, letters: str, marks: Marks) -> tuple[Cell, ...]:
    figures, key = play.figures, play.question.letter
    offered = letters[: len(play.question.choices)]
    taken = (f"*{play.counts[each]}*" if each == key else f"{play.counts[each]}" for each in offered)
    wrong = "".join(f"*{letter}* {write_wrong(marks.books, play, letter)}" for letter in play.wrong[:1])
    groups = (f"{each.count}/{each.of}" if each.of else "" for each in (figures.upper, figures.lower))
    cells = (
        f"*{play.number}*",
        play.question.ruled.case.model.title,
        write_percent(figures.right),
        *taken,
        *("" for _ in letters[len(offered) :]),
        f"{play.counts[''] or ''}",
        "" if figures.corrected is None else write_figure(figures.corrected),
        *groups,
        wrong,
    )
    return tuple(map(Cell, cells))


def _write_chapters(marks: Marks) -> str:
    return "; ".join(
        f"{name_chapter(name)} {write_percent(share)} ({count_members(members)})"
        for name, (members, share) in marks.chapters.items()
    )


def _name(member: MemberMark) -> str:
    """Who it is; what the typeface can't set is replaced, and asterisks, which would make bold."""
    shown = member.name or member.number
    gone = set(typeface(FontFace.REGULAR).missing(shown)) | {"*"}
    return "".join("?" if letter in gone else letter for letter in shown)
