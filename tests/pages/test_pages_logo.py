"""A logo or photo on a face: its size follows from its pixels, it stays in its column, and it says what it shows."""

from __future__ import annotations

import pytest
from hypothesis import given
from hypothesis import strategies as st
from picture_samples import badge_jpeg, badge_png
from source_folders import FIXTURES, SourceFolders

from pocketref.blocks.photo import PhotoBlock
from pocketref.layouts.cards import LaidOut, lay_out_card, lay_out_sheet
from pocketref.layouts.layout_library import Layouts, read_layouts
from pocketref.output.contents import items_of, rasters_in
from pocketref.output.pdf import write_pdf
from pocketref.output.reading.readback import read_pdf
from pocketref.output.reading.readback_checks import check_document
from pocketref.pages.page import Box, Element, Role
from pocketref.pages.press.imposition import impose_cards
from pocketref.pages.stocks import content_box, sheet_of
from pocketref.pages.type_scale import sizes_for
from pocketref.problems import PocketrefError
from pocketref.scene.paths import extent_of_all
from pocketref.source.library import Library, read_library
from pocketref.source.pictures import PictureFile

SIZES = sizes_for(9.0, 7.5)
SHEET = "layouts/sheets/plate-area.yaml"
CARD = "layouts/cards/batters-box.yaml"
BLOCK = '  - {block: photo, file: pictures/logo.png, width: 25 mm, alt: "The badge: a bell on a shield"}\n'


def block(width_mm: float = 20, pixels: tuple[int, int] = (240, 120)) -> PhotoBlock:
    return PhotoBlock(PictureFile("logo.png", "png", pixels, "", b""), width_mm, "The badge")


def put(folders: SourceFolders, file: str, after: str, picture: bytes) -> None:
    (folders.content / "pictures").mkdir()
    folders.write("content/pictures/logo.png", picture)
    folders.replace(file, after, after + BLOCK)


def read(folders: SourceFolders) -> tuple[Library, Layouts]:
    library = read_library(folders.content)
    return library, read_layouts(folders.layouts, library, folders.content)


def find_figure(item: LaidOut, page: int) -> Element:
    def walk(elements: tuple[Element, ...]) -> list[Element]:
        return [found for e in elements for found in (e, *walk(e.children))]

    (figure,) = [
        e for e in walk(item.document.pages[page].elements) if any(True for _ in rasters_in(e.items))
    ]
    return figure


def assert_prints(item: LaidOut) -> None:
    printed = read_pdf(write_pdf(item.document))
    assert check_document(printed, item.document, item.floor_pt) == []


# --- the block -------------------------------------------------------------------------------------------


@pytest.mark.parametrize(
    ("pixels", "height_mm"), [((240, 120), 10.0), ((120, 240), 40.0), ((300, 300), 20.0)]
)
def test_the_height_follows_from_the_width_and_the_pixels(pixels: tuple[int, int], height_mm: float) -> None:
    assert block(20, pixels).measure_mm(100, SIZES) == pytest.approx(height_mm)


def test_it_is_too_wide_by_what_it_sticks_out() -> None:
    assert block(20).excess_mm(20, SIZES) == 0
    assert block(20).excess_mm(12.5, SIZES) == pytest.approx(7.5)


widths = st.floats(min_value=1, max_value=200)


@given(widths, widths, st.integers(1, 5000), st.integers(1, 5000))
def test_it_hangs_from_the_top_of_its_box_in_the_middle(
    width_mm: float, room_mm: float, across: int, down: int
) -> None:
    sample = block(width_mm, (across, down))
    box = Box(7, 11, room_mm, 90)
    left, bottom, right, top = extent_of_all(sample.draw(box, SIZES).items)
    assert top == pytest.approx(box.top)
    assert top - bottom == pytest.approx(sample.measure_mm(room_mm, SIZES))
    assert (left + right) / 2 == pytest.approx(box.x + room_mm / 2)
    assert (right - left) / (top - bottom) == pytest.approx(across / down)


# --- on a face -------------------------------------------------------------------------------------------


