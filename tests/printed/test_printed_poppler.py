"""The edition's PDFs as poppler reads them: its tools `pdfinfo` and `pdffonts` know nothing of how they were written.

The structure types, what they may hold and the scope of header cells are those of ISO 32000-1:2008, 14.8.4 and
14.8.5. These tests need poppler-utils.
"""

from __future__ import annotations

import re
import shutil
import subprocess
from collections.abc import Iterator
from dataclasses import dataclass, field
from functools import cache
from pathlib import Path

import pikepdf
import pytest
from demo_edition import demo_proof
from printed_edition import sent

from pocketref.layouts.cards import LaidOut
from pocketref.pages.page import Element, Role
from pocketref.plays.choices import AskedPlay


@dataclass
class Node:
    """A structure element as poppler tells it."""

    kind: str
    attributes: list[str] = field(default_factory=list)
    words: str = ""
    kids: list[Node] = field(default_factory=list)

    def walk(self) -> Iterator[Node]:
        yield self
        for kid in self.kids:
            yield from kid.walk()

    def all(self, kind: str) -> list[Node]:
        """Every element of a type within, in reading order."""
        return [node for node in self.walk() if node.kind == kind]


def run(tool: str, *options: str) -> str:
    program = shutil.which(tool)
    assert program, f"{tool} is needed (Debian package poppler-utils)"
    done = subprocess.run([program, *options], capture_output=True, text=True, timeout=120, check=True)
    assert done.stderr == ""
    return done.stdout


@cache
def read_structure(path: Path) -> Node:
    """The tree that `pdfinfo -struct-text` prints: two spaces a step, words in quotes, attributes with a slash."""
    root = Node("")
    stack: list[tuple[int, Node]] = [(-1, root)]
    open_words = False
    for line in run("pdfinfo", "-struct-text", str(path)).splitlines():
        if open_words:  # words that hold a line break go on until their closing quote
            stack[-1][1].words += " " + line.rstrip('"')
            open_words = not line.endswith('"')
            continue
        text = line.strip()
        if not text:
            continue
        depth = len(line) - len(line.lstrip())
        if text.startswith(("/", '"')):
            owner = next(node for at, node in reversed(stack) if at < depth)
            if text.startswith("/"):
                owner.attributes.append(text)
            else:
                owner.words += text.strip('"')
                open_words = len(text) == 1 or not text.endswith('"')
            continue
        while stack[-1][0] >= depth:
            stack.pop()
        node = Node(re.split(r"[ :]", text, maxsplit=1)[0])
        stack[-1][1].kids.append(node)
        stack.append((depth, node))
    (document,) = root.kids
    assert document.kind == "Document"
    return document


# --- the edition ------------------------------------------------------------------------------------------


def elements(item: LaidOut) -> Iterator[Element]:
    """Every element of a document that is read, in reading order."""

    def within(elements_: tuple[Element, ...]) -> Iterator[Element]:
        for element in elements_:
            if element.role is not Role.DECORATION:
                yield element
                yield from within(element.children)

    for page in item.document.pages:
        yield from within(page.elements)


NAMES = sorted(sent())


@pytest.mark.parametrize("name", NAMES)
def test_elements_are_read_in_the_order_in_which_they_are_on_the_page(folder: Path, name: str) -> None:
    told = {str(role.value) for role in Role if role not in (Role.DECORATION, Role.SECTION, Role.PARAGRAPH)}
    found = [node.kind for node in read_structure(folder / name).walk() if node.kind in told]
    assert found == [
        str(element.role.value) for element in elements(sent()[name]) if element.role.value in told
    ]


@pytest.mark.parametrize("name", NAMES)
def test_every_page_but_a_tile_has_one_title_and_nothing_is_nested_where_it_may_not_be(
    folder: Path, name: str
) -> None:
    document = read_structure(folder / name)
    pages = [page.name for page in sent()[name].document.pages]
    titled = [name for name, page in zip(pages, document.kids, strict=True) if len(page.all("H1")) == 1]
    assert titled == [name for name in pages if not name.startswith("tile")]
    for node in document.walk():
        kids = {kid.kind for kid in node.kids}
        assert kids <= {"L": {"LI", "Caption"}, "LI": {"LBody", "Lbl"}, "Table": {"TR", "Caption"}}.get(
            node.kind, kids
        )
        assert kids <= {"TH", "TD"} or node.kind != "TR"


@pytest.mark.parametrize("name", NAMES)
def test_figures_have_their_words_in_reading_order(folder: Path, name: str) -> None:
    asked = [element.alt for element in elements(sent()[name]) if element.role is Role.FIGURE]
    assert len(read_structure(folder / name).all("Figure")) == len(asked)
    assert list(read_alternatives(folder / name)) == asked
    assert all(len(words) > 20 for words in asked)


def read_alternatives(path: Path) -> Iterator[str]:
    """The alternative text of each figure, by walking the structure tree: poppler does not print it."""

    def walk(node: pikepdf.Object) -> Iterator[str]:
        if node.get("/S") == "/Figure":
            yield str(node.Alt)
        kids = node.get("/K", [])
        for kid in kids if isinstance(kids, pikepdf.Array) else [kids]:
            if isinstance(kid, pikepdf.Dictionary) and "/S" in kid:
                yield from walk(kid)

    with pikepdf.open(path) as pdf:
        yield from walk(pdf.Root.StructTreeRoot)


