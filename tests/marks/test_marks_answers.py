"""Answers are read as they come, and what is wrong with a row is told at its line, with the remedy."""

from __future__ import annotations

import io
from dataclasses import replace
from pathlib import Path

import pikepdf
import pytest
from class_answers import EDITION, find_sheet, take_in, training

from pocketref.edition.pdf_file import build_pdf
from pocketref.layouts.answer_sheets import lay_out_answers, name_tick
from pocketref.layouts.play_sheets import lay_out_questions, write_choices_mark
from pocketref.marks.answers import MOST_FAULTS, read_answers
from pocketref.marks.mark_files import write_template
from pocketref.members.roster import Member

SHEET = "weekly-01"  # six plays
HEAD = "name,number,chapter,sheet,answers\n"
GOOD = f"{HEAD}Ann Exemplar,1001,North,{SHEET},AB-Aca\n"


def fill_in(data: bytes, typed: dict[str, str], ticks: list[str]) -> bytes:
    """A fillable PDF as a viewer saves it."""
    pdf = pikepdf.open(io.BytesIO(data))
    for widget in (widget for page in pdf.pages for widget in page.get("/Annots", [])):
        name = str(widget.T)
        if name in typed:
            widget.V = pikepdf.String(typed[name])
        elif name in ticks:
            widget.V = widget.AS = next(pikepdf.Name(state) for state in widget.AP.N if state != "/Off")
    out = io.BytesIO()
    pdf.save(out)
    return out.getvalue()


def print_answers() -> bytes:
    laid_out = lay_out_answers(find_sheet(SHEET), training().books.library, training().layouts)
    return build_pdf("answers", laid_out.document, laid_out.floor_pt).data


def test_letters_are_read_however_they_are_written(tmp_path: Path) -> None:
    intake = take_in(tmp_path, GOOD.replace("AB-Aca", "a b - a C A"))
    assert [row.letters for row in intake.rows] == [("A", "B", "", "A", "C", "A")]
    assert intake.problems.problems == []


def test_a_file_saved_by_a_spreadsheet_is_read(tmp_path: Path) -> None:
    """A byte order mark, semicolons, columns to spare, a column a play, another order."""
    text = f"Sheet;Name;6;5;4;3;2;1;;\r\n{SHEET};Ann Exemplar;A;C;A;;B;A;;\r\n"
    intake = take_in(tmp_path, b"\xef\xbb\xbf" + text.encode())
    assert [(row.name, row.letters) for row in intake.rows] == [
        ("Ann Exemplar", ("A", "B", "", "A", "C", "A"))
    ]


def test_the_web_page_s_answers_are_read(tmp_path: Path) -> None:
    """As `writeAnswerSheet` in pocketref/web/page/plays.js writes them; tests/web/check_plays.mjs has the same name."""
    choices = write_choices_mark(find_sheet(SHEET))
    text = f'name,number,sheet,choices,answers\r\n"Robin ""R"" Vale, Jr.",7001,{SHEET},{choices},AB-ACA\r\n'
    intake = take_in(tmp_path, text)
    assert [(row.name, row.number) for row in intake.rows] == [('Robin "R" Vale, Jr.', "7001")]


def test_answers_to_other_choices_than_the_sheet_has_now_are_told_at_their_line(tmp_path: Path) -> None:
    text = f"name,sheet,choices,answers\nAnn,{SHEET},abcdefghijkl,AB-ACA\nBo,{SHEET},,AB-ACA\n"
    intake = take_in(tmp_path, text)
    assert [row.name for row in intake.rows] == ["Bo"]
    (problem,) = intake.problems.problems
    assert (problem.code, str(problem.where)) == (
        "answers-outdated",
        f"{tmp_path / 'answers.csv'}:2:{len(f'Ann,{SHEET},') + 1}",
    )


def test_a_template_takes_the_answers_that_are_typed_into_it(tmp_path: Path) -> None:
    path = tmp_path / "template.csv"
    members = [
        Member(name, number, "North", "high-school", "90-ft", 1, 2)
        for name, number in (("Ann", "1"), ("Bo", "2"))
    ]
    write_template(find_sheet(SHEET), members, path)
    text, rest = path.read_text(encoding="utf-8"), f"North,{SHEET},{write_choices_mark(find_sheet(SHEET))}"
    intake = take_in(tmp_path, text.replace(f"Ann,1,{rest},,,,,,", f"Ann,1,{rest},A,B,-,A,C,A"))
    assert [(row.name, row.letters[0]) for row in intake.rows] == [("Ann", "A")]
    assert (intake.empty, intake.faulty, intake.problems.problems) == (1, 0, [])


