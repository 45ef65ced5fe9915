"""What differs between two editions is told by what it is: calls that flip, figures, texts, and the rest apart."""

from __future__ import annotations

import json
from collections.abc import Callable
from itertools import product
from pathlib import Path

import pytest
from click.testing import CliRunner
from hypothesis import given, settings
from hypothesis import strategies as st
from past_edition import CONTENT, PAST, undo_changes
from source_folders import FIXTURES, SourceFolders, copy_folders

from pocketref.cli import main
from pocketref.edition.build import build_edition, publish_edition
from pocketref.edition.change_sheet import build_change_sheet, build_past_changes, lay_out_changes
from pocketref.edition.change_text import write_changes, write_changes_json
from pocketref.edition.changes import ChangeSet, compare_codes, compare_editions
from pocketref.edition.manifest import write_source
from pocketref.edition.proof import Proof, prove
from pocketref.edition.source_reading import EditionSource, read_edition_source, read_source
from pocketref.output.readback import read_pdf
from pocketref.problems import PocketrefError
from pocketref.source.library import Library, read_library

TABLE = "content/rulings/high-school/stance.yaml"
FIELD = "content/fields/high-school-90-ft.yaml"
TEXTS = "content/mechanics/stance.yaml"

Compare = Callable[[], ChangeSet]


@pytest.fixture
def newer(tmp_path: Path) -> SourceFolders:
    """The next season's source, the same until a test changes it."""
    return copy_folders(tmp_path / "newer")


@pytest.fixture
def compare(newer: SourceFolders) -> Compare:
    return lambda: compare_editions(
        read_edition_source(FIXTURES / "content"), read_edition_source(newer.content)
    )


def refused(path: Path) -> str:
    with pytest.raises(PocketrefError) as caught:
        read_edition_source(path)
    (problem,) = caught.value.problems
    assert problem.hint
    return problem.code


# --- what is told, and where -----------------------------------------------------------------------------


def test_an_edition_does_not_differ_from_itself(compare: Compare) -> None:
    assert compare().count == 0
    assert write_changes(compare()).endswith("no changes in all.")


def test_a_call_that_flips_is_named_by_its_plays_with_both_rulings_and_sections(
    newer: SourceFolders, compare: Compare
) -> None:
    newer.replace(TABLE, 'told: "yes"}\n    ruling: refusal', 'told: "yes"}\n    ruling: tell')
    newer.replace(TABLE, "rulings:", "rulings:\n  # refusal has no row now")
    found = compare()
    (flip,) = found.rulings
    assert flip.play == "past the outer edge; not yet; refuses"
    assert flip.old is not None
    assert flip.new is not None
    assert (flip.old.headline, flip.old.sections) == ("Strike for refusing", "FB 7-3")
    assert (flip.new.headline, flip.new.sections) == ("Tell the batter to get in", "FB 7-3")
    assert found.count == 1


def test_a_ruling_that_comes_to_something_else_flips_every_play_it_rules_on_in_the_fewest_rows(
    newer: SourceFolders, compare: Compare
) -> None:
    newer.replace(TABLE, "headline: Legal stance\n    ball: live", "headline: Legal stance\n    ball: dead")
    found = compare()
    (flip,) = found.rulings
    assert flip.when == (("over-line", ("no",)),)
    assert flip.old is not None
    assert flip.new is not None
    assert (flip.old.ball, flip.new.ball) == ("live", "dead")
    assert found.wording == ()


def test_a_row_that_becomes_unsettled_is_a_changed_call(newer: SourceFolders, compare: Compare) -> None:
    newer.replace(
        TABLE, "confidence: inferred\n  - when", "confidence: inferred\n    unsettled: two readings\n  - when"
    )
    (flip,) = compare().rulings
    assert flip.new is not None
    assert flip.new.is_unsettled
    assert "check your league" in write_changes(compare())


def test_rows_written_otherwise_that_rule_the_same_change_nothing(
    newer: SourceFolders, compare: Compare
) -> None:
    rest = "    ruling: play-on\n    source: field-book 7-1\n    confidence: inferred\n"
    twin = f'  - when: {{over-line: "yes", pitch-started: "yes", told: "yes"}}\n{rest}'
    newer.replace(
        TABLE,
        '  - when: {over-line: "yes", pitch-started: "yes"}\n',
        f'{twin}  - when: {{over-line: "yes", pitch-started: "yes", told: "no"}}\n',
    )
    assert compare().count == 0


