"""`mark` and `syllabus`: what they print and write, and how they end."""

from __future__ import annotations

import csv
import json
import re
import shutil
from collections.abc import Sequence
from pathlib import Path

import pytest
from click.testing import CliRunner, Result
from pypdf import PdfReader

from pocketref.cli import main

ROOT = Path(__file__).parents[2]
GOOD = """\
name,number,chapter,sheet,answers
Ann Exemplar,1001,North,weekly-01,AB-ACA
Bo Sample,1002,South,weekly-01,BBBBBB
"""
ROSTER = """\
name,number,chapter,code,level,quantity
Ann Exemplar,1001,North,high-school,90-ft,1
Cy Model,1003,South,high-school,90-ft,1
"""


def run(*arguments: object, options: Sequence[object] = ("--layouts", ROOT / "layouts")) -> Result:
    given = (*arguments, "--content", ROOT / "content", *options)
    return CliRunner().invoke(main, [str(each) for each in given])


@pytest.fixture
def answers(tmp_path: Path) -> Path:
    path = tmp_path / "answers.csv"
    path.write_text(GOOD, encoding="utf-8")
    return path


def test_marks_are_printed_and_nothing_is_written(answers: Path) -> None:
    result = run("mark", answers)
    assert result.exit_code == 0
    assert "Ann Exemplar, 1001" in result.stdout
    assert "2 answer sheets of 2 members marked." in result.stdout
    assert list(answers.parent.iterdir()) == [answers]


def test_what_is_not_marked_is_told_and_the_rest_is_marked(answers: Path) -> None:
    answers.write_text(f"{GOOD}Di Doubtful,1004,North,weekly-01,ABXACA\n", encoding="utf-8")
    result = run("mark", answers)
    assert result.exit_code == 1
    assert f"{answers}:4:34: error: 'X' is no answer to play 3" in result.stderr
    assert "2 answer sheets of 2 members marked; 1 not marked, as told." in result.stdout


def test_answers_of_which_none_can_be_marked_end_in_an_error(answers: Path) -> None:
    answers.write_text("name,sheet,answers\nAnn,weekly-99,ABCABC\n", encoding="utf-8")
    result = run("mark", answers)
    assert result.exit_code == 1
    assert result.stdout == ""
    assert "did you mean 'weekly-0" in result.stderr


def test_answers_in_which_nothing_is_answered_are_told_so(answers: Path) -> None:
    answers.write_text("name,sheet,answers\nAnn,weekly-01,------\n", encoding="utf-8")
    result = run("mark", answers)
    assert result.exit_code == 1
    assert "no play is answered" in result.stderr


def test_json_is_alone_on_the_output(answers: Path) -> None:
    result = run("mark", answers, "--json", "--csv", answers.parent / "tables")
    read = json.loads(result.stdout)
    assert [member["name"] for member in read["members"]] == ["Ann Exemplar", "Bo Sample"]
    assert str(answers.parent / "tables") in result.stderr


def test_the_tables_hold_what_was_printed(answers: Path) -> None:
    folder = answers.parent / "tables"
    assert run("mark", answers, "--csv", folder).exit_code == 0
    with (folder / "members.csv").open(encoding="utf-8", newline="") as file:
        members = list(csv.DictReader(file))
    with (folder / "plays.csv").open(encoding="utf-8", newline="") as file:
        plays = list(csv.DictReader(file))
    assert sum(int(member["right"]) for member in members) == sum(int(play["right"]) for play in plays)
    assert [play["taken B"] for play in plays][:2] == ["1", "2"]
    again = run("mark", answers, "--csv", folder)
    assert again.exit_code == 1
    assert "is not empty" in again.stderr


def test_the_report_is_a_page_and_replaces_only_a_report(answers: Path) -> None:
    report = answers.parent / "marks.pdf"
    assert run("mark", answers, "--report", report).exit_code == 0
    assert run("mark", answers, "--report", report).exit_code == 0
    pages = PdfReader(report).pages
    assert len(pages) == 1
    assert "Ann Exemplar" in pages[0].extract_text()
    report.write_bytes(b"%PDF-1.7 something else")
    refused = run("mark", answers, "--report", report)
    assert refused.exit_code == 1
    assert "stays as it is" in refused.stderr
    assert report.read_bytes() == b"%PDF-1.7 something else"
    assert "doesn't end in .pdf" in run("mark", answers, "--report", answers).stderr


def test_a_template_has_a_row_for_each_member_of_the_roster(tmp_path: Path) -> None:
    roster, template = tmp_path / "roster.csv", tmp_path / "answers.csv"
    roster.write_text(ROSTER, encoding="utf-8")
    assert run("mark", "--template", "weekly-01", template, "--members", roster).exit_code == 0
    lines = template.read_text(encoding="utf-8").splitlines()
    assert lines[0] == "name,number,chapter,sheet,choices,1,2,3,4,5,6"
    choices = lines[1].split(",")[4]
    assert lines[1:] == [
        f"{who},weekly-01,{choices},,,,,," for who in ("Ann Exemplar,1001,North", "Cy Model,1003,South")
    ]
    assert "stays as it is" in run("mark", "--template", "weekly-01", template).stderr


