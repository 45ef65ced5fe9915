"""Line scores of invented innings, kept as a scorer does from the next states alone, and the rule that they prove.

OBR 9.03(c), from memory, and common scoring practice: a box score proves if times at bat, walks, hit batters,
sacrifices and batters awarded first base by interference or obstruction are as many as runs, players left on base
and putouts of the other team. Every plate appearance that ends is one of the former.
"""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass

import pytest
from hypothesis import given
from hypothesis import strategies as st
from ruling_expectations import HS, content_library, content_table
from ruling_samples import make_ruling, stand

from pocketref.rulings.next_state import Fate, NextState, find_next_states
from pocketref.rulings.situation import add_situation
from pocketref.rulings.table import decide, read_ending
from pocketref.source.ruling_models import RulingModel
from pocketref.source.situation_models import BASES, Pitch, SituationModel

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
    """Tallied as a scorer does; a runner who may advance on a live ball holds."""

    situation: SituationModel
    appearances: int = 0
    runs: int = 0
    left: int = 0
    is_over: bool = False

    @property
    def outs(self) -> int:
        return 3 if self.is_over else self.situation.outs

    def rule(self, ruling: RulingModel, pitch: Pitch | None = None) -> NextState:
        """One ruling; the game stands where it leads."""
        (state,) = find_next_states(self.situation, ruling, pitch)
        held = len(self.situation.runners)
        self.appearances += state.batter.fate is not Fate.BATS
        self.runs += state.runs
        if state.is_side_retired:
            batter_out = state.batter.fate is Fate.OUT
            self.is_over, self.left = True, held - (3 - self.situation.outs - batter_out)
            return state
        assert state.batter.fate in (Fate.OUT, Fate.BATS, Fate.ADVANCES)
        on = [state.batter.base] if state.batter.fate is Fate.ADVANCES else []
        on += [each.base or base for base, each in state.runners.items() if each.fate is not Fate.OUT]
        self.situation = SituationModel(
            runners=tuple(base for base in BASES if base in on), outs=state.outs, count=state.count
        )
        return state

    @property
    def line(self) -> tuple[int, int, int]:
        """Plate appearances, runs, left on base; those on base count as left."""
        left = self.left if self.is_over else len(self.situation.runners)
        return self.appearances, self.runs, left

    @property
    def proves(self) -> bool:
        """Whether the score is in balance."""
        appearances, runs, left = self.line
        return appearances == runs + left + self.outs


def test_a_half_inning_told_ruling_by_ruling_gives_its_line_score_and_proves() -> None:
    inning = HalfInning(stand("", 0, "0-0"))
    walk = [BALL, STRIKE, BALL, FOUL, FOUL, BALL, BALL]
    whiff = [STRIKE, FOUL, FOUL, STRIKE]
    for ruling in [*walk, HIT_BY_PITCH, OUT, HIT_BY_PITCH, *walk, BALK, *whiff, FOUL, OUT]:
        assert not inning.is_over
        inning.rule(ruling)
    assert inning.is_over
    # Seven came to bat: walk, hit batter, out, hit batter, walk (one run), balk (one run), strikeout, out.
    assert inning.line == (7, 2, 2)
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


@dataclass(frozen=True, slots=True)
class Told:
    """What happened, in a subject's facts, and what a scorer's sheet has after it: runners, outs, count, runs."""

    subject: str
    facts: str
    after: tuple[str, int, str, int]
    pitch: Pitch | None = None


STAYS = "refuses=no left=stayed"
HIT = "bat-first=no strike=no in-box=yes batter=tried"
SWUNG = "bat-first=no strike=yes"
OWN_FOUL = "on-purpose=no foot-out=no"
OWN_OUT = "on-purpose=no foot-out=yes fair-ground=yes"
TIPPED = "started=yes swing=ordinary squeeze=no hit=no"
GONE = "refuses=no left=late both-feet=yes pitched=yes"

VISITORS = (
    Told("hit-by-pitch", HIT, ("first", 0, "0-0", 0)),  # 1: hit batter
    Told("own-ball", OWN_FOUL, ("first", 0, "0-1", 0)),
    Told("leaving", GONE, ("first", 1, "0-0", 0), "ball"),  # 2: two strikes are one too many: strikeout
    Told("obstructs-batter", TIPPED, ("first second", 1, "0-0", 0)),  # 3: obstruction
    Told("hit-by-pitch", HIT, ("first second third", 1, "0-0", 0)),  # 4: hit batter, bases full
    Told("leaving", STAYS, ("first second third", 1, "1-0", 0), "ball"),
    Told("leaving", STAYS, ("first second third", 1, "2-0", 0), "ball"),
    Told("leaving", STAYS, ("first second third", 1, "3-0", 0), "ball"),
    Told("leaving", STAYS, ("first second third", 1, "0-0", 1), "ball"),  # 5: walk, a run forced in
    Told("infield-fly", "easy=yes fair=yes called=yes", ("first second third", 2, "0-0", 1)),  # 6: out
    Told("own-ball", OWN_OUT, ("", 3, "0-0", 1)),  # 7: out; three left
)
HOME = (
    Told("obstructs-batter", TIPPED, ("first", 0, "0-0", 0)),  # 1: obstruction
    Told("hit-by-pitch", HIT, ("first second", 0, "0-0", 0)),  # 2: hit batter
    Told("double-base", "clash=fielder", ("first second third", 0, "0-0", 0)),  # 3: obstruction at first
    Told(
        "obstructs-batter", TIPPED.replace("squeeze=no", "squeeze=yes"), ("first second third", 0, "0-0", 1)
    ),  # 4
    Told("hit-by-pitch", SWUNG, ("first second third", 0, "0-1", 1)),
    Told("hit-by-pitch", SWUNG, ("first second third", 0, "0-2", 1)),
    Told("own-ball", OWN_FOUL, ("first second third", 0, "0-2", 1)),  # a foul is no third strike
    Told("hit-by-pitch", SWUNG, ("first second third", 1, "0-0", 1)),  # 5: struck out on a pitch that hit him
    Told("hit-by-pitch", HIT, ("first second third", 1, "0-0", 2)),  # 6: hit batter, a run forced in
    Told(
        "hinders-catcher", "retired=no how=moved pitch=other home=yes", ("first second", 2, "1-0", 2), "ball"
    ),
    Told("second-touch", "on-purpose=yes fair-ground=yes", ("", 3, "0-0", 2)),  # 7: out; two left
)


@pytest.mark.parametrize(
    ("told", "line"), [(VISITORS, (7, 1, 3)), (HOME, (7, 2, 2))], ids=["visitors", "home"]
)
def test_an_inning_ruled_play_by_play_by_the_tables_gives_the_line_score_kept_by_hand(
    told: Sequence[Told], line: tuple[int, int, int]
) -> None:
    inning = HalfInning(stand("", 0, "0-0"))
    for play in told:
        table, model = content_table(HS, play.subject)
        facts = dict(pair.split("=") for pair in play.facts.split())
        answers = add_situation(content_library().subjects[play.subject], facts, [inning.situation])
        name, is_open = read_ending(decide(table, answers).ending)
        assert not is_open
        state = inning.rule(model.rulings[name], play.pitch)
        now = inning.situation
        held = "" if inning.is_over else " ".join(now.runners)
        assert (held, inning.outs, state.count, inning.runs) == play.after
        assert inning.proves
    assert inning.is_over
    assert inning.line == line
