"""Bat and ball meet again against the rule books: HS 8-4-1d, PRO 5.09(a)(8), COL 7-11-m, YTH 6.05(g), 7.09(b).

Read: HS 8-4-1d in the words of a member of its rules committee; PRO; COL 7-7-e; YTH 7.09(b). The rest of COL by a
digest of 2005 and quotations of 2005-06, the rest of YTH by the 2025 book of a sister league with its numbers.
"""

from __future__ import annotations

import pytest
from ruling_expectations import CODES, COL, HS, PRO, YTH, Check, Expectation, checks_of

SUBJECT = "second-touch"

IN_BOX = "on-purpose=no in-box=yes"
MEANT = "on-purpose=yes"
FAIR = "on-purpose=no in-box=no fair-ground=yes"
FOUL = "on-purpose=no in-box=no fair-ground=no"
OVER_FAIR = "fair-ground=yes could-be-fair=yes still-moving=yes"
MAY_TURN = "fair-ground=no could-be-fair=yes still-moving=yes"
NO_CHANCE = "fair-ground=no could-be-fair=no still-moving=yes"
AT_REST = "fair-ground=no could-be-fair=no still-moving=no"
HAND, MOVING = "bat-still=no let-go=no", "bat-still=no let-go=yes"
STILL = "bat-still=yes"  # lying still, or only a broken piece
HS_CASES = "hs-cases 2.16.1-B"

