"""Plays ruled on: facts from feet and ball, what is wrong with a play, and what its choices are."""

from __future__ import annotations

from collections import Counter
from dataclasses import replace

import pytest
from play_samples import (
    BACK,
    CODES,
    FRONT,
    HIT,
    ON_LINE,
    OUTSIDE,
    OVER,
    books,
    cases,
    content,
    make_play,
    ruled,
)

from pocketref.plays.choices import ask_plays, find_choices, rule_elsewhere, sign_choice
from pocketref.plays.plays import CasePlay, RuleBooks, RuledPlay, rule_on_all, rule_on_play, write_path
from pocketref.problems import PocketrefError, ProblemLog


def rule(case: CasePlay, code: str = "high-school") -> RuledPlay:
    return rule_on_play(books(), case, code)


def refuse(case: CasePlay, code: str = "high-school") -> list[str]:
    with pytest.raises(PocketrefError) as caught:
        rule(case, code)
    return [problem.code for problem in caught.value.problems]


@pytest.mark.parametrize(
    ("foot", "contact", "outcome"),
    [
        (FRONT, "flat", "legal"),
        (ON_LINE, "flat", "legal"),
        (OVER, "flat", "legal"),
        (OUTSIDE, "flat", "out-of-box"),
        (OUTSIDE, "heel", "out-of-box"),
        (OUTSIDE, "air", "legal"),
    ],
)
def test_the_feet_decide_a_hit(foot: dict[str, str], contact: str, outcome: str) -> None:
    case = make_play(feet=[{**foot, "contact": contact}, BACK])
    assert rule(case).answer.outcome == outcome


def test_any_foot_on_the_plate_counts_though_another_is_worse() -> None:
    on_plate = {**FRONT, "corner": "plate", "right": "0 in", "ahead": "8 in"}
    found = rule(make_play(feet=[on_plate, {**OUTSIDE, "foot": "right"}]))
    assert (found.answers["on-plate"], found.answers["wholly-outside"]) == ("yes", "yes")


def test_a_left_handed_batter_stands_in_the_other_box() -> None:
    mirrored = {**FRONT, "foot": "right", "right": "14 in", "heading": "170"}
    assert rule(make_play(feet=[mirrored], bats="left")).answer.outcome == "legal"
    assert rule(make_play(feet=[mirrored], bats="right")).answer.outcome == "out-of-box"


@pytest.mark.parametrize(
    ("meets", "fair"), [(["0 in", "30 in"], "yes"), (["40 in", "40 in"], "yes"), (["41 in", "40 in"], "no")]
)
def test_where_bat_and_ball_meet_says_whether_the_ground_is_fair(meets: list[str], fair: str) -> None:
    ball = {"path": [["0 in", "20 in"], meets], "meets": meets}
    facts = {"on-purpose": "no", "in-box": "no", "bat-still": "no", "let-go": "no"}
    assert rule(make_play("second-touch", facts, ball=ball)).answers["fair-ground"] == fair


def test_an_open_fact_with_one_answer_left_is_known() -> None:
    missed = make_play(facts={"bat-meets-ball": "no"}, feet=[FRONT])
    assert rule(missed, "college").answers["caught-tip"] == "no"


@pytest.mark.parametrize(
    ("case", "code", "problem"),
    [
        (make_play(facts={}, feet=[FRONT]), "high-school", "play-fact-missing"),
        (make_play(facts={**HIT, "on-plate": "no"}, feet=[FRONT]), "high-school", "play-fact-derived"),
        (make_play(feet=[{**FRONT, "right": "-200 in"}]), "high-school", "play-foot-off"),
        (make_play(feet=[FRONT], bat={"knob": ["0 in"] * 2, "tip": ["90 ft"] * 2}), "high-school", "play-ball-off"),
        (make_play(facts={"bat-meets-ball": "no", "caught-tip": "yes"}, feet=[FRONT]), "college", "play-impossible"),
    ],
)  # fmt: skip
def test_a_play_that_cannot_be_ruled_on_is_refused(case: CasePlay, code: str, problem: str) -> None:
    assert set(refuse(case, code)) == {problem}


def test_a_refusal_names_the_play_and_what_is_known_of_it() -> None:
    with pytest.raises(PocketrefError) as caught:
        rule(make_play(facts={"bat-meets-ball": "yes"}, feet=[OUTSIDE]), "college")
    (problem,) = caught.value.problems
    assert "'made/play' by college" in problem.sentence
    assert "'caught-tip'" in problem.sentence
    assert "on-plate = no (from the feet)" in problem.hint


def test_a_ruling_not_expected_is_told_with_both_and_the_way() -> None:
    problems = ProblemLog()
    rule_on_all(books(), [make_play(feet=[OUTSIDE, BACK])], problems)
    (problem,) = problems.problems
    assert problem.code == "play-ruling"
    assert "expects 'legal' by high-school, but the table rules 'out-of-box'" in problem.sentence
    assert "wholly-outside = yes (from the feet) -> out-of-box" in problem.hint
    assert "high-school/contact.yaml" in problem.hint


def test_a_row_s_condition_that_the_chart_does_not_ask_is_told_too() -> None:
    # With leaving late called as staying is, the chart no longer asks how much left; the row met still does.
    key = ("high-school", "leaving")
    table = content().rulings[key]
    rows = tuple(
        row.model_copy(update={"ruling": "play-on"}) if "both-feet" in row.when else row for row in table.rows
    )
    changed = RuleBooks(replace(content(), rulings={key: table.model_copy(update={"rows": rows})}))
    facts = {"refuses": "no", "left": "late", "both-feet": "no", "pitched": "no"}
    problems = ProblemLog()
    rule_on_all(changed, [make_play("leaving", facts, {"high-school": "strike"})], problems)
    (problem,) = problems.problems
    assert problem.hint.endswith("which also asks refuses = no, both-feet = no, pitched = no")


