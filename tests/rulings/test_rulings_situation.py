"""Where a game stands answers facts: conditions are checked against every situation, and nobody tells them twice."""

from __future__ import annotations

import re
from dataclasses import replace
from functools import cache

import pytest
from play_samples import content, make_play
from pydantic import ValidationError

from pocketref.plays.computed_plays import compute_plays
from pocketref.plays.plays import RuleBooks, rule_on_play
from pocketref.problems import PocketrefError
from pocketref.rulings.situation import (
    add_situation,
    answer_from_situation,
    read_situations,
    write_situation,
)
from pocketref.source.ruling_models import SightModel, SubjectModel
from pocketref.source.situation_models import GameConditionModel, SituationModel, list_situations

IN_FORCE = {"yes": {"occupied": ["first", "second"], "outs": ["0", "1"]}}
MAY_RUN = {"no": {"occupied": "first", "outs": ["0", "1"]}}


def subject(situation: object, *answers: str) -> SubjectModel:
    """A subject with one fact that the situation answers and one that it does not."""
    facts = {
        "stands": {
            "ask": "How does it stand?",
            "answers": dict.fromkeys(answers or ("yes", "no"), "so"),
            "from": {"situation": situation},
        },
        "seen": {"ask": "Was it seen?", "answers": {"yes": "seen", "no": "not seen"}},
    }
    return SubjectModel.model_validate({"subject": "flies", "title": "Flies", "facts": facts})


def stand(runners: str, outs: str, count: str = "0-0") -> tuple[SituationModel, ...]:
    return read_situations(runners, outs, count)


def test_conditions_are_read_back_as_an_edition_records_them() -> None:
    known = GameConditionModel.model_validate(IN_FORCE["yes"])
    assert GameConditionModel.model_validate(known.model_dump(mode="json", by_alias=True)) == known


def test_there_are_eight_ways_to_hold_bases_three_to_be_out_and_twelve_counts() -> None:
    assert len({str(each) for each in list_situations()}) == len(list_situations()) == 8 * 3 * 12


@pytest.mark.parametrize(
    ("runners", "outs", "in_force"),
    [
        ("first,second", "1", "yes"),
        ("first,second,third", "0", "yes"),
        ("first,second", "2", "no"),
        ("first,third", "0", "no"),
        ("none", "0", "no"),
    ],
)
def test_an_infield_fly_needs_first_and_second_held_and_under_two_outs(
    runners: str, outs: str, in_force: str
) -> None:
    # HS 2-19, OBR definition of terms, COL 2-48: the same in every code.
    assert answer_from_situation(subject(IN_FORCE), stand(runners, outs)) == {"stands": in_force}


@pytest.mark.parametrize(
    ("runners", "outs", "may_run"),
    [("first", "1", "no"), ("first,second", "0", "no"), ("first", "2", "yes"), ("second", "0", "yes")],
)
def test_a_batter_may_run_on_a_third_strike_with_first_empty_or_two_outs(
    runners: str, outs: str, may_run: str
) -> None:
    # HS 8-1-1b, OBR 5.05(a)(2), COL 8-2-c.
    assert answer_from_situation(subject(MAY_RUN), stand(runners, outs)) == {"stands": may_run}


def test_any_of_several_conditions_is_enough_and_all_parts_of_one_must_hold() -> None:
    sample = subject({"full": {"balls": "3", "strikes": "2"}, "empty": {"empty": "first", "balls": ["0", "1"]}},
                     "full", "empty", "else")  # fmt: skip
    given = {
        count: answer_from_situation(sample, stand("second", "0", count)) for count in ("3-2", "3-1", "1-2")
    }
    assert given == {"3-2": {"stands": "full"}, "3-1": {"stands": "else"}, "1-2": {"stands": "empty"}}
    either = subject({"yes": [{"empty": "first"}, {"outs": "2"}]})
    assert answer_from_situation(either, stand("first", "2")) == {"stands": "yes"}
    assert answer_from_situation(either, stand("first", "1")) == {"stands": "no"}


def test_what_is_told_in_part_answers_only_what_it_settles() -> None:
    assert answer_from_situation(subject(IN_FORCE), read_situations(outs="2")) == {"stands": "no"}
    assert answer_from_situation(subject(IN_FORCE), read_situations(outs="1")) == {}
    assert answer_from_situation(subject(IN_FORCE), read_situations()) == {}


