"""Small pages that hold every kind of item and every role, for the tests of writing and reading back."""

from __future__ import annotations

from dataclasses import replace

from picture_samples import badge_png

from pocketref.pages.page import Box, Document, Element, Page, Role
from pocketref.scene.inks import BLACK, GREY_MID, GREY_PALE, WHITE
from pocketref.scene.items import (
    Cap,
    FontFace,
    FormField,
    Ink,
    Item,
    Placed,
    Raster,
    Scene,
    Shape,
    Stroke,
    Text,
)
from pocketref.scene.paths import circle, polyline, rectangle
from pocketref.scene.typefaces import set_text

ORANGE = Ink("safety orange", (0.0, 0.5, 1.0, 0.0), "#ff8000")
PEN = Stroke(0.25, BLACK)

BALL = Scene(
    "ball",
    30,
    20,
    (
        Shape(rectangle(0, 0, 30, 20), stroke=PEN),
        Shape(circle(10, 12, 5), stroke=Stroke(0.2, BLACK, (1.0, 0.5), Cap.ROUND), fill=ORANGE),
        set_text(15, 2, "a ball, seen from above", FontFace.REGULAR, 7, BLACK, "middle"),
    ),
)
PAIR = Scene(
    "pair",
    64,
    32,
    (Placed(BALL, 0, 0), Placed(BALL, 60, 0, 1), set_text(1, 28, "a pair", FontFace.BOLD, 9, BLACK)),
)


def line(x: float, y: float, content: str, face: FontFace = FontFace.REGULAR, size_pt: float = 8) -> Text:
    return set_text(x, y, content, face, size_pt, BLACK)


def paragraph(*items: Item) -> Element:
    return Element(Role.PARAGRAPH, items)


def page(*elements: Element, width: float = 127.0, height: float = 76.2, name: str = "front") -> Page:
    return Page(name, width, height, elements, Box(3, 3, width - 6, height - 6))


def document(*pages: Page, title: str = "Contact with the ball") -> Document:
    return Document(title, "Who is out, and when", "Larkmoor State Umpires Association", pages)


def simple_document(*items: Item) -> Document:
    """One page with one paragraph."""
    return document(page(paragraph(*items)))


def with_elements(sample: Document, *elements: Element) -> Document:
    """The document with more elements on its first page."""
    first = sample.pages[0]
    return replace(sample, pages=(replace(first, elements=first.elements + elements), *sample.pages[1:]))


BADGE = Raster(20, 42, 16, 8, badge_png("RGBA"), "png", (240, 120))
FIELD = FormField(70, 30, 24, 7, "reading-1", "Apex to second base, as measured", 9.5)
TICK = FormField(100, 30, 5, 5, "checked", "Checked by two people", kind="checkbox")

LIST = Element(
    Role.LIST,
    (Shape(rectangle(70, 58, 50, 0.4), fill=GREY_MID),),
    (
        Element(Role.LIST_ITEM, (line(70, 54, "Ball dead at once"),)),
        Element(
            Role.LIST_ITEM, (line(70, 50, "Runners return"), line(72, 46.5, "to the base held at the pitch"))
        ),
    ),
)
TABLE = Element(
    Role.TABLE,
    (Shape(polyline([(70, 42), (120, 42)]), stroke=PEN),),
    (
        Element(
            Role.TABLE_ROW,
            (),
            (
                Element(Role.TABLE_HEADER, (line(70, 43, "Foot", FontFace.BOLD),), scope="Column"),
                Element(Role.TABLE_CELL, (line(90, 43, "outside (wholly)"),)),
            ),
        ),
    ),
)


def full_document() -> Document:
    """Two sides with every role, every kind of item, nested and turned scenes, and fields to type into."""
    front = replace(
        page(
            Element(Role.DECORATION, (Shape(rectangle(-3, 68, 133, 12), fill=GREY_PALE),)),
            Element(Role.TITLE, (line(5, 64, "Out of the box – 7′ 2 ½″", FontFace.BOLD, 14),)),
            Element(Role.HEADING, (line(70, 60, "What to call", FontFace.MEDIUM, 10),)),
            Element(
                Role.FIGURE,
                (Placed(PAIR, 4, 24), BADGE),
                alt="Two balls (one turned) & a label",
                label="balls",
            ),
            LIST,
            TABLE,
            Element(
                Role.SECTION,
                (line(5, 16, "Lengths in feet"),),
                (paragraph(FIELD, TICK, line(70, 38.5, "As read")),),
            ),
            paragraph(set_text(122, 22, "HS 7-3-1", FontFace.ITALIC, 7, BLACK, "middle", 90)),
        ),
        width_mm=127,
        trim=Box(0, 0, 127, 76.2),
    )
    back = page(
        paragraph(line(5, 60, "Say “Time!” (at once) \\ point"), Shape(circle(60, 40, 5), fill=WHITE)),
        name="back",
    )
    return replace(document(front, back), duplex="long", keywords=("umpire", "card"))
