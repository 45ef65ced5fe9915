"""What to tape once a plan is staked out."""

from __future__ import annotations

from collections.abc import Iterator, Mapping
from typing import Literal

from pydantic import Field

from pocketref.blocks.model import PLANS, BlockModel, Cited, PlanName
from pocketref.blocks.setting import Setting
from pocketref.field.plan import Plan
from pocketref.field.square_checks import list_square_checks
from pocketref.pages.blocks import Block
from pocketref.pages.table_blocks import Cell, Column, TableBlock
from pocketref.units.length import Length
from pocketref.units.notation import write_mm, write_tape
from pocketref.words.speech import say


class ChecksBlockModel(BlockModel):
    """The diagonals and the 3-4-5 triangle to tape once a plan is staked out."""

    block: Literal["checks"]
    plan: PlanName = Field(description="the plan that was staked out, plate-area or diamond")

    def list_cited(self, setting: Setting) -> Iterator[Cited]:
        """The plan's dimensions."""
        yield from setting.list_dimensions(PLANS[self.plan])

    def build(self, setting: Setting) -> Block:
        """A row a check."""
        return build_checks_table(setting.find_plan(self.plan), setting.lengths)


def build_checks_table(plan: Plan, lengths: Mapping[str, Length]) -> TableBlock:
    """What to tape once everything is set."""
    rows = tuple(
        (
            Cell(check.what),
            Cell(f"*{write_tape(check.length)}*"),
            Cell(write_mm(check.length)),
            Cell(check.note),
        )
        for check in list_square_checks(plan, lengths.get("second-base-diagonal"))
    )
    columns = (
        Column(say("Check"), flex=True),
        Column(say("Should be"), "end"),
        Column("mm", "end"),
        Column(say("What it shows")),
    )
    return TableBlock("checks", columns, rows, say("Then check"), most_stretch_mm=1.0)
