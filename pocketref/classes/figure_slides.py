"""The plate area built up, and a chart rung by rung."""

from __future__ import annotations

import re
from collections.abc import Iterator, Mapping
from dataclasses import dataclass, replace
from functools import lru_cache

from pocketref.blocks.setting import Setting
from pocketref.classes.slide import Frame, Screen, Slide
from pocketref.classes.slide_blocks import LadderSoFar, RoomFigure
from pocketref.field.figures import PlanFigure
from pocketref.layouts.footers import write_cites
from pocketref.pages.blocks import Paragraphs
from pocketref.pages.composition import SLACK_MM, Columns
from pocketref.scene.charts.flow_layout import FlowEnding, FlowNode
from pocketref.scene.charts.ladder import measure_ladder
from pocketref.scene.charts.ladder_layout import LadderPart, construct_rungs
from pocketref.scene.charts.ladder_parts import cut_ladder
from pocketref.scene.charts.ruling_flow import construct_flow, shorten_ending, write_chart_words
from pocketref.scene.figures.plate_figure import draw_plate_area
from pocketref.scene.items import Item
from pocketref.scene.plan_view import FigureDrawing, draw_largest
from pocketref.source.field_models import DIMENSIONS, Dimension
from pocketref.source.statements import DOUBT
from pocketref.units.notation import write_mm, write_tape
from pocketref.words.speech import find_language, say

_FIGURE_SHARE = 1.75
"""The figure's width beside that of the words next to it."""
_SLIDE_SCALES = range(10, 76, 5)
"""The plate area is drawn at 1:75 at least, which is read on a slide as 1:75 is on a card; nobody measures on a slide,
so that scales between the usual ones will do."""
_ANY_PT = 10.0


@dataclass(frozen=True, slots=True)
class Step:
    """A step of the plate area: its title, the part that it adds, the dimensions and the figures that are new."""

    title: str
    dimensions: tuple[str, ...]
    figures: tuple[str, ...] = ()


STEPS = {
    "plate": Step("Home plate", ("plate-width",), ("plate-depth",)),
    "batter's boxes": Step(
        "The batter's boxes", ("box-length", "box-ahead", "box-behind", "box-width", "box-offset")
    ),
    "lines": Step("Their lines", ("line-width",), ("box-inside-length", "box-inside-width")),
    "catcher's box": Step(
        "The catcher's box", ("catchers-box-width", "catchers-box-depth", "catchers-box-length")
    ),
    "dimensions from the plate": Step(
        "What follows from these",
        (),
        ("gap-between-boxes", "front-line-ahead-of-plate", "back-line-behind-apex", "box-diagonal"),
    ),
}


def build_box(setting: Setting) -> Iterator[Slide]:
    """A slide for each part of the plate area that the level has dimensions for."""
    steps = {part: replace(step, dimensions=_list_given(step, setting)) for part, step in STEPS.items()}
    steps = {part: step for part, step in steps.items() if step.dimensions or step.figures}
    for count, step in enumerate(steps.values(), 1):
        shown = frozenset(list(steps)[:count])
        cited = tuple(setting.list_dimensions(step.dimensions))
        figures = [setting.plan.figures[name] for name in step.figures if name in setting.plan.figures]
        lines = [
            _write_dimension(name, each, setting) for name, each in zip(step.dimensions, cited, strict=True)
        ]
        lines += [f"*{write_tape(figure.length)}* {say(figure.label)}" for figure in figures]
        notes = [
            _note_dimension(name, each, setting) for name, each in zip(step.dimensions, cited, strict=True)
        ]
        notes += [_note_figure(figure, setting) for figure in figures]
        title = say(step.title)
        words = Paragraphs(f"{step.title}, words", tuple(lines))
        body = Columns(((_draw_plate(setting, shown),), (words,)), (_FIGURE_SHARE, 1.0), "plate area")
        yield Slide(title, (body,), tuple(notes), cited)


def _list_given(step: Step, setting: Setting) -> tuple[str, ...]:
    return tuple(name for name in step.dimensions if name in setting.field.dimensions)


def _write_dimension(name: str, dimension: Dimension, setting: Setting) -> str:
    label, _, measured = say(DIMENSIONS[name]).partition(" (")
    exact = f" ({measured}" if measured else ""
    return f"*{write_tape(dimension.value)}{setting.mark_doubt(dimension)}* {label}{exact}"


def _note_dimension(name: str, dimension: Dimension, setting: Setting) -> str:
    label = say(DIMENSIONS[name]).partition(" (")[0]
    cites = write_cites(tuple(cite for cite in dimension.source if not cite.is_house), setting.library)
    where = " " + say("Section: {cites}.", cites=cites) if cites else ""
    note = f" {dimension.note[:1].upper()}{dimension.note[1:]}." if dimension.note else ""
    value = f"{write_tape(dimension.value)}{setting.mark_doubt(dimension)}, {write_mm(dimension.value)} mm"
    return f"*{label[0].upper()}{label[1:]}:* {value}.{where}{note}"


