"""Which training sheets and classes ask, answer or show something else than the edition before had them do."""

from __future__ import annotations

from collections.abc import Iterator
from pathlib import Path

from pocketref.classes.class_proof import prove_classes
from pocketref.classes.deck import ClassDeck
from pocketref.edition.play_proof import prove_plays
from pocketref.edition.proof import Proof
from pocketref.layouts.play_sheets import list_said
from pocketref.problems import ProblemLog
from pocketref.source.library import Library


def list_changed_training(proof: Proof, before: Library) -> Iterator[str]:
    """The titles, in the order of the files; of one that could not be made from the edition before, too."""
    models = tuple({sheet.model.sheet: sheet.model for sheet in proof.plays.sheets}.values())
    failed = ProblemLog()
    old = prove_plays(before, proof.layouts, Path(), failed, models)
    known = {sheet.name: list_said(sheet, old.books) for sheet in old.sheets}
    for sheet in proof.plays.sheets:
        if known.get(sheet.name) != list_said(sheet, proof.plays.books):
            yield sheet.title
    decks = prove_classes(proof.layouts, old.books, failed)
    shown = {each.model.class_: _list_shown(each) for each in decks}
    for each in proof.classes:
        if shown.get(each.model.class_) != _list_shown(each):
            yield each.model.title


def _list_shown(deck: ClassDeck) -> list[object]:
    """What is on the slides and said to them, but for the first, which names the edition."""
    slides = [timed.slide for timed in deck.slides[1:]]
    return [(slide.title, *(block.words() for block in slide.body), slide.notes) for slide in slides]
