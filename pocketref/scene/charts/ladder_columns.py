"""The columns that a ladder is set in: how wide questions, answers and verdicts are, and what it comes to in height.

Lines are counted, not set: of the dozens of columns at dozens of sizes that are tried for a face, one is drawn.
"""

from __future__ import annotations

from collections.abc import Mapping, Sequence
from dataclasses import dataclass, replace
from heapq import heapify, heapreplace

from pocketref.scene.charts.ladder_layout import (
    FittedRungs,
    PlacedRung,
    Room,
    Rung,
    RungExit,
    group_rows,
    measure_rungs,
    place_rungs,
)
from pocketref.scene.charts.verdict_box import RADIUS_MM, find_least_box, measure_verdict, side_pad_mm
from pocketref.scene.items import FontFace
from pocketref.scene.textfit import count_lines, leading_mm, measure_line_mm, measure_widest_mm
from pocketref.scene.typefaces import cap_height_mm, typeface
from pocketref.words.speech import cache_words, say

CONNECTOR_MM = 0.4
ARROW_MM = 1.9
CLEAR_MM = 0.8
"""Between words and a line."""
DOWN_CLEAR_MM = 1.5
"""Between words and the middle of a line with an arrowhead."""
STUB_MM = 1.2
"""The least piece of a connector before its answer, and between the answer and the arrowhead."""
_DOWN_TIGHT_MM = 0.2  # of the leading around an answer that leads down
_ROW_GAP_MM = 1.0
_TILE_GAP_MM, _TILE_PAD_MM = 1.8, 0.3
_ROW_PAD_MM = 0.4
_TILE_SHARES = tuple(share / 50 for share in range(12, 26))
_ANSWER_SHARE = 0.3
_AROUND_LABEL_MM = 2 * STUB_MM + 2 * CLEAR_MM + ARROW_MM
_MOST_GAP_MM, _MOST_ROW_MM = 6.0, 3.0  # the most that height to spare adds between rungs, and to each of them

_TIGHT = Room(_ROW_GAP_MM, RADIUS_MM + CONNECTOR_MM)

Elsewhere = tuple[tuple[int, str], ...]
"""Where other rungs of a ladder that is cut are drawn, by their numbers."""


def find_badge(size_pt: float) -> float:
    """The diameter in mm of the ring around a number."""
    return 1.75 * cap_height_mm(FontFace.BOLD, size_pt)


@dataclass(frozen=True, slots=True)
class Columns:
    """Widths in mm: the questions' tiles, the answers with their connectors, and the verdicts."""

    tile: float
    answer: float
    verdict: float
    size_pt: float

    @property
    def lead(self) -> float:
        """From line to line."""
        return leading_mm(self.size_pt)

    @property
    def badge(self) -> float:
        """The diameter of the ring around a number."""
        return find_badge(self.size_pt)

    @property
    def number_x(self) -> float:
        """The middle of the numbers, and of the connectors that lead down."""
        return 0.8 * side_pad_mm(self.size_pt) + self.badge / 2

    @property
    def question_x(self) -> float:
        """Where questions start."""
        return self.number_x + self.badge / 2 + 1.0

    @property
    def question(self) -> float:
        """The room of a question's words."""
        return self.tile - self.question_x - side_pad_mm(self.size_pt)

    @property
    def label(self) -> float:
        """The room of an answer that leads right."""
        return self.answer - _AROUND_LABEL_MM

    @property
    def down(self) -> float:
        """The room of an answer that leads down."""
        return self.tile - self.number_x - DOWN_CLEAR_MM

    @property
    def verdict_x(self) -> float:
        """Where verdicts start."""
        return self.tile + self.answer


@dataclass(frozen=True, slots=True)
class Ladder:
    """Rungs in columns, the lines of all that is written, the least height, and how far words stick out, in mm."""

    rungs: tuple[Rung, ...]
    columns: Columns
    fitted: FittedRungs
    lines: int
    height_mm: float
    overflow_mm: float

    def place(self, spread: float = 0.0) -> tuple[Sequence[PlacedRung], float]:
        """Every rung in its place, and the height; a spread to 1 centres connectors, one to 2 adds white space."""
        more = max(spread - 1.0, 0.0)
        room = replace(_TIGHT, ease=min(spread, 1.0), gap_mm=_MOST_GAP_MM * more, row_mm=_MOST_ROW_MM * more)
        return place_rungs(self.fitted, room)


@cache_words(1024)
def choose_ladder(
    rungs: tuple[Rung, ...], width_mm: float, size_pt: float, height_mm: float, elsewhere: Elsewhere
) -> Ladder:
    """The ladder in the columns in which it fits with the fewest lines; if it never does, in the lowest ones.

    Kept, as a face is measured many times and again with its change bars. The most hopeful columns are looked at more
    closely until one is placed that is no worse than any other can be: first with boxes as wide verdicts make them,
    then with its own, then with every rung in its place.
    """
    search = _Search(rungs, size_pt)
    choices, overflow = search.choose_columns(width_mm, dict(elsewhere))
    wide = search.measure_boxes(max(columns.verdict for columns in choices))

    def rank(least_mm: float, lines: int) -> tuple[float, int, float]:
        high = round(least_mm, 1)
        return max(high - height_mm, 0.0), lines, high

    hopes = []
    for number, columns in enumerate(choices):
        fitted, lines = search.fit(columns, wide)
        hopes.append((rank(fitted.find_least_mm(_ROW_GAP_MM), lines), number, 0, fitted, lines))
    heapify(hopes)
    while True:
        _, number, closeness, fitted, lines = hopes[0]
        columns = choices[number]
        if closeness == 2:
            return Ladder(rungs, columns, fitted, lines, measure_rungs(fitted, _TIGHT), overflow)
        if closeness == 1:
            least = measure_rungs(fitted, _TIGHT)
        else:
            fitted, lines = search.fit(columns, search.measure_boxes(columns.verdict))
            least = fitted.find_least_mm(_ROW_GAP_MM)
        heapreplace(hopes, (rank(least, lines), number, closeness + 1, fitted, lines))


