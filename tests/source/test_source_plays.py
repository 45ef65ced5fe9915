"""Case plays as files: what they may say, and how a fault is told with its place."""

from __future__ import annotations

import re
from pathlib import Path

import pytest
from play_samples import ROOT, SHEET
from source_folders import SourceFolders

from pocketref.layouts.layout_library import read_layouts
from pocketref.layouts.play_layouts import read_play_sheets
from pocketref.problems import PocketrefError, Problem
from pocketref.source.library import read_library

PLAY = """\
plays: stance
subject: stance
cases:
  toes-on-the-line:
    title: Toes on the line
    tags: [line]
    situation: {runners: [first, third], outs: 1, count: 3-2}
    story: The batter sets. Nobody speaks.
    feet:
      - {foot: left, corner: front-inner, right: -14 in, ahead: -3 in, heading: 0}
    facts: {told: "no"}
    expect: {high-school: legal}
"""


@pytest.fixture
def plays(folders: SourceFolders) -> SourceFolders:
    folders.add("content/plays/stance.yaml", PLAY)
    folders.add("layouts/plays/night.yaml", SHEET)
    return folders


def refuse(folders: SourceFolders) -> Problem:
    with pytest.raises(PocketrefError) as caught:
        read_library(folders.content)
    return caught.value.problems[0]


def test_a_play_is_read_with_its_game_and_feet(plays: SourceFolders) -> None:
    file = read_library(plays.content).plays["stance"]
    play = file.cases["toes-on-the-line"]
    assert file.subject == "stance"
    assert play.situation.runners == ("first", "third")
    assert (play.situation.outs, play.situation.count) == (1, "3-2")
    assert float(play.feet[0].ahead.inches) == -3
    assert play.feet[0].contact == "flat"
    assert play.bats == "right"


def test_a_folder_without_plays_reads(folders: SourceFolders) -> None:
    assert read_library(folders.content).plays == {}


@pytest.mark.parametrize(
    ("old", "new", "code", "hint"),
    [
        ("subject: stance", "subject: stanse", "subject-unknown", "did you mean 'stance'?"),
        ('told: "no"', 'tolt: "no"', "fact-unknown", "did you mean 'told'?"),
        ('told: "no"', "told: maybe", "answer-unknown", "use one of: no, yes"),
        ("high-school: legal", "high-school: legall", "ruling-unknown", "did you mean 'legal'?"),
        ("high-school: legal", "hi-school: legal", "code-unknown", "did you mean 'high-school'?"),
        ("    facts:", "    caution: markings\n    facts:", "caution-unknown", "did you mean 'marking'?"),
        ("plays: stance", "plays: stances", "name-mismatch", "write 'plays: stance', or rename the file"),
        ("count: 3-2", "count: 4-2", "value-count", "write balls-strikes, such as 2-1; at most 3-2"),
        ("Nobody speaks.", "One. Two. Three.", "play-long", "tell it in at most 3 sentences"),
    ],
)
def test_a_name_that_leads_nowhere_is_told_at_its_place(
    plays: SourceFolders, old: str, new: str, code: str, hint: str
) -> None:
    plays.replace("content/plays/stance.yaml", old, new)
    problem = refuse(plays)
    assert (problem.code, problem.hint) == (code, hint)
    assert problem.where is not None
    assert problem.where.file == "content/plays/stance.yaml"
    assert problem.where.line > 0


@pytest.mark.parametrize(
    "feet", ["corner: front-inside", "contact: tiptoe, corner: plate", "right: -14, corner: plate"]
)
def test_a_foot_that_makes_no_sense_is_told(plays: SourceFolders, feet: str) -> None:
    plays.replace("content/plays/stance.yaml", "corner: front-inner", feet)
    assert "play" in str(refuse(plays).where)


def test_two_feet_of_one_side_are_refused(plays: SourceFolders) -> None:
    foot = "      - {foot: left, corner: front-inner, right: -14 in, ahead: -3 in, heading: 0}\n"
    plays.replace("content/plays/stance.yaml", foot, foot + foot.replace("ahead: -3", "ahead: -20"))
    problem = refuse(plays)
    assert (problem.code, problem.sentence) == ("play-foot-twice", "the batter has two left feet")
    assert problem.hint == "the other foot is 'foot: right'"


@pytest.mark.parametrize("heading", ["400", "-361"])
def test_a_heading_beyond_a_full_turn_is_refused(plays: SourceFolders, heading: str) -> None:
    plays.replace("content/plays/stance.yaml", "heading: 0", f"heading: {heading}")
    problem = refuse(plays)
    assert problem.code == "value-range"
    assert problem.where is not None
    assert "heading" in problem.where.text


