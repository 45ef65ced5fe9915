"""Pages as PNG: as large as on paper at twice a screen's pixels, with their words in them."""

from __future__ import annotations

from io import BytesIO

import pytest
from output_samples import BADGE, BALL, document, line, page, paragraph
from PIL import Image

from pocketref.output.pdf import write_pdf
from pocketref.output.picture import draw_picture
from pocketref.pages.page import Element, Page, Role
from pocketref.scene.inks import spot_ink
from pocketref.scene.items import Shape
from pocketref.scene.paths import rectangle

RED = spot_ink("Signal red 1", (0.0, 0.95, 0.85, 0.0), "#c8102e")


def draw(sample: Page) -> Image.Image:
    return Image.open(BytesIO(draw_picture(write_pdf(document(sample)), 0, sample, "Front", "A card")))


def test_a_picture_has_two_pixels_for_each_of_a_screen() -> None:
    """CSS 2.1, 4.3.2: 96 pixels to an inch; ISO/IEC 15948, 11.3.5.3, tells how large they are."""
    picture = draw(page(paragraph(line(5, 5, "x")), width=127, height=76.2))
    assert picture.size == (2 * 5 * 96, 2 * 3 * 96)
    assert picture.info["dpi"] == pytest.approx((192, 192), abs=0.1)


def test_it_says_what_it_shows() -> None:
    figure = Element(Role.FIGURE, BALL.items, alt="A ball – seen from above")
    assert draw(page(figure)).text == {"Title": "Front", "Description": "A ball – seen from above"}
    assert draw(page(paragraph(line(5, 5, "x")))).text["Description"] == "A card"


def test_black_is_black_and_paper_white_in_sixteen_greys() -> None:
    picture = draw(page(paragraph(Shape(rectangle(10, 10, 20, 20), None, BALL.items[0].stroke.ink))))
    assert (picture.mode, len(picture.getpalette("RGB"))) == ("P", 3 * 16)
    told = picture.convert("RGB")
    assert told.getpixel((5, 5)) == (255, 255, 255)
    assert told.getpixel((20 * 192 / 25.4, told.height - 20 * 192 / 25.4)) == (0, 0, 0)


def test_colours_stay() -> None:
    badge = Element(Role.FIGURE, (BADGE,), alt="A badge in colour")
    red = paragraph(Shape(rectangle(10, 10, 20, 20), None, RED))
    for sample in (page(badge), page(red)):
        seen = {colour for _, colour in draw(sample).getcolors(1 << 20)}
        assert any(max(colour) - min(colour) > 50 for colour in seen)
