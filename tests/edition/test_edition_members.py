"""Members get their own cards, in order once cut and stacked, and a roster's faults are told line by line."""

from __future__ import annotations

import csv
import io
from collections.abc import Mapping
from contextlib import suppress
from itertools import islice
from pathlib import Path

import pytest
from click.testing import CliRunner
from hypothesis import given, settings
from hypothesis import strategies as st
from source_folders import SourceFolders

from pocketref.cli import main
from pocketref.edition.member_run import lay_out_owned
from pocketref.edition.members import build_members
from pocketref.edition.press import PressRun
from pocketref.edition.proof import Proof, prove
from pocketref.edition.roster import COLUMNS, Member, name_folder, read_roster
from pocketref.output.printed import PrintedPage, PrintedText
from pocketref.output.readback import read_pages, read_pdf
from pocketref.problems import PocketrefError
from pocketref.scene.items import Face
from pocketref.scene.typefaces import typeface

HEADER = "name,number,chapter,code,level,quantity\n"
ROW = "Ann Exemplar,1001,North Shore,high-school,90-ft,1\n"


def make_member(number: int, name: str = "", chapter: str = "North Shore", quantity: int = 1) -> Member:
    return Member(
        name or f"Member {number}", f"{number}", chapter, "high-school", "90-ft", quantity, number + 2
    )


def run_members(proof: Proof, members: list[Member], run: PressRun | None = None) -> Mapping[str, bytes]:
    return {file.name: file.data for file in build_members(proof, members, "roster.csv", run or PressRun())}


def faults(path: Path, text: str | bytes) -> list[tuple[str, int]]:
    path.write_bytes(text if isinstance(text, bytes) else text.encode())
    with pytest.raises(PocketrefError) as caught:
        read_roster(path)
    assert all(problem.hint for problem in caught.value.problems)
    return [(p.code, p.where.line if p.where else 0) for p in caught.value.problems]


@pytest.fixture
def roster(tmp_path: Path) -> Path:
    return tmp_path / "roster.csv"


# --- reading a roster ------------------------------------------------------------------------------------


def test_names_with_accents_commas_and_quotation_marks_are_read_as_written(roster: Path) -> None:
    roster.write_text(
        f'{HEADER}Zoë Ångström-Țepeș,1,Côte Nord,high-school,90-ft,2\n"O\'Neil, ""Jo""",2,A,youth,60-ft,1\n',
        encoding="utf-8",
    )
    first, second = read_roster(roster)
    assert first == Member("Zoë Ångström-Țepeș", "1", "Côte Nord", "high-school", "90-ft", 2, 2)
    assert second.name == 'O\'Neil, "Jo"'


def test_a_spreadsheet_s_byte_order_mark_line_ends_and_column_order_do_not_matter(roster: Path) -> None:
    header, row = (
        "\ufeffQuantity,level,code,Chapter,number,name",
        "1,90-ft,high-school,North Shore,1001,Ann Exemplar",
    )
    text = f"{header}\r\n{row}\r\n\r\n,,,,,\r\n"
    roster.write_bytes(text.encode())
    plain = roster.with_name("plain.csv")
    plain.write_text(HEADER + ROW)
    assert read_roster(roster) == read_roster(plain)


@pytest.mark.parametrize(
    ("row", "code"),
    [
        ("=1+1,1,A,high-school,90-ft,1", "roster-formula"),
        ("+Ann,1,A,high-school,90-ft,1", "roster-formula"),
        ("-Ann,1,A,high-school,90-ft,1", "roster-formula"),
        ("@Ann,1,A,high-school,90-ft,1", "roster-formula"),
        ("\tAnn,1,A,high-school,90-ft,1", "roster-formula"),
        ("Ann,=1,A,high-school,90-ft,1", "roster-formula"),
        ("Ann,1,=A,high-school,90-ft,1", "roster-formula"),
        ("An\x07n,1,A,high-school,90-ft,1", "roster-character"),
        ("An\u202en,1,A,high-school,90-ft,1", "roster-character"),
        ('"An\nn",1,A,high-school,90-ft,1', "roster-character"),
        ("\u6f22\u5b57,1,A,high-school,90-ft,1", "roster-glyph"),
        ("Ann,1,../x,high-school,90-ft,1", "roster-chapter"),
        ("Ann,1,a/b,high-school,90-ft,1", "roster-chapter"),
        ("Ann,1,a\\b,high-school,90-ft,1", "roster-chapter"),
        ("Ann,1,..,high-school,90-ft,1", "roster-chapter"),
        ("Ann,#1,A,high-school,90-ft,1", "roster-number"),
        ("Ann,1,A,high-school,90-ft,0", "roster-quantity"),
        ("Ann,1,A,high-school,90-ft,1.5", "roster-quantity"),
        ("Ann,1,A,high-school,90-ft,100", "roster-quantity"),
        ("Ann,1,A,high-school,90-ft,\u0661", "roster-glyph"),
        ("Ann,1,A,high-school,90-ft,", "roster-row"),
        (",1,A,high-school,90-ft,1", "roster-row"),
        (f"{'A' * 61},1,A,high-school,90-ft,1", "roster-row"),
        ("Ann,1,A,high-school,90-ft", "roster-row"),
        ("Doe, Ann,1,A,high-school,90-ft,1", "roster-row"),
        ('"Ann,1,A,high-school,90-ft,1', "roster-row"),
    ],
)
def test_a_row_that_cannot_be_used_is_told_with_its_line(row: str, code: str, roster: Path) -> None:
    ((found, line),) = faults(roster, f"{HEADER}{ROW}{row}\n")
    assert found == code
    assert line in (3, 4)


