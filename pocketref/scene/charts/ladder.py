"""Drawing a decision chart as a ladder: each question at the left, its answers leading right to verdicts."""

from __future__ import annotations

from collections.abc import Mapping, Sequence

from pocketref.scene.charts.flow_layout import FlowEnding, FlowNode
from pocketref.scene.charts.flow_symbols import FlowDrawing
from pocketref.scene.charts.ladder_columns import (
    ARROW_MM,
    CLEAR_MM,
    CONNECTOR_MM,
    DOWN_CLEAR_MM,
    STUB_MM,
    Columns,
    Ladder,
    choose_ladder,
    write_go_to,
)
from pocketref.scene.charts.ladder_layout import (
    LadderPart,
    PlacedRung,
    Rung,
    RungExit,
    construct_rungs,
    lead_down,
)
from pocketref.scene.charts.verdict_box import RADIUS_MM, draw_verdict, fit_verdict
from pocketref.scene.inks import BLACK, GREY_PALE, WHITE
from pocketref.scene.items import FontFace, Item, Shape, Stroke
from pocketref.scene.paths import arrowhead, circle, polyline, rounded_rectangle
from pocketref.scene.textfit import Line, break_text, leading_mm, write_line
from pocketref.scene.typefaces import cap_height_mm, set_text

_DOWN_LIFT_MM = 0.15


def measure_ladder(
    nodes: Mapping[str, FlowNode], root: str, width_mm: float, size_pt: float, part: LadderPart | None = None
) -> tuple[float, float]:
    """The least height of what `draw_ladder` draws, and how far words stick out of it then, both in mm."""
    if rungs := construct_rungs(nodes, root):
        ladder = _choose(rungs, width_mm, size_pt, 0.0, part)
        return ladder.height_mm, ladder.overflow_mm
    drawing = _draw_alone(nodes[root], width_mm, size_pt)
    return drawing.height_mm, drawing.overflow_mm


def draw_ladder(
    nodes: Mapping[str, FlowNode],
    root: str,
    width_mm: float,
    size_pt: float,
    height_mm: float = 0.0,
    part: LadderPart | None = None,
    shown: int | None = None,
) -> FlowDrawing:
    """The chart as a ladder `width_mm` wide, all text at `size_pt` but the verdicts' headlines, which are larger.

    Height up to `height_mm` that is to spare goes evenly between the rungs, then into them; what is not used is
    left. `part` draws some of the rungs only; of these only so many as are `shown`, each where it is in the whole.
    Items are in the order in which they are read.
    """
    rungs = construct_rungs(nodes, root)
    if not rungs:
        return _draw_alone(nodes[root], width_mm, size_pt)
    ladder = _choose(rungs, width_mm, size_pt, height_mm, part)
    placed, height = _spread(ladder, height_mm)
    drawn = _draw_rungs(ladder, placed, height, part.elsewhere if part else {})
    items = [item for rung in drawn[:shown] for item in rung]
    return FlowDrawing(tuple(items), width_mm, height, ladder.overflow_mm)


def _choose(
    rungs: tuple[Rung, ...], width_mm: float, size_pt: float, height_mm: float, part: LadderPart | None
) -> Ladder:
    taken = rungs[part.first - 1 : part.last] if part else rungs
    elsewhere = tuple(sorted(part.elsewhere.items())) if part else ()
    return choose_ladder(lead_down(taken), width_mm, size_pt, height_mm, elsewhere)


def _draw_alone(node: FlowNode, width_mm: float, size_pt: float) -> FlowDrawing:
    if not isinstance(node, FlowEnding):
        raise TypeError(f"a ladder has no {type(node).__name__}")
    box = fit_verdict(node, width_mm, size_pt)
    items = draw_verdict(box, 0.0, box.height_mm, width_mm, box.height_mm, size_pt)
    return FlowDrawing(tuple(items), width_mm, box.height_mm, box.overflow_mm)


def _spread(ladder: Ladder, height_mm: float) -> tuple[Sequence[PlacedRung], float]:
    """The rungs spread over the height, as far as it goes: found by halving, as gaps and boxes share the room."""
    placed, height = ladder.place()
    if height >= height_mm:
        return placed, height
    low, high = 0.0, 2.0
    for _ in range(20):
        middle = (low + high) / 2
        tried = ladder.place(middle)
        if tried[1] <= height_mm:
            low, (placed, height) = middle, tried
        else:
            high = middle
    return placed, height


