"""A text of the content folder."""

from __future__ import annotations

from collections.abc import Iterator
from typing import Literal

from pydantic import Field

from pocketref.blocks.model import BlockModel, Cited, Text
from pocketref.blocks.setting import Setting
from pocketref.pages.blocks import Block, Paragraphs


class TextBlockModel(BlockModel):
    """A text of the content folder: plain paragraphs, numbered steps or a list."""

    block: Literal["text"]
    as_: Literal["plain", "steps", "list"] = Field(default="plain", description="plain, steps or list")
    text: Text = Field(description="where the text is, such as mechanics/stance/do")

    def list_cited(self, setting: Setting) -> Iterator[Cited]:
        """The text."""
        yield setting.find_text(self.text)

    def build(self, setting: Setting) -> Block:
        """Its heading and entries."""
        text = setting.find_text(self.text)
        mark = setting.mark_doubt(text)
        if text.heading:
            return Paragraphs(self.text, text.entries, text.heading + mark, self.as_)
        return Paragraphs(self.text, tuple(entry + mark for entry in text.entries), kind=self.as_)
