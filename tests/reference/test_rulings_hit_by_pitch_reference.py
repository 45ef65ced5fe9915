"""The pitch touches the batter against the rule books: HS 8-1-1d, PRO 5.05(b)(2), COL 8-2-d, YTH 6.08(b).

Read: HS 8-1-1d, 7-3-4 and 5-1-1a as quoted by a rules committee's member; OBR text of about 2019; COL text of
2019-20 (8-2-d, 6-4-c, 7-4-i); LL 6.08(b) with its note on a league's page. The three codes beside each other:
closecallsports.com, March 2022.
"""

from __future__ import annotations

import pytest
from ruling_expectations import CODES, COL, HS, PRO, YTH, Check, checks_of, expect_in_codes

SUBJECT = "hit-by-pitch"

STRIKE = "bat-first=no strike=yes"
LEFT = "bat-first=no strike=no in-box=no"
TAKEN = "bat-first=no strike=no in-box=yes"
AWARDED = ("hs-book 8-1-1d", "pro-book 5.05(b)(2)", "college-book 8-2-d", "youth-book 6.08(b)")
DEAD = ("hs-book 5-1-1a", "pro-book 5.06(c)(1)", "college-book 6-4-c", "youth-book 6.08(b)")
SWUNG = ("hs-book 5-1-1a", "pro-book 5.09(a)(6)", "college-book 8-2-d", "youth-book 2.00")
NOT_AWARDED = ("hs-book 7-3-4", "pro-book 5.05(b)(2)", "college-book 7-4-i", "youth-book 6.08(b)")

EXPECTATIONS = (
    # Did not offer, out of the zone, tried to avoid it or could not: first base.
    *expect_in_codes(f"{TAKEN} batter=tried", "award", AWARDED, "in text"),
    *expect_in_codes(f"{TAKEN} batter=tried over-box=yes", "award", DEAD, "in text"),
    # Offers: a strike, wherever it touches; the hand is not the bat (HS column of Oct 2015).
    *expect_in_codes(STRIKE, "strike", SWUNG, "in text"),
    # In the strike zone without a swing: a strike, even if the batter dodged, and whether in the box or not.
    *expect_in_codes(f"{STRIKE} in-box=yes batter=tried", "strike", AWARDED, "in text"),
    # Out of the zone, over the batter's own box, no attempt to get away: COL awards first base all the same.
    *expect_in_codes(
        f"{TAKEN} batter=froze over-box=yes", ("ball", "ball", "award", "ball"), AWARDED, "in text"
    ),
    # The same, not over the box: COL a strike by the text of 2019-20, a ball by that of 2007.
    *expect_in_codes(
        f"{TAKEN} batter=froze over-box=no",
        ("ball", "ball", "strike", "ball"),
        NOT_AWARDED,
        "in text",
        unsettled=[COL],
    ),
    # Moves into it: by where the pitch was; COL a strike wherever it was.
    *expect_in_codes(f"{TAKEN} batter=moved", ("ball", "ball", "strike", "ball"), NOT_AWARDED, "in text"),
    # Out of the box when hit: nothing found; PRO and COL speak of a legal batting position.
    *expect_in_codes(
        LEFT,
        "open",
        ("hs-book 8-1-1d", "pro-book 5.05(b)(2)", "college-book 6-4-c", "youth-book 6.08(b)"),
        "inferred",
        unsettled=CODES,
    ),
    # The bat first, its knob too: a batted ball (COL 7-7-e in text; HS column of Oct 2015; the others from memory).
    *expect_in_codes(
        "bat-first=yes",
        "batted",
        ("hs-book 2-16-1f", "pro-book 5.09(a)(7)", "college-book 7-7-e", "youth-book 6.05"),
        ("secondary", "from memory", "in text", "from memory"),
    ),
)

# The ball is dead at once, in text in all four codes; only runners who are forced move, and only on an award.
AWARD, NO_AWARD, BALL = "dead first base forced", "dead back strike", "dead back ball"
EFFECTS = {
    **{(code, "award"): AWARD for code in CODES},
    **{(code, "strike"): NO_AWARD for code in CODES},
    **{(code, "ball"): BALL for code in (HS, PRO, YTH)},
    **{(code, "batted"): "live" for code in CODES},
    **{(code, "open"): "dead league" for code in CODES},
}


@pytest.mark.parametrize("check", checks_of(SUBJECT, CODES, EXPECTATIONS, EFFECTS))
def test_a_pitch_that_touches_the_batter_is_ruled_as_the_books_say(check: Check) -> None:
    check()
