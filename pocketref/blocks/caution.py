"""A caution panel."""

from __future__ import annotations

from collections.abc import Iterator
from typing import Literal

from pydantic import Field

from pocketref.blocks.model import BlockModel, Caution, Cited
from pocketref.blocks.setting import Setting
from pocketref.pages.blocks import Block
from pocketref.pages.panels import CautionPanel


class CautionBlockModel(BlockModel):
    """A caution panel."""

    block: Literal["caution"]
    caution: Caution = Field(description="the caution's name, as its file is called")

    def list_cited(self, setting: Setting) -> Iterator[Cited]:
        """The caution."""
        yield setting.find_caution(self.caution)

    def build(self, setting: Setting) -> Block:
        """Its signal word, title and entries in a frame."""
        caution = setting.find_caution(self.caution)
        title = caution.title + setting.mark_doubt(caution)
        return CautionPanel(self.caution, caution.signal_word, title, caution.entries, caution.lead)
