"""The columns that a ladder is set in: how wide questions, answers and verdicts are, and what it comes to in height.

Lines are counted, not set: of the dozens of columns at dozens of sizes that are tried for a face, one is drawn.
"""

from __future__ import annotations

from collections.abc import Iterable, Mapping, Sequence
from dataclasses import dataclass, replace
from functools import lru_cache

from pocketref.scene.charts.ladder_layout import (
    FittedRung,
    PlacedRung,
    Room,
    Rung,
    RungExit,
    group_rows,
    place_rungs,
)
from pocketref.scene.charts.verdict_box import RADIUS_MM, find_least_box, measure_verdict, side_pad_mm
from pocketref.scene.items import FontFace
from pocketref.scene.textfit import count_lines, leading_mm, measure_line_mm, measure_widest_mm
from pocketref.scene.typefaces import cap_height_mm, typeface

CONNECTOR_MM = 0.4
ARROW_MM = 1.9
CLEAR_MM = 0.8
"""Between words and a line."""
DOWN_CLEAR_MM = 1.5
"""Between words and the middle of a line with an arrowhead."""
STUB_MM = 1.2
"""The least piece of a connector before its answer, and between the answer and the arrowhead."""
GO_TO = "go to"
_DOWN_TIGHT_MM = 0.2  # of the leading around an answer that leads down
_ROW_GAP_MM = 1.0
_TILE_GAP_MM, _TILE_PAD_MM = 1.8, 0.3
_ROW_PAD_MM = 0.4
_TILE_SHARES = tuple(share / 50 for share in range(12, 26))
_ANSWER_SHARE = 0.3
_AROUND_LABEL_MM = 2 * STUB_MM + 2 * CLEAR_MM + ARROW_MM
_MOST_GAP_MM, _MOST_ROW_MM = 6.0, 3.0  # the most that height to spare adds between rungs, and to each of them

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
    """Rungs in columns: the lines of each text, the height of each box and its lines, how far words stick out, mm."""

    rungs: tuple[Rung, ...]
    columns: Columns
    questions: Sequence[int]
    downs: Sequence[int]
    labels: Sequence[int]
    """Of every row from the top."""
    groups: tuple[tuple[int, ...], ...]
    """The rows that lead to each box."""
    boxes: Sequence[tuple[float, int]]
    """Those of rows that name a question's number are nothing."""
    overflow_mm: float
    height_mm: float = 0.0
    """At least, until it is placed."""

    def count_lines(self) -> int:
        """The lines of all that is written."""
        texts = (*self.questions, *self.downs, *self.labels)
        return sum(texts) + sum(lines for _, lines in self.boxes)

    def _fit_rungs(self) -> list[FittedRung]:
        lead, badge, row = self.columns.lead, self.columns.badge, 0
        fitted = []
        for rung, question, down in zip(self.rungs, self.questions, self.downs, strict=True):
            labels = self.labels[row : row + len(rung.exits)]
            answers = tuple([max(lines * lead, badge) + _ROW_PAD_MM for lines in labels])
            gap = down * lead - _DOWN_TIGHT_MM if down else _TILE_GAP_MM
            fitted.append(FittedRung(max(question * lead, badge) + 2 * _TILE_PAD_MM, answers, gap))
            row += len(answers)
        return fitted

    def find_least_mm(self) -> float:
        """What its height comes to at least: that of its rows, and that of its tiles."""
        fitted = self._fit_rungs()
        answers = [answer for rung in fitted for answer in rung.answers_mm]
        rows = [
            max(box, sum(answers[group[0] : group[-1] + 1]))
            for group, (box, _) in zip(self.groups, self.boxes, strict=True)
        ]
        tiles = sum([rung.tile_mm + rung.gap_mm for rung in fitted]) - fitted[-1].gap_mm
        return max(sum(rows) + _ROW_GAP_MM * (len(rows) - 1), tiles)

    def place(self, spread: float = 0.0) -> tuple[Sequence[PlacedRung], float]:
        """Every rung in its place, and the height; a spread to 1 centres connectors, one to 2 adds white space."""
        more = max(spread - 1.0, 0.0)
        room = Room(
            _ROW_GAP_MM, RADIUS_MM + CONNECTOR_MM, min(spread, 1.0), _MOST_GAP_MM * more, _MOST_ROW_MM * more
        )
        return place_rungs(self._fit_rungs(), self.groups, [height for height, _ in self.boxes], room)


