"""Written files against published sizes and against what a rasteriser and another parser make of them.

Sources, beside each check: ISO 32000-1:2008 (PDF 1.7), 8.3.2.3: default user space is 1/72 in, and 14.11.2: page
boundaries. ANSI/ASME Y14.1 size A, "Letter": 8.5 by 11 in. Index card: 3 by 5 in, the trade size (from memory).
1 in = 25.4 mm exactly (international yard and pound agreement, 1959). CSS Values and Units 3, 6.2: 1 pt is 1/72 in.
"""

from __future__ import annotations

import ctypes
from io import BytesIO
from xml.etree import ElementTree as ET

import numpy as np
import pypdfium2
import pypdfium2.raw as pdfium
import pytest
from pypdf import PdfReader, PdfWriter

from pocketref.output.pdf import write_pdf
from pocketref.output.reading.readback import read_pdf
from pocketref.output.svg import write_svg
from pocketref.pages.page import Box, Document, Element, Page, Role
from pocketref.scene.inks import BLACK
from pocketref.scene.items import FontFace, Item, Placed, Scene, Shape, Stroke
from pocketref.scene.paths import polyline, rectangle
from pocketref.scene.typefaces import set_text, typeface

INCH = 25.4
FOOT_AT_1_TO_24 = 12 * INCH / 24
"""12.7 mm: at 1:24 half an inch on paper is a foot on the field."""


def one_page(width_mm: float, height_mm: float, *items: Item, **boxes: Box) -> Document:
    safe = Box(0, 0, width_mm, height_mm)
    sheet = Page("sheet", width_mm, height_mm, (Element(Role.PARAGRAPH, items),), safe, **boxes)
    return Document("Sizes", "Checks", "Nobody", (sheet,))


@pytest.mark.parametrize(
    ("inches", "points"),
    [((5, 3), (360, 216)), ((8.5, 11), (612, 792)), ((11, 17), (792, 1224))],
)
def test_stocks_have_their_published_size_in_points(inches, points):
    label = set_text(5, 5, "x", FontFace.REGULAR, 8, BLACK)
    data = write_pdf(one_page(inches[0] * INCH, inches[1] * INCH, label))
    box = PdfReader(BytesIO(data)).pages[0].mediabox
    assert (float(box.width), float(box.height)) == points
    assert tuple(pypdfium2.PdfDocument(data)[0].get_size()) == points


def test_page_boxes_survive_a_round_trip_through_another_library():
    trim, bleed = Box(9.525, 9.525, 127, 76.2), Box(6.35, 6.35, 133.35, 82.55)
    label = set_text(30, 30, "x", FontFace.REGULAR, 8, BLACK)
    writer = PdfWriter(BytesIO(write_pdf(one_page(146.05, 95.25, label, trim=trim, bleed=bleed))))
    stream = BytesIO()
    writer.write(stream)
    (page,) = read_pdf(stream.getvalue()).pages
    for found, asked in ((page.trim, trim), (page.bleed, bleed), (page.media, Box(0, 0, 146.05, 95.25))):
        edges = (found.x, found.y, found.right, found.top)
        assert edges == pytest.approx((asked.x, asked.y, asked.right, asked.top), abs=0.001)


def dark_centres(row: np.ndarray, mm_per_pixel: float) -> list[float]:
    """Middles of the dark stretches of a row of pixels, weighted by darkness, in mm."""
    dark = 1 - row / 255
    edges = np.flatnonzero(np.diff(np.concatenate([[0], dark > 0.05, [0]]).astype(int)))
    centres = []
    for start, end in zip(edges[::2], edges[1::2], strict=True):
        positions = np.arange(start, end) + 0.5
        centres.append(float(np.average(positions, weights=dark[start:end]) * mm_per_pixel))
    return centres


