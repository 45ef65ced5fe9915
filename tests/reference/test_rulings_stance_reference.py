"""Stance in the box against the rule books: HS 7-1-1 and case 7.3.2, PRO 5.04(b)(5), COL 1-3-a and 7-1-a, YTH 6.03."""

from __future__ import annotations

import pytest
from ruling_expectations import CODES, COL, HS, PRO, YTH, Check, Expectation, checks_of

SUBJECT = "stance"

STANDS_WELL = "over-line=no"
UNDER_WAY = "over-line=yes pitch-started=yes"
BEFORE = "over-line=yes pitch-started=no"

EXPECTATIONS = (
    # Both feet wholly inside; on the line is in.
    Expectation(HS, STANDS_WELL, "legal", "hs-book 7-1-1", "secondary"),  # and case 7.3.2
    Expectation(HS, STANDS_WELL, "legal", "hs-cases 7.3.2", "secondary"),
    Expectation(HS, STANDS_WELL, "legal", "hs-book 2-7-2", "secondary"),
    Expectation(PRO, STANDS_WELL, "legal", "pro-book 5.04(b)(5)", "in text"),
    Expectation(COL, STANDS_WELL, "legal", "college-book 1-3-a", "in text"),  # and 7-1-a
    Expectation(YTH, STANDS_WELL, "legal", "youth-book 6.03", "in text"),
    # A wrong stance has no penalty by itself.
    Expectation(HS, UNDER_WAY, "play-on", "hs-book 7-3-2", "inferred"),
    Expectation(PRO, UNDER_WAY, "play-on", "pro-book 6.03(a)(1)", "inferred"),
    Expectation(COL, UNDER_WAY, "play-on", "college-book 7-10-a", "inferred"),
    Expectation(YTH, UNDER_WAY, "play-on", "youth-book 6.06(a)", "inferred"),
    # The umpire tells the batter to get in: HS as prevention, COL the same by practice.
    Expectation(HS, f"{BEFORE} told=no", "tell", "hs-book 7-1-1", "secondary"),
    Expectation(COL, f"{BEFORE} told=no", "tell", "college-book 7-1-a", "common practice"),
    # YTH: call time and correct it before the pitch (6.03, answers of the help centre).
    Expectation(YTH, f"{BEFORE} told=no", "tell", "youth-book 6.03", "in text"),
    # PRO: instruct when raised, or when blatant or repeated (umpire manual on 5.04(b)(5)).
    Expectation(PRO, f"{BEFORE} told=no raised=yes", "tell", "pro-manual 5.04(b)(5)", "in text"),
    Expectation(PRO, f"{BEFORE} told=no raised=no", "let-go", "pro-manual 5.04(b)(5)", "in text"),
    # PRO: a blatant refusal after direction can end in an ejection.
    Expectation(PRO, f"{BEFORE} told=yes", "refusal", "pro-manual 5.04(b)(5)", "in text"),
    # A refusal to take the box is a strike: HS 7-3-1, YTH 6.02(c). That this is one follows.
    Expectation(HS, f"{BEFORE} told=yes", "refusal", "hs-book 7-3-1", "inferred"),
    Expectation(YTH, f"{BEFORE} told=yes", "refusal", "youth-book 6.02(c)", "inferred"),
    # COL: no penalty found.
    Expectation(COL, f"{BEFORE} told=yes", "refusal", "college-book 7-1-c", "inferred", unsettled=True),
)

EFFECTS = {
    (HS, "legal"): "live",
    (HS, "play-on"): "live",
    (HS, "tell"): "live",
    (HS, "refusal"): "live strike",  # 7-3-1: the ball stays live
    (PRO, "legal"): "live",
    (PRO, "play-on"): "live",
    (PRO, "tell"): "live",
    (PRO, "let-go"): "live",
    (PRO, "refusal"): "dead",  # no strike for it
    (COL, "legal"): "live",
    (COL, "play-on"): "live",
    (COL, "tell"): "live",
    (COL, "refusal"): "live league",  # open; 7-1-c keeps the ball live
    (YTH, "legal"): "live",
    (YTH, "play-on"): "live",
    (YTH, "tell"): "dead",  # 6.03: time first
    (YTH, "refusal"): "dead strike",  # 6.02(c): ball dead
}


@pytest.mark.parametrize("check", checks_of(SUBJECT, CODES, EXPECTATIONS, EFFECTS))
def test_stance_is_ruled_as_the_books_say(check: Check) -> None:
    check()
