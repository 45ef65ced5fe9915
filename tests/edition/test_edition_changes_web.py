"""What changed, on the edition's page."""

from __future__ import annotations

from collections.abc import Mapping

import pytest
from html_reading import Node, read_html
from source_folders import SourceFolders

from pocketref.changes.change_set import Change, ChangeSet
from pocketref.edition.manifest import BuiltFile
from pocketref.edition.manifest_writing import write_source
from pocketref.edition.proof import Proof, prove
from pocketref.pages.words import Paragraph, TableWords, Words
from pocketref.publish.build import build_edition
from pocketref.web.changes_web import write_changes_section
from pocketref.web.html_content import WebPart, WebWords

ROWS = "content/rulings/high-school/stance.yaml"
BOX = "content/fields/high-school-90-ft.yaml"


@pytest.fixture
def newer(folders: SourceFolders, proven: Proof) -> SourceFolders:
    """A folder with last season's source beside it, nothing else changed so far."""
    text = write_source(proven.library).data.decode().replace('"edition": "2027"', '"edition": "2026"')
    folders.add("content/past/2026.json", text.replace('"2027-02-01"', '"2026-02-01"'))
    return folders


def build(folders: SourceFolders) -> Mapping[str, BuiltFile]:
    return {file.name: file for file in build_edition(prove(folders.content, folders.layouts))}


def section_of(folders: SourceFolders) -> Node:
    return read_html(build(folders)["index.html"].data.decode()).one("section", id="changes")


def test_a_flipped_call_stands_with_what_it_was_and_what_it_is(newer: SourceFolders) -> None:
    newer.replace(ROWS, "    ruling: legal", "    ruling: tell")
    section = section_of(newer)
    calls = section.one("article", id="changes-calls")
    (row,) = calls.one("tbody").all("tr")
    was, now = (cell.text for cell in row.all("td"))
    assert calls.one("thead").text == "What Was, 2026 Now, 2027"
    assert "high school" in row.one("th").text
    assert was.startswith("Legal stance. Ball:")
    assert now.startswith("Tell the batter to get in")
    assert "7-1" in now
    assert "Calls changed in one row." in section.one("article", id="changes-summary").text


def test_a_changed_dimension_stands_with_both_values_and_its_section(newer: SourceFolders) -> None:
    newer.replace(BOX, "value: 6 ft", "value: 5 ft 6 in")
    section = section_of(newer)
    (row,) = section.one("article", id="changes-figures").one("tbody").all("tr")
    assert [cell.text for cell in row.all("td")] == ["6 ft", "5 ft 6 in (FB 1-2)"]
    assert row.one("th").text == "90-ft diamond, high school: batter\u2019s box, length"
    assert "No call in the tables changed." in section.one("article", id="changes-summary").text


def test_a_reworded_text_is_named_by_its_heading(newer: SourceFolders) -> None:
    newer.replace("content/mechanics/stance.yaml", "Feet first", "Feet before all")
    (row,) = section_of(newer).one("article", id="changes-mechanics").one("tbody").all("tr")
    was, now = (cell.text for cell in row.all("td"))
    assert "Feet first" in was
    assert "Feet before all" in now
    assert "mechanics/" not in row.one("th").text


def test_the_page_offers_the_sheet_to_print_too(newer: SourceFolders) -> None:
    files = build(newer)
    links = read_html(files["index.html"].data.decode()).one("section", id="downloads").all("a")
    assert {link["href"]: link.text for link in links}["sheets/what-changed.pdf"] == "What changed"
    assert files["sheets/what-changed.pdf"].pages == 1


def test_markup_in_what_changed_is_text(newer: SourceFolders) -> None:
    attack = "<b onclick=x>&"
    newer.replace("content/mechanics/stance.yaml", "Feet first", attack)
    section = section_of(newer)
    assert section.all("b", onclick="x") == []
    assert attack in section.text


def test_a_first_edition_tells_no_changes(built: Mapping[str, BuiltFile]) -> None:
    page = read_html(built["index.html"].data.decode())
    assert page.all("section", id="changes") == []
    assert "sheets/what-changed.pdf" not in built


def test_what_is_new_dropped_or_takes_a_line_is_told_apart(proven: Proof) -> None:
    groups = {
        "cautions": (Change("*Line marking*", "", "warning"), Change("*Ice*", "notice", "")),
        "layouts": (Change("card one", "as laid out", "otherwise"),),
    }
    changes = ChangeSet("2026", "2027", proven.library.edition, groups)
    _, cautions, layouts = write_changes_section(changes).parts
    (grid,) = words_of(cautions)
    assert isinstance(grid, TableWords)
    assert grid.rows == (("*Line marking*", "none", "warning"), ("*Ice*", "notice", "none"))
    assert not grid.is_narrow
    assert words_of(layouts) == (Paragraph("*Layouts:* card one otherwise, was as laid out."),)


def words_of(part: WebPart) -> Words:
    (content,) = part.contents
    assert isinstance(content, WebWords)
    return content.words
