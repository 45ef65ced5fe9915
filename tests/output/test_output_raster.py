"""Pictures in PDF, SVG and HTML: the same pixels at the same place, each embedded, read back from what was written."""

from __future__ import annotations

import base64
import hashlib
from collections.abc import Callable
from dataclasses import replace
from io import BytesIO
from typing import get_args
from xml.etree.ElementTree import Element as Tree
from xml.etree.ElementTree import fromstring

import pypdfium2
import pytest
from output_samples import document, full_document, line, page, paragraph, simple_document
from picture_samples import badge, badge_jpeg, badge_png, save
from PIL import Image, ImageChops
from pypdf import PdfReader
from pypdf.generic import StreamObject
from second_reader import read_pages

from pocketref.output.contents import items_of
from pocketref.output.pdf import write_pdf
from pocketref.output.reading.readback import read_pdf
from pocketref.output.reading.readback_checks import check_document
from pocketref.output.svg import write_svg
from pocketref.pages.page import Box, Document, Element, Role
from pocketref.scene.items import Item, Placed, Raster, Scene
from pocketref.scene.paths import extent_of, shift
from pocketref.web.html_drawing import draw_inline

PT_PER_MM = 72 / 25.4
ALT = "A badge of changing colours"


def raster(mode: str = "RGB", x: float = 20, y: float = 30) -> Raster:
    """The badge as PNG, 20 mm by 10 mm."""
    return Raster(x, y, 20, 10, badge_png(mode), "png", (240, 120))


def photo(mode: str = "RGB", x: float = 20, y: float = 30) -> Raster:
    """The badge as JPEG."""
    return Raster(x, y, 20, 10, badge_jpeg(mode), "jpeg", (240, 120))


def figure(*items: Item) -> Document:
    return document(page(Element(Role.FIGURE, items, alt=ALT, label="badge")))


def images_of(data: bytes) -> list[StreamObject]:
    """Every image of a file, masks too, in the order of their numbers."""
    reader = PdfReader(BytesIO(data))
    found = [reader.get_object(number) for number in range(1, len(reader.xref[0]) + 1)]
    return [o for o in found if isinstance(o, StreamObject) and o.get("/Subtype") == "/Image"]


def only_image(data: bytes) -> StreamObject:
    """The one picture of a file; its mask does not count."""
    images = images_of(data)
    masks = [image["/SMask"].get_object() for image in images if "/SMask" in image]
    (picture,) = [image for image in images if image not in masks]
    return picture


def samples(image: StreamObject) -> Image.Image:
    """The image as a reader of PDF decodes it."""
    mode = {"/DeviceGray": "L", "/DeviceRGB": "RGB"}[image["/ColorSpace"]]
    return Image.frombytes(mode, (image["/Width"], image["/Height"]), image.get_data())


def is_same(one: Image.Image, other: Image.Image) -> bool:
    return one.size == other.size and ImageChops.difference(one, other).getbbox() is None


# --- every kind of item ----------------------------------------------------------------------------------


def test_the_sample_that_every_writer_is_tested_with_holds_every_kind_of_item() -> None:
    items = [item for sheet in full_document().pages for item in items_of(sheet.elements)]
    assert {type(item) for item in items} == set(get_args(Item))


def test_every_kind_of_item_has_an_extent_and_moves_with_it() -> None:
    for item in (item for sheet in full_document().pages for item in items_of(sheet.elements)):
        (moved,) = shift((item,), 3, -2)
        left, bottom, right, top = extent_of(item)
        assert extent_of(moved) == pytest.approx((left + 3, bottom - 2, right + 3, top - 2))


def test_the_extent_of_a_raster_is_its_rectangle() -> None:
    assert extent_of(raster()) == (20, 30, 40, 40)


# --- PDF -------------------------------------------------------------------------------------------------


@pytest.mark.parametrize(
    ("mode", "space"),
    [("1", "/DeviceGray"), ("L", "/DeviceGray"), ("P", "/DeviceRGB"), ("RGB", "/DeviceRGB")],
)
def test_a_png_prints_its_own_pixels_grey_where_it_is_grey(mode: str, space: str) -> None:
    image = only_image(write_pdf(figure(raster(mode))))
    assert image["/ColorSpace"] == space
    wanted = badge(mode).convert("L" if space == "/DeviceGray" else "RGB")
    assert is_same(samples(image), wanted)
    assert "/SMask" not in image


