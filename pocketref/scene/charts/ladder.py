"""Drawing a decision chart as a ladder: each question at the left, its answers leading right to verdicts."""

from __future__ import annotations

from collections.abc import Mapping, Sequence
from dataclasses import dataclass
from functools import lru_cache

from pocketref.scene.charts.flow_layout import FlowEnding, FlowNode
from pocketref.scene.charts.flow_symbols import FlowDrawing
from pocketref.scene.charts.ladder_layout import (
    FittedRung,
    LadderPart,
    PlacedRung,
    Room,
    Rung,
    RungExit,
    construct_rungs,
    group_rows,
    lead_down,
    place_rungs,
)
from pocketref.scene.charts.verdict_box import (
    RADIUS_MM,
    Verdict,
    draw_verdict,
    fit_verdict,
    side_pad_mm,
)
from pocketref.scene.inks import BLACK, GREY_PALE, WHITE
from pocketref.scene.items import FontFace, Item, Shape, Stroke
from pocketref.scene.paths import arrowhead, circle, polyline, rounded_rectangle
from pocketref.scene.textfit import Line, break_text, leading_mm, write_line
from pocketref.scene.typefaces import cap_height_mm, set_text, typeface

CONNECTOR_MM = 0.4
_ARROW_MM = 1.9
_CLEAR_MM = 0.8  # between words and a line
_DOWN_CLEAR_MM = 1.5  # between words and the middle of a line with an arrowhead
_DOWN_TIGHT_MM, _DOWN_LIFT_MM = 0.2, 0.15  # of the leading around an answer that leads down
_STUB_MM = 1.2  # the least piece of a connector before its answer, and between the answer and the arrowhead
_ROW_GAP_MM = 1.0
_TILE_GAP_MM, _TILE_PAD_MM = 1.8, 0.3
_ROW_PAD_MM = 0.4
_TILE_SHARES = tuple(share / 50 for share in range(12, 26))
_ANSWER_SHARE = 0.3
_MOST_GAP_MM, _MOST_ROW_MM = 6.0, 3.0  # the most that height to spare adds between rungs, and to each of them
_GO_TO = "go to"


@dataclass(frozen=True, slots=True)
class _Columns:
    """Widths in mm: the questions' tiles, the answers with their connectors, and the verdicts."""

    tile: float
    answer: float
    verdict: float
    size_pt: float

    @property
    def lead(self) -> float:
        return leading_mm(self.size_pt)

    @property
    def badge(self) -> float:
        """The diameter of the ring around a number."""
        return 1.75 * cap_height_mm(FontFace.BOLD, self.size_pt)

    @property
    def number_x(self) -> float:
        """The middle of the numbers, and of the connectors that lead down."""
        return 0.8 * side_pad_mm(self.size_pt) + self.badge / 2

    @property
    def question_x(self) -> float:
        return self.number_x + self.badge / 2 + 1.0

    @property
    def question(self) -> float:
        """The room of a question's words."""
        return self.tile - self.question_x - side_pad_mm(self.size_pt)

    @property
    def label(self) -> float:
        """The room of an answer that leads right."""
        return self.answer - _around_label_mm()

    @property
    def down(self) -> float:
        """The room of an answer that leads down."""
        return self.tile - self.number_x - _DOWN_CLEAR_MM

    @property
    def verdict_x(self) -> float:
        return self.tile + self.answer


def _around_label_mm() -> float:
    return 2 * _STUB_MM + 2 * _CLEAR_MM + _ARROW_MM


