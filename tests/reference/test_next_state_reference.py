"""Next states held against the scoring rules: plays that rule books describe."""

from __future__ import annotations

import pytest
from ruling_samples import make_ruling, stand

from pocketref.rulings.next_state import Fate, find_next_states

DEAD = {"ball": "dead", "batter": "bats on", "runners": "return"}
STRIKE = make_ruling(**DEAD, count="strike")
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
