"""What to say and signal for each ruling of a table."""

from __future__ import annotations

from collections.abc import Iterator, Sequence
from typing import Literal

from pydantic import Field

from pocketref.blocks.model import BlockModel, Cited, TableSubject
from pocketref.blocks.setting import Setting
from pocketref.pages.blocks import Block, Paragraphs
from pocketref.source.ruling_models import RowModel, RulingModel
from pocketref.words.speech import quote, say


class CallsBlockModel(BlockModel):
    """What to say and signal for each ruling of a subject's table, from the table itself."""

    block: Literal["calls"]
    subject: TableSubject = Field(description="the subject whose calls are listed")

    def list_cited(self, setting: Setting) -> Iterator[Cited]:
        """The table's rows."""
        yield from setting.find_table(self.subject).rows

    def build(self, setting: Setting) -> Block:
        """A list of the rulings that have words or a signal."""
        table = setting.find_table(self.subject)
        entries = []
        for name, ruling in table.rulings.items():
            rows = [row for row in table.rows if row.ruling == name]
            if ruling.say or ruling.signal:
                entries.append(_write_call(ruling, rows, setting.mark_doubt(*rows)))
        return Paragraphs(f"calls {self.subject}", tuple(entries), kind="list")


def _write_call(ruling: RulingModel, rows: Sequence[RowModel], mark: str) -> str:
    """One ruling's call: headline, the words in quotation marks, the signals; that it is disputed, if so."""
    disputed = [bool(row.unsettled) for row in rows]
    said = " ".join(map(quote, ruling.say))
    shown = say("Signal: {signals}.", signals="; ".join(ruling.signal)) if ruling.signal else ""
    joined = " ".join(part for part in (said, shown) if part)
    league = ""
    if any(disputed):
        league = f" ({say('check league') if all(disputed) else say('in part check league')})"
    return f"*{ruling.headline}{mark}{league}:* {joined}"
