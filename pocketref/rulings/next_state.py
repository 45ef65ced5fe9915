"""What a ruling makes of the game: count, outs, batter and each runner, as far as the ruling settles them.

A pitch that the ruling leaves to be called, and a third strike that may go uncaught, make several next states,
each with when it comes about. The batter may run on an uncaught third strike with first base empty or two outs
(OBR 5.05(a)(2); HS 8-1-1b; COL 8-2-c), and a batter who is awarded first base forces only the runners on the
bases in a row behind it (OBR 5.06(b)(3)(B), from memory).
"""

from __future__ import annotations

from collections.abc import Mapping, Sequence
from dataclasses import dataclass, replace
from enum import StrEnum
from itertools import takewhile

from pocketref.problems import refusal
from pocketref.source.ruling_models import Ball, Batter, Count, RulingModel, RunnerOut, Runners
from pocketref.source.situation_models import (
    BASES,
    MOST_BALLS,
    MOST_STRIKES,
    PITCHES,
    Pitch,
    SituationModel,
)
from pocketref.words.terminal import tell, tell_list

HOME = "home"
SIDE_OUT = 3
NEW_COUNT = "0-0"

_NEXT_BASE: Mapping[str, str] = {"first": "second", "second": "third", "third": HOME}


class Fate(StrEnum):
    """What becomes of a batter or runner."""

    BATS = "bats"
    OUT = "out"
    STAYS = "stays"
    RETURNS = "returns"
    """To the base held at the pitch."""
    ADVANCES = "advances"
    """To `base`, by right."""
    IF_GOING = "if going"
    """To `base` if going with the pitch; back otherwise."""
    TO_TOUCHED = "to last touched"
    MAY_RUN = "may run"
    """A batter after a third strike that is not caught."""
    AT_RISK = "at risk"
    """Live: may advance, and be put out."""
    AS_RULED = "as ruled"
    LEAGUE = "league"


@dataclass(frozen=True, slots=True)
class Next:
    """What becomes of one player, and the base where that is settled ("home" scores).

    One who is meant by a word of `unless` is out instead.
    """

    fate: Fate
    base: str = ""
    unless: tuple[RunnerOut, ...] = ()


@dataclass(frozen=True, slots=True)
class NextState:
    """Where the game stands after a ruling. With three outs the side is retired, and nobody is on base."""

    when: str
    """What brings it about, such as "a ball"; empty if nothing else can."""
    outs: int
    """Three at most; those that the ruling settles."""
    count: str
    """On the batter, or on the next one (0-0); empty while the ball or the league decides."""
    batter: Next
    runners: Mapping[str, Next]
    """By the base held at the pitch, from third to first."""
    may_take_play: bool = False

    @property
    def is_side_retired(self) -> bool:
        """Whether it is the third out."""
        return self.outs == SIDE_OUT

    @property
    def runs(self) -> int:
        """Runs that score by award."""
        return sum(each == Next(Fate.ADVANCES, HOME) for each in self.runners.values())


def find_next_states(
    situation: SituationModel, ruling: RulingModel, pitch: Pitch | None = None
) -> tuple[NextState, ...]:
    """Every state that a ruling may lead to from a situation, with when; one, if ruling and pitch settle it.

    Raises PocketrefError: "runner-missing" if it puts out a runner and there is none who could be meant,
    "pitch-impossible" if it can't be made on such a pitch.
    """
    missing = find_missing_runner(situation, ruling)
    if missing:
        sentence = tell(
            "'{headline}' puts out a {missing}, and there is none", headline=ruling.headline, missing=missing
        )
        raise refusal("runner-missing", sentence, tell("put the runner on base"))
    ways = _list_ways(situation, ruling)
    told = [way for way in ways if (pitch in way.pitches if pitch else way.pitches != ("none",))]
    if not told:
        hint = tell(
            "write {pitches}, or leave it out",
            pitches=tell_list(dict.fromkeys(each for way in ways for each in way.pitches), is_or=True),
        )
        sentence = tell(
            "'{headline}' is no ruling on a pitch with 'pitch: {pitch}'",
            headline=ruling.headline,
            pitch=pitch,
        )
        raise refusal("pitch-impossible", sentence, hint)
    states = [_apply(situation, ruling, way) for way in told]
    return (replace(states[0], when=""),) if len(states) == 1 else tuple(states)


