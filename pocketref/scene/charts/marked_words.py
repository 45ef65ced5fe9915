"""Words that stand behind their marks, as many side by side as fit: what an ending says of ball, batter and runners."""

from __future__ import annotations

from collections.abc import Iterable, Sequence
from dataclasses import dataclass
from itertools import groupby

from pocketref.scene.inks import BLACK, WHITE
from pocketref.scene.items import FontFace, Item
from pocketref.scene.marks import draw_mark, mark_width_mm
from pocketref.scene.textfit import Line, break_text, leading_mm, write_line


@dataclass(frozen=True, slots=True)
class Piece:
    """Words, the marks before them (" " is only the room of one), and how far in their row they start."""

    line: Line
    marks: tuple[str, ...]
    at_mm: float

    def right_mm(self, size_pt: float) -> float:
        """Where the words end, from the row's left edge."""
        return self.at_mm + len(self.marks) * mark_width_mm(size_pt) + self.line.width_mm


Row = tuple[Piece, ...]


def set_marked(
    lines: Iterable[tuple[str, str]], width_mm: float, size_pt: float, face: FontFace = FontFace.REGULAR
) -> tuple[Row, ...]:
    """Rows of pieces for lines of (mark, words); neighbours with the same words share them, each with its mark.

    What the league must settle is bold.
    """
    rows: list[list[Piece]] = []
    gap, used = 0.4 * leading_mm(size_pt), 0.0
    for words, group in groupby(lines, key=lambda line: line[1]):
        marks = tuple(mark for mark, _ in group)
        indent = len(marks) * mark_width_mm(size_pt)
        broken = break_text(words, FontFace.BOLD if "league" in marks else face, width_mm - indent, size_pt)
        if rows and len(broken) == 1 and used + gap + indent + broken[0].width_mm <= width_mm:
            rows[-1].append(Piece(broken[0], marks, used + gap))
        else:
            room = (" ",) * len(marks)
            rows += [[Piece(line, room if n else marks, 0.0)] for n, line in enumerate(broken)]
        used = rows[-1][-1].right_mm(size_pt)
    return tuple(tuple(row) for row in rows)


def measure_rows(rows: Sequence[Row], size_pt: float) -> float:
    """The width of the widest row in mm."""
    return max((row[-1].right_mm(size_pt) for row in rows), default=0.0)


def draw_row(row: Row, x: float, baseline: float, size_pt: float, *, is_reversed: bool = False) -> list[Item]:
    """The row from x; reversed it is white, for a black ground."""
    items: list[Item] = []
    for piece in row:
        start = x + piece.at_mm
        for mark in piece.marks:
            items += draw_mark(mark, start, baseline, size_pt, is_reversed=is_reversed)
            start += mark_width_mm(size_pt)
        items += write_line(piece.line, start, baseline, size_pt, WHITE if is_reversed else BLACK)
    return items
