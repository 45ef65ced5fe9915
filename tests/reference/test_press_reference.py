"""Press sheets against published sizes and figures worked out by hand.

Sources, beside each check: ISO/IEC 7810 (ID-1: 85.60 by 53.98 mm), ISO 216 (A sizes), ANSI/ASME Y14.1 (sizes A and
B), ISO 32000-1:2008, 8.3.2.3 and 14.11.2 (points and page boxes). Index cards are trade sizes. Grids and scales are
worked out from the sizes alone, with 6.35 mm (1/4 in) left white at the edges of the paper.
"""

from __future__ import annotations

from dataclasses import replace
from io import BytesIO
from pathlib import Path

import pytest
from pypdf import PdfReader, PdfWriter

from pocketref.layouts.print_check import fit_scale, list_fit_traps
from pocketref.output.pdf import write_pdf
from pocketref.pages.page import Box, Document, Element, Page, Role
from pocketref.pages.press.press_grid import arrange_cards, choose_grid
from pocketref.pages.press.press_marks import MARK_PEN, make_press_document
from pocketref.pages.stock_models import StockModel, StocksModel
from pocketref.pages.stocks import Sheet, sheet_of
from pocketref.problems import ProblemLog
from pocketref.scene.inks import BLACK
from pocketref.scene.items import FontFace
from pocketref.scene.typefaces import set_text
from pocketref.source.syntax.folder import FolderReader

INCH = 25.4
LETTER = Sheet("Letter", 8.5 * INCH, 11 * INCH, 6.35)
A4 = Sheet("A4", 210, 297, 6.35)
ID_1 = (85.60, 53.98)


@pytest.fixture(scope="module")
def stocks() -> dict[str, StockModel]:
    problems = ProblemLog()
    model = FolderReader(Path(__file__).parents[2] / "layouts", problems).read("stocks.yaml", StocksModel)
    problems.raise_errors()
    return dict(model.stocks)


@pytest.mark.parametrize(
    ("name", "width_mm", "height_mm"),
    [
        ("id-1", 85.60, 53.98),  # ISO/IEC 7810
        ("a7", 105, 74),  # ISO 216; the same as ID-2 of ISO/IEC 7810
        ("a6", 148, 105),  # ISO 216
        ("a4", 210, 297),  # ISO 216
        ("letter", 8.5 * INCH, 11 * INCH),  # ANSI/ASME Y14.1, size A
        ("tabloid", 11 * INCH, 17 * INCH),  # ANSI/ASME Y14.1, size B
        ("index-3x5", 5 * INCH, 3 * INCH),  # trade size
        ("index-4x6", 6 * INCH, 4 * INCH),  # trade size
        ("quarter-letter", 8.5 * INCH / 2 + 1.25 * INCH, 11 * INCH / 2 - 1.25 * INCH),  # 5 1/2 by 4 1/4 in
    ],
)
def test_stocks_have_their_published_size(stocks, name, width_mm, height_mm):
    stock = stocks[name]
    assert (stock.width.float_mm, stock.height.float_mm) == pytest.approx((width_mm, height_mm), abs=1e-9)


def test_id_1_corners_are_within_the_standard(stocks):
    """ISO/IEC 7810: corner radius 2.88 to 3.48 mm."""
    assert 2.88 <= stocks["id-1"].corner_radius.float_mm <= 3.48


@pytest.mark.parametrize(("name", "pouch"), [("a7", (111, 80)), ("a6", (154, 111)), ("a4", (216, 303))])
def test_pouches_of_the_a_sizes_are_those_sold_for_them(stocks, name, pouch):
    """A7 80 by 111 mm, A6 111 by 154 mm, A4 216 by 303 mm: sizes in a supplier's guide."""
    stock = stocks[name]
    size = [side.float_mm + 2 * stock.laminate_margin.float_mm for side in (stock.width, stock.height)]
    assert size == pytest.approx(pouch)