def test_a_template_without_a_roster_is_read_as_holding_nothing(tmp_path: Path) -> None:
    path = tmp_path / "template.csv"
    write_template(find_sheet(SHEET), (), path)
    intake = take_in(tmp_path, path.read_bytes())
    assert (intake.rows, intake.faulty, intake.problems.problems) == ([], 0, [])


@pytest.mark.parametrize(
    ("old", "new", "code", "place", "told"),
    [
        ("AB-Aca", "AB-AcE", "answers-letter", "2:35", "'E' is no answer to play 6 of 'weekly-01'"),
        ("AB-Aca", "AB-Ac", "answers-number-of", "2:35", "5 letters, and the sheet 'weekly-01' has 6 plays"),
        (SHEET, "weekly-1", "answers-sheet", "2:25", "there is no training sheet 'weekly-1'"),
        (f"North,{SHEET}", "North,", "answers-sheet", "2:25", "the sheet is not named"),
        ("1001", "#1001", "answers-number", "2:14", "'#1001' is not a member's number"),
        ("Ann", "=Ann", "answers-formula", "2:1", "begins like a formula"),
        ("Ann Exemplar,1001", ",", "answers-person", "2:1", "nobody is named"),
        (",North", "", "answers-row", "2:1", "this row has 4 values, and the columns are 5"),
        ("AB-Aca", "AB-Aca,more", "answers-row", "2:42", "this row has 6 values, and the columns are 5"),
        ("answers", "anwers", "answers-columns", "1:27", "there is no column 'anwers'"),
        ("sheet,", "", "answers-columns", "1:1", "the column 'sheet' is missing"),
        ("number", "name", "answers-columns", "1:6", "the column 'name' stands twice"),
        ("Ann Exemplar", '"Ann', "answers-row", "2:2", "this row is not CSV"),
    ],
)
def test_what_is_wrong_is_told_at_its_place_with_the_remedy(
    tmp_path: Path, old: str, new: str, code: str, place: str, told: str
) -> None:
    intake = take_in(tmp_path, GOOD.replace(old, new))
    problem = intake.problems.problems[0]
    assert (problem.code, str(problem.where)) == (code, f"{tmp_path / 'answers.csv'}:{place}")
    assert told in problem.sentence
    assert problem.hint
    assert (intake.rows, intake.faulty) == ([], 1)


def test_a_row_at_fault_takes_no_other_with_it(tmp_path: Path) -> None:
    intake = take_in(
        tmp_path, f"{GOOD}Bo Sample,1002,South,{SHEET},ABXACA\nCy Model,1003,South,{SHEET},ABCACA\n"
    )
    assert [row.name for row in intake.rows] == ["Ann Exemplar", "Cy Model"]
    assert intake.faulty == 1


@pytest.mark.parametrize(
    ("cells", "told"),
    [
        ("A,B,C,A,C,A,B", "an answer to play 7, and the sheet 'weekly-01' has 6 plays"),
        ("A,B,C,A,C,AB,", "'AB' is no answer to play 6"),
        ("A,B,C,A,C,7,", "'7' is no answer to play 6"),
    ],
)
def test_a_wrong_cell_of_a_play_s_column_is_told(tmp_path: Path, cells: str, told: str) -> None:
    intake = take_in(tmp_path, f"name,sheet,1,2,3,4,5,6,7\nAnn,{SHEET},{cells}\n")
    assert told in intake.problems.problems[0].sentence
    assert ":2:" in str(intake.problems.problems[0].where)


def test_a_letter_that_a_play_does_not_offer_is_no_answer(tmp_path: Path) -> None:
    sheet = find_sheet("feet")
    short = next(n for n, each in enumerate(sheet.questions) if len(each.choices) == 3)
    letters = "".join("D" if n == short else "A" for n in range(len(sheet.questions)))
    intake = take_in(tmp_path, f"name,sheet,answers\nAnn,{sheet.name},{letters}\n")
    assert f"'D' is no answer to play {short + 1}" in intake.problems.problems[0].sentence
    assert "A, B, C," in intake.problems.problems[0].hint


def test_a_column_that_the_sheet_needs_and_the_file_lacks_is_told(tmp_path: Path) -> None:
    intake = take_in(tmp_path, f"name,sheet,1,2,3,4,5\nAnn,{SHEET},A,B,C,A,C\n")
    assert "there is no column '6'" in intake.problems.problems[0].sentence


