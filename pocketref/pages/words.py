"""What a block says, whatever it looks like: the small closed tree that a reader who cannot see it is given.

Running text may hold bold words between asterisks.
"""

from __future__ import annotations

from collections.abc import Iterator, Mapping, Sequence
from dataclasses import dataclass, fields, is_dataclass

from pocketref.scene.charts.flow_layout import FlowNode


@dataclass(frozen=True, slots=True)
class Heading:
    """A line above what belongs to it."""

    text: str


@dataclass(frozen=True, slots=True)
class Paragraph:
    """Running text; a line break parts lines that stand on their own, as in a footer."""

    text: str


@dataclass(frozen=True, slots=True)
class Listing:
    """The items of a list, or steps if it is numbered."""

    entries: tuple[str, ...]
    is_numbered: bool = False


@dataclass(frozen=True, slots=True)
class Blank:
    """Room to write or type in, by what belongs there."""

    label: str


@dataclass(frozen=True, slots=True)
class TableWords:
    """Rows of cells, each headed by its first. `name` says what it is where there is no `caption`.

    In a cell each line stands on its own. A table that `is_narrow` is shown as it is on a phone too. `row_names` are
    ids by which links lead to its rows, all of them or none.
    """

    name: str
    columns: tuple[str, ...]
    rows: tuple[tuple[str | Blank, ...], ...]
    caption: str = ""
    is_narrow: bool = True
    row_names: tuple[str, ...] = ()


def find_row_head(row: Sequence[str | Blank]) -> int | None:
    """Which cell of a row heads it: the first that says something."""
    return next((n for n, cell in enumerate(row) if isinstance(cell, str) and cell.strip(" *")), None)


@dataclass(frozen=True, slots=True)
class Panel:
    """A framed list under a heading in reverse, as a caution is."""

    heading: str
    entries: tuple[str, ...]


@dataclass(frozen=True, slots=True)
class Choices:
    """Answers to choose one from, lettered from A on; `question` is what they answer."""

    question: str
    entries: tuple[str, ...]


@dataclass(frozen=True, slots=True)
class FigureWords:
    """A drawing: what it shows in words, and the caption under it. One to be scanned is of use in print alone."""

    alt: str
    caption: str = ""
    is_for_scanning: bool = False


@dataclass(frozen=True, slots=True)
class ChartWords:
    """A decision chart, drawn too: its nodes by key, and the root's key. `name` tells charts apart."""

    name: str
    nodes: Mapping[str, FlowNode]
    root: str


Word = Heading | Paragraph | Listing | Blank | TableWords | Panel | Choices | FigureWords | ChartWords
Words = tuple[Word, ...]
"""In reading order. Each figure and chart stands for one drawn figure of the block, in the same order."""


def list_texts(value: object) -> Iterator[str]:
    """Every text in the words of a block, or in what is drawn of it, in no order."""
    if isinstance(value, str):
        yield value
    elif isinstance(value, Mapping):
        yield from list_texts(tuple(value.values()))
    elif isinstance(value, tuple | list):
        for each in value:
            yield from list_texts(each)
    elif is_dataclass(value):
        for field in fields(value):
            yield from list_texts(getattr(value, field.name))
