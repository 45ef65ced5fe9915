"""Training sheets and their keys: plays flowed in two columns over as many pages as they take."""

from __future__ import annotations

import hashlib
import json
from collections.abc import Callable, Iterator, Sequence
from dataclasses import dataclass, replace
from functools import lru_cache, partial

from pocketref.blocks.doubt import explain_doubt
from pocketref.layouts.cards import LaidOut, lay_out_flow, write_tag
from pocketref.layouts.footers import write_edition, write_governs, write_validity
from pocketref.layouts.layout_library import Layouts
from pocketref.layouts.play_blocks import KeyEntry, PlayHeading, PlayQuestion
from pocketref.layouts.play_words import (
    BALL_LEGEND,
    FEET_LEGEND,
    FIELDER_LEGEND,
    KNEE_LEGEND,
    write_choice,
    write_facts,
    write_key,
    write_wrong,
)
from pocketref.pages.blanks import Blanks
from pocketref.pages.blocks import Block, Footer, Paragraphs, TitleBand
from pocketref.pages.pagination import Flow, list_misfits
from pocketref.pages.panels import CautionPanel
from pocketref.plays.choices import LETTERS, AskedPlay, rule_elsewhere, sign_choice
from pocketref.plays.placement import find_own_box
from pocketref.plays.plays import RuleBooks
from pocketref.problems import Problem
from pocketref.rulings.situation import write_situation
from pocketref.scene.figures.play_figure import draw_play
from pocketref.scene.plan_view import FigureDrawing
from pocketref.source.play_models import PlaySheetModel
from pocketref.source.statements import Cited
from pocketref.words.speech import say

_PICTURES_MM = (48.0, 42.0, 36.0, 30.0)
"""The most height of a picture, and what it may come down to: our own figures."""
PICTURE_PT = 8.4
"""Type in pictures, the same at every size of the text around them; more if the floor is higher."""
CHOICES = "choices"
"""What the mark of a sheet's plays and choices is called, in its PDF and in files of answers."""
_SEQUENCE = "mechanics/enforcement/sequence"


@dataclass(frozen=True, slots=True)
class PlaySheet:
    """One sheet of plays to be laid out: its layout, its file's name, the title in its band, and its questions."""

    model: PlaySheetModel
    name: str
    title: str
    questions: tuple[AskedPlay, ...]


def lay_out_questions(sheet: PlaySheet, books: RuleBooks, layouts: Layouts) -> LaidOut:
    """The questions, with blanks for who answers; raises PocketrefError if a play is too large for a column."""
    versions = _ask(sheet, books, layouts)
    edition = books.library.edition
    laid_out = lay_out_flow(sheet.name, sheet.title, versions, sheet.model.stock, layouts, edition)
    return sign_sheet(laid_out, sheet)


def sign_sheet(laid_out: LaidOut, sheet: PlaySheet) -> LaidOut:
    """What members fill in, with its plays and their choices told by a keyword: letters mean these alone."""
    keywords = (*laid_out.document.keywords, f"{CHOICES} {write_choices_mark(sheet)}")
    return replace(laid_out, document=replace(laid_out.document, keywords=keywords))


def write_choices_mark(sheet: PlaySheet) -> str:
    """What tells a sheet's plays and their choices from others, in their order; wording does not count.

    Letters alone: a spreadsheet takes digits with an e among them for a number.
    """
    said = [
        [each.ruled.key, *(sign_choice(choice.ruling) for choice in each.choices)] for each in sheet.questions
    ]
    digest = hashlib.sha256(json.dumps(said).encode()).hexdigest()[:12]
    return digest.translate(str.maketrans("0123456789", "ghijklmnop"))


def lay_out_key(sheet: PlaySheet, books: RuleBooks, layouts: Layouts) -> LaidOut:
    """The key: for each play the ruling, why, and why not otherwise; then how to enforce."""
    name, title = f"{sheet.name}-key", say("Key: {title}", title=sheet.title)
    flow = _answer(sheet, books)
    return lay_out_flow(name, title, (flow,), sheet.model.stock, layouts, books.library.edition)


