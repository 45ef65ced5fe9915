"""Stickers: what a correction changed on a card, as it would be printed in place of the old words, to stick over them.

The corrected blocks are drawn where the card in the hand has the old ones, in its type: the rest of the face has not to
move, and what fits over the old words covers them.
"""

from __future__ import annotations

from collections import Counter
from collections.abc import Iterable, Iterator, Sequence
from dataclasses import dataclass, replace
from itertools import pairwise

from pocketref.edition.proof import Proof
from pocketref.layouts.cards import LaidOut, lay_out_card
from pocketref.layouts.layout_models import CardModel
from pocketref.layouts.places import needs_places
from pocketref.output.contents import items_of
from pocketref.pages.blocks import Block
from pocketref.pages.change_bar import ChangeBar
from pocketref.pages.composition import SLACK_MM, Columns, Face, place_face, place_stack
from pocketref.pages.page import Box
from pocketref.pages.stocks import content_box
from pocketref.pages.type_scale import TypeSizes
from pocketref.problems import PocketrefError
from pocketref.scene.inks import change_inks
from pocketref.scene.items import Item, LineTo, MoveTo, Shape, Text
from pocketref.scene.paths import extent_of, extent_of_all, polyline
from pocketref.source.digest import FIELD
from pocketref.source.library import Library
from pocketref.words.speech import speak

_PAD_MM = 0.5
"""White around what is covered, for a hand that sticks it not quite straight."""
_MOST_SHARE = 0.4
"""How much of a face is stuck over at most."""
_MOST = 4
"""How many stickers a face bears at most."""
MOVED = "its blocks stand otherwise"
ADDED = "it is new"
LARGER = "what changed takes more room than it had"
MANY = "too much of it changed"
LISTS = "it lists where other cards have things"
REASONS = (MOVED, ADDED, LARGER, MANY, LISTS)
"""Why a card is to be replaced."""


@dataclass(frozen=True, slots=True)
class Sticker:
    """What covers a piece of a face: the items at their places on it, and the piece's box."""

    face: str
    box: Box
    items: tuple[Item, ...]
    top_mm: float
    """How far its upper edge is below that of the card."""


@dataclass(frozen=True, slots=True)
class Patch:
    """What corrects a card of earlier editions, by their marks: stickers, or why it has to be replaced."""

    marks: tuple[str, ...]
    stickers: tuple[Sticker, ...]
    why_not: str = ""


def find_patches(
    proof: Proof, item: LaidOut, model: CardModel, at: int, marks: Sequence[str]
) -> Iterator[Patch]:
    """What corrects a card, one of those that its layout fills, that was handed out under some marks."""
    known: dict[tuple[tuple[Sticker, ...], str], list[str]] = {}
    for mark in marks:
        known.setdefault(_patch(proof, item, model, at, mark), []).append(mark)
    for (stickers, why_not), alike in known.items():
        yield Patch(tuple(alike), stickers, why_not)


def _patch(
    proof: Proof, item: LaidOut, model: CardModel, at: int, mark: str
) -> tuple[tuple[Sticker, ...], str]:
    if needs_places(model):
        return (), LISTS
    before: list[Library | None] = [None, *proof.past]
    ((older, past),) = [
        (one, other) for one, other in pairwise(before) if other and other.edition.mark == mark
    ]
    was = past.layouts.get(f"cards/{model.card}", None if past.layouts else model)
    if not isinstance(was, CardModel):
        return (), ADDED
    if (was.stock, was.sides) != (model.stock, model.sides):
        return (), MOVED
    try:
        old = lay_out_card(was, past, proof.layouts, item.stock, older)
    except PocketrefError:  # it had not all that the card shows now
        return (), MOVED
    new = lay_out_card(model, proof.library, proof.layouts, item.stock)
    if len(old.faces) != len(new.faces):
        return (), MOVED
    stock, found = proof.layouts.stocks[item.stock], []
    for number in (2 * at, 2 * at + 1):
        page, inner = old.document.pages[number], content_box(stock)
        with speak(new.faces[number].language):
            covers = list(_cover_face(old.faces[number], new.faces[number], inner, old.sizes[number]))
        if why := next((each for each in covers if isinstance(each, str)), ""):
            return (), why
        placed = [(box, items) for each in covers if not isinstance(each, str) for box, items in [each]]
        area = sum(box.width_mm * box.height_mm for box, _ in placed)
        if len(placed) > _MOST or area > _MOST_SHARE * page.width_mm * page.height_mm:
            return (), MANY
        found += [
            Sticker(page.name, box, change_inks(items, proof.layouts.styles.inks), page.height_mm - box.top)
            for box, items in placed
        ]
    return tuple(found), ""


Cover = tuple[Box, tuple[Item, ...]] | str
"""A piece of a face with what covers it; or why nothing can."""


