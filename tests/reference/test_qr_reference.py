"""The printed QR code read by an independent decoder (ZXing) from a raster of the PDF."""

from __future__ import annotations

import hashlib
from collections.abc import Mapping

import pypdfium2
import pytest
import zxingcpp

from pocketref.edition.manifest import BuiltFile
from pocketref.edition.proof import Proof
from pocketref.output.pdf import write_pdf
from pocketref.pages.page import Box, Document, Element, Page, Role
from pocketref.scene.figures.qr_figure import MODULE_MM, QUIET_MODULES, draw_qr
from pocketref.scene.paths import extent_of_all, shift
from pocketref.source.record import digest_library

TEXTS = ("HTTPS://LARKMOOR.EXAMPLE/2027/0123456789", "https://example.org/2026?d=1", "A")


def decode_printed(text: str, dpi: int) -> list[str]:
    code = draw_qr(text)
    figure = Element(Role.FIGURE, shift(code.items, 20, 10), alt=code.alt)
    page = Page("code", 76.2, 50.8, (figure,), Box(0, 0, 76.2, 50.8))
    data = write_pdf(Document("Code", "code", "Nobody", (page,)))
    image = pypdfium2.PdfDocument(data)[0].render(scale=dpi / 72).to_pil()
    return [found.text for found in zxingcpp.read_barcodes(image)]


@pytest.mark.parametrize("text", TEXTS)
@pytest.mark.parametrize("dpi", [200, 300, 600])
def test_the_decoder_reads_what_was_printed(text: str, dpi: int) -> None:
    assert decode_printed(text, dpi) == [text]


def test_a_module_is_as_large_as_general_readers_want() -> None:
    assert (
        MODULE_MM >= 0.396
    )  # least X-dimension of 2D codes in retail, GS1 General Specifications (secondary)


def test_the_code_keeps_its_quiet_zone_on_every_side() -> None:
    # ISO/IEC 18004: four modules.
    code = draw_qr(TEXTS[0])
    left, bottom, right, top = extent_of_all(code.items)
    quiet = QUIET_MODULES * MODULE_MM
    assert QUIET_MODULES == 4
    for gap in (left, bottom, code.width_mm - right, code.height_mm - top):
        assert gap == pytest.approx(quiet)


def test_forty_capitals_make_a_code_of_version_three_or_less() -> None:
    # ISO/IEC 18004, table 7: version 3 at level M holds 61 alphanumeric characters.
    assert draw_qr(TEXTS[0]).width_mm <= (29 + 2 * QUIET_MODULES) * MODULE_MM + 1e-9


def test_the_printed_digest_is_the_start_of_source_json_s_sha_256(
    built: Mapping[str, BuiltFile], proven: Proof
) -> None:
    # SHA-256 by the standard library, over the file as published.
    assert (
        digest_library(proven.library) == hashlib.sha256(built["source.json"].data).hexdigest()[:10].upper()
    )