def test_a_fact_given_otherwise_than_the_situation_says_is_refused() -> None:
    told = stand("first", "2")
    assert add_situation(subject(IN_FORCE), {"seen": "yes", "stands": "no"}, told) == {
        "seen": "yes",
        "stands": "no",
    }
    with pytest.raises(PocketrefError, match="stands follows from runners, outs and count: no"):
        add_situation(subject(IN_FORCE), {"stands": "yes"}, told)


@pytest.mark.parametrize(
    ("situation", "answers", "said"),
    [
        ({"yes": {"outs": "0"}, "no": {"outs": "1"}}, (), "outs 2, count 0-0 there is no answer"),
        ({"yes": {"outs": "0"}, "no": {"empty": "first"}}, (), "'yes' and 'no' are both answers"),
        ({"yes": {"outs": "0"}}, ("yes", "no", "maybe"), "'no' and 'maybe' are both answers"),
        ({"aye": {"outs": "0"}}, (), "'aye' is not an answer"),
        ({"yes": {"outs": "3"}}, (), "less than or equal to 2"),
        ({}, (), "a fact is answered from one thing"),
    ],
)
def test_conditions_that_do_not_settle_every_situation_once_are_refused(
    situation: object, answers: tuple[str, ...], said: str
) -> None:
    with pytest.raises(ValidationError, match=re.escape(said)):
        subject(situation, *answers)


def test_a_situation_is_read_from_words_and_every_wrong_part_is_told() -> None:
    (found,) = read_situations("third, first", "1", "1-2")
    assert (sorted(found.runners), found.outs, found.balls, found.strikes) == (["first", "third"], 1, 1, 2)
    assert write_situation(found) == "Runners on first and third, one out, count 1–2"
    assert {each.runners for each in read_situations("none")} == {()}
    with pytest.raises(PocketrefError) as caught:
        read_situations("frist,home", "3", "4-2")
    codes = [problem.code for problem in caught.value.problems]
    assert codes == ["base-unknown", "base-unknown", "outs-unknown", "value-count"]
    assert "did you mean 'first'?" in caught.value.problems[0].hint


@cache
def books_with_first_held() -> RuleBooks:
    """The project's content, but for whether the pitch came, which a runner on first answers."""
    leaving = content().subjects["leaving"]
    sight = SightModel.model_validate({"situation": {"yes": {"occupied": "first"}}})
    facts = {**leaving.facts, "pitched": leaving.facts["pitched"].model_copy(update={"from_": sight})}
    subjects = {**content().subjects, "leaving": leaving.model_copy(update={"facts": facts})}
    return RuleBooks(replace(content(), subjects=subjects))


def test_a_play_is_ruled_on_by_where_the_game_stands_and_its_author_need_not_say_so() -> None:
    told = {"refuses": "no", "left": "late", "both-feet": "no"}
    for runners, outcome in (([], "start-over"), (["first"], "pitched-strike")):
        play = make_play("leaving", told, situation={"runners": runners, "outs": "1", "count": "1-2"})
        found = rule_on_play(books_with_first_held(), play, "high-school")
        assert found.answer.outcome == outcome
        assert found.derived == {"pitched": "runners, outs and count"}


def test_an_author_who_says_it_all_the_same_is_told_to_leave_it_out() -> None:
    play = make_play(
        "leaving",
        {"refuses": "no", "left": "late", "pitched": "yes"},
        situation={"outs": "1", "count": "1-2"},
    )
    with pytest.raises(PocketrefError) as caught:
        rule_on_play(books_with_first_held(), play, "high-school")
    (problem,) = caught.value.problems
    assert problem.code == "play-fact-derived"
    assert problem.sentence == "'pitched' follows from runners, outs and count: no"


def test_a_computed_play_stands_where_its_row_asks_for() -> None:
    books = books_with_first_held()
    rows = books.rules("leaving", "high-school").table.rows
    for number, row in enumerate(rows, start=1):
        (case,) = compute_plays(books, "leaving", "high-school", [number])
        assert "pitched" not in case.model.facts
        assert ("first" in case.model.situation.runners) == ("yes" in row.when.get("pitched", ()))
        assert rule_on_play(books, case, "high-school").answer.where == row.where
