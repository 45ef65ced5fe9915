"""A page ready to be written: its boxes, and its elements in reading order."""

from __future__ import annotations

from collections.abc import Mapping
from dataclasses import dataclass, field, replace
from enum import StrEnum

from pocketref.scene.inks import change_inks
from pocketref.scene.items import Ink, Item
from pocketref.words.speech import say

PAGES = ("Front", "Back", "Page", "Face", "Tile", "Slide")
"""The words that names of pages begin with."""


class Role(StrEnum):
    """What an element is to a reader who cannot see it (names after the PDF standard structure types)."""

    TITLE = "H1"
    HEADING = "H2"
    PARAGRAPH = "P"
    LIST = "L"
    LIST_ITEM = "LI"
    TABLE = "Table"
    TABLE_ROW = "TR"
    TABLE_HEADER = "TH"
    TABLE_CELL = "TD"
    FIGURE = "Figure"
    SECTION = "Sect"
    DECORATION = "Artifact"


@dataclass(frozen=True, slots=True)
class Element:
    """Items that belong together, with their role; children follow the element's own items.

    `alt` describes a figure in words. `label` names the block in messages.
    """

    role: Role
    items: tuple[Item, ...] = ()
    children: tuple[Element, ...] = ()
    alt: str = ""
    label: str = ""
    scope: str = ""
    """For a table header: "Column" or "Row"."""
    language: str = ""
    """The tag (BCP 47) of what it says; "" for the language of what it is part of."""


@dataclass(frozen=True, slots=True)
class Box:
    """A rectangle on a page in mm: lower left corner and size."""

    x: float
    y: float
    width_mm: float
    height_mm: float

    @property
    def right(self) -> float:
        """The right edge, mm."""
        return self.x + self.width_mm

    @property
    def top(self) -> float:
        """The upper edge, mm."""
        return self.y + self.height_mm

    def inset(self, by_mm: float) -> Box:
        """The rectangle `by_mm` inside this one on every side."""
        return Box(self.x + by_mm, self.y + by_mm, self.width_mm - 2 * by_mm, self.height_mm - 2 * by_mm)


@dataclass(frozen=True, slots=True)
class Page:
    """One page of a document. `media` starts at (0, 0); trim and bleed default to it; text stays in `safe`.

    `language` is the tag (BCP 47) of what it says; "" for the document's.
    """

    name: str
    width_mm: float
    height_mm: float
    elements: tuple[Element, ...]
    safe: Box
    trim: Box | None = None
    bleed: Box | None = None
    language: str = ""


@dataclass(frozen=True, slots=True)
class Document:
    """Pages that make one file, and what the file says of itself. `duplex` is the flip edge for printing."""

    title: str
    subject: str
    author: str
    pages: tuple[Page, ...]
    language: str = "en-US"
    duplex: str = ""
    """"", "long" or "short"."""
    keywords: tuple[str, ...] = field(default=())
    press_day: str = ""
    """The day that a file for the print shop is dated, as 2027-02-01; "" for what is read."""


def split_cards(document: Document) -> tuple[Document, ...]:
    """A document of two pages for each card that its faces take, front and back."""
    pages = document.pages
    return tuple(replace(document, pages=pages[at : at + 2]) for at in range(0, len(pages), 2))


def change_page_inks(page: Page, inks: Mapping[Ink, Ink]) -> Page:
    """The page with each ink that is a key of `inks` changed for its value, wherever it is used."""
    return replace(page, elements=tuple(_change_element(element, inks) for element in page.elements))


def _change_element(element: Element, inks: Mapping[Ink, Ink]) -> Element:
    children = tuple(_change_element(child, inks) for child in element.children)
    return replace(element, items=change_inks(element.items, inks), children=children)


def say_name(name: str) -> str:
    """A page's name in the language in force: "front", "face-3", "page 2"."""
    word = name.rstrip("-0123456789 ")
    return say(word.capitalize()).lower() + name[len(word) :] if word.capitalize() in PAGES else name
