"""Composing a face: blocks stacked in columns, at the largest type at which everything fits."""

from __future__ import annotations

from collections.abc import Iterable, Iterator, Sequence
from dataclasses import dataclass, field, replace
from math import inf, isinf
from typing import Protocol, runtime_checkable

from pocketref.pages.blocks import Block
from pocketref.pages.page import Box, Element, Role
from pocketref.pages.type_scale import TypeSizes
from pocketref.pages.words import Words
from pocketref.scene.items import LineTo, MoveTo, Shape
from pocketref.words.speech import Language, find_language
from pocketref.words.terminal import tell

BLOCK_GAP_MM = 1.8
HEAD_GAP_MM = 1.2  # the band parts well enough by its blackness
FOOT_GAP_MM = 0.5
_EASY_FOOT_GAP_MM = 1.7  # where there is height to spare
COLUMN_GAP_MM = 3.0
_MOST_GAP_MM = 3.0  # what is added to a gap at most
_LEVEL_SHARE = 1 / 3  # of a column's height: wider gaps would part what belongs together
_RULE_ROOM_MM = 4.0  # a table's last rule this near above a footer parts it from the face well enough
SLACK_MM = 0.005  # what rounding may add up to; no printer shows it


@runtime_checkable
class Stretching(Protocol):
    """A block that may be set wider apart, if within reason."""

    def most_mm(self, width_mm: float, sizes: TypeSizes) -> float:
        """Its height with as much white space as becomes it."""


def find_most_mm(block: Block, width_mm: float, sizes: TypeSizes) -> float:
    """How high a block may become; no end to what grows without being set wider apart."""
    if isinstance(block, Stretching):
        return block.most_mm(width_mm, sizes)
    return inf if block.grows else block.measure_mm(width_mm, sizes)


@dataclass(frozen=True, slots=True)
class Columns:
    """Stacks of blocks side by side; `shares` are relative widths.

    Where they are to end `level`, the gaps of shorter stacks are widened until they reach down as far as the
    highest, unless they lack more than a third of its height.
    """

    stacks: tuple[tuple[Block, ...], ...]
    shares: tuple[float, ...]
    label: str = "columns"
    level: bool = False

    @property
    def grows(self) -> bool:
        """Columns grow if anything in them does."""
        return any(block.grows for stack in self.stacks for block in stack)

    def list_stacks(self, width_mm: float) -> list[tuple[tuple[Block, ...], float]]:
        """Each stack with its width in mm."""
        room = width_mm - COLUMN_GAP_MM * (len(self.stacks) - 1)
        widths = [room * share / sum(self.shares) for share in self.shares]
        return list(zip(self.stacks, widths, strict=True))

    def measure_mm(self, width_mm: float, sizes: TypeSizes) -> float:
        """The tallest stack."""
        return max(stack_height_mm(stack, width, sizes) for stack, width in self.list_stacks(width_mm))

    def most_mm(self, width_mm: float, sizes: TypeSizes) -> float:
        """The tallest stack, everything in it as high as it may become."""
        return max(
            sum(find_most_mm(block, width, sizes) for block in stack) + BLOCK_GAP_MM * max(len(stack) - 1, 0)
            for stack, width in self.list_stacks(width_mm)
        )

    def excess_mm(self, width_mm: float, sizes: TypeSizes) -> float:
        """The worst excess of any block."""
        stacks = self.list_stacks(width_mm)
        return max((b.excess_mm(w, sizes) for stack, w in stacks for b in stack), default=0.0)

    def place_stacks(self, box: Box) -> list[Box]:
        """The box of each stack, as high as the whole."""
        boxes, x = [], box.x
        for _, width in self.list_stacks(box.width_mm):
            boxes.append(Box(x, box.y, width, box.height_mm))
            x += width + COLUMN_GAP_MM
        return boxes

    def draw(self, box: Box, sizes: TypeSizes) -> Element:
        """Each stack from the top of the box, all of the box's height."""
        elements: list[Element] = []
        for stack, place in zip(self.stacks, self.place_stacks(box), strict=True):
            boxes = place_stack(stack, place, sizes)
            if self.level:
                boxes = self._level(boxes, box, sizes)
            elements += [block.draw(each, sizes) for block, each in zip(stack, boxes, strict=True)]
        return Element(Role.SECTION, (), tuple(elements), label=self.label)

    def _level(self, boxes: list[Box], box: Box, sizes: TypeSizes) -> list[Box]:
        """The boxes of one stack, moved apart so that the last ends where that of the highest stack does."""
        placed = [
            place_stack(stack, place, sizes)
            for stack, place in zip(self.stacks, self.place_stacks(box), strict=True)
        ]
        end = min((each[-1].y for each in placed if each), default=box.y)
        if len(boxes) < 2 or boxes[-1].y - end > _LEVEL_SHARE * (box.top - end):
            return boxes
        step = (boxes[-1].y - end) / (len(boxes) - 1)
        return [replace(each, y=each.y - number * step) for number, each in enumerate(boxes)]

    def words(self) -> Words:
        """Those of each stack, one after the other."""
        return tuple(word for stack in self.stacks for block in stack for word in block.words())


