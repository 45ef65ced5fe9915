"""What differs between two editions, or two codes, is told by what it is: calls that flip, figures, texts."""

from __future__ import annotations

from dataclasses import replace
from itertools import product
from pathlib import Path

import pytest
from change_samples import DEMO, FIELD, TABLE, TEXTS, changes_in
from hypothesis import given, settings
from hypothesis import strategies as st
from source_folders import FIXTURES, SourceFolders, copy_folders

from pocketref.changes.change_set import ChangedCall, ChangeSet
from pocketref.changes.change_text import write_changes
from pocketref.changes.changes import compare_codes, compare_editions
from pocketref.edition.manifest_writing import write_source
from pocketref.edition.source_reading import EditionSource, read_edition_source, read_source
from pocketref.problems import PocketrefError
from pocketref.source.library import Library, read_library
from pocketref.source.ruling_models import SightModel


def calls_of(found: ChangeSet) -> list[ChangedCall]:
    return [change.call for change in found.calls if change.call]


def test_an_edition_does_not_differ_from_itself(folders: SourceFolders) -> None:
    found = changes_in(folders)
    assert found.count == 0
    assert found.summary == (
        "*No call in the tables changed.* Every other word and figure of the content is as it was in 2027."
    )


def test_a_call_that_flips_is_named_by_its_plays_with_both_rulings_and_sections(
    folders: SourceFolders,
) -> None:
    folders.replace(TABLE, 'told: "yes"}\n    ruling: refusal', 'told: "yes"}\n    ruling: tell')
    folders.replace(TABLE, "rulings:", "rulings:\n  # refusal has no row now")
    found = changes_in(folders)
    (flip,) = calls_of(found)
    assert flip.play == "past the outer edge; not yet; refuses"
    assert flip.old is not None
    assert flip.new is not None
    assert (flip.old.outcome, flip.old.sections) == ("refusal", "FB 7-3")
    assert flip.old.words.startswith("*Strike for refusing.*")
    assert flip.new.words.startswith("*Tell the batter to get in.*")
    assert found.summary.startswith("*Calls changed in one row.*")
    assert found.count == 1


def test_a_ruling_that_comes_to_something_else_flips_every_play_it_rules_on_in_the_fewest_rows(
    folders: SourceFolders,
) -> None:
    folders.replace(
        TABLE, "headline: Legal stance\n    ball: live", "headline: Legal stance\n    ball: delayed dead"
    )
    found = changes_in(folders)
    (flip,) = calls_of(found)
    assert flip.when == {"over-line": ("no",)}
    assert flip.old is not None
    assert flip.new is not None
    assert "Ball: live." in flip.old.words
    assert "Ball: delayed dead." in flip.new.words
    assert list(found.groups) == ["calls"]


def test_a_row_that_becomes_unsettled_is_a_changed_call(folders: SourceFolders) -> None:
    folders.replace(
        TABLE, "confidence: inferred\n  - when", "confidence: inferred\n    unsettled: two readings\n  - when"
    )
    (flip,) = calls_of(changes_in(folders))
    assert flip.new is not None
    assert flip.new.unsettled
    assert "check your league" in write_changes(changes_in(folders))


def test_rows_written_otherwise_that_rule_the_same_change_no_call(folders: SourceFolders) -> None:
    rest = "    ruling: play-on\n    source: field-book 7-1\n    confidence: inferred\n"
    twin = f'  - when: {{over-line: "yes", pitch-started: "yes", told: "yes"}}\n{rest}'
    folders.replace(
        TABLE,
        '  - when: {over-line: "yes", pitch-started: "yes"}\n',
        f'{twin}  - when: {{over-line: "yes", pitch-started: "yes", told: "no"}}\n',
    )
    found = changes_in(folders)
    ((change,),) = found.groups.values()
    assert change.new == "rows written otherwise, every play ruled as before"
    assert found.summary.startswith("*No call in the tables changed.* Apart from calls: 1 wording.")
    folders.replace(TABLE, 'say: ["Strike."]', 'say: ["Strike!"]')  # told by itself, and hides no rows
    assert change in changes_in(folders).groups["wording"]


