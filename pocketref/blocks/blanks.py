"""Labelled blanks to write or type in."""

from __future__ import annotations

from collections.abc import Iterator
from typing import Literal

from pydantic import Field, field_validator

from pocketref.blocks.model import MOST_ENTRIES, BlockModel, Cited, list_nothing
from pocketref.blocks.setting import Setting
from pocketref.pages.blanks import Blanks
from pocketref.pages.blocks import Block
from pocketref.source.syntax.kinds import Sentence, WholeNumber, refuse_value
from pocketref.words.terminal import tell


class BlanksBlockModel(BlockModel):
    """Labelled blanks to write or type in."""

    block: Literal["blanks"]
    labels: tuple[Sentence, ...] = Field(
        min_length=1, max_length=MOST_ENTRIES, description="what belongs in each blank, a list"
    )
    across: WholeNumber = Field(default=1, ge=1, le=6, description="how many blanks in a line")

    @field_validator("labels")
    @classmethod
    def _check_distinct(cls, labels: tuple[str, ...]) -> tuple[str, ...]:
        for number, label in enumerate(labels):
            if label in labels[:number]:
                refuse_value(
                    "value-twice",
                    tell("two blanks are called '{label}'", label=label),
                    tell("give each blank its own label"),
                )
        return labels

    def list_cited(self, setting: Setting) -> Iterator[Cited]:
        """Nothing."""
        return list_nothing()

    def build(self, setting: Setting) -> Block:
        """The blanks as they are asked for."""
        return Blanks(self.labels, self.across, self.as_written.labels)
