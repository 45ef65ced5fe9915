"""The sheet "What changed": calls first, then figures, cautions and texts; what changes nothing comes last."""

from __future__ import annotations

from dataclasses import replace
from pathlib import Path

from pocketref.changes.change_set import EDITION, GROUPS, LAYOUTS, Change, ChangeSet
from pocketref.edition.manifest import BuiltFile
from pocketref.edition.pdf_file import build_pdf
from pocketref.edition.reuse import EarlierFiles
from pocketref.layouts.cards import LaidOut, lay_out_flow
from pocketref.layouts.footers import write_edition, write_governs, write_validity
from pocketref.layouts.layout_library import Layouts
from pocketref.pages.blocks import Block, Footer, Paragraphs, TitleBand
from pocketref.pages.pagination import Flow
from pocketref.pages.table_blocks import Cell, Column, TableBlock
from pocketref.problems import PocketrefError, Problem, explain_refusal
from pocketref.words.speech import say
from pocketref.words.terminal import tell, tell_count

CHANGE_SHEET = "sheets/what-changed"
"""Its name within an edition, without the ending."""
SUMMARY = "summary"
_LINES = (EDITION, LAYOUTS)
"""Groups that take a line, not a table."""


def build_change_sheet(
    changes: ChangeSet, layouts: Layouts, paper: str, earlier: EarlierFiles | None = None
) -> BuiltFile:
    """The sheet as a PDF, read back; PocketrefError if it is not printed as asked for."""
    laid_out = lay_out_changes(changes, layouts, paper)
    built = build_pdf(CHANGE_SHEET, laid_out.document, laid_out.floor_pt, earlier)
    counted = tell_count(
        changes.count, "{count} change from {old}", "{count} changes from {old}", old=changes.old
    )
    return replace(built, report=f"{built.report}; {counted}")


def write_sheet(sheet: BuiltFile, path: Path) -> None:
    """Put a sheet in a file of its own; PocketrefError ("file-unwritable") if it cannot be written."""
    try:
        path.write_bytes(sheet.data)
    except OSError as error:
        said = explain_refusal(str(path), error, "written", tell("name another file with --out"))
        raise PocketrefError([Problem("file-unwritable", *said)]) from None


def lay_out_changes(changes: ChangeSet, layouts: Layouts, paper: str) -> LaidOut:
    """As many pages of a paper as the changes take; PocketrefError as `lay_out_flow`."""
    edition = changes.edition

    def write_foot(page: int, pages: int) -> Footer:
        left = (
            write_edition(edition),
            say("page {page} of {pages}", page=page, pages=pages) if pages > 1 else "",
        )
        return Footer(left, (write_governs(), write_validity(edition)))

    title = say("What differs") if changes.is_of_codes else say("What changed")
    band = TitleBand(title, say("{old} to {new}", old=changes.old, new=changes.new))
    flow = Flow("what changed", band, write_foot, (build_blocks(changes),))
    return lay_out_flow("what-changed", changes.title, (flow,), paper, layouts, edition)


def build_blocks(changes: ChangeSet) -> tuple[Block, ...]:
    """The sentences at the top, then a table a group; what takes a line comes last."""
    was, now = say("Was, {old}", old=changes.old), say("Now, {new}", new=changes.new)
    if changes.is_of_codes:
        was, now = changes.old, changes.new
    columns = tuple(Column(header, flex=True) for header in (say("What"), was, now))
    blocks: list[Block] = [Paragraphs(SUMMARY, (changes.summary,))]
    for name, found in changes.groups.items():
        heading, none = say(GROUPS[name]), say("none")
        rows = [(write_what(change), change.old or none, change.write_new() or none) for change in found]
        if name in _LINES:
            line = "; ".join(
                say("{what} {new}, was {old}", what=what, new=new, old=old) for what, old, new in rows
            )
            blocks.append(Paragraphs(name, (f"*{heading}:* {line}.",), small=True))
        else:
            cells = tuple(tuple(map(Cell, row)) for row in rows)
            blocks.append(TableBlock(name, columns, cells, heading, grows=False))
    return tuple(blocks)


def write_what(change: Change) -> str:
    """What a row is of, with what follows from it."""
    follows = change.write_follows()
    return say("{what}. Follows: {follows}.", what=change.what, follows=follows) if follows else change.what
