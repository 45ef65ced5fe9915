"""How changes are shown: as JSON, on the sheet of what changed, and by the command."""

from __future__ import annotations

import json
from pathlib import Path

import pytest
from change_samples import DEMO, FIELD, TABLE, changes_in
from click.testing import CliRunner
from past_edition import CONTENT, PAST
from source_folders import SourceFolders

from pocketref.changes.change_sheet import build_change_sheet, lay_out_changes
from pocketref.changes.change_text import write_changes, write_changes_json
from pocketref.changes.changes import ChangeSet, compare_editions
from pocketref.cli import main
from pocketref.output.readback import read_pdf


def test_the_json_says_what_the_text_says(folders: SourceFolders) -> None:
    folders.replace(
        TABLE, "headline: Legal stance\n    ball: live", "headline: Legal stance\n    ball: delayed dead"
    )
    folders.replace(FIELD, "value: 43 in", "value: 42 in")
    found = json.loads(write_changes_json(changes_in(folders)))
    assert found["count"] == 2
    assert found["rulings"][0]["when"] == {"over-line": ["no"]}
    assert found["rulings"][0]["new"]["ball"] == "delayed dead"
    assert found["dimensions"][0]["old"] == "3 ft 7 in"


def test_the_sheet_is_one_page_that_names_every_change(folders: SourceFolders) -> None:
    folders.replace(
        TABLE, "headline: Legal stance\n    ball: live", "headline: Legal stance\n    ball: delayed dead"
    )
    folders.replace(FIELD, "value: 43 in", "value: 42 in")
    (page,) = read_pdf(build_change_sheet(changes_in(folders)).data).pages
    said = " ".join(text.content for text in page.texts)
    for words in ("What changed", "One call changes", "inside or on the line", "3 ft 7 in", "3 ft 6 in"):
        assert words in said


def test_fields_figures_and_texts_are_called_what_print_calls_them() -> None:
    found = compare_editions(*DEMO)
    (page,) = read_pdf(build_change_sheet(found).data).pages
    printed = " ".join(text.content for text in page.texts)
    for said in (printed, write_changes(found)):
        for words in ("90-ft diamond, high school:", "place of a station", "Double first base"):
            assert words in said
        for name in ("high-school-90-ft", "mechanics/", "double-first-base", "entries"):
            assert name not in said


def test_more_than_a_page_of_changes_goes_on_more_pages_and_loses_none() -> None:
    change = {"where": "field", "old": "1 ft", "new": "2 ft"}
    many = tuple(
        type(item)(**change, what=f"figure number {n}")
        for n, item in enumerate(compare_editions(*DEMO).edition * 120)
    )
    found = ChangeSet("2026", "2027", "Invented", dimensions=many)
    document = lay_out_changes(found)
    assert len(document.pages) > 1
    printed = read_pdf(build_change_sheet(found).data)
    said = [text.content for page in printed.pages for text in page.texts]
    assert sum("figure number" in words for words in said) == len(many)


def test_the_command_compares_and_writes_the_sheet(tmp_path: Path) -> None:
    out = tmp_path / "sheet.pdf"
    run = CliRunner().invoke(main, ["changes", str(PAST), str(CONTENT), "--out", str(out)])
    assert run.exit_code == 0, run.output
    assert "6 changes in all." in run.output
    assert out.read_bytes().startswith(b"%PDF")


@pytest.mark.parametrize("arguments", [[], ["one"], ["--codes", "a", "b", "one", "two"]])
def test_the_command_says_how_it_is_used(arguments: list[str]) -> None:
    assert CliRunner().invoke(main, ["changes", *arguments]).exit_code == 2