def find_missing_runner(situation: SituationModel, ruling: RulingModel) -> RunnerOut | None:
    """A runner whom the ruling puts out and who is on no base; None if there is nobody missing."""
    if RunnerOut.FROM_THIRD in ruling.out and "third" not in situation.runners:
        return RunnerOut.FROM_THIRD
    return ruling.out[0] if len(set(ruling.out)) > len(situation.runners) else None


def may_run_uncaught(situation: SituationModel) -> bool:
    """Whether the batter may run on a third strike that is not caught."""
    return "first" not in situation.runners or situation.outs == SIDE_OUT - 1


@dataclass(frozen=True, slots=True)
class _Way:
    """A way that the at-bat may go: when, what its strikes and balls come to, on which pitches."""

    when: str
    strikes: int
    balls: int
    may_run: bool = False
    is_hit: bool = False
    pitches: tuple[Pitch, ...] = PITCHES


def _list_ways(situation: SituationModel, ruling: RulingModel) -> list[_Way]:
    strikes, balls, count = situation.strikes, situation.balls, ruling.count
    if count in (Count.AS_PITCHED, Count.AS_CALLED):
        ball = "ball four" if balls == MOST_BALLS else "a ball"
        strike = "strike three" if strikes == MOST_STRIKES else "a strike"
        ways = [_Way(ball, strikes, balls + 1, pitches=("ball",))]
        ways += _list_strikes(situation, ruling, strikes + 1, strike, ("strike",))
        is_live_pitch = count is Count.AS_PITCHED and ruling.ball is Ball.LIVE
        ways += [_Way("a hit", strikes, balls, is_hit=True, pitches=("hit",))] if is_live_pitch else []
        return [*ways, _Way("no pitch", strikes, balls, pitches=("none",))] if is_live_pitch else ways
    if count is Count.PITCHED_STRIKE:
        return _list_strikes(situation, ruling, strikes + 1)
    if count is Count.TWO_STRIKES:
        return _list_strikes(situation, ruling, min(strikes + 2, MOST_STRIKES + 1))
    if count is Count.FOUL:
        return [_Way("", min(strikes + 1, MOST_STRIKES), balls)]
    return [_Way("", strikes + (count is Count.STRIKE), balls + (count is Count.BALL))]


def _list_strikes(
    situation: SituationModel,
    ruling: RulingModel,
    strikes: int,
    when: str = "",
    caught: tuple[Pitch, ...] = ("strike", "ball"),
) -> list[_Way]:
    """A strike on a pitch: if it is the third of a live ball, it may be caught or not."""
    if not (strikes > MOST_STRIKES and ruling.ball is Ball.LIVE and may_run_uncaught(situation)):
        return [_Way(when, strikes, situation.balls, pitches=(*caught, "uncaught strike"))]
    return [
        _Way("strike three, caught", strikes, situation.balls, pitches=caught),
        _Way("strike three, not caught", strikes, situation.balls, True, pitches=("uncaught strike",)),
    ]


def _apply(situation: SituationModel, ruling: RulingModel, way: _Way) -> NextState:
    if way.is_hit:
        hit = {"batter": Batter.AS_RULED, "runners": Runners.AS_RULED, "count": Count.AS_RULED}
        ruling = ruling.model_copy(update=hit)
    batter = _find_batter(ruling, way)
    count = f"{way.balls}-{way.strikes}" if batter.fate is Fate.BATS else NEW_COUNT
    if batter.fate in (Fate.AS_RULED, Fate.LEAGUE) or ruling.count in (Count.AS_RULED, Count.LEAGUE):
        count = ""
    is_batter_out = batter.fate is Fate.OUT
    left = SIDE_OUT - situation.outs - is_batter_out
    out = tuple(dict.fromkeys(ruling.out))[: max(left, 0)]
    outs = min(situation.outs + is_batter_out + len(out), SIDE_OUT)
    if outs == SIDE_OUT:
        return NextState(way.when, outs, NEW_COUNT, batter, {}, ruling.may_take_play)
    runners = _put_out(_move_runners(situation, ruling, batter), out)
    return NextState(way.when, outs, count, batter, runners, ruling.may_take_play)


