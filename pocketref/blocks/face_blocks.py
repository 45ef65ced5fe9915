"""Blocks from a layout's block models: what they hold is computed from the content they refer to."""

from __future__ import annotations

from functools import singledispatch

from pocketref.blocks.block_models import (
    BlanksBlockModel,
    BlockModel,
    Blocks,
    CallsBlockModel,
    CautionBlockModel,
    ChartBlockModel,
    ChecksBlockModel,
    ColumnsModel,
    DerivedBlockModel,
    DifferencesBlockModel,
    FieldCheckBlockModel,
    FigureBlockModel,
    FlashToBangBlockModel,
    HeatIndexBlockModel,
    MarkingListBlockModel,
    MoundHeightsBlockModel,
    PhotoBlockModel,
    PictureBlockModel,
    PullsBlockModel,
    QrBlockModel,
    StakeoutBlockModel,
    TextBlockModel,
)
from pocketref.blocks.change_bar import ChangeBar, has_changed
from pocketref.blocks.check_table import build_field_check
from pocketref.blocks.desk import Desk
from pocketref.blocks.difference_table import build_difference_table
from pocketref.blocks.drawing_blocks import ChartBlock
from pocketref.blocks.field_figures import FIGURES, build_figure
from pocketref.blocks.mound_table import build_mound_table
from pocketref.blocks.photo_block import PhotoBlock
from pocketref.blocks.picture_blocks import build_picture
from pocketref.blocks.pull_table import build_pull_table
from pocketref.blocks.qr_block import build_qr
from pocketref.blocks.stakeout_table import build_checks_table, build_marking_table, build_stakeout_table
from pocketref.blocks.weather_blocks import FlashToBangTable, HeatIndexTable
from pocketref.field.figures import Figure
from pocketref.field.pulls import pulls
from pocketref.pages.blanks import Blanks
from pocketref.pages.blocks import Block, Paragraphs
from pocketref.pages.composition import Columns
from pocketref.pages.panels import CautionPanel
from pocketref.problems import PocketrefError, Problem, suggest_match
from pocketref.scene.ruling_flow import construct_flow, describe_chart
from pocketref.source.ruling_models import RulingModel
from pocketref.source.syntax.kinds import Cite
from pocketref.source.syntax.located import SourceModel
from pocketref.tape.stakeout import BASE_MARKS
from pocketref.units.length import Length
from pocketref.units.notation import write_tape
from pocketref.weather.heat_index import CATEGORY_SETS


def build_blocks(models: Blocks, desk: Desk) -> tuple[Block, ...]:
    """The blocks in order; raises PocketrefError if one asks for what does not exist."""
    return tuple(_mark_change(_build_block(model, desk), model, desk) for model in models)


def _mark_change(block: Block, model: BlockModel, desk: Desk) -> Block:
    """The block with a bar beside it if it shows what the edition before did not."""
    before = desk.previous
    if before is None or not has_changed(model, desk.code, desk.level, desk.library, before):
        return block
    return ChangeBar(block)


@singledispatch
def _build_block(model: SourceModel, desk: Desk) -> Block:
    """One builder a kind of block model, registered below."""
    raise TypeError(f"no builder for {type(model).__name__}")


@_build_block.register
def _(model: DifferencesBlockModel, desk: Desk) -> Block:
    return build_difference_table(desk.library, model.subject, model.codes, desk.code)


@_build_block.register
def _(model: TextBlockModel, desk: Desk) -> Block:
    text = desk.library.texts[model.text]
    return Paragraphs(model.text, text.entries, text.heading, model.as_)


@_build_block.register
def _(model: CautionBlockModel, desk: Desk) -> Block:
    caution = desk.library.cautions[model.caution]
    return CautionPanel(model.caution, caution.signal_word, caution.title, caution.entries)


@_build_block.register
def _(model: BlanksBlockModel, desk: Desk) -> Block:
    return Blanks(model.labels, model.across)


