"""What is in doubt is marked wherever it is printed, and is so until it was compared with the book in force."""

from __future__ import annotations

import csv
import io
import re
from pathlib import Path

import pytest
from demo_edition import demo_proof as prove_demo
from demo_plays import demo
from play_samples import content
from pypdf import PdfReader
from source_folders import SourceFolders

from pocketref.blocks.doubt import write_meaning
from pocketref.edition.proof import Proof, prove
from pocketref.edition.review import build_review, list_doubts, summarize_doubts, write_doubts
from pocketref.edition.sign_off import read_sign_off
from pocketref.edition.statement_words import find_faces
from pocketref.layouts.cards import LaidOut
from pocketref.layouts.play_sheets import lay_out_key
from pocketref.output.contents import items_of, texts_in
from pocketref.problems import PocketrefError
from pocketref.source.library import read_library
from pocketref.source.statements import DOUBT
from pocketref.web.plays_web import _ask as ask_pictures
from pocketref.web.plays_web import write_key
from pocketref.web.web import build_web_page

COMPARED = "content/compared.yaml"
TOLD = ("rulings/high-school/stance/", "fields/high-school-90-ft/dimensions/plate-rear-edge")


@pytest.fixture(scope="module")
def demo_proof() -> Proof:
    return prove_demo()


def read_pages(item: LaidOut) -> list[str]:
    """What stands on each page, in reading order."""
    return [
        " ".join(text.content for text in texts_in(items_of(page.elements))) for page in item.document.pages
    ]


def sign_off(folders: SourceFolders, role: str = "rules interpreter") -> None:
    """Compare everything: the review sheet's CSV filled in, and its entries put into the content."""
    sheets = build_review(prove(folders.content, folders.layouts), "letter")
    rows = list(csv.DictReader(io.StringIO(sheets["review.csv"].decode())))
    for row in rows:
        row |= {"agrees": "yes", "role": role, "date": "2027-01-15"}
    filled = io.StringIO()
    writer = csv.DictWriter(filled, list(rows[0]))
    writer.writeheader()
    writer.writerows(rows)
    folders.write("review.csv", filled.getvalue())
    folders.write(COMPARED, read_sign_off(folders.root / "review.csv", read_library(folders.content)))


def test_a_page_says_what_the_mark_means_just_where_it_has_the_mark(demo_proof: Proof) -> None:
    keys = [lay_out_key(sheet, demo().books, demo_proof.layouts) for sheet in demo().sheets]
    marked = 0
    for item in (*demo_proof.cards, *demo_proof.sheets, *keys):
        for text in read_pages(item):
            body = text.replace(write_meaning(), "")
            said = write_meaning() in text
            if item in keys:
                assert said
            else:
                assert (DOUBT in body) is said, item.name
            marked += DOUBT in body
    assert marked > 20


def test_every_face_marks_what_it_prints_of_what_is_in_doubt(demo_proof: Proof) -> None:
    """Each card and sheet, against the statements that its own blocks rest on."""
    library, pages = demo_proof.library, {}
    for item in demo_proof.cards:
        number = next(card.number for card in demo_proof.layouts.cards if card.card == item.name)
        pages[f"card {number}"] = " ".join(read_pages(item))
    for item in demo_proof.sheets:
        pages[f"sheet {item.name}"] = " ".join(read_pages(item))
    faces = find_faces(library, demo_proof.layouts)
    shown = {
        name.removesuffix(" front").removesuffix(" back"): [] for names in faces.values() for name in names
    }
    for statement in library.doubts:
        for name in faces.get(id(statement.model), ()):
            shown[name.removesuffix(" front").removesuffix(" back")].append(statement)
    assert {name for name, found in shown.items() if found} == {
        name for name, text in pages.items() if DOUBT in text
    }
    coach = [s for s in library.doubts if s.name == "fields/high-school-90-ft/dimensions/coach-box-width"]
    assert coach[0] in shown["card 6"]
    assert f"Whole field{DOUBT}" in pages["card 6"]
    assert "coach’s box, width" in pages["card 6"]


