"""Files of readings as crews save them: what kind they are, what they lack, and how their rows name stations."""

from __future__ import annotations

from pathlib import Path

import pytest
from field_sheets import LEVEL, fill_sheet, lengths_of, library, plan_of, publish, read_pulls

from pocketref.field.mound import list_slope
from pocketref.problems import PocketrefError, Problem, render_problem
from pocketref.tape.mound_readings import write_slope_field
from pocketref.tape.readings_file import CSV_EXAMPLE
from pocketref.tape.verdicts import PlaceVerdict, TapeReport
from pocketref.tape_report.tape_file import YAML_EXAMPLE, JudgedFile, judge_file
from pocketref.units.notation import write_feet_inches

TRUE = read_pulls(plan_of("plate-area"), {})
HEAD = (f"level,{LEVEL}", "plan,plate-area", "from,to,reading")


def write(path: Path, *lines: str) -> Path:
    path.write_text("".join(f"{line}\n" for line in lines))
    return path


def refuse(path: Path) -> list[Problem]:
    with pytest.raises(PocketrefError) as caught:
        judge_file(path, library())
    return list(caught.value.problems)


def judge_typed(folder: Path, values: dict[str, str], sheet: str) -> JudgedFile:
    path = folder / "typed.pdf"
    path.write_bytes(fill_sheet(publish(sheet), values))
    return judge_file(path, library())


# --- kinds of file ---


@pytest.mark.parametrize(("name", "example"), [("a.csv", CSV_EXAMPLE), ("a.yaml", YAML_EXAMPLE)])
def test_an_empty_file_is_told_what_to_write(tmp_path: Path, name: str, example: str) -> None:
    (problem,) = refuse(write(tmp_path / name, "", " "))
    assert problem.sentence == f"{name} is empty"
    assert problem.hint.endswith(example)


@pytest.mark.parametrize(("name", "example"), [("a.csv", CSV_EXAMPLE), ("a.yaml", YAML_EXAMPLE)])
def test_the_example_is_a_file_that_can_be_read(tmp_path: Path, name: str, example: str) -> None:
    """One reading fixes no corner, so it is the corner that is told, not the file."""
    judged = judge_file(write(tmp_path / name, *example.split(" | ")), library())
    assert isinstance(judged.outcome, TapeReport)
    assert judged.outcome.list_stations(PlaceVerdict.FEW) == ("F1",)


def test_a_spreadsheets_own_file_is_to_be_saved_as_csv(tmp_path: Path) -> None:
    path = tmp_path / "readings.xlsx"
    path.write_bytes(b"PK\x03\x04 and more")
    (problem,) = refuse(path)
    assert "a spreadsheet's own file" in problem.sentence
    assert "save it as CSV" in problem.hint
    path = path.rename(tmp_path / "renamed.csv")
    assert "a spreadsheet's own file" in refuse(path)[0].sentence


def test_a_file_of_another_kind_is_told_which_kinds_are_read(tmp_path: Path) -> None:
    (problem,) = refuse(write(tmp_path / "readings.txt", *HEAD, "A,F1,31 in"))
    assert "read from .csv, .yaml and .pdf files" in problem.sentence
    assert "name it .csv" in problem.hint


def test_no_file_at_all_says_where_the_sheets_are(tmp_path: Path) -> None:
    assert "out/EDITION/sheets" in refuse(tmp_path / "none.pdf")[0].hint


@pytest.mark.parametrize("sheet", ["stakeout-plate", "rulings", "plate-template"])
def test_a_sheet_that_never_had_blanks_is_told_which_ones_have(tmp_path: Path, sheet: str) -> None:
    path = tmp_path / f"{sheet}.pdf"
    path.write_bytes(publish(sheet))
    (problem,) = refuse(path)
    assert problem.sentence == f"{sheet}.pdf is the sheet '{sheet}' with no fields to fill in"
    assert problem.hint.startswith("fill in a check sheet, such as plate-area.pdf, bases.pdf or mound.pdf")


# --- what a file lacks, in its own notation ---


def test_what_a_csv_file_lacks_is_asked_for_as_csv(tmp_path: Path) -> None:
    hints = [problem.hint for problem in refuse(write(tmp_path / "a.csv", HEAD[2], "A,F1,31 in"))]
    assert [hint.partition(", the")[0] for hint in hints] == [
        "add a row 'level,...'",
        "add a row 'plan,...', plate-area or diamond",
    ]
    (problem,) = refuse(write(tmp_path / "b.csv", *HEAD, "A,F1,"))
    assert problem.hint.startswith("fill in the column 'reading', what the tape says")


def test_what_a_yaml_file_lacks_is_asked_for_as_yaml(tmp_path: Path) -> None:
    rows = ("plan: plate-area", "readings: [{from: A, to: F1, reading: 31 in}]")
    (problem,) = refuse(write(tmp_path / "a.yaml", *rows))
    assert problem.hint.startswith("add 'level: ...', the field's file")


