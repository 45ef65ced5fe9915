"""Drawing a placed flowchart with ISO 5807 symbols: rhombus, rounded box, circle, and connectors with arrowheads."""

from __future__ import annotations

from collections.abc import Callable, Mapping
from dataclasses import dataclass, replace

from pocketref.scene.charts.flow_layout import (
    RAIL_INSET_MM,
    ROW_GAP_MM,
    FlowEnding,
    FlowJump,
    FlowNode,
    FlowQuestion,
    FlowSame,
    PlacedNode,
    join_endings,
    place_nodes,
    unfold_nodes,
    walk_nodes,
)
from pocketref.scene.charts.verdict_box import Verdict, draw_verdict, fit_verdict
from pocketref.scene.inks import BLACK, WHITE
from pocketref.scene.items import FontFace, Item, Shape, Stroke
from pocketref.scene.paths import arrowhead, circle, polyline, shift
from pocketref.scene.textfit import (
    Line,
    break_text,
    fit_rhombus,
    leading_mm,
    measure_line_mm,
    measure_widest_mm,
    split_words,
    write_line,
)
from pocketref.scene.typefaces import cap_height_mm, set_text
from pocketref.units.length import MM_PER_PT

OUTLINE_MM = 0.35  # ISO 128-2: outlines thick, connectors thin, at least 2:1 on faces where both meet
CONNECTOR_MM = 0.25
_ARROW_MM = 1.7
_JOIN_MM = 5.0  # from a box's left edge to where what joins it comes down
LEAST_WHITE_MM, MOST_WHITE_MM = 1.2, 2.8
_SMALL_PT, _WHITE_PER_PT = 7.6, 1.2  # from this size on white space grows by so many mm a point
_LABEL_WHITE_MM = 1.2  # over and under the label of an exit that leads down, together
_LABEL_SIDES_MM = 1.6  # white beside a label, together
_LEAST_CHANNEL_MM, _LABEL_ENDS_MM = 5.0, 2.6  # a channel, and what of it is beside a word of a label
_LABEL_UNDER_MM = 0.7  # white over a label under a connector
_LABEL_BESIDE_MM = 1.2  # from a connector that leads down to its label
_LABEL_CLEAR_MM = 0.4  # between the labels of two exits
_JUMP_MM = 5.0
_SAME_MM = 5.6
_WIDEST_COLUMN_EM = 18.0  # wider symbols would part the words from their connectors


@dataclass(frozen=True, slots=True)
class FlowDrawing:
    """A drawn chart, origin at its lower left corner."""

    items: tuple[Item, ...]
    width_mm: float
    height_mm: float
    overflow_mm: float
    """How much the widest word sticks out of its symbol; 0 if everything fits."""


@dataclass(frozen=True, slots=True)
class _Fitted:
    lines: tuple[Line, ...]
    height_mm: float
    overflow_mm: float
    verdict: Verdict | None = None


@dataclass(frozen=True, slots=True)
class _Grid:
    """The chart's columns, in mm; a channel is between a column and the next."""

    column_mm: float
    channels_mm: tuple[float, ...]
    height_mm: float
    size_pt: float

    @property
    def width_mm(self) -> float:
        return self.left(len(self.channels_mm)) + self.column_mm

    def left(self, column: int) -> float:
        return column * self.column_mm + sum(self.channels_mm[:column])

    def y(self, down: float) -> float:
        return self.height_mm - down


def find_least_gap(size_pt: float) -> float:
    """The least gap between rows in mm: the label of an exit stands in it."""
    return max(ROW_GAP_MM, cap_height_mm(FontFace.BOLD, size_pt) + _LABEL_WHITE_MM)


def find_least_white(size_pt: float) -> float:
    """The least white space in mm between a question and the sides of its symbol, both ends together.

    The smallest type may stand close to them, where all must fit; larger type is not bought with less.
    """
    return min(max(LEAST_WHITE_MM + (size_pt - _SMALL_PT) * _WHITE_PER_PT, LEAST_WHITE_MM), MOST_WHITE_MM)


