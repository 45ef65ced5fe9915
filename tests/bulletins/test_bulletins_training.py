"""Training sheets and classes that a bulletin names: those alone whose questions, answers or slides changed."""

from __future__ import annotations

from pathlib import Path

import pytest
from correction_samples import correct
from play_samples import PLAYS, SHEET

from pocketref.bulletins.bulletin_sheet import write_holding

CLASS = """class: evening
title: A night
code: high-school
level: 90-ft
minutes: 20
reading-distance: 8 m
screen-height: 1.5 m
parts:
  - {part: chart, subject: stance}
"""
ADDED = {
    "content/plays/stance.yaml": PLAYS,
    "layouts/plays/night.yaml": f"{SHEET}fill: yes\n",
    "layouts/classes/evening.yaml": CLASS,
}
TABLE = "content/rulings/high-school/stance.yaml"


@pytest.mark.parametrize(
    ("edit", "named"),
    [
        pytest.param(
            (TABLE, "Legal stance", "Play on"), ["Training night", "A night"], id="the answer to a play"
        ),
        pytest.param((TABLE, "right palm", "left palm"), ["Training night"], id="a signal in the key"),
        pytest.param(
            ("content/mechanics/stance.yaml", "Feet first", "Feet before all"), [], id="a text of a card"
        ),
    ],
)
def test_training_is_named_where_what_it_asks_answers_or_shows_changed(
    tmp_path: Path, edit: tuple[str, str, str], named: list[str]
) -> None:
    bulletin = correct(tmp_path, edit, added=ADDED).bulletin
    assert list(bulletin.training) == named
    said = " ".join(write_holding(bulletin))
    assert ("Train by the new ones" in said) is bool(named)
    assert all(f"*{title}*" in said for title in named)
