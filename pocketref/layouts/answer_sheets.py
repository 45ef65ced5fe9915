"""Answer sheets: a box a choice for every play of a training sheet, to be ticked and handed in."""

from __future__ import annotations

from pocketref.layouts.cards import LaidOut, lay_out_flow, write_tag
from pocketref.layouts.footers import write_edition, write_governs, write_validity
from pocketref.layouts.layout_library import Layouts
from pocketref.layouts.play_sheets import PlaySheet, sign_sheet
from pocketref.pages.blanks import Blanks
from pocketref.pages.blocks import Footer, Paragraphs, TitleBand
from pocketref.pages.pagination import Flow
from pocketref.pages.table_blocks import Cell, Column, TableBlock
from pocketref.plays.choices import LETTERS, AskedPlay
from pocketref.source.library import Library
from pocketref.words.speech import say

ANSWERS = "-answers"
"""What the name of an answer sheet's file ends in, after that of its training sheet."""
NAME, NUMBER, CHAPTER = BLANKS = ("Name", "Member number", "Chapter")
"""The blanks for who answers, which are the names of their fields."""
_LETTER_MM = 8.0
_ROW_PAD_MM = 1.5  # a line as high as a hand with a pencil needs; our own figure


def name_tick(play: int, letter: str) -> str:
    """The name of the field of a choice, by the play's number on the sheet: "play 3 B"."""
    return f"play {play} {letter}"


def lay_out_answers(sheet: PlaySheet, library: Library, layouts: Layouts) -> LaidOut:
    """The answer sheet to a training sheet: a page for as many plays as a sheet may have."""
    edition = library.edition
    title = say("Answers: {title}", title=sheet.title)
    how = say(
        "Sheet *{sheet}*, edition {edition}. Tick one box for each play. "
        "A play without a tick, or with more than one, counts as not answered.",
        sheet=sheet.name,
        edition=edition.mark,
    )
    labels = (say("Name"), say("Member number"), say("Chapter"), say("Date"))

    def write_foot(page: int, pages: int) -> Footer:
        left = (write_edition(edition), say("Answer sheet, page {page} of {pages}", page=page, pages=pages))
        return Footer(left, (write_governs(), write_validity(edition)))

    half = max(len(sheet.questions) + 1, 2) // 2
    parts = (sheet.questions[:half], sheet.questions[half:])
    tables = [_tabulate(part, first, sheet) for part, first in zip(parts, (1, half + 1), strict=True) if part]
    flow = Flow(
        what=f"case plays {sheet.name}, answers",
        head=TitleBand(title, write_tag(sheet.model, library, edition.season)),
        foot=write_foot,
        parts=(tuple(tables),),
        opening=(Blanks(labels, 2, (*BLANKS, "Date")), Paragraphs("how to answer", (how,))),
        columns=2,
        where=sheet.model.location,
    )
    laid_out = lay_out_flow(f"{sheet.name}{ANSWERS}", title, (flow,), sheet.model.stock, layouts, edition)
    return sign_sheet(laid_out, sheet)


def _tabulate(questions: tuple[AskedPlay, ...], first: int, sheet: PlaySheet) -> TableBlock:
    """A table of plays, the first of which has the number `first` on the sheet."""
    letters = LETTERS[: max(len(each.choices) for each in sheet.questions)]
    columns = (
        Column(say("Play"), flex=True),
        *(Column(letter, "middle", width_mm=_LETTER_MM) for letter in letters),
    )
    rows = []
    for number, question in enumerate(questions, start=first):
        offered = letters[: len(question.choices)]
        ticks = (
            Cell(
                field_name=name_tick(number, letter),
                tooltip=say("Play {number}, answer {letter}", number=number, letter=letter),
                is_tick=True,
            )
            for letter in offered
        )
        title = Cell(f"*{number}*  {question.ruled.case.model.title}")
        rows.append((title, *ticks, *(Cell() for _ in letters[len(offered) :])))
    last = first + len(questions) - 1
    return TableBlock(
        f"answers to plays {first} to {last}", columns, tuple(rows), row_pad_mm=_ROW_PAD_MM, grows=False
    )
