"""What a print shop gets: the card set on press sheets, and the page that checks the printing."""

from __future__ import annotations

from collections.abc import Iterator, Sequence
from dataclasses import dataclass

from pocketref.edition.manifest import BuiltFile
from pocketref.edition.pdf_file import build_pdf
from pocketref.edition.reuse import Shelf
from pocketref.pages.cards import LaidOut, write_edition
from pocketref.pages.imposition import Flip, impose_cards
from pocketref.pages.page import Document
from pocketref.pages.press import make_press_document
from pocketref.pages.press_grid import Order
from pocketref.pages.print_check import lay_out_print_check
from pocketref.pages.stocks import sheet_of
from pocketref.problems import PocketrefError, Problem, suggest_match
from pocketref.source.layout_library import Layouts
from pocketref.source.library import Library

_SLUG_MM = 10.0
"""Paper around each card for its marks, bleed included."""


@dataclass(frozen=True, slots=True)
class PressRun:
    """How the cards go on paper: the paper's name in stocks.yaml, the flip edge, and the order."""

    paper: str = "letter"
    flip: Flip = "long"
    order: Order = "sequence"


def check_run(run: PressRun, layouts: Layouts) -> None:
    """Raise PocketrefError unless the run's paper is one."""
    papers = [name for name, stock in layouts.stocks.items() if stock.kind == "paper"]
    if run.paper not in papers:
        sentence = f"there is no paper '{run.paper}'"
        raise PocketrefError([Problem("paper-unknown", sentence, suggest_match(run.paper, papers))])


def build_press(
    cards: Sequence[LaidOut],
    library: Library,
    layouts: Layouts,
    run: PressRun,
    shelf: Shelf | None = None,
) -> Iterator[BuiltFile]:
    """The set on press sheets and each face alone with its marks; and the page that checks the printing.

    press/cards-<paper>.pdf, press/cards-with-marks.pdf, press/print-check-<paper>.pdf.
    """
    if not cards:
        return
    check_run(run, layouts)
    sheet = sheet_of(layouts.stocks[run.paper])
    edition = write_edition(library.edition)
    floor_pt = cards[0].floor_pt
    documents = [card.document for card in cards]
    imposed = impose_cards(documents, sheet, flip=run.flip, order=run.order, edition=edition)
    yield build_pdf(f"press/cards-{run.paper}", imposed, floor_pt, shelf)
    marked = [make_press_document(card.document, card.bleed_mm, _SLUG_MM) for card in cards]
    pages = tuple(page for document in marked for page in document.pages)
    whole = Document(
        f"Cards with marks, {edition}",
        f"cards with marks, edition {library.edition.edition}",
        library.edition.association,
        pages,
        duplex=documents[0].duplex,
    )
    yield build_pdf("press/cards-with-marks", whole, floor_pt, shelf)
    others = [
        sheet_of(stock)
        for name, stock in layouts.stocks.items()
        if stock.kind == "paper" and name != run.paper
    ]
    page = lay_out_print_check(sheet, others=others, flip=run.flip, edition=edition, floor_pt=floor_pt)
    check = Document(
        f"Print check, {edition}",
        f"print check, edition {library.edition.edition}",
        library.edition.association,
        (page,),
    )
    yield build_pdf(f"press/print-check-{run.paper}", check, floor_pt, shelf)