@pytest.mark.parametrize(
    ("paper", "card", "gutter_mm", "columns", "rows", "is_turned"),
    [
        (LETTER, ID_1, 6.35, 2, 4, False),
        (LETTER, ID_1, 0, 3, 3, True),
        (LETTER, (127, 76.2), 0, 2, 2, True),
        (LETTER, (127, 76.2), 6.35, 2, 2, True),
        (LETTER, (152.4, 101.6), 0, 1, 2, False),
        (LETTER, (105, 74), 6, 2, 2, True),
        (A4, ID_1, 6.35, 3, 3, True),
        (A4, ID_1, 0, 2, 5, False),
        (A4, (148, 105), 6, 1, 2, False),
        (A4, (105, 74), 6, 2, 2, True),
    ],
)
def test_the_grid_is_the_one_worked_out_by_hand(paper, card, gutter_mm, columns, rows, is_turned):
    """Letter, ID-1 with gutters: 2 x 85.6 + 6.35 = 177.55 of 203.2 mm; 4 x 53.98 + 3 x 6.35 = 234.97 of 266.7 mm."""
    grid = choose_grid(paper, *card, gutter_mm=gutter_mm, bleed_mm=gutter_mm / 2)
    assert (grid.columns, grid.rows, grid.is_turned) == (columns, rows, is_turned)
    assert (grid.x + grid.box.right, grid.y + grid.box.top) == pytest.approx(
        (paper.width_mm, paper.height_mm)
    )


def test_twenty_cards_eight_up_are_cut_and_stacked_as_worked_out_by_hand():
    """N = 3 sheets; place p of sheet s shows card 3p + s."""
    nothing = None
    assert arrange_cards(20, 8, "cut-and-stack") == (
        (0, 3, 6, 9, 12, 15, 18, nothing),
        (1, 4, 7, 10, 13, 16, 19, nothing),
        (2, 5, 8, 11, 14, 17, nothing, nothing),
    )


def id_1_card() -> Document:
    label = Element(Role.PARAGRAPH, (set_text(10, 10, "x", FontFace.REGULAR, 8, BLACK),))
    page = Page("front", *ID_1, (label,), Box(0, 0, *ID_1).inset(3.175))
    return Document("Card", "A card", "Nobody", (page, replace(page, name="back")))


def test_an_id_1_press_card_has_the_boxes_worked_out_by_hand():
    """10 mm slug, 1/8 in bleed, 72/25.4 pt a mm; read by another library, also after it wrote the file anew."""
    data = write_pdf(make_press_document(id_1_card(), 3.175, 10))
    again = BytesIO()
    PdfWriter(BytesIO(data)).write(again)
    for reader in (PdfReader(BytesIO(data)), PdfReader(again)):
        for page in reader.pages:
            boxes = {
                (0, 0, 299.3386, 209.7071): page.mediabox,
                (28.3465, 28.3465, 270.9921, 181.3606): page.trimbox,
                (19.3465, 19.3465, 279.9921, 190.3606): page.bleedbox,
            }
            for expected, found in boxes.items():
                assert [float(edge) for edge in found] == pytest.approx(expected, abs=0.002)


def test_crop_marks_are_a_quarter_of_a_point():
    """0.25 pt is 0.25 x 25.4 / 72 = 0.0882 mm."""
    assert MARK_PEN.width_mm == pytest.approx(0.0882, abs=5e-5)


def test_fitting_to_the_page_scales_as_worked_out_by_hand():
    """A4 on Letter 279.4/297; Letter on A4 210/215.9; Letter inside its own 1/4 in margins 8/8.5."""
    assert fit_scale(A4, LETTER) == pytest.approx(0.9407, abs=5e-5)
    assert fit_scale(LETTER, A4) == pytest.approx(0.9727, abs=5e-5)
    assert fit_scale(LETTER, LETTER, 6.35) == pytest.approx(0.9412, abs=5e-5)
    assert fit_scale(LETTER, LETTER) == 1


def test_the_traps_of_a_letter_file_are_listed_nearest_first():
    scales = [trap.scale for trap in list_fit_traps(LETTER, [LETTER, A4])]
    assert scales == pytest.approx([0.9727, 0.9412, 0.9138], abs=5e-5)


def test_the_papers_leave_white_what_printers_cannot_reach(stocks):
    """1/4 in (6.35 mm) is safe; one maker of laser printers guarantees 4 mm."""
    for name in ("letter", "a4", "tabloid"):
        assert sheet_of(stocks[name]).edge_mm == pytest.approx(6.35)