def test_pages_of_html_mark_it_too(demo_proof: Proof) -> None:
    index = build_web_page(demo_proof, []).data.decode()
    library = demo_proof.library
    tables = [table for (code, _), table in library.rulings.items() if code in library.edition.codes]
    doubted = [
        table.rulings[row.ruling].headline
        for table in tables
        for row in table.rows
        if library.mark_doubt(row)
    ]
    assert doubted
    assert all(f"{headline}{DOUBT}".replace("'", "’") in index for headline in doubted)
    assert write_meaning() in index
    sheet = demo().sheets[0]
    key = write_key(sheet, demo().books, ask_pictures(sheet, demo().books))
    assert any(write_meaning() in line for line in key.foot)


def test_what_is_disputed_says_check_league_among_the_calls_and_in_the_chart(folders: SourceFolders) -> None:
    folders.replace(
        "content/rulings/high-school/stance.yaml",
        "    confidence: inferred\nrulings",
        "    confidence: inferred\n    unsettled: two readings\nrulings",
    )
    front, back = read_pages(prove(folders.content, folders.layouts).cards[0])
    assert "(check league):" in back
    assert back.count("check league") == 1
    assert "check your league" in front + back


def test_the_list_says_where_each_statement_is_printed(demo_proof: Proof) -> None:
    lines = write_doubts(demo_proof)
    assert len(lines) == len(demo_proof.library.doubts) == sum(1 for _ in list_doubts(demo_proof))
    coach = next(line for line in lines if "90-ft diamond, coach's box, width: 5 ft" in line)
    assert re.match(r"content/fields/high-school-90-ft\.yaml:\d+:26: from memory: ", coach)
    assert coach.endswith(
        "(card 6 front, sheet bases front, sheet stakeout-bases front, sheet stakeout-plate back)"
    )
    assert any(line.endswith("keys to plays)") for line in lines)
    assert any(line.endswith("(web page)") for line in lines)


def test_the_review_sheet_has_each_statement_under_every_book_it_cites(folders: SourceFolders) -> None:
    proof = prove(folders.content, folders.layouts)
    sheets = build_review(proof, "letter")
    assert set(sheets) == {"review.pdf", "review.csv"}
    rows = list(csv.DictReader(io.StringIO(sheets["review.csv"].decode())))
    assert [(row["book"], row["edition"], row["how sure"]) for row in rows] == [
        ("field-book", "2020, invented for the tests", "from memory"),
        ("field-book", "2020, invented for the tests", "inferred"),
        ("field-book", "2020, invented for the tests", "inferred"),
    ]
    assert [row["section"] for row in rows] == ["FB 1-2", "FB 7-1", "FB 7-3"]
    assert rows[0]["we say"].startswith("90-ft diamond, home plate, each rear edge")
    assert rows[2]["we say"].startswith("High school. Stance")
    assert "card 1 front" in rows[2]["stands on"] or "card 1 back" in rows[2]["stands on"]
    assert all(row["statement"].startswith(TOLD) for row in rows)
    printed = PdfReader(io.BytesIO(sheets["review.pdf"]))
    assert {"agrees 1", "agrees 2", "agrees 3", "Date"} < set(printed.get_fields() or {})
    assert "A Book of Fields (FB)" in printed.pages[0].extract_text()


def test_signing_off_clears_the_marks(folders: SourceFolders) -> None:
    assert summarize_doubts(prove(folders.content, folders.layouts).library).startswith(
        "3 statements are in doubt and marked in print (1 from memory, 2 inferred)"
    )
    sign_off(folders)
    proof = prove(folders.content, folders.layouts)
    assert proof.library.doubts == ()
    assert summarize_doubts(proof.library) == ""
    assert not any(DOUBT in text for item in (*proof.cards, *proof.sheets) for text in read_pages(item))
    with pytest.raises(PocketrefError, match="nothing is in doubt"):
        build_review(proof, "letter")


