"""Infield fly: HS 2-19 and case 10.2.3 G, PRO Definitions and 5.09(a)(5), COL 2-48, YTH 2.00.

Read: the definitions of PRO, COL (2019-20) and YTH; HS 2-19 as cited by two columns, case 10.2.3 G by quotation.
"""

from __future__ import annotations

import pytest
from ruling_expectations import CODES, COL, HS, PRO, YTH, Check, Expectation, checks_of, expect_in_codes

SUBJECT = "infield-fly"

CITES = ("hs-book 2-19", "pro-book 5.09(a)(5)", "college-book 2-48", "youth-book 2.00")
SURE = ("secondary", "in text", "in text", "in text")
EASY = "fair=yes runners=yes easy=yes"

EXPECTATIONS = (
    *expect_in_codes(f"{EASY} called=yes", "infield-fly", CITES, SURE),
    *expect_in_codes("fair=no", "foul", CITES, SURE),
    # A line drive, an attempted bunt, more than ordinary effort; first or second empty, two outs: none.
    *expect_in_codes("fair=yes runners=yes easy=no", "play-on", CITES, SURE),
    *expect_in_codes("fair=yes runners=no", "play-on", CITES, SURE),
    # Not called: HS in force all the same; no sentence in the other books.
    Expectation(HS, f"{EASY} called=no", "infield-fly", "hs-cases 10.2.3-G", "secondary"),
    *expect_in_codes(
        f"{EASY} called=no",
        "open",
        CITES,
        ("secondary", "secondary", "secondary", "from memory"),
        (PRO, COL, YTH),
    )[1:],
)

EFFECTS = {
    **{(code, "infield-fly"): "live out" for code in CODES},
    **{(code, "foul"): "dead back" for code in CODES},
    **{(code, "play-on"): "live" for code in CODES},
    **{(code, "open"): "live league" for code in (PRO, COL, YTH)},
}


@pytest.mark.parametrize("check", checks_of(SUBJECT, CODES, EXPECTATIONS, EFFECTS))
def test_an_infield_fly_is_ruled_as_the_books_say(check: Check) -> None:
    check()
