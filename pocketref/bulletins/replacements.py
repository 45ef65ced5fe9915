"""Replacement cards for the print shop: those alone that a bulletin changed, each filling a press sheet."""

from __future__ import annotations

from collections.abc import Iterator
from dataclasses import replace

from pocketref.bulletins.bulletin import Bulletin
from pocketref.edition.manifest import BuiltFile
from pocketref.edition.press import PressRun, build_press_sheets
from pocketref.edition.proof import Proof
from pocketref.edition.reuse import EarlierFiles
from pocketref.layouts.cards import LaidOut

REPLACEMENTS = "replacement-cards"
"""How the names of their files begin, in the folder press."""


def build_replacements(
    proof: Proof, bulletin: Bulletin, run: PressRun, earlier: EarlierFiles | None = None
) -> Iterator[BuiltFile]:
    """The cards, front and back, on press sheets, as `build_press_sheets` names them; none if no card changed.

    Everybody needs one of each, so that a card fills its sheets, whatever the order of the edition's cards.
    """
    cards = list_replacements(proof, bulletin)
    if cards:
        run = replace(run, order="repeat")
        yield from build_press_sheets(REPLACEMENTS, cards, proof.library, proof.layouts, run, earlier)


def list_replacements(proof: Proof, bulletin: Bulletin) -> list[LaidOut]:
    """The cards that the newest bulletin changed, of cards with more than two faces only the changed pairs."""
    laid_out = {item.name: item for item in proof.printed}
    found: dict[str, list[int]] = {}
    for concerned in bulletin.cards:
        if concerned.is_new and concerned.name in laid_out:
            found.setdefault(concerned.name, []).extend((2 * concerned.at, 2 * concerned.at + 1))
    return [_keep_pages(laid_out[name], pages) for name, pages in found.items()]


def _keep_pages(item: LaidOut, pages: list[int]) -> LaidOut:
    document = replace(item.document, pages=tuple(item.document.pages[page] for page in pages))
    faces, sizes = tuple(item.faces[page] for page in pages), tuple(item.sizes[page] for page in pages)
    return replace(item, document=document, faces=faces, sizes=sizes)
