"""What differs between two editions, or two codes, is told by what it is: calls that flip, figures, texts."""

from __future__ import annotations

from itertools import product
from pathlib import Path

import pytest
from change_samples import DEMO, FIELD, TABLE, TEXTS, changes_in
from hypothesis import given, settings
from hypothesis import strategies as st
from source_folders import FIXTURES, SourceFolders, copy_folders

from pocketref.changes.change_text import write_changes
from pocketref.changes.changes import compare_codes, compare_editions
from pocketref.edition.manifest_writing import write_source
from pocketref.edition.source_reading import EditionSource, read_edition_source, read_source
from pocketref.problems import PocketrefError
from pocketref.source.library import Library, read_library


def test_an_edition_does_not_differ_from_itself(folders: SourceFolders) -> None:
    assert changes_in(folders).count == 0
    assert write_changes(changes_in(folders)).endswith("\n\nNothing changed.")


def test_a_call_that_flips_is_named_by_its_plays_with_both_rulings_and_sections(
    folders: SourceFolders,
) -> None:
    folders.replace(TABLE, 'told: "yes"}\n    ruling: refusal', 'told: "yes"}\n    ruling: tell')
    folders.replace(TABLE, "rulings:", "rulings:\n  # refusal has no row now")
    found = changes_in(folders)
    (flip,) = found.rulings
    assert flip.play == "past the outer edge; not yet; refuses"
    assert flip.old is not None
    assert flip.new is not None
    assert (flip.old.headline, flip.old.sections) == ("Strike for refusing", "FB 7-3")
    assert (flip.new.headline, flip.new.sections) == ("Tell the batter to get in", "FB 7-3")
    assert found.count == 1


def test_a_ruling_that_comes_to_something_else_flips_every_play_it_rules_on_in_the_fewest_rows(
    folders: SourceFolders,
) -> None:
    folders.replace(
        TABLE, "headline: Legal stance\n    ball: live", "headline: Legal stance\n    ball: delayed dead"
    )
    found = changes_in(folders)
    (flip,) = found.rulings
    assert flip.when == (("over-line", ("no",)),)
    assert flip.old is not None
    assert flip.new is not None
    assert (flip.old.ball, flip.new.ball) == ("live", "delayed dead")
    assert found.wording == ()


def test_a_row_that_becomes_unsettled_is_a_changed_call(folders: SourceFolders) -> None:
    folders.replace(
        TABLE, "confidence: inferred\n  - when", "confidence: inferred\n    unsettled: two readings\n  - when"
    )
    (flip,) = changes_in(folders).rulings
    assert flip.new is not None
    assert flip.new.is_unsettled
    assert "check your league" in write_changes(changes_in(folders))


def test_rows_written_otherwise_that_rule_the_same_change_nothing(folders: SourceFolders) -> None:
    rest = "    ruling: play-on\n    source: field-book 7-1\n    confidence: inferred\n"
    twin = f'  - when: {{over-line: "yes", pitch-started: "yes", told: "yes"}}\n{rest}'
    folders.replace(
        TABLE,
        '  - when: {over-line: "yes", pitch-started: "yes"}\n',
        f'{twin}  - when: {{over-line: "yes", pitch-started: "yes", told: "no"}}\n',
    )
    assert changes_in(folders).count == 0


def test_a_dimension_shows_both_values_in_their_own_notation(folders: SourceFolders) -> None:
    folders.replace(FIELD, "box-width:          {value: 4 ft", "box-width:          {value: 1250 mm")
    (change,) = changes_in(folders).dimensions
    assert (change.what, change.old, change.new, change.cites) == (
        "box-width",
        "4 ft",
        "1250 mm",
        "FB 1-2",
    )


def test_the_same_length_in_another_notation_is_no_change(folders: SourceFolders) -> None:
    folders.replace(FIELD, "box-offset:         {value: 6 in", "box-offset:         {value: 152.4 mm")
    assert changes_in(folders).count == 0


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
    file: str, old: str, new: str, group: str, folders: SourceFolders
) -> None:
    folders.replace(file, old, new)
    found = changes_in(folders)
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


def test_a_play_whose_answer_changes_is_named_with_both_rulings(
    folders: SourceFolders, tmp_path: Path
) -> None:
    older = copy_folders(tmp_path / "older")
    older.add("content/plays/stance.yaml", PLAY)
    folders.add("content/plays/stance.yaml", PLAY.replace("refusal", "tell"))
    found = compare_editions(read_edition_source(older.content), read_edition_source(folders.content))
    (change,) = found.plays
    assert (change.where, change.what) == ("stance/stays-out", "high-school")
    assert (change.old, change.new) == ("Strike for refusing", "Tell the batter to get in")
    assert found.count == 1
    stored = tmp_path / "older.json"
    stored.write_bytes(write_source(read_library(older.content)).data)
    assert read_source(stored).plays == read_library(older.content).plays


def test_of_a_text_only_the_entries_that_differ_are_shown(folders: SourceFolders) -> None:
    folders.replace(TEXTS, "Hold the pitcher, tell the batter,", "Tell the batter,")
    (change,) = changes_in(folders).texts
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


def test_the_demo_changes_by_what_was_planted_and_nothing_else() -> None:
    found = compare_editions(*DEMO)
    assert [change.where for change in found.texts] == [
        "mechanics/bases/double-first-base",
        "mechanics/stance/look",
    ]
    assert [(change.what, change.old, change.new) for change in found.tolerances] == [
        ("station", "1 in", "1/2 in")
    ]
    assert {change.what for change in found.edition} == {"edition", "season", "valid"}
    assert found.count == 6


# --- two codes ------------------------------------------------------------------------------------------


def test_two_codes_are_compared_call_by_call(folders: SourceFolders) -> None:
    table = (folders.root / TABLE).read_text(encoding="utf-8").replace("code: high-school", "code: town")
    folders.add(
        "content/rulings/town/stance.yaml",
        table.replace("stance\n    ball: live", "stance\n    ball: delayed dead"),
    )
    codes = folders.content / "codes.yaml"
    folders.write(
        "content/codes.yaml", f"{codes.read_text()}  town: {{name: Town, mark: TWN, work: field-book}}\n"
    )
    found = compare_codes(read_library(folders.content), "high-school", "town")
    (flip,) = found.rulings
    assert flip.play == "inside or on the line"
    assert "Town" in write_changes(found)
    assert "was" not in write_changes(found).split()


def test_an_unknown_code_is_refused_with_the_closest_match() -> None:
    with pytest.raises(PocketrefError) as caught:
        compare_codes(read_library(FIXTURES / "content"), "high-school", "high-skool")
    assert "high-school" in caught.value.problems[0].hint
