"""The training sheets of an edition: proven with the rest, printed, and what the plays prove of the tables."""

from __future__ import annotations

import shutil
from pathlib import Path

import pytest
from demo_plays import demo, demo_layouts
from play_samples import PLAYS, ROOT, SHEET, content
from source_folders import SourceFolders

from pocketref.edition.pdf_file import build_pdf
from pocketref.edition.play_proof import lay_out_plays, summarize_plays, write_coverage
from pocketref.edition.proof import prove
from pocketref.output.reading.readback import read_pdf
from pocketref.problems import PocketrefError, Severity
from pocketref.publish.build import build_edition


@pytest.fixture
def training(folders: SourceFolders) -> SourceFolders:
    folders.add("content/plays/stance.yaml", PLAYS)
    folders.add("layouts/plays/night.yaml", f"{SHEET}fill: yes\n")
    return folders


def words_of(data: bytes) -> str:
    return " ".join(run.content for page in read_pdf(data).pages for run in page.texts).replace("\u00a0", " ")


def test_the_plays_notice_every_single_change_of_the_tables() -> None:
    coverage = demo().coverage
    assert [
        (table.subject, table.code, each.words)
        for table in coverage.tables
        for each in table.mutations.missed
    ] == []
    assert all(table.mutations.measured and table.mutations.total > 10 for table in coverage.tables)


def test_no_two_plays_of_a_sheet_read_alike_on_it_or_in_its_key() -> None:
    for sheet in demo().sheets:
        asked = [(each.ruled.case.model.story, each.ruled.case.model.situation) for each in sheet.questions]
        assert all(asked.count(each) == 1 for each in asked), sheet.name
        keys = [tuple(choice.reason for choice in each.choices) for each in sheet.questions]
        assert len(set(keys)) == len(keys), sheet.name


def test_the_plays_meet_every_row_way_and_difference() -> None:
    coverage = demo().coverage
    assert len(coverage.tables) == len(content().rulings)
    assert [table for table in coverage.tables if table.unmet_rows or table.unwalked] == []
    assert [found for found in coverage.differences if found.unmet] == []


def test_every_sheet_is_printed_with_its_answer_sheet_and_key(tmp_path: Path) -> None:
    looks, proof = demo_layouts(), demo()
    items = list(lay_out_plays(proof, looks))
    names = [item.name for item in items]
    assert names == [f"{sheet.name}{end}" for sheet in proof.sheets for end in ("", "-answers", "-key")]
    for item in items[:6]:
        file = build_pdf(f"plays/{item.name}", item.document, item.floor_pt)
        assert file.pages == len(item.document.pages)


def test_a_sheet_printed_twice_has_the_same_bytes() -> None:
    looks, proof = demo_layouts(), demo()
    first, second = (list(lay_out_plays(proof, looks))[-1] for _ in range(2))
    assert (
        build_pdf("a", first.document, first.floor_pt).data
        == build_pdf("a", second.document, second.floor_pt).data
    )


def test_a_series_asks_no_play_twice() -> None:
    weekly = [sheet for sheet in demo().sheets if sheet.name.startswith("weekly")]
    asked = [question.ruled.case.name for sheet in weekly for question in sheet.questions]
    assert len(weekly) == 8
    assert len(asked) == len(set(asked))


def test_an_edition_holds_its_training_sheets(training: SourceFolders) -> None:
    files = {file.name: file for file in build_edition(prove(training.content, training.layouts))}
    said, answers = words_of(files["plays/night.pdf"].data), words_of(files["plays/night-key.pdf"].data)
    assert "Training night" in said
    assert "Well set" in said
    assert said.count("(computed)") == 3  # a play for each row that none meets
    assert "FB 7-1" in answers or "7-1" in answers


def test_an_edition_without_plays_has_no_training_sheets(folders: SourceFolders) -> None:
    proof = prove(folders.content, folders.layouts)
    assert not [file.name for file in build_edition(proof) if file.name.startswith("plays/")]
    assert summarize_plays(proof.plays) == ""


def test_what_plays_leave_out_is_listed(training: SourceFolders) -> None:
    proof = prove(training.content, training.layouts)
    lines = write_coverage(proof.plays)
    assert lines[0].startswith("stance, high-school: plays: 1; they meet 1 of 4 rows, go 1 of 4 ways")
    assert "    no play meets row 2" in lines
    assert any("no play meets the row" in line for line in lines)
    assert "they meet 1 of 4 rows, notice " in summarize_plays(proof.plays)


def test_what_plays_leave_out_of_a_full_set_is_nothing() -> None:
    *told, unasked = write_coverage(demo())
    library = content()
    assert len(told) == len(library.rulings) + len(library.subjects), "a line for each table and subject"
    assert unasked.startswith("on no training sheet: ")