def test_what_is_left_open_is_told_once_for_all_codes_as_it_is_written_in_a_play() -> None:
    problems = ProblemLog()
    codes = {"high-school": "legal", "college": "legal", "youth": "legal"}
    rule_on_all(books(), [make_play(facts={"bat-meets-ball": "yes"}, expect=codes)], problems)
    told = {problem.sentence.split("'")[3]: problem for problem in problems.problems}
    assert list(told) == ["on-plate", "wholly-outside", "knee-out", "caught-tip"]
    assert told["wholly-outside"].sentence.startswith("'made/play' by high-school, college, youth: ")
    assert told["knee-out"].hint.startswith(
        "draw the knees (knees: ...), which answers it, or write under facts"
    )
    assert told["caught-tip"].hint.startswith('write under facts caught-tip: "yes" or caught-tip: "no"')
    assert told["on-plate"].hint.startswith(
        "draw the feet (feet: ...), which answers it, or write under facts"
    )
    assert "draw" not in told["caught-tip"].hint


def test_a_left_hander_without_a_hand_is_asked_for_it() -> None:
    feet = [
        {"foot": "left", "corner": "front-inner", "right": "14 in", "ahead": "-8 in", "heading": "170"},
        {"foot": "right", "corner": "back-inner", "right": "14 in", "ahead": "20 in", "heading": "180"},
    ]
    problems = ProblemLog()
    rule_on_all(books(), [make_play(feet=feet)], problems)
    assert problems.problems[0].hint.endswith("a left-handed batter's feet give 'legal': 'bats: left'?")
    rule_on_all(books(), [make_play(feet=feet, bats="left")], fine := ProblemLog())
    assert fine.problems == []


def test_the_way_of_a_play_ends_in_its_ruling() -> None:
    assert all(write_path(play).endswith(f"-> {play.answer.outcome}") for play in ruled())


@pytest.mark.parametrize("code", CODES)
def test_every_play_has_one_right_choice_and_no_two_that_come_to_the_same(code: str) -> None:
    for question in ask_plays(books(), [play for play in ruled() if play.code == code]):
        assert [c.ruling for c in question.choices if c.is_right] == [question.ruled.answer.ruling]
        assert len({sign_choice(choice.ruling) for choice in question.choices}) == len(question.choices) >= 2
        assert all(choice.reason.endswith(".") for choice in question.choices if not choice.is_right)


@pytest.mark.parametrize("code", CODES)
def test_the_right_letters_are_spread_evenly(code: str) -> None:
    questions = ask_plays(books(), [play for play in ruled() if play.code == code][:30])
    for size in (3, 4):
        counts = Counter(question.letter for question in questions if len(question.choices) == size)
        spread = [counts[letter] for letter in "ABCD"[:size]]
        assert max(spread) - min(spread) <= 1
    longest = max(len(list(run)) for run in _runs([question.letter for question in questions]))
    assert longest <= 5


def _runs(letters: list[str]) -> list[list[str]]:
    runs: list[list[str]] = []
    for letter in letters:
        if runs and runs[-1][0] == letter:
            runs[-1].append(letter)
        else:
            runs.append([letter])
    return runs


def test_the_order_of_choices_is_fixed() -> None:
    plays = [play for play in ruled() if play.code == "college"][:12]
    assert ask_plays(books(), plays) == ask_plays(books(), plays)


def test_another_codes_ruling_is_offered_with_its_section_and_question() -> None:
    play = next(p for p in ruled() if p.key == "second-touch/rolling-away-foul high-school")
    choice = next(c for c in find_choices(books(), play) if c.ruling.headline == "Out: interference")
    told = "the professional code (PRO 5.09(a)(9), PRO 6.01(a)(2)): there “Fair ground, or still moving?” counts."
    assert {*choice.wordings} == {f"So by {told}", f"Right under {told}"}


def test_a_choice_of_the_table_says_what_would_make_it_right() -> None:
    play = next(p for p in ruled() if p.key == "contact/line-is-enough professional")
    wrong = next(c for c in find_choices(books(), play) if c.ruling.headline.startswith("Out"))
    name, answer = "wholly-outside", "yes"
    seen, taken = "*inside, on or over a line, or in the air*", "*on the ground, all of it past the lines*"
    assert wrong.reason in (
        f"“Foot down, all outside?” The picture shows {seen}, not {taken}.",
        f"“Foot down, all outside?” Look again: {seen}; this is for {taken}.",
    )
    changed = make_play(facts={**play.answers, name: answer}, expect={"professional": "out-of-box"})
    assert rule(changed, "professional").answer.outcome == "out-of-box"


def test_other_codes_rule_on_the_same_facts() -> None:
    play = next(p for p in ruled() if p.key == "contact/leaning-over-the-plate high-school")
    found = {code: other.answer.outcome for code, other in rule_elsewhere(books(), play).items()}
    assert found == {"professional": "legal", "college": "out-of-box", "youth": "legal"}


def test_a_code_that_lacks_a_fact_is_not_asked() -> None:
    case = make_play(facts={"bat-meets-ball": "yes"}, feet=[OUTSIDE], expect={"professional": "out-of-box"})
    found = rule_elsewhere(books(), rule(case, "professional"))
    assert "college" not in found  # it needs to know whether the tip was caught
    assert "high-school" in found


def test_plays_are_named_by_file_and_each_name_is_one_play() -> None:
    names = [case.name for case in cases()]
    assert len(set(names)) == len(names)
    assert all(name.startswith(f"{case.subject}/") for name, case in zip(names, cases(), strict=True))
    assert replace(cases()[0], is_computed=True) != cases()[0]
