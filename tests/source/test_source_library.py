"""A content folder: read whole, with references that resolve and every problem told at once."""

from __future__ import annotations

import shutil
from collections.abc import Callable
from datetime import date
from pathlib import Path

import pytest

from pocketref.problems import PocketrefError, Problem, Severity
from pocketref.source.library import read_library
from pocketref.source.ruling_models import Ball
from pocketref.source.syntax.kinds import Cite, Confidence

Spoil = Callable[[str, str, str], None]
Find = Callable[[], tuple[Problem, ...]]

TABLE = "rulings/youth/stance.yaml"
SUBJECT = "rulings/subjects/stance.yaml"
FIELD = "fields/youth-60-ft.yaml"


def test_the_sample_reads_without_a_problem(content: Path) -> None:
    library = read_library(content)
    assert library.warnings == ()
    assert library.edition.valid.from_ == date(2027, 2, 1)
    assert library.edition.valid.through == date(2027, 12, 31)
    assert list(library.fields) == ["youth-60-ft"]
    assert list(library.rulings) == [("youth", "stance")]
    assert library.works["field-book"].sections["1-1"] == "the square"
    plate = library.fields["youth-60-ft"].dimensions["plate-width"]
    assert plate.value.inches == 17
    assert plate.source == (Cite("field-book", "1-2"),)
    assert str(plate.location) == f"content/{FIELD}:6:18"


def test_a_table_gives_what_deciding_needs(content: Path) -> None:
    library = read_library(content)
    table, subject = library.rulings["youth", "stance"], library.subjects["stance"]
    assert table.order == ("over-line", "told")
    assert list(subject.facts) == ["over-line", "told"]
    assert list(subject.facts["told"].answers) == ["yes", "no"]
    assert [float(w) for w in subject.facts["over-line"].weights.values()] == [1, 9]
    assert str(subject.facts["told"].location) == f"content/{SUBJECT}:9:5"
    assert dict(table.rows[1].when) == {"over-line": ("yes",), "told": ("yes", "no")}
    assert table.rows[1].unsettled == "the book is silent"
    assert str(table.rows[1].location) == f"content/{TABLE}:12:5"
    assert str(table.never[0].location) == f"content/{TABLE}:5:5"
    assert table.rulings["tell"].ball is Ball.DEAD
    assert table.rulings["tell"].see == "stance"


def test_the_starter_content_has_no_errors() -> None:
    library = read_library(Path(__file__).parents[2] / "content")
    assert library.edition.levels
    assert library.edition.invented
    assert library.warnings == ()


def test_statements_have_names_of_their_own_and_some_are_in_doubt(content: Path) -> None:
    library = read_library(content)
    assert [(each.model.confidence, each.name.rpartition("/")[0]) for each in library.statements] == [
        (Confidence.IN_TEXT, "fields/youth-60-ft/dimensions"),
        (Confidence.FROM_MEMORY, "fields/youth-60-ft/dimensions"),
        (Confidence.OUR_PROPOSAL, "fields/youth-60-ft/tolerances"),
        (Confidence.SECONDARY, "rulings/youth/stance"),
        (Confidence.INFERRED, "rulings/youth/stance"),
    ]
    assert len({each.name for each in library.statements}) == len(library.statements)
    assert [each.model.confidence for each in library.doubts] == [Confidence.FROM_MEMORY, Confidence.INFERRED]
    assert str(library.doubts[0].model.location) == f"content/{FIELD}:6:18"


def test_names_in_messages_do_not_depend_on_the_working_directory(
    content: Path, spoil: Spoil, monkeypatch: pytest.MonkeyPatch
) -> None:
    spoil("edition.yaml", "[youth]", "[yuoth]")
    seen = set()
    for start, given in (
        (content.parent, Path("content")),
        (content, Path()),
        (content / "fields", Path("..")),
        (Path("/"), content),
    ):
        monkeypatch.chdir(start)
        with pytest.raises(PocketrefError) as caught:
            read_library(given)
        seen.add(str(caught.value.problems[0].where))
    assert seen == {"content/edition.yaml:6:9"}


