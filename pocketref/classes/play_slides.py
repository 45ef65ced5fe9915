"""A play on slides: the question, the picture, the ruling with its reason, and what the wrong choices would take."""

from __future__ import annotations

from collections.abc import Iterator
from contextlib import suppress
from dataclasses import replace
from functools import lru_cache
from math import inf

from pocketref.classes.slide import Slide
from pocketref.classes.slide_blocks import PlayStory, RoomFigure, VerdictBlock
from pocketref.layouts.play_sheets import list_play_cited
from pocketref.layouts.play_words import (
    write_call,
    write_choice,
    write_elsewhere,
    write_facts,
    write_next,
    write_way,
    write_wrong,
)
from pocketref.pages.blocks import Block, Paragraphs
from pocketref.pages.panels import CautionPanel
from pocketref.plays.choices import LETTERS, AskedPlay
from pocketref.plays.placement import find_own_box
from pocketref.plays.plays import RuleBooks
from pocketref.rulings.situation import write_situation
from pocketref.scene.charts.ruling_flow import construct_ending
from pocketref.scene.figures.play_figure import draw_play
from pocketref.scene.items import Item, Shape
from pocketref.scene.paths import enlarge, thin_out
from pocketref.scene.plan_view import FigureDrawing
from pocketref.source.ruling_models import RulingModel
from pocketref.words.speech import say

_ENLARGED = (2.6, 2.4, 2.2, 2.0, 1.8, 1.6, 1.4, 1.2, 1.0)
"""How many times as large as in a column a picture may be, the largest first."""
_ASK_S, _LOOK_S, _WHY_S = 30.0, 15.0, 30.0
"""For hands up, for a look, and to talk a wrong choice over: our own figures."""
_LEAST_MM = (100.0, 40.0)
"""The least width and height of a picture."""
_HOPE = 1.15
"""How much more a picture may be enlarged than its words let it, as these are set smaller then."""
_WORDS_PT = 9.0
_UNSEEN_MM = 0.01


def build_play(number: int, question: AskedPlay, books: RuleBooks, level: str) -> Iterator[Slide]:
    """The slides of one play; one without a picture has none for it, one in which someone can get hurt its caution."""
    cited = tuple(list_play_cited(question, books))
    play = question.ruled
    model, title, badge = play.case.model, play.case.model.title, str(number)
    told = write_facts(books, play) if play.case.is_computed else ()
    story = PlayStory(
        f"play {number}", write_situation(model.situation), model.situation.runners, (model.story, *told)
    )
    entries = tuple(write_choice(choice.ruling) for choice in question.choices)
    choices = Paragraphs(f"choices of play {number}", entries, kind="letters")
    letters = ", ".join(LETTERS[: len(entries)])
    asked = say("Read it aloud. Hands up for {letters}.", letters=letters)
    if not play.scene.is_empty:
        asked = say(
            "Read it aloud. Hands up for {letters}, before the picture and after it.", letters=letters
        )
    yield Slide(title, (story, choices), (asked,), number=badge, think_s=_ASK_S)
    if not play.scene.is_empty:
        figure = _show_picture(number, question, books, level)
        yield Slide(title, (figure,), (figure.alt,), number=badge, think_s=_LOOK_S)
    yield Slide(f"{title}: {question.letter}", tuple(_rule(number, question, books)), (), cited, badge)
    wrong = [
        (letter, choice.ruling)
        for letter, choice in zip(LETTERS, question.choices, strict=False)
        if not choice.is_right
    ]
    why = [
        say("*Way:* {way}", way=write_way(books, play)),
        say("*Other codes:* {codes}", codes=write_elsewhere(books, play)),
    ]
    why += [_ask_why(*each) for each in wrong]
    think_s = _WHY_S * len(wrong)
    body = (Paragraphs(f"discussion of play {number}", tuple(why)),)
    yield Slide(say("{title}: why", title=title), body, write_wrong(question), cited, badge, think_s=think_s)
    if model.caution:
        caution = books.library.cautions[model.caution]
        heading = caution.title + books.library.mark_doubt(caution)
        panel = CautionPanel(model.caution, caution.signal_word, heading, caution.entries, caution.lead)
        yield Slide(say("{title}: caution", title=title), (panel,), (), (caution,), badge)


def _ask_why(letter: str, ruling: RulingModel) -> str:
    """The prompt to a wrong choice; its answer is the choice's own reason."""
    return say(
        "*{letter}*, {ruling}: on which play, or by which code, is it right?",
        letter=letter,
        ruling=ruling.headline.rstrip("."),
    )


def _rule(number: int, question: AskedPlay, books: RuleBooks) -> Iterator[Block]:
    """The verdict as charts have it, where the game stands next, what to say and signal, and the sections."""
    play, label = question.ruled, f"ruling on play {number}"
    answer = play.answer
    ending = construct_ending(
        label, answer.ruling, books.library.mark_doubt(answer.row), is_open=bool(answer.unsettled)
    )
    yield VerdictBlock(label, ending)
    lines = [
        say("*Next:* {states}", states=write_next(books, play)),
        say("*Do:* {call}", call=write_call(answer.ruling)),
    ]
    lines += [say("*Check your league:* {what}.", what=answer.unsettled)] if answer.unsettled else []
    note = f" {answer.note}" if answer.note else ""
    yield Paragraphs(label, (*lines, say("*Section:* {cites}.", cites=", ".join(answer.cites)) + note))


def _show_picture(number: int, question: AskedPlay, books: RuleBooks, level: str) -> RoomFigure:
    play = question.ruled
    plan, box = books.plan(play.code, level), find_own_box(play.case.model)

    def draw_in(width_mm: float, height_mm: float, size_pt: float) -> FigureDrawing:
        drawing = draw_play(play.scene, plan, box, size_pt, width_mm, height_mm)
        assert drawing is not None
        return drawing

    @lru_cache(maxsize=16)
    def draw(width_mm: float, height_mm: float, size_pt: float) -> tuple[tuple[Item, ...], float, float]:
        large = draw_in(inf, inf, size_pt)
        most = _HOPE * min(width_mm / large.width_mm, height_mm / large.height_mm)
        for times in [each for each in _ENLARGED if each <= most] or [1.0]:
            with suppress(ValueError):  # at no scale
                drawing = draw_in(width_mm / times, height_mm / times, size_pt / times)
                return (
                    _thin_out(enlarge(drawing.items, times)),
                    drawing.width_mm * times,
                    drawing.height_mm * times,
                )
        raise ValueError(f"play {number} has no room on a slide")

    alt = draw_in(inf, inf, _WORDS_PT).alt
    is_around = play.scene.bat or play.scene.ball or play.scene.fielders
    caption = say("From above") if is_around else say("From above; beside it, close up")
    return RoomFigure(f"picture of play {number}", alt, draw, play.key, lambda _: _LEAST_MM, caption)


def _thin_out(items: tuple[Item, ...]) -> tuple[Item, ...]:
    """The items, their lines without points that change nothing to see: pdfium, by which pages are read back, takes the
    corner between two sides that all but go on in one line to reach far beyond it, the farther the thicker the pen.
    """
    return tuple(
        replace(item, path=tuple(thin_out(item.path, _UNSEEN_MM))) if isinstance(item, Shape) else item
        for item in items
    )
