"""What has no room on a card's two sides, cut over numbered faces: charts by their rungs, texts by their entries."""

from __future__ import annotations

from collections.abc import Iterable, Iterator, Sequence
from dataclasses import replace
from itertools import product

from pocketref.pages.blocks import Block, TitleBand
from pocketref.pages.change_bar import Absent
from pocketref.pages.composition import (
    BLOCK_GAP_MM,
    SLACK_MM,
    Columns,
    Face,
    body_box,
    find_misfits,
    stack_height_mm,
)
from pocketref.pages.page import Box
from pocketref.pages.pagination import Divisible
from pocketref.pages.twin import Cuttable, Twin
from pocketref.pages.type_scale import TypeSizes
from pocketref.words.speech import say, speak

_FILLS = (1.0, 0.85, 0.7, 0.55)
"""How much of a face is filled, as far as there is a choice."""


def cut_faces(faces: Sequence[Face], box: Box, scale: Sequence[TypeSizes]) -> tuple[Face, ...]:
    """The faces of as many cards as they take, numbered; none if something fits on no face.

    Columns that have no room on a face are taken apart. Both sides of every card are filled: where the least type
    leaves one empty, larger type is tried, then faces that are not filled to the foot, until one more face would do.
    The footers of the first two go on. Faces that were joined of several languages fill a card each.
    """
    is_joined = any(isinstance(face.head, Twin) for face in faces)
    odd: list[tuple[Block, ...]] = []
    even: list[tuple[Block, ...]] = []
    for share, sizes in product(_FILLS, scale):
        bodies = _cut_bodies(faces, box, sizes, share)
        if bodies and len(bodies) == len(faces):
            return tuple(replace(face, body=body) for face, body in zip(faces, bodies, strict=True))
        if bodies and is_joined:
            return _number_faces(faces, bodies)
        if len(bodies) % 2:
            odd = odd or bodies
        elif bodies and (not even or len(bodies) < len(even)):
            even = bodies
        if even and len(even) <= len(odd) + 1:
            break
    return _number_faces(faces, even or _part_last(odd))


def _cut_bodies(faces: Sequence[Face], box: Box, sizes: TypeSizes, share: float) -> list[tuple[Block, ...]]:
    """What is on each face at these sizes; none if something fits on no face."""
    bodies: list[tuple[Block, ...]] = []
    for face in faces:
        parts = _cut_body(face, box, sizes, len(bodies) + 1, share)
        if not parts:
            return []
        bodies += parts
    return bodies


def pair_faces(cut: Sequence[Face], before: Sequence[Face]) -> tuple[Face, ...]:
    """For each face that is cut what the edition before, not cut alike, had of its blocks, by their labels."""
    known = {block.label: block for face in before for block in list_blocks(face.body)}

    def find_older(block: Block) -> Block:
        if isinstance(block, Columns):
            return replace(block, stacks=tuple(tuple(map(find_older, stack)) for stack in block.stacks))
        older = known.get(block.label, Absent())
        return block if isinstance(block, Cuttable) and block.is_part_of(older) else older

    return _number_faces(before, [tuple(map(find_older, face.body)) for face in cut])


def _part_last(bodies: list[tuple[Block, ...]]) -> list[tuple[Block, ...]]:
    """The bodies with the last that holds several blocks parted in two; none if there is no such."""
    number = next((n for n in reversed(range(len(bodies))) if len(bodies[n]) > 1), None)
    if number is None:
        return []
    body, half = bodies[number], len(bodies[number]) // 2
    return [*bodies[:number], body[:half], body[half:], *bodies[number + 1 :]]


def number_faces(faces: Sequence[Face]) -> tuple[Face, ...]:
    """The faces, numbered as those that are cut are."""
    return _number_faces(faces, [face.body for face in faces])


def _number_faces(faces: Sequence[Face], bodies: Sequence[tuple[Block, ...]]) -> tuple[Face, ...]:
    pairs = ((faces[number % len(faces)], body) for number, body in enumerate(bodies))
    return tuple(_number(face, body, number) for number, (face, body) in enumerate(pairs, 1))


def _number(face: Face, body: tuple[Block, ...], number: int) -> Face:
    with speak(face.language):
        return replace(face, name=f"face-{number}", head=_number_head(face.head, number), body=body)


