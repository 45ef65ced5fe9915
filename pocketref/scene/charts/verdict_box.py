"""A verdict in its box: the headline large, under it what becomes of ball, batter and runners, each with its mark.

An out is white on black, so that it is seen first. A verdict that kills the ball has a heavy edge where the answer
comes in, one that the league must settle a dashed outline; each also says so in words.
"""

from __future__ import annotations

import re
from dataclasses import dataclass
from functools import lru_cache

from pocketref.scene.charts.flow_layout import FlowEnding
from pocketref.scene.charts.marked_words import (
    Row,
    count_rows,
    draw_row,
    find_least_width,
    measure_rows,
    set_marked,
)
from pocketref.scene.inks import BLACK, DEAD_BALL, WHITE
from pocketref.scene.items import Close, FontFace, Item, LineTo, MoveTo, Segment, Shape, Stroke
from pocketref.scene.paths import arc, rounded_rectangle
from pocketref.scene.textfit import Line, break_text, count_lines, leading_mm, measure_widest_mm, write_line
from pocketref.scene.typefaces import cap_height_mm

HEADLINE = 1.3
"""The size of a verdict's headline, as a multiple of all other type's."""
OUTLINE_MM = 0.4
BAR_MM = 1.5
"""The heavy edge of a verdict that kills the ball."""
PAD_MM = 0.5
"""Over and under the words in a box."""
RADIUS_MM = 1.3
_LIFT_MM = 0.2  # as descenders need more room than there is over the capitals
_DASH_MM = (1.8, 1.1)


@dataclass(frozen=True, slots=True)
class Verdict:
    """An ending set in a box: its lines, the least height of the box in mm, and how far its words stick out."""

    ending: FlowEnding
    headline: tuple[Line, ...]
    rows: tuple[Row, ...]
    height_mm: float
    overflow_mm: float

    def has_mark(self, mark: str) -> bool:
        """Whether one of its lines bears the mark."""
        return any(mark == each for each, _ in self.ending.lines)

    @property
    def is_out(self) -> bool:
        """Whether batter or runner is out by it."""
        return _is_out(self.ending)


def side_pad_mm(size_pt: float) -> float:
    """The white space beside the words in a box."""
    return 0.45 * leading_mm(size_pt)


def fit_verdict(ending: FlowEnding, width_mm: float, size_pt: float) -> Verdict:
    """The ending in a box of this width, its words at `size_pt`; what the headline says of the batter is left out."""
    inner = width_mm - _around_mm(size_pt)
    headline = break_text(ending.headline, FontFace.BOLD, inner, HEADLINE * size_pt)
    lines, face = _list_lines(ending)
    rows = set_marked(lines, inner, size_pt, face)
    widest = max(measure_rows(rows, size_pt), *(line.width_mm for line in headline))
    height = _height_mm(len(headline), len(rows), size_pt)
    return Verdict(ending, headline, rows, height, max(widest - inner, 0.0))


def measure_verdict(ending: FlowEnding, width_mm: float, size_pt: float) -> tuple[float, int]:
    """The height in mm of the box that `fit_verdict` makes, and its lines."""
    inner = width_mm - _around_mm(size_pt)
    headline = count_lines(ending.headline, FontFace.BOLD, inner, HEADLINE * size_pt)
    lines, face = _list_lines(ending)
    rows = count_rows(lines, inner, size_pt, face)
    return _height_mm(headline, rows, size_pt), headline + rows


def find_least_box(ending: FlowEnding, size_pt: float) -> float:
    """The width in mm under which words stick out of their box."""
    headline = measure_widest_mm(ending.headline, FontFace.BOLD, HEADLINE * size_pt)
    lines, face = _list_lines(ending)
    return max(headline, find_least_width(lines, size_pt, face)) + _around_mm(size_pt)


def _around_mm(size_pt: float) -> float:
    return 2 * side_pad_mm(size_pt) + BAR_MM


def _height_mm(headline: int, rows: int, size_pt: float) -> float:
    return headline * leading_mm(HEADLINE * size_pt) + rows * leading_mm(size_pt) + 2 * PAD_MM


@lru_cache(maxsize=1024)
def _list_lines(ending: FlowEnding) -> tuple[tuple[tuple[str, str], ...], FontFace]:
    """What the headline leaves to say, and its face: white on black needs more weight."""
    lines = tuple(
        line for line in ending.lines if not (_is_batter(line[0]) and _says(ending.headline, line[1]))
    )
    return lines, FontFace.MEDIUM if _is_out(ending) else FontFace.REGULAR


def _is_out(ending: FlowEnding) -> bool:
    return any(mark in ("batter-out", "runners-out") for mark, _ in ending.lines)


def _is_batter(mark: str) -> bool:
    return mark.partition("-")[0] == "batter"


def _says(headline: str, words: str) -> bool:
    return re.search(rf"\b{re.escape(words)}\b", headline, re.IGNORECASE) is not None


def draw_verdict(
    verdict: Verdict, left: float, top: float, width_mm: float, height_mm: float, size_pt: float
) -> list[Item]:
    """The box with its upper left corner at (left, top), its words in the middle of its height."""
    is_out = verdict.is_out
    dash = _DASH_MM if verdict.has_mark("league") and not is_out else ()
    bottom, inset = top - height_mm, OUTLINE_MM / 2
    outline = rounded_rectangle(
        left + inset, bottom + inset, width_mm - OUTLINE_MM, height_mm - OUTLINE_MM, RADIUS_MM - inset
    )
    items: list[Item] = [Shape(outline, Stroke(OUTLINE_MM, BLACK, dash), BLACK if is_out else WHITE)]
    if verdict.has_mark("ball-dead"):
        items.append(Shape(_edge(left, bottom, height_mm), None, DEAD_BALL))
    ink = WHITE if is_out else BLACK
    x = left + BAR_MM + side_pad_mm(size_pt)
    y = top - (height_mm - verdict.height_mm) / 2 - PAD_MM + _LIFT_MM
    for line in verdict.headline:
        items += write_line(line, x, _baseline(y, HEADLINE * size_pt), HEADLINE * size_pt, ink)
        y -= leading_mm(HEADLINE * size_pt)
    for row in verdict.rows:
        items += draw_row(row, x, _baseline(y, size_pt), size_pt, is_reversed=is_out)
        y -= leading_mm(size_pt)
    return items


def _baseline(top: float, size_pt: float) -> float:
    """The baseline of a line whose strip of leading starts at `top`, so that its capitals stand in the middle."""
    return top - (leading_mm(size_pt) + cap_height_mm(FontFace.BOLD, size_pt)) / 2


def _edge(left: float, bottom: float, height_mm: float) -> tuple[Segment, ...]:
    """The box's left edge, as far as its heavy edge reaches, with the box's corners."""
    right, top, r = left + BAR_MM, bottom + height_mm, RADIUS_MM
    upper, lower = arc(left + r, top - r, r, 90, 90), arc(left + r, bottom + r, r, 180, 90)
    return (
        MoveTo(right, top),
        LineTo(left + r, top),
        *upper[1:],
        LineTo(left, bottom + r),
        *lower[1:],
        LineTo(right, bottom),
        Close(),
    )
