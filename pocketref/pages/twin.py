"""Blocks and faces in several languages taken as one, so that what is cut is cut alike in each of them."""

from __future__ import annotations

from collections.abc import Iterable, Sequence
from dataclasses import dataclass, replace
from typing import Protocol, runtime_checkable

from pocketref.pages.blocks import Block
from pocketref.pages.composition import SLACK_MM, Columns, Face
from pocketref.pages.page import Box, Element
from pocketref.pages.pagination import Divisible
from pocketref.pages.type_scale import TypeSizes
from pocketref.pages.words import Words
from pocketref.words.speech import Language, speak


@runtime_checkable
class Cuttable(Protocol):
    """A block that goes on on faces of its own, which its parts name."""

    def cut(
        self,
        height_mm: float,
        width_mm: float,
        sizes: TypeSizes,
        first_face: int,
        others: Sequence[tuple[Block, Language | None]] = (),
    ) -> tuple[Block, ...]:
        """Its parts, one a face; itself alone if nothing of it can stand elsewhere.

        They are such that those of `others`, the same block in other languages, cut alike, have room too.
        """

    def is_part_of(self, whole: Block) -> bool:
        """Whether it is a part of just this."""


@dataclass(frozen=True, slots=True)
class Twin:
    """A block in several languages: it takes the room that the largest does."""

    blocks: tuple[Block, ...]
    languages: tuple[Language | None, ...]

    @property
    def label(self) -> str:
        """That of the block in the first language."""
        return self.blocks[0].label

    @property
    def grows(self) -> bool:
        """As the block does."""
        return self.blocks[0].grows

    def measure_mm(self, width_mm: float, sizes: TypeSizes) -> float:
        """The height in the language in which it is highest."""
        return max(block.measure_mm(width_mm, sizes) for block in self.blocks)

    def excess_mm(self, width_mm: float, sizes: TypeSizes) -> float:
        """The excess in the language in which it is widest."""
        return max(block.excess_mm(width_mm, sizes) for block in self.blocks)

    def draw(self, box: Box, sizes: TypeSizes) -> Element:
        """The block in the first language: those of a face are drawn apart."""
        return self.blocks[0].draw(box, sizes)

    def words(self) -> Words:
        """Those of the first language."""
        return self.blocks[0].words()


@dataclass(frozen=True, slots=True)
class DivisibleTwin(Twin):
    """One that can go on elsewhere, after as many of its entries in each language."""

    def split(self, height_mm: float, width_mm: float, sizes: TypeSizes) -> tuple[Block | None, Block | None]:
        """What fits into a height in each language, and the rest."""
        rooms = [height_mm] * len(self.blocks)
        while True:
            parts = [self._split_one(number, room, width_mm, sizes) for number, room in enumerate(rooms)]
            heads = [head for head, _ in parts if head]
            if len(heads) < len(parts):
                return None, self
            counts = [_count_entries(head) for head in heads]
            if len(set(counts)) == 1:
                break
            for number, head in enumerate(heads):
                if counts[number] > min(counts):
                    rooms[number] = head.measure_mm(width_mm, sizes) - 2 * SLACK_MM
        rests = [rest for _, rest in parts if rest]
        if rests and len(rests) < len(parts):
            return None, self
        return join_blocks(heads, self.languages), join_blocks(rests, self.languages) if rests else None

    def _split_one(
        self, number: int, room_mm: float, width_mm: float, sizes: TypeSizes
    ) -> tuple[Block | None, Block | None]:
        block = self.blocks[number]
        if not isinstance(block, Divisible):
            return None, block
        with speak(self.languages[number]):
            return block.split(room_mm, width_mm, sizes)


@dataclass(frozen=True, slots=True)
class CuttableTwin(DivisibleTwin):
    """One that goes on on faces of its own."""

    def cut(
        self,
        height_mm: float,
        width_mm: float,
        sizes: TypeSizes,
        first_face: int,
        others: Sequence[tuple[Block, Language | None]] = (),
    ) -> tuple[Block, ...]:
        """Its parts, alike in each language; itself alone where there are none such."""
        both = list(zip(self.blocks, self.languages, strict=True))
        cut = []
        for number, (block, language) in enumerate(both):
            with speak(language):
                left = [*both[:number], *both[number + 1 :], *others]
                cut.append(
                    block.cut(height_mm, width_mm, sizes, first_face, left)
                    if isinstance(block, Cuttable)
                    else ()
                )
        if len({tuple(map(_count_entries, parts)) for parts in cut}) > 1:
            return (self,)
        return tuple(join_blocks(parts, self.languages) for parts in zip(*cut, strict=True))

    def is_part_of(self, whole: Block) -> bool:
        """No: it is compared apart."""
        return False


def _count_entries(block: Block) -> int:
    """How many entries or rows a block has that can be divided between them."""
    return len(getattr(block, "entries", getattr(block, "rows", ())))


def join_blocks(blocks: Sequence[Block], languages: tuple[Language | None, ...]) -> Block:
    """One block of the same in several languages; columns stay columns."""
    first = blocks[0]
    if isinstance(first, Columns):
        stacks = zip(*(block.stacks for block in blocks if isinstance(block, Columns)), strict=True)
        return replace(first, stacks=tuple(_join_all(stack, languages) for stack in stacks))
    if isinstance(first, Cuttable):
        return CuttableTwin(tuple(blocks), languages)
    return (DivisibleTwin if isinstance(first, Divisible) else Twin)(tuple(blocks), languages)


def _join_all(stacks: Sequence[Sequence[Block]], languages: tuple[Language | None, ...]) -> tuple[Block, ...]:
    return tuple(join_blocks(blocks, languages) for blocks in zip(*stacks, strict=True))


def join_faces(faces: Sequence[Face]) -> Face:
    """One face of the same in several languages."""
    languages = tuple(face.language for face in faces)
    head, foot = (join_blocks([getattr(f, part) for f in faces], languages) for part in ("head", "foot"))
    return replace(faces[0], head=head, body=_join_all([face.body for face in faces], languages), foot=foot)


def part_face(face: Face, number: int) -> Face:
    """A face in one of the languages that it was joined of."""
    head, *body, foot = _part_all((face.head, *face.body, face.foot), number)
    language = face.head.languages[number] if isinstance(face.head, Twin) else face.language
    return replace(face, head=head, body=tuple(body), foot=foot, language=language)


def _part_all(blocks: Iterable[Block], number: int) -> tuple[Block, ...]:
    return tuple(_part(block, number) for block in blocks)


def _part(block: Block, number: int) -> Block:
    if isinstance(block, Columns):
        return replace(block, stacks=tuple(_part_all(stack, number) for stack in block.stacks))
    return block.blocks[number] if isinstance(block, Twin) else block