def test_a_play_that_disagrees_with_the_table_stops_the_proof(training: SourceFolders) -> None:
    training.replace("content/plays/stance.yaml", "ahead: -20 in", "ahead: 0 in")
    with pytest.raises(PocketrefError) as caught:
        prove(training.content, training.layouts)
    assert [problem.code for problem in caught.value.problems] == ["play-fact-missing"] * len(
        caught.value.problems
    )
    training.replace(
        "content/plays/stance.yaml", "    expect:", '    facts: {pitch-started: "yes"}\n    expect:'
    )
    with pytest.raises(PocketrefError) as caught:
        prove(training.content, training.layouts)
    (problem,) = caught.value.problems
    assert problem.code == "play-ruling"
    assert problem.where is not None
    assert problem.where.file == "content/plays/stance.yaml"


def test_a_table_with_a_row_deleted_is_told_where_its_rows_begin_and_nothing_else(tmp_path: Path) -> None:
    for name in ("content", "layouts"):
        shutil.copytree(ROOT / name, tmp_path / name)
    changed = SourceFolders(tmp_path)
    for name, row, end in (
        (
            "high-school/contact",
            '  - when: {bat-meets-ball: "yes", on-plate: "no", wholly-outside: "no", knee-out: "yes"}',
            "  - when",
        ),
        ("youth/contact", '  - when: {caught-tip: "yes", wholly-outside: "yes"}', "  - when"),
    ):
        text = (changed.content / f"rulings/{name}.yaml").read_text(encoding="utf-8")
        start = text.index(row)
        changed.write(f"content/rulings/{name}.yaml", text[:start] + text[text.index(end, start + 5) :])
    with pytest.raises(PocketrefError) as caught:
        prove(changed.content, changed.layouts)
    errors = [problem for problem in caught.value.problems if problem.severity is Severity.ERROR]
    assert [problem.code for problem in errors] == ["table-gap", "table-gap"]
    assert [problem.where.text for problem in errors if problem.where] == ["rows:", "rows:"]


def test_a_play_that_no_sheet_asks_for_is_a_warning_and_one_left_over_is_named(
    training: SourceFolders,
) -> None:
    training.replace("layouts/plays/night.yaml", "fill: yes\n", "tags: [evening]\nplays: 1\n")
    plays = PLAYS.replace("    situation", "    tags: [evening]\n    situation", 1)
    plays += (
        PLAYS.split("cases:\n")[1]
        .replace("well-set", "well-set-too")
        .replace("    situation", "    tags: [evening]\n    situation")
    )
    plays += PLAYS.split("cases:\n")[1].replace("well-set", "by-day")
    training.write("content/plays/stance.yaml", plays)
    proof = prove(training.content, training.layouts)
    (warning,) = [problem for problem in proof.warnings if problem.code == "play-unasked"]
    assert warning.sentence == "no training sheet asks for 'stance/by-day'"
    assert warning.hint == (
        "give it a tag that a sheet asks for (evening), "
        "or name it in a sheet of layouts/plays: 'cases: [stance/by-day]'"
    )
    asked = proof.plays.sheets[0].questions[0].ruled.case.name
    left = [name for name in ("stance/well-set", "stance/well-set-too", "stance/by-day") if name != asked]
    assert write_coverage(proof.plays)[-1].startswith(f"on no training sheet: {', '.join(left)}; ")
    assert "training sheets: 1; plays on none of them: 2; --plays" in summarize_plays(proof.plays)


def test_a_sheet_asks_for_plays_by_name_in_its_own_order(training: SourceFolders) -> None:
    more = PLAYS.split("cases:\n")[1]
    training.write(
        "content/plays/stance.yaml",
        PLAYS + more.replace("well-set", "second") + more.replace("well-set", "third"),
    )
    training.replace("layouts/plays/night.yaml", "fill: yes", "cases: [stance/third, stance/well-set]")
    (sheet,) = prove(training.content, training.layouts).plays.sheets
    assert [each.ruled.case.name for each in sheet.questions] == ["stance/third", "stance/well-set"]


def test_a_table_at_fault_is_told_before_its_plays(training: SourceFolders) -> None:
    training.replace("content/rulings/high-school/stance.yaml", 'told: "no"}', 'told: "yes"}')
    with pytest.raises(PocketrefError) as caught:
        prove(training.content, training.layouts)
    assert "table-overlap" in {problem.code for problem in caught.value.problems}
    assert not [problem for problem in caught.value.problems if problem.code.startswith("play")]


def test_a_changed_ruling_is_noticed_by_the_content_s_plays(tmp_path: Path) -> None:
    for name in ("content", "layouts"):
        shutil.copytree(ROOT / name, tmp_path / name)
    changed = SourceFolders(tmp_path)
    changed.replace("content/rulings/professional/contact.yaml", "ruling: legal", "ruling: out-of-box")
    with pytest.raises(PocketrefError) as caught:
        prove(changed.content, changed.layouts)
    errors = [problem for problem in caught.value.problems if problem.code == "play-ruling"]
    assert errors
    assert all("by professional" in problem.sentence for problem in errors)