def draw_flowchart(
    nodes: Mapping[str, FlowNode],
    root: str,
    width_mm: float,
    size_pt: float,
    row_gap_mm: float = ROW_GAP_MM,
    white_mm: float = LEAST_WHITE_MM,
    room_mm: float = 0.0,
) -> FlowDrawing:
    """Draw the chart `width_mm` wide with all text at `size_pt`; its height follows from the gap between rows.

    `white_mm` is kept between a question and the sides of its symbol, both ends together. Within a height of
    `room_mm` words beside a connector stand on two lines at most, where the width has room for that.
    """
    unfolded, letters = unfold_nodes(nodes, root)
    tree = join_endings(unfolded)
    columns = _find_columns(tree, "0")

    def draw(channels_mm: tuple[float, ...]) -> FlowDrawing:
        return _draw_tree(tree, letters, columns, channels_mm, width_mm, size_pt, row_gap_mm, white_mm)

    own = _measure_channels(tree, columns, size_pt, measure_widest_mm)
    even = (max(own, default=0.0),) * len(own)
    drawing, channels = draw(even), even
    if drawing.overflow_mm and own != even:
        drawing, channels = draw(own), own
    # Words over and under their connector are read at a glance; those stacked higher are not.
    halves = _measure_channels(tree, columns, size_pt, _measure_halves_mm)
    for least in (channels, own):
        wider = tuple(max(pair) for pair in zip(least, halves, strict=True))
        if wider != least and not drawing.overflow_mm:
            other = draw(wider)
            if not other.overflow_mm and other.height_mm <= max(drawing.height_mm, room_mm):
                return other
    return drawing


def _draw_tree(
    tree: Mapping[str, FlowNode],
    letters: Mapping[str, str],
    columns: Mapping[str, int],
    channels_mm: tuple[float, ...],
    width_mm: float,
    size_pt: float,
    row_gap_mm: float,
    white_mm: float,
) -> FlowDrawing:
    """The chart with channels so wide."""
    column = (width_mm - sum(channels_mm)) / (len(channels_mm) + 1)
    grid = _Grid(min(column, _WIDEST_COLUMN_EM * size_pt * MM_PER_PT), channels_mm, 0.0, size_pt)
    fitted = {key: _fit_node(node, grid.column_mm, size_pt, white_mm) for key, node in tree.items()}
    labels, label_overflow = _fit_labels(tree, columns, grid)
    heights = {key: f.height_mm for key, f in fitted.items()}
    placed, _, height = place_nodes(tree, heights, letters, row_gap_mm, labels)
    grid = replace(grid, height_mm=height)
    items: list[Item] = []
    all_placed = walk_nodes(placed)
    for place in all_placed:
        items += _draw_exits(place, grid)
    for key, place in zip(columns, all_placed, strict=True):
        items += _draw_node(place, fitted[key], grid)
    items = list(shift(items, (width_mm - grid.width_mm) / 2, 0.0))
    overflow = max(label_overflow, *(f.overflow_mm for f in fitted.values()))
    return FlowDrawing(tuple(items), width_mm, height, overflow)