def test_a_number_is_one_member_s_and_a_set_is_asked_for_once(roster: Path) -> None:
    other = ROW.replace("Ann", "Bob")
    assert faults(roster, HEADER + ROW + other) == [("roster-duplicate", 3)]
    assert faults(roster, HEADER + ROW + ROW) == [("roster-duplicate", 3)]
    roster.write_text(HEADER + ROW + ROW.replace("high-school,90-ft", "youth,60-ft"))
    assert len(read_roster(roster)) == 2


def test_two_chapters_that_would_share_a_folder_are_refused(roster: Path) -> None:
    twin = ROW.replace("North Shore", "NORTH-SHORE").replace("1001", "1002").replace("Ann", "Bob")
    assert faults(roster, HEADER + ROW + twin) == [("roster-chapter", 3)]


def test_a_missing_or_misspelt_column_is_named_with_the_closest_match(roster: Path) -> None:
    roster.write_text(HEADER.replace("chapter", "chaptre") + ROW)
    with pytest.raises(PocketrefError) as caught:
        read_roster(roster)
    unknown, missing = caught.value.problems
    assert "chapter" in unknown.hint
    assert "'chapter' is missing" in missing.sentence
    assert {problem.code for problem in caught.value.problems} == {"roster-columns"}
    assert faults(roster, HEADER.replace("level", "code") + ROW)[0] == ("roster-columns", 1)


@pytest.mark.parametrize("text", ["", HEADER, "\n\n"])
def test_a_roster_of_nobody_is_refused(text: str, roster: Path) -> None:
    assert faults(roster, text)[0][0] in ("roster-empty", "roster-columns")


def test_a_file_in_another_encoding_is_refused_at_its_line(roster: Path) -> None:
    assert faults(roster, HEADER.encode() + ROW.encode() + "Zoë,2,A,a,b,1\n".encode("latin-1")) == [
        ("roster-encoding", 3)
    ]
    assert faults(roster, HEADER.encode("utf-16")) == [("roster-encoding", 1)]


def test_a_roster_that_is_not_there_is_refused(tmp_path: Path) -> None:
    with pytest.raises(PocketrefError, match="cannot be read"):
        read_roster(tmp_path / "none.csv")


def test_of_very_many_faults_the_first_are_told_and_the_rest_counted(roster: Path) -> None:
    found = faults(roster, HEADER + "=x,1,A,b,c,1\n" * 3000)
    assert len(found) == 51


def test_a_long_roster_is_read(roster: Path) -> None:
    rows = "".join(f"Member {n},{n},Chapter {n % 40},high-school,90-ft,1\n" for n in range(20_000))
    roster.write_text(HEADER + rows)
    assert len(read_roster(roster)) == 20_000


@settings(max_examples=60, deadline=None)
@given(data=st.binary(max_size=200))
def test_whatever_a_file_holds_it_is_read_or_refused(
    data: bytes, tmp_path_factory: pytest.TempPathFactory
) -> None:
    path = tmp_path_factory.mktemp("roster") / "any.csv"
    path.write_bytes(HEADER.encode() + data)
    members: tuple[Member, ...] = ()
    with suppress(PocketrefError):
        members = read_roster(path)
    assert all(name_folder(member.chapter) and member.name[0] not in "=+-@" for member in members)


# --- the printed run -------------------------------------------------------------------------------------


def find_owners(page: PrintedPage) -> list[PrintedText]:
    return [text for text in page.texts if text.content.startswith("Member ")]


def cell_of(text: PrintedText, page: PrintedPage) -> tuple[int, int]:
    """Row from the top and column from the left of a place on a sheet of two by two."""
    return int(text.y < page.media.height_mm / 2), int(text.x > page.media.width_mm / 2)