def _find_batter(ruling: RulingModel, way: _Way) -> Next:
    """The batter, by the ruling or by the count."""
    match ruling.batter:
        case Batter.OUT | Batter.OUT_ON_APPEAL:
            return Next(Fate.OUT)
        case Batter.FIRST_BASE:
            return Next(Fate.ADVANCES, "first")
        case Batter.RUNS:
            return Next(Fate.AT_RISK)
        case Batter.AS_RULED:
            return Next(Fate.AS_RULED)
        case Batter.LEAGUE:
            return Next(Fate.LEAGUE)
        case Batter.BATS_ON | Batter.WARNED | Batter.MAY_BE_EJECTED:
            if way.strikes > MOST_STRIKES:
                return Next(Fate.MAY_RUN) if way.may_run else Next(Fate.OUT)
            return Next(Fate.ADVANCES, "first") if way.balls > MOST_BALLS else Next(Fate.BATS)


def _move_runners(situation: SituationModel, ruling: RulingModel, batter: Next) -> dict[str, Next]:
    """Each runner by the ruling, from third to first; a batter on first forces those behind whom no base is empty."""
    in_a_row = takewhile(lambda base: base in situation.runners, BASES)
    forced = set(in_a_row) if batter.base == "first" else set()
    moved: dict[str, Next] = {}
    for base in reversed(BASES):
        if base in situation.runners:
            onward = Next(Fate.ADVANCES, _NEXT_BASE[base])
            moved[base] = onward if base in forced else _move_runner(base, ruling.runners)
    return moved


def _move_runner(base: str, code: Runners) -> Next:
    match code:
        case Runners.STAY:
            return Next(Fate.STAYS, base)
        case Runners.RETURN | Runners.FORCED:
            return Next(Fate.RETURNS, base)
        case Runners.ONE_BASE:
            return Next(Fate.ADVANCES, _NEXT_BASE[base])
        case Runners.THIRD_SCORES if base == "third":
            return Next(Fate.ADVANCES, HOME)
        case Runners.FORCED_OR_GOING | Runners.THIRD_SCORES:
            return Next(Fate.IF_GOING, _NEXT_BASE[base])
        case Runners.RETURN_TO_TOUCHED:
            return Next(Fate.TO_TOUCHED)
        case Runners.AT_OWN_RISK:
            return Next(Fate.AT_RISK)
        case Runners.AS_RULED:
            return Next(Fate.AS_RULED)
        case Runners.LEAGUE:
            return Next(Fate.LEAGUE)


def _put_out(runners: Mapping[str, Next], out: Sequence[RunnerOut]) -> dict[str, Next]:
    """The runners with those put out; where more could be meant than are out, each `unless` it is the one."""
    moved = dict(runners)
    meant = []
    for each in out:
        if each is RunnerOut.FROM_THIRD:
            moved["third"] = Next(Fate.OUT)
        else:
            meant.append(each)
    if RunnerOut.NEAREST_HOME in meant:
        meant.remove(RunnerOut.NEAREST_HOME)
        moved[next(base for base, each in moved.items() if each.fate is not Fate.OUT)] = Next(Fate.OUT)
    on = [base for base, each in moved.items() if each.fate is not Fate.OUT]
    for base in on if meant else ():
        moved[base] = Next(Fate.OUT) if len(on) == len(meant) else replace(moved[base], unless=tuple(meant))
    return moved
