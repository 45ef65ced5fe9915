"""What a reader calls a block of a face: its heading, or what else is read on it."""

from __future__ import annotations

from contextlib import suppress
from textwrap import shorten

from pocketref.blocks.kinds import AnyBlock, build_blocks
from pocketref.blocks.setting import Setting
from pocketref.pages.change_bar import Absent
from pocketref.pages.words import FigureWords, Heading, Listing, Panel, Paragraph, TableWords, Words
from pocketref.problems import PocketrefError
from pocketref.source.statements import DOUBT
from pocketref.words.speech import find_language, quote, say

_MOST = 60
"""How many letters are quoted at most of what has no heading."""


def name_block(model: AnyBlock, setting: Setting) -> str:
    """Its heading; else the title of its subject, or how what it shows begins; never a name of the source.

    What is read on the face, or told of a drawing, stands in quotation marks. The setting is a past one, so
    that what it lacks for the block is no fault.
    """
    label = kind = model.block.replace("-", " ")
    words: Words = ()
    with suppress(PocketrefError):  # it takes more room than there is here
        (made,) = build_blocks((model,), setting)
        label = kind if isinstance(made, Absent) else made.label.replace("-", " ")
        words = made.words()
    subject = setting.library.subjects.get(getattr(model, "subject", ""))
    quoted = _find_heading(words)
    if subject and not quoted:
        return f"{quote(subject.title)}, {say(kind)}"
    quoted = quoted or _quote(words) or _shorten(getattr(model, "alt", ""))
    if quoted:
        return quote(quoted.replace(DOUBT, ""))
    return say(kind) if find_language() else label


def _find_heading(words: Words) -> str:
    headings = (each for each in words if isinstance(each, Heading | Panel))
    return next((each.heading if isinstance(each, Panel) else each.text for each in headings), "")


def _quote(words: Words) -> str:
    """How the first thing begins that a block says."""
    match words:
        case (FigureWords(is_for_scanning=False) as figure, *_):
            return _shorten(figure.caption or figure.alt)
        case (TableWords() as table, *_):
            return _shorten(table.caption or table.name)
        case (Paragraph(text), *_) | (Listing((text, *_)), *_):
            return _shorten(text)
    return ""


def _shorten(text: str) -> str:
    sentence, _, _ = text.replace("*", "").partition(". ")
    return shorten(sentence, _MOST, placeholder=" …")
