"""What holds for the whole edition is said once: stock, paper, press, logo; layouts and options say otherwise."""

from __future__ import annotations

from itertools import pairwise
from pathlib import Path

import pytest
from click.testing import CliRunner
from demo_edition import ROOT
from hypothesis import given
from hypothesis import strategies as st
from picture_samples import badge_png
from source_folders import SourceFolders

from pocketref.blocks.photo import PhotoBlock
from pocketref.cli import main
from pocketref.edition.press import make_run
from pocketref.edition.proof import prove
from pocketref.output.contents import items_of, rasters_in, texts_in
from pocketref.output.pdf import write_pdf
from pocketref.output.reading.readback import read_pdf
from pocketref.output.reading.readback_checks import check_document
from pocketref.pages.blocks import TitleBand
from pocketref.pages.page import Box
from pocketref.pages.type_scale import sizes_for
from pocketref.problems import PocketrefError
from pocketref.scene.items import Raster, Text
from pocketref.source.pictures import PictureFile

CARD = "layouts/cards/batters-box.yaml"
HOUSE = "card-stock: index-4x6\npaper: a4\nflip: short\norder: repeat\n"
LOGO = 'logo: {file: pictures/logo.png, alt: "A bell on a shield", height: 7 mm}\n'


@pytest.fixture
def house(folders: SourceFolders) -> SourceFolders:
    folders.replace(CARD, "stock: index-3x5\n", "")
    folders.replace("layouts/sheets/plate-area.yaml", "stock: letter\n", "")
    folders.write("layouts/stocks.yaml", (ROOT / "layouts/stocks.yaml").read_bytes())
    folders.add("layouts/house.yaml", HOUSE)
    (folders.content / "pictures").mkdir()
    folders.write("content/pictures/logo.png", badge_png())
    return folders


def test_what_names_no_stock_is_on_the_house_s_and_a_layout_or_an_option_says_otherwise(
    house: SourceFolders,
) -> None:
    proof = prove(house.content, house.layouts)
    assert [proof.cards[0].stock, proof.sheets[0].stock] == ["index-4x6", "a4"]
    assert prove(house.content, house.layouts, "index-3x5").cards[0].stock == "index-3x5"
    house.replace(CARD, "title:", "stock: index-3x5\ntitle:")
    assert prove(house.content, house.layouts).cards[0].stock == "index-3x5"
    run = make_run(proof.layouts)
    assert (run.paper, run.flip, run.order) == ("a4", "short", "repeat")
    run = make_run(proof.layouts, "letter", "long")
    assert (run.paper, run.flip, run.order) == ("letter", "long", "repeat")


def test_a_publish_prints_on_the_house_s_paper_unless_told_another(
    house: SourceFolders, tmp_path: Path
) -> None:
    command = ["publish", *house.options, "--out", str(tmp_path / "out"), "--quiet"]
    for more, paper in (([], "a4"), (["--paper", "letter"], "letter")):
        assert CliRunner().invoke(main, [*command, *more]).exit_code == 0
        assert [path.name for path in tmp_path.glob("out/2027/press/cards-[al]*")] == [f"cards-{paper}.pdf"]


@pytest.mark.parametrize(
    ("old", "new", "code", "hint"),
    [
        ("index-4x6", "index-4x7", "stock-unknown", "did you mean 'index-4x6'?"),
        ("index-4x6", "letter", "stock-unknown", "quarter-letter"),
        ("paper: a4", "paper: a44", "paper-unknown", "did you mean 'a4'?"),
        ("paper: a4", "papr: a4", "key-unknown", "did you mean 'paper'?"),
    ],
)
def test_a_house_that_names_no_stock_is_told_once_at_its_line(
    old: str, new: str, code: str, hint: str, house: SourceFolders
) -> None:
    house.replace("layouts/house.yaml", old, new)
    with pytest.raises(PocketrefError) as caught:
        prove(house.content, house.layouts)
    (problem,) = caught.value.problems
    assert problem.code == code
    assert hint in problem.hint
    assert problem.where is not None
    assert problem.where.file == "layouts/house.yaml"


# --- the logo --------------------------------------------------------------------------------------------


@pytest.mark.parametrize(("side", "shown"), [("front", [1, 0]), ("back", [0, 1]), ("both", [1, 1])])
def test_the_logo_is_on_the_sides_asked_for_of_every_card_and_sheet(
    side: str, shown: list[int], house: SourceFolders
) -> None:
    house.write("layouts/house.yaml", HOUSE + LOGO.replace("7 mm", f"7 mm, side: {side}"))
    proof = prove(house.content, house.layouts)
    for item in (proof.cards[0], proof.sheets[0]):
        assert [len(list(rasters_in(items_of(page.elements)))) for page in item.document.pages] == shown
        assert check_document(read_pdf(write_pdf(item.document)), item.document, item.floor_pt) == []
    assert "content/pictures/logo.png" in proof.inputs
    assert not [p for p in proof.warnings if p.code == "picture-coarse"]


def test_a_logo_that_is_missing_or_coarse_is_told_once_in_the_house_s_file(house: SourceFolders) -> None:
    house.write("layouts/house.yaml", HOUSE + LOGO.replace("7 mm", "21 mm"))
    (coarse,) = [p for p in prove(house.content, house.layouts).warnings if p.code == "picture-coarse"]
    assert str(coarse.where).startswith("layouts/house.yaml:5:")
    house.replace("layouts/house.yaml", "logo.png", "lego.png")
    with pytest.raises(PocketrefError, match=r"lego\.png"):
        prove(house.content, house.layouts)


@given(
    st.floats(1, 20), st.floats(0.2, 5), st.sampled_from(["", "6", "12b"]), st.sampled_from([8.0, 10.4, 14.0])
)
def test_a_logo_of_any_shape_stands_in_the_band_clear_of_its_words(
    height_mm: float, shape: float, number: str, size_pt: float
) -> None:
    sizes, width_mm = sizes_for(size_pt, 7.5), 140.0
    picture = PictureFile("logo.png", "png", (round(1000 * shape), 1000), "", b"")
    logo = PhotoBlock(picture, height_mm * round(1000 * shape) / 1000, "A bell")
    band = TitleBand("Field at a glance", "YTH 60-ft 2027", number, logo=logo)
    box = Box(3.0, 5.0, width_mm, 40.0)
    items = items_of([band.draw(box, sizes)])
    (raster,) = [item for item in items if isinstance(item, Raster)]
    texts = [item for item in texts_in(items) if isinstance(item, Text)]
    assert raster.y >= box.top - band.measure_mm(width_mm, sizes)
    assert raster.y + raster.height_mm <= box.top
    assert raster.x + raster.width_mm <= box.right
    if band.excess_mm(width_mm, sizes) == 0:
        spans = sorted((t.x - (t.width_mm if t.anchor == "end" else 0), t.width_mm) for t in texts)
        spans.append((raster.x, raster.width_mm))
        for (left, wide), (after, _) in pairwise(spans):
            assert left + wide <= after + 0.01
