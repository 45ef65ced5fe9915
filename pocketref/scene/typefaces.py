"""The embedded typefaces, and the measuring of text with them."""

from __future__ import annotations

import struct
from collections.abc import Iterator
from dataclasses import dataclass, replace
from functools import cache, lru_cache
from pathlib import Path

from pocketref.problems import Location, PocketrefError, Problem, explain_refusal
from pocketref.scene.items import FontFace, Ink, Slot, Text
from pocketref.units.length import MM_PER_PT
from pocketref.units.notation import FRACTION, spell_fractions, typeset_figures
from pocketref.words.terminal import tell

_FILES = {
    FontFace.REGULAR: (400, "normal"),
    FontFace.MEDIUM: (500, "normal"),
    FontFace.BOLD: (700, "normal"),
    FontFace.ITALIC: (400, "italic"),
}
_FAMILY = "IBM Plex Sans Condensed"
_PACKAGE = "fontpkg-ibm-plex-sans-condensed"

_LEAST_FIGURE = 10 / 16
"""The least height of a fraction's figures beside that of capitals. Capitals fill 16 minutes of arc or more (ISO
9241-3, which lets indices be smaller); with this, figures fill 10 or more, as sight of 20/40 can tell apart."""


@dataclass(frozen=True, slots=True)
class Typeface:
    """One embedded face: its file and the figures that layout needs, heights as shares of the type size."""

    face: FontFace
    path: Path
    postscript_name: str
    cap_height_em: float
    ascent_em: float
    descent_em: float
    fraction_scale: float
    """How much larger than the text around them fractions are set: see `list_runs`."""
    _advances_em: dict[str, float]
    _reaches_em: dict[str, tuple[float, float]]

    @property
    def fraction_drop_em(self) -> float:
        """How far below the baseline fractions stand, in shares of the type size: half of what they gain."""
        return self.cap_height_em * (self.fraction_scale - 1) / 2

    def advance_em(self, character: str) -> float:
        """The advance width of one glyph as it is in the font, a fraction's too, in shares of the type size."""
        return self._advances_em[character]

    def measure_mm(self, text: str, size_pt: float) -> float:
        """Advance width of `text` in mm, without kerning (as the writers set it)."""
        return _measure_em(self.face, text) * size_pt * MM_PER_PT

    def measure_em(self, text: str) -> float:
        """As `measure_mm`, in shares of the type size."""
        fallback = self._advances_em["\ufffd"]
        width = sum([self._advances_em.get(ch, fallback) for ch in text])
        if not text.isascii():
            figures = "".join(FRACTION.findall(text))
            width += sum([self._advances_em[ch] for ch in figures]) * (self.fraction_scale - 1)
        return width

    def measure_reach_em(self, text: str) -> tuple[float, float]:
        """How far the ink of `text` reaches below (negative) and above its baseline, in shares of the type size."""
        reaches = [self._reaches_em.get(ch, (0.0, 0.0)) for ch in text]
        if not text.isascii():
            scale, drop = self.fraction_scale, self.fraction_drop_em
            figures = [self._reaches_em[ch] for ch in "".join(FRACTION.findall(text))]
            reaches += [(low * scale - drop, high * scale - drop) for low, high in figures]
        return min((low for low, _ in reaches), default=0.0), max((high for _, high in reaches), default=0.0)

    def missing(self, text: str) -> tuple[str, ...]:
        """The characters of `text` that this face has no glyph for, each once, in order."""
        return tuple(dict.fromkeys(ch for ch in text if ch not in self._advances_em))

    def size_for_cap_height(self, cap_height_mm: float) -> float:
        """The type size in points whose capitals are `cap_height_mm` high."""
        return cap_height_mm / (self.cap_height_em * MM_PER_PT)


@cache
def typeface(face: FontFace) -> Typeface:
    """The embedded face for `face`; read once. PocketrefError ("typeface-missing") if its file is not whole.

    Widths come from the font's hmtx table; the capital height is measured from the outline of H, because a
    font's own declared height may be missing or wrong.
    """
    import fontpkg
    from fontTools.ttLib import TTLibError

    weight, style = _FILES[face]
    place = _PACKAGE
    try:
        path = Path(fontpkg.path(_FAMILY, weight=weight, style=style))
        place = str(path)
        return _measure_typeface(face, path)
    except (OSError, LookupError, TTLibError, struct.error, AssertionError) as error:
        what, hint = (
            tell("the file of the {face} typeface", face=face),
            tell("install {package} again", package=_PACKAGE),
        )
        said = explain_refusal(what, error, hint=hint, otherwise=tell("it is damaged"))
        problem = Problem("typeface-missing", *said, Location(place))
        raise PocketrefError([problem]) from None


