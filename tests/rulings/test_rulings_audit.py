"""What is wrong with a table: overlaps, gaps, rows, facts and answers that do nothing."""

from __future__ import annotations

from dataclasses import replace
from itertools import combinations

from hypothesis import given, settings
from rulings_tables import (
    FOOT,
    PLATE,
    is_possible,
    loose_tables,
    make_fact,
    make_row,
    make_table,
    meets,
    plays_of,
    rows_met,
    unique_tables,
)

from pocketref.problems import Location, Problem, Severity
from pocketref.rulings.audit import Audit, IdleAnswers, audit_table, list_idle_in_all, list_problems
from pocketref.rulings.boxes import Combination
from pocketref.rulings.table import NO_RULING, Row, Table


def tell_all(audit: Audit) -> list[Problem]:
    return list_problems(audit) + (list_idle_in_all([audit]) if audit.is_unique else [])


def sentences(table: Table) -> list[str]:
    return [problem.sentence for problem in tell_all(audit_table(table))]


def test_two_rows_for_one_play_name_the_play_and_the_other_row() -> None:
    first = Row({"plate": frozenset({"yes"})}, "out", Location("contact.yaml", 12, 5))
    second = Row({"foot": frozenset({"outside"})}, "dead", Location("contact.yaml", 14, 5))
    rest = make_row("play on", plate="no", foot="inside line")
    problem = list_problems(audit_table(make_table((PLATE, FOOT), first, second, rest)))[0]
    assert problem.sentence == "two rows meet the same play: plate = yes, foot = outside"
    assert "contact.yaml:12" in problem.hint
    assert problem.where == second.where
    assert problem.severity is Severity.ERROR


def test_a_gap_is_told_as_one_readable_combination() -> None:
    table = make_table(
        (PLATE, FOOT), make_row("out", plate="yes"), make_row("dead", plate="no", foot="outside")
    )
    assert sentences(table) == ["no row rules on: plate = no, foot = inside or line"]


def test_what_cannot_happen_is_neither_gap_nor_overlap() -> None:
    never = (make_row("the plate is outside the box", plate="yes", foot="inside line"),)
    rows = (make_row("out", plate="yes", foot="outside"), make_row("play on", plate="no"))
    assert audit_table(make_table((PLATE, FOOT), *rows, never=never)).is_unique
    wide = (
        make_row("out", plate="yes"),
        make_row("play on", foot="inside line"),
        make_row("dead", plate="no", foot="outside"),
    )
    audit = audit_table(make_table((PLATE, FOOT), *wide, never=never))
    assert audit.is_unique
    assert [problem.code for problem in tell_all(audit)] == ["answer-idle"]


def test_a_fact_that_another_code_needs_is_not_called_idle() -> None:
    needs = audit_table(make_table((PLATE, FOOT), make_row("out", plate="yes"), make_row("dead", plate="no")))
    other = audit_table(
        make_table((PLATE, FOOT), make_row("out", foot="line"), make_row("dead", foot="inside outside"))
    )
    assert list_problems(needs) == []
    (problem,) = list_idle_in_all([needs, other])
    assert problem.sentence.startswith("'inside' and 'outside' of 'foot' always lead to the same ruling")


def test_listing_stops_at_a_limit_and_says_so() -> None:
    facts = tuple(make_fact(f"f{i}", "yes", "no") for i in range(12))
    every_pair = [
        make_row("out", **{f"f{i}": "yes", f"f{j}": "no"}) for i in range(12) for j in range(12) if i != j
    ]
    audit = audit_table(make_table(facts, *every_pair))
    assert not audit.overlaps_complete
    assert [str(gap).count("yes") for gap in audit.gaps] == [12, 0]
    odd = [
        {f"f{i}": "yes" if n >> i & 1 else "no" for i in range(12)} for n in range(4096) if n.bit_count() == 1
    ]
    lonely = audit_table(make_table(facts, *(make_row("out", **when) for when in odd)))
    assert lonely.gaps
    assert not lonely.is_unique


