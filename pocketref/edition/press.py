"""What a print shop gets: the card set on press sheets, and the page that checks the printing."""

from __future__ import annotations

from collections.abc import Iterator, Sequence
from dataclasses import dataclass, replace
from typing import cast

from pocketref.edition.manifest import BuiltFile
from pocketref.edition.pdf_file import build_pdf
from pocketref.edition.reuse import EarlierFiles
from pocketref.layouts.cards import LaidOut
from pocketref.layouts.footers import write_edition
from pocketref.layouts.layout_library import Layouts
from pocketref.layouts.print_check import lay_out_print_check
from pocketref.pages.page import Document, split_cards
from pocketref.pages.press.imposition import Flip, impose_cards
from pocketref.pages.press.press_grid import Order
from pocketref.pages.press.press_marks import make_press_document
from pocketref.pages.stock_models import suggest_stock
from pocketref.pages.stocks import Sheet, sheet_of
from pocketref.problems import Location, PocketrefError, Problem, amending, refusal, write_unknown
from pocketref.source.library import Library
from pocketref.words.speech import name_language, say

_SLUG_MM = 10.0
"""Paper around each card for its marks, bleed included."""


@dataclass(frozen=True, slots=True)
class PressRun:
    """How the cards go on paper: the paper's name in stocks.yaml, the flip edge, and the order."""

    paper: str = "letter"
    flip: Flip = "long"
    order: Order = "sequence"


def make_run(layouts: Layouts, paper: str = "", flip: str = "", order: str = "") -> PressRun:
    """A run as the house has it, but for what is given."""
    house = layouts.house
    return PressRun(
        paper or house.paper, cast("Flip", flip or house.flip), cast("Order", order or house.order)
    )


def check_run(run: PressRun, layouts: Layouts) -> None:
    """Raise PocketrefError unless the run's paper is one."""
    papers = [name for name, stock in layouts.stocks.items() if stock.kind == "paper"]
    if run.paper not in papers:
        hint = suggest_stock(run.paper, papers)
        raise refusal("paper-unknown", write_unknown("paper", run.paper), hint)


def check_press(cards: Sequence[LaidOut], library: Library, layouts: Layouts, run: PressRun) -> None:
    """Raise PocketrefError with everything that keeps the cards from being printed as the run says."""
    check_run(run, layouts)
    problems: list[Problem] = []
    for which, group in _group_cards(cards, layouts).items():
        try:
            _impose_group(which, group, library, layouts, run)
        except PocketrefError as error:
            problems += (problem for problem in error.problems if problem not in problems)
    if problems:
        raise PocketrefError(problems)


def build_press(
    cards: Sequence[LaidOut],
    library: Library,
    layouts: Layouts,
    run: PressRun,
    earlier: EarlierFiles | None = None,
    *,
    is_checked: bool = True,
) -> Iterator[BuiltFile]:
    """The set on press sheets and each face alone with its marks; if it `is_checked`, the page that checks printing.

    press/print-check-<paper>.pdf, and as `build_press_sheets` has it for "cards".
    """
    if not cards:
        return
    yield from build_press_sheets("cards", cards, library, layouts, run, earlier)
    if not is_checked:
        return
    check = _lay_out_check(sheet_of(layouts.stocks[run.paper]), library, layouts, run, cards[0].floor_pt)
    yield build_pdf(f"press/print-check-{run.paper}", check, cards[0].floor_pt, earlier)