@pytest.mark.parametrize("turns", [0, 1])
def test_a_rectangle_at_1_to_24_is_true_to_a_tenth_of_a_millimetre_at_600_dpi(turns):
    """A 4 by 6 ft area is 50.8 by 76.2 mm at 1:24, whether drawn upright or in a turned scene."""
    width, height = 4 * FOOT_AT_1_TO_24, 6 * FOOT_AT_1_TO_24
    assert (width, height) == pytest.approx((50.8, 76.2))
    box = Scene("box", width, height, (Shape(rectangle(0, 0, width, height), stroke=Stroke(0.25, BLACK)),))
    data = write_pdf(one_page(120, 120, Placed(box, 100 if turns else 20, 20, turns)))
    page = pypdfium2.PdfDocument(data)[0]
    image = np.asarray(page.render(scale=600 / 72, grayscale=True).to_pil().convert("L"))
    across = dark_centres(image[image.shape[0] // 2], 120 / image.shape[1])
    up = dark_centres(image[:, image.shape[1] // 2], 120 / image.shape[0])
    expected = (height, width) if turns else (width, height)
    assert len(across) == len(up) == 2
    assert across[1] - across[0] == pytest.approx(expected[0], abs=0.1)
    assert up[1] - up[0] == pytest.approx(expected[1], abs=0.1)


def test_a_lines_coordinates_in_the_file_are_true_to_a_hundredth_of_a_millimetre():
    """127 ft 3 3/8 in, home to second base on a 90 ft diamond, at 1:480: read from pdfium's path object."""
    length = (127 * 12 + 3.375) * INCH / 480
    sample = one_page(
        120, 120, Shape(polyline([(17.3, 11.9), (17.3, 11.9 + length)]), stroke=Stroke(0.2, BLACK))
    )
    page = pypdfium2.PdfDocument(write_pdf(sample))[0]
    (path,) = list(page.get_objects())
    points = []
    for index in range(pdfium.FPDFPath_CountSegments(path.raw)):
        x, y = ctypes.c_float(), ctypes.c_float()
        pdfium.FPDFPathSegment_GetPoint(pdfium.FPDFPath_GetPathSegment(path.raw, index), x, y)
        points.append((x.value * INCH / 72, y.value * INCH / 72))
    assert points[0] == pytest.approx((17.3, 11.9), abs=0.01)
    assert points[1] == pytest.approx((17.3, 11.9 + length), abs=0.01)


@pytest.mark.parametrize("size_pt", [6, 7.25, 8, 11.5, 24])
def test_type_has_the_size_asked_for_in_pdf_and_in_svg(size_pt):
    """PDF by pdfium's object walk and by pypdf's own reading of the Tf operand; SVG by its font-size in mm."""
    sample = one_page(120, 60, set_text(10, 10, "Size", FontFace.BOLD, size_pt, BLACK))
    data = write_pdf(sample)
    (text,) = read_pdf(data).pages[0].texts
    assert text.size_pt == pytest.approx(size_pt, abs=0.001)
    sizes = []
    PdfReader(BytesIO(data)).pages[0].extract_text(visitor_text=lambda *found: sizes.append(found[4]))
    assert size_pt in sizes
    root = ET.fromstring(write_svg(sample.pages[0], "t", "d"))
    (element,) = root.iter("{http://www.w3.org/2000/svg}text")
    assert float(element.get("font-size")) * 72 / INCH == pytest.approx(size_pt, abs=0.001)


def test_a_run_is_as_wide_in_the_rasteriser_as_it_was_measured():
    """Two bars set at the start and at the measured end of a run: the gap between them is the measure."""
    words = "outside, wholly, on the ground"
    measured = typeface(FontFace.REGULAR).measure_mm(words, 12)
    pair = [set_text(10 + offset, 10, "|", FontFace.REGULAR, 12, BLACK) for offset in (0, measured)]
    whole = set_text(10, 30, f"|{words}|", FontFace.REGULAR, 12, BLACK)
    page = pypdfium2.PdfDocument(write_pdf(one_page(120, 60, *pair, whole)))[0]
    image = np.asarray(page.render(scale=600 / 72, grayscale=True).to_pil().convert("L"))
    mm_per_pixel = 120 / image.shape[1]

    def bars(y_mm: float) -> list[float]:
        return dark_centres(image[int((60 - y_mm) / mm_per_pixel)], mm_per_pixel)

    apart = bars(11)[-1] - bars(11)[0]
    bar = typeface(FontFace.REGULAR).measure_mm("|", 12)
    assert apart == pytest.approx(measured, abs=0.1)
    assert bars(31)[-1] - bars(31)[0] == pytest.approx(measured + bar, abs=0.1)
