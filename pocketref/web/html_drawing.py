"""A figure's items as SVG that stands in a page of HTML: text stays text, type and colours come from the page."""

from __future__ import annotations

import re
from collections import Counter
from collections.abc import Sequence
from dataclasses import dataclass
from xml.etree.ElementTree import Element

from svgwrite.container import SVG

from pocketref.output.contents import check_glyphs, texts_in
from pocketref.output.numbers import number
from pocketref.output.svg import draw_items
from pocketref.scene.items import Item
from pocketref.scene.paths import extent_of_all, shift
from pocketref.units.length import MM_PER_PT

LEAST_TYPE_PX = 12.0
"""The size of a drawing's smallest type on a narrow screen, in CSS pixels..."""
MOST_TYPE_PX = 17.0
"""...and on a wide one."""
_WIDEST_PX = 1200.0
_SCREEN_PLACES = 2
"""Decimals of a millimetre: a hundredth is a twentieth of a pixel at the widest."""
_LONG = re.compile(r"-?\d+\.\d{3,}")
_COMMAND = re.compile(r"([A-Za-z])([^A-Za-z]*)")
_COORDINATES = {"d", "x", "y", "transform", "font-size", "viewBox"}
_STYLED = {
    "path": {"stroke": "#000000"},
    "text": {"fill": "#000000", "font-weight": "400"},
}
"""Attributes that page.css gives to those elements of a drawing that have none."""
_MARGIN_MM = 0.5


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
    check_glyphs(placed, name)
    smallest_mm = min((text.size_pt * MM_PER_PT for text in texts_in(items)), default=3.0)
    least, most = (min(width * px / smallest_mm, _WIDEST_PX) for px in (LEAST_TYPE_PX, MOST_TYPE_PX))
    drawing = SVG(
        size=(number(least, 0), number(least * height / width, 0)),
        debug=False,
        viewBox=f"0 0 {number(width)} {number(height)}",
        role="img",
        aria_label=alt,
    )
    draw_items(drawing, placed, height, name)
    return InlineDrawing(_thin(drawing.get_xml()), least, most)


def _thin(svg: Element) -> Element:
    """The drawing with coordinates as fine as a screen shows, without what the page's style says of all drawings."""
    sizes = Counter(element.get("font-size", "") for element in svg.iter("text"))
    usual = number(float(sizes.most_common(1)[0][0]), _SCREEN_PLACES) if sizes else ""
    if usual:
        svg.set("font-size", usual)
    for element in svg.iter():
        for key in _COORDINATES & element.attrib.keys():
            element.set(
                key, _LONG.sub(lambda found: number(float(found[0]), _SCREEN_PLACES), element.get(key, ""))
            )
        if path := element.get("d"):
            element.set("d", _write_short(path))
        if element.tag == "text" and element.get("font-size") == usual:
            del element.attrib["font-size"]
        for key, value in _STYLED.get(element.tag, {}).items():
            if element.get(key) == value:
                del element.attrib[key]
    return svg


def _write_short(path: str) -> str:
    """Path data whose level and upright lines have one coordinate each (H and V of SVG 2, 9.3.4)."""
    written, last = [], ("", "")
    for command, numbers in _COMMAND.findall(path):
        values = numbers.split()
        if command == "L" and len(values) == 2 and last[0]:
            level, upright = values[1] == last[1], values[0] == last[0]
            written.append(f"H{values[0]}" if level else f"V{values[1]}" if upright else f"L{numbers}")
        else:
            written.append(command + numbers)
        last = (values[-2], values[-1]) if len(values) > 1 else ("", "")
    return "".join(written)


def write_width_rule(name: str, drawing: InlineDrawing) -> str:
    """The style rule that keeps the drawing in the figure called `name` between its least and greatest width."""
    least, most = number(drawing.least_px, 0), number(drawing.most_px, 0)
    return f"#{name} svg{{width:clamp({least}px,100%,{most}px)}}"
