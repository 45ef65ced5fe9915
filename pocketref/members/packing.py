"""Packing lists: what a chapter gets, as pages to check against the piles."""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import replace

from pocketref.edition.manifest import BuiltFile
from pocketref.edition.pdf_file import build_pdf
from pocketref.edition.proof import Proof
from pocketref.edition.reuse import REUSED, EarlierFiles
from pocketref.layouts.cards import lay_out_flow
from pocketref.layouts.footers import write_edition, write_governs
from pocketref.members.owned_cards import write_owner
from pocketref.members.parcels import ChapterTotal, PackedRow
from pocketref.pages.blanks import Blanks
from pocketref.pages.blocks import Footer, Paragraphs, TitleBand
from pocketref.pages.pagination import Flow
from pocketref.pages.table_blocks import Cell, Column, TableBlock
from pocketref.scene.textfit import keep_asterisks
from pocketref.words.speech import count

_COLUMNS = (
    Column("Number"),
    Column("Name", flex=True),
    Column("Code and level"),
    Column("Sets", "end"),
    Column("Cards", "end"),
    Column("Packed", "middle", 16.0),
)


def build_packing_list(
    total: ChapterTotal,
    packed: Sequence[PackedRow],
    proof: Proof,
    paper: str,
    earlier: EarlierFiles,
    what: str = "",
) -> BuiltFile:
    """A chapter's list on paper, with a box to tick for each row and blanks for who packed it; read back.

    `what` is packed, where it is not whole sets. PocketrefError ("block-too-large") if its columns have no room.
    """
    edition = proof.library.edition
    title = f"Packing list, {what.replace('-', ' ')}" if what else "Packing list"

    def write_foot(page: int, pages: int) -> Footer:
        return Footer((f"{write_edition(edition)}, page {page} of {pages}",), (write_governs(),))

    flow = Flow(
        what=f"packing list of {total.chapter}",
        head=TitleBand(title, total.chapter),
        foot=write_foot,
        parts=(
            (
                TableBlock("packing list", _COLUMNS, tuple(map(_write_row, packed)), grows=False),
                Blanks(("Packed by", "Date"), 2),
            ),
        ),
        opening=(Paragraphs("totals", (f"*{total.describe().capitalize()}.*",)),),
    )
    laid_out = lay_out_flow(
        "packing-list", f"{title}, {total.chapter}", [flow], paper, proof.layouts, edition
    )
    name = f"members/{total.folder}/packing-list"
    built = build_pdf(name, laid_out.document, laid_out.floor_pt, earlier, is_packed=True)
    if built.report.endswith(REUSED):
        return built
    return replace(built, report=f"{count(built.pages, 'page')}, {total.describe()}")


def _write_row(row: PackedRow) -> tuple[Cell, ...]:
    member = row.member
    name = write_owner(member).removesuffix(f", {member.number}")
    said = (member.number, name, f"{member.code}, {member.level}", f"{member.quantity}", f"{row.cards}")
    return (*map(Cell, map(keep_asterisks, said)), Cell(is_tick=True))