def test_heights_without_a_level_are_of_the_one_the_user_names(tmp_path: Path) -> None:
    path = write(tmp_path / "m.yaml", "plan: mound", "plate-height: 10 in")
    assert "add 'level: ...'" in refuse(path)[0].hint
    assert judge_file(path, library(), LEVEL).field.key == LEVEL
    with pytest.raises(PocketrefError, match="there is no level 'high-school'"):
        judge_file(path, library(), "high-school")


def test_pulls_without_a_level_are_of_the_one_the_user_names(tmp_path: Path) -> None:
    rows = [f"{name.replace('-', ',')},{reading}" for name, reading in TRUE.items()]
    judged = judge_file(write(tmp_path / "a.csv", *HEAD[1:], *rows), library(), LEVEL)
    assert judged.field.key == LEVEL
    assert not judged.has_findings


def test_a_setting_written_as_in_yaml_is_offered_as_csv(tmp_path: Path) -> None:
    (problem,) = refuse(write(tmp_path / "a.csv", f"level: {LEVEL}", *HEAD[1:], "A,F1,31 in"))
    assert problem.hint == f"write level,{LEVEL}"


def test_rows_without_column_names_are_shown_an_example(tmp_path: Path) -> None:
    (problem,) = refuse(write(tmp_path / "a.csv", *HEAD[:2]))
    assert CSV_EXAMPLE in problem.hint


@pytest.mark.parametrize("delimiter", [";", "\t"], ids=["semicolon", "tab"])
def test_other_marks_between_cells_are_read_as_commas_are(tmp_path: Path, delimiter: str) -> None:
    rows = [*HEAD, *(f"{name.replace('-', ',')},{reading}" for name, reading in TRUE.items())]
    path = write(tmp_path / "a.csv", "# taped in May", *(row.replace(",", delimiter) for row in rows))
    assert not judge_file(path, library()).has_findings
    (problem,) = refuse(write(path, *(row.replace(",", delimiter) for row in (*HEAD, "A,F1,31"))))
    assert str(problem.where) == "a.csv:4:8"


# --- stations ---


def test_stations_may_be_typed_in_lower_case(tmp_path: Path) -> None:
    rows = [f"{name.replace('-', ',').lower()},{reading}" for name, reading in TRUE.items()]
    judged = judge_file(write(tmp_path / "a.csv", *HEAD, *rows), library())
    assert not judged.has_findings


def test_a_misspelt_station_is_pointed_at_with_those_it_may_be(tmp_path: Path) -> None:
    (problem,) = refuse(write(tmp_path / "a.csv", *HEAD, f"A,G2,{TRUE['A-F2']}"))
    assert render_problem(problem).splitlines() == [
        "a.csv:4:3: error: the plan has no station 'G2' [station-unknown]",
        f"    A,G2,{TRUE['A-F2']}",
        "      ^",
        "    did you mean 'C2' or 'F2' or 'P2' or 'T2'?",
    ]


def test_a_station_like_no_other_is_shown_all_there_are(tmp_path: Path) -> None:
    (problem,) = refuse(write(tmp_path / "a.csv", *HEAD, "A,HOME,2 ft"))
    assert problem.hint.startswith("its stations: A P1 ")
    assert {*problem.hint.split()[2:]} == set(plan_of("plate-area").stations)


# --- sheets ---


def test_a_bare_number_on_a_sheet_is_offered_the_unit_that_fits_its_target(tmp_path: Path) -> None:
    with pytest.raises(PocketrefError) as caught:
        judge_typed(tmp_path, {"T2-T3": "1.829", "A-F1": "792", "A-F2": "5.7"}, "plate-area")
    hints = {str(p.where).split()[-1]: p.hint.split(",")[0] for p in caught.value.problems}
    assert hints == {"T2-T3": "write 1.829 m", "A-F1": "write 792 mm", "A-F2": "write 5.7 ft"}


def test_a_tape_of_unknown_make_is_asked_what_it_is_made_of(tmp_path: Path) -> None:
    with pytest.raises(PocketrefError) as caught:
        judge_typed(tmp_path, {"Tape used": "the long one", "A-F1": "31 in"}, "plate-area")
    (problem,) = caught.value.problems
    assert "write what it is made of, steel or fibreglass" in problem.hint
    judged = judge_typed(tmp_path, TRUE | {"Tape used": "the long one, fiber-glass"}, "plate-area")
    assert getattr(judged.readings, "tape", "") == "fibreglass"


def test_a_mound_sheet_with_a_place_left_out_is_no_clean_bill(tmp_path: Path) -> None:
    points = list_slope(lengths_of())
    values = {write_slope_field(point.ahead): write_feet_inches(point.below_plate) for point in points}
    values |= {"plate-height": "10 in", "below-6-in": "0"}
    assert not judge_typed(tmp_path, values, "mound").has_findings
    del values["below-30-in"]
    assert judge_typed(tmp_path, values, "mound").has_findings


def test_a_hump_typed_into_a_mound_sheet_is_read_as_above_the_line(tmp_path: Path) -> None:
    judged = judge_typed(tmp_path, {"below-6-in": "1/2 in above"}, "mound")
    assert [one.move for one in judged.outcome.slope] == ["take off 1/2 in"]  # type: ignore[union-attr]
