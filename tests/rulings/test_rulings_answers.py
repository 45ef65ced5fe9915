"""Ruling on a play by asking: what is asked next, what is no longer asked, and what the ruling rests on."""

from __future__ import annotations

from dataclasses import replace
from functools import cache
from pathlib import Path

import pytest
from hypothesis import assume, given
from hypothesis import strategies as st
from rulings_tables import is_possible, make_fact, make_row, make_table, plays_of, walk

from pocketref.field.feet import GroundJudgement, Where
from pocketref.plays.placement import NOTHING_DRAWN, list_sights
from pocketref.problems import PocketrefError
from pocketref.rulings.answer import (
    SubjectRules,
    answer_play,
    construct_rules,
    next_question,
    read_facts,
)
from pocketref.rulings.chart import build_chart
from pocketref.rulings.table import decide
from pocketref.source.library import Library, read_library

ROOT = Path(__file__).parents[2]


@cache
def library() -> Library:
    return read_library(ROOT / "content")


@cache
def rules(subject: str, code: str) -> SubjectRules:
    return construct_rules(library(), subject, code)


def ask_all(opened: SubjectRules, play: dict[str, str]) -> dict[str, str]:
    """What is known once nothing more is asked, in the order asked."""
    answers: dict[str, str] = {}
    while (fact := next_question(opened, answers)) is not None:
        assert fact.name not in answers
        answers[fact.name] = play[fact.name]
    return answers


@pytest.mark.parametrize("key", sorted(library().rulings), ids=": ".join)
def test_asking_until_nothing_is_asked_settles_every_play_as_the_table_rules(key: tuple[str, str]) -> None:
    code, subject = key
    opened = rules(subject, code)
    for play in plays_of(opened.table):
        if is_possible(opened.table, play):
            answers = ask_all(opened, play)
            asked, outcome = walk(opened.chart, play)
            assert decide(opened.table, play).outcome == answer_play(opened, answers).outcome == outcome
            assert tuple(answers.items()) == asked[: len(answers)]


def test_the_chart_s_first_question_is_asked_first_and_known_ones_are_passed_over() -> None:
    opened = rules("contact", "high-school")
    asked = []
    answers: dict[str, str] = {"on-plate": "no"}
    while (fact := next_question(opened, answers)) is not None:
        asked.append(fact.name)
        answers[fact.name] = {"bat-meets-ball": "yes"}.get(fact.name, "no")
    assert asked == ["bat-meets-ball", "wholly-outside", "knee-out"]


def test_nothing_more_is_asked_where_only_one_ruling_is_left() -> None:
    opened = rules("contact", "high-school")
    assert next_question(opened, {"bat-meets-ball": "no"}) is None
    assert next_question(opened, {"bat-meets-ball": "yes", "on-plate": "yes"}) is None


def test_a_ruling_says_what_was_asked_on_the_way_and_what_does_not_change_it() -> None:
    opened = rules("contact", "high-school")
    answer = answer_play(opened, {"caught-tip": "yes", "on-plate": "yes", "bat-meets-ball": "yes"})
    assert answer.outcome == "out-of-box"
    assert answer.ruling.ball == "dead"
    assert [(fact, given) for fact, _, given in answer.asked] == [
        ("bat-meets-ball", "yes"),
        ("on-plate", "yes"),
    ]
    assert answer.asked[0][1] == "Did the bat touch the ball?"
    assert answer.idle == ("wholly-outside", "knee-out", "caught-tip")
    assert [cite.split()[-1] for cite in answer.cites] == ["7-3-2", "5-1-1b"]
    assert answer.note.startswith("Even with the foot on a line too.")
    assert answer.where is not None
    assert answer.where.file.endswith("high-school/contact.yaml")


@pytest.mark.parametrize("key", sorted(library().rulings), ids=": ".join)
@given(data=st.data())
def test_a_fact_that_makes_no_difference_can_be_left_out_and_the_others_settle_the_ruling(
    key: tuple[str, str], data: st.DataObject
) -> None:
    opened = rules(key[1], key[0])
    facts = opened.table.facts
    chosen = {fact.name: data.draw(st.sampled_from(["", *fact.answers]), fact.name) for fact in facts}
    answers = {name: answer for name, answer in chosen.items() if answer}
    try:
        answer = answer_play(opened, answers)
    except PocketrefError:
        assume(False)
        raise
    reasons = {name: answers[name] for name, _, _ in answer.asked}
    assert set(answer.idle) == {fact.name for fact in facts} - set(reasons)
    assert decide(opened.table, reasons).ending == decide(opened.table, answers).ending
    for name in answer.idle:
        rest = {other: given for other, given in answers.items() if other != name}
        assert answer_play(opened, rest).outcome == answer.outcome


def test_what_settles_a_ruling_before_the_chart_s_first_question_is_its_reason() -> None:
    answer = answer_play(rules("leaving", "high-school"), {"refuses": "yes", "warned": "no"})
    assert answer.asked == (("refuses", "Told to enter, and won't?", "yes"),)
    assert "refuses" not in answer.idle
    assert "warned" in answer.idle


