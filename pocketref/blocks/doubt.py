"""What the mark of doubt means, and how it stands at blocks whose figures are in doubt."""

from __future__ import annotations

from collections.abc import Iterable
from dataclasses import replace
from typing import Any

from pocketref.pages.blocks import Block, Paragraphs
from pocketref.pages.composition import Columns
from pocketref.source.field_models import DIMENSIONS, TOLERANCES, Dimension
from pocketref.source.library import Library
from pocketref.source.statements import DOUBT, Cited
from pocketref.words.speech import say

_TITLES = ("caption", "heading")


def explain_doubt(library: Library, cited: Iterable[Cited]) -> str:
    """What the mark means, on a face or page that has it, and which figures are in doubt; "" where nothing is."""
    rests_on = tuple(cited)
    names = _name_figures(library, rests_on)
    figures = " " + say("Figures: {names}.", names="; ".join(names)) if names else ""
    return write_meaning() + figures if library.mark_doubt(*rests_on) else ""


def write_meaning() -> str:
    """What the mark means."""
    return f"{DOUBT} " + say("From memory or inferred, not yet compared with the book.")


def mark_figures(block: Block, library: Library, cited: Iterable[Cited]) -> Block:
    """The block with the mark after its caption or heading, or under it, where a figure that it rests on is in doubt.

    Rows, texts and cautions have words of their own that carry the mark; a figure may stand in a drawing.
    """
    names = _name_figures(library, cited)
    if not names:
        return block
    titled: Any = block
    title = next((key for key in _TITLES if getattr(block, key, "")), "")
    if title:
        return replace(titled, **{title: getattr(block, title) + DOUBT})  # type: ignore[no-any-return]
    words = Paragraphs(f"{block.label}, in doubt", (f"{DOUBT} {'; '.join(names)}",), small=True)
    return Columns(((block, words),), (1.0,), block.label)


def _name_figures(library: Library, cited: Iterable[Cited]) -> list[str]:
    """The figures in doubt as a face calls them, without what exactly each measures."""
    figures = {id(each) for each in cited if isinstance(each, Dimension) and library.mark_doubt(each)}
    if not figures:  # so that a face with none doesn't follow from all the doubts there are
        return []
    return [_name_figure(each.name) for each in library.doubts if id(each.model) in figures]


def _name_figure(statement: str) -> str:
    *_, kind, name = statement.split("/")
    if kind == "tolerances":
        return say("tolerance, {of}", of=say(TOLERANCES[name]))
    return say(DIMENSIONS[name]).partition(" (")[0]