def test_a_dimension_shows_both_values_in_their_own_notation(newer: SourceFolders, compare: Compare) -> None:
    newer.replace(FIELD, "box-width:          {value: 4 ft", "box-width:          {value: 1250 mm")
    (change,) = compare().dimensions
    assert (change.what, change.old, change.new, change.cites) == (
        "box-width",
        "4 ft",
        "1250 mm",
        "FB 1-2",
    )


def test_the_same_length_in_another_notation_is_no_change(newer: SourceFolders, compare: Compare) -> None:
    newer.replace(FIELD, "box-offset:         {value: 6 in", "box-offset:         {value: 152.4 mm")
    assert compare().count == 0


@pytest.mark.parametrize(
    ("file", "old", "new", "group"),
    [
        (FIELD, "pull: {value: 1/4 in", "pull: {value: 1/2 in", "tolerances"),
        (
            FIELD,
            "pull: {value: 1/4 in, source: house",
            "pull: {value: 1/4 in, source: field-book 1-2",
            "works",
        ),
        ("content/cautions/marking.yaml", "signal-word: warning", "signal-word: danger", "cautions"),
        (TEXTS, "Feet first,", "Feet and knees first,", "texts"),
        (TEXTS, "confidence: secondary", "confidence: in text", "works"),
        (TABLE, "headline: Legal stance", "headline: The stance is legal", "wording"),
        (TABLE, 'say: ["Strike."]', 'say: ["Strike!"]', "wording"),
        (TABLE, "source: field-book 7-3", "source: field-book 7-1", "works"),
        ("content/rulings/subjects/stance.yaml", "ask: Has the", "ask: And has the", "wording"),
        ("content/edition.yaml", "through: 2027-12-31", "through: 2027-11-30", "edition"),
        ("content/works.yaml", "7-3: refusing to enter", "7-3: refusing, delaying", "works"),
    ],
)
def test_one_change_stands_in_its_group_and_nowhere_else(
    file: str, old: str, new: str, group: str, newer: SourceFolders, compare: Compare
) -> None:
    newer.replace(file, old, new)
    found = compare()
    assert len(getattr(found, group)) == 1
    assert found.count == 1


PLAY = """\
plays: stance
subject: stance
cases:
  stays-out:
    title: Stays out
    situation: {runners: [first], outs: 1, count: 1-2}
    story: The batter sets with a foot past the line.
    facts: {over-line: "yes", pitch-started: "no", told: "yes"}
    expect: {high-school: refusal}
"""


def test_a_play_whose_answer_changes_is_named_with_both_rulings(newer: SourceFolders, tmp_path: Path) -> None:
    older = copy_folders(tmp_path / "older")
    for folders, play in ((older, PLAY), (newer, PLAY.replace("refusal", "tell"))):
        (folders.content / "plays").mkdir(exist_ok=True)
        folders.write("content/plays/stance.yaml", play)
    found = compare_editions(read_edition_source(older.content), read_edition_source(newer.content))
    (change,) = found.plays
    assert (change.where, change.what) == ("stance/stays-out", "high-school")
    assert (change.old, change.new) == ("Strike for refusing", "Tell the batter to get in")
    assert found.count == 1
    stored = tmp_path / "older.json"
    stored.write_bytes(write_source(read_library(older.content)).data)
    assert read_source(stored).plays == read_library(older.content).plays


def test_of_a_text_only_the_entries_that_differ_are_shown(newer: SourceFolders, compare: Compare) -> None:
    newer.replace(TEXTS, "Hold the pitcher, tell the batter,", "Tell the batter,")
    (change,) = compare().texts
    assert change.old == "Wrong? Hold the pitcher, tell the batter, wait."
    assert change.new == "Wrong? Tell the batter, wait."


