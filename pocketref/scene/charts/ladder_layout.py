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
class FittedRungs:
    """What rungs need in mm: each question's tile and the gap under it, each row's answer, and the box of each group.

    The rows of a group, counted from the ladder's top, share one box.
    """

    rows: Sequence[int]
    """How many each rung has."""
    tiles_mm: Sequence[float]
    gaps_mm: Sequence[float]
    answers_mm: Sequence[float]
    groups: Sequence[Sequence[int]]
    boxes_mm: Sequence[float]

    def find_least_mm(self, rows_mm: float) -> float:
        """What the ladder's height comes to at least, rows so far apart: that of its rows, and that of its tiles."""
        answers = self.answers_mm
        rows = [
            max(box, answers[group[0]] if len(group) == 1 else sum([answers[row] for row in group]))
            for group, box in zip(self.groups, self.boxes_mm, strict=True)
        ]
        tiles = sum(self.tiles_mm) + sum(self.gaps_mm) - self.gaps_mm[-1]
        return max(sum(rows) + rows_mm * (len(rows) - 1), tiles)


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


def place_rungs(fitted: FittedRungs, room: Room) -> tuple[list[PlacedRung], float]:
    """Every rung in its place as high as it can go, and the ladder's height in mm."""
    heights, tops, tiles = _settle(fitted, room)
    placed, row = [], 0
    for count, tile, span in zip(fitted.rows, fitted.tiles_mm, tiles, strict=True):
        edge = _find_edge(tile + room.row_mm, count, room)
        first, last, connectors = span[0] + edge, span[1] - edge, []
        spans = [(tops[number], tops[number] + heights[number]) for number in range(row, row + count)]
        for number, (top, bottom) in enumerate(spans, row):
            keep = _find_keep(fitted.answers_mm[number], heights[number], room)
            # As near the middle of each row as tile and row allow.
            connectors.append(max(first, top + keep, min((top + bottom) / 2, last)))
        placed.append(PlacedRung(span, tuple(spans), tuple(connectors)))
        row += count
    return placed, max(tiles[-1][1], tops[-1] + heights[-1])


def measure_rungs(fitted: FittedRungs, room: Room) -> float:
    """The height in mm of the ladder that `place_rungs` makes."""
    heights, tops, tiles = _settle(fitted, room)
    return max(tiles[-1][1], tops[-1] + heights[-1])


def _settle(fitted: FittedRungs, room: Room) -> tuple[list[float], list[float], list[Span]]:
    """Each row's height and top, and each tile: rows are made higher until every box has its room."""
    heights = list(fitted.answers_mm)
    boxes = list(zip(fitted.groups, fitted.boxes_mm, strict=True))
    starts = {group[0] for group in fitted.groups}
    while True:
        tops, tiles = _stack(fitted, heights, starts, room)
        is_tight = False
        for group, box in boxes:
            last = group[-1]
            short = box + room.row_mm - (tops[last] + heights[last] - tops[group[0]])
            if short > _SLACK_MM:
                is_tight = True
                for row in group:
                    heights[row] += short / len(group)
        if not is_tight:
            return heights, tops, tiles


def _find_edge(tile_mm: float, rows: int, room: Room) -> float:
    """How far from a tile's ends a connector keeps."""
    return room.edge_mm + (tile_mm / 2 - room.edge_mm) * room.ease * (rows == 1)


def _find_keep(answer_mm: float, height_mm: float, room: Room) -> float:
    """How far from a row's ends its connector keeps."""
    return (answer_mm + (height_mm - answer_mm) * room.ease) / 2


def _stack(
    fitted: FittedRungs, heights: Sequence[float], starts: set[int], room: Room
) -> tuple[list[float], list[Span]]:
    """The top of each row, and each tile, as high as they can go."""
    tops: list[float] = []
    tiles: list[Span] = []
    apart, answers = room.rows_mm + room.gap_mm, fitted.answers_mm
    row, tile_floor, row_floor = 0, 0.0, 0.0
    for count, least, gap in zip(fitted.rows, fitted.tiles_mm, fitted.gaps_mm, strict=True):
        tile = least + room.row_mm
        edge, last = _find_edge(tile, count, room), row + count - 1
        head = _find_keep(answers[row], heights[row], room)
        tail = _find_keep(answers[last], heights[last], room)
        lowest = tile_floor + edge + head - heights[row]
        for number in range(row, last + 1):
            top = row_floor + apart if number in starts and number else row_floor
            if number == row and top < lowest:
                top = lowest
            tops.append(top)
            row_floor = top + heights[number]
        bottom = tops[last] + tail + edge
        top = max(tile_floor, min(bottom - tile, tops[row] + heights[row] - head - edge))
        bottom = max(bottom, top + tile)
        tiles.append((top, bottom))
        tile_floor = bottom + gap + room.gap_mm
        row = last + 1
    return tops, tiles