@pytest.mark.parametrize(
    ("name", "data", "told"),
    [
        ("answers.xlsx", b"PK\x03\x04rest", "save it as CSV"),
        ("answers.csv", "name,sheet".encode("utf-16"), "encoding UTF-8"),
        ("answers.csv", b"", "name the columns"),
        ("answers.pdf", b"%PDF-1.7 broken", "fill in a fresh one"),
    ],
)
def test_a_file_of_another_kind_is_told(tmp_path: Path, name: str, data: bytes, told: str) -> None:
    intake = take_in(tmp_path, data, name)
    assert told in intake.problems.problems[0].hint
    assert (intake.rows, intake.faulty) == ([], 1)


def test_a_file_that_is_not_there_is_told_and_the_others_are_marked(tmp_path: Path) -> None:
    (tmp_path / "here.csv").write_text(GOOD, encoding="utf-8")
    intake = read_answers([tmp_path / "gone.csv", tmp_path / "here.csv"], training().sheets, EDITION)
    assert (len(intake.rows), intake.faulty) == (1, 1)
    assert "answer sheet as filled in" in intake.problems.problems[0].hint


def test_of_very_many_faults_the_rest_is_counted(tmp_path: Path) -> None:
    text = HEAD + f"Ann,1,North,{SHEET},XXXXXX\n" * 100
    intake = take_in(tmp_path, text)
    assert len(intake.problems.problems) == MOST_FAULTS + 1
    assert intake.problems.problems[-1].sentence.endswith("550 more faults")
    assert intake.faulty == 100


def test_a_row_of_very_many_columns_is_told_once(tmp_path: Path) -> None:
    intake = take_in(tmp_path, "name,sheet,answers" + ",x" * 300_000 + "\n")
    (problem,) = intake.problems.problems
    assert problem.sentence == "this row has 300,003 columns"


def test_a_filled_in_answer_sheet_is_read(tmp_path: Path) -> None:
    typed = {"Name": " Ann  Exemplar ", "Member number": "1001", "Chapter": "North"}
    ticks = [name_tick(1, "A"), name_tick(3, "C"), name_tick(4, "A"), name_tick(4, "B")]
    intake = take_in(tmp_path, fill_in(print_answers(), typed, ticks), "answers.pdf")
    (row,) = intake.rows
    assert (row.name, row.number, row.chapter, row.sheet) == ("Ann Exemplar", "1001", "North", SHEET)
    assert row.letters == ("A", "", "C", "", "", "")
    (warning,) = intake.problems.problems
    assert warning.sentence == "play 4 is ticked A and B: it counts as not answered"


def test_the_sheet_of_plays_itself_can_be_handed_in(tmp_path: Path) -> None:
    laid_out = lay_out_questions(find_sheet(SHEET), training().books, training().layouts)
    data = build_pdf("plays", laid_out.document, laid_out.floor_pt).data
    intake = take_in(tmp_path, fill_in(data, {"Name": "Ann Exemplar"}, [name_tick(2, "B")]), "plays.pdf")
    assert [(row.name, row.letters[1]) for row in intake.rows] == [("Ann Exemplar", "B")]


def test_an_answer_sheet_that_names_nobody_is_told(tmp_path: Path) -> None:
    intake = take_in(tmp_path, fill_in(print_answers(), {}, [name_tick(2, "B")]), "answers.pdf")
    assert str(intake.problems.problems[0].where).endswith("answers.pdf, field Name")


def test_an_answer_sheet_of_another_edition_is_not_marked(tmp_path: Path) -> None:
    (tmp_path / "answers.pdf").write_bytes(print_answers())
    intake = read_answers([tmp_path / "answers.pdf"], training().sheets, "2031")
    assert "is of edition 2027" in intake.problems.problems[0].sentence
    assert intake.faulty == 1


def test_an_answer_sheet_of_other_plays_is_not_marked(tmp_path: Path) -> None:
    """The layout asks other plays now under the name that the sheet was published by."""
    (tmp_path / "answers.pdf").write_bytes(print_answers())
    changed = replace(find_sheet("weekly-02"), name=SHEET)
    intake = read_answers([tmp_path / "answers.pdf"], [changed], EDITION)
    assert "has other plays or choices now" in intake.problems.problems[0].sentence
    assert (intake.rows, intake.faulty) == ([], 1)


def test_a_printed_copy_without_fields_is_not_taken_for_empty(tmp_path: Path) -> None:
    pdf = pikepdf.open(io.BytesIO(print_answers()))
    del pdf.pages[0].Annots
    pdf.save(tmp_path / "answers.pdf")
    intake = read_answers([tmp_path / "answers.pdf"], training().sheets, EDITION)
    assert "has lost its fields" in intake.problems.problems[0].hint
