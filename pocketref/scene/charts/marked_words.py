"""Words that stand behind their marks, as many side by side as fit: what an ending says of ball, batter and runners."""

from __future__ import annotations

from collections.abc import Iterator, Sequence
from dataclasses import dataclass, replace
from functools import lru_cache
from itertools import groupby

from pocketref.scene.inks import BLACK, WHITE
from pocketref.scene.items import FontFace, Item
from pocketref.scene.marks import draw_mark, mark_width_mm
from pocketref.scene.textfit import (
    Line,
    break_text,
    count_lines,
    leading_mm,
    measure_line_mm,
    measure_widest_mm,
    write_line,
)


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


@dataclass(frozen=True, slots=True)
class _Words:
    """Neighbouring lines with the same words: these, the marks before them, and the face they are set in."""

    words: str
    marks: tuple[str, ...]
    face: FontFace

    def indent_mm(self, size_pt: float) -> float:
        return len(self.marks) * mark_width_mm(size_pt)


@lru_cache(maxsize=1024)
def _join(lines: tuple[tuple[str, str], ...], face: FontFace) -> tuple[_Words, ...]:
    """Neighbours with the same words share them; what the league must settle is bold."""
    joined = []
    for words, group in groupby(lines, key=lambda line: line[1]):
        marks = tuple(mark for mark, _ in group)
        joined.append(_Words(words, marks, FontFace.BOLD if "league" in marks else face))
    return tuple(joined)


def _find_gap(size_pt: float) -> float:
    """What pieces side by side keep apart, in mm."""
    return 0.4 * leading_mm(size_pt)


def _place(
    lines: tuple[tuple[str, str], ...], width_mm: float, size_pt: float, face: FontFace
) -> Iterator[tuple[_Words, float, int]]:
    """Each piece with where in the row before it stands, or with the rows that it begins; the other is 0."""
    gap, used = _find_gap(size_pt), 0.0
    for piece in _join(lines, face):
        indent = piece.indent_mm(size_pt)
        whole, room = indent + measure_line_mm(piece.words, piece.face, size_pt), width_mm - indent
        if used and used + gap + whole <= width_mm:
            yield piece, used + gap, 0
            used += gap + whole
            continue
        rows = count_lines(piece.words, piece.face, room, size_pt)
        used = (
            whole if rows == 1 else indent + break_text(piece.words, piece.face, room, size_pt)[-1].width_mm
        )
        yield piece, 0.0, rows


def set_marked(
    lines: tuple[tuple[str, str], ...], width_mm: float, size_pt: float, face: FontFace = FontFace.REGULAR
) -> tuple[Row, ...]:
    """Rows of pieces for lines of (mark, words); neighbours with the same words share them, each with its mark.

    What the league must settle is bold. No piece stands alone in the last row that could have company.
    """
    rows: list[list[Piece]] = []
    for piece, at_mm, _ in _place(lines, width_mm, size_pt, face):
        broken = break_text(piece.words, piece.face, width_mm - piece.indent_mm(size_pt), size_pt)
        if at_mm:
            rows[-1].append(Piece(broken[0], piece.marks, at_mm))
        else:
            room = (" ",) * len(piece.marks)
            rows += [[Piece(line, room if n else piece.marks, 0.0)] for n, line in enumerate(broken)]
    if len(rows) > 1 and len(rows[-1]) == 1 and len(rows[-2]) > 1:
        last, company = rows[-1][0], replace(rows[-2][-1], at_mm=0.0)
        last = replace(last, at_mm=company.right_mm(size_pt) + _find_gap(size_pt))
        if last.right_mm(size_pt) <= width_mm:
            rows[-2:] = [rows[-2][:-1], [company, last]]
    return tuple(tuple(row) for row in rows)


def count_rows(lines: tuple[tuple[str, str], ...], width_mm: float, size_pt: float, face: FontFace) -> int:
    """How many rows `set_marked` makes."""
    return sum(rows for _, _, rows in _place(lines, width_mm, size_pt, face))


def find_least_width(lines: tuple[tuple[str, str], ...], size_pt: float, face: FontFace) -> float:
    """The width in mm under which words stick out of their rows."""
    pieces = _join(lines, face)
    return max(
        (p.indent_mm(size_pt) + measure_widest_mm(p.words, p.face, size_pt) for p in pieces), default=0.0
    )


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
