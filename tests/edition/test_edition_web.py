"""The edition's page: whole, linked, in words for everyone, the same every time, and safe."""

from __future__ import annotations

from collections.abc import Mapping
from dataclasses import replace

import pytest
from html_reading import Node, read_html
from source_folders import SourceFolders

from pocketref.edition.manifest import BuiltFile
from pocketref.edition.proof import Proof, prove
from pocketref.pages.words import Paragraph
from pocketref.publish.build import build_edition
from pocketref.source.statements import DOUBT
from pocketref.web.html_content import WebPart, WebSection, WebWords
from pocketref.web.web import INDEX, build_web_page


@pytest.fixture(scope="module")
def root(built: Mapping[str, BuiltFile]) -> Node:
    return read_html(built[INDEX].data.decode())


def test_every_link_leads_to_a_file_of_the_edition_or_a_place_on_the_page(
    root: Node, built: Mapping[str, BuiltFile]
) -> None:
    ids = {node["id"] for node in root.walk() if "id" in node.attributes}
    targets = [node["href"] for node in root.all("a")] + [node["xlink:href"] for node in root.all("use")]
    assert "cards/batters-box.pdf" in targets
    for target in targets:
        assert target in built or target.removeprefix("#") in ids, target


def test_every_pdf_and_drawing_can_be_downloaded(root: Node, built: Mapping[str, BuiltFile]) -> None:
    offered = {node["href"] for node in root.one("section", id="downloads").all("a")}
    read = {name for name in built if not name.startswith("press/")}
    assert {name for name in read if name.endswith((".pdf", ".svg"))} <= offered
    assert not offered & (built.keys() - read)


def test_the_page_says_whose_edition_it_is_when_it_holds_and_what_governs(root: Node) -> None:
    head = root.one("header").text
    assert "Larkmoor Test Umpires" in head
    assert "Edition 2027" in head
    assert "1 Feb 2027 through 31 Dec 2027" in head
    assert "invented" in head
    assert "The rule book and the league govern." in head
    assert "The rule book and the league govern." in root.one("footer").text


def test_every_text_on_a_card_is_on_the_page(root: Node, proven: Proof) -> None:
    library = proven.library
    card = root.one("article", id="card-batters-box")
    assert "1 Batter’s box and stance" in card.one("h3").text
    for entry in library.texts["mechanics/stance/lines"].entries:
        assert entry.replace("*", "").replace("'", "’") in card.text.replace("\u00a0", " ")


def test_every_figure_has_words_for_who_cannot_see_it(root: Node) -> None:
    figures = root.all("figure")
    assert figures
    for figure in figures:
        assert figure.one("svg")["role"] == "img"
        assert len(figure.name_of(figure.one("svg"))) > 20


def test_a_cards_chart_is_on_the_page_as_a_ladder_that_reaches_every_ruling(
    root: Node, proven: Proof
) -> None:
    chart = root.one("article", id="card-batters-box").one("ol", class_="ladder").text
    for ruling in proven.library.rulings["high-school", "stance"].rulings.values():
        assert ruling.headline.replace("'", "’") in chart


def test_every_ruling_of_a_code_stands_in_its_table_with_section_and_confidence(
    root: Node, proven: Proof
) -> None:
    model = proven.library.rulings["high-school", "stance"]
    table = root.one("article", id="rulings-high-school-stance").one("table")
    rows = table.one("tbody").all("tr")
    assert len(rows) == len(model.rows)
    for row, shown in zip(model.rows, rows, strict=True):
        ruling, sections, sure = (cell.text for cell in shown.all("td"))
        assert model.rulings[row.ruling].headline.replace("'", "’") in ruling
        assert all(cite.is_house or cite.section in sections for cite in row.source)
        assert str(row.confidence) in sure
        assert shown.one("th")["scope"] == "row"
    assert [th["scope"] for th in table.one("thead").all("th")] == ["col"] * 4


def test_a_figure_from_memory_has_the_mark_of_doubt(root: Node, proven: Proof) -> None:
    field = proven.library.fields["high-school-90-ft"]
    values = (*field.dimensions.values(), *field.tolerances.values())
    shown = root.one("article", id="field-high-school-90-ft").one("tbody").all("tr")
    assert len(shown) == len(values)
    for value, row in zip(values, shown, strict=True):
        assert (DOUBT in row.text) is (value.confidence == "from memory")


def test_a_caution_keeps_its_signal_word_and_every_sentence(root: Node, proven: Proof) -> None:
    caution = proven.library.cautions["marking"]
    panel = root.one("article", id="sheet-plate-area").one("div", class_="panel").text
    assert panel.startswith(f"{caution.signal_word.upper()}: {caution.title}")
    for entry in caution.entries:
        assert entry.replace("*", "").replace("'", "’") in panel.replace("\u00a0", " ")


def test_pages_to_be_joined_at_full_size_are_left_to_the_pdf(
    proven: Proof, built: Mapping[str, BuiltFile]
) -> None:
    (sheet,) = proven.sheets
    front, back = sheet.document.pages
    document = replace(sheet.document, pages=(front, replace(back, name="tile-1")))
    tiled = replace(sheet, document=document, faces=sheet.faces[:1])
    made = read_html(build_web_page(replace(proven, sheets=(tiled,)), list(built.values())).data.decode())
    part = made.one("article", id="sheet-plate-area")
    assert "1 more page is in the PDF, to be printed at actual size." in part.text
    assert part.all("table") == []


def test_the_same_source_gives_the_same_page(proven: Proof, built: Mapping[str, BuiltFile]) -> None:
    linked = ("cards/", "sheets/", "drawings/", "plays/")
    others = [file for name, file in built.items() if name.startswith(linked)]
    assert build_web_page(proven, others).data == built[INDEX].data


def test_more_sections_stand_before_the_downloads(proven: Proof) -> None:
    more = WebSection(
        "plays", "Case plays", (WebPart("play-1", "First", (WebWords((Paragraph("A play."),)),)),)
    )
    made = read_html(build_web_page(proven, [BuiltFile("plays/one.pdf", b"", 1)], [more]).data.decode())
    assert [node["id"] for node in made.one("main").all("section")][-2:] == ["plays", "downloads"]
    assert made.one("article", id="downloads-plays").one("h3").text == "Case plays"


@pytest.mark.parametrize(
    ("name", "old"),
    [
        ("content/edition.yaml", "Larkmoor Test Umpires"),
        ("content/fields/high-school-90-ft.yaml", "name: "),
    ],
)
def test_markup_in_the_source_is_text_on_the_page(folders: SourceFolders, name: str, old: str) -> None:
    attack = '<b onclick="x">"&'
    new = f"name: '{attack}' #" if old == "name: " else f"'{attack}'"
    folders.replace(name, old, new)
    files = {file.name: file for file in build_edition(prove(folders.content, folders.layouts))}
    made = read_html(files[INDEX].data.decode())
    assert made.all("b", onclick="x") == []
    assert attack in made.text
