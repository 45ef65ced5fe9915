"""What to say and signal for each ruling of a table."""

from __future__ import annotations

from collections.abc import Iterator
from typing import Literal

from pydantic import Field

from pocketref.blocks.model import BlockModel, Cited, TableSubject
from pocketref.blocks.setting import Setting
from pocketref.pages.blocks import Block, Paragraphs
from pocketref.source.ruling_models import RulingModel


class CallsBlockModel(BlockModel):
    """What to say and signal for each ruling of a subject's table, from the table itself."""

    block: Literal["calls"]
    subject: TableSubject = Field(description="the subject whose calls are listed")

    def list_cited(self, setting: Setting) -> Iterator[Cited]:
        """The table's rows."""
        yield from setting.find_table(self.subject).rows

    def build(self, setting: Setting) -> Block:
        """A list of the rulings that have words or a signal."""
        rulings = setting.find_table(self.subject).rulings.values()
        entries = tuple(_write_call(ruling) for ruling in rulings if ruling.say or ruling.signal)
        return Paragraphs(f"calls {self.subject}", entries, kind="list")


def _write_call(ruling: RulingModel) -> str:
    """One ruling's call: headline, the words in quotation marks, the signals."""
    said = " ".join(f"“{words}”" for words in ruling.say)
    shown = "; ".join(ruling.signal)
    joined = " ".join(part for part in (said, f"Signal: {shown}." if shown else "") if part)
    return f"*{ruling.headline}:* {joined}"
