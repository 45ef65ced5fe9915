"""A decision chart as rungs, one a question, and where they go: questions at the left, verdicts at the right.

An answer leads right to its verdict. One that leads to the next question leads down to it; one that leads to any
other names its number, so that no connector ever crosses another.
"""

from __future__ import annotations

from collections.abc import Mapping, Sequence
from dataclasses import dataclass, field, replace

from pocketref.scene.charts.flow_layout import FlowEnding, FlowNode, FlowQuestion, list_questions

_SLACK_MM = 0.001


@dataclass(frozen=True, slots=True)
class RungExit:
    """An answer as printed, and the verdict it leads to; or else the number of the question."""

    answer: str
    ending: FlowEnding | None = None
    jump: int = 0


@dataclass(frozen=True, slots=True)
class Rung:
    """A question by its number in the chart, from 1; the answers that lead right, and the one that leads down."""

    number: int
    question: str
    exits: tuple[RungExit, ...]
    down: str = ""


@dataclass(frozen=True, slots=True)
class LadderPart:
    """The rungs from `first` to `last` of a chart that is cut; `elsewhere` says where each other rung is drawn."""

    first: int
    last: int
    elsewhere: Mapping[int, str] = field(default_factory=dict)


def construct_rungs(nodes: Mapping[str, FlowNode], root: str) -> tuple[Rung, ...]:
    """The chart's questions as rungs, numbered as the chart in words is; none if it asks nothing.

    TypeError for a node that only a flowchart has.
    """
    questions = list_questions(nodes, root)
    numbers = {question.key: number for number, question in enumerate(questions, 1)}
    rungs = []
    for question in questions:
        exits = []
        for leave in question.exits:
            target = nodes[leave.target]
            if isinstance(target, FlowQuestion):
                exits.append(RungExit(leave.label, None, numbers[target.key]))
            elif isinstance(target, FlowEnding):
                exits.append(RungExit(leave.label, target))
            else:
                raise TypeError(f"a ladder has no {type(target).__name__}")
        rungs.append(Rung(numbers[question.key], question.text, tuple(exits)))
    return tuple(rungs)


def lead_down(rungs: Sequence[Rung]) -> tuple[Rung, ...]:
    """The rungs, each with the first answer that leads to the next of them leading down.

    Under the last of them the answer that leads on to the next one of the chart stands last, as it would lead down.
    """
    led = []
    for place, rung in enumerate(rungs):
        down = next((leave for leave in rung.exits if leave.jump == rung.number + 1), None)
        if down is None:
            led.append(rung)
            continue
        others = tuple(leave for leave in rung.exits if leave is not down)
        is_last = place == len(rungs) - 1
        led.append(
            replace(rung, exits=(*others, down)) if is_last else replace(rung, exits=others, down=down.answer)
        )
    return tuple(led)


def count_leaps(rungs: Sequence[Rung], first: int, last: int) -> int:
    """How many answers of the rungs from `first` to `last` lead to any other."""
    inside = range(first, last + 1)
    return sum(
        leave.jump not in inside for rung in rungs[first - 1 : last] for leave in rung.exits if leave.jump
    )


@dataclass(frozen=True, slots=True)
class FittedRung:
    """What a rung needs in mm: its question's tile, the answer of each row, and the gap under the tile."""

    tile_mm: float
    answers_mm: tuple[float, ...]
    gap_mm: float


@dataclass(frozen=True, slots=True)
class Room:
    """What a ladder's pieces keep apart, in mm: rows from each other, and a connector from a tile's ends.

    `ease` from 0 to 1 says how near connectors come to the middle of what they join. `gap_mm` is added between
    rungs and between rows, `row_mm` to each row and tile.
    """

    rows_mm: float
    edge_mm: float
    ease: float = 0.0
    gap_mm: float = 0.0
    row_mm: float = 0.0


Span = tuple[float, float]
"""Top and bottom, downwards in mm from the ladder's top."""


@dataclass(frozen=True, slots=True)
class PlacedRung:
    """A rung in its place: its tile, each row, and where each row's connector leaves the tile."""

    tile: Span
    rows: tuple[Span, ...]
    connectors: tuple[float, ...]


def group_rows(rungs: Sequence[Rung]) -> tuple[tuple[int, ...], ...]:
    """Rows, counted from the ladder's top, that share one box: equal verdicts that are neighbours."""
    groups: list[list[int]] = []
    before: FlowEnding | None = None
    for row, leave in enumerate(leave for rung in rungs for leave in rung.exits):
        ending = leave.ending
        if ending and before and (ending.headline, ending.lines) == (before.headline, before.lines):
            groups[-1].append(row)
        else:
            groups.append([row])
        before = ending
    return tuple(tuple(group) for group in groups)


def place_rungs(
    fitted: Sequence[FittedRung], groups: Sequence[Sequence[int]], boxes_mm: Sequence[float], room: Room
) -> tuple[Sequence[PlacedRung], float]:
    """Every rung in its place as high as it can go, and the ladder's height in mm.

    The rows of each group share one box, which needs so many of `boxes_mm`.
    """
    heights = [answer for rung in fitted for answer in rung.answers_mm]
    starts = {group[0] for group in groups}
    while True:
        placed = _stack(fitted, heights, starts, room)
        rows = [row for rung in placed for row in rung.rows]
        is_tight = False
        for group, box in zip(groups, boxes_mm, strict=True):
            short = box + room.row_mm - (rows[group[-1]][1] - rows[group[0]][0])
            if short > _SLACK_MM:
                is_tight = True
                for row in group:
                    heights[row] += short / len(group)
        if not is_tight:
            return placed, max(max(rung.tile[1], rung.rows[-1][1]) for rung in placed)


def _stack(
    fitted: Sequence[FittedRung], heights: Sequence[float], starts: set[int], room: Room
) -> list[PlacedRung]:
    placed: list[PlacedRung] = []
    row, tile_floor, row_floor = 0, 0.0, 0.0
    for rung in fitted:
        count = len(rung.answers_mm)
        tile = rung.tile_mm + room.row_mm
        edge = room.edge_mm + (tile / 2 - room.edge_mm) * room.ease * (count == 1)
        keeps = [
            (answer + (height - answer) * room.ease) / 2
            for answer, height in zip(rung.answers_mm, heights[row : row + count], strict=True)
        ]
        spans: list[Span] = []
        for number in range(row, row + count):
            gap = (room.rows_mm + room.gap_mm) * (number in starts and number > 0)
            top = max(row_floor + gap, 0.0 if spans else tile_floor + edge + keeps[0] - heights[row])
            spans.append((top, top + heights[number]))
            row_floor = spans[-1][1]
        row += count
        bottom = spans[-1][0] + keeps[-1] + edge
        top = max(tile_floor, min(bottom - tile, spans[0][1] - keeps[0] - edge))
        bottom = max(bottom, top + tile)
        connectors = _connect((top + edge, bottom - edge), spans, keeps)
        placed.append(PlacedRung((top, bottom), tuple(spans), connectors))
        tile_floor = bottom + rung.gap_mm + room.gap_mm
    return placed


def _connect(tile: Span, rows: Sequence[Span], keeps: Sequence[float]) -> tuple[float, ...]:
    """Where connectors run: as near the middle of each row as tile and row allow."""
    return tuple(
        max(tile[0], top + keep, min((top + bottom) / 2, tile[1]))
        for (top, bottom), keep in zip(rows, keeps, strict=True)
    )
