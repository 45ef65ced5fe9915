"""A figure's items as SVG that stands in a page of HTML: text stays text, type and colours come from the page."""

from __future__ import annotations

import re
from collections import Counter
from collections.abc import Sequence
from dataclasses import dataclass
from xml.etree.ElementTree import Element

from shapely import LineString
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
_UNSEEN_MM = 0.03
_OUTLINE = re.compile(r"M[^A-Z]+(?:L[^A-Z]+){12,}")
_LONG = re.compile(r"-?\d+\.\d{3,}")
_COMMAND = re.compile(r"([A-Za-z])([^A-Za-z]*)")
_COORDINATES = {"d", "x", "y", "transform", "font-size", "viewBox"}
_PAINT = {"fill", "stroke"}
_PAIRS = re.compile(r"^#(.)\1(.)\2(.)\3$")
"""A colour of three digits, each said twice (CSS Color 4, 5.2)."""
_STYLED = {
    "path": {"stroke": "#000"},
    "text": {"fill": "#000", "font-weight": "400"},
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
    """The drawing with coordinates as fine as a screen shows, without what the page's style says of all drawings.

    What most of its texts and lines share is said once, of the whole.
    """
    for element in svg.iter():
        for key in _COORDINATES & element.attrib.keys():
            element.set(
                key, _LONG.sub(lambda found: number(float(found[0]), _SCREEN_PLACES), element.get(key, ""))
            )
        _thin_look(element)
    for parent in list(svg.iter()):
        _join_lines(parent)
        for empty in [child for child in parent if child.tag == "defs" and not len(child)]:
            parent.remove(empty)
    texts = list(svg.iter("text"))
    lines = [path for path in svg.iter("path") if not {"fill", "stroke"} & path.attrib.keys()]
    for elements, key in ((texts, "font-size"), (lines, "stroke-width")):
        usual = Counter(element.get(key, "") for element in elements).most_common(1)
        if usual:
            svg.set(key, usual[0][0])
        for element in elements:
            if element.get(key) == svg.get(key):
                del element.attrib[key]
    return svg


def _join_lines(parent: Element) -> None:
    """Lines that look alike and follow one another as one path. What is filled stays apart, lest two areas cancel."""
    before: Element | None = None
    for element in list(parent):
        look = {key: value for key, value in element.attrib.items() if key != "d"}
        if element.tag != "path" or "fill" in look:
            before = None
        elif before is not None and look == {
            key: value for key, value in before.attrib.items() if key != "d"
        }:
            before.set("d", before.get("d", "") + element.get("d", ""))
            parent.remove(element)
        else:
            before = element


def _thin_look(element: Element) -> None:
    """An element's outline and colours in few characters, and those left out that the page's style gives."""
    if path := element.get("d"):
        element.set("d", write_short(_simplify(path)))
    for key in _PAINT & element.attrib.keys():
        element.set(key, _PAIRS.sub(r"#\1\2\3", element.get(key, "")))
    for key, value in _STYLED.get(element.tag, {}).items():
        if element.get(key) == value:
            del element.attrib[key]


def _simplify(path: str) -> str:
    """Path data whose long runs of lines, as of a sole's outline, keep the points alone that a screen tells apart."""

    def thin(found: re.Match[str]) -> str:
        points = [tuple(map(float, point.split())) for point in found[0][1:].split("L")]
        kept = LineString(points).simplify(_UNSEEN_MM).coords
        return found[0][0] + "L".join(f"{number(x)} {number(y)}" for x, y in kept)

    return _OUTLINE.sub(thin, path)


def write_short(path: str) -> str:
    """Path data in steps of hundredths, no letter said twice and no space that nothing needs (SVG 2, 9.3)."""
    written: list[str] = []
    here, start, said = [0, 0], [0, 0], ""
    for command, numbers in _COMMAND.findall(path):
        ends = [round(float(value) * 100) for value in numbers.split()]
        steps = ends if command == "M" else [end - here[i % 2] for i, end in enumerate(ends)]
        letter = command if command in "MZ" else command.lower()
        if command == "L" and 0 in steps:
            letter, steps = ("h", steps[:1]) if steps[1] == 0 else ("v", steps[1:])
        if letter != said or letter in "MZ":
            written.append(letter)
        for step in steps:
            text = re.sub(r"^(-?)0\.", r"\1.", number(step / 100, _SCREEN_PLACES))
            before = written[-1]
            parted = before.isalpha() or text[0] == "-" or (text[0] == "." and "." in before)
            written.append(text if parted else f" {text}")
        here = ends[-2:] or start
        start, said = (here if command == "M" else start), letter
    return "".join(written)


def write_width_rule(name: str, drawing: InlineDrawing) -> str:
    """The style rule that keeps the drawing in the figure called `name` between its least and greatest width."""
    least, most = number(drawing.least_px, 0), number(drawing.most_px, 0)
    return f"#{name} svg{{width:clamp({least}px,100%,{most}px)}}"
