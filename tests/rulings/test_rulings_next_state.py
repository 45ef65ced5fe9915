"""Where a game stands after a ruling: laws that hold for every ruling there could be, and cases in words."""

from __future__ import annotations

from itertools import pairwise

import pytest
from hypothesis import assume, given
from hypothesis import strategies as st
from pydantic import ValidationError
from ruling_samples import make_ruling, stand

from pocketref.problems import PocketrefError
from pocketref.rulings.next_state import Fate, NextState, find_next_states
from pocketref.rulings.state_words import list_states, write_states
from pocketref.source.ruling_models import Ball, Batter, Count, RulingModel, RunnerOut, Runners
from pocketref.source.situation_models import BASES, Pitch, SituationModel, list_situations

PLACES = (*BASES, "home")
OUT = {"ball": "dead", "batter": "out", "runners": "return", "count": "at-bat over"}
STRIKE = {"ball": "live", "batter": "bats on", "runners": "at own risk", "count": "strike"}
PITCHED = {**STRIKE, "count": "strike on the pitch"}
TWO = {**STRIKE, "count": "two strikes"}
CALLED = {**STRIKE, "count": "as called"}
FOUL = {"ball": "dead", "batter": "bats on", "runners": "return", "count": "foul"}
AWARD = {"ball": "dead", "batter": "first base", "runners": "forced", "count": "at-bat over"}
THREE_OUT = "Three outs, the side is retired."


def after(effect: dict[str, object], runners: str, outs: int, count: str) -> str:
    """What is said of a ruling from a situation."""
    return " ".join(write_states(find_next_states(stand(runners, outs, count), make_ruling(**effect))))


@st.composite
def rulings(draw: st.DrawFn) -> RulingModel:
    """Any ruling that may be written."""
    kinds = {"ball": Ball, "batter": Batter, "runners": Runners, "count": Count}
    parts = {name: draw(st.sampled_from([*kind])) for name, kind in kinds.items()}
    out = draw(st.lists(st.sampled_from([*RunnerOut]), max_size=2, unique=True))
    try:
        return make_ruling(**parts, out=out)
    except ValidationError:
        assume(False)
        raise


@st.composite
def states(draw: st.DrawFn) -> tuple[SituationModel, RulingModel, NextState]:
    """A situation, a ruling, and one of the states it leads to."""
    situation, ruling = draw(st.sampled_from(list_situations())), draw(rulings())
    try:
        found = find_next_states(situation, ruling)
    except PocketrefError:
        assume(False)
        raise
    return situation, ruling, draw(st.sampled_from(found))


@given(states())
def test_outs_never_go_back_nor_past_three_and_a_count_never_past_its_end(
    case: tuple[SituationModel, RulingModel, NextState],
) -> None:
    before, ruling, state = case
    most = (state.batter.fate is Fate.OUT) + len(ruling.out)
    assert before.outs <= state.outs <= min(3, before.outs + most)
    if state.count:
        assert SituationModel(outs=0, count=state.count)
    if state.batter.fate is not Fate.BATS or state.is_side_retired:
        assert state.count in ("0-0", "")


@given(states())
def test_no_runner_is_lost_or_passed_and_no_two_are_on_a_base(
    case: tuple[SituationModel, RulingModel, NextState],
) -> None:
    before, _, state = case
    if state.is_side_retired:
        assert state.runners == {}
        return
    assert sorted(state.runners) == sorted(before.runners)
    settled = (Fate.STAYS, Fate.RETURNS, Fate.ADVANCES)
    line = [state.batter, *(state.runners[base] for base in BASES if base in state.runners)]
    places = [PLACES.index(each.base) for each in line if each.fate in settled]
    assert all(behind < ahead for behind, ahead in pairwise(places)), "each is ahead of those behind"


@given(states())
def test_as_many_players_are_out_as_there_are_outs_more(
    case: tuple[SituationModel, RulingModel, NextState],
) -> None:
    before, _, state = case
    if not state.is_side_retired:
        surely = [each for each in (state.batter, *state.runners.values()) if each.fate is Fate.OUT]
        meant = {one for each in state.runners.values() for one in each.unless}
        assert len(surely) + len(meant) == state.outs - before.outs


@given(st.sampled_from(list_situations()), rulings())
def test_every_state_is_said_in_one_sentence_and_told_to_programs(
    situation: SituationModel, ruling: RulingModel
) -> None:
    try:
        found = find_next_states(situation, ruling)
    except PocketrefError:
        return
    said = write_states(found)
    assert len(set(said)) == len(said) == len(found)
    assert all(words.endswith(".") and words[0].isupper() and "  " not in words for words in said)
    assert [each["when"] for each in list_states(found)] == [state.when for state in found]
    assert len({state.when for state in found}) == len(found), "each state says when it comes about"