def build_press_sheets(
    name: str,
    cards: Sequence[LaidOut],
    library: Library,
    layouts: Layouts,
    run: PressRun,
    earlier: EarlierFiles | None = None,
) -> Iterator[BuiltFile]:
    """Cards on press sheets, and each face alone with its marks.

    press/<name>-<paper>.pdf, press/<name>-with-marks.pdf. A set of its own has its name in them, as
    press/cards-lanyard-<paper>.pdf, and so has a level where there are cards of several. A set of cards of several
    sizes is cut size by size: then press/<name>-<stock>-<paper>.pdf and press/<name>-with-marks-<stock>.pdf for each.
    """
    check_run(run, layouts)
    floor_pt = cards[0].floor_pt
    day = library.edition.starts.isoformat()
    for which, group in _group_cards(cards, layouts).items():
        imposed = replace(_impose_group(which, group, library, layouts, run), press_day=day)
        yield build_pdf(_join(f"press/{name}", which, run.paper), imposed, floor_pt, earlier)
        marked = replace(_mark_group(which, group, library), press_day=day)
        yield build_pdf(_join(f"press/{name}-with-marks", which), marked, floor_pt, earlier)


def _join(*parts: str) -> str:
    return "-".join(part for part in parts if part)


def _group_cards(cards: Sequence[LaidOut], layouts: Layouts) -> dict[str, list[LaidOut]]:
    """What is ordered and cut as one, by the name of the level where the folder has cards of several, of the set and,
    where these have several trimmed sizes, of the stock.

    Stocks of one size are cut as one; the first of them gives its name.
    """
    keys = {card.key for card in layouts.cards}
    names = {card.card: _join(card.key if len(keys) > 1 else "", card.set_) for card in layouts.cards}
    groups: dict[tuple[str, float, float], list[LaidOut]] = {}
    for card in cards:
        page = card.document.pages[0]
        size = (round(page.width_mm, 3), round(page.height_mm, 3))
        groups.setdefault((names.get(card.name, ""), *size), []).append(card)
    found = [name for name, *_ in groups]
    return {
        _join(name, group[0].stock if found.count(name) > 1 else ""): group
        for (name, *_), group in groups.items()
    }


def _impose_group(
    which: str, cards: Sequence[LaidOut], library: Library, layouts: Layouts, run: PressRun
) -> Document:
    """Cards of one size on press sheets; what keeps them off is told where it stands in the source."""
    sheet = sheet_of(layouts.stocks[run.paper])
    documents = [document for card in cards for document in split_cards(card.document)]
    edition = ", ".join(filter(None, (write_edition(library.edition), which)))
    association = library.edition.locate("association")
    places = {"card-too-large": _find_stock(cards[0], layouts), "slug-too-long": association}
    with amending(lambda p: replace(p, where=p.where or places.get(p.code))):
        return impose_cards(documents, sheet, flip=run.flip, order=run.order, edition=edition)


def _find_stock(card: LaidOut, layouts: Layouts) -> Location | None:
    """Where a card's layout, or the house, names its stock; None if it was laid out on another."""
    for model in layouts.cards:
        if model.card == card.name and model.stock == card.stock:
            where = model.locate("stock")
            return layouts.house.locate("card-stock") if where == model.location else where
    return None


def _mark_group(which: str, cards: Sequence[LaidOut], library: Library) -> Document:
    """Each face of cards of one size on a page of its own, with its marks."""
    edition = library.edition
    marked = [make_press_document(card.document, card.bleed_mm, _SLUG_MM) for card in cards]
    title = (say("Cards with marks"), which, write_edition(edition))
    return Document(
        ", ".join(filter(None, title)),
        f"cards with marks, edition {edition.mark}",
        edition.association,
        tuple(page for document in marked for page in document.pages),
        cards[0].document.language,
        duplex=cards[0].document.duplex,
    )


def _lay_out_check(
    sheet: Sheet, library: Library, layouts: Layouts, run: PressRun, floor_pt: float
) -> Document:
    """The page that checks the printing."""
    edition = write_edition(library.edition)
    papers = {name: stock for name, stock in layouts.stocks.items() if stock.kind == "paper"}
    others = [sheet_of(stock) for name, stock in papers.items() if name != run.paper]
    page = lay_out_print_check(sheet, others=others, flip=run.flip, edition=edition, floor_pt=floor_pt)
    subject = f"print check, edition {library.edition.mark}"
    title = say("Print check, {edition}", edition=edition)
    return Document(title, subject, library.edition.association, (page,), language=name_language())