def _note_figure(figure: PlanFigure, setting: Setting) -> str:
    label = say(figure.label)
    said = {"label": label[0].upper() + label[1:], "length": write_tape(figure.length)}
    rests_on = "; ".join(say(DIMENSIONS[name]).partition(" (")[0] for name in figure.rests_on)
    return say("*{label}:* {length}, from {figures}.", **said, figures=rests_on)


def _draw_plate(setting: Setting, shown: frozenset[str]) -> RoomFigure:
    @lru_cache(maxsize=64)
    def draw_at(scale: float, size_pt: float) -> FigureDrawing:
        return draw_plate_area(setting.plan, setting.lengths, scale, size_pt, "card", shown)

    def draw_least(size_pt: float) -> FigureDrawing:
        drawings = (draw_at(scale, size_pt) for scale in reversed(_SLIDE_SCALES))
        # Where words have no room at any scale, the largest drawing is told to be too large for the slide.
        return next((each for each in drawings if not each.is_crowded), draw_at(_SLIDE_SCALES[0], size_pt))

    def draw(width_mm: float, height_mm: float, size_pt: float) -> tuple[tuple[Item, ...], float, float]:
        found = draw_largest(lambda scale: draw_at(scale, size_pt), _SLIDE_SCALES, width_mm, height_mm)
        drawing = found or draw_least(size_pt)
        return drawing.items, drawing.width_mm, drawing.height_mm

    def measure_least(size_pt: float) -> tuple[float, float]:
        least = draw_least(size_pt)
        return least.width_mm, least.height_mm

    alt = draw_at(_SLIDE_SCALES[0], _ANY_PT).alt
    return RoomFigure("plate area", alt, draw, (dict(setting.lengths), shown), measure_least)


def build_chart(setting: Setting, subject: str, frame: Frame) -> Iterator[Slide]:
    """The chart a rung more a slide; where it has no room it is drawn in brief words, then cut into ladders."""
    chart, table = setting.chart(subject)
    model, facts = setting.find_table(subject), setting.find_subject(subject)
    doubted = setting.list_doubted(table)
    full, root = construct_flow(chart, table, model.rulings, doubted, DOUBT)
    brief = {key: shorten_ending(node, DOUBT) for key, node in full.items()}
    is_doubted = any(isinstance(node, FlowEnding) and DOUBT in node.headline for node in full.values())
    first = Slide(facts.title, (), (), tuple(model.rows), look="dense", is_doubted=is_doubted)
    width, height = frame.find_room(first, "note")
    nodes, parts = _fit_ladder((full, brief), root, (width, height), frame.screen)
    rungs = construct_rungs(nodes, root)
    if not rungs:
        alone = Paragraphs(f"chart {subject}", (write_chart_words(nodes, root),))
        yield replace(first, body=(alone,), look="text")
        return
    asked = {fact.ask: fact for fact in facts.facts.values()}
    for part in parts:
        for number in range(part.first, part.last + 1):
            fact = asked[rungs[number - 1].question]
            named = find_language() is None  # the answers' names are English
            answers = [f"*{name}:* {words}" if named else words for name, words in fact.answers.items()]
            note = [said] if (said := _drop_weights(fact.note)) else []
            path = write_chart_words(nodes, root, range(part.first, number + 1))
            alt = say("Decision chart. {steps}", steps=path)
            figure = LadderSoFar(f"chart {subject}", alt, nodes, root, part, number - part.first + 1)
            place = {"number": number, "all": len(rungs)}
            title = say("{subject}: question {number} of {all}", subject=facts.title, **place)
            said = say(
                "Ask: *{question}* The answers: {answers}.", question=fact.ask, answers="; ".join(answers)
            )
            yield replace(first, title=title, body=(figure,), notes=(said, *note))


def _drop_weights(note: str) -> str:
    """A fact's note without what it says of weights, which only order the chart's questions."""
    weights = say("weights")  # as every translation of such a note calls them
    return " ".join(each for each in re.split(r"(?<=[.!?]) ", note) if weights not in each)


def _fit_ladder(
    versions: tuple[Mapping[str, FlowNode], ...], root: str, room_mm: tuple[float, float], screen: Screen
) -> tuple[Mapping[str, FlowNode], tuple[LadderPart, ...]]:
    """The first version that fits whole in type of running text or not much smaller, else the last one cut."""
    (width_mm, height_mm), text_pt = room_mm, screen.text_floor_pt
    for size_pt in (text_pt, (text_pt + screen.floor_pt) / 2):
        for nodes in versions:
            high, overflow = measure_ladder(nodes, root, width_mm, size_pt)
            if high <= height_mm and overflow <= SLACK_MM:
                return nodes, (LadderPart(1, len(construct_rungs(nodes, root))),)
    parts = cut_ladder(versions[-1], root, width_mm, height_mm, text_pt)
    return versions[-1], tuple(
        replace(
            part, elsewhere={n: say("later") if n > part.last else say("earlier") for n in part.elsewhere}
        )
        for part in parts
    )