@pytest.mark.parametrize("picture", [badge_png("RGBA", 600, 300), badge_jpeg()], ids=["png", "jpeg"])
def test_a_sheet_shows_it_as_a_figure_within_its_margins_and_prints_whole(
    folders: SourceFolders, picture: bytes
) -> None:
    put(folders, SHEET, "front:\n", picture)
    library, layouts = read(folders)
    (sheet,) = layouts.sheets
    item = lay_out_sheet(sheet, library, layouts)
    figure = find_figure(item, 0)
    assert (figure.role, figure.alt) == (Role.FIGURE, "The badge: a bell on a shield")
    left, bottom, right, top = extent_of_all(figure.items)
    inner = content_box(layouts.stocks[sheet.stock])
    assert (right - left, top - bottom) == pytest.approx((25, 12.5))
    assert inner.x <= left
    assert right <= inner.right
    assert inner.y <= bottom
    assert top <= inner.top
    assert_prints(item)


def test_a_card_shows_it_and_on_the_press_sheet_too(folders: SourceFolders) -> None:
    put(folders, CARD, "  - {block: calls, subject: stance}\n", badge_png("RGBA", 600, 48))
    library, layouts = read(folders)
    (card,) = layouts.cards
    item = lay_out_card(card, library, layouts)
    assert_prints(item)
    paper = sheet_of(layouts.stocks["letter"])
    imposed = impose_cards([item.document] * 2, paper, flip="long", order="sequence", edition="edition 2027")
    printed = read_pdf(write_pdf(imposed))
    assert check_document(printed, imposed, item.floor_pt) == []
    assert [len(page.images) for page in printed.pages] == [0, 2]


def test_one_too_large_for_its_face_is_told_by_its_name(folders: SourceFolders) -> None:
    put(folders, CARD, "  - {block: calls, subject: stance}\n", badge_png("RGB", 200, 600))
    library, layouts = read(folders)
    with pytest.raises(PocketrefError) as caught:
        lay_out_card(layouts.cards[0], library, layouts)
    assert any("photo pictures/logo.png" in problem.sentence for problem in caught.value.problems)
    assert {problem.code for problem in caught.value.problems} == {"block-too-large"}


def test_a_face_whose_pictures_were_not_read_says_so(folders: SourceFolders) -> None:
    put(folders, SHEET, "front:\n", badge_png())
    library = read_library(folders.content)
    layouts = read_layouts(folders.layouts, library)
    with pytest.raises(PocketrefError) as caught:
        lay_out_sheet(layouts.sheets[0], library, layouts)
    (problem,) = caught.value.problems
    assert problem.code == "picture-missing"
    assert str(problem.where).startswith("layouts/sheets/plate-area.yaml:7:")


def test_a_picture_on_many_faces_is_read_once(folders: SourceFolders) -> None:
    put(folders, SHEET, "front:\n", badge_png("RGB", 600, 300))
    folders.replace(SHEET, "back:\n", "back:\n" + BLOCK)
    library, layouts = read(folders)
    assert list(layouts.pictures) == ["pictures/logo.png"]
    item = lay_out_sheet(layouts.sheets[0], library, layouts)
    front, back = (next(rasters_in(items_of(page.elements))) for page in item.document.pages)
    assert front.data is back.data


def test_without_photo_blocks_nothing_is_read() -> None:
    library = read_library(FIXTURES / "content")
    layouts = read_layouts(FIXTURES / "layouts", library, FIXTURES / "content")
    assert (dict(layouts.pictures), layouts.warnings) == ({}, ())


# --- resolution ------------------------------------------------------------------------------------------


@pytest.mark.parametrize(("across", "is_coarse"), [(147, True), (148, False)])
def test_fewer_than_150_pixels_to_an_inch_is_a_warning(
    folders: SourceFolders, across: int, is_coarse: bool
) -> None:
    put(folders, SHEET, "front:\n", badge_png("RGB", across, 100))  # 25 mm at 150 dpi are 147.6 pixels
    _, layouts = read(folders)
    assert [problem.code for problem in layouts.warnings] == ["picture-coarse"] * is_coarse
    if is_coarse:
        (problem,) = layouts.warnings
        assert "147 pixels across: 149 dpi" in problem.sentence
        assert "at least 148 pixels wide" in problem.hint
