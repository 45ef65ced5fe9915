"""What a web page holds: sections of parts, each a card, a sheet or a table in words and drawings, or links."""

from __future__ import annotations

import re
from collections.abc import Mapping
from dataclasses import dataclass

from pocketref.pages.words import Words
from pocketref.scene.items import Item

_ID = re.compile(r"[a-z][a-z0-9-]*")


def _check_id(name: str) -> None:
    """Ids stand in links and style rules as they are."""
    if not _ID.fullmatch(name):
        raise ValueError(f"{name!r} cannot be an id: use lower-case letters, digits and hyphens")


@dataclass(frozen=True, slots=True)
class WebWords:
    """What blocks say, with the items of each drawing among it. `side` names the face that it stands on, if any.

    Unless it `is_told`, what figures show is said to those alone who cannot see them.
    """

    words: Words
    drawings: tuple[tuple[Item, ...], ...] = ()
    side: str = ""
    is_told: bool = True
    is_black_on_white: bool = False
    """Whether the drawings stay so on a dark screen too, as where a legend tells of what is dark in them."""


@dataclass(frozen=True, slots=True)
class WebLink:
    """A file of the edition, by its name within the folder, what is said of it, and the same in other forms."""

    href: str
    words: str
    note: str = ""
    also: tuple[WebLink, ...] = ()


@dataclass(frozen=True, slots=True)
class WebLinks:
    """A list of files to open or keep."""

    links: tuple[WebLink, ...]


WebContent = WebWords | WebLinks


@dataclass(frozen=True, slots=True)
class WebPart:
    """What is found, shown and hidden together: one card, one sheet, one table.

    `name` is its id on the page; `number` and `tag` stand in its band beside the title.
    """

    name: str
    title: str
    contents: tuple[WebContent, ...]
    number: str = ""
    tag: str = ""

    def __post_init__(self) -> None:
        _check_id(self.name)


@dataclass(frozen=True, slots=True)
class WebSection:
    """Parts of one kind under a heading. `name` is its id on the page.

    In print each part begins a page, unless the section `is_close`: then they follow one another.
    """

    name: str
    title: str
    parts: tuple[WebPart, ...]
    intro: str = ""
    is_close: bool = False

    def __post_init__(self) -> None:
        _check_id(self.name)


@dataclass(frozen=True, slots=True)
class WebLanguage:
    """A page in another language: that one's tag (BCP 47), what it calls itself, and where the page is."""

    tag: str
    title: str
    href: str


@dataclass(frozen=True, slots=True)
class WebPage:
    """A page that needs no other file: `lead` and `foot` are the lines at its head and foot."""

    title: str
    heading: str
    sections: tuple[WebSection, ...]
    lead: tuple[str, ...] = ()
    foot: tuple[str, ...] = ()
    language: str = "en-US"
    data: Mapping[str, object] | None = None
    """What the views compute with, by name; None for a page that is only read."""
    feed: str = ""
    """An Atom feed, if there is one, from the page on."""
    others: tuple[WebLanguage, ...] = ()
    """The page in the edition's other languages."""