@settings(max_examples=25, deadline=None)
@given(outcomes=st.lists(st.sampled_from(["legal", "tell", "play-on", "refusal"]), min_size=4, max_size=4))
def test_exactly_the_plays_that_are_ruled_differently_are_told(outcomes: list[str]) -> None:
    library = read_library(FIXTURES / "content")
    key = ("high-school", "stance")
    table = library.rulings[key]
    rows = tuple(
        row.model_copy(update={"ruling": name}) for row, name in zip(table.rows, outcomes, strict=True)
    )
    changed = table.model_copy(update={"rows": rows})
    other = Library(
        library.works,
        library.codes,
        library.edition,
        library.fields,
        library.subjects,
        {key: changed},
        library.texts,
        library.cautions,
    )
    found = compare_editions(EditionSource("a", library), EditionSource("b", other)).rulings
    facts = library.subjects["stance"].facts
    for answers in product(*(fact.answers for fact in facts.values())):
        play = dict(zip(facts, answers, strict=True))
        before, after = (
            next(
                row.ruling
                for row in model.rows
                if all(play[fact] in given for fact, given in row.when.items())
            )
            for model in (table, changed)
        )
        told = {
            (flip.old.outcome, flip.new.outcome)
            for flip in found
            if flip.old and flip.new and all(play[fact] in given for fact, given in flip.when)
        }
        assert told == ({(before, after)} if before != after else set())


# --- where sources are read from -------------------------------------------------------------------------


def test_what_is_read_back_from_a_stored_source_is_the_library_itself(proven: Proof, tmp_path: Path) -> None:
    stored = tmp_path / "2027.json"
    stored.write_bytes(write_source(proven.library).data)
    assert write_source(read_source(stored)).data == stored.read_bytes()
    assert read_source(stored).rulings == proven.library.rulings
    assert read_source(stored).fields == proven.library.fields


def test_a_published_edition_tells_a_change_of_layout_alone_apart(
    proven: Proof, newer: SourceFolders, tmp_path: Path
) -> None:
    newer.replace("layouts/cards/batters-box.yaml", "title: ", "title: The ")
    for name, proof in (("a", proven), ("b", prove(newer.content, newer.layouts))):
        publish_edition(proof, list(build_edition(proof)), tmp_path / name)
    found = compare_editions(*(read_edition_source(tmp_path / name / "2027") for name in "ab"))
    assert found.layouts == ("cards/batters-box.yaml",)
    assert found.count == 1


@pytest.mark.parametrize(
    ("data", "code"),
    [
        (b"not JSON", "edition-broken"),
        (b"\xff\xfe", "edition-broken"),
        (b"[1]", "edition-broken"),
        (b"[" * 100_000, "edition-broken"),
        (b"{}", "edition-unknown"),
        (b'{"format": 1}', "edition-broken"),
        (b'{"format": 99}', "edition-later"),
    ],
)
def test_what_is_no_source_is_refused_in_a_sentence(data: bytes, code: str, tmp_path: Path) -> None:
    (tmp_path / "source.json").write_bytes(data)
    assert refused(tmp_path) == code


@pytest.mark.parametrize(
    ("old", "new"),
    [
        ('"value": "4 ft"', '"value": "4"'),
        ('"ruling": "legal"', '"ruling": "lawful"'),
        ('"ball": "live"', '"ball": "lively"'),
        ('"mechanics/stance/look"', '"mechanics"'),
    ],
)
def test_a_source_changed_by_hand_is_refused_with_the_place(
    old: str, new: str, proven: Proof, tmp_path: Path
) -> None:
    text = write_source(proven.library).data.decode()
    assert old in text
    (tmp_path / "source.json").write_text(text.replace(old, new), encoding="utf-8")
    assert refused(tmp_path) == "edition-broken"


def test_a_folder_that_is_no_edition_and_one_that_is_not_there_are_refused(tmp_path: Path) -> None:
    assert refused(tmp_path) == "edition-unknown"
    assert refused(tmp_path / "nowhere") == "edition-unknown"


# --- codes, text, sheet ----------------------------------------------------------------------------------


def test_two_codes_are_compared_call_by_call(newer: SourceFolders) -> None:
    table = (newer.root / TABLE).read_text(encoding="utf-8").replace("code: high-school", "code: town")
    (newer.content / "rulings" / "town").mkdir()
    newer.write(
        "content/rulings/town/stance.yaml", table.replace("stance\n    ball: live", "stance\n    ball: dead")
    )
    codes = newer.content / "codes.yaml"
    newer.write(
        "content/codes.yaml", f"{codes.read_text()}  town: {{name: Town, mark: TWN, work: field-book}}\n"
    )
    found = compare_codes(read_library(newer.content), "high-school", "town")
    (flip,) = found.rulings
    assert flip.play == "inside or on the line"
    assert "Town" in write_changes(found)
    assert "was" not in write_changes(found).split()


