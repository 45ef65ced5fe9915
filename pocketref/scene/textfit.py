"""Text flow: paragraphs broken into lines that look even, never ending in a lone short word.

Words are what ordinary spaces separate; a no-break space (U+00A0) keeps a measure, a fraction or a section
number together, and `_HOLDS` what no language parts. Lines are ragged right.
"""

from __future__ import annotations

import math
import re
from collections.abc import Iterator, Sequence
from dataclasses import dataclass
from functools import cache, lru_cache
from itertools import combinations, pairwise

from pocketref.scene.inks import BLACK
from pocketref.scene.items import FontFace, Ink, Item
from pocketref.scene.typefaces import set_text, typeface
from pocketref.units.length import MM_PER_PT
from pocketref.units.notation import typeset_figures

_LEADING = 1.18  # line spacing as a multiple of the type size, for short lines of a condensed face
_WIDOW_SHARE = 0.22  # a last line shorter than this share of the width counts as a widow

# What must stay on one line: a section number with its code mark, a number with its unit, a count with its noun.
_BINDINGS = (
    re.compile(
        r"(?<=[\d¼½¾⅛⅜⅝⅞₀-₉]) (?=(?:in|ft|mm|m|cm|s|F|C|%|min|mi|km|lb|kg|pt|runners?|outs?|strikes?)\b)"
    ),
    re.compile(r"(?<=\bft) (?=[\d¼½¾⅛⅜⅝⅞⁰-⁹¹²³])"),
    re.compile(r"(?<=\d) (?=[¼½¾⅛⅜⅝⅞]|\d+/\d+)"),
    re.compile(r"(?<=[A-Z]{2}) (?=\d)"),
)

_HELD = "\u2060"
"""Stands for a space that is printed as one, and at which no line ends."""
# By any language's rules: after what opens and before what closes or points, bold or not; before a dash that stands
# free; between a number and its unit or noun as other languages than English have them, § and its number.
_HOLDS = (
    re.compile(r"(?:(?<=[¿¡«“(\[§])|(?<=[¿¡«“(\[§]\*)) (?=\S)"),
    re.compile(r"(?<=\S) (?=\*?(?:[»”)\];!?…]|[.,:](?!\d)|[—–](?: |$)))"),
    re.compile(
        r"(?:(?<=[\d¼½¾⅛⅜⅝⅞₀-₉])|(?<=[\d¼½¾⅛⅜⅝⅞₀-₉]\*)) "
        r"(?=\*?(?:%|°[CF]|(?:pies?|pulg|pulgadas?|minutos?|segundos?|millas?|corredor|corredores)\b))"
    ),
)


@dataclass(frozen=True, slots=True)
class Word:
    """A piece that is never split: its parts, each in its own face, set without space between them."""

    parts: tuple[tuple[str, FontFace], ...]

    def measure_mm(self, size_pt: float) -> float:
        """The width of the parts one after the other."""
        return sum(typeface(face).measure_mm(text, size_pt) for text, face in self.parts)


@dataclass(frozen=True, slots=True)
class Line:
    """Words of one line, with the width they take set with single spaces."""

    words: tuple[Word, ...]
    width_mm: float


def bind(text: str) -> str:
    """The text as print sets it: no-break spaces where a line must not end, fractions, minus signs, apostrophes."""
    text = typeset_figures(text)
    for pattern in _BINDINGS:
        text = pattern.sub("\u00a0", text)
    return text.replace("'", "\u2019")


def _hold(text: str) -> str:
    """The text with the spaces marked at which no line ends in any language."""
    for pattern in _HOLDS:
        text = pattern.sub(_HELD, text)
    return text


def split_words(text: str, face: FontFace) -> list[Word]:
    """The unbreakable pieces of `text`, after binding; what stands between asterisks is bold."""
    return list(_split_words(text, face))


@lru_cache(maxsize=8192)
def _split_words(text: str, face: FontFace) -> tuple[Word, ...]:
    words: list[list[tuple[str, FontFace]]] = []
    joined = False  # whether the next piece follows the last one without a space
    for number, span in enumerate(_hold(bind(text)).split("*")):
        span_face = FontFace.BOLD if number % 2 else face
        for index, piece in enumerate(span.split(" ")):
            if index:
                joined = False
            if not piece:
                continue
            part = (piece.replace(_HELD, " "), span_face)
            if joined and words:
                words[-1].append(part)
            else:
                words.append([part])
            joined = True
    return tuple(Word(tuple(parts)) for parts in words)