def test_a_card_reads_from_title_through_chart_to_steps_and_sections(folder: Path) -> None:
    front, back = read_structure(folder / "cards/contact.pdf").kids
    kinds = [node.kind for node in front.walk() if node.kind != "Sect"]
    assert kinds[:2] == ["H1", "Figure"]
    assert front.all("H1")[0].words == "2 Batting out of the box HS 2027"
    kinds = [node.kind for node in back.walk() if node.kind in ("H1", "H2", "L")]
    assert kinds[:2] == ["H1", "H2"]
    text = demo_proof().library.texts["mechanics/contact/enforce"]
    entries = text.entries
    assert text.heading in " ".join(node.words for node in back.all("H2"))
    (steps,) = (
        found for each in back.all("L") if len(found := [b.words for b in each.all("LBody")]) == len(entries)
    )
    for number, (step, entry) in enumerate(zip(steps, entries, strict=True), start=1):
        assert squeeze(step) == squeeze(f"{number} {entry.replace('*', '')}")
    assert "The rule book and the league govern." in back.all("P")[-1].words


def squeeze(words: str) -> str:
    """Words without spaces, apostrophes as typed: how a run is parted is not what is tested."""
    return re.sub(r"\s", "", words).replace("\u2019", "'")


@pytest.mark.parametrize("name", ["sheets/plate-area.pdf", "sheets/bases.pdf", "sheets/stakeout-plate.pdf"])
def test_a_sheets_table_has_headed_columns_and_rows_as_wide(folder: Path, name: str) -> None:
    tables = read_structure(folder / name).all("Table")
    assert tables
    for table in tables:
        head, *rows = table.kids
        assert {cell.kind for cell in head.kids} == {"TH"}
        assert all("/Scope /Column" in cell.attributes for cell in head.kids)
        assert all(cell.words for cell in head.kids[1:])  # what numbers the rows needs no head
        assert rows
        assert {len(row.kids) for row in rows} == {len(head.kids)}


def test_a_sheets_blanks_are_read_where_they_stand(folder: Path) -> None:
    front = read_structure(folder / "sheets/plate-area.pdf").kids[0]
    asked = [node.words for node in front.all("P") if node.all("Form")]
    kind = "Tape used (steel or fibreglass)"
    assert asked == ["Field", "Date", "Taped by", kind, "Temperature", "Checked by"]


def test_a_key_reads_play_by_play_in_the_order_of_its_sheet(folder: Path) -> None:
    sheet = next(sheet for sheet in demo_proof().plays.sheets if sheet.name == "feet")
    key = read_structure(folder / "plays/feet-key.pdf")
    headings = [node.words for node in key.all("H2")][: len(sheet.questions)]
    assert headings == [
        f"{number} {each.letter} {title_of(each)}" for number, each in enumerate(sheet.questions, start=1)
    ]
    labels = [
        node.words.partition(":")[0]
        for node in key.all("P")
        if node.words.startswith(("Ruling:", "Section:", "Way:", "Do:", "Other codes:"))
    ]
    assert labels == ["Ruling", "Section", "Way", "Do", "Other codes"] * len(sheet.questions)


def title_of(question: AskedPlay) -> str:
    return question.ruled.case.model.title.replace("'", "\u2019")


def test_a_question_reads_from_story_through_picture_to_its_choices(folder: Path) -> None:
    sheet = next(sheet for sheet in demo_proof().plays.sheets if sheet.name == "feet")
    lists = read_structure(folder / "plays/feet.pdf").all("L")
    assert len(lists) == len(sheet.questions)
    for question, choices in zip(sheet.questions, lists, strict=True):
        items = choices.all("LI")
        assert [item.all("LBody")[0].words[0] for item in items] == list("ABCD"[: len(question.choices)])
        assert all(len(item.all("Form")) == 1 for item in items)


# --- files ------------------------------------------------------------------------------------------------


@cache
def read_info(path: Path) -> dict[str, str]:
    pairs = (line.partition(":") for line in run("pdfinfo", str(path)).splitlines())
    return {name: value.strip() for name, _, value in pairs}


@pytest.mark.parametrize("name", NAMES)
def test_a_file_says_what_it_is_and_that_it_is_tagged(folder: Path, name: str) -> None:
    info, item = read_info(folder / name), sent()[name]
    assert info["Title"] == item.document.title
    assert info["Author"] == demo_proof().library.edition.association
    assert (info["Tagged"], info["Suspects"], info["JavaScript"]) == ("yes", "no", "no")
    assert (info["Encrypted"], info["PDF version"]) == ("no", "1.7")
    assert info["Pages"] == str(len(item.document.pages))
    assert not {"CreationDate", "ModDate"} & info.keys()


@pytest.mark.parametrize("name", NAMES)
def test_pages_have_the_size_of_their_stock(folder: Path, name: str) -> None:
    page = sent()[name].document.pages[0]
    size = re.match(r"([\d.]+) x ([\d.]+) pts", read_info(folder / name)["Page size"])
    assert size
    asked = (page.width_mm / 25.4 * 72, page.height_mm / 25.4 * 72)
    assert tuple(map(float, size.groups())) == pytest.approx(asked, abs=0.05)


def test_every_font_of_every_file_is_embedded_that_of_form_fields_too(folder: Path) -> None:
    paths = sorted(folder.rglob("*.pdf"))
    assert len(paths) > len(NAMES)  # what goes to the press too
    for path in paths:
        _, rule, *rows = run("pdffonts", str(path)).splitlines()
        widths = [len(dashes) for dashes in rule.split()]
        fonts = {row[: widths[0]].strip(): row.split()[-5:-2] for row in rows}
        assert fonts
        for font, (embedded, subset, unicode) in fonts.items():
            assert (embedded, subset, unicode) == ("yes", "yes", "yes"), (path.name, font)