def test_an_unknown_code_is_refused_with_the_closest_match() -> None:
    with pytest.raises(PocketrefError) as caught:
        compare_codes(read_library(FIXTURES / "content"), "high-school", "high-skool")
    assert "high-school" in caught.value.problems[0].hint


def test_the_json_says_what_the_text_says(newer: SourceFolders, compare: Compare) -> None:
    newer.replace(TABLE, "headline: Legal stance\n    ball: live", "headline: Legal stance\n    ball: dead")
    newer.replace(FIELD, "value: 43 in", "value: 42 in")
    found = json.loads(write_changes_json(compare()))
    assert found["count"] == 2
    assert found["rulings"][0]["when"] == {"over-line": ["no"]}
    assert found["rulings"][0]["new"]["ball"] == "dead"
    assert found["dimensions"][0]["old"] == "3 ft 7 in"


def test_the_sheet_is_one_page_that_names_every_change(newer: SourceFolders, compare: Compare) -> None:
    newer.replace(TABLE, "headline: Legal stance\n    ball: live", "headline: Legal stance\n    ball: dead")
    newer.replace(FIELD, "value: 43 in", "value: 42 in")
    (page,) = read_pdf(build_change_sheet(compare()).data).pages
    said = " ".join(text.content for text in page.texts)
    for words in ("What changed", "One call changes", "inside or on the line", "3 ft 7 in", "3 ft 6 in"):
        assert words in said


def test_more_than_a_page_of_changes_goes_on_more_pages_and_loses_none(compare: Compare) -> None:
    change = {"where": "field", "old": "1 ft", "new": "2 ft"}
    many = tuple(
        type(item)(**change, what=f"figure number {n}")
        for n, item in enumerate(compare_editions(*PAIR).edition * 120)
    )
    found = ChangeSet("2026", "2027", "Invented", dimensions=many)
    document = lay_out_changes(found)
    assert len(document.pages) > 1
    printed = read_pdf(build_change_sheet(found).data)
    said = [text.content for page in printed.pages for text in page.texts]
    assert sum("figure number" in words for words in said) == len(many)


PAIR = (EditionSource("2026", read_source(PAST)), EditionSource("2027", read_library(CONTENT)))


# --- the demo edition ------------------------------------------------------------------------------------


def test_the_demo_changes_by_what_was_planted_and_nothing_else() -> None:
    found = compare_editions(*PAIR)
    assert [change.where for change in found.texts] == [
        "mechanics/bases/double-first-base",
        "mechanics/stance/look",
    ]
    assert [(change.what, change.old, change.new) for change in found.tolerances] == [
        ("station", "1 in", "1/2 in")
    ]
    assert {change.what for change in found.edition} == {"edition", "season", "valid"}
    assert found.count == 6


def test_the_stored_edition_is_the_writer_s_own() -> None:
    assert write_source(read_source(PAST)).data == PAST.read_bytes()
    assert write_source(undo_changes(read_library(CONTENT))).data == PAST.read_bytes()


def test_publishing_compares_with_the_newest_stored_edition(proven: Proof, newer: SourceFolders) -> None:
    assert build_past_changes(proven) == []
    past = newer.content / "past"
    past.mkdir()
    text = write_source(proven.library).data.decode()
    for season in ("2025", "2026", "2027"):
        (past / f"{season}.json").write_text(
            text.replace('"edition": "2027"', f'"edition": "{season}"').replace(
                "2027-02-01", f"{season}-02-01"
            ),
            encoding="utf-8",
        )
    (sheet,) = build_past_changes(prove(newer.content, newer.layouts))
    assert sheet.name == "sheets/what-changed.pdf"
    assert sheet.report.endswith("from 2026")


def test_the_command_compares_and_writes_the_sheet(tmp_path: Path) -> None:
    out = tmp_path / "sheet.pdf"
    run = CliRunner().invoke(main, ["changes", str(PAST), str(CONTENT), "--out", str(out)])
    assert run.exit_code == 0, run.output
    assert "6 changes in all." in run.output
    assert out.read_bytes().startswith(b"%PDF")


@pytest.mark.parametrize("arguments", [[], ["one"], ["--codes", "a", "b", "one", "two"]])
def test_the_command_says_how_it_is_used(arguments: list[str]) -> None:
    assert CliRunner().invoke(main, ["changes", *arguments]).exit_code == 2
