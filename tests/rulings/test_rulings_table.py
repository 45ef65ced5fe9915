"""What a table decides, what it must be told, and which names and plays it refuses."""

from __future__ import annotations

from dataclasses import replace

import pytest
from hypothesis import given, settings
from hypothesis import strategies as st
from rulings_tables import (
    BAT,
    CONTACT_ROWS,
    FOOT,
    PLATE,
    is_possible,
    loose_tables,
    make_row,
    make_table,
    meets,
    plays_of,
    rows_met,
)

from pocketref.problems import Location, PocketrefError
from pocketref.rulings.table import (
    NO_RULING,
    Row,
    Table,
    decide,
    facts_that_matter,
    matching_rows,
)

CONTACT = make_table(
    (BAT, PLATE, FOOT),
    *CONTACT_ROWS,
    never=(make_row("a foot on the plate is outside", plate="yes", foot="inside"),),
)


def codes(caught: pytest.ExceptionInfo[PocketrefError]) -> list[str]:
    return [problem.code for problem in caught.value.problems]


def test_a_play_meets_its_one_row() -> None:
    assert decide(CONTACT, {"bat": "yes", "plate": "no", "foot": "outside"}) is CONTACT.rows[2]


def test_facts_that_cannot_change_the_outcome_may_be_left_out() -> None:
    assert decide(CONTACT, {"bat": "no"}) is CONTACT.rows[0]
    assert decide(CONTACT, {"bat": "yes", "plate": "yes"}).outcome == "out"
    assert decide(CONTACT, {"bat": "yes", "foot": "outside"}).outcome == "out"
    assert facts_that_matter(CONTACT, {"bat": "yes"}) == ("plate", "foot")


def test_what_cannot_happen_settles_what_follows() -> None:
    assert facts_that_matter(CONTACT, {"bat": "yes", "foot": "inside"}) == ()
    assert facts_that_matter(CONTACT, {"bat": "yes", "foot": "line"}) == ("plate",)
    assert facts_that_matter(CONTACT, {}) == ("bat", "plate", "foot")


def test_a_missing_fact_is_asked_for_with_its_answers() -> None:
    with pytest.raises(PocketrefError) as caught:
        decide(CONTACT, {"bat": "yes", "plate": "no"})
    problem = caught.value.problems[0]
    assert (problem.code, problem.hint) == (
        "play-fact-missing",
        "give foot=inside or foot=line or foot=outside",
    )
    assert "What about foot?" in problem.sentence


def test_misspelt_facts_and_answers_get_a_close_match() -> None:
    with pytest.raises(PocketrefError, match="no fact 'bta'") as caught:
        decide(CONTACT, {"bta": "yes"})
    assert caught.value.problems[0].hint == "did you mean 'bat'?"
    with pytest.raises(PocketrefError, match="no answer 'outsde'") as caught:
        decide(CONTACT, {"foot": "outsde"})
    assert caught.value.problems[0].hint == "did you mean 'outside'?"


def test_an_impossible_play_is_refused_with_the_reason() -> None:
    with pytest.raises(PocketrefError) as caught:
        decide(CONTACT, {"plate": "yes", "foot": "inside"})
    assert codes(caught) == ["play-impossible"]
    assert caught.value.problems[0].hint == "a foot on the plate is outside"


def test_faults_of_the_table_are_told_apart() -> None:
    with pytest.raises(PocketrefError) as caught:
        decide(replace(CONTACT, rows=CONTACT.rows[1:]), {"bat": "no", "plate": "no", "foot": "line"})
    assert codes(caught) == ["play-no-row"]
    twice = replace(CONTACT, rows=(*CONTACT.rows, make_row("dead", foot="line")))
    with pytest.raises(PocketrefError) as caught:
        decide(twice, {"bat": "no", "plate": "no", "foot": "line"})
    assert codes(caught) == ["play-two-rows"]


def outcomes_left(table: Table, answers: dict[str, str]) -> set[str]:
    """Every outcome that a possible play with these answers has; NO_RULING where no row rules."""
    found: set[str] = set()
    for play in plays_of(table):
        if is_possible(table, play) and all(play[fact] == answer for fact, answer in answers.items()):
            met = rows_met(table, play)
            found |= {table.rows[number].outcome for number in met} or {NO_RULING}
    return found


@settings(max_examples=80)
@given(loose_tables(), st.data())
def test_partial_answers_leave_the_rows_and_outcomes_that_listing_finds(
    table: Table, data: st.DataObject
) -> None:
    answers = {
        fact.name: data.draw(st.sampled_from(fact.answers))
        for fact in table.facts
        if data.draw(st.booleans())
    }
    plays = [
        play
        for play in plays_of(table)
        if is_possible(table, play) and all(play[fact] == answer for fact, answer in answers.items())
    ]
    if not plays:
        with pytest.raises(PocketrefError):
            matching_rows(table, answers)
        return
    assert matching_rows(table, answers) == tuple(r for r in table.rows if any(meets(r, p) for p in plays))
    if all(len(rows_met(table, play)) == 1 for play in plays):
        left = outcomes_left(table, answers)
        assert (facts_that_matter(table, answers) == ()) == (len(left) == 1)
        assert len(left) > 1 or {decide(table, answers).outcome} == left


@settings(max_examples=80)
@given(loose_tables(), st.data())
def test_the_facts_that_matter_are_enough_and_none_can_go(table: Table, data: st.DataObject) -> None:
    possible = [play for play in plays_of(table) if is_possible(table, play)]
    if not possible or any(len(rows_met(table, play)) > 1 for play in possible):
        return
    answers: dict[str, str] = {}
    if data.draw(st.booleans()):
        fact = data.draw(st.sampled_from(table.facts))
        answers = {fact.name: data.draw(st.sampled_from(possible))[fact.name]}
    possible = [play for play in possible if all(play[fact] == answer for fact, answer in answers.items())]

    def settle(names: tuple[str, ...]) -> bool:
        known: dict[tuple[str, ...], set[str]] = {}
        for play in possible:
            met = rows_met(table, play)
            outcome = table.rows[met[0]].outcome if met else NO_RULING
            known.setdefault(tuple(play[name] for name in names), set()).add(outcome)
        return all(len(outcomes) == 1 for outcomes in known.values())

    matter = facts_that_matter(table, answers)
    assert settle(matter)
    assert not any(settle(tuple(name for name in matter if name != out)) for out in matter)


def test_rows_that_quarrel_are_named_by_their_ruling_and_where_they_are_known_to_stand() -> None:
    first = Row({"bat": frozenset({"yes"})}, "out", Location("contact.yaml", 20, 5))
    second = Row({"plate": frozenset({"yes"})}, "safe")
    with pytest.raises(PocketrefError) as caught:
        decide(make_table((BAT, PLATE), first, second), {"bat": "yes", "plate": "yes"})
    assert caught.value.problems[0].hint == "'out' at contact.yaml:20:5; 'safe'"


def test_of_rows_that_rule_alike_on_what_is_left_open_the_author_s_first_is_met() -> None:
    table = make_table((BAT, PLATE), make_row("out", bat="yes"), make_row("out", bat="no"))
    assert decide(table, {}) is table.rows[0]
    assert decide(table, {"bat": "no"}) is table.rows[1]