def _number_head(head: Block, number: int) -> Block:
    if isinstance(head, Twin):
        heads = []
        for block, language in zip(head.blocks, head.languages, strict=True):
            with speak(language):
                heads.append(_number_head(block, number))
        return replace(head, blocks=tuple(heads))
    if not isinstance(head, TitleBand):
        return head
    return replace(head, tag=say("{tag}, face {number}", tag=head.tag, number=number))


def _cut_body(face: Face, box: Box, sizes: TypeSizes, number: int, share: float) -> list[tuple[Block, ...]]:
    """The bodies that a face takes, each a share of what has room, the first of them on the face `number`."""
    if share == 1 and not find_misfits(face, box, sizes):
        return [face.body]
    room, width = share * body_box(face, box, sizes).height_mm, box.width_mm
    bodies: list[tuple[Block, ...]] = [()]
    waiting = list(face.body)
    while waiting:
        block = waiting.pop(0)
        used = stack_height_mm(bodies[-1], width, sizes) + BLOCK_GAP_MM if bodies[-1] else 0.0
        need, is_wide = block.measure_mm(width, sizes), block.excess_mm(width, sizes) > SLACK_MM
        if isinstance(block, Columns) and (is_wide or need > room + SLACK_MM):
            waiting[:0] = list_blocks((block,))
        elif is_wide:
            return []
        elif used + need <= room + SLACK_MM:
            bodies[-1] = (*bodies[-1], block)
        elif bodies[-1]:
            bodies.append(())
            waiting.insert(0, block)
        else:
            parts = (
                block.cut(room, width, sizes, number + len(bodies) - 1)
                if isinstance(block, Cuttable)
                else _split_evenly(block, room, width, sizes)
            )
            if any(part.measure_mm(width, sizes) > room + SLACK_MM for part in parts):
                return []
            bodies[-1:] = [(part,) for part in parts]
    return _even_out(bodies, room, width, sizes)


def _even_out(
    bodies: list[tuple[Block, ...]], room_mm: float, width_mm: float, sizes: TypeSizes
) -> list[tuple[Block, ...]]:
    """The bodies with what the last two hold parted as evenly as can be; no part of a chart leaves its face."""
    if len(bodies) < 2:
        return bodies
    both, least = (*bodies[-2], *bodies[-1]), len(bodies[-2])
    while least > 1 and not isinstance(both[least - 1], Cuttable):
        least -= 1
    ways = [(both[:count], both[count:]) for count in range(least, len(bodies[-2]) + 1)]
    heights = [[stack_height_mm(part, width_mm, sizes) for part in way] for way in ways]
    fitting = [at for at, pair in enumerate(heights) if max(pair) <= room_mm + SLACK_MM]
    best = min(fitting, key=lambda at: max(heights[at]), default=len(ways) - 1)
    return [*bodies[:-2], *ways[best]]


def _split_evenly(block: Block, room_mm: float, width_mm: float, sizes: TypeSizes) -> tuple[Block, ...]:
    """What can go on elsewhere over the fewest faces of this height, each of them filled about alike."""
    least = _split(block, room_mm, width_mm, sizes)
    for share in range(95, 25, -5):
        parts = _split(block, room_mm * share / 100, width_mm, sizes)
        if len(parts) != len(least):
            break
        least = parts
    return least


def _split(block: Block, room_mm: float, width_mm: float, sizes: TypeSizes) -> tuple[Block, ...]:
    """The block over faces, each as full as can be; the last holds all that can't be divided."""
    parts: list[Block] = []
    rest: Block | None = block
    while rest:
        whole = rest.measure_mm(width_mm, sizes) <= room_mm + SLACK_MM or not isinstance(rest, Divisible)
        head, left = (rest, None) if whole else rest.split(room_mm, width_mm, sizes)  # type: ignore[attr-defined]
        parts.append(head or rest)
        rest = left if head else None
    return tuple(parts)


def list_blocks(body: Iterable[Block]) -> Iterator[Block]:
    """The blocks one after the other, those of columns too."""
    for block in body:
        if isinstance(block, Columns):
            for stack in block.stacks:
                yield from list_blocks(stack)
        else:
            yield block
