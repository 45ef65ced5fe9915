"""How changes are shown: as JSON, on the sheet of what changed, and by the command."""

from __future__ import annotations

import json
from dataclasses import replace
from pathlib import Path

import pytest
from change_samples import DEMO, FIELD, TABLE, changes_in
from click.testing import CliRunner
from past_edition import CONTENT, PAST
from source_folders import SourceFolders

from pocketref.changes.change_set import ChangeSet
from pocketref.changes.change_sheet import build_change_sheet, lay_out_changes
from pocketref.changes.change_text import write_changes, write_changes_json
from pocketref.changes.changes import compare_editions
from pocketref.cli import main
from pocketref.layouts.layout_library import read_papers
from pocketref.output.reading.readback import read_pdf
from pocketref.pages.words import Paragraph
from pocketref.source.library import read_library
from pocketref.web.changes_web import write_changes_section
from pocketref.web.html_content import WebWords

LAYOUTS = read_papers(Path(__file__).parents[2] / "layouts")
LEGAL = ("headline: Legal stance\n    ball: live", "headline: Legal stance\n    ball: delayed dead")


def read_sheet(changes: ChangeSet, paper: str = "letter") -> list[str]:
    """The words of each page of the sheet."""
    pages = read_pdf(build_change_sheet(changes, LAYOUTS, paper).data).pages
    return [" ".join(text.content for text in page.texts).replace("\u00a0", " ") for page in pages]


def test_the_json_says_what_the_text_says(folders: SourceFolders) -> None:
    folders.replace(TABLE, *LEGAL)
    folders.replace(FIELD, "value: 43 in", "value: 42 in")
    found = json.loads(write_changes_json(changes_in(folders)))
    assert (found["count"], found["call-changes"]) == (2, 1)
    (call,) = found["groups"]["calls"]
    assert call["call"]["when"] == {"over-line": ["no"]}
    assert "Ball: delayed dead." in call["new"]
    assert found["groups"]["figures"][0]["old"] == "43 in"


def test_one_sentence_stands_at_the_top_of_text_json_sheet_and_page(folders: SourceFolders) -> None:
    for replaced in (None, LEGAL):
        if replaced:
            folders.replace(TABLE, *replaced)
        changes = changes_in(folders)
        said = changes.summary.replace("*", "")
        assert write_changes(changes).split("\n\n")[1] == said
        assert json.loads(write_changes_json(changes))["summary"] == said
        assert said in read_sheet(changes)[0]
        assert write_changes_section(changes).parts[0].contents == (WebWords((Paragraph(changes.summary),)),)


def test_the_sheet_is_one_page_that_names_every_change(folders: SourceFolders) -> None:
    folders.replace(TABLE, *LEGAL)
    folders.replace(FIELD, "value: 43 in", "value: 42 in")
    (said,) = read_sheet(changes_in(folders))
    for words in ("What changed", "Calls changed in one row.", "inside or on the line", "43 in", "42 in"):
        assert words in said
    assert "page 1" not in said
    assert said.index("Calls") < said.index("Dimensions")


def test_fields_figures_and_texts_are_called_what_print_calls_them_and_the_edition_takes_a_line() -> None:
    found = compare_editions(*DEMO)
    printed = " ".join(read_sheet(found))
    for said in (printed, write_changes(found)):
        for words in ("90-ft diamond, high school:", "place of a station", "Double first base"):
            assert words in said
        for name in ("high-school-90-ft", "mechanics/", "double-first-base", "entries"):
            assert name not in said
    line = "The edition: edition 2027, was 2026; season 2027, was 2026; valid 1 Feb 2027 to 31 Dec 2027, was"
    assert line in printed


def make_many(count: int) -> ChangeSet:
    """As many changes of texts and figures, three figures to a text."""
    figure, text = (compare_editions(*DEMO).groups[name][0] for name in ("figures", "mechanics"))
    return ChangeSet(
        "2026",
        "2027",
        read_library(CONTENT).edition,
        {
            "figures": tuple(
                replace(figure, what=f"*Level:* figure number {n}") for n in range(3 * count // 4)
            ),
            "mechanics": tuple(replace(text, what=f"*Text* number {n}") for n in range(count // 4)),
        },
    )


@pytest.mark.parametrize("paper", ["letter", "a4"])
@pytest.mark.parametrize("count", [80, 400])
def test_more_than_a_page_of_changes_goes_on_full_pages_and_loses_none(count: int, paper: str) -> None:
    changes = make_many(count)
    document = lay_out_changes(changes, LAYOUTS, paper).document
    assert (document.pages[0].width_mm > 212) == (paper == "letter")
    pages = read_sheet(changes, paper)
    assert len(pages) > 1
    assert sum(page.count("number ") for page in pages) == count
    printed = read_pdf(build_change_sheet(changes, LAYOUTS, paper).data).pages
    for number, (page, words) in enumerate(zip(printed, pages, strict=True), 1):
        assert f"page {number} of {len(pages)}" in words
        footer = min(text.y for text in page.texts if "page" in text.content)
        lowest = min(text.y for text in page.texts if text.y > footer + 8)
        assert number == len(pages) or lowest - footer < 0.1 * page.media.height_mm


def test_the_sheet_takes_the_largest_type_that_saves_no_page_by_being_smaller() -> None:
    changes = make_many(80)
    pages = {}
    for step in LAYOUTS.styles.sheet_scale:
        styles = LAYOUTS.styles.model_copy(update={"sheet_scale": (step,)})
        pages[float(step)] = len(
            lay_out_changes(changes, replace(LAYOUTS, styles=styles), "letter").document.pages
        )
    laid_out = lay_out_changes(changes, LAYOUTS, "letter")
    least = min(pages.values())
    assert len(laid_out.document.pages) == least
    assert laid_out.sizes[0].body_pt == max(step for step, count in pages.items() if count == least)


@pytest.mark.parametrize("paper", ["letter", "a4"])
def test_the_command_compares_and_writes_the_sheet_on_the_paper_asked_for(paper: str, tmp_path: Path) -> None:
    out = tmp_path / "sheet.pdf"
    arguments = ["changes", str(PAST), str(CONTENT), "--out", str(out), "--paper", paper]
    run = CliRunner().invoke(main, arguments)
    assert run.exit_code == 0, run.output
    assert "Calls changed in 8 rows." in run.output
    assert "The double first base, high school: collided, runner on the white only" in run.output
    for page in read_pdf(out.read_bytes()).pages:
        assert (page.media.width_mm > 212) == (paper == "letter")


def test_a_paper_that_is_not_there_is_refused_and_nothing_written(tmp_path: Path) -> None:
    out = tmp_path / "sheet.pdf"
    run = CliRunner().invoke(main, ["changes", str(PAST), str(CONTENT), "--out", str(out), "--paper", "a44"])
    assert run.exit_code != 0
    assert "did you mean 'a4'?" in run.output
    assert not out.exists()


@pytest.mark.parametrize("arguments", [[], ["one"], ["--codes", "a", "b", "one", "two"]])
def test_the_command_says_how_it_is_used(arguments: list[str]) -> None:
    assert CliRunner().invoke(main, ["changes", *arguments]).exit_code == 2
