"""Single cards for the press, the print-check page, and the boxes of stocks."""

from __future__ import annotations

import pytest
from press_samples import EDITION, FLOOR_PT, STOCKS, card_document, is_crop_mark, paper, read_stocks, size_of

from pocketref.layouts.print_check import (
    draw_inch_ruler,
    draw_metric_ruler,
    lay_out_print_check,
    list_fit_traps,
)
from pocketref.output.pdf import write_pdf
from pocketref.output.reading.readback import read_pdf
from pocketref.output.reading.readback_checks import check_document
from pocketref.pages.page import Box, Document, Role
from pocketref.pages.press.press_marks import draw_register_mark, make_press_document
from pocketref.pages.stock_models import StocksModel
from pocketref.pages.stocks import content_box, safe_box
from pocketref.problems import ProblemLog
from pocketref.scene.items import FormField, Shape
from pocketref.scene.paths import extent_of_all
from pocketref.source.syntax.folder import FolderReader

PAPERS = ("letter", "a4", "tabloid")


def print_press(bleed_mm: float = 3.175, slug_mm: float = 10.0):
    document = make_press_document(card_document(1, size_of("id-1")), bleed_mm, slug_mm)
    return document, read_pdf(write_pdf(document))


def test_a_press_card_passes_every_check_and_keeps_its_words():
    document, printed = print_press()
    assert check_document(printed, document, FLOOR_PT) == []
    assert [[t.content for t in page.texts] for page in printed.pages] == [["C1 front"], ["C1 back"]]


def test_content_and_safe_area_move_with_the_trim():
    plain = card_document(1, size_of("id-1"))
    document, printed = print_press()
    (before,) = read_pdf(write_pdf(plain)).pages[0].texts
    (after,) = printed.pages[0].texts
    assert (after.x - before.x, after.y - before.y) == pytest.approx((10, 10), abs=0.01)
    assert document.pages[0].safe == Box(13.175, 13.175, *document_safe(plain))


def document_safe(document: Document) -> tuple[float, float]:
    return document.pages[0].safe.width_mm, document.pages[0].safe.height_mm


def test_words_outside_the_moved_safe_area_are_still_found():
    document, printed = print_press()
    shifted = make_press_document(document, 3.175, 10.0)
    codes = {problem.code for problem in check_document(printed, shifted, FLOOR_PT)}
    assert {"page-size", "text-outside-safe"} <= codes


@pytest.mark.parametrize(("bleed", "slug"), [(0.0, 10.0), (3.175, 10.0), (5.0, 12.0), (0.0, 4.5)])
def test_marks_stand_outside_bleed_and_inside_the_sheet(bleed, slug):
    _, printed = print_press(bleed, slug)
    page = printed.pages[0]
    box = page.trim.inset(-max(bleed, 3.175))
    marks = [path.extent for path in page.paths if is_crop_mark(path, page)]
    assert len(marks) == 8
    for left, bottom, right, top in marks:
        assert max(box.x - right, left - box.right, box.y - top, bottom - box.top) > -0.005
    for path in page.paths:
        left, bottom, right, top = path.extent
        if path.is_artifact:
            assert min(left, bottom, page.media.right - right, page.media.top - top) > -0.005


def test_register_marks_are_centred_on_each_side_where_the_slug_has_room():
    with_room, without = print_press()[1].pages[0], print_press(slug_mm=5)[1].pages[0]
    circles = [p.extent for p in with_room.paths if p.is_artifact and is_round(p.extent)]
    middles = {(round((c[0] + c[2]) / 2, 1), round((c[1] + c[3]) / 2, 1)) for c in circles}
    assert {x for x, _ in middles} >= {52.8}
    assert {y for _, y in middles} >= {37.0}
    assert len(middles) == 4
    assert not [p for p in without.paths if p.is_artifact and is_round(p.extent)]


def is_round(extent: tuple[float, float, float, float]) -> bool:
    left, bottom, right, top = extent
    return right - left > 0.1 and top - bottom > 0.1


def test_a_slug_too_narrow_for_marks_is_a_mistake():
    card = card_document(1, size_of("id-1"))
    for bleed, slug in ((3.175, 4.0), (6.0, 6.5), (-1.0, 10.0)):
        with pytest.raises(ValueError, match="no room for marks"):
            make_press_document(card, bleed, slug)


def test_a_register_mark_is_centred_on_its_point():
    left, bottom, right, top = extent_of_all(draw_register_mark(30, 40))
    assert ((left + right) / 2, (bottom + top) / 2) == pytest.approx((30, 40))


# --- print check -----------------------------------------------------------------------------------------


def print_check(name: str) -> Document:
    others = [paper(other) for other in PAPERS]
    page = lay_out_print_check(paper(name), others=others, flip="short", edition=EDITION)
    return Document("Print check", "rulers", "Larkmoor", (page,))


@pytest.mark.parametrize("name", PAPERS)
def test_the_print_check_prints_whole_on_every_paper(name):
    document = print_check(name)
    printed = read_pdf(write_pdf(document))
    assert check_document(printed, document, FLOOR_PT) == []
    said = " ".join(text.content for text in printed.pages[0].texts).replace("\u00a0", " ")
    for words in ("Print at 100 %", "Actual size", "short edge", EDITION, "pouch", "laminators hot"):
        assert words in said


