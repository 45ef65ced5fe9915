"""A figure's items as SVG that stands in a page of HTML: text stays text, type and colours come from the page."""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass
from xml.etree.ElementTree import Element

from pocketref.output.contents import texts_in
from pocketref.output.numbers import number
from pocketref.output.svg import build_scene_svg
from pocketref.scene.items import Item, Scene
from pocketref.scene.paths import extent_of_all, shift
from pocketref.units.length import MM_PER_PT

LEAST_TYPE_PX = 12.0
"""The size of a drawing's smallest type on a narrow screen, in CSS pixels..."""
MOST_TYPE_PX = 17.0
"""...and on a wide one."""
_WIDEST_PX = 1200.0
_MARGIN_MM = 0.5
# What the page's style sheet says once for all drawings; a style attribute would be refused by its policy.
_SAID_ONCE = ("style", "font-family")


@dataclass(frozen=True, slots=True)
class InlineDrawing:
    """A drawing's element, and the least and the greatest width at which it is shown, in CSS pixels."""

    svg: Element
    least_px: float
    most_px: float


def draw_inline(items: Sequence[Item], name: str, alt: str) -> InlineDrawing:
    """The items cropped to their extent, shown large enough that the smallest type can be read.

    `name` is unique among the page's drawings; `alt` is the drawing in words.
    """
    left, bottom, right, top = extent_of_all(items)
    width, height = right - left + 2 * _MARGIN_MM, top - bottom + 2 * _MARGIN_MM
    placed = shift(items, _MARGIN_MM - left, _MARGIN_MM - bottom)
    scene = Scene(name, width, height, placed)
    root = build_scene_svg(scene, title=name, description="", embed_fonts=False)
    for words in ("title", "desc"):
        root.remove(root.find(words))  # type: ignore[arg-type]  # the writer always gives both
    for element in root.iter():
        _adapt(element)
    definitions = root.find("defs")
    if definitions is not None and not len(definitions):
        root.remove(definitions)
    for key in ("xmlns", "xmlns:xlink", "version", "aria-labelledby"):
        root.attrib.pop(key)
    smallest_mm = min((text.size_pt * MM_PER_PT for text in texts_in(items)), default=3.0)
    least, most = (min(width * px / smallest_mm, _WIDEST_PX) for px in (LEAST_TYPE_PX, MOST_TYPE_PX))
    root.set("width", number(least, 0))
    root.set("height", number(least * height / width, 0))
    root.set("aria-label", alt)
    return InlineDrawing(root, least, most)


def write_width_rule(name: str, drawing: InlineDrawing) -> str:
    """The style rule that keeps the drawing in the figure called `name` between its least and greatest width."""
    least, most = number(drawing.least_px, 0), number(drawing.most_px, 0)
    return f"#{name} svg{{width:clamp({least}px,100%,{most}px)}}"


def _adapt(element: Element) -> None:
    """Attributes without their XML namespace, as HTML has them; without what the style sheet says."""
    for key in _SAID_ONCE:
        element.attrib.pop(key, None)
    if link := element.attrib.pop("xlink:href", None):
        element.set("href", link)