@dataclass(frozen=True, slots=True)
class Face:
    """One side of a card or a sheet before it is composed: band, body and footer."""

    name: str
    head: Block
    body: tuple[Block, ...]
    foot: Block
    language: Language | None = field(default_factory=find_language, compare=False)
    """What it says is in it: that in force where it was made."""


@dataclass(frozen=True, slots=True)
class Misfit:
    """What does not fit: the block, by how much in mm, and in which direction."""

    block: str
    excess_mm: float
    direction: str
    path: tuple[int, ...] = ()
    """Where it stands among the face's body: its number, and in columns those of the stack and in the stack, from 0.

    Empty for the title and the footer.
    """

    def write_excess(self) -> str:
        """By how much, and in which direction, for a sentence to the reader."""
        return tell_excess(self.excess_mm, self.direction)


def tell_excess(excess_mm: float, direction: str) -> str:
    """By how much something is too wide or too high."""
    if direction == "wide":
        return tell("{excess:.1f} mm too wide", excess=excess_mm)
    return tell("{excess:.1f} mm too high", excess=excess_mm)


def stack_height_mm(stack: Sequence[Block], width_mm: float, sizes: TypeSizes) -> float:
    """Least height of blocks one above the other, gaps included."""
    return sum(b.measure_mm(width_mm, sizes) for b in stack) + BLOCK_GAP_MM * max(len(stack) - 1, 0)


def place_stack(stack: Sequence[Block], box: Box, sizes: TypeSizes) -> list[Box]:
    """The box of each block downwards; height to spare goes to those that grow, then into texts and gaps."""
    heights = [block.measure_mm(box.width_mm, sizes) for block in stack]
    spare = max(box.height_mm - sum(heights) - BLOCK_GAP_MM * max(len(stack) - 1, 0), 0.0)
    most = [find_most_mm(block, box.width_mm, sizes) for block in stack]
    rooms = [max(high - height, 0.0) for high, height in zip(most, heights, strict=True)]
    growing = [i for i, block in enumerate(stack) if block.grows]
    endless = [i for i in growing if isinf(rooms[i])]
    gap = BLOCK_GAP_MM
    if endless:
        more = {i: min(rooms[i], spare / len(growing)) for i in growing if i not in endless}
        more |= dict.fromkeys(endless, (spare - sum(more.values())) / len(endless))
        heights = [height + more.get(i, 0.0) for i, height in enumerate(heights)]
    else:
        taken = sum(rooms[i] for i in growing)
        share = min(spare / taken, 1.0) if taken else 0.0
        texts = sum(rooms) - taken + _MOST_GAP_MM * (len(stack) - 1)
        rest = min((spare - share * taken) / texts, 1.0) if texts else 0.0
        heights = [h + rooms[i] * (share if i in growing else rest) for i, h in enumerate(heights)]
        gap += rest * _MOST_GAP_MM
    boxes: list[Box] = []
    top = box.top
    for height in heights:
        boxes.append(Box(box.x, top - height, box.width_mm, height))
        top -= height + gap
    return boxes


def draw_stack(stack: Sequence[Block], box: Box, sizes: TypeSizes) -> list[Element]:
    """The blocks drawn one above the other."""
    return [
        block.draw(place, sizes) for block, place in zip(stack, place_stack(stack, box, sizes), strict=True)
    ]


def find_misfits(face: Face, box: Box, sizes: TypeSizes) -> list[Misfit]:
    """Everything that is too wide, and the block that the face's height runs out in."""
    width = box.width_mm
    placed: list[tuple[Block, tuple[int, ...]]] = [(face.head, ())]
    placed += [(block, (number,)) for number, block in enumerate(face.body)]
    misfits = []
    for block, path in (*placed, (face.foot, ())):
        excess = block.excess_mm(width, sizes)
        if excess > SLACK_MM:
            widest, inner = _find_widest(block, width, sizes)
            misfits.append(Misfit(widest.label, excess, "wide", (*path, *inner)))
    room = body_box(face, box, sizes).height_mm
    used = 0.0
    for number, block in enumerate(face.body):
        used += block.measure_mm(width, sizes)
        if used > room + SLACK_MM:
            total = stack_height_mm(face.body, width, sizes)
            highest, inner = _find_highest(block, width, sizes)
            misfits.append(Misfit(highest.label, total - room, "high", (number, *inner)))
            break
        used += BLOCK_GAP_MM
    return misfits


