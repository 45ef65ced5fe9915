"""The demo's cards, read and laid out once for the tests that look at their faces."""

from __future__ import annotations

from functools import cache
from pathlib import Path

from scene_measures import texts_of

from pocketref.layouts.cards import LaidOut, lay_out_card
from pocketref.layouts.layout_library import Layouts, read_layouts
from pocketref.output.contents import figures_in, items_of
from pocketref.pages.page import Page
from pocketref.scene.items import Text
from pocketref.source.library import Library, read_library
from pocketref.units.length import Length

ROOT = Path(__file__).parents[1]


@cache
def read_demo() -> tuple[Library, Layouts]:
    library = read_library(ROOT / "content")
    return library, read_layouts(ROOT / "layouts", library, ROOT / "content")


@cache
def lay_out(name: str, stock: str = "", distance_mm: int = 0) -> LaidOut:
    """A card on its own stock or another, to be read from its own distance or another."""
    library, layouts = read_demo()
    card = next(card for card in layouts.cards if card.card == name)
    if distance_mm:
        card = card.model_copy(update={"reading_distance": Length.from_mm(distance_mm)})
    return lay_out_card(card, library, layouts, stock)


CARDS = [card.card for card in read_demo()[1].cards]


def texts_on(page: Page) -> list[Text]:
    return texts_of(items_of(page.elements))


def words_on(page: Page) -> str:
    return " ".join(text.content for text in texts_on(page)).replace("\u00a0", " ")


def chart_texts_on(page: Page) -> list[Text]:
    charts = [figure for figure in figures_in(page) if figure.alt.startswith("Decision chart")]
    return texts_of(items_of(charts))
