"""Blocks from a layout's block models: what they hold is computed from the content they refer to."""

from __future__ import annotations

from collections.abc import Mapping
from dataclasses import dataclass
from functools import cached_property

from pocketref.field.figures import Figure
from pocketref.field.plan import Plan, construct_plate_area
from pocketref.field.pulls import pulls
from pocketref.pages.blanks import Blanks
from pocketref.pages.blocks import Block, Paragraphs
from pocketref.pages.composition import Columns
from pocketref.pages.drawing_blocks import ChartBlock, FigureBlock
from pocketref.pages.panels import CautionPanel
from pocketref.pages.pull_table import build_pull_table
from pocketref.problems import PocketrefError, Problem, suggest_match
from pocketref.rulings.chart import Chart, build_chart
from pocketref.rulings.construct import construct_table
from pocketref.rulings.table import Table
from pocketref.scene.plate_figure import Detail, draw_plate_area
from pocketref.scene.ruling_flow import construct_flow, describe_chart
from pocketref.source.kinds import Cite
from pocketref.source.layout_models import (
    BlanksBlockModel,
    BlockModel,
    Blocks,
    CallsBlockModel,
    CautionBlockModel,
    ChartBlockModel,
    ColumnsModel,
    DerivedBlockModel,
    FigureBlockModel,
    PullsBlockModel,
    TextBlockModel,
)
from pocketref.source.library import Library
from pocketref.source.ruling_models import RulingModel, TableModel
from pocketref.units.length import Length
from pocketref.units.notation import write_tape


@dataclass(frozen=True)
class Desk:
    """What a face's blocks are made from: the content, and the code and level the face goes by."""

    library: Library
    code: str
    level: str
    detail: Detail

    @cached_property
    def lengths(self) -> Mapping[str, Length]:
        """The level's dimensions by name."""
        field = self.library.fields[f"{self.code}-{self.level}"]
        return {name: dimension.value for name, dimension in field.dimensions.items()}

    @cached_property
    def plan(self) -> Plan:
        """The plan of the plate area."""
        return construct_plate_area(self.lengths)

    def table_model(self, subject: str) -> TableModel:
        """The code's table on a subject, as its author wrote it."""
        return self.library.rulings[self.code, subject]

    def chart(self, subject: str) -> tuple[Chart, Table]:
        """The shortest chart of the code's table on a subject, and the table."""
        table = construct_table(self.library.subjects[subject], self.table_model(subject))
        return build_chart(table), table


def build_blocks(models: Blocks, desk: Desk) -> tuple[Block, ...]:
    """The blocks in order; raises PocketrefError if one asks for what does not exist."""
    return tuple(_build_block(model, desk) for model in models)


def _build_block(model: BlockModel, desk: Desk) -> Block:
    match model:
        case FigureBlockModel():
            return _build_figure(model, desk)
        case ChartBlockModel():
            return _build_chart(model, desk)
        case TextBlockModel():
            text = desk.library.texts[model.text]
            return Paragraphs(model.text, text.entries, text.heading, model.as_)
        case CallsBlockModel():
            return _build_calls(model, desk)
        case CautionBlockModel():
            caution = desk.library.cautions[model.caution]
            return CautionPanel(model.caution, caution.signal_word, caution.title, caution.entries)
        case DerivedBlockModel():
            return _build_derived(model, desk)
        case BlanksBlockModel():
            return Blanks(model.labels, model.across)
        case PullsBlockModel():
            tolerance = desk.library.fields[f"{desk.code}-{desk.level}"].tolerances["pull"]
            return build_pull_table(pulls(desk.plan), tolerance.value, "table of pulls")
        case ColumnsModel():
            stacks = tuple(build_blocks(column.blocks, desk) for column in model.columns)
            return Columns(stacks, tuple(float(column.share) for column in model.columns))


def _build_figure(model: FigureBlockModel, desk: Desk) -> FigureBlock:
    def draw_at(scale: float, size_pt: float) -> object:
        return draw_plate_area(desk.plan, desk.lengths, scale, size_pt, desk.detail)

    return FigureBlock(f"figure {model.figure}", "Plate area", draw_at, model.smallest)  # type: ignore[arg-type]


def _build_chart(model: ChartBlockModel, desk: Desk) -> ChartBlock:
    chart, table = desk.chart(model.subject)
    source = desk.table_model(model.subject)
    unsettled = frozenset(row.ruling for row in source.rows if row.unsettled)
    nodes, root = construct_flow(chart, table, source.rulings, unsettled)
    return ChartBlock(f"chart {model.subject}", nodes, root, f"Decision chart. {describe_chart(nodes, root)}")


def _build_calls(model: CallsBlockModel, desk: Desk) -> Paragraphs:
    entries = [
        _say_call(ruling)
        for ruling in desk.table_model(model.subject).rulings.values()
        if ruling.say or ruling.signal
    ]
    return Paragraphs(f"calls {model.subject}", tuple(entries), kind="list")


def _say_call(ruling: RulingModel) -> str:
    """One ruling's call: headline, the words in quotation marks, the signals."""
    said = " ".join(f"“{words}”" for words in ruling.say)
    shown = "; ".join(ruling.signal)
    joined = " ".join(part for part in (said, f"Signal: {shown}." if shown else "") if part)
    return f"*{ruling.headline}:* {joined}"


def _build_derived(model: DerivedBlockModel, desk: Desk) -> Paragraphs:
    entries = []
    for name in model.show:
        figure = desk.plan.figures.get(name)
        if figure is None:
            hint = suggest_match(name, desk.plan.figures)
            raise PocketrefError(
                [Problem("figure-unknown", f"the plan has no figure '{name}'", hint, model.locate("show"))]
            )
        entries.append(_say_figure(figure, desk.lengths.get(name)))
    return Paragraphs("derived figures", tuple(entries), model.heading, "list")


def _say_figure(figure: Figure, published: Length | None) -> str:
    """A derived figure in a line; where the book prints a rounded one, both."""
    nominal = write_tape(published or figure.length, style="print")
    if published is not None and published != figure.length:
        return f"*{nominal}* as published, *{figure.inches:.2f}\u00a0in* exact: {figure.label}"
    return f"*{nominal}* {figure.label}"


def list_cites(models: Blocks, desk: Desk) -> tuple[Cite, ...]:
    """The sections that the blocks' rulings and texts rest on, each once, in order of work and section."""
    cites: set[Cite] = set()
    for model in models:
        match model:
            case ColumnsModel():
                for column in model.columns:
                    cites.update(list_cites(column.blocks, desk))
            case ChartBlockModel():
                cites.update(c for row in desk.table_model(model.subject).rows for c in row.source)
            case TextBlockModel():
                cites.update(desk.library.texts[model.text].source)
            case FigureBlockModel():
                field = desk.library.fields[f"{desk.code}-{desk.level}"]
                for name in ("plate-width", "box-length", "box-width", "box-offset"):
                    cites.update(field.dimensions[name].source)
            case _:
                pass
    return tuple(sorted((c for c in cites if c.work != "house"), key=lambda c: (c.work, c.section)))