@pytest.mark.parametrize(
    ("slip", "told", "hint"),
    [
        ((FIELD, "field-book 1-1", "feild-book 1-1"), "cite-work 5:41", "did you mean 'field-book'?"),
        ((FIELD, "source: house", "source: hous 1"), "cite-work 8:36", "did you mean 'house'?"),
        ((FIELD, "field-book 1-1", "field-book 1-11"), "cite-section 5:41", "did you mean '1-1'?"),
        ((TABLE, "[field-book 7-1, house]", "[house, field-book 7-9]"), "cite-section 14:21", "did you mean"),
        ((FIELD, "plate-width: ", "plate-widht: "), "key-unknown 6:3", "did you mean 'plate-width'?"),
        ((FIELD, "station:", "stations:"), "key-unknown 8:3", "did you mean 'station'?"),
        ((FIELD, "17 in", "17 inn"), "unit-unknown 6:29", "did you mean 'in'?"),
        ((FIELD, "confidence: from memory", "confidence: memory"), "value-choice 6:69", "did you mean 'from"),
        ((FIELD, "level: 60-ft", "level: 90-ft"), "name-mismatch 1:8", "rename the file"),
        ((TABLE, "ruling: legal", "ruling: leagl"), "ruling-unknown 9:13", "did you mean 'legal'?"),
        ((TABLE, '{over-line: "no"}', '{over-lien: "no"}'), "fact-unknown 8:12", "did you mean 'over-line'?"),
        ((TABLE, 'told: "yes"', 'told: "yess"'), "answer-unknown 5:35", "did you mean 'yes'?"),
        ((TABLE, '["yes", "no"]', '["yes", maybe]'), "answer-unknown 12:44", "use one of: no, yes"),
        ((TABLE, '["yes", "no"]', '["yes", "yes"]'), "name-repeated 12:44", "keep one"),
        ((TABLE, "[over-line, told]", "[over-line, tol]"), "fact-unknown 3:20", "did you mean 'told'?"),
        ((TABLE, "see: stance", "see: stanec"), "subject-unknown 34:10", "did you mean 'stance'?"),
        ((TABLE, "subject: stance", "subject: stanza"), "name-mismatch 1:10", "write 'subject: stance'"),
        ((TABLE, "code: youth", "code: yuoth"), "name-mismatch 2:7", "write 'code: youth'"),
        ((TABLE, "ball: dead", "ball: deed"), "value-choice 28:11", "did you mean 'dead'?"),
        ((TABLE, "    say: []\n", ""), "key-missing 19:5", "add 'say: ...'"),
        ((TABLE, "rows:", "rows: []\nrows2:"), "key-unknown 8:1", "did you mean 'rows'?"),
        (("edition.yaml", "youth-60-ft", "youth-60"), "level-unknown 7:10", "did you mean 'youth-60-ft'?"),
        (("edition.yaml", "[youth]", "[yuoth]"), "code-unknown 6:9", "did you mean 'youth'?"),
        (("edition.yaml", "[youth]", "[youth, youth]"), "name-repeated 6:16", "keep one"),
        (("edition.yaml", "2027-12-31", "2026-12-31"), "value-date 5:36", "later day"),
        (("edition.yaml", "2027-02-01", "2027-02-29"), "value-date 5:15", "check the month"),
        (("works.yaml", "  field-book:", "  house:"), "value-name 2:3", "another name"),
        (("works.yaml", "mark: FB", "mark: Far too long to print"), "value-text 4:23", "at most 12"),
        (
            (SUBJECT, '{"yes": told, "no": not told}', '{"yes": told}'),
            "value-count 10:14",
            "add what is missing",
        ),
        ((SUBJECT, '{"yes": 1, "no": 9}', '{"yes": 1, "nay": 9}'), "answer-unknown 7:14", "use one of"),
        ((SUBJECT, '{"yes": 1, "no": 9}', '{"yes": 1}'), "value-count 7:14", "give every answer"),
        ((SUBJECT, '{"yes": 1, "no": 9}', '{"yes": 1, "no": 0}'), "value-range 7:14", "3 or 0.5"),
    ],
)
def test_a_slip_is_told_at_its_place_with_a_remedy(
    spoil: Spoil, find_problems: Find, slip: tuple[str, str, str], told: str, hint: str
) -> None:
    name = slip[0]
    spoil(*slip)
    code, place = told.split()
    found = [p for p in find_problems() if p.code == code]
    assert len(found) == 1
    assert str(found[0].where) == f"content/{name}:{place}"
    assert hint in found[0].hint


def test_problems_of_every_file_are_told_at_once(content: Path, spoil: Spoil, find_problems: Find) -> None:
    spoil(FIELD, "17 in", "17")
    spoil(TABLE, "ball: dead", "ball: deed")
    spoil(SUBJECT, "title:", "titel:")
    spoil("edition.yaml", "season:", "saeson:")
    (content / "works.yaml").unlink()
    files = [p.where.file for p in find_problems() if p.where]
    assert {f.removeprefix("content/") for f in files} == {
        FIELD,
        TABLE,
        SUBJECT,
        "edition.yaml",
        "works.yaml",
    }


