"""Drawings as others draw them: Chromium and librsvg the SVG, pdfium the PDF, of which the PNG is made.

They need chromium and rsvg-convert (Debian package librsvg2-bin).
"""

from __future__ import annotations

import shutil
import subprocess
from functools import cache
from pathlib import Path

import numpy as np
import pypdfium2
import pytest
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


def run(program: str, *options: str) -> None:
    found = shutil.which(program)
    assert found, f"{program} is needed"
    subprocess.run([found, *options], capture_output=True, timeout=120, check=True)


def draw_with_chromium(svg: Path, size: tuple[int, int]) -> Image.Image:
    png = svg.with_suffix(".chromium.png")
    window = f"--window-size={size[0] // SCALE + 40},{size[1] // SCALE + 120}"
    run(
        "chromium",
        "--headless",
        "--no-sandbox",
        "--disable-gpu",
        f"--screenshot={png}",
        window,
        f"--force-device-scale-factor={SCALE}",
        svg.as_uri(),
    )
    return Image.open(png).crop((0, 0, *size))


def draw_with_librsvg(svg: Path, size: tuple[int, int]) -> Image.Image:
    png = svg.with_suffix(".librsvg.png")
    run(
        "rsvg-convert",
        "--dpi-x",
        f"{96 * SCALE}",
        "--dpi-y",
        f"{96 * SCALE}",
        "-b",
        "white",
        "-o",
        str(png),
        str(svg),
    )
    return Image.open(png).crop((0, 0, *size))


def blur(image: Image.Image) -> np.ndarray:
    """Ink by squares of 8 pixels, from 0 to 255: renderers differ in how they smooth an edge."""
    grey = image.convert("L")
    return 255 - np.asarray(grey.resize((grey.width // 8, grey.height // 8), Image.Resampling.BOX), float)


@pytest.mark.parametrize("name", [*CARDS, *SHEETS])
def test_three_renderers_draw_a_face_alike_and_cut_no_ink_at_an_edge(name: str, tmp_path: Path) -> None:
    item = laid_out()[name]
    pdf = pypdfium2.PdfDocument(write_pdf(item.document))
    drawings = list(build_drawings(item))
    for drawn, file in list(zip(pdf, drawings, strict=False))[:2]:
        asked = drawn.render(scale=SCALE * 96 / 72, grayscale=True).to_pil()
        svg = tmp_path / Path(file.name).name
        svg.write_bytes(file.data)
        for draw in (draw_with_chromium, draw_with_librsvg):
            found = draw(svg, asked.size)
            differences = np.abs(blur(found) - blur(asked))
            assert differences.max() < MOST, (file.name, draw.__name__)
            assert edges_of(found).min() > 200, (file.name, draw.__name__)
        assert edges_of(asked).min() > 200, file.name


def edges_of(image: Image.Image) -> np.ndarray:
    """The outermost pixels."""
    grey = np.asarray(image.convert("L"))
    return np.concatenate([grey[0], grey[-1], grey[:, 0], grey[:, -1]])
