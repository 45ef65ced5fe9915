"""A play written down after a game is ruled on, and comes back as a case play that proves as it stands."""

from __future__ import annotations

import shutil
from pathlib import Path

import pytest
from click.testing import CliRunner, Result
from play_samples import ROOT

from pocketref.cli import main
from pocketref.source.library import read_library

REPORT = """\
report: plate-and-mud
subject: contact
title: Across a muddy plate
situation: {runners: [third], outs: 1, count: 1-1}
story: The batter steps across the plate to bunt, and the runner from third comes home.
feet:
  - {foot: left, corner: front-inner, right: -13 in, ahead: -1 in, heading: 20}
  - {foot: right, corner: plate, right: 0 in, ahead: 9 in, heading: 0}
facts: {bat-meets-ball: "yes", caught-tip: "no"}
"""


def report(folder: Path, text: str) -> Result:
    file = folder / "saturday.yaml"
    file.write_text(text, encoding="utf-8")
    return CliRunner().invoke(main, ["game-report", str(file), "--content", str(ROOT / "content")])


def test_the_ruling_says_what_the_picture_shows_and_where_the_game_stands_next(tmp_path: Path) -> None:
    told = report(tmp_path, REPORT)
    assert told.exit_code == 0
    assert (
        "Foot on plate at contact? a foot down on the plate, in part or whole (from the feet)" in told.output
    )
    assert "Out: batted out of the box  (high-school, contact)" in told.output
    assert "Batter out, two outs; runner back to third." in told.output


DOUBTED = """\
report: late-swing
subject: follow-through
title: Late swing
codes: [high-school]
situation: {runners: [third], outs: 1, count: 0-2}
story: The swing is late, strike three, and the follow-through hits the catcher.
facts: {throwing: "no", runner: none}
"""


def test_a_ruling_in_doubt_says_so(tmp_path: Path) -> None:
    told = report(tmp_path, DOUBTED)
    assert told.exit_code == 0, told.output
    assert (
        "Two strikes on the batter? so the swing is strike three (from runners, outs and count)"
        in told.output
    )
    assert "not yet compared with the book" in told.output


def test_the_case_play_proves_where_it_is_pasted(tmp_path: Path) -> None:
    folder = tmp_path / "content"
    shutil.copytree(ROOT / "content", folder)
    play = report(tmp_path, REPORT).output.partition("what it expects:\n")[2]
    file = folder / "plays/contact.yaml"
    file.write_text(
        file.read_text(encoding="utf-8").replace("cases:\n", f"cases:\n{play}", 1), encoding="utf-8"
    )
    case = read_library(folder).plays["contact"].cases["plate-and-mud"]
    assert case.story.startswith("The batter steps across")
    assert case.expect == dict.fromkeys(("high-school", "professional", "college", "youth"), "out-of-box")
    proven = CliRunner().invoke(main, ["proof", "--content", str(folder), "--layouts", str(ROOT / "layouts")])
    assert proven.exit_code == 0, proven.output


@pytest.mark.parametrize(
    ("old", "new", "where", "remedy"),
    [
        ("subject: contact", "subject: contct", "saturday.yaml:2:10", "'contact'"),
        ("outs: 1", "outs: 3", "saturday.yaml:4:37", "at most 2"),
        ("bat-meets-ball", "bat-meet-ball", "saturday.yaml:9:9", "'bat-meets-ball'"),
        ("facts: {", "codes: [hs]\nfacts: {", "saturday.yaml:9:9", "use one of"),
        (
            '{bat-meets-ball: "yes", ',
            '{on-plate: "yes", bat-meets-ball: "yes", ',
            "saturday.yaml:9",
            "leave it out",
        ),
        ("report: plate-and-mud\n", "", "saturday.yaml:1:1", "report"),
    ],
)
def test_what_is_wrong_is_told_at_its_place(
    tmp_path: Path, old: str, new: str, where: str, remedy: str
) -> None:
    assert old in REPORT
    told = report(tmp_path, REPORT.replace(old, new))
    assert told.exit_code == 2
    assert where in told.output
    assert remedy in told.output
    assert "Traceback" not in told.output


def test_what_is_still_to_be_told_is_asked(tmp_path: Path) -> None:
    told = report(tmp_path, REPORT.partition("feet:")[0])
    assert told.exit_code == 2
    assert "the ruling depends on 'bat-meets-ball': Did the bat touch the ball?" in told.output
    assert 'write under facts bat-meets-ball: "yes" or bat-meets-ball: "no"' in told.output


def test_a_file_that_is_not_there_is_told_with_the_nearest(tmp_path: Path) -> None:
    (tmp_path / "saturday.yaml").write_text(REPORT, encoding="utf-8")
    told = CliRunner().invoke(
        main, ["game-report", str(tmp_path / "saturdy.yaml"), "--content", str(ROOT / "content")]
    )
    assert told.exit_code == 2
    assert "saturdy.yaml is not there" in told.output
