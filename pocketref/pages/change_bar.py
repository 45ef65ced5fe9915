"""Change bars: a bar beside each block that is drawn otherwise, or says something else, than in the edition before."""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass, replace
from difflib import SequenceMatcher

from pocketref.pages.blocks import Block
from pocketref.pages.composition import Columns, Face, find_most_mm, place_face, place_stack
from pocketref.pages.page import Box, Element, Role
from pocketref.pages.type_scale import TypeSizes
from pocketref.pages.words import Words
from pocketref.scene.inks import CHANGE
from pocketref.scene.items import Shape
from pocketref.scene.paths import rectangle

BAR_MM = 0.7
BAR_ROOM_MM = 2.0  # what a bar takes from a text's width, white space included
_BAR = "change bar"
_DRAWING_ROOM_MM = 1.0  # a drawing brings white space of its own


@dataclass(frozen=True, slots=True)
class Absent:
    """What stands for a block that the edition before could not have had."""

    label: str = "absent"
    grows: bool = False

    def measure_mm(self, width_mm: float, sizes: TypeSizes) -> float:
        """No height."""
        return 0.0

    def excess_mm(self, width_mm: float, sizes: TypeSizes) -> float:
        """Nothing sticks out."""
        return 0.0

    def draw(self, box: Box, sizes: TypeSizes) -> Element:
        """Nothing."""
        return Element(Role.DECORATION)

    def words(self) -> Words:
        """None."""
        return ()


@dataclass(frozen=True, slots=True)
class ChangeBar:
    """A block with a bar at its left, as high as the block."""

    block: Block

    @property
    def label(self) -> str:
        """The block's own name."""
        return self.block.label

    @property
    def grows(self) -> bool:
        """As the block does."""
        return self.block.grows

    @property
    def _room_mm(self) -> float:
        return _DRAWING_ROOM_MM if self.block.grows else BAR_ROOM_MM

    def measure_mm(self, width_mm: float, sizes: TypeSizes) -> float:
        """The block's height in the width that is left."""
        return self.block.measure_mm(width_mm - self._room_mm, sizes)

    def most_mm(self, width_mm: float, sizes: TypeSizes) -> float:
        """How high the block may become in the width that is left."""
        return find_most_mm(self.block, width_mm - self._room_mm, sizes)

    def excess_mm(self, width_mm: float, sizes: TypeSizes) -> float:
        """The block's excess in the width that is left."""
        return self.block.excess_mm(width_mm - self._room_mm, sizes)

    def draw(self, box: Box, sizes: TypeSizes) -> Element:
        """The bar, then the block beside it."""
        bar = draw_bar(box)
        inner = Box(box.x + self._room_mm, box.y, box.width_mm - self._room_mm, box.height_mm)
        return Element(Role.SECTION, (), (bar, self.block.draw(inner, sizes)), label=self.label)

    def words(self) -> Words:
        """As the block says."""
        return self.block.words()


def shows_bar(elements: Sequence[Element]) -> bool:
    """Whether a bar is among what is drawn."""
    return any(element.label == _BAR or shows_bar(element.children) for element in elements)


def draw_bar(box: Box) -> Element:
    """A bar at the left edge of a box."""
    return Element(
        Role.DECORATION,
        (Shape(rectangle(box.x, box.y, BAR_MM, box.height_mm), None, CHANGE),),
        label=_BAR,
    )


def mark_all(face: Face) -> Face:
    """The face with a bar beside each of its blocks, in which it takes the most room."""
    return replace(
        face, head=ChangeBar(face.head), body=tuple(map(_mark_whole, face.body)), foot=ChangeBar(face.foot)
    )


def _mark_whole(block: Block) -> Block:
    if isinstance(block, Columns):
        return replace(block, stacks=tuple(tuple(map(_mark_whole, stack)) for stack in block.stacks))
    return ChangeBar(block)


def mark_changes(face: Face, before: Face, box: Box, sizes: TypeSizes) -> Face:
    """The face with a bar beside each block that would look or read otherwise if made from the edition before.

    `before` is the face as that edition would have it, with what is no change (edition line, digest, season) as
    it is now. Both are drawn where the face's blocks stand.
    """
    head, body, foot = place_face(face, box, sizes)
    return replace(
        face,
        head=_mark_block(face.head, before.head, head, sizes),
        body=_mark_stack(face.body, before.body, body, sizes),
        foot=_mark_block(face.foot, before.foot, foot, sizes),
    )


def _mark_stack(
    stack: Sequence[Block], before: Sequence[Block], box: Box, sizes: TypeSizes
) -> tuple[Block, ...]:
    boxes = place_stack(stack, box, sizes)
    return tuple(
        _mark_block(*each, sizes) for each in zip(stack, _pair_stack(stack, before), boxes, strict=True)
    )


def _pair_stack(stack: Sequence[Block], before: Sequence[Block]) -> list[Block]:
    """For each block the one that stood there, `Absent` for none, or where one that is left out stood before it."""
    if len(before) == len(stack):
        return list(before)
    old: list[Block] = [Absent()] * len(stack)
    labels = [[block.label for block in blocks] for blocks in (before, stack)]
    left_out: list[int] = []
    for tag, a, b, c, d in SequenceMatcher(None, labels[0], labels[1], autojunk=False).get_opcodes():
        if tag == "equal":
            old[c:d] = before[a:b]
        elif tag == "delete" and stack:
            left_out.append(min(c, len(stack) - 1))
    for place in left_out:
        old[place] = Absent()
    return old


def _mark_block(block: Block, before: Block, box: Box, sizes: TypeSizes) -> Block:
    if isinstance(block, Columns):
        old = (
            before.stacks
            if isinstance(before, Columns)
            else tuple((Absent(),) * len(s) for s in block.stacks)
        )
        boxes = block.place_stacks(box)
        stacks = tuple(_mark_stack(*each, sizes) for each in zip(block.stacks, old, boxes, strict=True))
        return replace(block, stacks=stacks)
    if block == before or (
        _list_words(block) == _list_words(before) and block.draw(box, sizes) == before.draw(box, sizes)
    ):
        return block
    return ChangeBar(block)


def _list_words(block: Block) -> Words:
    """What a block says here: a part of a chart that is cut says the whole chart, but draws its own rungs alone."""
    return () if getattr(block, "part", None) else block.words()