@pytest.mark.parametrize("flip", ["long", "short"])
@pytest.mark.parametrize("count", [1, 4, 5, 11])
def test_cut_and_stacked_the_cards_are_in_the_order_of_the_roster(
    count: int, flip: str, proven: Proof
) -> None:
    members = [make_member(n, quantity=1 + n % 2) for n in range(count)]
    files = run_members(proven, members, PressRun(flip=flip))  # type: ignore[arg-type]
    pages = read_pdf(files["members/north-shore/cards-index-3x5.pdf"]).pages
    fronts = pages[::2]
    assert len(pages) == 2 * len(fronts)
    piles: dict[tuple[int, int], list[str]] = {}
    for page in fronts:
        for text in find_owners(page):
            piles.setdefault(cell_of(text, page), []).append(text.content)
    stacked = [owner for place in sorted(piles) for owner in piles[place]]
    assert stacked == [f"{m.name}, {m.number}" for m in members for _ in range(m.quantity)]
    assert not any(find_owners(page) for page in pages[1::2])


def test_a_sheet_has_a_back_for_each_front_and_none_beside(proven: Proof) -> None:
    files = run_members(proven, [make_member(n) for n in range(5)])
    for front, back in zip(
        *[iter(read_pages(files["members/north-shore/cards-index-3x5.pdf"]))] * 2, strict=True
    ):
        titles = [sum(text.content.startswith("Batter") for text in page.texts) for page in (front, back)]
        governs = sum(text.content.startswith("The rule book") for text in back.texts)
        assert titles[0] == len(find_owners(front)) == governs


def test_apart_from_its_owner_a_card_says_what_the_card_itself_says(proven: Proof) -> None:
    (card,) = proven.layouts.cards
    owned = lay_out_owned(card, proven.library, proven.layouts)
    files = run_members(proven, [make_member(1)])
    pages = read_pdf(files["members/north-shore/cards-index-3x5.pdf"]).pages
    plain = {file.name: file for file in proven.cards}[card.card].document
    assert len(plain.pages) == len(owned.document.pages) == len(pages)
    said = [sorted(text.content for text in page.texts if text.has_ink) for page in pages]
    assert "Member 1, 1" in said[0]
    assert "Edition 2027 (invented). Valid through 31 Dec 2027" in said[0]
    assert "HS 2027" in said[0]
    assert "The rule book and the league govern." in said[1]


def test_every_sheet_is_numbered_and_names_chapter_and_edition(proven: Proof) -> None:
    files = run_members(proven, [make_member(n) for n in range(41)])
    for index, page in enumerate(read_pages(files["members/north-shore/cards-index-3x5.pdf"])):
        outside = [text for text in page.texts if text.size_pt < 7.61 and min(text.x, text.y) < 10]
        outside.sort(key=lambda text: text.x + text.y)
        slug = " ".join(" ".join(text.content for text in outside).split())
        assert ("backs" if index % 2 else f"sheet {index // 2 + 1} of 11, fronts") in slug
        assert "North Shore" in slug
        assert "edition 2027" in slug


def test_all_type_is_embedded_above_the_floor_and_on_the_paper(proven: Proof) -> None:
    files = run_members(proven, [make_member(n) for n in range(3)])
    for name, data in files.items():
        for page in read_pages(data) if name.endswith(".pdf") else ():
            for text in page.texts:
                assert text.is_embedded
                assert text.size_pt >= proven.cards[0].floor_pt - 0.005
                assert text.extent[0] >= 0
                assert text.extent[2] <= page.media.width_mm


def test_names_from_more_characters_than_one_font_subset_holds_are_printed_whole(proven: Proof) -> None:
    face = typeface(Face.BOLD)
    letters = [chr(code) for code in range(0xA1, 0x2600) if chr(code).isprintable()]
    known = [ch for ch in letters if not face.missing(ch) and not typeface(Face.REGULAR).missing(ch)]
    assert len(known) > 300
    words = ["".join(known[start : start + 12]) for start in range(0, 312, 12)]
    members = [make_member(n, f"Member {word}") for n, word in enumerate(words)]
    files = run_members(proven, members)
    printed = "".join(
        text.content
        for page in read_pages(files["members/north-shore/cards-index-3x5.pdf"])
        for text in page.texts
    )
    assert set("".join(words)) <= set(printed)


def test_the_same_roster_gives_the_same_bytes(proven: Proof) -> None:
    members = [make_member(n) for n in range(9)]
    assert run_members(proven, members) == run_members(proven, members)


def test_a_card_takes_few_bytes(proven: Proof) -> None:
    files = run_members(proven, [make_member(n) for n in range(1200)])
    assert len(files["members/north-shore/cards-index-3x5.pdf"]) / 1200 <= 250


