"""What a document holds, in drawing order: texts, rasters, blanks, scenes; and whether it can be set in type."""

from __future__ import annotations

from collections.abc import Iterable, Iterator

from pocketref.pages.page import Element, Page, Role
from pocketref.problems import PocketrefError, Problem
from pocketref.scene.inks import BLACK
from pocketref.scene.items import FontFace, FormField, Ink, Item, Placed, Raster, Shape, Stroke, Text
from pocketref.scene.paths import rectangle
from pocketref.scene.typefaces import typeface
from pocketref.units.notation import spell_fractions
from pocketref.words.terminal import tell

# The outline of a blank on paper and screen: a thin line of ISO 128-2, inside the field's own edge.
_BLANK_RULE_MM = 0.18


def items_of(elements: Iterable[Element]) -> Iterator[Item]:
    """Every item in drawing order: an element's own, then its children's. Scenes count as one item."""
    for element in elements:
        yield from element.items
        yield from items_of(element.children)


def texts_in(items: Iterable[Item]) -> Iterator[Text]:
    """Every text in drawing order, those inside placed scenes each time the scene is placed."""
    for item in items:
        if isinstance(item, Text):
            yield item
        elif isinstance(item, Placed):
            yield from texts_in(item.scene.items)


def inks_in(items: Iterable[Item]) -> Iterator[Ink]:
    """As `texts_in`, for the inks of texts and shapes."""
    for item in items:
        if isinstance(item, Text):
            yield item.ink
        elif isinstance(item, Shape):
            yield from (ink for ink in (item.fill, item.stroke.ink if item.stroke else None) if ink)
        elif isinstance(item, Placed):
            yield from inks_in(item.scene.items)


def rasters_in(items: Iterable[Item]) -> Iterator[Raster]:
    """As `texts_in`, for rasters."""
    for item in items:
        if isinstance(item, Raster):
            yield item
        elif isinstance(item, Placed):
            yield from rasters_in(item.scene.items)


def characters_in(items: Iterable[Item]) -> dict[FontFace, set[str]]:
    """The characters each face is asked to set; a scene placed many times is looked at once."""
    used: dict[FontFace, set[str]] = {}
    _collect_characters(items, used, set())
    return used


def _collect_characters(items: Iterable[Item], used: dict[FontFace, set[str]], seen: set[str]) -> None:
    for item in items:
        if isinstance(item, Text):
            used.setdefault(item.face, set()).update(item.content)
        elif isinstance(item, Placed) and item.scene.key not in seen:
            seen.add(item.scene.key)
            _collect_characters(item.scene.items, used, seen)


def outline_blank(blank: FormField) -> Shape:
    """The empty box that a blank is on paper and in SVG; its line stays inside the field."""
    half = _BLANK_RULE_MM / 2
    box = rectangle(blank.x + half, blank.y + half, blank.width_mm - 2 * half, blank.height_mm - 2 * half)
    return Shape(box, stroke=Stroke(_BLANK_RULE_MM, BLACK))


def check_glyphs(items: Iterable[Item], where: str) -> None:
    """Raise PocketrefError with one "glyph-missing" problem a character that its face cannot set.

    `where` names the page or drawing. A writer that went on would print an empty box in silence.
    """
    items = tuple(items)
    problems = []
    for face, characters in characters_in(items).items():
        for character in typeface(face).missing("".join(sorted(characters))):
            text = next(t for t in texts_in(items) if t.face is face and character in t.content)
            problems.append(_write_missing(character, text, where))
    if problems:
        raise PocketrefError(problems)


def _write_missing(character: str, text: Text, where: str) -> Problem:
    shown = f"U+{ord(character):04X}" + (f" '{character}'" if character.isprintable() else "")
    sentence = tell(
        "{where}: the {face} face has no glyph for {character} in {content!r}",
        where=where,
        face=text.face,
        character=shown,
        content=text.content,
    )
    return Problem("glyph-missing", sentence, tell("write it with another character"))


def check_page_glyphs(pages: Iterable[Page]) -> None:
    """As `check_glyphs`, over all pages, so that every missing character is reported at once."""
    problems: list[Problem] = []
    for page in pages:
        try:
            check_glyphs(items_of(page.elements), page.name)
        except PocketrefError as error:
            problems += error.problems
    if problems:
        raise PocketrefError(problems)


def elements_in(page: Page) -> Iterator[Element]:
    """The elements of a page in reading order, down to what is read as one."""
    waiting = list(reversed(page.elements))
    while waiting:
        element = waiting.pop()
        yield element
        if element.role is not Role.FIGURE:
            waiting += reversed(element.children)


def figures_in(page: Page) -> Iterator[Element]:
    """The figures of a page in reading order."""
    return (element for element in elements_in(page) if element.role is Role.FIGURE)


_LEVELS = (Role.TITLE, Role.HEADING)


def list_headings(page: Page) -> Iterator[tuple[int, str]]:
    """The headings of a page in reading order: how deep each is, from 0 for a title, and its words."""
    for element in elements_in(page):
        if element.role in _LEVELS:
            words = " ".join(spell_fractions(text.content) for text in texts_in(items_of([element])))
            yield _LEVELS.index(element.role), " ".join(words.split())