@lru_cache(maxsize=1024)
def choose_ladder(
    rungs: tuple[Rung, ...], width_mm: float, size_pt: float, height_mm: float, elsewhere: Elsewhere
) -> Ladder:
    """The ladder in the columns in which it fits with the fewest lines; if it never does, in the lowest ones.

    Kept, as a face is measured many times and again with its change bars. Columns in which it could not be better
    even if its boxes were those of the widest verdicts are not tried.
    """

    def rank(ladder: Ladder) -> tuple[float, int, float]:
        high = round(ladder.height_mm, 1)
        return max(high - height_mm, 0.0), ladder.count_lines(), high

    ladders = _list_ladders(rungs, width_mm, size_pt, elsewhere)
    best: tuple[tuple[float, int, float], int] | None = None
    for hope, number in sorted((rank(ladder), number) for number, ladder in enumerate(ladders)):
        if best and (hope, number) > best:
            break
        boxes = _measure_boxes(rungs, ladders[number].columns.verdict, size_pt)
        ladder = replace(ladders[number], boxes=boxes)
        ladders[number] = replace(ladder, height_mm=ladder.place()[1])
        found = (rank(ladders[number]), number)
        best = min(best or found, found)
    if best is None:
        raise AssertionError("there are always columns")
    return ladders[best[1]]


def _list_ladders(
    rungs: tuple[Rung, ...], width_mm: float, size_pt: float, elsewhere: Elsewhere
) -> list[Ladder]:
    """The ladder in each of the columns in which words stick out least, its boxes as in the widest of them."""
    exits = [leave for rung in rungs for leave in rung.exits]
    choices = _list_columns(rungs, width_mm, size_pt)
    question, down, label = (
        max(measure_widest_mm(text, face, size_pt) for text in texts)
        for texts, face in (
            ([rung.question for rung in rungs], FontFace.MEDIUM),
            ([rung.down for rung in rungs], FontFace.BOLD),
            ([leave.answer for leave in exits], FontFace.BOLD),
        )
    )
    target = max(_measure_target(leave, size_pt, dict(elsewhere)) for leave in exits)
    overflows = [
        round(max(0.0, question - c.question, down - c.down, label - c.label, target - c.verdict), 3)
        for c in choices
    ]
    kept = [c for c, overflow in zip(choices, overflows, strict=True) if overflow == min(overflows)]
    boxes = _measure_boxes(rungs, max(columns.verdict for columns in kept), size_pt)
    ladders = [
        Ladder(
            rungs,
            columns,
            _count([rung.question for rung in rungs], FontFace.MEDIUM, columns.question, size_pt),
            _count([rung.down for rung in rungs], FontFace.BOLD, columns.down, size_pt),
            _count([leave.answer for leave in exits], FontFace.BOLD, columns.label, size_pt),
            group_rows(rungs),
            boxes,
            min(overflows),
        )
        for columns in kept
    ]
    return [replace(ladder, height_mm=ladder.find_least_mm()) for ladder in ladders]


def _count(texts: Iterable[str], face: FontFace, width_mm: float, size_pt: float) -> tuple[int, ...]:
    return tuple([count_lines(text, face, width_mm, size_pt) for text in texts])


def _measure_boxes(rungs: Sequence[Rung], width_mm: float, size_pt: float) -> tuple[tuple[float, int], ...]:
    exits = [leave for rung in rungs for leave in rung.exits]
    endings = [exits[group[0]].ending for group in group_rows(rungs)]
    return tuple([measure_verdict(each, width_mm, size_pt) if each else (0.0, 0) for each in endings])


def _measure_target(leave: RungExit, size_pt: float, elsewhere: Mapping[int, str]) -> float:
    """The width in mm that what an answer leads to needs: its verdict's box, or the number of a question."""
    if leave.ending:
        return find_least_box(leave.ending, size_pt)
    where = elsewhere.get(leave.jump, "")
    words = sum(measure_line_mm(each, FontFace.MEDIUM, size_pt) for each in (GO_TO, where))
    return words + find_badge(size_pt) + (3 if where else 2) * CLEAR_MM


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
