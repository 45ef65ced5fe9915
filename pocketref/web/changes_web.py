"""What changed since the edition before, and the bulletin, as sections of the edition's page: their sheets in words."""

from __future__ import annotations

from dataclasses import replace

from pocketref.bulletins.bulletin import Bulletin
from pocketref.bulletins.bulletin_sheet import (
    BULLETIN_SHEET,
    build_bulletin_blocks,
    write_title,
)
from pocketref.changes.change_set import GROUPS, ChangeSet
from pocketref.changes.change_sheet import SUMMARY, build_blocks
from pocketref.pages.blocks import Block
from pocketref.pages.words import TableWords, Word
from pocketref.web.html_content import WebLink, WebLinks, WebPart, WebSection, WebWords
from pocketref.words.speech import say, say_count, say_day

SECTION, BULLETIN = "changes", "bulletin"


def write_changes_section(changes: ChangeSet) -> WebSection:
    """A part a block."""
    titles = {SUMMARY: say("In short")} | {name: say(heading) for name, heading in GROUPS.items()}
    parts = [
        WebPart(f"changes-{block.label}", titles[block.label], (WebWords(_list_words(block)),))
        for block in build_blocks(changes)
    ]
    return WebSection(SECTION, say("What changed"), tuple(parts))


def write_bulletin_section(bulletin: Bulletin) -> WebSection:
    """The whole bulletin as one part, and its sheet to print."""
    words = tuple(word for block in build_bulletin_blocks(bulletin) for word in _list_words(block))
    pages = say_count(1, "({count} page)", "({count} pages)")
    sheet = WebLinks((WebLink(f"{BULLETIN_SHEET}.pdf", say("PDF to print"), pages),))
    day = say_day(bulletin.model.date)
    part = WebPart("bulletin-sheet", write_title(bulletin), (WebWords(words), sheet), tag=day)
    return WebSection(BULLETIN, say("Bulletin"), (part,))


def _list_words(block: Block) -> tuple[Word, ...]:
    """What a block says; its tables hold sentences, so a phone shows them row by row."""
    return tuple(replace(w, is_narrow=False) if isinstance(w, TableWords) else w for w in block.words())