def test_a_play_that_is_not_settled_is_not_ruled_on() -> None:
    opened = rules("contact", "high-school")
    with pytest.raises(PocketrefError) as caught:
        answer_play(opened, {"bat-meets-ball": "yes", "on-plate": "no"})
    assert {problem.code for problem in caught.value.problems} == {"play-fact-missing"}


def test_answers_that_cannot_happen_together_are_refused_and_nothing_is_asked() -> None:
    yes_no = ("yes", "no")
    table = make_table(
        (make_fact("touched", *yes_no), make_fact("caught", *yes_no)),
        make_row("out", touched="yes", caught="yes"),
        make_row("safe", caught="no"),
        never=(make_row("nothing to catch", touched="no", caught="yes"),),
    )
    opened = SubjectRules(table, build_chart(table), library())
    with pytest.raises(PocketrefError, match="cannot happen"):
        next_question(opened, {"touched": "no", "caught": "yes"})
    assert next_question(opened, {"touched": "no"}) is None


def test_a_code_or_subject_that_is_not_there_gets_its_close_match() -> None:
    with pytest.raises(PocketrefError) as caught:
        construct_rules(library(), "contact", "high-scool")
    assert [(p.code, p.hint) for p in caught.value.problems] == [
        ("code-unknown", "did you mean 'high-school'?")
    ]
    with pytest.raises(PocketrefError) as caught:
        construct_rules(library(), "contakt", "college")
    assert [(p.code, p.hint) for p in caught.value.problems] == [
        ("subject-unknown", "did you mean 'contact'?")
    ]


def test_a_code_that_only_lacks_the_table_is_not_called_unknown() -> None:
    contact = {key: table for key, table in library().rulings.items() if key != ("youth", "contact")}
    none = {key: table for key, table in library().rulings.items() if key[0] != "youth"}
    for rulings in (contact, none):
        with pytest.raises(PocketrefError) as caught:
            construct_rules(replace(library(), rulings=rulings), "contact", "youth")
        (problem,) = caught.value.problems
        assert (problem.code, problem.sentence) == ("table-missing", "youth has no table on contact")
        assert problem.hint == (
            "write rulings/youth/contact.yaml, or ask by high-school or professional or college"
        )


def test_facts_given_in_words_are_read_and_every_wrong_one_is_told() -> None:
    table = rules("contact", "high-school").table
    assert read_facts(table, ["on-plate=yes", "knee-out=no", "on-plate=yes"]) == {
        "on-plate": "yes",
        "knee-out": "no",
    }
    with pytest.raises(PocketrefError) as caught:
        read_facts(table, ["on-plate", "on-plat=yes", "on-plate=maybe", "knee-out=no", "knee-out=yes"])
    found = [(problem.code, problem.hint) for problem in caught.value.problems]
    assert found == [
        ("fact-notation", "write, for example, on-plate=yes"),
        ("fact-unknown", "did you mean 'on-plate'?"),
        ("answer-unknown", "use one of: no, yes"),
        ("fact-twice", "give it once"),
    ]


IN, LINE, OVER, OUT, AIR = (
    GroundJudgement(where, touches_plate=False)
    for where in (Where.INSIDE, Where.ON_LINE, Where.OVER, Where.OUTSIDE, Where.IN_AIR)
)
ON_PLATE = GroundJudgement(Where.OVER, touches_plate=True)


@pytest.mark.parametrize(
    ("feet", "seen"),
    [
        ((IN, IN), set()),
        ((LINE, AIR), set()),
        ((OVER, IN), {"over-line"}),
        ((IN, OUT), {"wholly-outside", "over-line"}),
        ((OUT, OUT), {"wholly-outside", "over-line"}),
        ((ON_PLATE, IN), {"on-plate", "over-line"}),
        ((OUT, ON_PLATE), {"on-plate", "wholly-outside", "over-line"}),
    ],
)
def test_one_foot_is_enough_to_be_seen(feet: tuple[GroundJudgement, ...], seen: set[str]) -> None:
    sights = list_sights(replace(NOTHING_DRAWN, judged=feet))
    assert len([name for name in sights if name.startswith("feet ")]) == 3
    assert {name.removeprefix("feet ") for name, is_seen in sights.items() if is_seen} == seen


@pytest.mark.parametrize(
    ("knees", "seen"),
    [
        ((), set()),
        ((IN,), set()),
        ((OVER,), set()),
        ((OUT,), {"wholly-outside", "out"}),
        ((ON_PLATE, IN), {"on-plate", "out"}),
    ],
)
def test_a_knee_is_out_on_the_plate_or_wholly_outside_and_one_not_drawn_is_not_down(
    knees: tuple[GroundJudgement, ...], seen: set[str]
) -> None:
    # HS 7-3-2: foot or knee on the ground wholly outside the lines, or touching home plate.
    sights = list_sights(replace(NOTHING_DRAWN, judged=(IN, IN), judged_knees=knees))
    assert {name.removeprefix("knees ") for name, is_seen in sights.items() if is_seen} == seen
