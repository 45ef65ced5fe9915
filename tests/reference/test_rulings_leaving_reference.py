"""Leaving or refusing the box against the rule books: HS 7-3-1 and 6-2-4d, PRO 5.04(b), COL 7-1, YTH 6.02.

HS 6-2-4d with case 6.2.4 I, by feet and pitch: the case quoted on a coaches' board; a forum's table of its six
cases (Feb 2007), borne out in May 2009. PRO 5.04(b)(2) and its comment (Aug 2024), COL 5-15-a-2 of 2019-20.
"""

from __future__ import annotations

import pytest
from ruling_expectations import (
    CODES,
    COL,
    HS,
    PRO,
    YTH,
    Check,
    Expectation,
    checks_of,
    content_library,
    content_table,
)

from pocketref.rulings.effects import write_batter

SUBJECT = "leaving"

REFUSES = "refuses=yes"
EARLY, ACROSS, NONE, ANY_LATE = (f"refuses=no left={how}" for how in ("early", "across", "stayed", "late"))
PART, BOTH = f"{ANY_LATE} both-feet=no", f"{ANY_LATE} both-feet=yes"
CAME, STOPPED = "pitched=yes", "pitched=no"
LATE = f"{ANY_LATE} {CAME}"
CASE = ("hs-book 6-2-4d", "hs-cases 6.2.4-I")

EXPECTATIONS = (
    # Refuses to enter: a strike everywhere.
    Expectation(HS, REFUSES, "strike", "hs-book 7-3-1", "in text"),
    Expectation(PRO, REFUSES, "strike", "pro-book 5.04(b)(3)", "in text"),
    Expectation(COL, REFUSES, "strike", "college-book 7-1-c", "in text"),
    Expectation(YTH, REFUSES, "strike", "youth-book 6.02(c)", "in text"),
    # Leaves without an excuse and play waits.
    Expectation(HS, EARLY, "strike", "hs-book 7-3-1", "in text"),
    Expectation(PRO, EARLY, "league-decides", "pro-book 5.04(b)(4)", "secondary", unsettled=True),
    Expectation(COL, EARLY, "strike", "college-book 7-1-d", "inferred"),
    # YTH: first a warning in that at-bat, then a strike, where the league adopts it.
    Expectation(YTH, f"{EARLY} warned=no", "warn", "youth-book 6.02(c)", "in text", unsettled=True),
    Expectation(
        YTH, f"{EARLY} warned=yes", "strike-if-adopted", "youth-book 6.02(c)", "inferred", unsettled=True
    ),
    # Leaves after the pitcher started, and the pitch comes. HS: one foot out, or only a hand up, is one strike wherever
    # the pitch is; both feet are two.
    *(Expectation(HS, f"{PART} {CAME}", "pitched-strike", cite, "secondary") for cite in CASE),
    *(Expectation(HS, f"{BOTH} {CAME}", "two-strikes", cite, "secondary") for cite in CASE),
    # The others: the pitch on its merits, whatever is out.
    Expectation(PRO, LATE, "play-on", "pro-book 5.04(b)(2)", "in text"),
    Expectation(COL, LATE, "play-on", "college-book 7-1-b", "in text"),
    Expectation(YTH, LATE, "play-on", "youth-book 6.02(b)", "in text"),
    # The pitcher stops. HS: both feet are one strike, no balk; else nothing, start over.
    Expectation(HS, f"{PART} {STOPPED}", "start-over", "hs-book 6-2-4d", "secondary"),
    Expectation(HS, f"{BOTH} {STOPPED}", "strike-no-balk", "hs-book 6-2-4d", "inferred"),
    # PRO, COL: no balk, start over, whatever is out. YTH: both feet come under the warning and the strike.
    Expectation(PRO, f"{ANY_LATE} {STOPPED}", "start-over", "pro-book 5.04(b)(2)", "in text"),
    Expectation(COL, f"{ANY_LATE} {STOPPED}", "start-over", "college-book 5-15-a-2", "secondary"),
    Expectation(YTH, f"{PART} {STOPPED}", "start-over", "youth-book 6.02(b)", "inferred"),
    Expectation(
        YTH, f"{BOTH} {STOPPED} warned=no", "warn", "youth-book 6.02(c)", "secondary", unsettled=True
    ),
    Expectation(
        YTH,
        f"{BOTH} {STOPPED} warned=yes",
        "strike-if-adopted",
        "youth-book 6.02(c)",
        "inferred",
        unsettled=True,
    ),
    # Changes boxes while the pitcher is ready: out. HS in text; PRO and YTH too, what becomes of the ball inferred.
    Expectation(HS, ACROSS, "switched", "hs-book 7-3-3", "in text"),
    Expectation(PRO, ACROSS, "switched", "pro-book 6.03(a)(2)", "inferred"),
    Expectation(COL, ACROSS, "switched", "college-book 7-11", "from memory"),
    Expectation(YTH, ACROSS, "switched", "youth-book 6.06(b)", "inferred"),
    # An excuse from the list, no delay, or a pitch thrown all the same: nothing.
    Expectation(HS, NONE, "play-on", "hs-book 7-3-1", "in text"),
    Expectation(PRO, NONE, "play-on", "pro-book 5.04(b)(4)", "secondary"),
    Expectation(COL, NONE, "play-on", "college-book 7-1-d", "in text"),
    Expectation(YTH, NONE, "play-on", "youth-book 6.02(c)", "in text"),
)

EFFECTS = {
    (HS, "strike"): "live strike",  # 7-3-1
    (HS, "pitched-strike"): "live strike on the pitch",
    (HS, "two-strikes"): "live two strikes",
    (HS, "strike-no-balk"): "dead strike",
    **{(code, "start-over"): "dead" for code in CODES},
    (HS, "switched"): "dead out",
    (HS, "play-on"): "live",
    (PRO, "strike"): "dead strike",  # 5.04(b)(3): no advance
    (PRO, "league-decides"): "dead league",
    (PRO, "switched"): "dead out",
    (PRO, "play-on"): "live",
    (COL, "strike"): "live strike",  # 7-1-c
    (COL, "switched"): "dead out",
    (COL, "play-on"): "live",
    (YTH, "strike"): "dead strike",  # 6.02(c): no advance
    (YTH, "warn"): "dead",
    (YTH, "strike-if-adopted"): "dead strike",
    (YTH, "switched"): "dead out",
    (YTH, "play-on"): "live",
}


@pytest.mark.parametrize("check", checks_of(SUBJECT, CODES, EXPECTATIONS, EFFECTS))
def test_leaving_is_ruled_as_the_books_say(check: Check) -> None:
    check()


@pytest.mark.parametrize("code", CODES)
def test_the_strike_for_refusing_is_an_out_on_the_third(code: str) -> None:
    # HS 7-3-1, PRO 5.04(b)(3), COL 7-1-c, YTH 6.02(c), all in text.
    assert write_batter(content_table(code, SUBJECT)[1].rulings["strike"]).full == "strike; out on the third"


def test_the_excuses_are_the_eight_that_are_listed() -> None:
    # HS 7-3-1, in text: swing, forced out, drag bunt, play on a runner, pitcher off the dirt, time, catcher
    # leaves the box, pitch not caught.
    note = content_library().subjects[SUBJECT].facts["left"].note
    listed = note.split("longest list: ")[1].rstrip(".").split(", ")
    assert len(listed) == 8