@pytest.mark.parametrize(
    ("effect", "runners", "outs", "count", "said"),
    [
        (OUT, "first third", 0, "1-2", "Batter out, one out; runners back to first and third."),
        (OUT, "third", 2, "0-0", THREE_OUT),
        (FOUL, "second", 1, "1-1", "Batter bats on, 1–2, one out; runner back to second."),
        (FOUL, "", 1, "3-2", "Batter bats on, 3–2, one out."),
        (STRIKE, "first", 0, "1-1", "Batter bats on, 1–2, nobody out; runner on first may advance."),
        (STRIKE, "", 1, "1-2", "Batter out, two outs."),
        (STRIKE, "third", 2, "1-2", THREE_OUT),
        (TWO, "first", 0, "0-0", "Batter bats on, 0–2, nobody out; runner on first may advance."),
        (TWO, "first", 0, "0-1", "Batter out, one out; runner on first may advance."),
        (AWARD, "", 1, "3-1", "Batter to first, one out."),
        (AWARD, "second", 1, "3-1", "Batter to first, one out; runner back to second."),
        (AWARD, "first third", 1, "3-1",
         "Batter to first, one out; runner back to third; runner from first to second."),
        (AWARD, "first second third", 2, "0-0", ("Batter to first, two outs; runner from third scores, "
         "runner from second to third, runner from first to second.")),
    ],
)  # fmt: skip
def test_where_the_game_stands_is_said_in_an_umpire_s_words(
    effect: dict[str, object], runners: str, outs: int, count: str, said: str
) -> None:
    assert after(effect, runners, outs, count) == said


@pytest.mark.parametrize("effect", [PITCHED, TWO], ids=["one strike", "two strikes"])
@pytest.mark.parametrize(
    ("runners", "outs", "may_run"),
    [("", 0, True), ("second third", 1, True), ("first", 1, False), ("first", 2, True)],
)
def test_a_pitched_third_strike_may_go_uncaught_with_first_empty_or_two_outs(
    effect: dict[str, object], runners: str, outs: int, may_run: bool
) -> None:
    said = after(effect, runners, outs, "0-2")
    assert ("Strike three, not caught: batter may run" in said) == may_run
    assert ("Strike three, caught: " in said) == may_run
    dead = after({**effect, "ball": "dead", "runners": "stay"}, runners, outs, "0-2")
    assert "not caught" not in dead


def test_a_pitch_that_is_left_to_be_called_is_a_ball_or_a_strike() -> None:
    assert after(CALLED, "", 1, "2-1") == (
        "A ball: batter bats on, 3–1, one out. A strike: batter bats on, 2–2, one out."
    )
    full = after(CALLED, "first second", 0, "3-2")
    assert full.startswith("Ball four: batter to first, nobody out; runner from second to third, runner from")
    assert full.endswith("Strike three: batter out, one out; runners on first and second may advance.")
    assert after({**CALLED, "count": "as pitched"}, "", 1, "2-1").endswith("A hit: as the ball is ruled.")


def test_what_the_ball_decides_is_left_to_it() -> None:
    ruled = dict.fromkeys(("batter", "runners", "count"), "as ruled")
    assert after({"ball": "live", **ruled}, "first third", 1, "3-2") == "As the ball is ruled."


@pytest.mark.parametrize(
    ("out", "runners", "said"),
    [
        ("runner from third", "first third", "two outs; runner from third out; runner back to first"),
        ("runner played on", "first", "two outs; runner from first out"),
        ("runner nearest home", "first second", "two outs; runner from second out; runner back to first"),
        ("runner played on", "first second",
         ("two outs; runner played on out, of those on first and second; "
          "who is not, back to the base held at the pitch")),
    ],
)  # fmt: skip
def test_the_runner_who_is_out_is_named_where_only_one_can_be_meant(
    out: str, runners: str, said: str
) -> None:
    effect = {**FOUL, "count": "no change", "out": [out]}
    assert after(effect, runners, 1, "1-1") == f"Batter bats on, 1–1, {said}."


def test_a_batter_who_is_up_when_a_runner_is_the_third_out_leads_off_the_next_inning() -> None:
    effect = {**FOUL, "count": "no change", "out": ["runner from third"]}
    assert after(effect, "third", 2, "1-1").endswith("and this batter leads off the next inning.")


def test_a_runner_who_is_not_there_cannot_be_out() -> None:
    for out, runners in (("runner from third", "first"), ("runner played on", "")):
        with pytest.raises(PocketrefError, match=f"puts out a {out}, and there is none"):
            after({**FOUL, "out": [out]}, runners, 1, "1-1")


def test_the_offence_is_told_where_it_may_take_the_play() -> None:
    said = after({**AWARD, "ball": "delayed dead", "may-take-play": "yes"}, "", 1, "0-0")
    assert said == "Batter to first, one out. The offence may take the play as it fell instead."


@pytest.mark.parametrize(
    ("pitch", "count", "said"),
    [
        ("ball", "2-1", "Batter bats on, 3–1, one out."),
        ("ball", "3-1", "Batter to first, one out."),
        ("strike", "2-1", "Batter bats on, 2–2, one out."),
        ("uncaught strike", "2-1", "Batter bats on, 2–2, one out."),
        ("strike", "2-2", "Batter out, two outs."),
        ("uncaught strike", "2-2", "Batter may run, one out."),
        ("hit", "2-2", "As the ball is ruled."),
        ("none", "2-2", "Batter bats on, 2–2, one out."),
    ],
)
def test_a_play_that_tells_of_its_pitch_leads_to_one_state(pitch: Pitch, count: str, said: str) -> None:
    pitched = make_ruling(**{**CALLED, "count": "as pitched"})
    assert write_states(find_next_states(stand("", 1, count), pitched, pitch)) == [said]
    assert len(find_next_states(stand("", 1, count), make_ruling(**OUT), pitch)) == 1


def test_a_pitch_on_which_the_ruling_cannot_be_made_is_refused_with_those_that_can() -> None:
    with pytest.raises(PocketrefError) as caught:
        find_next_states(stand("", 1, "0-0"), make_ruling(**CALLED), "hit")
    (problem,) = caught.value.problems
    assert problem.code == "pitch-impossible"
    assert problem.hint == "write ball or strike or uncaught strike, or leave it out"
