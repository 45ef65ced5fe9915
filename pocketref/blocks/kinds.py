"""The kinds of block that a layout may ask for, and columns, which hold any of them.

A new kind is a module of its own and its name in `AnyBlock`.
"""

from __future__ import annotations

from collections.abc import Iterable, Iterator, Sequence
from contextlib import suppress
from typing import Annotated, Literal

from pydantic import Field

from pocketref.blocks.blanks import BlanksBlockModel
from pocketref.blocks.calls import CallsBlockModel
from pocketref.blocks.caution import CautionBlockModel
from pocketref.blocks.chart import ChartBlockModel
from pocketref.blocks.differences import DifferencesBlockModel
from pocketref.blocks.doubt import mark_figures
from pocketref.blocks.field.checks import ChecksBlockModel
from pocketref.blocks.field.derived import DerivedBlockModel
from pocketref.blocks.field.field_check import FieldCheckBlockModel
from pocketref.blocks.field.figure import FigureBlockModel
from pocketref.blocks.field.marking_list import MarkingListBlockModel
from pocketref.blocks.field.mound_heights import MoundHeightsBlockModel
from pocketref.blocks.field.pulls import PullsBlockModel
from pocketref.blocks.field.stakeout import StakeoutBlockModel
from pocketref.blocks.finder import FinderBlockModel
from pocketref.blocks.flash_to_bang import FlashToBangBlockModel
from pocketref.blocks.heat_index import HeatIndexBlockModel
from pocketref.blocks.legend import CodesBlockModel, SymbolsBlockModel
from pocketref.blocks.model import BlockModel, Cited
from pocketref.blocks.photo import PhotoBlockModel
from pocketref.blocks.picture import PictureBlockModel
from pocketref.blocks.qr import QrBlockModel
from pocketref.blocks.setting import Setting
from pocketref.blocks.text import TextBlockModel
from pocketref.pages.blocks import Block
from pocketref.pages.change_bar import Absent
from pocketref.pages.composition import Columns
from pocketref.problems import PocketrefError
from pocketref.source.syntax.kinds import Cite, DecimalNumber
from pocketref.source.syntax.located import SourceModel


class ColumnModel(SourceModel):
    """One stack of blocks among several side by side."""

    share: DecimalNumber = Field(gt=0, description="its relative width, such as 1")
    blocks: Blocks = Field(min_length=1, description="a list of blocks")


class ColumnsBlockModel(BlockModel):
    """Stacks side by side."""

    block: Literal["columns"]
    columns: tuple[ColumnModel, ...] = Field(
        min_length=2, description="a list of columns, each share and blocks"
    )

    def list_cited(self, setting: Setting) -> Iterator[Cited]:
        """What each block in it cites."""
        for column in self.columns:
            yield from list_cited(column.blocks, setting)

    def build(self, setting: Setting) -> Block:
        """The stacks at their shares of the width."""
        stacks = tuple(build_blocks(column.blocks, setting) for column in self.columns)
        return Columns(stacks, tuple(float(column.share) for column in self.columns))


AnyBlock = Annotated[
    FigureBlockModel
    | PictureBlockModel
    | PhotoBlockModel
    | QrBlockModel
    | ChartBlockModel
    | FinderBlockModel
    | SymbolsBlockModel
    | CodesBlockModel
    | DifferencesBlockModel
    | TextBlockModel
    | CallsBlockModel
    | CautionBlockModel
    | DerivedBlockModel
    | PullsBlockModel
    | StakeoutBlockModel
    | ChecksBlockModel
    | MarkingListBlockModel
    | MoundHeightsBlockModel
    | FieldCheckBlockModel
    | BlanksBlockModel
    | FlashToBangBlockModel
    | HeatIndexBlockModel
    | ColumnsBlockModel,
    Field(discriminator="block"),
]
"""Any block; its `block` key says which."""

Blocks = tuple[AnyBlock, ...]

ColumnModel.model_rebuild()


def walk_blocks(blocks: Iterable[AnyBlock]) -> Iterator[AnyBlock]:
    """Every block, those inside columns too."""
    for block in blocks:
        yield block
        if isinstance(block, ColumnsBlockModel):
            for column in block.columns:
                yield from walk_blocks(column.blocks)


def find_block(blocks: Blocks, path: Sequence[int]) -> AnyBlock:
    """The block at a path of numbers from 0: its own, and in columns those of the column and in it."""
    number, *inner = path
    block = blocks[number]
    if inner and isinstance(block, ColumnsBlockModel):
        return find_block(block.columns[inner[0]].blocks, inner[1:])
    return block


def build_blocks(blocks: Blocks, setting: Setting) -> tuple[Block, ...]:
    """What is laid out of each; raises PocketrefError if one asks for what does not exist.

    In the setting of the edition before that is `Absent`.
    """
    return tuple(_build_block(block, setting) for block in blocks)


def _build_block(block: AnyBlock, setting: Setting) -> Block:
    try:
        made = block.build(setting)
        is_stack = isinstance(block, ColumnsBlockModel)  # the blocks in it mark their own
        return made if is_stack else mark_figures(made, setting.library, block.list_cited(setting))
    except PocketrefError:
        if setting.is_past:
            return Absent()
        raise


def list_cited(blocks: Blocks, setting: Setting) -> Iterator[Cited]:
    """The statements that the blocks rest on; in the setting of the edition before those that there are."""
    for block in blocks:
        with suppress(*((PocketrefError,) if setting.is_past else ())):
            yield from block.list_cited(setting)


def list_cites(blocks: Blocks, setting: Setting) -> tuple[Cite, ...]:
    """The sections that the blocks rest on, each once, in order of work and section."""
    cites = {cite for cited in list_cited(blocks, setting) for cite in cited.source if not cite.is_house}
    return tuple(sorted(cites, key=lambda cite: (cite.work, cite.section)))