def test_a_row_that_is_split_is_told_beside_a_call_that_changes_elsewhere(folders: SourceFolders) -> None:
    rest = "    ruling: legal\n    source: field-book 7-1\n    confidence: secondary\n"
    one = f'  - when: {{over-line: "no", told: "yes"}}\n{rest}'
    folders.replace(TABLE, f'  - when: {{over-line: "no"}}\n{rest}', one + one.replace("yes", "no"))
    folders.replace(TABLE, 'told: "yes"}\n    ruling: refusal', 'told: "yes"}\n    ruling: tell')
    found = changes_in(folders)
    assert len(calls_of(found)) == 1
    (told,) = [change for change in found.groups["wording"] if "rows" in change.new]
    assert told.new == "rows written otherwise, every other play ruled as before"


def test_a_row_that_is_split_by_the_call_that_changes_is_told_by_that_call(folders: SourceFolders) -> None:
    rest = "    source: field-book 7-1\n    confidence: secondary\n"
    whole = f'  - when: {{over-line: "no"}}\n    ruling: legal\n{rest}'
    one = f'  - when: {{over-line: "no", told: "yes"}}\n    ruling: legal\n{rest}'
    folders.replace(TABLE, whole, one + one.replace("yes", "no").replace("legal", "tell"))
    found = changes_in(folders)
    assert [call.play for call in calls_of(found)] == ["inside or on the line; not told yet, or gets in"]
    assert list(found.groups) == ["calls"]


def test_a_dimension_is_named_as_a_crew_does_with_its_level_and_both_values_in_their_own_notation(
    folders: SourceFolders,
) -> None:
    folders.replace(FIELD, "box-width:          {value: 4 ft", "box-width:          {value: 1250 mm")
    (change,) = changes_in(folders).groups["figures"]
    assert change.what == "*90-ft diamond, high school:* batter's box, width"
    assert (change.old, change.new, change.cites) == ("4 ft", "1250 mm", "FB 1-2")


def test_the_same_length_in_another_notation_is_no_change(folders: SourceFolders) -> None:
    folders.replace(FIELD, "box-offset:         {value: 6 in", "box-offset:         {value: 152.4 mm")
    assert changes_in(folders).count == 0


@pytest.mark.parametrize(
    ("file", "old", "new", "group"),
    [
        (FIELD, "station: {value: 1/2 in", "station: {value: 3/4 in", "figures"),
        (
            FIELD,
            "station: {value: 1/2 in, source: house",
            "station: {value: 1/2 in, source: field-book 1-2",
            "sources",
        ),
        ("content/cautions/marking.yaml", "signal-word: warning", "signal-word: danger", "cautions"),
        (TEXTS, "Feet first,", "Feet and knees first,", "mechanics"),
        (TEXTS, "confidence: secondary", "confidence: in text", "sources"),
        (TABLE, "headline: Legal stance", "headline: The stance is legal", "wording"),
        (TABLE, 'say: ["Strike."]', 'say: ["Strike!"]', "wording"),
        (TABLE, "source: field-book 7-3", "source: field-book 7-1", "sources"),
        ("content/rulings/subjects/stance.yaml", "ask: Has the", "ask: And has the", "wording"),
        ("content/edition.yaml", "through: 2027-12-31", "through: 2027-11-30", "edition"),
        ("content/works.yaml", "7-3: refusing to enter", "7-3: refusing, delaying", "sources"),
    ],
)
def test_one_change_stands_in_its_group_and_nowhere_else(
    file: str, old: str, new: str, group: str, folders: SourceFolders
) -> None:
    folders.replace(file, old, new)
    found = changes_in(folders)
    assert {name: len(changes) for name, changes in found.groups.items()} == {group: 1}


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
    (change,) = found.groups["plays"]
    assert change.what.endswith(":* Stays out, ruling, high school")
    assert (change.old, change.new) == ("Strike for refusing", "Tell the batter to get in")
    assert found.count == 1
    stored = tmp_path / "older.json"
    stored.write_bytes(write_source(read_library(older.content)).data)
    assert read_source(stored).plays == read_library(older.content).plays


