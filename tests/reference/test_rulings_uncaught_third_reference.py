"""The uncaught third strike: HS 8-1-1b, 7-4-1b, 8-4-1; PRO 5.05(a)(2), 6.01(a)(1); COL 8-2-c, 7-11; YTH 6.05, 6.09.

Read: OBR 5.05(a)(2) with its comment, COL 8-2-c, 7-11-h (note of 2021) and 7-11-u by quotation, LL 6.05(b) and 6.09(b)
in an umpire handout, the first lines of LL 7.09(a), HS 8-4-1a (2018) by quotation; HS 8-4-1f by a newspaper's rules
column of 23 Sep 2015 and 8 Jun 2016; HS interpretation 2014 of 7-3-5c.
"""

from __future__ import annotations

import pytest
from ruling_expectations import CODES, COL, HS, PRO, YTH, Check, Expectation, checks_of, expect_in_codes

SUBJECT = "uncaught-third"

LOOSE = "caught=no touches=no may-run=yes"
HINDERS = ("hs-book 8-4-1a", "pro-book 6.01(a)(1)", "college-book 7-11-h", "youth-book 7.09(a)")

EXPECTATIONS = (
    *expect_in_codes(
        "caught=yes",
        "batter-out",
        ("hs-book 7-4-1b", "pro-book 5.05(a)(2)", "college-book 7-11-g", "youth-book 6.05(b)"),
        ("secondary", "in text", "secondary", "in text"),
    ),
    # First base held, under two outs: out, and a batter who runs all the same puts nobody back.
    *expect_in_codes(
        "caught=no touches=no may-run=no",
        "batter-out",
        ("hs-book 8-1-1b", "pro-book 5.09(a)(3)", "college-book 8-2-c", "youth-book 6.05(b)"),
        ("secondary", "in text", "in text", "in text"),
    ),
    # First base empty, or two outs: live. A curve that bounced and was gloved is not caught.
    *expect_in_codes(
        f"{LOOSE} gone=near",
        "may-run",
        ("hs-book 8-1-1b", "pro-book 5.05(a)(2)", "college-book 8-2-c", "youth-book 6.09(b)"),
        ("secondary", "in text", "in text", "in text"),
    ),
    # The stroll: out past the dirt circle in PRO and COL; in HS and YTH only in the dugout or a dead area.
    Expectation(HS, f"{LOOSE} gone=off-dirt", "may-run", "hs-cases 8.1.1-B", "secondary"),
    Expectation(PRO, f"{LOOSE} gone=off-dirt", "gave-up", "pro-book 5.05(a)(2)", "in text"),
    Expectation(COL, f"{LOOSE} gone=off-dirt", "gave-up", "college-book 7-11-u", "in text"),
    Expectation(YTH, f"{LOOSE} gone=off-dirt", "may-run", "youth-book 6.09(b)", "in text"),
    *expect_in_codes(
        f"{LOOSE} gone=out-of-play",
        "gave-up",
        ("hs-book 8-4-1f", "pro-book 5.05(a)(2)", "college-book 7-11-u", "youth-book 6.09(b)"),
        ("secondary", "in text", "in text", "in text"),
    ),
    # Kicked by accident: HS needs intent; PRO and COL whether he clearly hinders, YTH whether he hinders.
    Expectation(
        HS, "caught=no touches=hinders may-run=yes gone=near", "may-run", "hs-book 8-1-1b", "secondary"
    ),
    Expectation(HS, "caught=no touches=hinders may-run=no", "batter-out", "hs-book 7-4-1b", "secondary"),
    *expect_in_codes(
        "caught=no touches=hinders may-run=yes",
        "interference",
        HINDERS,
        ("secondary", "secondary", "in text", "in text"),
    )[1:],
    *expect_in_codes(
        "caught=no touches=on-purpose",
        "interference",
        HINDERS,
        ("in text", "secondary", "in text", "in text"),
    ),
    # On the backswing: strike three, dead, runners back; whatever it is called, the outs are the same.
    *expect_in_codes(
        "caught=no touches=backswing",
        "backswing",
        ("hs-interpretations 2014-7-3-5c", "pro-book 6.03(a)(4)", "college-book 6-2-d", "youth-book 6.06(c)"),
        "secondary",
    ),
)

EFFECTS = {
    (code, name): effect
    for code in CODES
    for name, effect in (
        ("batter-out", "live out"),
        ("may-run", "live"),
        ("gave-up", "live out"),
        ("interference", "dead out back"),
        ("backswing", "dead out back"),
    )
}


@pytest.mark.parametrize("check", checks_of(SUBJECT, CODES, EXPECTATIONS, EFFECTS))
def test_an_uncaught_third_strike_is_ruled_as_the_books_say(check: Check) -> None:
    check()
