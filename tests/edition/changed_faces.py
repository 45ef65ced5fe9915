"""Which faces a change of the source alters, and which of them carry a change bar: both from whole faces laid out."""

from __future__ import annotations

from collections.abc import Iterator
from contextlib import suppress
from dataclasses import dataclass, replace
from itertools import zip_longest

from leaf_changes import Path, list_leaf_changes

from pocketref.layouts.cards import LaidOut, lay_out_card, lay_out_sheet
from pocketref.layouts.layout_library import Layouts
from pocketref.layouts.layout_models import CardModel, SheetModel
from pocketref.layouts.places import needs_places
from pocketref.look.noted_library import Notes, note_reads
from pocketref.pages.change_bar import BAR_MM
from pocketref.pages.page import Element, Page, Role
from pocketref.pages.words import Words
from pocketref.problems import PocketrefError
from pocketref.scene.items import Shape
from pocketref.scene.paths import extent_of
from pocketref.source.library import Library

Face = tuple[str, int]
"""A card or sheet by name, and the number of its page."""
Model = CardModel | SheetModel


@dataclass(frozen=True)
class Disagreement:
    """A change of one statement, the faces that it alters without a bar, and those with a bar that it leaves alone."""

    path: Path
    unmarked: frozenset[Face]
    mismarked: frozenset[Face]


@dataclass(frozen=True)
class Kept:
    """A card or sheet as it is now, its bars beside itself, and what it reads of its source and of the one before."""

    model: Model
    now: LaidOut | None
    barred: set[Face]
    alone: Notes
    beside: Notes

    def reads_alike(self, older: Library) -> bool:
        """Whether all that it reads is the same in an older source."""
        return self.alone.still_hold(older) and self.beside.still_hold(older)


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


class WholeEdition:
    """Every card and sheet as laid out now, and beside itself, with notes of what each read of the source.

    A card or sheet that read nothing of what a change alters is not laid out again for that change.
    """

    def __init__(self, library: Library, layouts: Layouts) -> None:
        self.library, self.layouts = library, layouts
        self.kept: list[Kept] = []
        for model in sorted((*layouts.cards, *layouts.sheets), key=_lists_others):
            alone, beside = Notes(library), Notes(library)
            now = self._lay_out(model, note_reads(alone), self._list_now())
            same = self._lay_out(model, library, self._list_now(), note_reads(beside))
            self.kept.append(Kept(model, now, _list_barred(same), alone, beside))

    def find_disagreements(self, changes: list[tuple[Path, Library]]) -> Iterator[Disagreement]:
        """The changes after which the faces with bars are not the faces that look otherwise."""
        for path, older in changes:
            before: list[LaidOut] = []
            unmarked: set[Face] = set()
            mismarked: set[Face] = set()
            for kept in self.kept:
                if not _lists_others(kept.model) and kept.reads_alike(older):
                    before += [kept.now] if kept.now else []
                    continue
                old = self._lay_out(kept.model, older, before)
                before += [old] if old else []
                marked = self._lay_out(kept.model, self.library, self._list_now(), older)
                if old and marked and kept.now:
                    differ, barred = _compare(old, kept.now, marked)
                    unmarked |= differ - barred
                    mismarked |= barred - differ
            if unmarked or mismarked:
                yield Disagreement(path, frozenset(unmarked), frozenset(mismarked))

    def _list_now(self) -> list[LaidOut]:
        return [kept.now for kept in self.kept if kept.now]

    def _lay_out(
        self, model: Model, library: Library, placed: list[LaidOut], previous: Library | None = None
    ) -> LaidOut | None:
        """A card or sheet; None where it has no room, as publish refuses it."""
        with suppress(PocketrefError):
            if isinstance(model, CardModel):
                return lay_out_card(model, library, self.layouts, previous=previous, placed=placed)
            return lay_out_sheet(model, library, self.layouts, previous=previous)
        return None


def _lists_others(model: Model) -> bool:
    return isinstance(model, CardModel) and needs_places(model)


def _compare(before: LaidOut, now: LaidOut, marked: LaidOut) -> tuple[set[Face], set[Face]]:
    """The faces of a card that look otherwise than an older source's, and those with a bar.

    What can't be compared face by face is left out: another number of faces; a face that is cut elsewhere with bars.
    """
    pages = [laid_out.document.pages for laid_out in (before, now, marked)]
    if len(pages[0]) != len(pages[2]):
        return set(), set()
    said, say = _list_words(now), _list_words(marked)
    both = [number for number in range(min(map(len, pages))) if said[number] == say[number]]
    differ = {(now.name, number) for number in both if _strip(pages[0][number]) != _strip(pages[1][number])}
    return differ, {face for face in _list_barred(marked) if face[1] in both}


def _list_barred(laid_out: LaidOut | None) -> set[Face]:
    pages = laid_out.document.pages if laid_out else ()
    return {(laid_out.name, number) for number, page in enumerate(pages) if has_bar(page.elements)}


def _list_words(laid_out: LaidOut) -> list[Words]:
    """What the blocks of each page say; a template's tiles have none."""
    pages = zip_longest(laid_out.document.pages, laid_out.faces)
    return [tuple(word for block in face.body for word in block.words()) if face else () for _, face in pages]


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
