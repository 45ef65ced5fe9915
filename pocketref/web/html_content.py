"""What a web page holds: sections of parts, each part a card, a drawing, a table, words, choices or links."""

from __future__ import annotations

import re
from collections.abc import Mapping
from dataclasses import dataclass, field

from pocketref.pages.page import Page
from pocketref.scene.flow_layout import FlowNode
from pocketref.scene.items import Item

_ID = re.compile(r"[a-z][a-z0-9-]*")


def _check_id(name: str) -> None:
    """Ids stand in links and style rules as they are."""
    if not _ID.fullmatch(name):
        raise ValueError(f"{name!r} cannot be an id: use lower-case letters, digits and hyphens")


@dataclass(frozen=True, slots=True)
class ChartNodes:
    """A decision chart before it is drawn: its nodes by key, and the root's key."""

    nodes: Mapping[str, FlowNode]
    root: str


@dataclass(frozen=True, slots=True)
class WebFaces:
    """Laid-out pages, written out in reading order.

    `charts` are the nodes of the figures drawn from them, by the figure's label: each is also written as a
    nested list, where it first stands.
    """

    pages: tuple[Page, ...]
    charts: Mapping[str, ChartNodes] = field(default_factory=dict)


@dataclass(frozen=True, slots=True)
class WebPicture:
    """A drawing that stands on no page. `alt` is what it shows in words, which all readers see if `is_told`."""

    items: tuple[Item, ...]
    alt: str
    caption: str
    is_told: bool = True


@dataclass(frozen=True, slots=True)
class WebTable:
    """A table whose first column heads its rows.

    In a cell each line stands on its own, and what stands between asterisks is bold.
    """

    caption: str
    columns: tuple[str, ...]
    rows: tuple[tuple[str, ...], ...]
    is_narrow: bool = False
    """Whether a phone has room for it as it is; else that shows it row by row."""


@dataclass(frozen=True, slots=True)
class WebProse:
    """Paragraphs, or the items of a list, under a heading if there is one; what is between asterisks is bold."""

    entries: tuple[str, ...]
    is_list: bool = False
    heading: str = ""
    is_numbered: bool = False
    """Whether the items of the list are steps."""


@dataclass(frozen=True, slots=True)
class WebPanel:
    """A framed list under a heading in reverse, as a caution is."""

    heading: str
    entries: tuple[str, ...]


@dataclass(frozen=True, slots=True)
class WebChoices:
    """Answers to choose one from, lettered from A on; `question` is what they answer."""

    question: str
    entries: tuple[str, ...]


@dataclass(frozen=True, slots=True)
class WebBlanks:
    """Fields to write or type in, each under its label. Nothing that is typed leaves the page."""

    labels: tuple[str, ...]


@dataclass(frozen=True, slots=True)
class WebLink:
    """A file of the edition, by its name within the folder, and what is said of it."""

    href: str
    words: str
    note: str = ""


@dataclass(frozen=True, slots=True)
class WebLinks:
    """A list of files to open or keep."""

    links: tuple[WebLink, ...]


WebContent = WebFaces | WebPicture | WebTable | WebProse | WebPanel | WebChoices | WebBlanks | WebLinks


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
class WebPage:
    """A page that needs no other file: `lead` and `foot` are the lines at its head and foot."""

    title: str
    heading: str
    sections: tuple[WebSection, ...]
    lead: tuple[str, ...] = ()
    foot: tuple[str, ...] = ()
    language: str = "en-US"