@_build_block.register
def _(model: PullsBlockModel, desk: Desk) -> Block:
    taped = pulls(desk.find_plan(model.plan))
    if model.plan == "diamond":
        taped = tuple(pull for pull in taped if {pull.from_station, pull.to_station} <= set(BASE_MARKS))
    return build_pull_table(taped, desk.tolerances["pull"], "table of pulls")


@_build_block.register
def _(model: StakeoutBlockModel, desk: Desk) -> Block:
    return build_stakeout_table(desk.find_plan(model.plan))


@_build_block.register
def _(model: ChecksBlockModel, desk: Desk) -> Block:
    return build_checks_table(desk.find_plan(model.plan), desk.lengths)


@_build_block.register
def _(model: MarkingListBlockModel, desk: Desk) -> Block:
    return build_marking_table(desk.find_plan(model.plan), desk.lengths)


@_build_block.register
def _(model: MoundHeightsBlockModel, desk: Desk) -> Block:
    return build_mound_table(desk.lengths, desk.tolerances["height"])


@_build_block.register
def _(model: FieldCheckBlockModel, desk: Desk) -> Block:
    return build_field_check(desk.field_check)


@_build_block.register
def _(model: FlashToBangBlockModel, desk: Desk) -> Block:
    return FlashToBangTable(model.seconds, model.temperature)


@_build_block.register
def _(model: HeatIndexBlockModel, desk: Desk) -> Block:
    return HeatIndexTable(model.temperatures, model.humidities, CATEGORY_SETS[model.categories])


@_build_block.register
def _(model: ColumnsModel, desk: Desk) -> Block:
    stacks = tuple(build_blocks(column.blocks, desk) for column in model.columns)
    return Columns(stacks, tuple(float(column.share) for column in model.columns))


@_build_block.register
def _build_figure(model: FigureBlockModel, desk: Desk) -> Block:
    return build_figure(model.figure, model.smallest, desk)


@_build_block.register
def _(model: QrBlockModel, desk: Desk) -> Block:
    return build_qr(desk.library)


@_build_block.register
def _(model: PictureBlockModel, desk: Desk) -> Block:
    return build_picture(model.picture, model.heading, model.columns, desk)


@_build_block.register
def _(model: PhotoBlockModel, desk: Desk) -> Block:
    picture = desk.pictures.get(model.file)
    if picture is None:
        hint = "give the content folder that the picture is in"
        where = model.locate("file")
        raise PocketrefError([Problem("picture-missing", f"{model.file} was not read", hint, where)])
    return PhotoBlock(picture, model.width.float_mm, model.alt)


@_build_block.register
def _build_chart(model: ChartBlockModel, desk: Desk) -> Block:
    chart, table = desk.chart(model.subject)
    source = desk.table_model(model.subject)
    nodes, root = construct_flow(chart, table, source.rulings)
    alt = f"Decision chart. {describe_chart(nodes, root)}"
    return ChartBlock(f"chart {model.subject}", nodes, root, alt, model.part, heading=model.heading)


@_build_block.register
def _build_calls(model: CallsBlockModel, desk: Desk) -> Block:
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


@_build_block.register
def _build_derived(model: DerivedBlockModel, desk: Desk) -> Block:
    entries = []
    for name in model.show:
        figures = desk.find_plan(model.plan).figures
        figure = figures.get(name)
        if figure is None:
            hint = suggest_match(name, figures)
            raise PocketrefError(
                [Problem("figure-unknown", f"the plan has no figure '{name}'", hint, model.locate("show"))]
            )
        entries.append(_say_figure(figure, desk.lengths.get(name)))
    return Paragraphs("derived figures", tuple(entries), model.heading, "list")


def _say_figure(figure: Figure, published: Length | None) -> str:
    """A derived figure in a line; where the book prints a rounded one, both."""
    nominal = write_tape(published or figure.length)
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
                field = desk.field
                names = FIGURES[model.figure].rests_on
                cites.update(
                    c for name in names if name in field.dimensions for c in field.dimensions[name].source
                )
            case _:
                pass
    return tuple(sorted((c for c in cites if c.work != "house"), key=lambda c: (c.work, c.section)))
