"""What a roster may look like, and how its faults are pointed at."""

from __future__ import annotations

from contextlib import suppress
from pathlib import Path

import pytest
from hypothesis import given, settings
from hypothesis import strategies as st

from pocketref.edition.press import PressRun
from pocketref.edition.proof import Proof
from pocketref.members.members import MemberRun
from pocketref.members.roster import Member, name_folder, read_roster
from pocketref.problems import PocketrefError, Problem, render_problem

HEADER = "name,number,chapter,code,level,quantity\n"
ROW = "Ann Exemplar,1001,North Shore,high-school,90-ft,1\n"
QUOTED = '"Exemplar, Ann",1001,North Shore,high-school,90-ft,1\n'


@pytest.fixture
def roster(tmp_path: Path) -> Path:
    return tmp_path / "roster.csv"


def faults(path: Path, text: str | bytes) -> list[tuple[str, int]]:
    path.write_bytes(text if isinstance(text, bytes) else text.encode())
    with pytest.raises(PocketrefError) as caught:
        read_roster(path)
    assert all(problem.hint for problem in caught.value.problems)
    return [(p.code, p.where.line if p.where else 0) for p in caught.value.problems]


def find_fault(path: Path, text: str) -> Problem:
    path.write_text(text, encoding="utf-8")
    with pytest.raises(PocketrefError) as caught:
        read_roster(path)
    return caught.value.problems[0]


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
        ("An\x07n,1,A,high-school,90-ft,1", "text-control-character"),
        ("An\u202en,1,A,high-school,90-ft,1", "roster-character"),
        ('"An\nn",1,A,high-school,90-ft,1', "roster-row"),
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
        ("text-not-utf8", 3)
    ]
    assert faults(roster, HEADER.encode("utf-16")) == [("text-not-utf8", 0)]


def test_a_roster_that_is_not_there_is_refused(tmp_path: Path) -> None:
    with pytest.raises(PocketrefError, match="is not there"):
        read_roster(tmp_path / "none.csv")


def test_of_very_many_faults_the_first_are_told_and_the_rest_counted(roster: Path) -> None:
    found = faults(roster, HEADER + "=x,1,A,b,c,1\n" * 3000)
    assert len(found) == 51


def test_a_long_roster_is_read(roster: Path) -> None:
    rows = "".join(f"Member {n},{n},Chapter {n % 40},high-school,90-ft,1\n" for n in range(20_000))
    roster.write_text(HEADER + rows)
    assert len(read_roster(roster)) == 20_000


@settings(max_examples=60)
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


@pytest.mark.parametrize("separator", [";", "\t"])
def test_a_spreadsheet_s_semicolons_or_tabs_are_read_as_commas_are(separator: str, roster: Path) -> None:
    roster.write_text(HEADER + QUOTED, encoding="utf-8")
    plain = read_roster(roster)
    row = QUOTED.replace('"Exemplar, Ann"', "Exemplar| Ann").replace(",", separator).replace("|", ",")
    roster.write_text(HEADER.replace(",", separator) + row, encoding="utf-8")
    assert read_roster(roster) == plain


def test_a_level_may_be_written_as_the_edition_writes_it(roster: Path) -> None:
    roster.write_text(HEADER + QUOTED.replace("90-ft", "high-school-90-ft"), encoding="utf-8")
    (member,) = read_roster(roster)
    assert (member.code, member.level) == ("high-school", "90-ft")


def test_a_row_too_short_and_one_too_long_get_their_own_remedies(roster: Path) -> None:
    short = find_fault(roster, HEADER + "Ann,1001\n")
    assert short.sentence == "this row has 2 values, the columns are 6"
    assert "name, number, chapter, code, level, quantity" in short.hint
    assert "quotation marks" not in short.hint
    long = find_fault(roster, HEADER + "Exemplar, Ann,1001,North,high-school,90-ft,1\n")
    assert long.hint == "put a value that holds a comma in quotation marks"


@pytest.mark.parametrize(
    ("old", "new", "at"),
    [
        (",1\n", ",none\n", "none"),
        ("1001", "#1001", "#1001"),
        ("North Shore", "../x", "../x"),
        ("North Shore", "", ",high-school"),
    ],
)
def test_the_value_at_fault_is_pointed_at(old: str, new: str, at: str, roster: Path) -> None:
    where = find_fault(roster, HEADER + QUOTED.replace(old, new)).where
    assert where is not None
    assert where.line == 2
    assert where.text[where.column - 1 :].startswith(at)


def test_a_set_that_does_not_exist_is_told_with_the_pairs_that_do(proven: Proof) -> None:
    member = Member("Ann", "1", "A", "youth", "60-ft", 1, 7)
    with pytest.raises(PocketrefError) as caught:
        MemberRun(proven, [member], "roster.csv", PressRun())
    (problem,) = caught.value.problems
    assert problem.sentence == "no card is for the code 'youth' with the level '60-ft'"
    assert problem.hint == "cards are for high-school with 90-ft"


def test_a_field_of_five_megabytes_is_told_in_few_words_at_its_place(roster: Path) -> None:
    problem = find_fault(roster, f"{HEADER}Ann,1,{'A' * 5_000_000},high-school,90-ft,1\n")
    assert problem.code == "roster-row"
    assert "shorten each value" in problem.hint
    assert len(render_problem(problem)) < 500
