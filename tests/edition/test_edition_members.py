"""Members get their own cards, in order once cut and stacked, and a roster's faults are told line by line."""

from __future__ import annotations

import csv
import io
from collections.abc import Mapping
from itertools import islice
from pathlib import Path
from unicodedata import combining

import pytest
from click.testing import CliRunner
from source_folders import SourceFolders

from pocketref.cli import main
from pocketref.edition.press import PressRun
from pocketref.edition.proof import Proof, prove
from pocketref.members.members import MemberRun
from pocketref.members.roster import Member
from pocketref.output.pdf import write_pdf
from pocketref.output.reading.printed import PrintedPage, PrintedText
from pocketref.output.reading.readback import read_pages, read_pdf
from pocketref.problems import PocketrefError
from pocketref.scene.items import FontFace
from pocketref.scene.typefaces import typeface

HEADER = "name,number,chapter,code,level,quantity\n"
ROW = "Ann Exemplar,1001,North Shore,high-school,90-ft,1\n"


def make_member(number: int, name: str = "", chapter: str = "North Shore", quantity: int = 1) -> Member:
    return Member(
        name or f"Member {number}", f"{number}", chapter, "high-school", "90-ft", quantity, number + 2
    )


def run_members(proof: Proof, members: list[Member], run: PressRun | None = None) -> Mapping[str, bytes]:
    built = MemberRun(proof, members, "roster.csv", run or PressRun()).build()
    return {file.name: file.data for file in built}


@pytest.fixture
def roster(tmp_path: Path) -> Path:
    return tmp_path / "roster.csv"


# --- the printed run -------------------------------------------------------------------------------------


def find_owners(page: PrintedPage) -> list[PrintedText]:
    return [text for text in page.texts if text.content.startswith("Member ")]


def cell_of(text: PrintedText, page: PrintedPage) -> tuple[int, int]:
    """Row from the top and column from the left of a place on a sheet of two by two."""
    return int(text.y < page.media.height_mm / 2), int(text.x > page.media.width_mm / 2)


