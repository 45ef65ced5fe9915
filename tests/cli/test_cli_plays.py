"""The command line tells what the plays exercise when asked, and what they leave out in any case."""

from __future__ import annotations

from click.testing import CliRunner
from play_samples import ROOT, cases, content
from source_folders import SourceFolders

from pocketref.cli import main

DEMO = ["--content", str(ROOT / "content"), "--layouts", str(ROOT / "layouts")]
PLAY = """\
plays: stance
subject: stance
cases:
  set:
    title: Set
    situation: {outs: 0, count: 0-0}
    story: The batter sets.
    facts: {over-line: "no"}
    expect: {high-school: legal}
"""


def test_proof_sums_the_plays_up_in_a_line() -> None:
    result = CliRunner().invoke(main, ["proof", *DEMO])
    assert result.exit_code == 0
    expected = sum(len(case.model.expect) for case in cases())
    assert f"{len(cases())} plays, {expected} rulings as expected" in result.stdout
    assert "ways through the chart" not in result.stdout
    assert len(result.stdout.splitlines()) == 5
    assert "classes: box, 41 slides in 45 minutes; refresher, 20 slides in 20 minutes." in result.stdout


def test_proof_tells_each_table_when_asked() -> None:
    result = CliRunner().invoke(main, ["proof", "--plays", *DEMO])
    lines = [line for line in result.stdout.splitlines() if "ways through the chart" in line]
    assert len(lines) == len(content().rulings)
    assert all(line.endswith("100%") for line in lines)


def test_proof_lists_what_no_play_meets(folders: SourceFolders) -> None:
    (folders.content / "plays").mkdir()
    folders.write("content/plays/stance.yaml", PLAY)
    result = CliRunner().invoke(main, ["proof", "--plays", *folders.options])
    assert result.exit_code == 0
    assert "    no play meets row 4" in result.stdout.splitlines()
    assert "no play meets row" not in CliRunner().invoke(main, ["proof", *folders.options]).stdout
