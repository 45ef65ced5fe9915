"""The demo edition's PDFs against PDF/UA-1 and PDF/X-4: a file bears a standard's identifier only as it keeps to it."""

from __future__ import annotations

from io import BytesIO
from pathlib import Path

import pikepdf
import pytest
from pdf_standards import UA_CHECKS, X_CHECKS, find_faults, read_xmp


@pytest.fixture(scope="session")
def files(folder: Path) -> dict[str, bytes]:
    return {path.relative_to(folder).as_posix(): path.read_bytes() for path in sorted(folder.rglob("*.pdf"))}


def claims(data: bytes) -> tuple[str, str]:
    """The identifiers of PDF/UA and of PDF/X."""
    with pikepdf.open(BytesIO(data)) as pdf:
        return read_xmp(pdf, "pdfuaid:part"), read_xmp(pdf, "pdfxid:GTS_PDFXVersion")


def test_what_is_read_says_that_it_is_pdf_ua_and_keeps_to_it(files: dict[str, bytes]) -> None:
    read = {name: data for name, data in files.items() if not name.startswith("press/cards-")}
    assert {claims(data) for data in read.values()} == {("1", "")}
    assert {name: faults for name, data in read.items() if (faults := find_faults(data, UA_CHECKS))} == {}


def test_what_goes_to_the_print_shop_says_that_it_is_pdf_x_and_keeps_to_it(files: dict[str, bytes]) -> None:
    sent = {name: data for name, data in files.items() if name.startswith("press/cards-")}
    assert sent
    assert {claims(data) for data in sent.values()} == {("", "PDF/X-4")}
    assert {name: faults for name, data in sent.items() if (faults := find_faults(data, X_CHECKS))} == {}