@pytest.mark.parametrize("flip", ["long", "short"])
@pytest.mark.parametrize("count", [1, 4, 5, 11])
def test_cut_and_stacked_the_cards_are_in_the_order_of_the_packing_list(
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
    ordered = sorted(members, key=lambda member: member.name)
    assert stacked == [f"{m.name}, {m.number}" for m in ordered for _ in range(m.quantity)]
    assert not any(find_owners(page) for page in pages[1::2])


def test_a_sheet_has_a_back_for_each_front_and_none_beside(proven: Proof) -> None:
    files = run_members(proven, [make_member(n) for n in range(5)])
    for front, back in zip(
        *[iter(read_pages(files["members/north-shore/cards-index-3x5.pdf"]))] * 2, strict=True
    ):
        titles = [sum(text.content.startswith("Batter") for text in page.texts) for page in (front, back)]
        governs = sum(text.content.endswith("The rule book and the league govern.") for text in back.texts)
        assert titles[0] == len(find_owners(front)) == governs


def test_apart_from_its_owner_a_card_says_what_the_card_itself_says(proven: Proof) -> None:
    (card,) = proven.cards
    files = run_members(proven, [make_member(1)])
    pages = read_pdf(files["members/north-shore/cards-index-3x5.pdf"]).pages
    said = [{text.content.strip() for text in page.texts} for page in pages]
    gone = {"Valid through 31 Dec 2027", "The rule book and the league govern."}
    for page, its_own in zip(read_pdf(write_pdf(card.document)).pages, said, strict=True):
        assert {text.content.strip() for text in page.texts} - gone <= its_own
    assert "Member 1, 1" in said[0]
    assert "Larkmoor Test Umpires (invented), edition 2027" in said[0]
    assert "HS 2027" in said[0]
    assert "Valid through 31 Dec 2027. The rule book and the league govern." in said[1]


def test_a_name_that_needs_the_room_takes_that_of_the_association(folders: SourceFolders) -> None:
    whole = "Larkmoor Test Umpires of the North and of the South"
    folders.replace("content/edition.yaml", "Larkmoor Test Umpires", whole)
    proof = prove(folders.content, folders.layouts)
    for name, is_named in (("Member Jo", True), ("Member Anna-Maria Exemplar", False)):
        files = run_members(proof, [make_member(1, name)])
        page = read_pdf(files["members/north-shore/cards-index-3x5.pdf"]).pages[0]
        said = [text.content for text in page.texts]
        assert (f"{whole} (invented), edition 2027" in said) == is_named
        assert ("Edition 2027 (invented). Valid through 31 Dec 2027" in said) != is_named
        assert f"{name}, 1" in said


def test_each_member_of_a_packing_list_has_a_box_to_tick(proven: Proof) -> None:
    files = run_members(proven, [make_member(n) for n in range(3)])
    (page,) = read_pdf(files["members/north-shore/packing-list.pdf"]).pages
    (head,) = [text for text in page.texts if text.content == "Packed"]
    for n in range(3):
        (name,) = [text for text in page.texts if text.content == f"Member {n}"]
        boxes = [
            path.extent
            for path in page.paths
            if path.extent[0] >= head.extent[0]
            and path.extent[1] < name.y + 1 < path.extent[3]
            and path.extent[3] - path.extent[1] < 4
        ]
        assert len(boxes) == 1, n


def test_every_sheet_is_numbered_and_names_chapter_and_edition(proven: Proof) -> None:
    files = run_members(proven, [make_member(n) for n in range(41)])
    for index, page in enumerate(read_pages(files["members/north-shore/cards-index-3x5.pdf"])):
        outside = [text for text in page.texts if text.size_pt < 7.61 and min(text.x, text.y) < 10]
        outside.sort(key=lambda text: text.x + text.y)
        assert outside[0].content == ("backs" if index % 2 else f"sheet {index // 2 + 1} of 11, fronts")
        slug = " ".join(" ".join(text.content for text in outside).split())
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
    face = typeface(FontFace.BOLD)
    letters = [chr(code) for code in range(0xA1, 0x2600) if chr(code).isprintable()]
    known = [ch for ch in letters if not face.missing(ch) and not typeface(FontFace.REGULAR).missing(ch)]
    assert len(known) > 300
    single = [ch for ch in known if not combining(ch)]
    words = ["".join(single[start : start + 12]) for start in range(0, 300, 12)]
    words.append("m\u0301n\u0302")  # no character has letter and mark in one
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
    members = [make_member(n, quantity=1 + 9 * (n % 2)) for n in range(160)]
    pages = read_pdf(run_members(proven, members)["members/north-shore/packing-list.pdf"]).pages
    said = [text.content for page in pages for text in page.texts]
    assert all(said.count(f"Member {n}") == 1 for n in range(160))
    assert [said.count("Packed by"), said.count("Name")] == [1, len(pages)]
    for number, page in enumerate(pages, 1):
        assert any(text.content.endswith(f"page {number} of {len(pages)}") for text in page.texts)
        ends = [text.extent[2] for text in page.texts if text.content.strip() in ("1", "10")]
        (head,) = [text.extent[2] for text in page.texts if text.content == "Cards"]
        assert any(abs(end - head) < 0.3 for end in ends)


def test_a_member_gets_the_further_cards_that_the_finder_sends_to_and_no_others(
    folders: SourceFolders,
) -> None:
    card = (folders.layouts / "cards/batters-box.yaml").read_text(encoding="utf-8")
    for number, name in (("2", "further"), ("3", "lanyard")):
        text = card.replace("batters-box", name, 1).replace('"1"', f'"{number}"', 1)
        folders.add(f"layouts/cards/{name}.yaml", f"set: {name}\n{text}")
    finder = (
        "card: finder\nnumber: '0'\ntitle: What happened?\nstock: index-3x5\ncode: high-school\nlevel: 90-ft\n"
        "front:\n  - {block: finder, sets: [further]}\nback:\n  - {block: codes}\n"
    )
    folders.add("layouts/cards/finder.yaml", finder)
    files = run_members(prove(folders.content, folders.layouts), [make_member(0)])
    page = read_pdf(files["members/north-shore/cards-index-3x5.pdf"]).pages[0]
    said = [text.content for text in page.texts]
    assert {words for words in said if words in ("0", "1", "2", "3")} == {"0", "1", "2"}
    assert len(find_owners(page)) == 3


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
    stocks = prove(folders.content, folders.layouts).layouts.stocks
    for name in (name for name, stock in stocks.items() if stock.kind == "card"):
        files = run_members(prove(folders.content, folders.layouts, name), [make_member(1)])
        assert f"members/north-shore/cards-{name}.pdf" in files