def _measure_typeface(face: FontFace, path: Path) -> Typeface:
    from fontTools.ttLib import TTFont

    with path.open("rb") as stream, TTFont(stream, lazy=True) as font:
        em = font["head"].unitsPerEm
        metrics = font["hmtx"].metrics
        cmap = font.getBestCmap()
        advances = {chr(code): metrics[glyph][0] / em for code, glyph in cmap.items()}
        outlines, starts = font.reader["glyf"], font["loca"]
        reaches: dict[str, tuple[float, float]] = {}
        for code, glyph in cmap.items():
            number = font.getGlyphID(glyph)
            if starts[number] < starts[number + 1]:  # a glyph without ink has no outline
                # Of its header, yMin and yMax; to read all of the outline takes ten times as long.
                low, high = struct.unpack_from(">4xh2xh", outlines, starts[number])
                reaches[chr(code)] = low / em, high / em
        advances.setdefault("\ufffd", metrics[".notdef"][0] / em)
        return Typeface(
            face=face,
            path=path,
            postscript_name=font["name"].getDebugName(6),
            cap_height_em=reaches["H"][1],
            ascent_em=font["hhea"].ascent / em,
            descent_em=-font["hhea"].descent / em,
            fraction_scale=max(1.0, _LEAST_FIGURE * reaches["H"][1] / reaches["₁"][1]),
            _advances_em=advances,
            _reaches_em=reaches,
        )


@lru_cache(maxsize=8192)
def _measure_em(face: FontFace, text: str) -> float:
    """Kept, because the same words are measured at each size that is tried."""
    return typeface(face).measure_em(text)


@lru_cache(maxsize=8192)
def measure_reach_em(face: FontFace, text: str) -> tuple[float, float]:
    """As `Typeface.measure_reach_em`, kept."""
    return typeface(face).measure_reach_em(text)


Run = tuple[str, float, float, str]
"""A piece of a text: characters, points, rise in mm, words."""


def list_languages(text: Text, after: str = "") -> Iterator[tuple[str, list[Run]]]:
    """As `list_runs`, what is in one language together: its tag, "" for that of the element."""
    at = 0
    for start, end, language in text.foreign:
        if start > at:
            yield "", list_runs(replace(text, content=text.content[at:start]))
        is_last = end == len(text.content)
        yield language, list_runs(replace(text, content=text.content[start:end]), after if is_last else "")
        at = end
    if at < len(text.content) or not text.foreign:
        yield "", list_runs(replace(text, content=text.content[at:]) if at else text, after)


def list_runs(text: Text, after: str = "") -> list[Run]:
    """The pieces that a run, and what is set right `after` it, is set in.

    Fractions are one piece each, larger than the rest and lowered by half of what they gain, so that they stand
    about the middle of the figures beside them. Their figures are hardly more than half as high as a digit, and
    of all figures these must not be misread. In words "⅜" after a digit is " 3/8".
    """
    content = text.content + after
    if content.isascii():
        return [(content, text.size_pt, 0.0, content)]
    face = typeface(text.face)
    size_pt = text.size_pt * face.fraction_scale
    rise_mm = -face.fraction_drop_em * text.size_pt * MM_PER_PT
    runs, before = [], ""
    for number, piece in enumerate(FRACTION.split(content)):
        if number % 2:
            words = spell_fractions(before[-1:] + piece).removeprefix(before[-1:]).replace("\u00a0", " ")
            runs.append((piece, size_pt, rise_mm, words))
        elif piece:
            runs.append((piece, text.size_pt, 0.0, piece))
        before = piece
    return runs


def set_text(
    x: float,
    y: float,
    content: str,
    face: FontFace,
    size_pt: float,
    ink: Ink,
    anchor: str = "start",
    angle: float = 0.0,
) -> Text:
    """A measured run of text; see `Text` for the meaning of each value. It is typeset: fractions, apostrophes."""
    content = typeset_figures(content).replace("'", "\u2019")
    width = typeface(face).measure_mm(content, size_pt)
    return Text(x, y, content, face, size_pt, ink, width, anchor, angle)  # type: ignore[arg-type]


def open_slot(slot: Slot, widest: Text) -> Text:
    """A slot with room for the widest text that is set in it, level if it ends at its place."""
    x = widest.x - (widest.width_mm if widest.anchor == "end" else 0.0)
    return replace(widest, x=x, content="", anchor="start", slot=slot)


def fill_slot(slot: Text, content: str) -> Text:
    """What prints where a copy says `content` in the slot."""
    width = typeface(slot.face).measure_mm(content, slot.size_pt)
    return replace(slot, content=content, width_mm=width, slot=None)


def cap_height_mm(face: FontFace, size_pt: float) -> float:
    """Height of a capital H in mm at `size_pt`."""
    return typeface(face).cap_height_em * size_pt * MM_PER_PT