@pytest.mark.parametrize(("mode", "colours"), [("LA", "L"), ("RGBA", "RGB")])
def test_transparency_is_a_soft_mask_of_its_own(mode: str, colours: str) -> None:
    image = only_image(write_pdf(figure(raster(mode))))
    mask = image["/SMask"].get_object()
    assert mask["/ColorSpace"] == "/DeviceGray"
    assert is_same(samples(image), badge(mode).convert(colours))
    assert is_same(samples(mask), badge(mode).getchannel("A"))


def test_a_palette_with_a_clear_colour_is_clear_there() -> None:
    coarse = badge("P")
    clear = coarse.getpixel((0, 0))
    data = save(coarse, transparency=clear)
    sent = Raster(20, 30, 20, 10, data, "png", (240, 120))
    mask = only_image(write_pdf(figure(sent)))["/SMask"].get_object()
    assert is_same(samples(mask), coarse.point(lambda index: 0 if index == clear else 255, "L"))


def test_a_grey_picture_saved_in_colours_prints_in_black_alone() -> None:
    data = save(badge("L").convert("RGBA"))
    image = only_image(write_pdf(figure(Raster(20, 30, 20, 10, data, "png", (240, 120)))))
    assert image["/ColorSpace"] == "/DeviceGray"
    assert "/SMask" not in image  # opaque everywhere


@pytest.mark.parametrize(("mode", "space"), [("L", "/DeviceGray"), ("RGB", "/DeviceRGB")])
def test_a_jpeg_is_embedded_as_it_is(mode: str, space: str) -> None:
    image = only_image(write_pdf(figure(photo(mode))))
    assert image["/Filter"] == "/DCTDecode"
    assert image["/ColorSpace"] == space
    assert image._data == badge_jpeg(mode)


def test_a_picture_placed_many_times_and_in_scenes_is_embedded_once() -> None:
    emblem = Scene("emblem", 20, 10, (raster(x=0, y=0),))
    front = page(
        Element(
            Role.FIGURE, (raster(), raster(x=50), Placed(emblem, 5, 5), Placed(emblem, 90, 5, 1)), alt=ALT
        )
    )
    back = page(Element(Role.FIGURE, (raster(y=50),), alt=ALT), name="back")
    data = write_pdf(document(front, back))
    assert len(images_of(data)) == 1
    assert [len(found.images) for found in read_pages(data)] == [4, 1]


def test_two_pictures_are_two_images() -> None:
    assert len(images_of(write_pdf(figure(raster(), photo(x=50))))) == 2


def test_a_picture_costs_no_more_in_pdf_than_as_a_file() -> None:
    plain, with_picture = (len(write_pdf(d)) for d in (simple_document(line(5, 5, "x")), figure(raster())))
    assert with_picture - plain < len(badge_png()) + 1500


def test_the_page_shows_the_picture_where_it_was_placed_and_right_way_up() -> None:
    half = Image.new("RGB", (100, 50), "white")
    half.paste((200, 0, 0), (0, 0, 50, 25))  # the upper left quarter
    sent = Raster(20, 30, 40, 20, save(half), "png", (100, 50))
    shown = (
        pypdfium2.PdfDocument(write_pdf(figure(sent)))[0].render(scale=10 / PT_PER_MM).to_pil().convert("RGB")
    )

    def at(x_mm: float, y_mm: float) -> tuple[int, ...]:
        return shown.getpixel((round(x_mm * 10), round((76.2 - y_mm) * 10)))

    assert at(25, 45) == (200, 0, 0)
    assert at(55, 45) == at(25, 35) == at(10, 45) == (255, 255, 255)


def test_the_picture_is_a_figure_with_its_words() -> None:
    reader = PdfReader(BytesIO(write_pdf(figure(raster()))))
    tree = reader.trailer["/Root"]["/StructTreeRoot"]
    node = tree["/K"][0].get_object()["/K"][0].get_object()
    assert (node["/S"], node["/Alt"]) == ("/Figure", ALT)


# --- the same bytes --------------------------------------------------------------------------------------


@pytest.mark.parametrize("make", [raster, photo])
def test_the_same_picture_gives_the_same_bytes(make: Callable[[], Raster]) -> None:
    assert write_pdf(figure(make())) == write_pdf(figure(make()))
    once, again = (write_svg(figure(make()).pages[0], "t", "d") for _ in range(2))
    assert once == again


