"""What has no room on a card's two sides, cut over numbered faces: charts by their rungs, texts by their entries."""

from __future__ import annotations

from collections.abc import Iterable, Iterator, Sequence
from dataclasses import replace
from typing import Protocol, runtime_checkable

from pocketref.pages.blocks import Block, TitleBand
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
from pocketref.pages.type_scale import TypeSizes


@runtime_checkable
class Cuttable(Protocol):
    """A block that goes on on faces of its own, which its parts name."""

    def cut(self, height_mm: float, width_mm: float, sizes: TypeSizes, first_face: int) -> tuple[Block, ...]:
        """Its parts, one a face; itself alone if nothing of it can stand elsewhere."""


def cut_faces(faces: Sequence[Face], box: Box, scale: Iterable[TypeSizes]) -> tuple[Face, ...]:
    """The faces of as many cards as they take, numbered; none if something fits on no face.

    Columns are taken apart where a face is cut. The type is the least that fills both sides of every card, and
    the footers of the first two faces go on.
    """
    for sizes in scale:
        bodies: list[tuple[Block, ...]] = []
        for face in faces:
            parts = _cut_body(face, box, sizes, len(bodies) + 1)
            if not parts:
                return ()
            bodies += parts
        if len(bodies) % 2 == 0:
            break
    else:
        return ()
    if len(bodies) == len(faces):
        return tuple(replace(face, body=body) for face, body in zip(faces, bodies, strict=True))
    return tuple(_number(face, body, number) for number, (face, body) in enumerate(_pair(faces, bodies), 1))


def _pair(
    faces: Sequence[Face], bodies: Sequence[tuple[Block, ...]]
) -> Iterator[tuple[Face, tuple[Block, ...]]]:
    yield from ((faces[number % len(faces)], body) for number, body in enumerate(bodies))


def _number(face: Face, body: tuple[Block, ...], number: int) -> Face:
    head = face.head
    if isinstance(head, TitleBand):
        head = replace(head, tag=f"{head.tag}, face {number}")
    return Face(f"face-{number}", head, body, face.foot)


def _cut_body(face: Face, box: Box, sizes: TypeSizes, number: int) -> list[tuple[Block, ...]]:
    """The bodies that a face takes, of which the first is on the face `number`."""
    if not find_misfits(face, box, sizes):
        return [face.body]
    room, width = body_box(face, box, sizes).height_mm, box.width_mm
    bodies: list[tuple[Block, ...]] = [()]
    waiting = list(list_blocks(face.body))
    if any(block.excess_mm(width, sizes) > SLACK_MM for block in waiting):
        return []
    while waiting:
        block = waiting.pop(0)
        used = stack_height_mm(bodies[-1], width, sizes) + BLOCK_GAP_MM if bodies[-1] else 0.0
        need = block.measure_mm(width, sizes)
        if used + need <= room + SLACK_MM:
            bodies[-1] = (*bodies[-1], block)
        elif bodies[-1]:
            bodies.append(())
            waiting.insert(0, block)
        elif isinstance(block, Cuttable):
            parts = block.cut(room, width, sizes, number + len(bodies) - 1)
            if any(part.measure_mm(width, sizes) > room + SLACK_MM for part in parts):
                return []
            bodies[-1:] = [(part,) for part in parts]
        else:
            head, rest = block.split(room, width, sizes) if isinstance(block, Divisible) else (None, None)
            if head is None:
                return []
            bodies[-1] = (head,)
            waiting[:0] = [rest] if rest else []
    return bodies


def list_blocks(body: Iterable[Block]) -> Iterator[Block]:
    """The blocks one after the other, those of columns too."""
    for block in body:
        if isinstance(block, Columns):
            for stack in block.stacks:
                yield from list_blocks(stack)
        else:
            yield block