def break_lines(words: Sequence[Word], width_mm: float, size_pt: float) -> tuple[Line, ...]:
    """Break words into the fewest lines, and among those into the most even ones without a widow.

    A word wider than the line gets a line to itself and sticks out; `Line.width_mm` tells.
    """
    widths, space = [word.measure_mm(size_pt) for word in words], space_mm(size_pt)
    starts = _find_starts(widths, space, width_mm)
    cuts = [len(words)]
    while cuts[-1] > 0:
        cuts.append(starts[cuts[-1] - 1])
    cuts.reverse()
    return tuple(Line(tuple(words[a:b]), sum(widths[a:b]) + space * (b - a - 1)) for a, b in pairwise(cuts))


@lru_cache(maxsize=8192)
def break_text(text: str, face: FontFace, width_mm: float, size_pt: float) -> tuple[Line, ...]:
    """The words of `text` broken into lines; kept, as what is drawn is compared with what was drawn before."""
    words, whole_mm = _split_words(text, face), measure_line_mm(text, face, size_pt)
    if words and whole_mm <= width_mm:  # as most texts do
        return (Line(words, whole_mm),)
    return break_lines(words, width_mm, size_pt)


@lru_cache(maxsize=8192)
def _measure_words_em(text: str, face: FontFace) -> tuple[tuple[float, ...], float]:
    """The widths of the unbreakable pieces of `text`, and that of all of it on one line, in shares of the type size."""
    words = _split_words(text, face)
    widths = tuple(sum(typeface(part).measure_em(piece) for piece, part in word.parts) for word in words)
    return widths, sum(widths) + _space_em() * max(len(words) - 1, 0)


def measure_line_mm(text: str, face: FontFace, size_pt: float) -> float:
    """The width of all of `text` on one line."""
    return _measure_words_em(text, face)[1] * size_pt * MM_PER_PT


def measure_widest_mm(text: str, face: FontFace, size_pt: float) -> float:
    """The width of the widest unbreakable piece of `text`."""
    return max(_measure_words_em(text, face)[0], default=0.0) * size_pt * MM_PER_PT


def count_lines(text: str, face: FontFace, width_mm: float, size_pt: float) -> int:
    """How many lines `break_text` makes, without making them."""
    widths, whole = _measure_words_em(text, face)
    room = width_mm / (size_pt * MM_PER_PT) + 1e-7
    if not widths or whole <= room:  # a column may be narrower than nothing
        return min(len(widths), 1)
    lines, used, space = 1, widths[0], _space_em()
    for width in widths[1:]:
        used += space + width
        if used > room:
            lines, used = lines + 1, width
    return lines


def _find_starts(widths: list[float], space: float, width_mm: float) -> list[int]:
    """For each word, the one that its line starts with if it ends a line: the fewest lines, then the most even.

    An even line costs nothing, a ragged one the square of the share it leaves white; of a last line only a
    short one is bad.
    """
    lines, costs, starts = [0], [0.0], []
    head = -space
    for end in range(1, len(widths) + 1):
        is_last = end == len(widths)
        head += widths[end - 1] + space
        if head <= width_mm:  # all so far stands on one line, as most texts do
            lines.append(1)
            costs.append(((width_mm - head) / width_mm) ** 2 if width_mm < math.inf else 0.0)
            starts.append(0)
            continue
        line = -space
        fewest, least, best = end, math.inf, end - 1
        for start in range(end - 1, -1, -1):
            line += widths[start] + space
            if line > width_mm + 1e-6 and start < end - 1:
                break
            slack = (width_mm - line) / width_mm if line < width_mm else 0.0
            cost = costs[start]
            if not is_last:
                cost += slack**2
            else:
                cost += 0.5 if lines[start] and line < _WIDOW_SHARE * width_mm else 0.05 * slack**2
            if lines[start] < fewest or cost <= least:  # the sooner a line starts, the fewer stand before it
                fewest, least, best = lines[start], cost, start
        lines.append(fewest + 1)
        costs.append(least)
        starts.append(best)
    return starts


@cache
def _space_em() -> float:
    return typeface(FontFace.REGULAR).measure_em(" ")


