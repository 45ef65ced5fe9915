"""Composing a face: blocks stacked in columns, at the largest type at which everything fits."""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass

from pocketref.pages.blocks import Block
from pocketref.pages.page import Box, Element, Role
from pocketref.pages.type_scale import TypeSizes, sizes_for

BLOCK_GAP_MM = 1.8
COLUMN_GAP_MM = 3.0


@dataclass(frozen=True, slots=True)
class Columns:
    """Stacks of blocks side by side; `shares` are relative widths."""

    stacks: tuple[tuple[Block, ...], ...]
    shares: tuple[float, ...]
    label: str = "columns"

    @property
    def grows(self) -> bool:
        """Columns grow if anything in them does."""
        return any(block.grows for stack in self.stacks for block in stack)

    def _widths(self, width_mm: float) -> list[float]:
        room = width_mm - COLUMN_GAP_MM * (len(self.stacks) - 1)
        return [room * share / sum(self.shares) for share in self.shares]

    def measure_mm(self, width_mm: float, sizes: TypeSizes) -> float:
        """The tallest stack."""
        pairs = zip(self.stacks, self._widths(width_mm), strict=True)
        return max(stack_height_mm(stack, width, sizes) for stack, width in pairs)

    def excess_mm(self, width_mm: float, sizes: TypeSizes) -> float:
        """The worst excess of any block."""
        return max(
            (
                b.excess_mm(w, sizes)
                for s, w in zip(self.stacks, self._widths(width_mm), strict=True)
                for b in s
            ),
            default=0.0,
        )

    def draw(self, box: Box, sizes: TypeSizes) -> Element:
        """Each stack from the top of the box, all of the box's height."""
        elements: list[Element] = []
        x = box.x
        for stack, width in zip(self.stacks, self._widths(box.width_mm), strict=True):
            elements += draw_stack(stack, Box(x, box.y, width, box.height_mm), sizes)
            x += width + COLUMN_GAP_MM
        return Element(Role.SECTION, (), tuple(elements), label=self.label)


@dataclass(frozen=True, slots=True)
class Face:
    """One side of a card or a sheet before it is composed: band, body and footer."""

    name: str
    head: Block
    body: tuple[Block, ...]
    foot: Block


@dataclass(frozen=True, slots=True)
class Misfit:
    """What does not fit: the block, by how much in mm, and in which direction."""

    block: str
    excess_mm: float
    direction: str


def stack_height_mm(stack: Sequence[Block], width_mm: float, sizes: TypeSizes) -> float:
    """Least height of blocks one above the other, gaps included."""
    return sum(b.measure_mm(width_mm, sizes) for b in stack) + BLOCK_GAP_MM * max(len(stack) - 1, 0)


def draw_stack(stack: Sequence[Block], box: Box, sizes: TypeSizes) -> list[Element]:
    """Draw blocks downwards; height to spare goes to those that grow, else a little into each gap."""
    heights = [b.measure_mm(box.width_mm, sizes) for b in stack]
    spare = max(box.height_mm - sum(heights) - BLOCK_GAP_MM * max(len(stack) - 1, 0), 0.0)
    growing = [i for i, b in enumerate(stack) if b.grows]
    gap = BLOCK_GAP_MM
    if growing:
        for i in growing:
            heights[i] += spare / len(growing)
    elif len(stack) > 1:
        gap += min(spare / (len(stack) - 1), 1.5)
    elements: list[Element] = []
    top = box.top
    for block, height in zip(stack, heights, strict=True):
        elements.append(block.draw(Box(box.x, top - height, box.width_mm, height), sizes))
        top -= height + gap
    return elements


def find_misfits(face: Face, box: Box, sizes: TypeSizes) -> list[Misfit]:
    """Everything that is too wide, and the block that the face's height runs out in."""
    misfits = [
        Misfit(block.label, block.excess_mm(box.width_mm, sizes), "wide")
        for block in (face.head, *face.body, face.foot)
        if block.excess_mm(box.width_mm, sizes) > 0.005
    ]
    room = body_box(face, box, sizes).height_mm
    used = 0.0
    for block in face.body:
        used += block.measure_mm(box.width_mm, sizes)
        if used > room + 0.005:
            total = stack_height_mm(face.body, box.width_mm, sizes)
            misfits.append(Misfit(block.label, total - room, "high"))
            break
        used += BLOCK_GAP_MM
    return misfits


def body_box(face: Face, box: Box, sizes: TypeSizes) -> Box:
    """What the band and the footer leave for the body."""
    head = face.head.measure_mm(box.width_mm, sizes) + BLOCK_GAP_MM
    foot = face.foot.measure_mm(box.width_mm, sizes) + BLOCK_GAP_MM * 0.6
    return Box(box.x, box.y + foot, box.width_mm, box.height_mm - head - foot)


def choose_sizes(
    faces: Sequence[Face], box: Box, scale: Sequence[float], floor_pt: float
) -> tuple[TypeSizes | None, list[tuple[Face, Misfit]]]:
    """The largest step of the scale at which every face fits; else None and what is in the way at the least."""
    steps = sorted((s for s in scale if s >= floor_pt - 1e-9), reverse=True)
    found: list[tuple[Face, Misfit]] = []
    for step in steps:
        sizes = sizes_for(step, floor_pt)
        found = [(face, misfit) for face in faces for misfit in find_misfits(face, box, sizes)]
        if not found:
            return sizes, []
    return None, found


def compose_face(face: Face, box: Box, sizes: TypeSizes) -> tuple[Element, ...]:
    """The face's elements in reading order."""
    head_height = face.head.measure_mm(box.width_mm, sizes)
    foot_height = face.foot.measure_mm(box.width_mm, sizes)
    head = face.head.draw(Box(box.x, box.top - head_height, box.width_mm, head_height), sizes)
    foot = face.foot.draw(Box(box.x, box.y, box.width_mm, foot_height), sizes)
    return (head, *draw_stack(face.body, body_box(face, box, sizes), sizes), foot)