def list_said(sheet: PlaySheet, books: RuleBooks) -> list[object]:
    """What a sheet and its key say and show, for comparison."""
    scenes: list[object] = [each.ruled.scene for each in sheet.questions]
    blocks = [build_question(n, each, books, sheet, PICTURE_PT) for n, each in enumerate(sheet.questions, 1)]
    key = (block for part in _answer(sheet, books).parts for block in part)
    return [*scenes, *(block.words() for block in (*blocks, *key))]


def check_fit(sheet: PlaySheet, books: RuleBooks, layouts: Layouts) -> list[Problem]:
    """Each play whose question or entry in the key is larger than a column even at the least type."""
    stock = layouts.stocks[sheet.model.stock]
    flows = (_ask(sheet, books, layouts)[-1], _answer(sheet, books))
    return [problem for flow in flows for problem in list_misfits(flow, stock, layouts.styles)]


def _ask(sheet: PlaySheet, books: RuleBooks, layouts: Layouts) -> list[Flow]:
    """The questions with pictures of each size, the largest first: smaller ones are taken only to save a page."""
    size_pt = max(PICTURE_PT, layouts.styles.floor_pt)
    blocks = [build_question(n, each, books, sheet, size_pt) for n, each in enumerate(sheet.questions, 1)]
    labels = say("Name"), say("Date"), say("Right, of {all}", all=len(blocks))
    opening: list[Block] = [Blanks(labels, 3, ("Name", "Date", f"Right, of {len(blocks)}"))]
    if legends := list_legends(sheet):
        opening.append(Paragraphs("how to read the pictures", (" ".join(legends),), small=True))
    sizes_mm = _PICTURES_MM if any(not each.ruled.scene.is_empty for each in sheet.questions) else (0.0,)
    drawn = ([replace(block, most_picture_mm=mm) for block in blocks] for mm in sizes_mm)
    return [_make_flow(sheet, "questions", sheet.title, each, opening, books) for each in drawn]


def _answer(sheet: PlaySheet, books: RuleBooks) -> Flow:
    blocks: list[Block] = [build_entry(number, each, books) for number, each in enumerate(sheet.questions, 1)]
    blocks += build_mechanics(sheet, books)
    letters = " · ".join(f"*{number}{each.letter}*" for number, each in enumerate(sheet.questions, 1))
    opening = [Paragraphs("letters", (say("Answers at a glance: {letters}", letters=letters),))]
    return _make_flow(sheet, "key", say("Key: {title}", title=sheet.title), blocks, opening, books)


def _make_flow(
    sheet: PlaySheet,
    what: str,
    title: str,
    blocks: Sequence[Block],
    opening: Sequence[Block],
    books: RuleBooks,
) -> Flow:
    edition = books.library.edition
    is_key = what == "key"
    said = say("Key computed from the decision tables") if is_key else say("Case plays of invented teams")
    meaning = explain_doubt(books.library, list_key_cited(sheet, books)) if is_key else ""
    places = {
        f"play {number}": each.ruled.case.model.location or sheet.model.location
        for number, each in enumerate(sheet.questions, 1)
    }

    def write_foot(page: int, pages: int) -> Footer:
        left = (
            write_edition(edition),
            say("{what}, page {page} of {pages}", what=said, page=page, pages=pages),
        )
        return Footer(left, (write_governs(), write_validity(edition)), note=meaning)

    return Flow(
        what=f"case plays {sheet.name}, {what}",
        head=TitleBand(title, write_tag(sheet.model, books.library, edition.season)),
        foot=write_foot,
        parts=(tuple(blocks),),
        opening=tuple(opening),
        columns=2,
        where=sheet.model.location,
        places=places,
    )


def list_legends(sheet: PlaySheet) -> tuple[str, ...]:
    """How to read the sheet's pictures: feet and knees if there are any, bat, ball and fielders likewise."""
    scenes = [each.ruled.scene for each in sheet.questions]
    legends = [say(FEET_LEGEND)] if any(scene.feet for scene in scenes) else []
    legends += [say(KNEE_LEGEND)] if any(scene.knees for scene in scenes) else []
    legends += [say(BALL_LEGEND)] if any(scene.meets for scene in scenes) else []
    legends += [say(FIELDER_LEGEND)] if any(scene.fielders for scene in scenes) else []
    return tuple(legends)