def test_the_guide_at_the_top_of_the_plays_shows_feet_that_read(plays: SourceFolders) -> None:
    guide = (ROOT / "content/plays/contact.yaml").read_text(encoding="utf-8").partition("plays:")[0]
    feet = re.findall(r"\{foot: .*?\}", guide)
    assert len(feet) == 2
    assert all(f"#   {key} " in guide for key in ("foot", "corner", "right", "ahead", "heading", "contact"))
    for foot in feet:
        plays.replace(
            "content/plays/stance.yaml",
            "{foot: left, corner: front-inner, right: -14 in, ahead: -3 in, heading: 0}",
            foot,
        )
        assert read_library(plays.content)
        plays.write("content/plays/stance.yaml", PLAY)


def test_a_training_sheet_is_read(plays: SourceFolders) -> None:
    library = read_library(plays.content)
    (sheet,) = read_play_sheets(plays.layouts, library, read_layouts(plays.layouts, library))
    assert (sheet.sheet, sheet.plays, sheet.fill, sheet.series) == ("night", 30, False, None)


@pytest.mark.parametrize(
    ("old", "new", "code"),
    [
        ("stock: letter", "stock: index-3x5", "paper-unknown"),
        ("code: high-school", "code: highschool", "code-unknown"),
        ("level: 90-ft", "level: 80-ft", "level-unknown"),
        ("sheet: night", "sheet: knight", "name-mismatch"),
        ("level: 90-ft", "level: 90-ft\nsubjects: [stanse]", "subject-unknown"),
        ("level: 90-ft", "level: 90-ft\ntags: [lines]", "tag-unknown"),
        ("level: 90-ft", "level: 90-ft\ncover: [collage]", "code-unknown"),
        ("level: 90-ft", "level: 90-ft\nplays: 31", "value-range"),
        ("level: 90-ft", "level: 90-ft\nplays: 0", "value-range"),
        ("level: 90-ft", "level: 90-ft\nplays: [stance/toes-on-the-line]", "value-kind"),
        ("level: 90-ft", "level: 90-ft\ncases: [stance/toes]", "play-unknown"),
        ("level: 90-ft", "level: 90-ft\nfill: yes\ncases: [stance/toes-on-the-line]", "play-sheet-mixed"),
        ("level: 90-ft", "level: 90-ft\nplays: 1\ncases: [stance/toes-on-the-line]", "play-sheet-mixed"),
        (
            "level: 90-ft",
            f"level: 90-ft\ncases: [{', '.join(['stance/toes-on-the-line'] * 2)}]",
            "name-repeated",
        ),
        (
            "level: 90-ft",
            f"level: 90-ft\nweeks: [{', '.join(['[stance/toes-on-the-line]'] * 2)}]",
            "name-repeated",
        ),
        ("level: 90-ft", "level: 90-ft\nweeks: [[]]", "value-count"),
        ("level: 90-ft", "level: 90-ft\nfill: yes\nweeks: [[stance/toes-on-the-line]]", "play-sheet-mixed"),
        ("level: 90-ft", "level: 90-ft\nweeks: [[computed/high-school-stance-99]]", "play-unknown"),
        ("level: 90-ft", "level: 90-ft\ncases: [computed/college-stance-1]", "play-unknown"),
    ],
)
def test_a_sheet_that_asks_for_what_is_not_there_is_told(
    plays: SourceFolders, old: str, new: str, code: str
) -> None:
    plays.replace("layouts/plays/night.yaml", old, new)
    library = read_library(plays.content)
    looks = read_layouts(plays.layouts, library)
    with pytest.raises(PocketrefError) as caught:
        read_play_sheets(plays.layouts, library, looks)
    (problem,) = caught.value.problems
    assert problem.code == code
    assert problem.where is not None
    assert problem.where.file == "layouts/plays/night.yaml"


def test_no_story_of_the_content_says_where_a_drawn_foot_is() -> None:
    library = read_library(ROOT / "content")
    told = ("wholly outside", "out of the box", "on the line", "in the air, ", "over the line")
    stories = [
        (name, play.story) for file in (library.plays["contact"],) for name, play in file.cases.items()
    ]
    assert [name for name, story in stories for words in told if words in story.lower()] == []


def test_the_content_has_plays_for_every_subject_and_code() -> None:
    library = read_library(Path(ROOT) / "content")
    cases = [(file.subject, play) for file in library.plays.values() for play in file.cases.values()]
    assert len(cases) >= 60
    assert {(subject, code) for subject, play in cases for code in play.expect} == {
        (subject, code) for code, subject in library.rulings
    }
