"""Next states held against the scoring rules: a half-inning that proves, and plays that rule books describe.

OBR 9.03(c), from memory: a box score proves if times at bat, walks, hit batters, sacrifices and batters awarded
first base by interference or obstruction are as many as runs, players left on base and putouts of the other team.
Every plate appearance that ends is one of the former.
"""

from __future__ import annotations

from dataclasses import dataclass

import pytest
from hypothesis import given
from hypothesis import strategies as st
from ruling_samples import make_ruling, stand

from pocketref.rulings.next_state import Fate, NextState, find_next_states
from pocketref.source.ruling_models import RulingModel
from pocketref.source.situation_models import BASES, SituationModel

DEAD = {"ball": "dead", "batter": "bats on", "runners": "return"}
FOUL = make_ruling(**DEAD, count="foul")
STRIKE = make_ruling(**DEAD, count="strike")
BALL = make_ruling(**DEAD, count="ball")
OUT = make_ruling(ball="dead", batter="out", runners="return", count="at-bat over")
HIT_BY_PITCH = make_ruling(ball="dead", batter="first base", runners="forced", count="at-bat over")
BALK = make_ruling(ball="dead", batter="bats on", runners="one base", count="no change")
DOUBLE_OUT = make_ruling(
    ball="dead", batter="out", runners="return", count="at-bat over", out=["runner nearest home"]
)


@dataclass
class HalfInning:
    """Tallied as a scorer does, from the states alone."""

    situation: SituationModel
    appearances: int = 0
    runs: int = 0
    left: int = 0

    @property
    def outs(self) -> int:
        return self.situation.outs if not self.is_over else 3

    is_over: bool = False

    def rule(self, ruling: RulingModel) -> NextState:
        """One ruling; the game stands where it leads."""
        (state,) = find_next_states(self.situation, ruling)
        held = len(self.situation.runners)
        self.appearances += state.batter.fate is not Fate.BATS
        self.runs += state.runs
        if state.is_side_retired:
            batter_out = state.batter.fate is Fate.OUT
            self.is_over, self.left = True, held - (3 - self.situation.outs - batter_out)
            return state
        players = (state.batter, *state.runners.values())
        on = [each.base for each in players if each.fate not in (Fate.OUT, Fate.BATS)]
        self.situation = SituationModel(
            runners=tuple(base for base in BASES if base in on), outs=state.outs, count=state.count
        )
        return state

    @property
    def proves(self) -> bool:
        """Whether the score is in balance; those on base count as left."""
        left = self.left if self.is_over else len(self.situation.runners)
        return self.appearances == self.runs + left + self.outs


def test_a_half_inning_told_ruling_by_ruling_gives_its_line_score_and_proves() -> None:
    inning = HalfInning(stand("", 0, "0-0"))
    walk = [BALL, STRIKE, BALL, FOUL, FOUL, BALL, BALL]
    whiff = [STRIKE, FOUL, FOUL, STRIKE]
    for ruling in [*walk, HIT_BY_PITCH, OUT, HIT_BY_PITCH, *walk, BALK, *whiff, FOUL, OUT]:
        assert not inning.is_over
        inning.rule(ruling)
    assert inning.is_over
    # Seven came to bat: walk, hit batter, out, hit batter, walk (one run), balk (one run), strikeout, out.
    assert (inning.appearances, inning.runs, inning.left) == (7, 2, 2)
    assert inning.proves


@given(st.lists(st.sampled_from([FOUL, STRIKE, BALL, OUT, HIT_BY_PITCH, BALK, DOUBLE_OUT]), max_size=60))
def test_every_half_inning_proves_after_every_ruling(rulings: list[RulingModel]) -> None:
    inning = HalfInning(stand("", 0, "0-0"))
    for ruling in rulings:
        if ruling.out and not inning.situation.runners:
            continue
        inning.rule(ruling)
        assert inning.proves
        if inning.is_over:
            return


AWARDED = {"ball": "dead", "batter": "first base", "runners": "forced", "count": "at-bat over"}


@pytest.mark.parametrize(
    ("runners", "moved", "runs"),
    [
        # OBR 5.06(c)(1), COL 6-4-c: only runners who are forced move when a pitch touches the batter.
        ("", {}, 0),
        ("first", {"first": "second"}, 0),
        ("second", {"second": "second"}, 0),
        ("first third", {"first": "second", "third": "third"}, 0),
        ("second third", {"second": "second", "third": "third"}, 0),
        ("first second third", {"first": "second", "second": "third", "third": "home"}, 1),
    ],
)
def test_a_hit_batter_moves_only_those_whose_bases_are_wanted(
    runners: str, moved: dict[str, str], runs: int
) -> None:
    (state,) = find_next_states(stand(runners, 1, "2-2"), make_ruling(**AWARDED))
    assert {base: each.base for base, each in state.runners.items()} == moved
    assert (state.batter.base, state.runs, state.outs) == ("first", runs, 1)


def test_a_swing_at_a_pitch_that_touches_the_batter_is_the_third_out_and_no_run() -> None:
    # HS 5-1-1a, OBR 5.09(a)(6): runner on second, two outs, two strikes; he crosses the plate, and it does not count.
    (state,) = find_next_states(stand("second", 2, "1-2"), STRIKE)
    assert (state.is_side_retired, state.runs, state.runners) == (True, 0, {})


def test_the_runner_coming_home_is_out_instead_of_the_batter_who_hinders() -> None:
    # HS 7-3-5, OBR 5.09(b)(8), COL 7-11-f(1): with fewer than two outs, and the batter is still at bat.
    (state,) = find_next_states(
        stand("third", 1, "0-1"), make_ruling(**DEAD, count="strike", out=["runner from third"])
    )
    assert (state.outs, state.count, state.batter.fate) == (2, "0-2", Fate.BATS)
    assert state.runners["third"].fate is Fate.OUT


@pytest.mark.parametrize(("count", "after"), [("0-0", "0-2"), ("2-1", "0-0"), ("1-2", "0-0")])
def test_leaving_with_both_feet_as_the_pitch_comes_is_two_strikes_and_never_four(
    count: str, after: str
) -> None:
    # HS 6-2-4d(1), case 6.2.4 I: one strike on the pitch, one for leaving; the ball is live.
    two = make_ruling(ball="live", batter="bats on", runners="at own risk", count="two strikes")
    states = find_next_states(stand("first", 0, count), two)
    assert [state.count for state in states] == [after]
    assert states[0].outs == (after == "0-0")
