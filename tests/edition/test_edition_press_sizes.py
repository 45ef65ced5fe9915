"""Cards of several sizes go to the press size by size, and what the press cannot take is told before."""

from __future__ import annotations

import pytest
from click.testing import CliRunner
from source_folders import SourceFolders

from pocketref.cli import main
from pocketref.edition.press import PressRun, build_press, check_press
from pocketref.edition.proof import Proof, prove
from pocketref.output.reading.readback import read_pdf
from pocketref.problems import PocketrefError

CARD = "layouts/cards/batters-box.yaml"


@pytest.fixture
def two_sizes(folders: SourceFolders) -> Proof:
    """The fixture's card, and a copy of it on a larger stock."""
    text = (folders.root / CARD).read_text(encoding="utf-8")
    text = text.replace("card: batters-box", "card: large").replace("stock: index-3x5", "stock: index-4x6")
    folders.add("layouts/cards/large.yaml", text.replace('number: "1"', 'number: "2"'))
    return prove(folders.content, folders.layouts)


def names(proof: Proof) -> list[str]:
    return [file.name for file in build_press(proof.cards, proof.library, proof.layouts, PressRun())]


def test_cards_of_one_size_are_one_set_named_by_the_paper_alone(proven: Proof) -> None:
    assert names(proven) == [
        "press/cards-letter.pdf",
        "press/cards-with-marks.pdf",
        "press/print-check-letter.pdf",
    ]


def test_cards_of_two_sizes_are_two_sets_named_by_their_stocks(two_sizes: Proof) -> None:
    assert names(two_sizes) == [
        "press/cards-index-3x5-letter.pdf",
        "press/cards-with-marks-index-3x5.pdf",
        "press/cards-index-4x6-letter.pdf",
        "press/cards-with-marks-index-4x6.pdf",
        "press/print-check-letter.pdf",
    ]
    files = build_press(two_sizes.cards, two_sizes.library, two_sizes.layouts, PressRun())
    widths = {file.name: read_pdf(file.data).pages[0].media.width_mm for file in files}
    slug = 2 * 10.0
    assert widths["press/cards-with-marks-index-3x5.pdf"] == pytest.approx(5 * 25.4 + slug, abs=0.01)
    assert widths["press/cards-with-marks-index-4x6.pdf"] == pytest.approx(6 * 25.4 + slug, abs=0.01)


def test_a_larger_card_among_others_is_proven_and_published_with_its_members_cards(
    two_sizes: Proof, folders: SourceFolders
) -> None:
    roster = folders.root.parent / "roster.csv"
    roster.write_text("name,number,chapter,code,level,quantity\nAnn,1,North,high-school,90-ft,1\n")
    options = [*folders.options, "--out", str(folders.root.parent / "out"), "--members", str(roster)]
    result = CliRunner().invoke(main, ["publish", *options])
    assert result.exit_code == 0, result.stderr
    members = folders.root.parent / "out" / "2027" / "members" / "north"
    assert sorted(path.name for path in members.glob("cards-*")) == [
        "cards-index-3x5.pdf",
        "cards-index-4x6.pdf",
    ]


def test_a_card_that_no_sheet_of_the_paper_holds_is_told_by_proof_where_it_names_its_stock(
    folders: SourceFolders,
) -> None:
    folders.replace("layouts/stocks.yaml", "  letter:", LARGE + "  letter:")
    folders.replace(CARD, "stock: index-3x5", "stock: poster")
    proof = prove(folders.content, folders.layouts)
    with pytest.raises(PocketrefError) as caught:
        check_press(proof.cards, proof.library, proof.layouts, PressRun())
    (problem,) = caught.value.problems
    assert problem.code == "card-too-large"
    assert problem.where is not None
    assert problem.where.text == "stock: poster"
    told = CliRunner().invoke(main, ["proof", *folders.options])
    assert told.exit_code == 1
    assert f"{CARD}:4:8: error: a card of " in told.stderr
    large = CliRunner().invoke(main, ["proof", *folders.options, "--paper", "tabloid"])
    assert large.exit_code == 0, large.stderr


LARGE = """\
  tabloid:
    {kind: paper, name: Tabloid, width: 11 in, height: 17 in, safe: 1/4 in, margin: 12 mm, bleed: 0 in, source: trade}
  poster:
    {name: a poster, width: 10.8 in, height: 8.4 in, safe: 1/8 in, margin: 4 mm, bleed: 1/8 in, source: ours}
"""


@pytest.mark.parametrize("size", ["4x6", "6 x 4 in", "4x6 in", "4X6", "4x6 inches"])
def test_a_stock_asked_for_by_its_size_is_found(size: str, folders: SourceFolders) -> None:
    folders.replace(CARD, "stock: index-3x5", f"stock: {size}")
    result = CliRunner().invoke(main, ["proof", *folders.options])
    assert f"there is no stock '{size}'" in result.stderr
    assert "did you mean 'index-4x6'?" in result.stderr
    folders.replace(CARD, f"stock: {size}", "stock: index-3x5")
    result = CliRunner().invoke(main, ["proof", *folders.options, "--stock", size])
    assert "did you mean 'index-4x6'?" in result.stderr
