"""The return throw that touches the batter: item 54 of the professional umpires' manual, as the press printed it.

The words are those that two news agencies gave after a game of October 2015. No text of the other codes was found.
"""

from __future__ import annotations

import pytest
from ruling_expectations import CODES, COL, HS, PRO, YTH, Check, Expectation, checks_of

SUBJECT = "return-throw"

ITEM = "pro-manual item-54"
OTHERS = ((HS, "hs-book 7-3-5"), (COL, "college-book 7-11-f"), (YTH, "youth-book 6.06(c)"))

EXPECTATIONS = (
    # In the box without intent: live, and a run counts; out of it: time, nobody advances.
    Expectation(PRO, "on-purpose=no ball-four=no in-box=yes", "live", ITEM, "in text"),
    Expectation(PRO, "on-purpose=no ball-four=no in-box=no", "time", ITEM, "in text"),
    # After ball four: live unless on purpose. On purpose: out.
    Expectation(PRO, "on-purpose=no ball-four=yes", "walk-live", ITEM, "in text"),
    Expectation(PRO, "on-purpose=yes", "out", ITEM, "in text"),
    *(
        Expectation(code, f"on-purpose={meant}", ruling, cite, "inferred", unsettled=True)
        for code, cite in OTHERS
        for meant, ruling in (("no", "open"), ("yes", "maybe-out"))
    ),
)

EFFECTS = {
    (PRO, "live"): "live",
    (PRO, "walk-live"): "live first base",
    (PRO, "time"): "dead back",
    (PRO, "out"): "dead out back",
    # No text, so none that makes the ball dead; what is meant is interference elsewhere, which does.
    **{(code, "open"): "live league" for code, _ in OTHERS},
    **{(code, "maybe-out"): "dead league" for code, _ in OTHERS},
}


@pytest.mark.parametrize("check", checks_of(SUBJECT, CODES, EXPECTATIONS, EFFECTS))
def test_a_return_throw_that_touches_the_batter_is_ruled_on_as_the_manual_says(check: Check) -> None:
    check()
