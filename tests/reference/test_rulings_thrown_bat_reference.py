"""Bats and helmets that come off the batter, against the rule books: HS 7-3-6, PRO 5.09(a)(8), COL 7-11-n, YTH 6.05(g).

Read by quotation: HS 7-3-6 (2003, 2007, 2013), COL 7-11-n with its note on the initial play, LL 6.05(g), the comment on
OBR 5.09(a)(8); the high-school interpretation of 2007 no. 2 on helmets.
"""

from __future__ import annotations

import pytest
from ruling_expectations import CODES, COL, HS, PRO, YTH, Check, Expectation, checks_of, expect_in_codes

SUBJECT = "thrown-bat"

CITES = ("hs-book 7-3-6", "pro-book 5.09(a)(8)", "college-book 7-11-n", "youth-book 6.05(g)")
HELMET = "hs-interpretations 2007-2"
BAT = "hinders=yes what=bat first-play=yes"
PIECE = "hinders=yes what=piece"
MEANT = "hinders=yes what=helmet on-purpose=yes"

EXPECTATIONS = (
    # A whole bat that hinders a fielder: interference, fair or foul ground, intent irrelevant.
    *expect_in_codes(f"{BAT} double-play=no", "interference", CITES, "secondary"),
    # HS 7-3-6: two outs where it stopped a likely double play. No such sentence in the others.
    Expectation(HS, f"{BAT} double-play=yes", "two-outs", CITES[0], "secondary"),
    *expect_in_codes(f"{BAT} double-play=yes", "interference", CITES, "secondary", (PRO, COL, YTH))[1:],
    # COL note 1: only the initial play. Nothing found elsewhere on a bat left lying.
    Expectation(COL, "hinders=yes what=bat first-play=no", "play-on", CITES[2], "secondary"),
    *(
        Expectation(code, "hinders=yes what=bat first-play=no", "open", cite, "inferred", unsettled=True)
        for code, cite in zip(CODES, CITES, strict=True)
        if code != COL
    ),
    # A piece of a broken bat: nothing; no sentence in any book on one thrown on purpose.
    *expect_in_codes(f"{PIECE} on-purpose=no", "play-on", CITES, "secondary"),
    *expect_in_codes(f"{PIECE} on-purpose=yes", "open", CITES, "inferred", CODES),
    # A helmet that falls off: no penalty; on purpose: interference, two outs with a lost double play (HS 2007 no. 2).
    *expect_in_codes(
        "hinders=yes what=helmet on-purpose=no",
        "play-on",
        (HELMET, *CITES[1:]),
        ("in text", "in text", "from memory", "from memory"),
    ),
    *expect_in_codes(
        f"{MEANT} double-play=no",
        "interference",
        (HELMET, *CITES[1:]),
        ("in text", "from memory", "from memory", "from memory"),
    ),
    Expectation(HS, f"{MEANT} double-play=yes", "two-outs", HELMET, "in text"),
    *expect_in_codes(f"{MEANT} double-play=yes", "interference", CITES, "from memory", CODES)[1:],
    # Nobody hindered: nothing, as the wording implies; a catcher who treads on it with no play among them.
    *expect_in_codes("hinders=no", "play-on", CITES, "inferred"),
)

EFFECTS = {
    **{(code, "interference"): "dead out back" for code in CODES},
    **{(code, "play-on"): "live" for code in CODES},
    **{(code, "open"): "live league" for code in CODES},
    (HS, "two-outs"): "dead out back runner played on",
}


@pytest.mark.parametrize("check", checks_of(SUBJECT, CODES, EXPECTATIONS, EFFECTS))
def test_what_comes_off_the_batter_is_ruled_as_the_books_say(check: Check) -> None:
    check()