def test_what_follows_from_a_changed_call_is_told_with_it_and_counted(
    folders: SourceFolders, tmp_path: Path
) -> None:
    older = copy_folders(tmp_path / "older")
    older.add("content/plays/stance.yaml", PLAY)
    folders.add("content/plays/stance.yaml", PLAY.replace("refusal", "tell"))
    folders.replace(TABLE, 'told: "yes"}\n    ruling: refusal', 'told: "yes"}\n    ruling: tell')
    table = (folders.root / TABLE).read_text(encoding="utf-8").rpartition("confidence: inferred")
    folders.write(TABLE, "confidence: secondary".join(table[::2]))
    found = compare_editions(read_edition_source(older.content), read_edition_source(folders.content))
    assert list(found.groups) == ["calls"]
    (change,) = found.calls
    assert [(each.what, each.old, each.new) for each in change.follows] == [
        ("confidence", "inferred", "secondary"),
        ("play “Stays out”", "Strike for refusing", "Tell the batter to get in"),
    ]
    assert found.count == 3
    assert found.summary.startswith(
        "*Calls changed in one row.* 2 more follow, told with the call. Every other"
    )
    assert "    follows: confidence; play “Stays out”" in write_changes(found)


def test_an_answer_to_a_play_that_no_changed_call_explains_stands_by_itself(
    folders: SourceFolders, tmp_path: Path
) -> None:
    older = copy_folders(tmp_path / "older")
    older.add("content/plays/stance.yaml", PLAY)
    folders.add("content/plays/stance.yaml", PLAY.replace("refusal", "play-on"))
    folders.replace(TABLE, 'told: "yes"}\n    ruling: refusal', 'told: "yes"}\n    ruling: tell')
    found = compare_editions(read_edition_source(older.content), read_edition_source(folders.content))
    assert [len(found.groups[name]) for name in ("calls", "plays")] == [1, 1]
    assert found.calls[0].follows == ()


def test_of_a_text_only_the_entries_that_differ_are_shown(folders: SourceFolders) -> None:
    folders.replace(TEXTS, "Hold the pitcher, tell the batter,", "Tell the batter,")
    (change,) = changes_in(folders).groups["mechanics"]
    assert change.old == "Wrong? Hold the pitcher, tell the batter, wait."
    assert change.new == "Wrong? Tell the batter, wait."


@settings(max_examples=25)
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
    found = calls_of(compare_editions(EditionSource("a", library), EditionSource("b", other)))
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
            if flip.old and flip.new and all(play[fact] in given for fact, given in flip.when.items())
        }
        assert told == ({(before, after)} if before != after else set())


def test_the_demo_changes_by_what_was_planted_and_nothing_else() -> None:
    found = compare_editions(*DEMO)
    assert [(change.what, change.old, change.new) for change in found.groups["figures"]] == [
        ("*90-ft diamond, high school:* double first base, width", "", "30 in"),
        ("*90-ft diamond, high school:* tolerance, place of a station", "1 in", "1/2 in"),
    ]
    assert [change.what for change in found.groups["mechanics"]] == [
        "*Double first base*",
        "*Stance in the box, look, then act*",
    ]
    assert [change.what for change in found.groups["edition"]] == ["edition", "season", "valid"]
    assert list(found.groups) == ["calls", "figures", "mechanics", "wording", "edition"]
    for name in ("calls", "wording"):
        assert all(change.what.startswith("*The double ") for change in found.groups[name])
    assert found.summary == (
        "*Calls changed in 8 rows.* 33 more follow, told with the call. Apart from calls: 2 figures, "
        "2 lines of mechanics, 3 wordings, 3 lines of the edition. "
        "Every other word and figure of the content is as it was in 2026."
    )


# --- subjects and tables that come and go ------------------------------------------------------------------


