"""Blocks set on as many pages as they take, at the largest type that takes no more of them than the least.

What can go on on another page or in another column, as a table by its rows, is divided where the room ends.
"""

from __future__ import annotations

from collections.abc import Callable, Mapping, Sequence
from dataclasses import dataclass, field
from math import inf
from typing import Protocol, runtime_checkable

from pocketref.pages.blocks import Block
from pocketref.pages.composition import (
    BLOCK_GAP_MM,
    SLACK_MM,
    Columns,
    Face,
    body_box,
    compose_face,
    tell_excess,
)
from pocketref.pages.page import Box, Element, Page, Role
from pocketref.pages.stock_models import StockModel, StylesModel
from pocketref.pages.stocks import content_box, safe_box
from pocketref.pages.type_scale import TypeSizes, sizes_for
from pocketref.problems import Location, PocketrefError, Problem
from pocketref.words.terminal import tell

_EVEN_MM = 0.1
"""How near to the least height the columns of a page are made."""


@runtime_checkable
class Divisible(Protocol):
    """A block that can go on elsewhere."""

    def split(self, height_mm: float, width_mm: float, sizes: TypeSizes) -> tuple[Block | None, Block | None]:
        """What of it fits into a height, and the rest; None for nothing."""


@dataclass(frozen=True, slots=True)
class Flow:
    """What is set on pages: `parts` each begin one, `opening` stands across the first above its columns.

    `foot(page, pages)` is the footer; it is as high on every page. `what` it is stands in messages.
    """

    what: str
    head: Block
    foot: Callable[[int, int], Block]
    parts: tuple[tuple[Block, ...], ...]
    opening: tuple[Block, ...] = ()
    columns: int = 1
    where: Location | None = None
    places: Mapping[str, Location | None] = field(default_factory=dict)
    """Where in the source blocks of their own stand, by their labels."""

    def set_side_by_side(self, stacks: Sequence[tuple[Block, ...]] = ()) -> Columns:
        """The columns of a page; those that nothing is left for are empty."""
        even = (*stacks, *((),) * (self.columns - len(stacks)))
        return Columns(even, (1.0,) * self.columns, level=True)


def paginate(
    versions: Sequence[Flow], stock: StockModel, styles: StylesModel
) -> tuple[TypeSizes, tuple[Face, ...]]:
    """The type sizes and the faces, named "page 1" and so on; of several versions, the first with the fewest pages.

    PocketrefError ("block-too-large") if something fits on no page even at the least type.
    """
    box = content_box(stock)
    least, *larger = (sizes_for(step, styles.floor_pt) for step in styles.list_steps(styles.sheet_scale))
    best: list[_Page] = []
    chosen = versions[-1]
    for flow in versions:
        if pages := _fill_pages(flow, box, least, len(best) - 1 if best else inf):
            chosen, best = flow, pages
        if len(best) == 1:
            break
    if not best:
        raise PocketrefError(list_misfits(chosen, stock, styles))
    for sizes in reversed(larger):
        if pages := _fill_pages(chosen, box, sizes, len(best)):
            return sizes, _make_faces(chosen, pages)
    return least, _make_faces(chosen, best)


def compose_page(face: Face, sizes: TypeSizes, stock: StockModel) -> Page:
    """A face drawn within its stock's margins."""
    section = Element(Role.SECTION, (), compose_face(face, content_box(stock), sizes), label=face.name)
    return Page(face.name, stock.width.float_mm, stock.height.float_mm, (section,), safe_box(stock))


def list_misfits(flow: Flow, stock: StockModel, styles: StylesModel) -> list[Problem]:
    """What fits on no page of a stock even at the least type, each block by its label."""
    sizes = sizes_for(styles.list_steps(styles.sheet_scale)[0], styles.floor_pt)
    problems = []
    for block, width, room in _place_blocks(flow, content_box(stock), sizes):
        excess, way = block.excess_mm(width, sizes), "wide"
        if excess <= SLACK_MM and _Room(width, sizes).take(block, room)[0] is None:
            excess, way = block.measure_mm(width, sizes) - room, "high"
        if excess > SLACK_MM:
            sentence = tell(
                "{what}: {block} is {excess} for {stock}, even at the least type, {body_pt:g} pt",
                what=flow.what,
                block=block.label,
                excess=tell_excess(excess, way),
                stock=stock.name,
                body_pt=sizes.body_pt,
            )
            hint = tell("shorten its text, or choose a larger paper")
            where = flow.places.get(block.label, flow.where)
            problems.append(Problem("block-too-large", sentence, hint, where))
    return problems


