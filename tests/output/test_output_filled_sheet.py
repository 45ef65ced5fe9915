"""A sheet typed into and saved: its fields come back as typed, by two readers, and it says what it is."""

from __future__ import annotations

from io import BytesIO

import pypdf
import pytest
from field_sheets import LEVEL, fill_sheet, publish

from pocketref.output.reading.filled_sheet import read_filled_sheet, read_subject
from pocketref.output.reading.readback import read_pdf
from pocketref.problems import PocketrefError

TYPED = {"A-F1": "31 3/16 in", "T2-T3": "6′ 0¼″", "Field": "North field", "Temperature": "85 F"}


def refuse(data: bytes) -> str:
    with pytest.raises(PocketrefError) as caught:
        read_filled_sheet(data, "some.pdf")
    (problem,) = caught.value.problems
    assert str(problem.where) == "some.pdf"
    return problem.code


def test_what_was_typed_comes_back_and_blanks_are_blank() -> None:
    sheet = read_filled_sheet(fill_sheet(publish("plate-area"), TYPED), "filled.pdf")
    assert (sheet.sheet, sheet.edition, sheet.level) == ("plate-area", "2027", LEVEL)
    assert {name: text for name, text in sheet.values.items() if text} == TYPED
    assert sheet.values["A-F2"] == ""
    assert str(sheet.locate("A-F1")) == "filled.pdf, field A-F1"


def test_a_second_reader_finds_the_same_fields() -> None:
    data = fill_sheet(publish("plate-area"), TYPED)
    fields = pypdf.PdfReader(BytesIO(data)).get_fields() or {}
    sheet = read_filled_sheet(data, "filled.pdf")
    assert {name: str(field.get("/V", "")) for name, field in fields.items()} == dict(sheet.values)


def test_a_sheet_filled_by_another_library_reads_the_same() -> None:
    writer = pypdf.PdfWriter(clone_from=BytesIO(publish("plate-area")))
    for page in writer.pages:
        writer.update_page_form_field_values(page, TYPED, auto_regenerate=False)
    saved = BytesIO()
    writer.write(saved)
    values = read_filled_sheet(saved.getvalue(), "filled.pdf").values
    assert {name: text for name, text in values.items() if text} == TYPED


def test_what_is_no_sheet_is_refused() -> None:
    assert refuse(b"level: x") == "sheet-unreadable"
    assert refuse(publish("batters-box")) == "sheet-foreign"
    assert refuse(publish("stakeout-plate")) == "sheet-flattened"


def test_a_locked_file_is_refused() -> None:
    writer = pypdf.PdfWriter(clone_from=BytesIO(publish("mound")))
    writer.encrypt("word", algorithm="RC4-128")
    saved = BytesIO()
    writer.write(saved)
    assert refuse(saved.getvalue()) == "sheet-unreadable"


def test_a_file_that_lost_its_level_is_refused() -> None:
    writer = pypdf.PdfWriter(clone_from=BytesIO(publish("mound")))
    writer.add_metadata({"/Keywords": ""})
    saved = BytesIO()
    writer.write(saved)
    assert refuse(saved.getvalue()) == "sheet-foreign"


@pytest.mark.parametrize("sheet", ["plate-area", "bases"])
def test_a_sheet_asks_for_the_kind_of_tape_under_the_name_that_earlier_sheets_have(sheet: str) -> None:
    (page, *_) = read_pdf(publish(sheet)).pages
    assert "Tape used (steel or fibreglass)" in [run.content for run in page.texts]
    assert "Tape used" in read_filled_sheet(publish(sheet), "sheet.pdf").values


def test_a_pdfs_subject_is_read_and_what_is_no_pdf_has_none() -> None:
    assert read_subject(publish("mound")) == "sheet mound, edition 2027"
    assert read_subject(b"level: x") == ""