def ruler_ticks(items: tuple[object, ...]) -> tuple[list[float], dict[float, float]]:
    """The x of each tick, and its height."""
    heights = {}
    for item in items:
        if isinstance(item, Shape):
            (start, end) = item.path
            if start.x == end.x:
                heights[start.x] = end.y - start.y
    return sorted(heights), heights


def test_the_metric_ruler_has_a_tick_at_every_millimetre():
    xs, heights = ruler_ticks(draw_metric_ruler(20, 30))
    assert xs == pytest.approx([20 + mm for mm in range(101)])
    assert heights[30] > heights[25] > heights[21]


def test_the_inch_ruler_has_a_tick_at_every_sixteenth():
    xs, heights = ruler_ticks(draw_inch_ruler(0, 0))
    assert xs == pytest.approx([25.4 * n / 16 for n in range(65)])
    by_sixteenth = [heights[x] for x in xs]
    ranks = [by_sixteenth[n] for n in (16, 8, 4, 2, 1)]
    assert ranks == sorted(ranks, reverse=True)
    assert len(set(ranks)) == 5


def test_printed_rulers_are_true_across_and_up_the_page():
    page = read_pdf(write_pdf(print_check("letter"))).pages[0]
    across = [p.extent[2] - p.extent[0] for p in page.paths if not p.is_artifact]
    up = [p.extent[3] - p.extent[1] for p in page.paths if not p.is_artifact]
    for length, extents in ((100, across), (101.6, across), (100, up)):
        assert sum(abs(extent - length) < 0.01 for extent in extents) == 1


def test_the_table_tells_what_each_trap_makes_of_the_bar():
    page = read_pdf(write_pdf(print_check("letter"))).pages[0]
    said = [text.content.replace("\u00a0", " ") for text in page.texts]
    for trap in list_fit_traps(paper("letter"), [paper("a4")]):
        assert trap.what in said
        assert f"{100 * trap.scale:.1f} mm" in said


def test_the_print_check_has_three_described_rulers():
    (section,) = print_check("a4").pages[0].elements
    figures = [element for element in section.children if element.role is Role.FIGURE]
    assert [figure.alt.split("exactly ")[1] for figure in figures] == [
        "100 mm across the page",
        "4 in across the page",
        "100 mm up the page",
    ]
    assert not any(isinstance(item, FormField) for figure in figures for item in figure.items)


# --- stocks ----------------------------------------------------------------------------------------------


def test_text_keeps_clear_of_a_punched_hole_and_nothing_else_changes():
    plain, punched = STOCKS["index-3x5"], STOCKS["index-3x5-punched"]
    assert safe_box(plain) == Box(0, 0, 127, 76.2).inset(3.175)
    for clear in (safe_box(punched), content_box(punched)):
        assert clear.x == pytest.approx(3 + 5 + 3)
    assert safe_box(punched).right == safe_box(plain).right
    assert (safe_box(punched).y, safe_box(punched).top) == (safe_box(plain).y, safe_box(plain).top)
    assert content_box(plain) == Box(0, 0, 127, 76.2).inset(3.6)


@pytest.mark.parametrize(
    ("edge", "expected"),
    [
        ("right", (3.175, 3.175, 116, 73.025)),
        ("top", (3.175, 3.175, 123.825, 65.2)),
        ("bottom", (3.175, 11, 123.825, 73.025)),
    ],
)
def test_a_hole_takes_its_strip_from_the_edge_it_is_at(edge, expected):
    punched = STOCKS["index-3x5-punched"]
    stock = punched.model_copy(update={"punch": punched.punch.model_copy(update={"edge": edge})})
    box = safe_box(stock)
    assert (box.x, box.y, box.right, box.top) == pytest.approx(expected)


def test_every_stock_has_room_for_text_and_every_card_a_pouch_that_seals():
    for stock in read_stocks().values():
        safe, content = safe_box(stock), content_box(stock)
        assert content.x >= safe.x
        assert content.right <= safe.right
        assert 2 * stock.laminate_margin.float_mm >= 6
        assert (stock.unprintable.float_mm > 0) == (stock.kind == "paper")


BAD_STOCK = """\
stocks:
  tiny:
    name: tiny
    width: 20 mm
    height: 12 mm
    safe: 3 mm
    margin: {margin}
    bleed: 0 mm
    source: a test
"""


@pytest.mark.parametrize(("margin", "said"), [("2 mm", "smaller than its safe"), ("6 mm", "leave no room")])
def test_a_stock_without_room_for_text_is_refused_at_its_place(tmp_path, margin, said):
    (tmp_path / "stocks.yaml").write_text(BAD_STOCK.format(margin=margin))
    problems = ProblemLog()
    assert FolderReader(tmp_path, problems).read("stocks.yaml", StocksModel) is None
    (problem,) = problems.problems
    assert problem.code == "stock-sizes"
    assert said in problem.sentence
    assert problem.where.line in (2, 3)
    assert problem.where.file.endswith("stocks.yaml")
