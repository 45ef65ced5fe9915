"""Writes a page or a scene as SVG 1.1: millimetres, y down, real text in embedded type, words for it."""

from __future__ import annotations

import base64
import hashlib
import re
from collections.abc import Iterable
from functools import lru_cache
from xml.etree.ElementTree import Element, SubElement, tostring

from pocketref.output.contents import characters_in, check_glyphs, items_of, outline_blank
from pocketref.output.numbers import number
from pocketref.output.svg_fonts import FAMILY, WEIGHT_AND_STYLE, font_face_css
from pocketref.pages.page import Page
from pocketref.scene.items import (
    Cap,
    CurveTo,
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
from pocketref.units.length import MM_PER_PT

# As PDF draws: its mitre limit, no kerning, every space kept. Inherited, so that nothing outside is styled.
_DRAWN_AS_PRINTED = {
    "fill": "none",
    "stroke-miterlimit": "10",
    "style": (
        "white-space:pre;text-rendering:geometricPrecision;font-kerning:none;font-variant-ligatures:none"
    ),
}
_NOT_XML = re.compile(r"[^\t\n\r\x20-\ud7ff\ue000-\ufffd\U00010000-\U0010ffff]")


def write_svg(page: Page, *, title: str, description: str, embed_fonts: bool = True) -> str:
    """The page as an SVG document; see `write_scene_svg`."""
    scene = Scene(page.name, page.width_mm, page.height_mm, tuple(items_of(page.elements)))
    return write_scene_svg(scene, title=title, description=description, embed_fonts=embed_fonts)


def write_scene_svg(scene: Scene, *, title: str, description: str, embed_fonts: bool = True) -> str:
    """The scene as an SVG document, one element a line, that also stands inside HTML as it is.

    `title` names it and `description` says what it shows, for who cannot see it. Without `embed_fonts` the
    surrounding page must bring the faces (`font_face_css`). The same scene gives the same text.
    PocketrefError ("glyph-missing") if a character has no glyph.
    """
    root = build_scene_svg(scene, title=title, description=description, embed_fonts=embed_fonts)
    return tostring(root, encoding="unicode")


def build_scene_svg(scene: Scene, *, title: str, description: str, embed_fonts: bool) -> Element:
    """The elements of `write_scene_svg`, their names and those of their attributes as they are to be written."""
    check_glyphs(scene.items, title)
    prefix = _identify(scene.key, title)
    width, height = number(scene.width_mm), number(scene.height_mm)
    root = Element(
        "svg",
        {
            "xmlns": "http://www.w3.org/2000/svg",
            "xmlns:xlink": "http://www.w3.org/1999/xlink",
            "version": "1.1",
            "width": f"{width}mm",
            "height": f"{height}mm",
            "viewBox": f"0 0 {width} {height}",
            "role": "img",
            "aria-labelledby": f"{prefix}-title {prefix}-desc",
        },
    )
    SubElement(root, "title", {"id": f"{prefix}-title"}).text = _NOT_XML.sub("\ufffd", title)
    SubElement(root, "desc", {"id": f"{prefix}-desc"}).text = _NOT_XML.sub("\ufffd", description)
    definitions = SubElement(root, "defs")
    if embed_fonts:
        SubElement(definitions, "style").text = font_face_css(characters_in(scene.items))
    writer = _SvgWriter(prefix, definitions)
    root.append(writer.draw_group(scene.items, scene.height_mm, _DRAWN_AS_PRINTED))
    for element in root.iter():
        element.tail = "\n"
    return root


def _identify(key: str, title: str) -> str:
    """A prefix for ids that no other drawing on the same HTML page has."""
    slug = re.sub(r"[^a-z0-9]+", "-", key.lower()).strip("-")
    digest = hashlib.sha256(f"{key}\n{title}".encode()).hexdigest()
    return f"{slug or 'drawing'}-{digest[:6]}"


class _SvgWriter:
    """Draws items into groups; each scene is drawn once, in the definitions, and used where it is placed."""

    def __init__(self, prefix: str, definitions: Element) -> None:
        self._prefix = prefix
        self._definitions = definitions
        self._scenes: dict[str, tuple[Scene, str]] = {}

    def draw_group(self, items: Iterable[Item], height: float, attributes: dict[str, str]) -> Element:
        """The items in a group whose y runs down from `height`."""
        group = Element("g", attributes)
        group.text = "\n"
        group.extend([self._draw_item(item, height) for item in items])
        return group

    def _draw_item(self, item: Item, height: float) -> Element:
        if isinstance(item, Text):
            return _draw_text(item, height)
        if isinstance(item, Shape):
            return _draw_shape(item, height)
        if isinstance(item, Placed):
            return self._use_scene(item, height)
        if isinstance(item, Raster):
            return _draw_raster(item, height)
        return _draw_shape(outline_blank(item), height)

    def _use_scene(self, placed: Placed, height: float) -> Element:
        name = self._define_scene(placed.scene)
        place = f"translate({number(placed.x)} {number(height - placed.y)})"
        turn = f" rotate({-90 * placed.quarter_turns})" if placed.quarter_turns else ""
        lift = f" translate(0 {number(-placed.scene.height_mm)})"
        return Element("use", {"xlink:href": f"#{name}", "transform": place + turn + lift})

    def _define_scene(self, scene: Scene) -> str:
        known = self._scenes.get(scene.key)
        if known is not None:
            if known[0] is not scene and known[0] != scene:
                raise ValueError(f"two different scenes have the key {scene.key!r}")
            return known[1]
        name = f"{self._prefix}-scene-{len(self._scenes) + 1}"
        self._scenes[scene.key] = (scene, name)
        self._definitions.append(self.draw_group(scene.items, scene.height_mm, {"id": name}))
        return name


def _draw_shape(shape: Shape, height: float) -> Element:
    attributes = {"d": path_data(shape.path, height)}
    if shape.fill is not None:
        attributes["fill"] = shape.fill.srgb
    if shape.stroke is not None:
        attributes.update(_describe_pen(shape.stroke))
    return Element("path", attributes)


def path_data(path: Iterable[Segment], height: float) -> str:
    """The path as SVG path data, with y running down from `height`."""
    parts: list[str] = []
    for segment in path:
        if isinstance(segment, LineTo):
            parts.append(f"L{number(segment.x)} {number(height - segment.y)}")
        elif isinstance(segment, MoveTo):
            parts.append(f"M{number(segment.x)} {number(height - segment.y)}")
        elif isinstance(segment, CurveTo):
            xs = (segment.x1, segment.x2, segment.x)
            ys = (segment.y1, segment.y2, segment.y)
            pairs = [f"{number(x)} {number(height - y)}" for x, y in zip(xs, ys, strict=True)]
            parts.append("C" + " ".join(pairs))
        else:
            parts.append("Z")
    return "".join(parts)


@lru_cache(maxsize=256)
def _describe_pen(stroke: Stroke) -> dict[str, str]:
    pen = {"stroke": stroke.ink.srgb, "stroke-width": number(stroke.width_mm)}
    if stroke.dash_mm:
        pen["stroke-dasharray"] = " ".join(number(length) for length in stroke.dash_mm)
    if stroke.cap is Cap.ROUND:
        pen["stroke-linecap"] = "round"
    return pen


def _draw_raster(raster: Raster, height: float) -> Element:
    """The picture within the drawing, so that it needs no other file; stretched as PDF stretches it."""
    content = base64.b64encode(raster.data).decode("ascii")
    return Element(
        "image",
        {
            "x": number(raster.x),
            "y": number(height - raster.y - raster.height_mm),
            "width": number(raster.width_mm),
            "height": number(raster.height_mm),
            "preserveAspectRatio": "none",
            "xlink:href": f"data:image/{raster.kind};base64,{content}",
        },
    )


def _draw_text(text: Text, height: float) -> Element:
    x, y = number(text.x), number(height - text.y)
    weight, style = WEIGHT_AND_STYLE[text.face]
    attributes = {
        "x": x,
        "y": y,
        "font-family": f"{FAMILY}, sans-serif",
        "font-size": number(text.size_pt * MM_PER_PT, 4),
        "font-weight": weight,
        "fill": text.ink.srgb,
    }
    if style != "normal":
        attributes["font-style"] = style
    if text.anchor != "start":
        attributes["text-anchor"] = text.anchor
    if text.angle:
        attributes["transform"] = f"rotate({number(-text.angle)} {x} {y})"
    element = Element("text", attributes)
    element.text = text.content
    return element
