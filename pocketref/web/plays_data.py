"""The training sheets as the page's script asks them: plays, choices, reasons, and pictures as lines and words."""

from __future__ import annotations

from collections.abc import Iterable, Iterator
from dataclasses import dataclass, field
from typing import Any

from pocketref.edition.proof import Proof
from pocketref.layouts.play_sheets import (
    PICTURE_PT,
    PlaySheet,
    build_entry,
    build_question,
    list_legends,
    write_choices_mark,
)
from pocketref.output.numbers import number
from pocketref.output.svg import path_data
from pocketref.plays.choices import AskedPlay, Choice
from pocketref.plays.plays import RuleBooks
from pocketref.scene.items import FontFace, Item, Placed, Shape, Text
from pocketref.scene.paths import shift, thin_out
from pocketref.scene.plan_view import FigureDrawing
from pocketref.scene.typefaces import list_runs
from pocketref.units.length import MM_PER_PT
from pocketref.web.html_drawing import write_short

Json = dict[str, Any]
_PICTURE_MM = (88.0, 66.0)
_PLACES = 1
"""Decimals of a millimetre in pictures on a screen, where one is five pixels."""
_UNSEEN_MM = 0.04
"""A tenth of a pixel where a picture is as wide as a phone."""


@dataclass(slots=True)
class Pictures:
    """Pictures as lines and words, each once; how lines look stands in one list, each look once."""

    looks: list[Json] = field(default_factory=list)
    written: list[Json] = field(default_factory=list)

    def add(self, drawing: FigureDrawing | None) -> int | None:
        """Write a picture; gives its place in the list. Lines are [their look's place, path data], y runs down."""
        if drawing is None:
            return None
        drawn: list[object] = []
        for item in _flatten(drawing.items):
            if isinstance(item, Shape):
                look = _write_look(item)
                if look not in self.looks:
                    self.looks.append(look)
                path = path_data(thin_out(item.path, _UNSEEN_MM), drawing.height_mm, _PLACES)
                drawn.append([self.looks.index(look), write_short(path)])
            elif isinstance(item, Text):
                drawn.append(_write_text(item, drawing.height_mm))
        size = [float(number(side, _PLACES)) for side in (drawing.width_mm, drawing.height_mm)]
        picture = {"size": size, "alt": drawing.alt, "drawn": drawn}
        if picture not in self.written:
            self.written.append(picture)
        return self.written.index(picture)


def build_plays_data(proof: Proof) -> Json | None:
    """Each sheet, and each play once, however many sheets ask it in the same words; None without sheets.

    A play's first choice is the right one; a sheet says in which order they are lettered. What is wrong with a choice
    stands beside it, and what the key says of the play. Plays stand by
    columns, and pictures apart, as like packs better with like.
    """
    books = proof.plays.books
    plays: dict[tuple[str, ...], Json] = {}
    pictures = Pictures()
    sheets = []
    for sheet in proof.plays.sheets:
        asked = []
        for question in sheet.questions:
            name, ordered = f"{question.ruled.key}/{sheet.model.level}", _sort_choices(question)
            key = name, *(choice.reason for choice in ordered)
            if key not in plays:
                plays[key] = _write_play(question, books, sheet, pictures)
            asked.append([[*plays].index(key), [ordered.index(choice) for choice in question.choices]])
        legends = list(list_legends(sheet))
        code = books.library.codes[sheet.model.code].name
        said = {"name": sheet.name, "title": sheet.title, "code": code, "choices": write_choices_mark(sheet)}
        sheets.append({**said, "legends": legends, "asked": asked})
    edition = proof.library.edition.mark
    if not sheets:
        return None
    columns = {name: [play[name] for play in plays.values()] for name in next(iter(plays.values()))}
    drawn = {"looks": pictures.looks, "pictures": pictures.written}
    return {"edition": edition, "sheets": sheets, "plays": columns, **drawn}


def _sort_choices(question: AskedPlay) -> list[Choice]:
    """The right choice, then the others by their words: the same on every sheet."""
    return sorted(question.choices, key=lambda each: (not each.is_right, each.ruling.headline, each.reason))


def _write_play(question: AskedPlay, books: RuleBooks, sheet: PlaySheet, pictures: Pictures) -> Json:
    asked = build_question(0, question, books, sheet, PICTURE_PT)
    words = dict(zip(question.choices, (words for _, words in asked.choices), strict=True))
    choices = _sort_choices(question)
    return {
        "id": question.ruled.key,
        "title": asked.heading.title,
        "game": asked.heading.game,
        "bases": list(asked.heading.bases),
        "story": list(asked.story),
        "choices": [words[choice] for choice in choices],
        "reasons": [choice.reason for choice in choices],
        "key": list(build_entry(0, question, books).entries),
        "caption": asked.caption,
        "picture": pictures.add(asked.picture(*_PICTURE_MM)),
    }


def _flatten(items: Iterable[Item]) -> Iterator[Item]:
    """The items with those of upright scenes where they are placed. ValueError for a turned one, which none is."""
    for item in items:
        if isinstance(item, Placed):
            if item.quarter_turns:
                raise ValueError("a picture of a play holds a turned scene")
            yield from _flatten(shift(item.scene.items, item.x, item.y))
        else:
            yield item


def _write_look(shape: Shape) -> Json:
    look: Json = {"fill": shape.fill.srgb if shape.fill else "none"}
    if stroke := shape.stroke:
        look |= {"stroke": stroke.ink.srgb, "stroke-width": number(stroke.width_mm, _PLACES)}
        if stroke.dash_mm:
            look["stroke-dasharray"] = " ".join(number(length, _PLACES) for length in stroke.dash_mm)
        if stroke.cap.value != "butt":
            look["stroke-linecap"] = stroke.cap.value
        if stroke.is_bevelled:
            look["stroke-linejoin"] = "bevel"
    return look


def _write_text(text: Text, height: float) -> Json:
    said: Json = {
        "x": number(text.x, _PLACES),
        "y": number(height - text.y, _PLACES),
        "font-size": number(text.size_pt * MM_PER_PT, _PLACES),
        "fill": text.ink.srgb,
        "say": "".join(piece for piece, *_ in list_runs(text)),
    }
    if text.face is FontFace.BOLD:
        said["font-weight"] = "700"
    if text.anchor != "start":
        said["text-anchor"] = text.anchor
    if text.angle:
        said["transform"] = f"rotate({number(-text.angle, _PLACES)} {said['x']} {said['y']})"
    return said
