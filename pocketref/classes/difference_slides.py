"""What codes rule differently on a subject: first as questions, then as the table of the differences."""

from __future__ import annotations

from collections.abc import Iterator, Sequence
from dataclasses import replace

from pocketref.blocks.differences import build_difference_table
from pocketref.blocks.setting import Setting
from pocketref.classes.slide import Frame, Slide
from pocketref.layouts.class_models import DifferencesPartModel
from pocketref.pages.blocks import Paragraphs
from pocketref.pages.table_blocks import Cell
from pocketref.scene.items import FontFace
from pocketref.scene.textfit import measure_line_mm
from pocketref.words.speech import join_words, say

_TALK_S = 60.0
"""To talk one difference over: our own figure."""
_COLUMN_MM, _AROUND_MM = 29.0, 4.0
"""A code's column is as wide as its words with white around them, but no wider than the first: our own figures."""
_ON_A_SLIDE = 4
"""Differences that are asked on one slide, and answered on the next."""


def build_differences(part: DifferencesPartModel, setting: Setting, frame: Frame) -> Iterator[Slide]:
    """A slide of prompts and one of answers for every few groups of plays; one slide where all codes rule alike."""
    library, title = setting.library, setting.find_subject(part.subject).title
    cited = tuple(row for code in part.codes for row in setting.find_table(part.subject, code).rows)
    table = build_difference_table(library, part.subject, part.codes, setting.code)
    marks = [library.codes[code].mark for code in part.codes]
    if not table.rows:
        said = say("{codes} rule every play alike in effect.", codes=", ".join(marks))
        alike = Paragraphs(table.label, (said,))
        yield Slide(title, (alike,), (), cited)
        return
    size_pt = frame.screen.text_floor_pt
    columns = tuple(
        column
        if column.flex
        else replace(column, width_mm=_measure_column([row[n] for row in table.rows], size_pt))
        for n, column in enumerate(table.columns)
    )
    for start in range(0, len(table.rows), _ON_A_SLIDE):
        rows = table.rows[start : start + _ON_A_SLIDE]
        asked = Paragraphs(table.label, (say("How do {codes} rule, and why?", codes=join_words(marks)),))
        plays = tuple(f"{row[0].words}." for row in rows)
        prompts = Paragraphs(f"prompts on {part.subject}", plays, kind="steps")
        answers = tuple(
            "; ".join(f"{mark}: {cell.words}" for mark, cell in zip(marks, row[1:], strict=True))
            for row in rows
        )
        notes = tuple(f"*{number}:* {words.replace('*', '')}." for number, words in enumerate(answers, 1))
        heading = say("{subject}: codes differ", subject=title)
        yield Slide(heading, (asked, prompts), notes, cited, think_s=_TALK_S * len(rows))
        bold = say("Bold: otherwise than {code}.", code=library.codes[setting.code].mark)
        part_table = replace(table, rows=rows, whole=table.rows, columns=columns)
        answered = say("{heading}, answers", heading=heading)
        yield Slide(answered, (part_table,), (bold,), cited, look="dense")


def _measure_column(cells: Sequence[Cell], size_pt: float) -> float:
    widest = max(measure_line_mm(cell.words, FontFace.REGULAR, size_pt) for cell in cells)
    return min(widest + _AROUND_MM, _COLUMN_MM)
