"""A small content folder that reads without a problem, for tests to spoil."""

from __future__ import annotations

from collections.abc import Callable
from pathlib import Path

import pytest

from pocketref.problems import PocketrefError, Problem
from pocketref.source.library import read_library

CONTENT = {
    "works.yaml": """\
works:
  field-book:
    title: A Book of Fields
    mark: FB
    edition: "2020"
    sections:
      1-1: the square
      1-2: home plate
      7-1: the batter's feet
""",
    "codes.yaml": """\
codes:
  youth: {name: Youth, mark: FB, work: field-book}
""",
    "edition.yaml": """\
edition: "2027"
association: Larkmoor Umpires
invented: the association is invented
season: "2027"
valid: {from: 2027-02-01, through: 2027-12-31}
codes: [youth]
levels: [youth-60-ft]
""",
    "fields/youth-60-ft.yaml": """\
level: 60-ft
code: youth
name: 60-ft diamond
dimensions:
  base-distance: {value: 60 ft, source: field-book 1-1, confidence: in text}
  plate-width:   {value: 17 in, source: field-book 1-2, confidence: from memory}
tolerances:
  station: {value: 1/2 in, source: house, confidence: our proposal}
""",
    "rulings/subjects/stance.yaml": """\
subject: stance
title: Stance in the box
facts:
  over-line:
    ask: Any part of a foot past a line's outer edge?
    answers: {"yes": past the outer edge, "no": inside or on the line}
    weights: {"yes": 1, "no": 9}
  told:
    ask: Told to get in?
    answers: {"yes": told, "no": not told}
""",
    "rulings/youth/stance.yaml": """\
subject: stance
code: youth
order: [over-line, told]
never:
  - when: {over-line: "no", told: "yes"}
    reason: nobody tells a batter who stands well
rows:
  - when: {over-line: "no"}
    ruling: legal
    source: field-book 7-1
    confidence: secondary
  - when: {over-line: "yes", told: ["yes", "no"]}
    ruling: tell
    source: [field-book 7-1, house]
    confidence: inferred
    unsettled: the book is silent
rulings:
  legal:
    headline: Legal stance
    ball: live
    batter: bats on
    runners: at own risk
    count: no change
    say: []
    signal: []
  tell:
    headline: Tell the batter to get in
    ball: dead
    batter: bats on
    runners: stay
    count: no change
    say: ["Batter, both feet in the box."]
    signal: [right palm to the pitcher]
    see: stance
""",
}


@pytest.fixture(scope="session")
def sample() -> dict[str, str]:
    """File names and texts of a content folder without a problem."""
    return dict(CONTENT)


@pytest.fixture
def content(tmp_path: Path, sample: dict[str, str]) -> Path:
    """The sample as a folder."""
    folder = tmp_path / "content"
    for name, text in sample.items():
        (folder / name).parent.mkdir(parents=True, exist_ok=True)
        (folder / name).write_text(text, encoding="utf-8")
    return folder


@pytest.fixture
def spoil(content: Path) -> Callable[[str, str, str], None]:
    """Replace one piece of one of the folder's files, which must hold it."""

    def replace(name: str, old: str, new: str) -> None:
        text = (content / name).read_text(encoding="utf-8")
        assert old in text
        (content / name).write_text(text.replace(old, new, 1), encoding="utf-8")

    return replace


@pytest.fixture
def find_problems(content: Path) -> Callable[[], tuple[Problem, ...]]:
    """What reading the folder reports."""

    def read() -> tuple[Problem, ...]:
        with pytest.raises(PocketrefError) as caught:
            read_library(content)
        return caught.value.problems

    return read
