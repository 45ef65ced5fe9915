"""Writes pages and figures as SVG 1.1: millimetres, y down.

A page's text is drawn as outlines; the words stand over them unseen, to be read, found and copied. A figure within HTML
has real text, in type that its page embeds.
"""

from __future__ import annotations

import base64
import hashlib
import re
from collections.abc import Iterable, Mapping
from functools import lru_cache
from xml.etree.ElementTree import Element as Tree
from xml.etree.ElementTree import tostring

from svgwrite import Drawing
from svgwrite.base import BaseElement
from svgwrite.container import SVG, Group, Use
from svgwrite.image import Image
from svgwrite.path import Path
from svgwrite.text import Text as SvgText
from svgwrite.text import TSpan

from pocketref.output.contents import check_glyphs, figures_in, items_of, outline_blank
from pocketref.output.numbers import PLACES, number
from pocketref.output.svg_fonts import WEIGHT_AND_STYLE
from pocketref.output.svg_outlines import Outlines
from pocketref.pages.page import Page
from pocketref.scene.items import (
    Cap,
    CurveTo,
    FontFace,
    Item,
    LineTo,
    MoveTo,
    Placed,
    Raster,
    Scene,
    Segment,
    Shape,
    Stroke,
    Text,
)
from pocketref.scene.typefaces import list_languages
from pocketref.units.length import MM_PER_PT

# As PDF draws: its mitre limit, no kerning, every space kept. Inherited, so that nothing outside is styled.
_PENS_OF_PDF = {"fill": "none", "stroke-miterlimit": "10"}
_TYPE_OF_PDF = {
    "font-family": "sans-serif",
    "style": (
        "white-space:pre;text-rendering:geometricPrecision;font-kerning:none;font-variant-ligatures:none"
    ),
}
_NOT_XML = re.compile(r"[^\t\n\r\x20-\ud7ff\ue000-\ufffd\U00010000-\U0010ffff]")


def write_svg(page: Page, title: str, subject: str, language: str = "en-US") -> str:
    """The page as an SVG document, one element a line, its text to be read as text.

    `title` names it. It is described by its figures in words, or by `subject` where it has none. `language` is that
    of a page that names none of its own. The same page gives the same text.
    PocketrefError ("glyph-missing") if a character has no glyph.
    """
    items = tuple(items_of(page.elements))
    check_glyphs(items, title)
    prefix = _identify(page.name, title)
    names = f"{prefix}-title", f"{prefix}-desc"
    width, height = number(page.width_mm), number(page.height_mm)
    drawing = Drawing(
        size=(f"{width}mm", f"{height}mm"),
        debug=False,
        viewBox=f"0 0 {width} {height}",
        role="graphics-document document",
        aria_labelledby=names[0],
        aria_describedby=names[1],
    )
    drawing["xml:lang"] = page.language or language
    drawing.elements[:0] = [
        _Words("title", names[0], title),
        _Words("desc", names[1], describe_page(page, subject)),
    ]
    writer = _SvgWriter(drawing, prefix, Outlines(drawing, prefix.rpartition("-")[2]))
    drawing.add(writer.draw_group(items, page.height_mm, {**_PENS_OF_PDF, **_TYPE_OF_PDF}))
    root = drawing.get_xml()
    for element in root.iter():
        if element.tag != "tspan":
            element.tail = "\n"
    return tostring(root, encoding="unicode")


def describe_page(page: Page, subject: str) -> str:
    """What the page's figures show in words, or the `subject` where it has none."""
    return " ".join(figure.alt for figure in figures_in(page) if figure.alt) or subject


def _identify(key: str, title: str) -> str:
    """A prefix for ids that no other drawing on the same HTML page has."""
    slug = re.sub(r"[^a-z0-9]+", "-", key.lower()).strip("-")
    digest = hashlib.sha256(f"{key}\n{title}".encode()).hexdigest()
    return f"{slug or 'drawing'}-{digest[:6]}"


class _Words:
    """A `title` or `desc` with the id that aria-labelledby and aria-describedby ask for; the library's have none."""

    def __init__(self, kind: str, name: str, words: str) -> None:
        self.elementname = kind
        self._tree = Tree(kind, {"id": name})
        self._tree.text = _NOT_XML.sub("\ufffd", words)

    def get_xml(self) -> Tree:
        return self._tree


def draw_items(drawing: SVG, items: Iterable[Item], height: float, prefix: str) -> None:
    """Draw the items, text as text, in a group of the drawing whose y runs down from `height`, mm.

    Scenes that they place are among the definitions, with ids that begin with `prefix`.
    """
    writer = _SvgWriter(drawing, prefix)
    drawing.add(writer.draw_group(items, height, _PENS_OF_PDF))


