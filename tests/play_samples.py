"""The project's own plays, ruled on once, and short ways to make a play of one's own."""

from __future__ import annotations

from collections.abc import Mapping
from functools import cache
from pathlib import Path

from pocketref.plays.plays import CasePlay, RuleBooks, RuledPlay, list_plays, rule_on_all
from pocketref.problems import ProblemLog
from pocketref.source.library import Library, read_library
from pocketref.source.play_models import PlayModel

ROOT = Path(__file__).parents[1]
CODES = ("high-school", "professional", "college", "youth")

FRONT = {"foot": "left", "corner": "front-inner", "right": "-14 in", "ahead": "-20 in", "heading": "10"}
BACK = {"foot": "right", "corner": "back-inner", "right": "-14 in", "ahead": "20 in", "heading": "0"}
OUTSIDE = {**FRONT, "ahead": "9 in"}
ON_LINE = {**FRONT, "ahead": "-3 in", "heading": "0"}
OVER = {**FRONT, "ahead": "0 in"}
HIT = {"bat-meets-ball": "yes", "caught-tip": "no"}

SHEET = """\
sheet: night
title: Training night
stock: letter
code: high-school
level: 90-ft
"""
"""A training sheet, as a file of the layouts."""

PLAYS = """\
plays: stance
subject: stance
cases:
  well-set:
    title: Well set
    situation: {runners: [], outs: 0, count: 0-0}
    story: The batter sets.
    feet:
      - {foot: left, corner: front-inner, right: -14 in, ahead: -20 in, heading: 10}
    expect: {high-school: legal}
"""
"""A play for it, as a file of the content."""


@cache
def content() -> Library:
    """The project's own content."""
    return read_library(ROOT / "content")


def codes_on(subject: str) -> tuple[str, ...]:
    """The codes that rule on a subject: all, but where a book does not know the matter."""
    return tuple(code for code in CODES if (code, subject) in content().rulings)


@cache
def books() -> RuleBooks:
    """Its tables, charts and plans."""
    return RuleBooks(content())


@cache
def cases() -> tuple[CasePlay, ...]:
    """Its plays."""
    return list_plays(content())


@cache
def ruled() -> tuple[RuledPlay, ...]:
    """Its plays, each by every code it is told for."""
    problems = ProblemLog()
    found = rule_on_all(books(), cases(), problems)
    problems.raise_errors()
    return found


def make_play(
    subject: str = "contact",
    facts: Mapping[str, str] | None = None,
    expect: Mapping[str, str] | None = None,
    **rest: object,
) -> CasePlay:
    """A play of its own, by default a fair hit that high school calls legal."""
    data = {
        "title": "A play",
        "situation": {"runners": ["first"], "outs": "1", "count": "1-2"},
        "story": "The batter hits the ball.",
        "facts": HIT if facts is None else dict(facts),
        "expect": dict(expect or {"high-school": "legal"}),
        **rest,
    }
    return CasePlay("made/play", subject, PlayModel.model_validate(data))
