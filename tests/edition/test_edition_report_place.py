"""A report is never written over readings, nor over anything but an earlier report."""

from __future__ import annotations

from pathlib import Path

import pytest
from field_sheets import LAYOUTS, LEVEL, library, plan_of, publish, read_pulls

from pocketref.problems import PocketrefError
from pocketref.tape_report.tape_file import judge_file
from pocketref.tape_report.tape_report import check_report_place, write_tape_report


@pytest.fixture
def readings(tmp_path: Path) -> Path:
    rows = [f"{n.replace('-', ',')},{r}" for n, r in read_pulls(plan_of("plate-area"), {}).items()]
    path = tmp_path / "readings.csv"
    path.write_text("\n".join([f"level,{LEVEL}", "plan,plate-area", "from,to,reading", *rows]))
    return path


def refuse(report: Path, readings: Path) -> str:
    with pytest.raises(PocketrefError) as caught:
        check_report_place(report, readings)
    (problem,) = caught.value.problems
    assert problem.code == "report-place"
    assert str(problem.where) == str(report)
    return f"{problem.sentence}: {problem.hint}"


def test_a_free_name_and_an_earlier_report_may_be_written_to(tmp_path: Path, readings: Path) -> None:
    report = tmp_path / "report.pdf"
    check_report_place(report, readings)
    write_tape_report(judge_file(readings, library()), library(), LAYOUTS, "letter", report)
    check_report_place(report, readings)


def test_the_readings_are_not_written_over_under_any_name(tmp_path: Path, readings: Path) -> None:
    assert "doesn't end in .pdf: write --report readings.pdf" in refuse(readings, readings)
    sheet, link = tmp_path / "sheet.pdf", tmp_path / "link.pdf"
    sheet.write_bytes(publish("plate-area"))
    link.hardlink_to(sheet)
    for name in (sheet, link, tmp_path / "." / "sheet.pdf"):
        assert "would take the place of the readings themselves" in refuse(name, sheet)


@pytest.mark.parametrize("name", ["notes.txt", "mk.py", "report"])
def test_a_report_has_the_name_of_a_pdf_file(tmp_path: Path, readings: Path, name: str) -> None:
    (tmp_path / name).write_text("kept")
    assert "doesn't end in .pdf" in refuse(tmp_path / name, readings)


def test_any_other_pdf_stays_as_it_is(tmp_path: Path, readings: Path) -> None:
    path = tmp_path / "other.pdf"
    for data in (publish("plate-area"), b"%PDF-1.7\nbroken", b"words", b""):
        path.write_bytes(data)
        assert "stays as it is" in refuse(path, readings)
        assert path.read_bytes() == data
    folder = tmp_path / "folder.pdf"
    folder.mkdir()
    assert "stays as it is" in refuse(folder, readings)


def test_a_place_in_no_folder_is_left_to_the_writing(tmp_path: Path, readings: Path) -> None:
    check_report_place(tmp_path / "none" / "report.pdf", readings)