@dataclass(frozen=True, slots=True)
class _Ladder:
    """Rungs set in columns: the lines of each question and answer, and each box that rows lead to."""

    rungs: tuple[Rung, ...]
    columns: _Columns
    questions: tuple[tuple[Line, ...], ...]
    downs: tuple[tuple[Line, ...], ...]
    labels: tuple[tuple[Line, ...], ...]
    """Of every row from the top."""
    groups: tuple[tuple[int, ...], ...]
    """The rows that lead to each box."""
    boxes: tuple[Verdict | None, ...]
    """None for rows that name a question's number."""
    elsewhere: Mapping[int, str]

    def measure_overflow(self) -> float:
        """How far the widest word sticks out of its room, mm."""
        columns = self.columns
        rooms = ((self.questions, columns.question), (self.downs, columns.down), (self.labels, columns.label))
        words = [line.width_mm - room for texts, room in rooms for lines in texts for line in lines]
        boxes = [box.overflow_mm for box in self.boxes if box]
        jumps = [
            _jump_width(leave, self) - columns.verdict
            for rung in self.rungs
            for leave in rung.exits
            if not leave.ending
        ]
        return max(0.0, *words, *boxes, *jumps)

    def count_lines(self) -> int:
        """The lines of all that is written."""
        texts = (*self.questions, *self.downs, *self.labels)
        return sum(len(lines) for lines in texts) + sum(
            len(b.headline) + len(b.rows) for b in self.boxes if b
        )

    def place(self, spread: float = 0.0) -> tuple[Sequence[PlacedRung], float]:
        """Every rung in its place, and the height; a spread to 1 centres connectors, one to 2 adds white space."""
        columns, row = self.columns, 0
        fitted = []
        for rung, question, down in zip(self.rungs, self.questions, self.downs, strict=True):
            labels = self.labels[row : row + len(rung.exits)]
            answers = tuple(max(len(lines) * columns.lead, columns.badge) + _ROW_PAD_MM for lines in labels)
            gap = len(down) * columns.lead - _DOWN_TIGHT_MM if down else _TILE_GAP_MM
            tile = max(len(question) * columns.lead, columns.badge) + 2 * _TILE_PAD_MM
            fitted.append(FittedRung(tile, answers, gap))
            row += len(answers)
        heights = [box.height_mm if box else 0.0 for box in self.boxes]
        more = max(spread - 1.0, 0.0)
        room = Room(
            _ROW_GAP_MM, RADIUS_MM + CONNECTOR_MM, min(spread, 1.0), _MOST_GAP_MM * more, _MOST_ROW_MM * more
        )
        return place_rungs(fitted, self.groups, heights, room)


def draw_ladder(
    nodes: Mapping[str, FlowNode],
    root: str,
    width_mm: float,
    size_pt: float,
    height_mm: float = 0.0,
    part: LadderPart | None = None,
) -> FlowDrawing:
    """The chart as a ladder `width_mm` wide, all text at `size_pt` but the verdicts' headlines, which are larger.

    Height up to `height_mm` that is to spare goes evenly between the rungs, then into them; what is not used is
    left. `part` draws some of the rungs only. Items are in the order in which they are read.
    """
    rungs = construct_rungs(nodes, root)
    if not rungs:
        return _draw_alone(nodes[root], width_mm, size_pt)
    ladder = _set_ladder(_take(rungs, part), width_mm, size_pt, height_mm, part)
    placed, height = _spread(ladder, height_mm)
    items = _draw_rungs(ladder, placed, height)
    return FlowDrawing(tuple(items), width_mm, height, ladder.measure_overflow())


def _take(rungs: tuple[Rung, ...], part: LadderPart | None) -> tuple[Rung, ...]:
    return lead_down(rungs if part is None else rungs[part.first - 1 : part.last])


def _draw_alone(node: FlowNode, width_mm: float, size_pt: float) -> FlowDrawing:
    if not isinstance(node, FlowEnding):
        raise TypeError(f"a ladder has no {type(node).__name__}")
    box = fit_verdict(node, width_mm, size_pt)
    items = draw_verdict(box, 0.0, box.height_mm, width_mm, box.height_mm, size_pt)
    return FlowDrawing(tuple(items), width_mm, box.height_mm, box.overflow_mm)


def _set_ladder(
    rungs: tuple[Rung, ...], width_mm: float, size_pt: float, height_mm: float, part: LadderPart | None
) -> _Ladder:
    """The ladder in the columns in which it fits with the fewest lines; if it never does, in the lowest ones."""
    elsewhere = tuple(sorted(part.elsewhere.items())) if part else ()
    tried = _try_columns(rungs, width_mm, size_pt, elsewhere)
    return min(
        tried, key=lambda t: (t.overflow, max(t.height_mm - height_mm, 0.0), t.lines, t.height_mm)
    ).ladder