def test_chapters_have_their_own_lists_and_the_totals_add_up(proven: Proof) -> None:
    members = [make_member(n, chapter=("Côte Nord", "East")[n % 2], quantity=1 + n) for n in range(5)]
    files = run_members(proven, members)
    rows = list(csv.DictReader(io.StringIO(files["members/cote-nord/packing-list.csv"].decode())))
    assert [(row["name"], row["quantity"], row["cards"]) for row in rows] == [
        ("Member 0", "1", "1"),
        ("Member 2", "3", "3"),
        ("Member 4", "5", "5"),
    ]
    totals = list(csv.DictReader(io.StringIO(files["members/totals.csv"].decode())))
    assert [(t["chapter"], t["members"], t["cards"], t["sheets"]) for t in totals] == [
        ("Côte Nord", "3", "9", "3"),
        ("East", "2", "6", "2"),
        ("all chapters", "5", "15", "5"),
    ]
    (page,) = islice(read_pages(files["members/cote-nord/packing-list.pdf"]), 1)
    said = [text.content for text in page.texts]
    assert "Côte Nord" in said
    assert {"Member 0", "Member 2", "Member 4"} <= set(said)
    assert "Member 1" not in said


def test_a_long_packing_list_goes_on_and_lists_each_member_once(proven: Proof) -> None:
    files = run_members(proven, [make_member(n) for n in range(100)])
    said = [
        text.content
        for page in read_pages(files["members/north-shore/packing-list.pdf"])
        for text in page.texts
    ]
    assert all(said.count(f"Member {n}") == 1 for n in range(100))


def test_a_very_long_packing_list_is_several_files_that_count_their_pages_through(proven: Proof) -> None:
    files = run_members(proven, [make_member(n) for n in range(1010)])
    assert "members/north-shore/packing-list-1.pdf" in files
    (page,) = read_pdf(files["members/north-shore/packing-list-2.pdf"]).pages
    assert any(text.content.endswith("page 25 of 25") for text in page.texts)


def test_a_set_that_no_card_is_for_and_a_name_too_long_are_told_with_their_lines(proven: Proof) -> None:
    odd = Member("Ann", "1", "A", "high-scool", "90-ft", 1, 7)
    long = Member("W" * 60, "1", "A", "high-school", "90-ft", 1, 8)
    for member, code in ((odd, "roster-set"), (long, "roster-name-long")):
        with pytest.raises(PocketrefError) as caught:
            run_members(proven, [member])
        (problem,) = caught.value.problems
        assert problem.code == code
        assert problem.where is not None
        assert problem.where.line == member.line


def test_a_chapter_called_like_a_sheet_count_does_not_upset_the_numbers(proven: Proof) -> None:
    files = run_members(proven, [make_member(n, chapter="sheet 1 of 1, A") for n in range(5)])
    (data,) = (data for name, data in files.items() if name.endswith("cards-index-3x5.pdf"))
    said = "".join("".join(text.content for text in page.texts) for page in read_pages(data))
    assert "sheet 1 of 1, A" in said
    assert said.count("of 2, fronts") == 2


# --- the command -----------------------------------------------------------------------------------------


def test_a_run_is_published_with_the_edition_and_verified_with_it(
    folders: SourceFolders, roster: Path, tmp_path: Path
) -> None:
    roster.write_text(HEADER + ROW)
    out = tmp_path / "out"
    options = [*folders.options, "--out", str(out), "--members", str(roster)]
    run = CliRunner().invoke(main, ["publish", *options])
    assert run.exit_code == 0, run.output
    assert (out / "2027" / "members" / "north-shore" / "cards-index-3x5.pdf").is_file()
    assert CliRunner().invoke(main, ["verify", str(out / "2027")]).exit_code == 0


def test_a_faulty_roster_publishes_nothing(folders: SourceFolders, roster: Path, tmp_path: Path) -> None:
    roster.write_text(HEADER + ROW.replace("North Shore", "../x"))
    out = tmp_path / "out"
    options = [*folders.options, "--out", str(out), "--members", str(roster)]
    run = CliRunner().invoke(main, ["publish", *options])
    assert run.exit_code == 1
    assert "roster.csv:2" in run.output
    assert not out.exists()


def test_cards_laid_out_on_another_stock_are_imposed_on_that(folders: SourceFolders) -> None:
    proof = prove(folders.content, folders.layouts)
    names = [name for name, stock in proof.layouts.stocks.items() if stock.kind == "card"]
    assert COLUMNS[0] == "name"
    for stock in names:
        files = {f.name for f in build_members(proof, [make_member(1)], "roster.csv", PressRun(), stock)}
        assert f"members/north-shore/cards-{stock}.pdf" in files
