"""What a ruling does, in words, and effects that contradict each other."""

from __future__ import annotations

from itertools import product

import pytest
from pydantic import ValidationError

from pocketref.rulings.effects import sign_effect, write_batter, write_count_effect, write_runners
from pocketref.source.ruling_models import Ball, Batter, Count, RulingModel, RunnerOut, Runners

FOUL = {"ball": "dead", "batter": "bats on", "runners": "return", "count": "foul"}
LEGAL = {"ball": "live", "batter": "as ruled", "runners": "as ruled", "count": "as ruled"}


def ruling(**effect: object) -> RulingModel:
    return RulingModel.model_validate({"headline": "So it is", "say": [], "signal": [], **FOUL, **effect})


def test_what_is_left_to_the_play_says_so_of_batter_runners_and_count() -> None:
    legal = ruling(**LEGAL)
    assert (
        write_batter(legal).full
        == write_runners(legal).full
        == write_count_effect(legal)
        == "as the ball is ruled"
    )


def test_a_ball_fouled_off_sends_runners_back_to_the_base_held_at_the_pitch() -> None:
    assert write_runners(ruling()).full == "back to the base held at the pitch"
    assert write_batter(ruling()).full == "bats on; a strike if under two"
    assert write_count_effect(ruling()) == "add a strike if under two"


@pytest.mark.parametrize("count", ["strike on the pitch", "two strikes"])
def test_a_third_strike_may_go_uncaught_of_a_live_ball_only(count: str) -> None:
    assert write_batter(ruling(ball="live", runners="at own risk", count=count)).full.endswith(
        "may go uncaught"
    )
    assert write_batter(ruling(ball="dead", count=count)).full.endswith("out on the third")


def test_a_runner_out_is_told_before_the_others() -> None:
    words = write_runners(ruling(count="as pitched", out=["runner from third"]))
    assert words.full == "runner from third out; the others back to the base held at the pitch"
    assert words.brief == "runner from third out"


def test_every_effect_that_may_be_written_has_words_in_full_and_in_brief() -> None:
    written = 0
    for ball, batter, runners, count in product(Ball, Batter, Runners, Count):
        try:
            made = ruling(ball=ball, batter=batter, runners=runners, count=count, out=[*RunnerOut])
        except ValidationError:
            continue
        written += 1
        assert all(
            (
                write_batter(made).full,
                write_batter(made).brief,
                write_runners(made).full,
                write_count_effect(made),
            )
        )
        assert len(write_batter(made).brief) <= 24, "wider than a chart's terminal"
    assert written > 300


@pytest.mark.parametrize(
    "change",
    [
        {"ball": "delayed dead"},
        {"batter": "warned"},
        {"runners": "stay"},
        {"count": "strike"},
        {"out": ["runner touched"]},
        {"may-take-play": True},
    ],
    ids=str,
)
def test_each_part_of_an_effect_tells_rulings_apart(change: dict[str, object]) -> None:
    assert sign_effect(ruling(**change)) != sign_effect(ruling())
    assert sign_effect(ruling(headline="Otherwise", say=["Foul!"])) == sign_effect(ruling())


@pytest.mark.parametrize(
    ("change", "hint"),
    [
        ({"runners": "at own risk"}, "the ball is live or delayed dead then"),
        ({"batter": "runs", "count": "at-bat over"}, "the ball is live or delayed dead then"),
        ({"ball": "live", "runners": "stay"}, "the ball is dead or delayed dead then"),
        ({"batter": "out", "count": "strike"}, "write at-bat over"),
        ({"count": "at-bat over"}, "the batter is 'out', 'first base' or 'runs' then"),
    ],
)
def test_effects_that_contradict_each_other_are_refused(change: dict[str, object], hint: str) -> None:
    with pytest.raises(ValidationError) as caught:
        ruling(**change)
    (error,) = caught.value.errors()
    assert error["type"] == "ruling-contradiction"
    assert error["ctx"]["hint"] == hint