def test_a_new_subject_is_a_change_of_calls_and_a_dropped_one_too(folders: SourceFolders) -> None:
    new = read_library(folders.content)
    rulings = {key: table for key, table in new.rulings.items() if key[1] != "stance"}
    subjects = {name: subject for name, subject in new.subjects.items() if name != "stance"}
    old = replace(new, rulings=rulings, subjects=subjects)
    title = new.subjects["stance"].title
    for one, other, words in (
        (old, new, ("", "ruled on by high school")),
        (new, old, ("ruled on by high school", "")),
    ):
        found = compare_editions(EditionSource("a", one), EditionSource("b", other))
        (change,) = found.calls
        assert (change.what, change.old, change.new) == (f"*{title}*", *words)
        assert found.summary.startswith("*Calls changed in one row.*")


def test_a_code_s_table_that_comes_or_goes_is_a_change_of_calls(folders: SourceFolders) -> None:
    new = read_library(folders.content)
    old = replace(new, rulings={})
    (change,) = compare_editions(EditionSource("a", old), EditionSource("b", new)).calls
    assert change.what == f"*{new.subjects['stance'].title}, high school*"
    assert (change.old, change.new) == ("", "ruled on, in 4 rows")


def test_a_code_that_goes_out_of_force_is_a_change_of_calls() -> None:
    (_, now) = DEMO
    codes = now.library.edition.codes
    edition = now.library.edition.model_copy(update={"codes": codes[1:]})
    found = compare_editions(now, EditionSource("b", replace(now.library, edition=edition)))
    (change,) = found.calls
    assert (change.old, change.new) == ("in force", "not in force")


# --- what the questions mean -------------------------------------------------------------------------------


def test_an_answer_that_is_new_is_a_call_for_the_plays_that_it_alone_makes(folders: SourceFolders) -> None:
    folders.replace(
        "content/rulings/subjects/stance.yaml",
        'answers: {"yes": started',
        'answers: {"yes": started, stopped: started and stopped',
    )
    folders.replace(
        TABLE,
        "rows:\n",
        'rows:\n  - when: {over-line: "yes", pitch-started: stopped}\n    ruling: tell\n'
        "    source: field-book 7-1\n    confidence: inferred\n",
    )
    found = changes_in(folders)
    assert {(call.old and call.old.outcome, call.new and call.new.outcome) for call in calls_of(found)} == {
        (None, "tell")
    }
    assert all("started and stopped" in call.play for call in calls_of(found))
    assert "Questions or answers are worded otherwise" in found.summary


def test_where_the_game_stands_answering_a_fact_otherwise_is_a_change_of_calls_and_only_then() -> None:
    (_, now) = DEMO
    subject = now.library.subjects["contact"]
    name, fact = next(iter(subject.facts.items()))
    sights = [
        SightModel.model_validate({"situation": {"yes": conditions}})
        for conditions in ([{"outs": "0"}, {"outs": "1"}], [{"outs": ["0", "1"]}], [{"outs": "1"}])
    ]
    sources = [
        EditionSource(
            "",
            replace(
                now.library,
                subjects={
                    **now.library.subjects,
                    "contact": subject.model_copy(
                        update={"facts": {**subject.facts, name: fact.model_copy(update={"from_": sight})}}
                    ),
                },
            ),
        )
        for sight in sights
    ]
    alike, other = compare_editions(*sources[:2]), compare_editions(sources[0], sources[2])
    assert list(alike.groups) == ["wording"]
    assert list(other.groups) == ["calls"]


def test_a_question_put_otherwise_is_pointed_out_as_what_it_means_cannot_be_computed(
    folders: SourceFolders,
) -> None:
    folders.replace("content/rulings/subjects/stance.yaml", "ask: Has the", "ask: And has the")
    summary = changes_in(folders).summary
    assert summary.startswith("*No call in the tables changed.* Questions or answers are worded otherwise")


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
    (flip,) = calls_of(found)
    assert flip.play == "inside or on the line"
    assert found.summary.startswith("*The codes rule differently in one row.*")
    assert "Town" in write_changes(found)
    assert "was" not in write_changes(found).split()


def test_an_unknown_code_is_refused_with_the_closest_match() -> None:
    with pytest.raises(PocketrefError) as caught:
        compare_codes(read_library(FIXTURES / "content"), "high-school", "high-skool")
    assert "high-school" in caught.value.problems[0].hint
