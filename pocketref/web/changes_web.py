"""What changed since the edition before, as a section of the edition's page: the blocks of the sheet in words."""

from __future__ import annotations

from dataclasses import replace

from pocketref.changes.change_set import GROUPS, ChangeSet
from pocketref.changes.change_sheet import SUMMARY, build_blocks
from pocketref.pages.words import TableWords
from pocketref.web.html_content import WebPart, WebSection, WebWords

SECTION = "changes"


def write_changes_section(changes: ChangeSet) -> WebSection:
    """A part a block. Its tables hold sentences, so a phone shows them row by row."""
    titles = {SUMMARY: "In short"} | {name: heading for name, (heading, _) in GROUPS.items()}
    parts = []
    for block in build_blocks(changes):
        words = (
            replace(each, is_narrow=False) if isinstance(each, TableWords) else each for each in block.words()
        )
        parts.append(WebPart(f"changes-{block.label}", titles[block.label], (WebWords(tuple(words)),)))
    return WebSection(SECTION, "What changed", tuple(parts))