def _draw_rungs(
    ladder: Ladder, placed: Sequence[PlacedRung], height_mm: float, elsewhere: Mapping[int, str]
) -> list[list[Item]]:
    """What is drawn of each rung."""
    columns, size = ladder.columns, ladder.columns.size_pt
    spans = [row for rung in placed for row in rung.rows]
    groups = {group[0]: group for group in ladder.fitted.groups}
    drawn: list[list[Item]] = []
    row = 0
    for number, (rung, place) in enumerate(zip(ladder.rungs, placed, strict=True)):
        top, bottom = (height_mm - edge for edge in place.tile)
        question = break_text(rung.question, FontFace.MEDIUM, columns.question, size)
        items = _draw_question(rung.number, question, top, bottom, columns)
        for leave, down in zip(rung.exits, place.connectors, strict=True):
            label = break_text(leave.answer, FontFace.BOLD, columns.label, size)
            items += _draw_answer(label, height_mm - down, columns)
            if group := groups.get(row):
                start, end = spans[row][0], spans[group[-1]][1]
                items += _draw_target(leave, height_mm - start, end - start, columns, elsewhere)
            row += 1
        if rung.down:
            words = break_text(rung.down, FontFace.BOLD, columns.down, size)
            items += _draw_down(words, bottom, height_mm - placed[number + 1].tile[0], columns)
        drawn.append(items)
    return drawn


def _draw_question(
    number: int, lines: Sequence[Line], top: float, bottom: float, columns: Columns
) -> list[Item]:
    tile = rounded_rectangle(0.0, bottom, columns.tile, top - bottom, RADIUS_MM)
    middle = (top + bottom) / 2
    items: list[Item] = [Shape(tile, None, GREY_PALE)]
    items += _draw_number(number, columns.number_x, middle, columns)
    return items + _write_block(lines, columns.question_x, middle, columns.size_pt)


def _draw_number(number: int, x: float, y: float, columns: Columns) -> list[Item]:
    drop = cap_height_mm(FontFace.BOLD, columns.size_pt) / 2
    return [
        Shape(circle(x, y, columns.badge / 2), Stroke(CONNECTOR_MM, BLACK), WHITE),
        set_text(x, y - drop, str(number), FontFace.BOLD, columns.size_pt, BLACK, "middle"),
    ]


def _write_block(lines: Sequence[Line], x: float, middle: float, size_pt: float) -> list[Item]:
    """Lines from x, their capitals in the middle of where they stand."""
    lead = leading_mm(size_pt)
    y = middle + lead * (len(lines) - 1) / 2 - cap_height_mm(FontFace.BOLD, size_pt) / 2
    return [item for n, line in enumerate(lines) for item in write_line(line, x, y - n * lead, size_pt)]


def _draw_answer(lines: Sequence[Line], y: float, columns: Columns) -> list[Item]:
    """The connector from a tile to what the answer leads to, interrupted by the answer."""
    x = columns.tile + STUB_MM + CLEAR_MM
    after = x + max(line.width_mm for line in lines) + CLEAR_MM
    return [
        Shape(polyline([(columns.tile, y), (columns.tile + STUB_MM, y)]), Stroke(CONNECTOR_MM, BLACK)),
        *_write_block(lines, x, y, columns.size_pt),
        *_point((after, y), (columns.verdict_x, y), 0.0),
    ]


def _point(start: tuple[float, float], tip: tuple[float, float], heading_deg: float) -> list[Item]:
    """A line with an arrowhead at its tip, to the right (0) or down (-90)."""
    back = ARROW_MM / 2
    end = (tip[0] - back, tip[1]) if heading_deg == 0 else (tip[0], tip[1] + back)
    return [
        Shape(polyline([start, end]), Stroke(CONNECTOR_MM, BLACK)),
        Shape(arrowhead(tip, heading_deg, ARROW_MM, 44), fill=BLACK),
    ]


def _draw_target(
    leave: RungExit, top: float, height: float, columns: Columns, elsewhere: Mapping[int, str]
) -> list[Item]:
    size = columns.size_pt
    if leave.ending:
        box = fit_verdict(leave.ending, columns.verdict, size)
        return draw_verdict(box, columns.verdict_x, top, columns.verdict, height, size)
    x, middle = columns.verdict_x + CLEAR_MM, top - height / 2
    base = middle - cap_height_mm(FontFace.MEDIUM, size) / 2
    words = set_text(x, base, write_go_to(), FontFace.MEDIUM, size, BLACK)
    x += words.width_mm + CLEAR_MM + columns.badge / 2
    items: list[Item] = [words, *_draw_number(leave.jump, x, middle, columns)]
    if where := elsewhere.get(leave.jump, ""):
        items.append(set_text(x + columns.badge / 2 + CLEAR_MM, base, where, FontFace.MEDIUM, size, BLACK))
    return items


def _draw_down(lines: Sequence[Line], start: float, end: float, columns: Columns) -> list[Item]:
    x, middle = columns.number_x, (start + end) / 2
    return [
        *_write_block(lines, x + DOWN_CLEAR_MM, middle + _DOWN_LIFT_MM, columns.size_pt),
        *_point((x, start), (x, end), -90.0),
    ]
