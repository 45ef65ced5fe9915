"""Cards two-sided by language: each face in English in front, the same in Spanish on its back."""

from __future__ import annotations

from collections.abc import Iterator
from dataclasses import replace
from pathlib import Path

import pytest
from click.testing import CliRunner, Result
from press_samples import cut_places, size_of, turn_over
from pypdf import PdfReader
from season_samples import FIRST, ROSTER, SECOND_CARD
from source_folders import SourceFolders, copy_folders
from spanish_samples import print_in_both, write_spanish

from pocketref.cli import main
from pocketref.edition.languages import list_in_order
from pocketref.edition.proof import Proof, prove
from pocketref.layouts.cards import LaidOut
from pocketref.output.reading.printed import PrintedPage
from pocketref.output.reading.readback import read_pdf
from pocketref.pages.change_bar import shows_bar
from pocketref.pages.face_cut import list_blocks
from pocketref.pages.page import Box
from pocketref.problems import PocketrefError
from pocketref.translations.language_proof import read_language
from pocketref.words.speech import ENGLISH

FIXED = "Feet before all"
SPANISH = "Antes que nada los pies, *al colocarse el bateador*."


def open_folders(root: Path) -> SourceFolders:
    """The small source with two cards, both two-sided by language as its house says."""
    folders = print_in_both(copy_folders(root))
    folders.add("layouts/cards/sight.yaml", SECOND_CARD)
    folders.replace("layouts/cards/batters-box.yaml", "smallest: 50", "smallest: 60")
    folders.add("layouts/house.yaml", "sides: by-language\n")
    return folders


def run(folders: SourceFolders, command: str, *options: str) -> Result:
    out = ["--out", str(folders.root / "out")] if command == "publish" else []
    return CliRunner().invoke(main, [command, *folders.options, *out, *options], catch_exceptions=False)


def prove_in_both(folders: SourceFolders) -> Proof:
    spanish = read_language("es", folders.content)
    languages = list_in_order({"en": None, "es": spanish})
    with languages[0].speak():
        return prove(folders.content, folders.layouts, languages=languages)


@pytest.fixture(scope="module")
def both(tmp_path_factory: pytest.TempPathFactory) -> SourceFolders:
    """Edition 2027, then 2027.1 with a text corrected in both languages, with members' cards."""
    folders = open_folders(tmp_path_factory.mktemp("two-sided") / "source")
    result = run(folders, "publish")
    assert result.exit_code == 0, result.output
    folders.add("content/past/2027.json", (folders.root / "out/2027/source.json").read_text(encoding="utf-8"))
    folders.replace("content/mechanics/stance.yaml", "Feet first", FIXED)
    write_spanish(folders, **{f"{FIXED}, *as the batter sets*.": SPANISH})
    edition = folders.content / "edition.yaml"
    edition.write_text(edition.read_text(encoding="utf-8") + FIRST, encoding="utf-8")
    (folders.root / "roster.csv").write_text(ROSTER, encoding="utf-8")
    result = run(folders, "publish", "--members", str(folders.root / "roster.csv"))
    assert result.exit_code == 0, result.output
    return folders


@pytest.fixture(scope="module")
def proof(both: SourceFolders) -> Proof:
    return prove_in_both(both)


def list_pieces(card: LaidOut) -> Iterator[tuple[int, int]]:
    """The numbers of the two pages of each piece."""
    return ((at, at + 1) for at in range(0, len(card.document.pages), 2))


def test_the_back_of_each_piece_says_in_spanish_what_its_front_says(
    both: SourceFolders, proof: Proof
) -> None:
    english, spanish = {"The lines are in", "Legal stance"}, {"Las líneas son parte", "Postura legal"}
    pages = PdfReader(both.root / "out/2027.1/cards/batters-box.pdf").pages
    texts = [" ".join(page.extract_text().split()) for page in pages]
    for own, other, side in ((english, spanish, 0), (spanish, english, 1)):
        said = " ".join(texts[side::2])
        assert all(words in said for words in own)
        assert not any(words in said for words in other)
    assert all("Valid through" in text and "govern" in text for text in texts[::2])
    assert all("Válido hasta" in text and "Rigen" in text for text in texts[1::2])
    card = proof.cards[0]
    assert len(card.faces) == len(texts) >= 4
    for front, back in list_pieces(card):
        assert [face.name for face in (card.faces[front], card.faces[back])] == [f"face-{back // 2 + 1}"] * 2
        labels = [[block.label for block in list_blocks(card.faces[n].body)] for n in (front, back)]
        assert labels[0] == labels[1]
        assert [card.document.pages[n].language or ENGLISH for n in (front, back)] == ["en-US", "es-US"]
    cards = proof.others[0].cards  # which the Spanish page tells of
    assert [[face.name for face in each.own.faces] for each in cards] == [
        [face.name for face in each.own.faces] for each in proof.cards
    ]