def test_rows_facts_answers_and_outcomes_that_do_nothing_are_named() -> None:
    facts = (PLATE, FOOT, make_fact("hat", "on", "off"))
    table = replace(
        make_table(
            facts,
            make_row("out", plate="yes"),
            make_row("play on", plate="no", foot="inside line"),
            make_row("dead", plate="no", foot="outside"),
            Row({"plate": frozenset()}, "safe"),
        ),
        outcomes=("out", "play on", "dead", "safe"),
    )
    audit = audit_table(table)
    assert audit.dead_rows == (table.rows[3],)
    assert audit.idle_facts == ("hat",)
    assert audit.idle_answers == (IdleAnswers("foot", "inside", "line"),)
    assert audit.unused_outcomes == ("safe",)
    assert {p.code for p in tell_all(audit)} == {"row-dead", "fact-idle", "answer-idle", "ruling-unused"}


def test_an_answer_that_never_happens_is_named() -> None:
    never = (make_row("the batter has left", foot="outside"),)
    table = make_table((PLATE, FOOT), make_row("out", plate="yes"), make_row("dead", plate="no"), never=never)
    assert audit_table(table).impossible_answers == (("foot", "outside"),)


def covers(when: Combination, play: dict[str, str]) -> bool:
    return all(play[fact] in answers for fact, answers in when.allowed)


@settings(max_examples=120)
@given(loose_tables())
def test_overlaps_gaps_and_dead_rows_are_those_that_listing_finds(table: Table) -> None:
    audit = audit_table(table)
    possible = [play for play in plays_of(table) if is_possible(table, play)]
    gaps = [play for play in possible if not rows_met(table, play)]
    assert [p for p in plays_of(table) if any(covers(gap, p) for gap in audit.gaps)] == gaps
    pairs = {pair for play in possible for pair in combinations(rows_met(table, play), 2)}
    assert len(audit.overlaps) == len(pairs)
    for overlap in audit.overlaps:
        both = [play for play in plays_of(table) if covers(overlap.when, play)]
        assert both == [p for p in plays_of(table) if meets(overlap.first, p) and meets(overlap.second, p)]
        assert any(is_possible(table, play) for play in both)
    assert audit.dead_rows == tuple(r for r in table.rows if not any(meets(r, p) for p in possible))
    used = {row.outcome for row in table.rows if any(meets(row, play) for play in possible)}
    assert audit.unused_outcomes == tuple(name for name in table.outcomes if name not in used)
    assert audit.gaps_complete
    assert audit.overlaps_complete


@settings(max_examples=120)
@given(unique_tables())
def test_idle_parts_are_those_that_listing_finds(table: Table) -> None:
    table = replace(table, rows=table.rows[: max(1, len(table.rows) - 1)])
    audit = audit_table(table)
    ruled = {
        tuple(play.values()): next((table.rows[n].outcome for n in rows_met(table, play)), NO_RULING)
        for play in plays_of(table)
        if is_possible(table, play)
    }
    for place, fact in enumerate(table.facts):
        seen = {answer for answer in fact.answers if any(play[place] == answer for play in ruled)}
        for first, second in combinations([a for a in fact.answers if a in seen], 2):
            told = any(
                outcome != ruled.get((*play[:place], second, *play[place + 1 :]), outcome)
                for play, outcome in ruled.items()
                if play[place] == first
            )
            idle = (
                IdleAnswers(fact.name, first, second) in audit.idle_answers or fact.name in audit.idle_facts
            )
            assert idle or told
            if IdleAnswers(fact.name, first, second) in audit.idle_answers:
                assert not told
    kept = [place for place, fact in enumerate(table.facts) if fact.name not in audit.idle_facts]
    known: dict[tuple[str, ...], set[str]] = {}
    for play, outcome in ruled.items():
        known.setdefault(tuple(play[place] for place in kept), set()).add(outcome)
    assert all(len(outcomes) == 1 for outcomes in known.values())