def _find_widest(block: Block, width_mm: float, sizes: TypeSizes) -> tuple[Block, tuple[int, ...]]:
    """The block; among columns, the one that sticks out farthest, with the numbers of its stack and in it."""
    if not isinstance(block, Columns):
        return block, ()
    blocks = [
        (inner, width, (number, place))
        for number, (stack, width) in enumerate(block.list_stacks(width_mm))
        for place, inner in enumerate(stack)
    ]
    widest, width, path = max(blocks, key=lambda each: each[0].excess_mm(each[1], sizes))
    found, inner = _find_widest(widest, width, sizes)
    return found, (*path, *inner)


def _find_highest(block: Block, width_mm: float, sizes: TypeSizes) -> tuple[Block, tuple[int, ...]]:
    """The block; among columns, the last of the highest stack, with the numbers of its stack and in it."""
    if not isinstance(block, Columns):
        return block, ()
    stacks = list(enumerate(block.list_stacks(width_mm)))
    number, (stack, width) = max(stacks, key=lambda each: stack_height_mm(each[1][0], each[1][1], sizes))
    found, inner = _find_highest(stack[-1], width, sizes)
    return found, (number, len(stack) - 1, *inner)


def body_box(face: Face, box: Box, sizes: TypeSizes) -> Box:
    """What the band and the footer leave for the body."""
    head = face.head.measure_mm(box.width_mm, sizes) + HEAD_GAP_MM
    foot = face.foot.measure_mm(box.width_mm, sizes) + FOOT_GAP_MM
    return Box(box.x, box.y + foot, box.width_mm, box.height_mm - head - foot)


def choose_sizes(face: Face, box: Box, scale: Sequence[TypeSizes]) -> tuple[TypeSizes | None, list[Misfit]]:
    """The largest of the sizes, the least of which come first, at which the face fits.

    Else None and what is in the way at the least. What fits at some sizes fits at all that are smaller, so that
    they are found by halving.
    """
    if not fits(face, box, scale[0]):
        return None, find_misfits(face, box, scale[0])
    low, high = 0, len(scale) - 1
    middle = high  # where most small faces end
    while low < high:
        low, high = (middle, high) if fits(face, box, scale[middle]) else (low, middle - 1)
        middle = (low + high + 1) // 2
    return scale[low], []


def fits(face: Face, box: Box, sizes: TypeSizes) -> bool:
    """Whether there are no misfits; gives up at the first, as most steps of the scale are too large."""
    width = box.width_mm
    if max(face.head.excess_mm(width, sizes), face.foot.excess_mm(width, sizes)) > SLACK_MM:
        return False
    room = body_box(face, box, sizes).height_mm + SLACK_MM
    used = 0.0
    for block in face.body:
        used += block.measure_mm(width, sizes)
        if used > room or block.excess_mm(width, sizes) > SLACK_MM:
            return False
        used += BLOCK_GAP_MM
    return True


def place_face(face: Face, box: Box, sizes: TypeSizes) -> tuple[Box, Box, Box]:
    """The boxes of band, body and footer; height to spare first parts the body from the footer."""
    head = face.head.measure_mm(box.width_mm, sizes)
    foot = face.foot.measure_mm(box.width_mm, sizes)
    body = body_box(face, box, sizes)
    spare = body.height_mm - stack_height_mm(face.body, box.width_mm, sizes)
    lift = min(max(spare, 0.0), _EASY_FOOT_GAP_MM - FOOT_GAP_MM)
    return (
        Box(box.x, box.top - head, box.width_mm, head),
        replace(body, y=body.y + lift, height_mm=body.height_mm - lift),
        Box(box.x, box.y, box.width_mm, foot),
    )


def compose_face(face: Face, box: Box, sizes: TypeSizes) -> tuple[Element, ...]:
    """The face's elements in reading order."""
    head, body, foot = place_face(face, box, sizes)
    drawn = draw_stack(face.body, body, sizes)
    closed = any(foot.top < y < foot.top + _RULE_ROOM_MM for y in _list_rules(drawn))
    footer = face.foot.draw(foot, sizes)
    return (face.head.draw(head, sizes), *drawn, _drop_rule(footer) if closed else footer)


def _list_rules(elements: Iterable[Element]) -> Iterator[float]:
    """The heights of the level rules that are drawn."""
    for element in elements:
        for item in element.items:
            if isinstance(item, Shape) and item.stroke and len(item.path) == 2:
                start, end = (segment for segment in item.path if isinstance(segment, MoveTo | LineTo))
                if start.y == end.y:
                    yield start.y
        yield from _list_rules(element.children)


def _drop_rule(foot: Element) -> Element:
    """A footer without the rule above it."""
    return replace(
        foot, children=tuple(child for child in foot.children if child.role is not Role.DECORATION)
    )
