"""The demo edition's pages as pdfium draws them: all ink stays where the cutter and the printer leave it."""

from __future__ import annotations

from pathlib import Path

import numpy as np
import pypdfium2
import pytest
from printed_edition import sent

from pocketref.units.length import MM_PER_INCH

DPI = 200
MM = float(MM_PER_INCH) / DPI
WHITE = 250


@pytest.mark.parametrize("name", sorted(name for name in sent() if name.startswith(("cards/", "sheets/"))))
def test_no_ink_is_outside_the_safe_area(folder: Path, name: str) -> None:
    pages = sent()[name].document.pages
    pdf = pypdfium2.PdfDocument(folder / name)
    for page, drawn in zip(pages, pdf, strict=True):
        pixels = drawn.render(scale=DPI / 72, grayscale=True).to_numpy()
        rows, columns = np.nonzero(pixels < WHITE)
        height = pixels.shape[0]
        extent = (
            columns.min() * MM,
            (height - 1 - rows.max()) * MM,
            (columns.max() + 1) * MM,
            (height - rows.min()) * MM,
        )
        safe = page.safe.x, page.safe.y, page.safe.right, page.safe.top
        signs = (1, 1, -1, -1)
        excess = [sign * (edge - ink) for sign, edge, ink in zip(signs, safe, extent, strict=True)]
        assert max(excess) < 1.5 * MM, (page.name, extent, safe)


def test_a_question_of_a_chart_stays_in_its_column(folder: Path) -> None:
    """The points of its diamond are cut flat (ISO 32000-1, 8.4.3.4), else they would reach beyond by the pen's width
    over the sine of half their angle, up to ten times half of it."""
    for drawn in pypdfium2.PdfDocument(folder / "sheets/rulings.pdf"):
        pixels = drawn.render(scale=DPI / 72, grayscale=True).to_numpy()
        assert np.nonzero(pixels < WHITE)[1].min() * MM > 11.5  # a margin of 12 mm, less half a pen