def test_a_file_that_cannot_be_read_brings_no_other_complaints(content: Path, find_problems: Find) -> None:
    (content / "works.yaml").write_text("works: [")
    (content / FIELD).write_text("level: [")
    (content / SUBJECT).write_text("subject: [")
    assert {p.code for p in find_problems()} == {"yaml-syntax"}


def test_a_table_needs_the_facts_of_its_subject(content: Path, spoil: Spoil, find_problems: Find) -> None:
    spoil(TABLE, "    see: stance\n", "")
    (content / SUBJECT).rename(content / "rulings/subjects/stand.yaml")
    spoil("rulings/subjects/stand.yaml", "subject: stance", "subject: stand")
    (problem,) = find_problems()
    assert (problem.code, str(problem.where)) == ("subject-unknown", f"content/{TABLE}:1:10")
    assert problem.hint == "did you mean 'stand'?"


def test_a_ruling_that_no_row_leads_to_is_a_warning(content: Path, spoil: Spoil) -> None:
    spoil(TABLE, "ruling: tell", "ruling: legal")
    (warning,) = read_library(content).warnings
    assert (warning.code, warning.severity) == ("ruling-unused", Severity.WARNING)
    assert str(warning.where) == f"content/{TABLE}:26:3"


def test_effects_that_contradict_each_other_are_told_at_their_place(
    find_problems: Find, spoil: Spoil
) -> None:
    spoil(TABLE, "runners: stay", "runners: at own risk")
    (problem,) = find_problems()
    assert problem.code == "ruling-contradiction"
    assert str(problem.where) == f"content/{TABLE}:30:14"


def test_a_missing_folder_is_told(tmp_path: Path) -> None:
    with pytest.raises(PocketrefError) as caught:
        read_library(tmp_path / "content")
    assert [p.code for p in caught.value.problems] == ["folder-missing"]


def test_an_empty_folder_is_told_what_it_needs(tmp_path: Path) -> None:
    with pytest.raises(PocketrefError) as caught:
        read_library(tmp_path)
    assert [p.code for p in caught.value.problems] == ["file-missing"] * 3  # works, codes, edition


@pytest.mark.parametrize(
    ("name", "hint"),
    [
        ("fields/other.yml", ".yaml"),
        ("fields/Other Field.yaml", "lower-case"),
        ("rulings/lost.yaml", "code's folder"),
        ("fields/tab\tbell\x07\udcff.yaml", "lower-case"),
    ],
)
def test_a_file_that_would_be_left_out_is_told(
    content: Path, find_problems: Find, name: str, hint: str
) -> None:
    shutil.copy(content / FIELD, content / name)
    (problem,) = find_problems()
    assert problem.code == "file-name"
    assert hint in problem.hint
    assert problem.sentence.isprintable()


def test_a_codes_folder_needs_a_name_that_can_be_cited(content: Path, find_problems: Find) -> None:
    shutil.copytree(content / "rulings/youth", content / "rulings/High School")
    (problem,) = find_problems()
    assert (problem.code, str(problem.where)) == ("file-name", "content/rulings/High School")


def test_files_that_are_none_of_ours_are_passed_over(content: Path) -> None:
    for name in ("fields/.hidden.yaml", "fields/README.md", "fields/youth-60-ft.yaml~", "rulings/youth/.swp"):
        (content / name).write_text("not: [ours")
    (content / "notes").mkdir()
    (content / "notes" / "first.yaml").write_text("not: [ours")
    assert list(read_library(content).fields) == ["youth-60-ft"]


def test_a_folder_that_links_elsewhere_is_refused(content: Path, tmp_path: Path, find_problems: Find) -> None:
    (content / "fields").rename(tmp_path / "elsewhere")
    (content / "fields").symlink_to(tmp_path / "elsewhere")
    assert [p.code for p in find_problems()] == ["file-outside"]


def test_a_folder_that_cannot_be_listed_is_told(
    content: Path, find_problems: Find, monkeypatch: pytest.MonkeyPatch
) -> None:
    listed = Path.iterdir

    def refuse(self: Path) -> object:
        if self.name == "fields":
            raise PermissionError(13, "Permission denied")
        return listed(self)

    monkeypatch.setattr(Path, "iterdir", refuse)
    assert "file-unreadable" in [p.code for p in find_problems()]