def space_mm(size_pt: float) -> float:
    """The width of a word space, the same in every face so that lines keep their measure."""
    return _space_em() * size_pt * MM_PER_PT


def write_line(line: Line, x: float, baseline: float, size_pt: float, ink: Ink = BLACK) -> list[Item]:
    """The line set from x: one run for each stretch in one face."""
    runs: list[tuple[str, FontFace]] = []
    for index, word in enumerate(line.words):
        for part, (text, face) in enumerate(word.parts):
            lead = " " if index and not part else ""
            if runs and runs[-1][1] is face:
                runs[-1] = (runs[-1][0] + lead + text, face)
            else:
                # A space before a change of face belongs to the gap between the runs.
                runs.append((lead + text, face))
    items: list[Item] = []
    for text, face in runs:
        if text.startswith(" "):
            x += space_mm(size_pt)
        run = set_text(x, baseline, text.lstrip(" "), face, size_pt, ink)
        items.append(run)
        x += run.width_mm
    return items


def leading_mm(size_pt: float) -> float:
    """Distance between baselines in mm."""
    return size_pt * _LEADING * MM_PER_PT


@dataclass(frozen=True, slots=True)
class RhombusFit:
    """Text broken to fit a rhombus, the height it then needs, and how far its widest line sticks out."""

    lines: tuple[Line, ...]
    height_mm: float
    overflow_mm: float


def fit_rhombus(words: list[Word], width_mm: float, size_pt: float, white_mm: float = 1.2) -> RhombusFit:
    """A low rhombus `width_mm` wide that holds the words, each line as long as the shape allows there.

    `white_mm` is the white space kept between a line and the sides, both ends together.

    Among arrangements, height counts first and evenness of the lines second; a word alone on its line counts as
    half a line's height.
    """
    lead = leading_mm(size_pt)
    best: tuple[float, RhombusFit] | None = None
    for count in range(1, min(5, len(words)) + 1):
        for lines in _arrangements(words, count, size_pt):
            height = _least_height([line.width_mm + white_mm for line in lines], lead, width_mm)
            if height is None:
                continue
            rooms = _rhombus_rooms(count, lead, width_mm, height)
            fills = [(line.width_mm + white_mm) / room for line, room in zip(lines, rooms, strict=True)]
            lone = sum(len(line.words) == 1 for line in lines) if len(words) > count else 0
            cost = height + lead * (sum((1 - fill) ** 2 for fill in fills) + lone / 2)
            if best is None or cost < best[0]:
                best = (cost, RhombusFit(lines, height, 0.0))
    if best is not None:
        return best[1]
    lines = tuple(Line((word,), word.measure_mm(size_pt)) for word in words)
    widest = max(line.width_mm for line in lines)
    return RhombusFit(lines, len(lines) * lead * 2, max(widest - width_mm / 2, 0.01))


def _arrangements(words: list[Word], count: int, size_pt: float) -> Iterator[tuple[Line, ...]]:
    """Every way to set the words in `count` lines (questions are short: at most a few hundred ways)."""
    space = space_mm(size_pt)
    widths = [word.measure_mm(size_pt) for word in words]
    for cuts in combinations(range(1, len(words)), count - 1):
        ends = (0, *cuts, len(words))
        yield tuple(
            Line(tuple(words[a:b]), sum(widths[a:b]) + space * (b - a - 1)) for a, b in pairwise(ends)
        )


def _line_edges(count: int, lead: float) -> list[float]:
    """How far the outer edge of each line's ink lies from the rhombus's middle, in mm."""
    ink = 0.74 * lead  # from the descender to the capitals: what must stay inside
    return [abs((count - 1) / 2 - i) * lead + ink / 2 for i in range(count)]


def _rhombus_rooms(count: int, lead: float, width: float, height: float) -> list[float]:
    """The width that each of `count` lines has inside the rhombus."""
    return [width * (1 - 2 * edge / height) for edge in _line_edges(count, lead)]


def _least_height(line_widths: list[float], lead: float, width: float) -> float | None:
    """The least height at which each line fits; None if a line is too long for any height."""
    height = 0.0
    for edge, line in zip(_line_edges(len(line_widths), lead), line_widths, strict=True):
        share = 1 - line / width
        if share <= 0.05:
            return None
        height = max(height, 2 * edge / share)
    return height