class _Search:
    """What a ladder's rungs take at a size in columns of several widths."""

    def __init__(self, rungs: tuple[Rung, ...], size_pt: float) -> None:
        exits = [leave for rung in rungs for leave in rung.exits]
        self.size_pt, self.lead, self.badge = size_pt, leading_mm(size_pt), find_badge(size_pt)
        self.rungs, self.exits, self.groups = rungs, exits, group_rows(rungs)
        self.rows = [len(rung.exits) for rung in rungs]
        self.endings = [exits[group[0]].ending for group in self.groups]
        self.questions = [(rung.question, FontFace.MEDIUM) for rung in rungs]
        self.downs = [(rung.down, FontFace.BOLD) for rung in rungs]
        self.labels = [(leave.answer, FontFace.BOLD) for leave in exits]
        self._tiles: dict[float, tuple[list[float], list[float], int]] = {}
        self._answers: dict[float, tuple[list[float], int]] = {}

    def choose_columns(self, width_mm: float, elsewhere: Mapping[int, str]) -> tuple[list[Columns], float]:
        """The columns in which words stick out least, and how far in mm."""
        question, down, label = (
            max(measure_widest_mm(*text, self.size_pt) for text in texts)
            for texts in (self.questions, self.downs, self.labels)
        )
        target = max(_measure_target(leave, self.size_pt, elsewhere) for leave in self.exits)
        choices = [
            (max(0.0, question - c.question, down - c.down, label - c.label, target - c.verdict), c)
            for c in _list_columns(self.rungs, width_mm, self.size_pt)
        ]
        least = min(round(overflow, 3) for overflow, _ in choices)
        return [columns for overflow, columns in choices if round(overflow, 3) == least], least

    def measure_boxes(self, width_mm: float) -> list[tuple[float, int]]:
        """Height in mm and lines of each group's box; those of rows that name a question's number are nothing."""
        return [measure_verdict(each, width_mm, self.size_pt) if each else (0.0, 0) for each in self.endings]

    def fit(self, columns: Columns, boxes: Sequence[tuple[float, int]]) -> tuple[FittedRungs, int]:
        """What the rungs need, and the lines of all that is written."""
        if columns.tile not in self._tiles:
            self._tiles[columns.tile] = self._fit_tiles(columns)
        if columns.answer not in self._answers:
            self._answers[columns.answer] = self._fit_answers(columns)
        tiles, gaps, asked = self._tiles[columns.tile]
        answers, labelled = self._answers[columns.answer]
        fitted = FittedRungs(self.rows, tiles, gaps, answers, self.groups, [height for height, _ in boxes])
        return fitted, asked + labelled + sum([lines for _, lines in boxes])

    def _fit_tiles(self, columns: Columns) -> tuple[list[float], list[float], int]:
        questions = [count_lines(*text, columns.question, self.size_pt) for text in self.questions]
        downs = [count_lines(*text, columns.down, self.size_pt) for text in self.downs]
        tiles = [max(lines * self.lead, self.badge) + 2 * _TILE_PAD_MM for lines in questions]
        gaps = [lines * self.lead - _DOWN_TIGHT_MM if lines else _TILE_GAP_MM for lines in downs]
        return tiles, gaps, sum(questions) + sum(downs)

    def _fit_answers(self, columns: Columns) -> tuple[list[float], int]:
        labels = [count_lines(*text, columns.label, self.size_pt) for text in self.labels]
        return [max(lines * self.lead, self.badge) + _ROW_PAD_MM for lines in labels], sum(labels)


def _measure_target(leave: RungExit, size_pt: float, elsewhere: Mapping[int, str]) -> float:
    """The width in mm that what an answer leads to needs: its verdict's box, or the number of a question."""
    if leave.ending:
        return find_least_box(leave.ending, size_pt)
    where = elsewhere.get(leave.jump, "")
    words = sum(measure_line_mm(each, FontFace.MEDIUM, size_pt) for each in (write_go_to(), where))
    return words + find_badge(size_pt) + (3 if where else 2) * CLEAR_MM


def write_go_to() -> str:
    """What stands before the number of the question that an answer leads to."""
    return say("go to")


def _list_columns(rungs: Sequence[Rung], width_mm: float, size_pt: float) -> list[Columns]:
    face = typeface(FontFace.BOLD)
    labels = [leave.answer for rung in rungs for leave in rung.exits]
    least = max(face.measure_mm(word, size_pt) for label in labels for word in label.split())
    most = max(face.measure_mm(label, size_pt) for label in labels)
    most = max(min(most, _ANSWER_SHARE * width_mm - _AROUND_LABEL_MM), least)
    answers = sorted({least + (most - least) * step / 3 + _AROUND_LABEL_MM + 0.01 for step in range(4)})
    return [
        Columns(share * width_mm, answer, width_mm - answer - share * width_mm, size_pt)
        for answer in answers
        for share in _TILE_SHARES
    ]