def test_a_new_edition_of_the_book_brings_the_marks_back(folders: SourceFolders) -> None:
    sign_off(folders)
    folders.replace("content/works.yaml", "2020, invented", "2028, invented")
    library = read_library(folders.content)
    assert len(library.doubts) == 3
    (warning,) = library.warnings
    assert str(warning.where) == f"{COMPARED}:3:12"
    assert (
        "'2020, invented for the tests', and '2028, invented for the tests' is in force" in warning.sentence
    )


@pytest.mark.parametrize(
    ("name", "old", "new"),
    [
        ("content/fields/high-school-90-ft.yaml", "value: 12 in", "value: 12 1/4 in"),
        ("content/rulings/high-school/stance.yaml", "Strike for refusing", "Strike, for refusing"),
    ],
    ids=["a figure", "what its ruling comes to"],
)
def test_what_says_something_else_since_is_marked_again(
    folders: SourceFolders, name: str, old: str, new: str
) -> None:
    sign_off(folders)
    folders.replace(name, old, new)
    library = read_library(folders.content)
    assert library.doubts
    assert {warning.code for warning in library.warnings} == {"comparison-other"}
    assert all(str(warning.where).startswith(f"{COMPARED}:") for warning in library.warnings)


def test_a_statement_keeps_its_name_where_rows_move(folders: SourceFolders) -> None:
    sign_off(folders)
    table = folders.root / "content/rulings/high-school/stance.yaml"
    head, rest = table.read_text(encoding="utf-8").split("rows:\n")
    rows, tail = rest.split("rulings:\n")
    blocks = rows.split("  - when:")[1:]
    moved = "".join(f"  - when:{block}" for block in reversed(blocks))
    table.write_text(f"{head}rows:\n{moved}rulings:\n{tail}", encoding="utf-8")
    library = read_library(folders.content)
    assert library.doubts == library.warnings == ()


@pytest.mark.parametrize(
    ("old", "new", "where", "said"),
    [
        ("book: field-book", "book: feild-book", "2:9", "did you mean 'field-book'"),
        ("date: '2027-01-15'", "date: 15 January", "5:9", "is not a date"),
        (
            "rear-edge:",
            "rear-ege:",
            "7:5",
            "did you mean 'fields/high-school-90-ft/dimensions/plate-rear-edge'",
        ),
        ("  role: rules interpreter\n", "", "2:3", "add 'role: ...'"),
    ],
    ids=["no such book", "no date", "no such statement", "no role"],
)
def test_a_bad_entry_is_told_by_its_place(
    folders: SourceFolders, old: str, new: str, where: str, said: str
) -> None:
    sign_off(folders)
    folders.replace(COMPARED, old, new)
    with pytest.raises(PocketrefError) as caught:
        read_library(folders.content)
    (problem,) = caught.value.problems
    assert str(problem.where) == f"{COMPARED}:{where}"
    assert said in f"{problem.sentence} {problem.hint}"


def test_what_cites_another_book_is_no_sign_off(folders: SourceFolders) -> None:
    sign_off(folders)
    folders.replace(COMPARED, "book: field-book", "book: house")
    with pytest.raises(PocketrefError, match="does not cite house"):
        read_library(folders.content)


def test_an_unfilled_or_spoilt_csv_signs_nothing_off(tmp_path: Path) -> None:
    heads = "book,edition,statement,mark,agrees,role,date\n"
    row = "pro-book,about 2024,cautions/heat,12345678,{},umpire in chief,{}\n"
    path = tmp_path / "review.csv"
    for text, said in (
        (heads + row.format("", ""), "signs nothing off"),
        (heads + row.format("perhaps", "2027-01-15"), "'perhaps' is neither yes nor no"),
        (heads + row.format("yes", "soon"), "'soon' is not a date"),
        (heads + row.format("yes", "2027-01-15"), "does not cite pro-book"),
        ("book,edition\nx,y\n", "no column 'statement'"),
    ):
        path.write_text(text, encoding="utf-8")
        with pytest.raises(PocketrefError) as caught:
            read_sign_off(path, content())
        (problem,) = caught.value.problems
        assert said in problem.sentence
        assert said == "signs nothing off" or str(problem.where).startswith("review.csv:")