def build_question(
    number: int, question: AskedPlay, books: RuleBooks, sheet: PlaySheet, size_pt: float
) -> PlayQuestion:
    """The play as it is asked, its picture with type of `size_pt`; a computed one says its facts."""
    play = question.ruled
    model = play.case.model
    draw: Callable[[float, float], FigureDrawing | None] = _draw_nothing
    if not play.scene.is_empty:
        plan = books.plan(play.code, sheet.model.level)
        draw = lru_cache(maxsize=8)(partial(draw_play, play.scene, plan, find_own_box(model), size_pt))
    told = write_facts(books, play) if play.case.is_computed else ()
    return PlayQuestion(
        number=number,
        heading=_head(f"{number}", question),
        story=(model.story, *told),
        choices=tuple(
            (letter, write_choice(choice.ruling))
            for letter, choice in zip(LETTERS, question.choices, strict=False)
        ),
        picture=draw,
        caption=say("From above") if play.scene.ball or play.scene.bat else say("From above, close up"),
    )


def _draw_nothing(width_mm: float, height_mm: float) -> None:
    """A play without pictures."""


def _head(badge: str, question: AskedPlay) -> PlayHeading:
    case = question.ruled.case
    title = say("{title} (computed)", title=case.model.title) if case.is_computed else case.model.title
    situation = case.model.situation
    return PlayHeading(badge, title, write_situation(situation), situation.runners)


def build_entry(number: int, question: AskedPlay, books: RuleBooks) -> KeyEntry:
    """The play's entry in the key: what happened, the ruling and why, and why not otherwise."""
    play = question.ruled
    told = " ".join(write_facts(books, play)) if play.case.is_computed else ""
    return KeyEntry(
        number=number,
        heading=_head(f"{number} {question.letter}", question),
        story=f"{play.case.model.story} {told}".strip(),
        entries=write_key(books, question),
        wrong=write_wrong(question),
    )


def list_key_cited(sheet: PlaySheet, books: RuleBooks) -> Iterator[Cited]:
    """The statements that the sheet's key rests on: its rulings, those of other codes, mechanics and cautions."""
    library = books.library
    for question in sheet.questions:
        yield from list_play_cited(question, books)
        model = question.ruled.case
        names = (f"mechanics/{model.subject}/enforce", _SEQUENCE)
        yield from (library.texts[name] for name in names if name in library.texts)
        if model.model.caution:
            yield library.cautions[model.model.caution]


def list_play_cited(question: AskedPlay, books: RuleBooks) -> Iterator[Cited]:
    """The rows that a play's key rests on: its own, and those of other codes."""
    yield question.ruled.answer.row
    yield from (found.answer.row for found in rule_elsewhere(books, question.ruled).values())


def build_mechanics(sheet: PlaySheet, books: RuleBooks) -> list[Block]:
    """How to enforce each subject's rulings, what the rulings add, and the cautions of the plays."""
    library = books.library
    blocks: list[Block] = []
    for subject in dict.fromkeys(each.ruled.case.subject for each in sheet.questions):
        title = library.subjects[subject].title
        text = library.texts.get(f"mechanics/{subject}/enforce")
        rulings = [q.ruled.answer.ruling for q in sheet.questions if q.ruled.case.subject == subject]
        notes = dict.fromkeys(f"*{ruling.headline}:* {ruling.note}" for ruling in rulings if ruling.note)
        entries = (*(text.entries if text else ()), *notes)
        if entries:
            mark = library.mark_doubt(text) if text else ""
            blocks.append(
                Paragraphs(
                    f"enforce {subject}", entries, say("{subject}: enforce", subject=title) + mark, "list"
                )
            )
    text = library.texts.get(_SEQUENCE)
    if text:
        heading = text.heading + library.mark_doubt(text)
        blocks.append(Paragraphs("enforcement", text.entries, heading, "steps"))
    for name in dict.fromkeys(each.ruled.case.model.caution for each in sheet.questions):
        if name:
            caution = library.cautions[name]
            title = caution.title + library.mark_doubt(caution)
            blocks.append(CautionPanel(name, caution.signal_word, title, caution.entries, caution.lead))
    return blocks
