"""The swing that carries round to the catcher: HS 7-3-5c, PRO 6.03(a)(4), COL 6-2-d, YTH by the professional comment.

Read: the high-school interpretations of 2014 on 7-3-5c; the comment on OBR 6.03(a)(3) and (4); COL 6-2-d of 2019-20,
and a forum (thread 33753) on a swing that meets the throw; thread 219573 on what youth umpires go by.
"""

from __future__ import annotations

import pytest
from ruling_expectations import CODES, COL, HS, PRO, YTH, Check, Expectation, checks_of

SUBJECT = "follow-through"

HS_BOOK, HS_INT = "hs-book 7-3-5", "hs-interpretations 2014-7-3-5c"
PRO_BOOK, COL_BOOK, YTH_BOOK = "pro-book 6.03(a)(4)", "college-book 6-2-d", "youth-book 6.06(c)"
SAFE, THREE, NOT_THREE = "runner=safe", "strike-three=yes", "strike-three=no"

EXPECTATIONS = (
    # HS, nobody going, bases empty in the interpretation: nothing. On strike three the strike is the out.
    Expectation(HS, f"runner=none {NOT_THREE}", "nothing", HS_INT, "in text"),
    Expectation(HS, f"runner=none {THREE}", "strike", HS_BOOK, "inferred"),
    # HS, a runner going: interference, the batter out; not if the runner is out all the same.
    Expectation(HS, "runner=out", "ignored", HS_BOOK, "in text"),
    # Another runner scored meanwhile: disputed in HS (thread 89294), as after any act of the batter.
    Expectation(HS, "runner=scored", "run-open", HS_BOOK, "inferred", unsettled=True),
    Expectation(HS, f"{SAFE} {NOT_THREE} home=no", "batter-out", HS_BOOK, "in text"),
    # HS, stealing home: the runner out with one out, the batter with two.
    Expectation(HS, f"{SAFE} {NOT_THREE} home=yes two-outs=no", "runner-out", HS_INT, "in text"),
    Expectation(HS, f"{SAFE} {NOT_THREE} home=yes two-outs=yes", "batter-out", HS_INT, "in text"),
    # HS, strike three: the runner half-way, both are out; sliding in already, the runner goes back.
    Expectation(HS, f"{SAFE} {THREE} double-play=yes", "both-out", HS_INT, "in text"),
    Expectation(HS, f"{SAFE} {THREE} double-play=no", "batter-out", HS_INT, "in text"),
    # PRO: a strike, dead, nobody moves; the out on a first throw stands.
    *(
        Expectation(PRO, f"throwing=no runner={who}", "strike", PRO_BOOK, "in text")
        for who in ("none", "out", "scored", "safe")
    ),
    Expectation(PRO, f"throwing=yes {SAFE}", "strike", PRO_BOOK, "in text"),
    Expectation(PRO, "throwing=yes runner=out", "ignored", PRO_BOOK, "in text"),
    # COL: the same while the ball is not held; for a throw one source, which says nothing of a runner put out.
    Expectation(COL, f"throwing=no {SAFE}", "strike", COL_BOOK, "in text"),
    Expectation(COL, f"throwing=yes {SAFE}", "strike", COL_BOOK, "secondary"),
    Expectation(COL, "throwing=yes runner=out", "open", COL_BOOK, "inferred", unsettled=True),
    # YTH: no text.
    Expectation(YTH, f"throwing=no {SAFE}", "strike", YTH_BOOK, "common practice"),
    Expectation(YTH, f"throwing=yes {SAFE}", "strike", YTH_BOOK, "from memory"),
    Expectation(YTH, "throwing=yes runner=out", "ignored", YTH_BOOK, "from memory"),
)

EFFECTS = {
    **{(code, "strike"): "dead back strike" for code in CODES},
    **{(code, "ignored"): "live strike runner played on" for code in (HS, PRO, YTH)},
    (COL, "open"): "dead strike",
    (HS, "run-open"): "live strike",
    (HS, "nothing"): "live strike on the pitch",
    (HS, "batter-out"): "dead out back",
    (HS, "both-out"): "dead out back runner played on",
    (HS, "runner-out"): "dead back strike runner from third",
}


@pytest.mark.parametrize("check", checks_of(SUBJECT, CODES, EXPECTATIONS, EFFECTS))
def test_a_swing_that_carries_round_is_ruled_on_as_the_books_say(check: Check) -> None:
    check()