@dataclass(frozen=True, slots=True)
class _Tried:
    """A ladder in some columns: how far words stick out, its least height, and the lines of all that is written."""

    ladder: _Ladder
    overflow: float
    height_mm: float
    lines: int


@lru_cache(maxsize=1024)
def _try_columns(
    rungs: tuple[Rung, ...], width_mm: float, size_pt: float, elsewhere: tuple[tuple[int, str], ...]
) -> tuple[_Tried, ...]:
    """The ladder in all columns; kept, as a face is measured many times and again with its change bars."""
    medium = typeface(FontFace.MEDIUM)
    widest = max(medium.measure_mm(word, size_pt) for rung in rungs for word in rung.question.split())
    choices = _list_columns(rungs, width_mm, size_pt)
    wide, narrow = ([c for c in choices if (c.question >= widest) is fits] for fits in (True, False))
    tried = [_try(rungs, columns, elsewhere) for columns in wide]
    if not any(each.overflow == 0 for each in tried):  # else columns too narrow for a word are no choice
        tried += [_try(rungs, columns, elsewhere) for columns in narrow]
    return tuple(tried)


def _try(rungs: tuple[Rung, ...], columns: _Columns, elsewhere: tuple[tuple[int, str], ...]) -> _Tried:
    ladder = _set_columns(rungs, columns, dict(elsewhere))
    overflow, height = round(ladder.measure_overflow(), 3), round(ladder.place()[1], 1)
    return _Tried(ladder, overflow, height, ladder.count_lines())


def _list_columns(rungs: Sequence[Rung], width_mm: float, size_pt: float) -> list[_Columns]:
    face = typeface(FontFace.BOLD)
    labels = [leave.answer for rung in rungs for leave in rung.exits]
    least = max(face.measure_mm(word, size_pt) for label in labels for word in label.split())
    most = max(face.measure_mm(label, size_pt) for label in labels)
    around = _around_label_mm()
    most = max(min(most, _ANSWER_SHARE * width_mm - around), least)
    answers = sorted({least + (most - least) * step / 3 + around + 0.01 for step in range(4)})
    return [
        _Columns(share * (width_mm), answer, width_mm - answer - share * width_mm, size_pt)
        for answer in answers
        for share in _TILE_SHARES
    ]


def _set_columns(rungs: tuple[Rung, ...], columns: _Columns, elsewhere: Mapping[int, str]) -> _Ladder:
    size = columns.size_pt
    exits = [leave for rung in rungs for leave in rung.exits]
    groups = group_rows(rungs)
    endings = [exits[group[0]].ending for group in groups]
    return _Ladder(
        rungs,
        columns,
        tuple(break_text(rung.question, FontFace.MEDIUM, columns.question, size) for rung in rungs),
        tuple(break_text(rung.down, FontFace.BOLD, columns.down, size) for rung in rungs),
        tuple(break_text(leave.answer, FontFace.BOLD, columns.label, size) for leave in exits),
        groups,
        tuple(fit_verdict(ending, columns.verdict, size) if ending else None for ending in endings),
        elsewhere,
    )


def _spread(ladder: _Ladder, height_mm: float) -> tuple[Sequence[PlacedRung], float]:
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