def test_another_picture_gives_another_identifier() -> None:
    one, other = (PdfReader(BytesIO(write_pdf(figure(raster(mode))))).trailer["/ID"] for mode in ("RGB", "P"))
    assert one != other


# --- read back -------------------------------------------------------------------------------------------


def codes(printed_from: Document, asked: Document | None = None) -> list[str]:
    return [p.code for p in check_document(read_pdf(write_pdf(printed_from)), asked or printed_from, 7)]


def test_a_picture_alone_is_ink() -> None:
    (printed,) = read_pdf(write_pdf(figure(raster()))).pages
    assert printed.has_ink
    assert codes(figure(raster())) == []


@pytest.mark.parametrize("turns", [0, 1, 2, 3])
def test_it_is_read_where_it_stands_through_turned_scenes_and_by_both_readers(turns: int) -> None:
    emblem = Scene("emblem", 30, 20, (raster(x=4, y=3),))
    outer = Scene("outer", 40, 30, (Placed(emblem, 10, 15, turns),))
    data = write_pdf(figure(Placed(outer, 40, 30)))
    (image,) = read_pdf(data).pages[0].images
    x, y, width, height = {
        0: (54, 48, 20, 10),
        1: (50 - 3 - 10, 45 + 4, 10, 20),
        2: (50 - 4 - 20, 45 - 3 - 10, 20, 10),
        3: (50 + 3, 45 - 4 - 20, 10, 20),
    }[turns]
    assert image.extent == pytest.approx((x, y, x + width, y + height), abs=0.01)
    (matrix,) = read_pages(data)[0].images
    a, b, c, d, e, f = (value / PT_PER_MM for value in matrix)
    corners = [(a * u + c * v + e, b * u + d * v + f) for u in (0, 1) for v in (0, 1)]
    assert min(corners) == pytest.approx(image.extent[:2], abs=0.01)
    assert max(corners) == pytest.approx(image.extent[2:], abs=0.01)


def test_a_picture_cut_off_by_the_trim_is_told() -> None:
    over = figure(raster(x=110))
    assert codes(over) == ["drawing-outside-trim"]
    (problem,) = check_document(read_pdf(write_pdf(over)), over, 7)
    assert "an image from (110.0, 30.0) to (130.0, 40.0) mm is 3.00 mm outside the trim" in problem.sentence


def test_a_decoration_may_reach_past_the_trim() -> None:
    sample = page(paragraph(line(20, 30, "words")), Element(Role.DECORATION, (raster(x=110),)))
    assert codes(document(replace(sample, trim=Box(0, 0, 127, 76.2)))) == []


def test_a_picture_that_was_not_printed_is_told() -> None:
    words = paragraph(line(60, 60, "words"))
    asked = document(page(Element(Role.FIGURE, (raster(), photo(x=50)), alt=ALT), words))
    assert codes(document(page(Element(Role.FIGURE, (raster(),), alt=ALT), words)), asked) == [
        "image-missing"
    ]


# --- SVG and HTML ----------------------------------------------------------------------------------------


def find_images(root: Tree) -> list[Tree]:
    return [element for element in root.iter() if element.tag.rpartition("}")[2] == "image"]


def unpack(image: Tree, key: str) -> bytes:
    head, _, content = image.attrib[key].partition(",")
    assert head in ("data:image/png;base64", "data:image/jpeg;base64")
    return base64.b64decode(content, validate=True)


@pytest.mark.parametrize("make", [raster, photo])
def test_svg_carries_the_picture_within_y_down(make: Callable[[], Raster]) -> None:
    sent = make()
    svg = write_svg(page(paragraph(sent), height=60), "t", "d")
    (image,) = find_images(fromstring(svg))
    place = [image.get(key) for key in ("x", "y", "width", "height")]
    assert place == ["20", "20", "20", "10"]
    assert unpack(image, "{http://www.w3.org/1999/xlink}href") == sent.data
    assert f"data:image/{sent.kind};" in svg


def test_html_shows_the_picture_at_its_printed_size_with_its_words() -> None:
    sent = raster("RGBA")
    drawing = draw_inline((sent,), "badge", ALT)
    (image,) = find_images(drawing.svg)
    assert hashlib.sha256(unpack(image, "xlink:href")).digest() == hashlib.sha256(sent.data).digest()
    assert drawing.svg.get("aria-label") == ALT
    assert drawing.least_px == pytest.approx(20 * 96 / 25.4, rel=0.15)