class _SvgWriter:
    """Draws items into groups; each scene is drawn once, in the definitions, and used where it is placed."""

    def __init__(self, drawing: SVG, prefix: str, outlines: Outlines | None = None) -> None:
        self._drawing = drawing
        self._prefix = prefix
        self._outlines = outlines
        self._scenes: dict[str, tuple[Scene, Group]] = {}

    def draw_group(self, items: Iterable[Item], height: float, attributes: Mapping[str, str]) -> Group:
        """The items in a group whose y runs down from `height`."""
        group = Group(factory=self._drawing, **attributes)
        group.elements = [self._draw_item(item, height) for item in items]
        return group

    def _draw_item(self, item: Item, height: float) -> BaseElement:
        if isinstance(item, Text):
            return self._draw_text(item, height)
        if isinstance(item, Shape):
            return self._draw_shape(item, height)
        if isinstance(item, Placed):
            return self._use_scene(item, height)
        if isinstance(item, Raster):
            return self._draw_raster(item, height)
        return self._draw_shape(outline_blank(item), height)

    def _use_scene(self, placed: Placed, height: float) -> Use:
        place = f"translate({number(placed.x)} {number(height - placed.y)})"
        turn = f" rotate({-90 * placed.quarter_turns})" if placed.quarter_turns else ""
        lift = f" translate(0 {number(-placed.scene.height_mm)})"
        scene = self._define_scene(placed.scene)
        return Use(scene, transform=place + turn + lift, factory=self._drawing)

    def _define_scene(self, scene: Scene) -> Group:
        known = self._scenes.get(scene.key)
        if known is not None:
            if known[0] is not scene and known[0] != scene:
                raise ValueError(f"two different scenes have the key {scene.key!r}")
            return known[1]
        group = self.draw_group(scene.items, scene.height_mm, {})
        group["id"] = f"{self._prefix}-scene-{len(self._scenes) + 1}"
        self._scenes[scene.key] = (scene, group)
        return self._drawing.defs.add(group)

    def _draw_shape(self, shape: Shape, height: float) -> Path:
        path = Path(path_data(shape.path, height), factory=self._drawing)
        if shape.fill is not None:
            path.attribs["fill"] = shape.fill.srgb
        if shape.stroke is not None:
            path.attribs.update(_write_pen(shape.stroke))
        return path

    def _draw_raster(self, raster: Raster, height: float) -> Image:
        """The picture within the drawing, so that it needs no other file; stretched as PDF stretches it."""
        content = base64.b64encode(raster.data).decode("ascii")
        image = Image(
            f"data:image/{raster.kind};base64,{content}",
            insert=(number(raster.x), number(height - raster.y - raster.height_mm)),
            size=(number(raster.width_mm), number(raster.height_mm)),
            factory=self._drawing,
        )
        image.stretch()
        return image

    def _draw_text(self, text: Text, height: float) -> BaseElement:
        if self._outlines is None:
            return self._set_text(text, height, text.ink.srgb)
        drawn = Group(factory=self._drawing)
        drawn.elements = [self._set_text(text, height), *self._outlines.set_text(text, height - text.y)]
        return drawn

    def _set_text(self, text: Text, height: float, ink: str = "none") -> SvgText:
        x, y = number(text.x), number(height - text.y)
        runs = [(language, *run) for language, said in list_languages(text) for run in said]
        is_plain = not runs[0][0] and not runs[0][3]
        run = SvgText(runs.pop(0)[1] if is_plain else "", factory=self._drawing)
        run.attribs.update(_write_type(text.face, text.size_pt, ink, text.anchor), x=x, y=y)
        if text.angle:
            run.attribs["transform"] = f"rotate({number(-text.angle)} {x} {y})"
        before = 0.0
        for language, piece, size_pt, rise, _ in runs:
            span = run.add(TSpan(piece, factory=self._drawing))
            span.attribs |= {"xml:lang": language} if language else {}
            span.attribs.update({"dy": number(before - rise), "font-size": number(size_pt * MM_PER_PT, 4)})
            before = rise
        return run


def path_data(path: Iterable[Segment], height: float, places: int = PLACES) -> str:
    """The path as SVG path data of so many decimals, with y running down from `height`."""
    parts: list[str] = []
    for segment in path:
        if isinstance(segment, LineTo | MoveTo):
            letter = "L" if isinstance(segment, LineTo) else "M"
            parts.append(f"{letter}{number(segment.x, places)} {number(height - segment.y, places)}")
        elif isinstance(segment, CurveTo):
            xs = (segment.x1, segment.x2, segment.x)
            ys = (segment.y1, segment.y2, segment.y)
            pairs = [f"{number(x, places)} {number(height - y, places)}" for x, y in zip(xs, ys, strict=True)]
            parts.append("C" + " ".join(pairs))
        else:
            parts.append("Z")
    return "".join(parts)


@lru_cache(maxsize=256)
def _write_pen(stroke: Stroke) -> dict[str, str]:
    pen = {"stroke": stroke.ink.srgb, "stroke-width": number(stroke.width_mm)}
    if stroke.dash_mm:
        pen["stroke-dasharray"] = " ".join(number(length) for length in stroke.dash_mm)
    if stroke.cap is Cap.ROUND:
        pen["stroke-linecap"] = "round"
    if stroke.is_bevelled:
        pen["stroke-linejoin"] = "bevel"
    return pen


@lru_cache(maxsize=256)
def _write_type(face: FontFace, size_pt: float, ink: str, anchor: str) -> dict[str, str]:
    weight, style = WEIGHT_AND_STYLE[face]
    type_ = {"font-size": number(size_pt * MM_PER_PT, 4), "font-weight": weight, "fill": ink}
    if style != "normal":
        type_["font-style"] = style
    if anchor != "start":
        type_["text-anchor"] = anchor
    return type_
