"""Pages as PNG for mail and slides, which draw no SVG: drawn by pdfium at twice the size of a screen's pixels."""

from __future__ import annotations

from io import BytesIO

import pypdfium2
from PIL import Image
from PIL.PngImagePlugin import PngInfo

from pocketref.output.contents import items_of
from pocketref.output.pdf_press import is_on_plates
from pocketref.output.svg import describe_page
from pocketref.pages.page import Page
from pocketref.units.length import POINTS_PER_INCH

_DPI = 2 * 96
_GREYS = 16
"""Enough for the edges of type: half the bytes of all 256."""
_STEP = 255 // (_GREYS - 1)
_TO_GREYS = [(level + _STEP // 2) // _STEP for level in range(256)]
_PALETTE = [grey * _STEP for grey in range(_GREYS) for _ in range(3)]


def draw_picture(pdf: bytes, index: int, page: Page, title: str, subject: str) -> bytes:
    """A picture of the page at `index` of a finished file.

    What it shows is in it in words too, as the title and the description that PNG knows (ISO/IEC 15948, 11.3.4).
    """
    document = pypdfium2.PdfDocument(pdf)
    is_grey = is_on_plates([*items_of(page.elements)], spot=False)
    image = document[index].render(scale=_DPI / POINTS_PER_INCH, grayscale=is_grey).to_pil()
    said = PngInfo()
    said.add_itxt("Title", title)
    said.add_itxt("Description", describe_page(page, subject))
    return _write_png(_reduce(image) if is_grey else image.convert("RGB"), said)


def _reduce(image: Image.Image) -> Image.Image:
    reduced = image.point(_TO_GREYS)
    reduced = Image.frombytes("P", reduced.size, reduced.tobytes())
    reduced.putpalette(_PALETTE)
    return reduced


def _write_png(image: Image.Image, said: PngInfo) -> bytes:
    out = BytesIO()
    bits = {"bits": 4} if image.mode == "P" else {}
    image.save(out, "PNG", dpi=(_DPI, _DPI), pnginfo=said, compress_level=4, **bits)
    return out.getvalue()
