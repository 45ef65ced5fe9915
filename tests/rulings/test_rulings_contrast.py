"""What two codes or more rule differently, in the fewest readable rows."""

from __future__ import annotations

from dataclasses import replace

from hypothesis import given, settings
from hypothesis import strategies as st
from rulings_tables import (
    BAT,
    CONTACT_ROWS,
    FOOT,
    OUTCOMES,
    PLATE,
    is_possible,
    make_fact,
    make_row,
    make_table,
    meets,
    plays_of,
    unique_tables,
)

from pocketref.rulings.contrast import contrast_many, contrast_tables
from pocketref.rulings.table import NO_RULING, Table

SCHOOL = make_table((BAT, PLATE, FOOT), *CONTACT_ROWS)
COLLEGE = replace(
    SCHOOL,
    code="college",
    rows=(
        make_row("play on", bat="no"),
        make_row("play on", bat="yes", foot="inside line"),
        make_row("out", bat="yes", foot="outside"),
    ),
)


def same_name(left: str, right: str) -> bool:
    return left == right


def outcome_of(table: Table, play: dict[str, str]) -> str:
    return next((row.outcome for row in table.rows if meets(row, play)), NO_RULING)


def test_two_codes_differ_in_one_readable_row() -> None:
    (difference,) = contrast_tables(SCHOOL, COLLEGE, same_name)
    assert str(difference.when) == "bat = yes, plate = yes, foot = inside or line"
    assert (difference.left_outcome, difference.right_outcome) == ("out", "play on")


def test_a_table_does_not_differ_from_itself() -> None:
    assert contrast_tables(SCHOOL, SCHOOL, same_name) == ()


def test_the_caller_says_which_rulings_are_the_same() -> None:
    assert contrast_tables(SCHOOL, COLLEGE, lambda _left, _right: True) == ()
    stricter = contrast_tables(SCHOOL, SCHOOL, lambda left, _right: left != "out")
    assert {(d.left_outcome, d.right_outcome) for d in stricter} == {("out", "out")}
    both = {"high-school": SCHOOL, "college": COLLEGE}
    assert contrast_many(both, lambda _code, _outcome: "all the same") == ()
    assert len(contrast_many(both, lambda _code, outcome: outcome)) == 1


def test_a_new_answer_is_ruled_by_rows_that_allow_any() -> None:
    wider = make_fact("foot", "inside", "line", "outside", "in-air")
    newer = replace(
        SCHOOL,
        facts=(BAT, PLATE, wider),
        rows=(*SCHOOL.rows, make_row("dead", bat="yes", plate="no", foot="in-air")),
    )
    (difference,) = contrast_tables(SCHOOL, newer, same_name)
    assert str(difference.when) == "bat = yes, plate = no, foot = in-air"
    assert (difference.left_outcome, difference.right_outcome) == (NO_RULING, "dead")


def test_what_one_calls_impossible_has_no_ruling_there_and_what_both_do_is_left_out() -> None:
    never = (make_row("a foot on the plate is outside", plate="yes", foot="inside line"),)
    school, college = (replace(table, never=never) for table in (SCHOOL, COLLEGE))
    rows = contrast_tables(SCHOOL, college, same_name)
    assert {row.right_outcome for row in rows} == {NO_RULING}
    assert all("plate = yes" in str(row.when) for row in rows)
    assert contrast_tables(school, college, same_name) == ()


def test_several_codes_show_the_outcome_of_each() -> None:
    (row,) = contrast_many({"high-school": SCHOOL, "college": COLLEGE, "youth": SCHOOL})
    assert row.outcomes == {"high-school": "out", "college": "play on", "youth": "out"}
    assert str(row.when) == "bat = yes, plate = yes, foot = inside or line"


def test_what_cannot_happen_shortens_a_row() -> None:
    # No play is on the plate without a touch, so that "plate = yes" tells of the touch too.
    never = (make_row("a miss is nowhere", bat="no", plate="yes"),)
    left, right = (replace(table, never=never) for table in (SCHOOL, COLLEGE))
    (difference,) = contrast_tables(left, right, same_name)
    assert str(difference.when) == "plate = yes, foot = inside or line"


def test_codes_may_mean_different_things_by_one_name() -> None:
    rows = contrast_many({"a": SCHOOL, "b": SCHOOL}, lambda code, outcome: (code, outcome))
    assert {tuple(row.outcomes.values()) for row in rows} == {("out", "out"), ("play on", "play on")}
    assert contrast_many({"a": SCHOOL, "b": SCHOOL}) == ()


@st.composite
def table_pairs(draw: st.DrawFn) -> tuple[Table, Table]:
    left = draw(unique_tables(most_facts=3))
    rows = tuple(replace(row, outcome=draw(st.sampled_from(OUTCOMES))) for row in left.rows)
    return left, replace(left, rows=rows[draw(st.integers(0, 1)) :], never=())


@settings(max_examples=80)
@given(table_pairs())
def test_the_rows_are_exactly_the_plays_ruled_differently(pair: tuple[Table, Table]) -> None:
    left, right = pair
    told: dict[tuple[str, ...], set[tuple[str, str]]] = {}
    for difference in contrast_tables(left, right, same_name):
        for play in plays_of(left):
            is_told = all(play[fact] in answers for fact, answers in difference.when.allowed)
            if is_told and is_possible(left, play):
                outcomes = (difference.left_outcome, difference.right_outcome)
                told.setdefault(tuple(play.values()), set()).add(outcomes)
    expected = {
        tuple(play.values()): {(outcome_of(left, play), outcome_of(right, play))}
        for play in plays_of(left)
        if is_possible(left, play) and outcome_of(left, play) != outcome_of(right, play)
    }
    assert told == expected


@settings(max_examples=40)
@given(table_pairs())
def test_two_codes_contrasted_as_many_give_the_same_rows(pair: tuple[Table, Table]) -> None:
    left, right = pair
    many = [(row.when, *row.outcomes.values()) for row in contrast_many({"left": left, "right": right})]
    assert many == [
        (d.when, d.left_outcome, d.right_outcome) for d in contrast_tables(left, right, same_name)
    ]
