"""Which faces a change of the source alters, and which of them carry a change bar: both from whole faces laid out."""

from __future__ import annotations

from collections.abc import Iterator, Mapping
from dataclasses import dataclass, replace
from itertools import zip_longest

from leaf_changes import Path, list_leaf_changes

from pocketref.layouts.cards import LaidOut, lay_out_card, lay_out_sheet
from pocketref.layouts.layout_library import Layouts
from pocketref.layouts.layout_models import CardModel, SheetModel
from pocketref.pages.change_bar import BAR_MM
from pocketref.pages.page import Element, Page, Role
from pocketref.pages.words import Words
from pocketref.problems import PocketrefError
from pocketref.scene.items import Shape
from pocketref.scene.paths import extent_of
from pocketref.source.library import Library

Face = tuple[str, int]
"""A card or sheet by name, and the number of its page."""


@dataclass(frozen=True)
class Disagreement:
    """A change of one statement, the faces that it alters without a bar, and those with a bar that it leaves alone."""

    path: Path
    unmarked: frozenset[Face]
    mismarked: frozenset[Face]


def is_statement(path: Path) -> bool:
    """Whether a leaf is a dimension, what a row rules, a sentence of a caution or of a mechanics text."""
    group, *inner = path
    return (
        (group == "fields" and inner[1] == "dimensions" and inner[-1] == "value")
        or (group == "rulings" and inner[1] == "rows" and inner[-1] == "ruling")
        or (group in {"cautions", "texts"} and "entries" in inner)
    )


def list_statement_changes(library: Library) -> list[tuple[Path, Library]]:
    """Each single change of a statement."""
    return [(path, changed) for path, changed in list_leaf_changes(library) if is_statement(path)]


def find_disagreements(
    library: Library, layouts: Layouts, changes: list[tuple[Path, Library]]
) -> Iterator[Disagreement]:
    """The changes after which the faces with bars are not the faces that look otherwise.

    What can't be compared face by face is left out: a card that the older text, or a bar beside the newer one, leaves
    no room for, as publish refuses it; one that takes another number of faces; a face that is cut elsewhere with bars.
    """
    now = _lay_out_all(library, layouts)
    for path, older in changes:
        before, marked = _lay_out_all(older, layouts), _lay_out_all(library, layouts, older)
        both = {
            face
            for face in before.keys() & marked.keys()
            if before[face][1] == marked[face][1] and marked[face][2] == now[face][2]
        }
        differ = {face for face in both if _strip(before[face][0]) != _strip(now[face][0])}
        barred = {face for face in both if has_bar(marked[face][0].elements)}
        if differ != barred:
            yield Disagreement(path, frozenset(differ - barred), frozenset(barred - differ))


def has_bar(elements: tuple[Element, ...]) -> bool:
    """Whether a change bar is drawn anywhere."""
    return any(
        (
            element.role is Role.DECORATION
            and any(isinstance(item, Shape) and not item.stroke and _is_bar(item) for item in element.items)
        )
        or has_bar(element.children)
        for element in elements
    )


def _is_bar(item: Shape) -> bool:
    left, _, right, _ = extent_of(item)
    return abs(right - left - BAR_MM) < 1e-6


def _strip(page: Page) -> tuple[Element, ...]:
    """What a page shows but for the QR code, whose digest every change alters."""

    def strip(elements: tuple[Element, ...]) -> tuple[Element, ...]:
        return tuple(
            replace(element, children=strip(element.children))
            for element in elements
            if element.label != "QR code"
        )

    return strip(page.elements)


def _lay_out_all(
    library: Library, layouts: Layouts, previous: Library | None = None
) -> Mapping[Face, tuple[Page, int, Words]]:
    """Each face, how many its card or sheet has, and what its blocks say."""
    faces: dict[Face, tuple[Page, int, Words]] = {}
    for model in (*layouts.cards, *layouts.sheets):
        try:
            laid_out = _lay_out(model, library, layouts, previous)
        except PocketrefError:
            continue
        name = model.card if isinstance(model, CardModel) else model.sheet
        pages = laid_out.document.pages
        for number, (page, face) in enumerate(
            zip_longest(pages, laid_out.faces)
        ):  # a template's tiles are no faces
            said = tuple(word for block in face.body for word in block.words()) if face else ()
            faces[name, number] = page, len(pages), said
    return faces


def _lay_out(
    model: CardModel | SheetModel, library: Library, layouts: Layouts, previous: Library | None
) -> LaidOut:
    if isinstance(model, CardModel):
        return lay_out_card(model, library, layouts, previous=previous)
    return lay_out_sheet(model, library, layouts, previous=previous)
