"""Drawings as others draw them: Chromium and librsvg the SVG, pdfium the PDF, of which the PNG is made.

They need chromium and rsvg-convert (Debian package librsvg2-bin).
"""

from __future__ import annotations

import shutil
import subprocess
from collections.abc import Iterator
from functools import cache
from itertools import islice
from pathlib import Path

import numpy as np
import pypdfium2
import pytest
from page_scripts import Browser
from PIL import Image

from pocketref.layouts.cards import LaidOut, lay_out_card, lay_out_sheet
from pocketref.layouts.layout_library import read_layouts
from pocketref.output.pdf import write_pdf
from pocketref.publish.build import build_drawings
from pocketref.source.library import read_library

ROOT = Path(__file__).parents[2]
CARDS = ("contact", "batters-box", "lanyard-stance", "field-check")
SHEETS = ("plate-area", "rulings")
SCALE = 2
"""Pixels for each of a screen's 96 to an inch."""
MOST = 80
"""Of 255: edges are smoothed each in its own way (up to 50); words in other type differ by 200 and more."""


@cache
def laid_out() -> dict[str, LaidOut]:
    library = read_library(ROOT / "content")
    layouts = read_layouts(ROOT / "layouts", library)
    cards = [lay_out_card(card, library, layouts) for card in layouts.cards if card.card in CARDS]
    sheets = [lay_out_sheet(each, library, layouts, "") for each in layouts.sheets if each.sheet in SHEETS]
    return {item.name: item for item in (*cards, *sheets)}


def draw_with_librsvg(svg: Path, size: tuple[int, int]) -> Image.Image:
    program, png = shutil.which("rsvg-convert"), svg.with_suffix(".librsvg.png")
    assert program, "rsvg-convert is needed"
    options = ("--dpi-x", f"{96 * SCALE}", "--dpi-y", f"{96 * SCALE}", "-b", "white", "-o", png, svg)
    subprocess.run([program, *options], capture_output=True, timeout=120, check=True)
    return Image.open(png).crop((0, 0, *size))


def blur(image: Image.Image) -> np.ndarray:
    """Ink by squares of 8 pixels, from 0 to 255: renderers differ in how they smooth an edge."""
    grey = image.convert("L")
    return 255 - np.asarray(grey.resize((grey.width // 8, grey.height // 8), Image.Resampling.BOX), float)


@pytest.fixture(scope="module")
def drawn(browser: Browser, tmp_path_factory: pytest.TempPathFactory) -> dict[str, list[tuple[Path, Path]]]:
    """The first faces of each card and sheet as SVG, and drawn by Chromium."""
    folder = tmp_path_factory.mktemp("svg")
    named = {name: list(write_drawings(item, folder)) for name, item in laid_out().items()}
    pictures = iter(
        browser.run("draw_svgs.mjs", str(SCALE), *(svg for each in named.values() for svg in each))
    )
    return {name: [(svg, Path(next(pictures))) for svg in each] for name, each in named.items()}


def write_drawings(item: LaidOut, folder: Path) -> Iterator[Path]:
    for file in islice(build_drawings(item), 2):
        svg = folder / Path(file.name).name
        svg.write_bytes(file.data)
        yield svg


@pytest.mark.parametrize("name", [*CARDS, *SHEETS])
def test_three_renderers_draw_a_face_alike_and_cut_no_ink_at_an_edge(
    name: str, drawn: dict[str, list[tuple[Path, Path]]]
) -> None:
    pdf = pypdfium2.PdfDocument(write_pdf(laid_out()[name].document))
    for page, (svg, by_chromium) in zip(pdf, drawn[name], strict=False):
        asked = page.render(scale=SCALE * 96 / 72, grayscale=True).to_pil()
        for found in (Image.open(by_chromium).crop((0, 0, *asked.size)), draw_with_librsvg(svg, asked.size)):
            differences = np.abs(blur(found) - blur(asked))
            assert differences.max() < MOST, (svg.name, found.info)
            assert edges_of(found).min() > 200, (svg.name, found.info)
        assert edges_of(asked).min() > 200, svg.name


def edges_of(image: Image.Image) -> np.ndarray:
    """The outermost pixels."""
    grey = np.asarray(image.convert("L"))
    return np.concatenate([grey[0], grey[-1], grey[:, 0], grey[:, -1]])
