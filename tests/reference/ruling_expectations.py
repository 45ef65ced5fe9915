"""What the rule books say of a play, as data, and the content's tables to hold it against.

An expectation names a play by its facts, the ruling it must get, the section that the row must cite and how
sure that is. An effect says what a ruling does: the ball, and whether the batter is out, runners go back and
a strike is added. The figures were gathered from public copies of the books; `confidence` says how.
"""

from __future__ import annotations

from collections.abc import Callable, Mapping, Sequence
from dataclasses import dataclass
from functools import cache, partial
from pathlib import Path

import pytest

from pocketref.problems import PocketrefError
from pocketref.rulings.construct import construct_table
from pocketref.rulings.table import Table, decide, matching_rows
from pocketref.source.library import Library, read_library
from pocketref.source.ruling_models import Batter, Count, RowModel, RulingModel, Runners, TableModel

CONTENT = Path(__file__).parents[2] / "content"
HS, PRO, COL, YTH = CODES = ("high-school", "professional", "college", "youth")

_COUNTS = (Count.BALL, Count.PITCHED_STRIKE, Count.TWO_STRIKES)
_BATTERS = (Batter.FIRST_BASE, Batter.OUT_ON_APPEAL, Batter.LEAGUE)
_RUNNERS = (Runners.FORCED, Runners.FORCED_OR_GOING, Runners.THIRD_SCORES, Runners.ONE_BASE)

Check = Callable[[], None]
Effects = Mapping[tuple[str, str], str]
"""What each ruling does, by code and ruling."""


@dataclass(frozen=True, slots=True)
class Expectation:
    """A play of one code and its ruling. Facts that the books do not ask for are left out."""

    code: str
    play: str
    """The facts, as "fact=answer fact=answer"."""
    ruling: str
    cite: str
    confidence: str
    unsettled: bool = False

    @property
    def answers(self) -> dict[str, str]:
        """The facts by name."""
        return dict(pair.split("=") for pair in self.play.split())

    def __str__(self) -> str:
        return f"{self.code}: {self.play}"


@cache
def content_library() -> Library:
    """The project's own content."""
    return read_library(CONTENT)


@cache
def content_table(code: str, subject: str) -> tuple[Table, TableModel]:
    """A table of the content, and the model it comes from, their rows in the same order."""
    library = content_library()
    model = library.rulings[code, subject]
    return construct_table(library.subjects[subject], model), model


def expect_in_codes(
    play: str,
    ruling: str | Sequence[str],
    cites: Sequence[str],
    confidence: str | Sequence[str],
    unsettled: Sequence[str] = (),
) -> tuple[Expectation, ...]:
    """One play by all four codes, in their order: ruling and confidence are one for all, or each code's own."""
    rulings = (ruling,) * len(CODES) if isinstance(ruling, str) else ruling
    sure = (confidence,) * len(CODES) if isinstance(confidence, str) else confidence
    return tuple(
        Expectation(code, play, each, cite, how, code in unsettled)
        for code, each, cite, how in zip(CODES, rulings, cites, sure, strict=True)
    )


def rules_as_expected(table: Table, expected: Expectation) -> bool:
    """Whether the table decides the play as expected; a play it cannot decide is not."""
    try:
        return decide(table, expected.answers).outcome == expected.ruling
    except PocketrefError:
        return False


def rows_met(subject: str, expected: Expectation) -> list[RowModel]:
    """Every row that the play may meet, with its source and confidence."""
    table, model = content_table(expected.code, subject)
    met = matching_rows(table, expected.answers)
    return [row for row, built in zip(model.rows, table.rows, strict=True) if built in met]


def check_expectation(subject: str, expected: Expectation) -> None:
    """The play is ruled as expected, on rows that cite the section and are as sure, and no surer."""
    table, _ = content_table(expected.code, subject)
    assert decide(table, expected.answers).outcome == expected.ruling
    for row in rows_met(subject, expected):
        assert expected.cite in [str(cite) for cite in row.source]
        assert str(row.confidence) == expected.confidence
        assert bool(row.unsettled) == expected.unsettled


def effect_of(ruling: RulingModel) -> str:
    """What a ruling does, in the words of the effects."""
    parts = [str(ruling.ball)]
    parts += ["out"] if ruling.batter is Batter.OUT else []
    parts += ["back"] if ruling.runners is Runners.RETURN else []
    parts += ["strike"] if ruling.count is Count.STRIKE else []
    parts += [str(ruling.count)] if ruling.count in _COUNTS else []
    parts += [str(ruling.batter)] if ruling.batter in _BATTERS else []
    parts += [str(ruling.runners)] if ruling.runners in _RUNNERS else []
    parts += [*map(str, ruling.out)]
    parts += ["or the play"] if ruling.may_take_play else []
    return " ".join(parts)


def effects_of(subject: str, codes: Sequence[str]) -> Effects:
    """The effect of every ruling of a subject."""
    return {
        (code, name): effect_of(ruling)
        for code in codes
        for name, ruling in content_table(code, subject)[1].rulings.items()
    }


def check_effects(subject: str, codes: Sequence[str], effects: Effects) -> None:
    """Every ruling does what the books say, and there is no other ruling."""
    differing = sorted(effects_of(subject, codes).items() ^ effects.items())
    assert differing == [], f"in the content or in the books, not in both: {differing}"


def rows_unmet(subject: str, codes: Sequence[str], expectations: Sequence[Expectation]) -> list[str]:
    """The rows that no expectation meets."""
    unmet = []
    for code in codes:
        met = {id(row) for e in expectations if e.code == code for row in rows_met(subject, e)}
        rows = content_table(code, subject)[1].rows
        unmet += [f"{code}: row {n}" for n, row in enumerate(rows, start=1) if id(row) not in met]
    return unmet


def check_rows(subject: str, codes: Sequence[str], expectations: Sequence[Expectation]) -> None:
    """Every row is held against the books by some expectation."""
    unmet = rows_unmet(subject, codes, expectations)
    assert unmet == [], f"no expectation meets {unmet}"


def checks_of(
    subject: str, codes: Sequence[str], expectations: Sequence[Expectation], effects: Effects
) -> list[object]:
    """Every check of a subject's tables against the books, for a test that takes a `check`."""
    return [
        *(pytest.param(partial(check_expectation, subject, each), id=str(each)) for each in expectations),
        pytest.param(partial(check_effects, subject, codes, effects), id="what every ruling does"),
        pytest.param(partial(check_rows, subject, codes, expectations), id="every row is met"),
    ]