def _fit_labels(
    tree: Mapping[str, FlowNode], columns: Mapping[str, int], grid: _Grid
) -> tuple[Mapping[str, tuple[float, float]], float]:
    """Room that the words of each exit take, as `place_nodes` asks, and how far the widest sticks out of a column."""
    cap, lead = cap_height_mm(FontFace.BOLD, grid.size_pt), leading_mm(grid.size_pt)
    labels, overflow = {}, 0.0
    for key, node in tree.items():
        if not isinstance(node, FlowQuestion):
            continue
        for leave in node.exits[:-1]:
            count = len(_break_beside(leave.label, grid, columns[key], len(node.exits)))
            over = _label_lift_mm(grid.size_pt) + cap + lead * ((count + 1) // 2 - 1) + _LABEL_CLEAR_MM
            under = (_LABEL_UNDER_MM + cap + lead * (count // 2 - 1) + _reach_mm(grid.size_pt)) * (count > 1)
            labels[leave.target] = (over, under)
        lines = _break_down(node.exits[-1].label, grid)
        labels[node.exits[-1].target] = (
            (len(lines) * lead + _LABEL_WHITE_MM, 0.0) if len(lines) > 1 else (0.0, 0.0)
        )
        overflow = max(overflow, *(line.width_mm - _room_down_mm(grid) for line in lines))
    return labels, overflow


def _break_beside(label: str, grid: _Grid, column: int, exits: int) -> tuple[Line, ...]:
    """The words of an exit to the right, in the channel, which a rail takes a part of where there are more exits."""
    room = grid.channels_mm[column] - RAIL_INSET_MM * (exits > 2) - _LABEL_SIDES_MM
    return break_text(label, FontFace.BOLD, room, grid.size_pt)


def _room_down_mm(grid: _Grid) -> float:
    """From beside the connector that leads down to the edge of its column."""
    return grid.column_mm / 2 - _LABEL_BESIDE_MM


def _break_down(label: str, grid: _Grid) -> tuple[Line, ...]:
    return break_text(label, FontFace.BOLD, _room_down_mm(grid), grid.size_pt)


def _find_columns(tree: Mapping[str, FlowNode], key: str, column: int = 0) -> dict[str, int]:
    """The column of each node from here on, in reading order."""
    node = tree[key]
    found = {key: column}
    if isinstance(node, FlowQuestion):
        for leave in node.exits[:-1]:
            found |= _find_columns(tree, leave.target, column + 1)
        found |= _find_columns(tree, node.exits[-1].target, column)
    return found


def _measure_channels(
    tree: Mapping[str, FlowNode],
    columns: Mapping[str, int],
    size_pt: float,
    measure: Callable[[str, FontFace, float], float],
) -> tuple[float, ...]:
    """Wide enough each for what any label that runs along a connector to the right measures in a column of its own."""
    widths = [_LEAST_CHANNEL_MM] * max(columns.values())
    questions = ((columns[key], node) for key, node in tree.items() if isinstance(node, FlowQuestion))
    for column, node in questions:
        for leave in node.exits[:-1]:
            rail = RAIL_INSET_MM * (len(node.exits) > 2)
            widest = measure(leave.label, FontFace.BOLD, size_pt)
            widths[column] = max(widths[column], widest + _LABEL_ENDS_MM + rail)
    return tuple(widths)


def _measure_halves_mm(label: str, face: FontFace, size_pt: float) -> float:
    """The least width of a label on two lines at most."""
    words = label.split(" ")
    halves = (
        [measure_line_mm(" ".join(half), face, size_pt) for half in (words[:at], words[at:])]
        for at in range(len(words))
    )
    return min(map(max, halves))


def _fit_node(node: FlowNode, column_mm: float, size_pt: float, white_mm: float) -> _Fitted:
    match node:
        case FlowQuestion():
            fit = fit_rhombus(split_words(node.text, FontFace.MEDIUM), column_mm, size_pt, white_mm)
            return _Fitted(fit.lines, fit.height_mm, fit.overflow_mm)
        case FlowEnding():
            box = fit_verdict(node, column_mm, size_pt)
            return _Fitted((), box.height_mm, box.overflow_mm, box)
        case FlowJump():
            return _Fitted((), _JUMP_MM, 0.0)
        case FlowSame():
            return _Fitted((), _SAME_MM, 0.0)


def _draw_node(placed: PlacedNode, fitted: _Fitted, grid: _Grid) -> list[Item]:
    left, top, height = grid.left(placed.column), grid.y(placed.top), placed.height_mm
    centre = left + grid.column_mm / 2
    match placed.node:
        case FlowQuestion():
            middle = top - height / 2
            corners = [(left, middle), (centre, top), (left + grid.column_mm, middle), (centre, top - height)]
            pen = Stroke(OUTLINE_MM, BLACK, is_bevelled=True)  # the points stay in the column
            items: list[Item] = [Shape(polyline(corners, closed=True), pen, WHITE)]
            items += _centred_lines(fitted.lines, centre, middle, grid.size_pt)
            if placed.letter:
                items += _draw_circle(left + _JUMP_MM / 2, top - _JUMP_MM / 2, placed.letter, grid.size_pt)
            return items
        case FlowJump(_, letter):
            return _draw_circle(centre, top - height / 2, letter, grid.size_pt)
    if fitted.verdict:
        return draw_verdict(fitted.verdict, left, top, grid.column_mm, height, grid.size_pt)
    return []


def _centred_lines(lines: tuple[Line, ...], x: float, middle: float, size_pt: float) -> list[Item]:
    lead = leading_mm(size_pt)
    y = middle + lead * (len(lines) - 1) / 2 - cap_height_mm(FontFace.MEDIUM, size_pt) / 2
    items: list[Item] = []
    for line in lines:
        items += write_line(line, x - line.width_mm / 2, y, size_pt)
        y -= lead
    return items


def _draw_circle(x: float, y: float, letter: str, size_pt: float) -> list[Item]:
    drop = cap_height_mm(FontFace.BOLD, size_pt) / 2
    return [
        Shape(circle(x, y, _JUMP_MM / 2), Stroke(OUTLINE_MM, BLACK), WHITE),
        set_text(x, y - drop, letter, FontFace.BOLD, size_pt, BLACK, "middle"),
    ]


def _draw_exits(placed: PlacedNode, grid: _Grid) -> list[Item]:
    if not placed.exits:
        return []
    items: list[Item] = []
    right = grid.left(placed.column) + grid.column_mm
    middle = grid.y(placed.middle)
    for number, (label, child) in enumerate(placed.exits[:-1]):
        y, edge = grid.y(child.middle), grid.left(child.column)
        # A connector circle stands in the middle of its column, every other symbol fills it.
        end = edge + (grid.column_mm - _JUMP_MM) / 2 * isinstance(child.node, FlowJump)
        rail = right + RAIL_INSET_MM
        start = [(right, middle)] if number == 0 or len(placed.exits) == 2 else [(rail, middle)]
        bend = [] if abs(y - middle) < 0.01 else [(rail, middle), (rail, y)]
        if isinstance(child.node, FlowSame):
            items += _connect(
                [*start, *bend, (edge + _JOIN_MM, y), (edge + _JOIN_MM, grid.y(_find_join(placed)))], -90
            )
        else:
            items += _connect([*start, *bend, (end, y)], 0)
        left = right if len(placed.exits) == 2 else rail
        lines = _break_beside(label, grid, placed.column, len(placed.exits))
        items += _set_beside(lines, (left + edge) / 2 - 0.4, y, grid.size_pt)
    label, child = placed.exits[-1]
    x = grid.left(placed.column) + grid.column_mm / 2
    bottom, top = grid.y(placed.top + placed.height_mm), grid.y(child.top)
    items += _connect([(x, bottom), (x, top)], -90)
    lines = _break_down(label, grid)
    step = leading_mm(grid.size_pt)
    y = (bottom + top - cap_height_mm(FontFace.BOLD, grid.size_pt) + step * (len(lines) - 1)) / 2
    for row, line in enumerate(lines):
        items += write_line(line, x + _LABEL_BESIDE_MM, y - row * step, grid.size_pt)
    return items


def _find_join(placed: PlacedNode) -> float:
    """How far down what a question's equal ending joins is: the next connector to it, or its box."""
    below = placed.exits[-1][1].exits[0][1]
    return below.middle if isinstance(below.node, FlowSame) else below.top


def _set_beside(lines: tuple[Line, ...], middle: float, y: float, size_pt: float) -> list[Item]:
    """Words about a connector, half of their lines over it and half under it."""
    over, step = (len(lines) + 1) // 2, leading_mm(size_pt)
    under = y - cap_height_mm(FontFace.BOLD, size_pt) - _LABEL_UNDER_MM
    items: list[Item] = []
    for row, line in enumerate(lines):
        baseline = y + _label_lift_mm(size_pt) + (over - 1 - row) * step
        baseline = baseline if row < over else under - (row - over) * step
        items += write_line(line, middle - line.width_mm / 2, baseline, size_pt)
    return items


def _label_lift_mm(size_pt: float) -> float:
    """From a connector to the baseline of the label over it: what the y of a yes reaches down, and some white."""
    return _reach_mm(size_pt) + 0.45


def _reach_mm(size_pt: float) -> float:
    """How far a y reaches down."""
    return 0.25 * size_pt * MM_PER_PT


def _connect(points: list[tuple[float, float]], heading_deg: float) -> list[Item]:
    (*_, tip) = points
    shorter = [*points[:-1], (tip[0] - 0.8 * (heading_deg == 0), tip[1] + 0.8 * (heading_deg != 0))]
    return [
        Shape(polyline(shorter), Stroke(CONNECTOR_MM, BLACK)),
        Shape(arrowhead(tip, heading_deg, _ARROW_MM, 40), fill=BLACK),
    ]
