"""Text as outlines in SVG: each glyph once, in the definitions, and used where a run sets it.

Office programs, mail and most renderers pay no heed to embedded type; outlines they all draw alike. The digits of
an edition's digest are glyphs of their own, so that others can be set in their place (`pocketref/source/digest.py`).
"""

from __future__ import annotations

import re
from collections.abc import Iterator
from dataclasses import dataclass
from functools import cache
from typing import Any
from xml.etree.ElementTree import Element, SubElement

from svgwrite.container import SVG
from svgwrite.path import Path

from pocketref.output.numbers import number
from pocketref.scene.items import FontFace, Text
from pocketref.scene.typefaces import list_runs, typeface
from pocketref.source.digest import FIELD, OUTLINED
from pocketref.units.length import MM_PER_PT

_SHARE = {"start": 0.0, "middle": 0.5, "end": 1.0}
_PLACES = 7  # the share of a unit of the font, of which a line has tens of thousands
_PIECES = re.compile(f"({FIELD})")


@dataclass(frozen=True, slots=True)
class _Run:
    """A run's glyphs, each by its id and how far along the line it stands, under one colour and scale."""

    attributes: dict[str, str]
    glyphs: tuple[tuple[str, int], ...]
    elementname = "g"

    def get_xml(self) -> Element:
        group = Element("g", self.attributes)
        for name, at in self.glyphs:
            SubElement(group, "use", {"xlink:href": f"#{name}", "x": f"{at}"})
        return group


class Outlines:
    """The glyphs of one drawing, whose ids begin with `prefix`."""

    def __init__(self, drawing: SVG, prefix: str) -> None:
        self._drawing, self._prefix = drawing, prefix
        self._known: dict[tuple[FontFace, str], str] = {}

    def set_text(self, text: Text, y: float) -> Iterator[_Run]:
        """The run's pieces as groups of glyphs; `y` is its baseline, down from the top."""
        turn = f"rotate({number(-text.angle)} {number(text.x)} {number(y)}) " if text.angle else ""
        x = text.x - _SHARE[text.anchor] * text.width_mm
        for piece, size_pt, rise, _ in list_runs(text):
            scale = size_pt * MM_PER_PT / _open_glyphs(text.face)[2]
            place = f"translate({number(x)} {number(y - rise)})"
            size = f"scale({number(scale, _PLACES)} {number(-scale, _PLACES)})"
            glyphs, at = [], 0
            for part in _PIECES.split(piece):
                for character in part:
                    advance, outline = read_glyph(text.face, character)
                    if outline:
                        glyphs.append((self._name(text.face, character, is_digest=part == FIELD), at))
                    at += advance
            yield _Run({"fill": text.ink.srgb, "transform": f"{turn}{place} {size}"}, tuple(glyphs))
            x += at * scale

    def _name(self, face: FontFace, character: str, *, is_digest: bool) -> str:
        """The id of a glyph, defined on first use; those of a digest's digits all at once."""
        if is_digest:
            for digit in "0123456789":
                self._define(face, digit, f"{self._prefix}{OUTLINED}{digit}", f"digest {digit}")
            character = f"digest {character}"
        elif (face, character) not in self._known:
            self._define(face, character, f"{self._prefix}-{len(self._known)}", character)
        return self._known[face, character]

    def _define(self, face: FontFace, character: str, name: str, key: str) -> None:
        if (face, key) not in self._known:
            self._known[face, key] = name
            glyph = Path(read_glyph(face, character)[1], factory=self._drawing)
            glyph["id"] = name
            self._drawing.defs.add(glyph)


@cache
def read_glyph(face: FontFace, character: str) -> tuple[int, str]:
    """The advance width in units of the font, and the outline as SVG path data with y up; "" if it has none."""
    from fontTools.pens.svgPathPen import SVGPathPen

    glyphs, names, _ = _open_glyphs(face)
    glyph = glyphs[names[ord(character)]]
    pen = SVGPathPen(glyphs)
    glyph.draw(pen)
    return round(glyph.width), pen.getCommands()


@cache
def _open_glyphs(face: FontFace) -> tuple[Any, dict[int, str], int]:
    """The face's glyphs, their names by code, and the units of an em."""
    from fontTools.ttLib import TTFont  # deferred: slow to import

    font = TTFont(typeface(face).path, lazy=True)
    return font.getGlyphSet(), font.getBestCmap(), font["head"].unitsPerEm
