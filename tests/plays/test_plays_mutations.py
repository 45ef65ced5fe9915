"""Single changes of a table, and which of them plays notice, against ruling on every play of the changed table."""

from __future__ import annotations

from collections.abc import Mapping
from dataclasses import replace
from itertools import chain, combinations
from random import Random

import pytest
from hypothesis import given, settings
from hypothesis import strategies as st
from play_samples import CODES, books, ruled
from rulings_tables import is_possible, plays_of, unique_tables

from pocketref.plays.mutations import measure_mutations
from pocketref.problems import PocketrefError
from pocketref.rulings.table import Fact, Row, Table, decide


def small_table() -> Table:
    facts = tuple(Fact(name, f"{name}?", ("yes", "no"), ("yes", "no")) for name in ("wet", "dark"))
    rows = (
        Row({"wet": frozenset({"yes"})}, "stop"),
        Row({"wet": frozenset({"no"}), "dark": frozenset({"yes"})}, "stop"),
        Row({"wet": frozenset({"no"}), "dark": frozenset({"no"})}, "go"),
    )
    return Table("weather", "house", facts, rows, (), ("stop", "go"))


def test_all_possible_plays_notice_every_change() -> None:
    plays = [
        ({"wet": w, "dark": d}, "go" if (w, d) == ("no", "no") else "stop")
        for w in ("yes", "no")
        for d in ("yes", "no")
    ]
    share = measure_mutations(small_table(), plays)
    assert share.share == 1.0
    assert share.total == 15


def test_no_plays_notice_nothing() -> None:
    share = measure_mutations(small_table(), [])
    assert (share.caught, share.share) == (0, 0.0)
    assert {mutation.row for mutation in share.missed} == {1, 2, 3}


def test_a_missed_change_is_told_in_words() -> None:
    share = measure_mutations(small_table(), [({"wet": "yes", "dark": "yes"}, "stop")])
    assert "rules 'stop' instead of 'go'" in [
        mutation.words for mutation in share.missed if mutation.row == 3
    ]
    assert "asks dark = yes" in [mutation.words for mutation in share.missed if mutation.row == 1]


def test_a_table_too_large_to_try_is_not_measured(monkeypatch: pytest.MonkeyPatch) -> None:
    """A table of four possible plays, where four may be tried and where three may."""
    monkeypatch.setattr("pocketref.plays.mutations.MOST_PLAYS", 4)
    assert measure_mutations(small_table(), []).measured
    monkeypatch.setattr("pocketref.plays.mutations.MOST_PLAYS", 3)
    share = measure_mutations(small_table(), [({"wet": "yes", "dark": "yes"}, "stop")])
    assert not share.measured
    assert (share.total, share.caught, share.missed, share.share) == (0, 0, (), 1.0)


@pytest.mark.parametrize("code", CODES)
@pytest.mark.parametrize("subject", ["stance", "thrown-bat"])
def test_changes_are_noticed_exactly_when_deciding_differs(subject: str, code: str) -> None:
    table = books().rules(subject, code).table
    plays = [(p.answers, p.answer.outcome) for p in ruled() if p.case.subject == subject and p.code == code][
        ::3
    ]
    missed = total = 0
    for number, row in enumerate(table.rows):
        for changed in _changes(table, row):
            spoilt = Table(
                table.subject,
                table.code,
                table.facts,
                (*table.rows[:number], changed, *table.rows[number + 1 :]),
                table.never,
            )
            total += 1
            missed += all(_rules(spoilt, answers) == outcome for answers, outcome in plays)
    share = measure_mutations(table, plays)
    assert (share.total, len(share.missed)) == (total, missed)


def _changes(table: Table, row: Row) -> list[Row]:
    changes = [Row(row.when, outcome) for outcome in table.outcomes if outcome != row.outcome]
    for fact in table.facts:
        now = row.when.get(fact.name, frozenset(fact.answers))
        sets = chain.from_iterable(combinations(fact.answers, n) for n in range(1, len(fact.answers) + 1))
        changes += [
            Row({**row.when, fact.name: frozenset(s)}, row.outcome) for s in sets if frozenset(s) != now
        ]
    return changes


def _rules(table: Table, answers: object) -> str:
    try:
        return decide(table, answers).outcome  # type: ignore[arg-type]
    except PocketrefError:
        return ""


@settings(max_examples=60)
@given(unique_tables(most_facts=3), st.randoms(use_true_random=False))
def test_changes_of_any_table_are_noticed_if_a_play_is_ruled_otherwise(table: Table, random: Random) -> None:
    """Facts of two and of three answers; a change that no possible play meets is none."""
    possible = [play for play in plays_of(table) if is_possible(table, play)]
    some = random.sample(possible, random.randint(0, len(possible)))
    plays = [(play, decide(table, play).outcome) for play in some]
    total = missed = 0
    for number, row in enumerate(table.rows):
        for changed in _changes(table, row):
            rows = (*table.rows[:number], changed, *table.rows[number + 1 :])
            spoilt = replace(table, rows=rows)
            if changed.outcome == row.outcome and all(_meets(row, p) == _meets(changed, p) for p in possible):
                continue
            total += 1
            missed += all(_rules(spoilt, play) == outcome for play, outcome in plays)
    share = measure_mutations(table, plays)
    assert (share.total, len(share.missed)) == (total, missed)


def _meets(row: Row, play: Mapping[str, str]) -> bool:
    return all(play[fact] in answers for fact, answers in row.when.items())
