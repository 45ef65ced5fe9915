"""What a press needs around a page: crop marks, register marks, and a single card with bleed and slug."""

from __future__ import annotations

from collections.abc import Iterable
from dataclasses import replace

from pocketref.pages.page import Box, Document, Element, Page, Role
from pocketref.scene.inks import BLACK
from pocketref.scene.items import Item, Shape, Stroke
from pocketref.scene.paths import circle, polyline, shift
from pocketref.units.length import MM_PER_PT

MARK_PEN = Stroke(0.25 * MM_PER_PT, BLACK)
"""A quarter of a point: thin enough to cut on, thick enough to see (common practice, from memory)."""
MARK_OFFSET_MM = 3.175
"""1/8 in between the trim and the start of a crop mark: the least that print shops ask for."""
MARK_LENGTH_MM = 6.35
"""A crop mark is about 1/4 in long (common practice, from memory)."""
REGISTER_REACH_MM = 2.0
"""How far the arms of a register mark reach from its middle."""

_LEAST_SLUG_MM = 1.0  # a shorter crop mark shows no direction


def mark_offset_mm(bleed_mm: float) -> float:
    """Where a crop mark starts, from the trim: outside the bleed and at least 1/8 in away."""
    return max(MARK_OFFSET_MM, bleed_mm)


def draw_crop_marks(
    box: Box, xs: Iterable[float], ys: Iterable[float], offset_mm: float, lengths_mm: tuple[float, ...]
) -> tuple[Shape, ...]:
    """Marks around `box` that point along the cuts at each of `xs` and `ys`.

    They start `offset_mm` outside the box; `lengths_mm` are those at the left, bottom, right and top, and a
    length of 0 leaves a side out.
    """
    left, bottom, right, top = lengths_mm
    marks: list[Shape] = []
    for x in xs:
        marks += _draw_line((x, box.top + offset_mm), (x, box.top + offset_mm + top))
        marks += _draw_line((x, box.y - offset_mm), (x, box.y - offset_mm - bottom))
    for y in ys:
        marks += _draw_line((box.x - offset_mm, y), (box.x - offset_mm - left, y))
        marks += _draw_line((box.right + offset_mm, y), (box.right + offset_mm + right, y))
    return tuple(marks)


def _draw_line(start: tuple[float, float], end: tuple[float, float]) -> list[Shape]:
    return [] if start == end else [Shape(polyline([start, end]), stroke=MARK_PEN)]


def draw_register_mark(x: float, y: float) -> tuple[Shape, ...]:
    """A circle with a cross about (x, y): held to the light, those of both sides must lie on each other."""
    reach = REGISTER_REACH_MM
    return (
        Shape(circle(x, y, 0.6 * reach), stroke=MARK_PEN),
        Shape(polyline([(x - reach, y), (x + reach, y)]), stroke=MARK_PEN),
        Shape(polyline([(x, y - reach), (x, y + reach)]), stroke=MARK_PEN),
    )


def make_press_document(document: Document, bleed_mm: float, slug_mm: float) -> Document:
    """The document with `slug_mm` around each page for marks, and TrimBox and BleedBox set.

    `slug_mm` counts from the trim, so it holds the bleed too: the media is the trim and twice the slug. The
    pages' own content is moved, not changed; nothing is drawn into the bleed. ValueError if the slug has no
    room for marks outside the bleed.
    """
    if bleed_mm < 0 or slug_mm < mark_offset_mm(bleed_mm) + _LEAST_SLUG_MM:
        raise ValueError(f"a slug of {slug_mm:g} mm has no room for marks outside {bleed_mm:g} mm of bleed")
    return replace(document, pages=tuple(_add_slug(page, bleed_mm, slug_mm) for page in document.pages))


def _add_slug(page: Page, bleed_mm: float, slug_mm: float) -> Page:
    trim = Box(slug_mm, slug_mm, page.width_mm, page.height_mm)
    marks = Element(Role.DECORATION, _draw_slug_marks(trim, bleed_mm, slug_mm), label="press marks")
    safe = page.safe
    return replace(
        page,
        width_mm=page.width_mm + 2 * slug_mm,
        height_mm=page.height_mm + 2 * slug_mm,
        elements=(*(shift_element(element, slug_mm, slug_mm) for element in page.elements), marks),
        safe=Box(safe.x + slug_mm, safe.y + slug_mm, safe.width_mm, safe.height_mm),
        trim=trim,
        bleed=trim.inset(-bleed_mm),
    )


def _draw_slug_marks(trim: Box, bleed_mm: float, slug_mm: float) -> tuple[Item, ...]:
    offset = mark_offset_mm(bleed_mm)
    length = min(MARK_LENGTH_MM, slug_mm - offset)
    marks: list[Item] = [
        *draw_crop_marks(trim, (trim.x, trim.right), (trim.y, trim.top), offset, (length,) * 4)
    ]
    away = offset + REGISTER_REACH_MM
    if away + REGISTER_REACH_MM <= slug_mm:
        middle_x, middle_y = trim.x + trim.width_mm / 2, trim.y + trim.height_mm / 2
        for x, y in (
            (trim.x - away, middle_y),
            (trim.right + away, middle_y),
            (middle_x, trim.y - away),
            (middle_x, trim.top + away),
        ):
            marks += draw_register_mark(x, y)
    return tuple(marks)


def shift_element(element: Element, dx: float, dy: float) -> Element:
    """The element with everything in it moved by (dx, dy) mm."""
    children = tuple(shift_element(child, dx, dy) for child in element.children)
    return replace(element, items=shift(element.items, dx, dy), children=children)