def test_members_of_the_roster_who_handed_in_nothing_are_counted(answers: Path) -> None:
    roster = answers.parent / "roster.csv"
    roster.write_text(ROSTER, encoding="utf-8")
    result = run("mark", answers, "--members", roster)
    assert result.exit_code == 0
    assert "the number 1002 is not on the roster" in result.stderr
    assert "1 member of the roster handed in nothing." in result.stdout


@pytest.mark.parametrize("name", ["Week 5.yaml", "week-5.yml", "week-5"])
def test_next_week_s_sheet_needs_the_name_of_a_layout(answers: Path, name: str) -> None:
    result = run("mark", answers, "--next", answers.parent / name)
    assert result.exit_code == 1
    assert "such as layouts/plays/week-5.yaml" in result.stderr


def test_next_week_s_sheet_is_written_once(answers: Path) -> None:
    layout = answers.parent / "week-2.yaml"
    result = run("mark", answers, "--next", layout)
    assert result.exit_code == 0
    assert "sheet: week-2" in layout.read_text(encoding="utf-8")
    assert "stays as it is" in run("mark", answers, "--next", layout).stderr


def test_mark_without_answers_is_wrong_use(answers: Path) -> None:
    assert run("mark").exit_code == 2
    assert run("mark", answers, "--template", "weekly-01", "new.csv").exit_code == 2


def test_a_misspelt_sheet_is_told_with_the_closest(answers: Path) -> None:
    result = run("syllabus", "weakly")
    assert result.exit_code == 1
    assert "did you mean 'weekly'?" in result.stderr
    assert "did you mean 'weekly'?" in run("mark", answers, "--next", "a.yaml", "--used", "weakly").stderr


def test_a_syllabus_says_what_each_week_asks_and_when_every_row_is_met(tmp_path: Path) -> None:
    out = tmp_path / "season.yaml"
    result = run("syllabus", "weekly", "--weeks", "20", "--each", "6", "--out", out)
    assert result.exit_code == 0
    met, rows, last = map(int, re.search(r"(\d+) of (\d+) rows .* in week (\d+)\.", result.stdout).groups())  # type: ignore[union-attr]  # it is there
    assert (met, last) == (rows, -(-rows // 6))
    assert f"week {last}: {rows - 6 * (last - 1)} new" in result.stdout
    assert out.read_text(encoding="utf-8").count("# week") == 20


def test_a_sheet_that_is_no_series_asks_how_many_weeks(tmp_path: Path) -> None:
    result = run("syllabus", "feet", "--weeks", "3")
    assert result.exit_code == 1
    assert "give --weeks and --each" in result.stderr


def test_a_season_is_planned_anew_from_the_week_that_was_marked(tmp_path: Path) -> None:
    """Its first week stays, what was missed there comes again, and no layout but its own is replaced."""
    layouts = tmp_path / "layouts"
    (layouts / "plays").mkdir(parents=True)
    for name in ("stocks.yaml", "styles.yaml", "plays/weekly.yaml"):
        shutil.copy(ROOT / "layouts" / name, layouts / name)
    season, options = layouts / "plays/season.yaml", ["--layouts", layouts]
    assert (
        run("syllabus", "weekly", "--weeks", "4", "--each", "5", "--out", season, options=options).exit_code
        == 0
    )
    first = season.read_text(encoding="utf-8")
    answers = tmp_path / "answers.csv"
    answers.write_text("name,sheet,answers\nAnn,season-01,AAAAA\nBo,season-01,BBBBB\n", encoding="utf-8")
    result = run("syllabus", "season", answers, "--out", season, options=options)
    assert result.exit_code == 0
    assert "week 1: 5 asked" in result.stdout
    assert "week 2: 3 new, 2 again" in result.stdout
    second = season.read_text(encoding="utf-8")
    assert list_week(second, 1) == list_week(first, 1)
    assert list_week(second, 2) != list_week(first, 2)
    assert second.count("# week") == 4
    weekly = layouts / "plays/weekly.yaml"
    refused = run("syllabus", "season", answers, "--out", weekly, options=options)
    assert refused.exit_code == 1
    assert weekly.read_bytes() == (ROOT / "layouts/plays/weekly.yaml").read_bytes()


def list_week(layout: str, number: int) -> list[str]:
    """The plays of a week in a layout."""
    text = layout.partition(f"# week {number}\n")[2].partition("# week")[0]
    return re.findall(r"^    - (\S+)", text, re.M)