def _draw_rungs(ladder: _Ladder, placed: Sequence[PlacedRung], height_mm: float) -> list[Item]:
    spans = [row for rung in placed for row in rung.rows]
    boxes = dict(zip(ladder.groups, ladder.boxes, strict=True))
    groups = {group[0]: group for group in ladder.groups}
    items: list[Item] = []
    row = 0
    for number, (rung, place) in enumerate(zip(ladder.rungs, placed, strict=True)):
        top, bottom = (height_mm - edge for edge in place.tile)
        items += _draw_question(rung.number, ladder.questions[number], top, bottom, ladder.columns)
        for leave, down in zip(rung.exits, place.connectors, strict=True):
            y = height_mm - down
            items += _draw_answer(ladder.labels[row], y, ladder.columns)
            if group := groups.get(row):
                start, end = spans[row][0], spans[group[-1]][1]
                items += _draw_target(leave, boxes[group], height_mm - start, end - start, ladder)
            row += 1
        if rung.down:
            below = height_mm - placed[number + 1].tile[0]
            items += _draw_down(ladder.downs[number], bottom, below, ladder.columns)
    return items


def _draw_question(
    number: int, lines: Sequence[Line], top: float, bottom: float, columns: _Columns
) -> list[Item]:
    tile = rounded_rectangle(0.0, bottom, columns.tile, top - bottom, RADIUS_MM)
    middle = (top + bottom) / 2
    items: list[Item] = [Shape(tile, None, GREY_PALE)]
    items += _draw_number(number, columns.number_x, middle, columns)
    return items + _write_block(lines, columns.question_x, middle, columns.size_pt)


def _draw_number(number: int, x: float, y: float, columns: _Columns) -> list[Item]:
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


def _draw_answer(lines: Sequence[Line], y: float, columns: _Columns) -> list[Item]:
    """The connector from a tile to what the answer leads to, interrupted by the answer."""
    x = columns.tile + _STUB_MM + _CLEAR_MM
    after = x + max(line.width_mm for line in lines) + _CLEAR_MM
    return [
        Shape(polyline([(columns.tile, y), (columns.tile + _STUB_MM, y)]), Stroke(CONNECTOR_MM, BLACK)),
        *_write_block(lines, x, y, columns.size_pt),
        *_point((after, y), (columns.verdict_x, y), 0.0),
    ]


def _point(start: tuple[float, float], tip: tuple[float, float], heading_deg: float) -> list[Item]:
    """A line with an arrowhead at its tip, to the right (0) or down (-90)."""
    back = _ARROW_MM / 2
    end = (tip[0] - back, tip[1]) if heading_deg == 0 else (tip[0], tip[1] + back)
    return [
        Shape(polyline([start, end]), Stroke(CONNECTOR_MM, BLACK)),
        Shape(arrowhead(tip, heading_deg, _ARROW_MM, 44), fill=BLACK),
    ]


def _draw_target(
    leave: RungExit, box: Verdict | None, top: float, height: float, ladder: _Ladder
) -> list[Item]:
    columns = ladder.columns
    if box is not None:
        return draw_verdict(box, columns.verdict_x, top, columns.verdict, height, columns.size_pt)
    size, x, middle = columns.size_pt, columns.verdict_x + _CLEAR_MM, top - height / 2
    base = middle - cap_height_mm(FontFace.MEDIUM, size) / 2
    words = set_text(x, base, _GO_TO, FontFace.MEDIUM, size, BLACK)
    x += words.width_mm + _CLEAR_MM + columns.badge / 2
    items: list[Item] = [words, *_draw_number(leave.jump, x, middle, columns)]
    if where := ladder.elsewhere.get(leave.jump, ""):
        items.append(set_text(x + columns.badge / 2 + _CLEAR_MM, base, where, FontFace.MEDIUM, size, BLACK))
    return items


def _jump_width(leave: RungExit, ladder: _Ladder) -> float:
    face, size = typeface(FontFace.MEDIUM), ladder.columns.size_pt
    where = ladder.elsewhere.get(leave.jump, "")
    words = face.measure_mm(_GO_TO, size) + face.measure_mm(where, size)
    return words + ladder.columns.badge + (3 if where else 2) * _CLEAR_MM


def _draw_down(lines: Sequence[Line], start: float, end: float, columns: _Columns) -> list[Item]:
    x, middle = columns.number_x, (start + end) / 2
    return [
        *_write_block(lines, x + _DOWN_CLEAR_MM, middle + _DOWN_LIFT_MM, columns.size_pt),
        *_point((x, start), (x, end), -90.0),
    ]
