"""The demo's classes, laid out and printed once."""

from __future__ import annotations

from functools import cache

from demo_cards import read_demo
from source_folders import SourceFolders

from pocketref.classes.deck import ClassDeck, lay_out_class
from pocketref.edition.pdf_file import build_pdf
from pocketref.output.reading.printed import PrintedDocument
from pocketref.output.reading.readback import read_pdf
from pocketref.plays.plays import RuleBooks

NAMES = ["box", "refresher"]

CLASS = """class: night
title: A night
code: high-school
level: 90-ft
minutes: 20
reading-distance: 8 m
screen-height: 1.5 m
parts:
  - {part: box}
  - {part: chart, subject: stance}
  - part: plays
    cases: [stance/on-the-chalk]
"""
PLAY = """plays: stance
subject: stance
cases:
  on-the-chalk:
    title: On the chalk
    situation: {runners: [], outs: 0, count: 0-0}
    story: The batter takes a stance close to the pitcher.
    feet:
      - {foot: left, corner: front-inner, right: -14 in, ahead: -3 in, heading: 5}
      - {foot: right, corner: back-inner, right: -14 in, ahead: 36 in, heading: 0}
    expect: {high-school: legal}
"""


def add_class(folders: SourceFolders, text: str) -> None:
    folders.add("layouts/classes/night.yaml", text)
    folders.add("content/plays/stance.yaml", PLAY)


@cache
def books() -> RuleBooks:
    """What the demo's plays are ruled by."""
    return RuleBooks(read_demo()[0])


@cache
def lay_out(name: str) -> ClassDeck:
    """A class of the demo by its name."""
    model = next(each for each in read_demo()[1].classes if each.class_ == name)
    return lay_out_class(model, books(), read_demo()[1])


@cache
def print_class(name: str) -> tuple[bytes, bytes]:
    """The files of slides and notes; making them reads them back, and raises if they are not as asked."""
    deck = lay_out(name)
    slides, notes = (
        build_pdf(each.name, each.document, each.floor_pt).data for each in (deck.deck, deck.notes)
    )
    return slides, notes


@cache
def read_slides(name: str) -> PrintedDocument:
    """The slides as they print."""
    return read_pdf(print_class(name)[0])