EXPECTATIONS = (
    # 1. In the box, bat in hand, by accident: foul, over fair or foul ground. HS 8-4-1d(2) names it;
    # YTH by the casebook for its umpires, p. 33, as quoted.
    Expectation(HS, IN_BOX, "foul", "hs-book 8-4-1d", "in text"),
    Expectation(PRO, IN_BOX, "foul", "pro-book 5.09(a)(8)", "in text"),
    Expectation(COL, IN_BOX, "foul", "college-book 7-7-e", "in text"),
    Expectation(YTH, IN_BOX, "foul", "youth-cases p-33", "secondary"),
    # 2. In the box, on purpose: out.
    Expectation(HS, f"{MEANT} in-box=yes {OVER_FAIR} {HAND}", "interference", "hs-book 8-4-1d", "in text"),
    Expectation(
        PRO, f"{MEANT} in-box=yes {OVER_FAIR} {HAND}", "interference", "pro-book 5.09(a)(8)", "in text"
    ),
    Expectation(COL, f"{MEANT} in-box=yes {OVER_FAIR}", "interference", "college-book 7-11-m", "secondary"),
    Expectation(
        YTH, f"{MEANT} in-box=yes {OVER_FAIR} {HAND}", "interference", "youth-book 6.05(g)", "secondary"
    ),
    # 3. Out of the box, bat in hand, fair, by accident: HS live by the text, out by a rules column (12 Jul 2018),
    # and so unsettled; the others out.
    Expectation(HS, f"{FAIR} {HAND}", "moving-open", "hs-book 8-4-1d", "secondary", unsettled=True),
    Expectation(PRO, f"{FAIR} {HAND}", "interference", "pro-book 5.09(a)(8)", "in text"),
    Expectation(COL, f"{FAIR} {HAND}", "interference", "college-book 7-11-m", "secondary"),
    Expectation(YTH, f"{FAIR} {HAND}", "interference", "youth-book 6.05(g)", "secondary"),
    # 4. Out of the box, fair ground, on purpose: out, with whichever bat.
    Expectation(HS, f"{MEANT} {OVER_FAIR} {HAND}", "interference", "hs-book 8-4-1d", "in text"),
    Expectation(HS, f"{MEANT} {OVER_FAIR} {MOVING}", "interference", "hs-book 8-4-1d", "in text"),
    Expectation(HS, f"{MEANT} {OVER_FAIR} {STILL}", "interference", "hs-book 8-4-1d", "in text"),
    Expectation(PRO, f"{MEANT} {OVER_FAIR} {HAND}", "interference", "pro-book 5.09(a)(8)", "in text"),
    Expectation(PRO, f"{MEANT} {OVER_FAIR} {MOVING}", "interference", "pro-book 5.09(a)(8)", "in text"),
    Expectation(PRO, f"{MEANT} {OVER_FAIR} {STILL}", "interference", "pro-book 5.09(a)(8)", "in text"),
    Expectation(
        COL, f"{MEANT} in-box=no {OVER_FAIR} {HAND}", "interference", "college-book 7-11-m", "secondary"
    ),
    Expectation(
        COL, f"{MEANT} in-box=no {OVER_FAIR} {MOVING}", "interference", "college-book 7-11-m", "secondary"
    ),
    Expectation(
        COL, f"{MEANT} in-box=no {OVER_FAIR} {STILL}", "interference", "college-book 7-11-m", "secondary"
    ),
    Expectation(YTH, f"{MEANT} {OVER_FAIR} {HAND}", "interference", "youth-book 6.05(g)", "secondary"),
    Expectation(YTH, f"{MEANT} {OVER_FAIR} {MOVING}", "interference", "youth-book 6.05(g)", "secondary"),
    Expectation(YTH, f"{MEANT} {OVER_FAIR} {STILL}", "interference", "youth-book 6.05(g)", "secondary"),
    # 5. The ball rolls into a bat lying still in fair ground, no intent: live.
    Expectation(HS, f"{FAIR} {STILL}", "live", HS_CASES, "secondary"),
    Expectation(PRO, f"{FAIR} {STILL}", "live", "pro-manual 5.09(a)(8)", "secondary"),
    Expectation(COL, f"{FAIR} {STILL}", "live", "college-book 7-11-m", "secondary"),
    Expectation(YTH, f"{FAIR} {STILL}", "live", "youth-book 6.05(g)", "secondary"),
    # 6. A bat let go, still moving, strikes the fair ball, no intent: HS out by that column (3 Aug 2011) and not by the
    # text, so unsettled; PRO out, COL and YTH unsettled.
    Expectation(HS, f"{FAIR} {MOVING}", "moving-open", "hs-book 8-4-1d", "secondary", unsettled=True),
    Expectation(PRO, f"{FAIR} {MOVING}", "interference", "pro-book 5.09(a)(8)", "in text"),
    Expectation(COL, f"{FAIR} {MOVING}", "moving-open", "college-book 7-11-m", "secondary", unsettled=True),
    Expectation(YTH, f"{FAIR} {MOVING}", "moving-open", "youth-book 6.05(g)", "secondary", unsettled=True),
    # 7. Over foul ground, on purpose. HS: out only with a chance to become fair (8-4-1d(1), 7-4-1).
    Expectation(HS, f"{MEANT} {MAY_TURN} {HAND}", "interference", "hs-book 7-4-1", "in text"),
    Expectation(HS, f"{MEANT} {MAY_TURN} {MOVING}", "interference", "hs-book 8-4-1d", "in text"),
    Expectation(HS, f"{MEANT} {MAY_TURN} {STILL}", "interference", "hs-book 5-1-1b", "in text"),
    Expectation(HS, f"{MEANT} {NO_CHANCE}", "foul", "hs-book 8-4-1d", "in text"),
    Expectation(HS, f"{MEANT} {AT_REST}", "foul", "hs-book 8-4-1d", "in text"),
    # PRO: out if the ball still moves over foul ground (5.09(a)(9), 6.01(a)(2)); YTH 7.09(b) too, COL from memory.
    Expectation(PRO, f"{MEANT} {MAY_TURN} {HAND}", "interference", "pro-book 5.09(a)(9)", "in text"),
    Expectation(PRO, f"{MEANT} {NO_CHANCE} {HAND}", "interference", "pro-book 6.01(a)(2)", "in text"),
    Expectation(PRO, f"{MEANT} {NO_CHANCE} {MOVING}", "interference", "pro-book 5.09(a)(9)", "in text"),
    Expectation(PRO, f"{MEANT} {NO_CHANCE} {STILL}", "interference", "pro-book 5.09(a)(9)", "in text"),
    Expectation(PRO, f"{MEANT} {AT_REST}", "foul", "pro-book 5.09(a)(9)", "inferred"),
    Expectation(COL, f"{MEANT} {MAY_TURN}", "interference", "college-book 7-11-m", "from memory"),
    Expectation(COL, f"{MEANT} {NO_CHANCE}", "interference", "college-book 7-11-m", "from memory"),
    Expectation(COL, f"{MEANT} {AT_REST}", "foul", "college-book 7-11-m", "from memory"),
    Expectation(YTH, f"{MEANT} {MAY_TURN}", "interference", "youth-book 7.09(b)", "in text"),
    Expectation(YTH, f"{MEANT} {NO_CHANCE}", "interference", "youth-book 7.09(b)", "in text"),
    Expectation(YTH, f"{MEANT} {AT_REST}", "foul", "youth-book 7.09(b)", "inferred"),
    # 8. Over foul ground, by accident: foul.
    Expectation(HS, f"{FOUL} {HAND}", "foul", "hs-book 8-4-1d", "inferred"),
    Expectation(HS, f"{FOUL} {MOVING}", "foul", "hs-book 8-4-1d", "inferred"),
    Expectation(PRO, f"{FOUL} {HAND}", "foul", "pro-book 5.09(a)(8)", "inferred"),
    Expectation(PRO, f"{FOUL} {MOVING}", "foul", "pro-book 5.09(a)(8)", "inferred"),
    Expectation(COL, f"{FOUL} {HAND}", "foul", "college-book 7-7-d", "inferred"),
    Expectation(COL, f"{FOUL} {MOVING}", "foul", "college-book 7-7-e", "inferred"),
    Expectation(YTH, FOUL, "foul", "youth-book 6.05", "from memory"),
    # 9. The ball rolls into a bat lying in foul ground: foul (COL 7-7-d: an object foreign to the ground).
    Expectation(HS, f"{FOUL} {STILL}", "foul", HS_CASES, "inferred"),
    Expectation(PRO, f"{FOUL} {STILL}", "foul", "pro-book 5.09(a)(8)", "inferred"),
    Expectation(COL, f"{FOUL} {STILL}", "foul", "college-book 7-7-d", "in text"),
    # 10. A piece of a broken bat hits the ball in fair ground: live, as for a bat lying still.
    Expectation(HS, f"{FAIR} {STILL}", "live", "hs-book 7-3-6", "secondary"),
    Expectation(PRO, f"{FAIR} {STILL}", "live", "pro-book 5.09(a)(8)", "secondary"),
    Expectation(COL, f"{FAIR} {STILL}", "live", "college-book 7-11-n", "secondary"),
    # 11. The ball hits a broken piece in foul ground: foul.
    Expectation(HS, f"{FOUL} {STILL}", "foul", "hs-book 7-3-6", "inferred"),
)

OUT = "dead out back"  # HS 5-1-1b, PRO 5.09(a)(8), in text: the ball is dead and nobody advances
EFFECTS = {
    (HS, "interference"): OUT,
    (HS, "foul"): "dead back",
    (HS, "moving-open"): "dead league",
    (HS, "live"): "live",
    (PRO, "interference"): OUT,
    (PRO, "foul"): "dead back",
    (PRO, "live"): "live",
    (COL, "interference"): OUT,
    (COL, "foul"): "dead back",
    (COL, "moving-open"): "dead league",
    (COL, "live"): "live",
    (YTH, "interference"): OUT,
    (YTH, "foul"): "dead back",
    (YTH, "moving-open"): "dead league",
    (YTH, "live"): "live",
}


@pytest.mark.parametrize("check", checks_of(SUBJECT, CODES, EXPECTATIONS, EFFECTS))
def test_second_touch_is_ruled_as_the_books_say(check: Check) -> None:
    check()