def _place_blocks(flow: Flow, box: Box, sizes: TypeSizes) -> list[tuple[Block, float, float]]:
    """Each block with the width and the least height that there is for it."""
    across = [(block, box.width_mm, inf) for block in (flow.head, flow.foot(1, 1), *flow.opening)]
    ((_, width),) = flow.set_side_by_side().list_stacks(box.width_mm)[:1]
    room = _room_mm(flow, box, sizes, flow.opening)
    return [*across, *((block, width, room) for part in flow.parts for block in part)]


def _room_mm(flow: Flow, box: Box, sizes: TypeSizes, above: Sequence[Block]) -> float:
    """The height of a column under what stands across the page."""
    body = body_box(Face("", flow.head, (), flow.foot(1, 1)), box, sizes)
    return body.height_mm - sum(block.measure_mm(box.width_mm, sizes) + BLOCK_GAP_MM for block in above)


@dataclass(frozen=True, slots=True)
class _Room:
    """The width and type of columns, and the heights in mm of blocks in them, each measured once."""

    width_mm: float
    sizes: TypeSizes
    _known: dict[int, tuple[Block, float]] = field(default_factory=dict)
    """By the blocks' identities, which are theirs as long as they are kept here."""

    def measure_mm(self, block: Block) -> float:
        if id(block) not in self._known:
            self._known[id(block)] = block, block.measure_mm(self.width_mm, self.sizes)
        return self._known[id(block)][1]

    def take(self, block: Block, height_mm: float) -> tuple[Block | None, Block | None]:
        """What of a block has room, and the rest of it."""
        if self.measure_mm(block) <= height_mm + SLACK_MM:
            return block, None
        if isinstance(block, Divisible):
            return block.split(height_mm, self.width_mm, self.sizes)
        return None, block

    def fill_columns(
        self, blocks: Sequence[Block], height_mm: float, columns: int
    ) -> tuple[list[tuple[Block, ...]], tuple[Block, ...]]:
        """Columns filled one after the other, none of them empty, and what is left."""
        stacks: list[tuple[Block, ...]] = []
        rest = list(blocks)
        while rest and len(stacks) < columns:
            stack: list[Block] = []
            left_mm = height_mm
            while rest:
                head, tail = self.take(rest[0], left_mm)
                stack += [head] if head else []
                rest[:1] = [tail] if tail else []
                if tail or head is None:
                    break
                left_mm -= self.measure_mm(head) + BLOCK_GAP_MM
            if not stack:
                break
            stacks.append(tuple(stack))
        return stacks, tuple(rest)

    def level_columns(
        self, blocks: Sequence[Block], height_mm: float, columns: int
    ) -> list[tuple[Block, ...]]:
        """The columns of a page at the least height that holds everything, found by halving."""
        low, high = 0.0, height_mm
        while high - low > _EVEN_MM:
            middle = (low + high) / 2
            _, rest = self.fill_columns(blocks, middle, columns)
            low, high = (middle, high) if rest else (low, middle)
        return self.fill_columns(blocks, high, columns)[0]


@dataclass(frozen=True, slots=True)
class _Page:
    """What stands across a page, its columns as they were filled, and the height and room of these."""

    above: tuple[Block, ...]
    stacks: list[tuple[Block, ...]]
    height_mm: float
    room: _Room


def _fill_pages(flow: Flow, box: Box, sizes: TypeSizes, most: float) -> list[_Page]:
    """The pages, one filled after the other; none if something fits on no page, or if they are more than so many."""
    placed = _place_blocks(flow, box, sizes)
    if any(block.excess_mm(width, sizes) > SLACK_MM for block, width, _ in placed):
        return []
    room = _Room(placed[-1][1], sizes)
    pages: list[_Page] = []
    for part in flow.parts:
        left = part
        while left:
            above = () if pages else flow.opening
            height = _room_mm(flow, box, sizes, above)
            stacks, left = room.fill_columns(left, height, flow.columns)
            if not stacks or len(pages) >= most:
                return []
            pages.append(_Page(above, stacks, height, room))
    return pages


def _make_faces(flow: Flow, pages: Sequence[_Page]) -> tuple[Face, ...]:
    """The faces, the columns of each made even."""
    faces = []
    for number, page in enumerate(pages, 1):
        stacks = page.stacks
        if flow.columns > 1:
            held = [block for stack in stacks for block in stack]
            stacks = page.room.level_columns(held, page.height_mm, flow.columns)
        body = (*page.above, flow.set_side_by_side(stacks))
        faces.append(Face(f"page {number}", flow.head, body, flow.foot(number, len(pages))))
    return tuple(faces)