def _cover_face(old: Face, new: Face, inner: Box, sizes: TypeSizes) -> Iterator[Cover]:
    head, body, foot = place_face(old, inner, sizes)
    yield from _cover_block(old.head, new.head, head, sizes, is_row=False)
    yield from _cover_stack(old.body, new.body, body, sizes)
    yield from _cover_block(old.foot, new.foot, foot, sizes, is_row=False)


def _cover_stack(old: Sequence[Block], new: Sequence[Block], box: Box, sizes: TypeSizes) -> Iterator[Cover]:
    if len(old) != len(new):
        yield MOVED
        return
    for one, other, place in zip(old, new, place_stack(old, box, sizes), strict=True):
        if isinstance(one, Columns) and isinstance(other, Columns) and len(one.stacks) == len(other.stacks):
            for first, second, inner in zip(one.stacks, other.stacks, one.place_stacks(place), strict=True):
                yield from _cover_stack(first, second, inner, sizes)
        else:
            yield from _cover_block(one, other, place, sizes)


def _cover_block(
    old: Block, new: Block, box: Box, sizes: TypeSizes, *, is_row: bool = True
) -> Iterator[Cover]:
    """What covers the changed piece of a block, nothing where none changed.

    It is as wide as the block where that is rows: a drawing's is as wide as what changed in it.
    """
    if isinstance(old, ChangeBar):
        new = ChangeBar(new)
    if (
        new.measure_mm(box.width_mm, sizes) > box.height_mm + SLACK_MM
        or new.excess_mm(box.width_mm, sizes) > SLACK_MM
    ):
        yield LARGER
        return
    before, now = (list(items_of([each.draw(box, sizes)])) for each in (old, new))
    changed = [*_list_other(now, before), *_list_other(before, now)]
    if not changed:
        return
    piece, items = _grow(changed, now, box if is_row and not old.grows else None)
    yield piece, items


def _list_other(items: Iterable[Item], others: Iterable[Item]) -> list[Item]:
    """The items that are not among the others, and those that bear the digest, which no two editions share."""
    left = Counter(others)
    found = []
    for item in items:
        if left[item] and not (isinstance(item, Text) and FIELD in item.content):
            left[item] -= 1
        else:
            found.append(item)
    return found


def _grow(changed: Sequence[Item], items: Sequence[Item], box: Box | None) -> tuple[Box, tuple[Item, ...]]:
    """The piece that holds all that changed, grown until it cuts nothing but lines; and what is on it."""
    left, low, right, high = extent_of_all(changed)
    if box:
        left, right = box.x, box.right
    while True:
        piece = (left - _PAD_MM, low - _PAD_MM, right + _PAD_MM, high + _PAD_MM)
        cut = [extent_of(item) for item in items if _is_cut(item, piece)]
        grown = (
            min([left, *(each[0] for each in cut)]),
            min([low, *(each[1] for each in cut)]),
            max([right, *(each[2] for each in cut)]),
            max([high, *(each[3] for each in cut)]),
        )
        if grown == (left, low, right, high):
            break
        left, low, right, high = grown
    left, low, right, high = piece
    shown = tuple(part for item in items for part in _clip(item, low, high) if _meets(extent_of(part), piece))
    return Box(left, low, right - left, high - low), shown


def _is_cut(item: Item, piece: tuple[float, float, float, float]) -> bool:
    """Whether it stands partly on the piece and is no line that can be cut."""
    left, low, right, high = extent_of(item)
    if not _meets((left, low, right, high), piece):
        return False
    is_inside = left >= piece[0] and low >= piece[1] and right <= piece[2] and high <= piece[3]
    return not is_inside and not (_is_line(item) and left >= piece[0] and right <= piece[2])


def _meets(one: tuple[float, float, float, float], other: tuple[float, float, float, float]) -> bool:
    return one[0] < other[2] and other[0] < one[2] and one[1] < other[3] and other[1] < one[3]


def _is_line(item: Item) -> bool:
    return (
        isinstance(item, Shape)
        and item.fill is None
        and all(isinstance(each, MoveTo | LineTo) for each in item.path)
    )


def _clip(item: Item, low: float, high: float) -> Iterator[Item]:
    """The item, or what of a line is between two heights."""
    _, bottom, _, top = extent_of(item)
    if not isinstance(item, Shape) or not _is_line(item) or (bottom >= low and top <= high):
        yield item
        return
    for start, end in pairwise(item.path):
        if isinstance(start, MoveTo | LineTo) and isinstance(end, LineTo):
            (x1, y1), (x2, y2) = sorted(((start.x, start.y), (end.x, end.y)), key=lambda point: point[1])
            if y2 < low or y1 > high:
                continue
            slope = (x2 - x1) / (y2 - y1) if y2 > y1 else 0.0
            first, last = max(y1, low), min(y2, high)
            ends = [(x1 + slope * (first - y1), first), (x2 + slope * (last - y2), last)]
            yield replace(item, path=polyline(ends))
