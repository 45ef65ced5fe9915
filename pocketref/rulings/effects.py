"""What a ruling does, in words: batter, runners and count, in full for a key and in brief for a chart."""

from __future__ import annotations

from collections.abc import Hashable, Mapping
from dataclasses import dataclass

from pocketref.source.ruling_models import Ball, Batter, Count, RulingModel, RunnerOut, Runners
from pocketref.words.speech import join_words, say

BY_LEAGUE = "by the league\u2019s rule"
_AS_RULED = "as the ball is ruled"
_AS_CALLED = "as the pitch is called"
_AS_PITCHED = "as pitched"
_FORCED_OR_GOING = "one base if forced or going with the pitch, else back to the base held at the pitch"
_THIRD_SCORES = "the runner from third scores; the others one base if forced or going, else back"


@dataclass(frozen=True, slots=True)
class Words:
    """The same in full and in the few words that a chart has room for."""

    full: str
    brief: str


def _same(words: str) -> Words:
    return Words(words, words)


_BATTER: Mapping[Batter, Words] = {
    Batter.OUT: _same("out"),
    Batter.OUT_ON_APPEAL: _same("out on appeal"),
    Batter.FIRST_BASE: Words("awarded first base", "first base"),
    Batter.RUNS: _same("runs"),
    Batter.AS_RULED: _same(_AS_RULED),
    Batter.WARNED: Words("warned, bats on", "warned"),
    Batter.MAY_BE_EJECTED: _same("may be ejected"),
    Batter.LEAGUE: _same(BY_LEAGUE),
}
_AT_BAT: Mapping[Count, Words] = {
    Count.AS_CALLED: _same(_AS_CALLED),
    Count.AS_PITCHED: _same(_AS_PITCHED),
    Count.AS_RULED: _same(_AS_RULED),
    Count.STRIKE: Words("strike; out on the third", "strike"),
    Count.PITCHED_STRIKE: Words("strike; a third may go uncaught", "strike on the pitch"),
    Count.TWO_STRIKES: Words("two strikes; a third may go uncaught", "two strikes"),
    Count.BALL: Words("ball; first base on the fourth", "ball"),
    Count.FOUL: Words("bats on; a strike if under two", "strike if under two"),
    Count.NO_CHANGE: _same("bats on"),
    Count.LEAGUE: _same(BY_LEAGUE),
}
"""What becomes of a batter who bats on, by what the count does."""
_NOT_LIVE: Mapping[Count, Words] = {
    Count.PITCHED_STRIKE: Words("strike; out on the third", "strike on the pitch"),
    Count.TWO_STRIKES: Words("two strikes; out on the third", "two strikes"),
}
"""The same where the ball is not live: then a third strike can't go uncaught."""
_RUNNERS: Mapping[Runners, Words] = {
    Runners.AS_RULED: _same(_AS_RULED),
    Runners.AT_OWN_RISK: _same("may advance"),
    Runners.STAY: _same("stay"),
    Runners.RETURN: Words("back to the base held at the pitch", "back"),
    Runners.RETURN_TO_TOUCHED: Words("back to the base last touched", "back"),
    Runners.FORCED: Words("one base if forced, else back to the base held at the pitch", "only if forced"),
    Runners.FORCED_OR_GOING: Words(_FORCED_OR_GOING, "if forced or going"),
    Runners.THIRD_SCORES: Words(_THIRD_SCORES, "third scores"),
    Runners.ONE_BASE: _same("one base each"),
    Runners.LEAGUE: _same(BY_LEAGUE),
}
GOES_ON = (_AS_RULED, _AS_CALLED, _AS_PITCHED, "bats on")
"""What is said of a batter of whom the ruling itself makes nothing."""
_COUNT: Mapping[Count, str] = {
    Count.AS_CALLED: _AS_CALLED,
    Count.AS_PITCHED: _AS_PITCHED,
    Count.AS_RULED: _AS_RULED,
    Count.STRIKE: "add a strike",
    Count.PITCHED_STRIKE: "add a strike, whatever the pitch",
    Count.TWO_STRIKES: "add two strikes",
    Count.BALL: "add a ball",
    Count.FOUL: "add a strike if under two",
    Count.NO_CHANGE: "no change",
    Count.OVER: "at-bat over",
    Count.LEAGUE: BY_LEAGUE,
}


def write_batter(ruling: RulingModel) -> Words:
    """What becomes of the batter."""
    at_bat = _AT_BAT if ruling.ball is Ball.LIVE else {**_AT_BAT, **_NOT_LIVE}
    words = at_bat[ruling.count] if ruling.batter is Batter.BATS_ON else _BATTER[ruling.batter]
    full, brief = say(words.full), say(words.brief)
    return Words(say("{what}, unless the play is taken", what=full) if ruling.may_take_play else full, brief)


def write_runners(ruling: RulingModel) -> Words:
    """What becomes of the runners, those who are out by the ruling first."""
    words = _RUNNERS[ruling.runners]
    full, brief = say(words.full), say(words.brief)
    if not ruling.out:
        return Words(full, brief)
    out = [say(each) for each in ruling.out]
    return Words(
        say("{who} out; the others {what}", who=join_words(out), what=full), say("{who} out", who=out[0])
    )


def write_count_effect(ruling: RulingModel) -> str:
    """What becomes of the count."""
    return say(_COUNT[ruling.count])


def write_effect(ruling: RulingModel) -> str:
    """All of it in a line."""
    return say(
        "Ball: {ball}. Batter: {batter}. Runners: {runners}. Count: {count}.",
        ball=say(ruling.ball),
        batter=write_batter(ruling).full,
        runners=write_runners(ruling).full,
        count=write_count_effect(ruling),
    )


def list_effect_words() -> list[str]:
    """What is looked up of what is said here."""
    full = (*_BATTER.values(), *_AT_BAT.values(), *_NOT_LIVE.values(), *_RUNNERS.values())
    return [
        *Ball,
        *RunnerOut,
        *(text for words in full for text in (words.brief, words.full)),
        *_COUNT.values(),
    ]


def sign_effect(ruling: RulingModel) -> tuple[Hashable, ...]:
    """What a ruling comes to: equal for rulings of different codes that are the same in effect."""
    parts = (ruling.ball, ruling.batter, ruling.runners, ruling.count)
    return *parts, tuple(sorted(set(ruling.out))), ruling.may_take_play