def test_such_a_card_is_there_once_and_both_pages_link_to_it(both: SourceFolders) -> None:
    folder = both.root / "out/2027.1"
    assert not (folder / "es/cards").exists()
    assert not list((folder / "es/press").glob("cards-*"))
    assert 'href="cards/batters-box.pdf"' in (folder / "index.html").read_text(encoding="utf-8")
    page = (folder / "es/index.html").read_text(encoding="utf-8")
    assert 'href="../cards/batters-box.pdf"' in page
    assert "Postura legal" in page
    assert "Legal stance" not in page.partition("<script")[0]
    assert (folder / "es/drawings/batters-box-face-1.svg").is_file()
    assert CliRunner().invoke(main, ["verify", str(folder)]).exit_code == 0


def find_words(page: PrintedPage, box: Box) -> list[str]:
    """What is printed in a place of a sheet."""
    texts = (text for text in page.texts if text.has_ink)
    return [text.content for text in texts if box.x < text.x < box.right and box.y < text.y < box.top]


def test_on_press_sheets_each_back_lies_behind_its_own_front(both: SourceFolders) -> None:
    """Cut along the printed marks and turned over, each piece has the same face of the same card on either side."""
    pages = read_pdf((both.root / "out/2027.1/press/cards-letter.pdf").read_bytes()).pages
    pieces = []
    for front, back in zip(pages[::2], pages[1::2], strict=True):
        for place in cut_places(front, size_of("index-3x5")):
            words, behind = find_words(front, place), find_words(back, turn_over(front, place, sideways=True))
            assert bool(words) == bool(behind)
            pieces += [(words[0], place_of(words), behind[0], place_of(behind))] if words else []
    assert len(pieces) >= 4
    for number, (face, tag), other, (side, own) in pieces:
        assert (number, face, tag, side) == (other, "face", own, "cara")


def place_of(words: list[str]) -> tuple[str, str]:
    """What a face is called in its band, and its number: the tag's last two words."""
    (tag,) = [each for each in words if each.startswith("HS 2027, ")]
    return tag.split()[-2], tag.split()[-1]


def test_what_a_bulletin_corrects_has_its_bar_on_both_sides(both: SourceFolders, proof: Proof) -> None:
    first, second = proof.cards
    assert not any(shows_bar(page.elements) for page in first.document.pages)
    barred = [page.language for page in second.document.pages if shows_bar(page.elements)]
    assert barred == ["", "es-US"]
    folder = both.root / "out/2027.1"
    replaced = read_pdf((folder / "press/replacement-cards-letter.pdf").read_bytes())
    said = " ".join(run.content for page in replaced.pages for run in page.texts)
    assert FIXED in said
    assert "Antes que nada" in said
    assert "Batter" not in said.replace("batter", "")
    assert not (folder / "es/press").exists()
    for name, words in (("sheets/bulletin.pdf", "Bulletin 1"), ("es/sheets/bulletin.pdf", "Boletín 1")):
        assert words in PdfReader(folder / name).pages[0].extract_text()


def test_members_cards_have_their_owner_in_front_and_the_back_as_it_was(both: SourceFolders) -> None:
    (path,) = (both.root / "out/2027.1/members").rglob("*cards*.pdf")
    pages = PdfReader(path).pages
    fronts, backs = (" ".join(page.extract_text() for page in pages[side::2]) for side in (0, 1))
    assert "Ann Exemplar, 1001" in fronts
    assert "Ann Exemplar" not in backs
    assert "Postura legal" in backs
    assert "Legal stance" in fronts


def test_a_card_may_say_its_sides_itself_and_one_language_has_front_and_back(tmp_path: Path) -> None:
    folders = open_folders(tmp_path / "source")
    folders.replace("layouts/cards/sight.yaml", "stock:", "sides: front-and-back\nstock:")
    proof = prove_in_both(folders)
    assert [card.is_two_sided for card in proof.cards] == [True, False]
    assert [card.name for card in proof.others[0].printed] == ["sight"]
    folders.replace("content/edition.yaml", "languages: [en, es]\n", "")
    alone = prove(folders.content, folders.layouts)
    assert [len(card.faces) for card in alone.cards] == [2, 2]
    (told,) = [each for each in alone.warnings if each.code == "sides-one-language"]
    assert str(told.where) == "layouts/house.yaml:1:8"
    assert replace(proof.cards[1]).document.pages == alone.cards[1].document.pages


@pytest.mark.parametrize(("smallest", "fits"), [("50", True), ("20", False)])
def test_front_and_back_is_named_as_a_way_out_only_where_the_card_then_fits(
    smallest: str, fits: bool, tmp_path: Path
) -> None:
    folders = open_folders(tmp_path / "source")
    folders.replace("layouts/cards/batters-box.yaml", "smallest: 60", f"smallest: {smallest}")
    with pytest.raises(PocketrefError) as caught:
        prove_in_both(folders)
    hints = {problem.hint for problem in caught.value.problems if problem.code == "block-too-large"}
    assert hints
    assert all(hint.endswith("with 'sides: front-and-back' it fits here") == fits for hint in hints)
