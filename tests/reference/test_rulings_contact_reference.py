"""Batting out of the box against the rule books: HS 7-3-2, PRO 6.03(a)(1), COL 7-10-a, YTH 6.06(a)."""

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

from pocketref.field.feet import Where
from pocketref.rulings.table import decide

SUBJECT = "contact"

MISSED = "bat-meets-ball=no"
HIT = "bat-meets-ball=yes"
FAIR_OR_FOUL = f"{HIT} caught-tip=no"
TIP = f"{HIT} caught-tip=yes"
ON_PLATE = "on-plate=yes wholly-outside=no"  # touching the plate, and the box or its line too
OUTSIDE = "on-plate=no wholly-outside=yes"
WITHIN = "on-plate=no wholly-outside=no"  # inside, on or over the line, or in the air
BOTH = "on-plate=yes wholly-outside=yes"

EXPECTATIONS = (
    # Swing and miss: nothing; play on.
    Expectation(HS, MISSED, "play-on", "hs-book 7-3-2", "secondary"),
    Expectation(PRO, MISSED, "play-on", "pro-book 6.03(a)(1)", "in text"),
    Expectation(COL, MISSED, "play-on", "college-book 7-10-a", "in text"),
    Expectation(YTH, MISSED, "play-on", "youth-book 6.06(a)", "in text"),
    # Touching home plate at contact, even if also on the line. HS and COL: out.
    Expectation(HS, f"{HIT} on-plate=yes", "out-of-box", "hs-book 7-3-2", "in text"),
    Expectation(COL, f"{FAIR_OR_FOUL} on-plate=yes", "out-of-box", "college-book 7-10-a", "from memory"),
    # PRO and YTH: not by itself, only if the foot is entirely out too.
    Expectation(PRO, f"{HIT} {ON_PLATE}", "legal", "pro-book 6.03(a)(1)", "in text"),
    Expectation(PRO, f"{HIT} {BOTH}", "out-of-box", "pro-book 6.03(a)(1)", "in text"),
    Expectation(YTH, f"{FAIR_OR_FOUL} {ON_PLATE}", "legal", "youth-book 6.06(a)", "secondary"),
    Expectation(YTH, f"{FAIR_OR_FOUL} {BOTH}", "out-of-box", "youth-book 6.06(a)", "secondary"),
    # A foot on the ground wholly outside the lines: out, on a fair or foul ball.
    Expectation(HS, f"{FAIR_OR_FOUL} {OUTSIDE}", "out-of-box", "hs-book 7-3-2", "in text"),
    Expectation(PRO, f"{FAIR_OR_FOUL} {OUTSIDE}", "out-of-box", "pro-book 6.03(a)(1)", "in text"),
    Expectation(COL, f"{FAIR_OR_FOUL} {OUTSIDE}", "out-of-box", "college-book 7-10-a", "from memory"),
    Expectation(YTH, f"{FAIR_OR_FOUL} {OUTSIDE}", "out-of-box", "youth-book 6.06(a)", "secondary"),
    # The ball is dead by HS 5-1-1b and PRO 5.06(c)(4); COL 6-2 from memory, YTH 5.09 by a
    # sister league with its numbers (2026).
    Expectation(HS, f"{HIT} {OUTSIDE}", "out-of-box", "hs-book 5-1-1b", "in text"),
    Expectation(PRO, f"{HIT} {OUTSIDE}", "out-of-box", "pro-book 5.06(c)(4)", "in text"),
    Expectation(COL, f"{FAIR_OR_FOUL} {OUTSIDE}", "out-of-box", "college-book 6-2", "from memory"),
    Expectation(YTH, f"{FAIR_OR_FOUL} {OUTSIDE}", "out-of-box", "youth-book 5.09", "secondary"),
    # A foul tip counts in HS and PRO, caught or not.
    Expectation(HS, f"{TIP} {OUTSIDE}", "out-of-box", "hs-cases 7.3.2", "in text"),
    Expectation(PRO, f"{TIP} {OUTSIDE}", "out-of-box", "pro-manual 6.03(a)(1)", "in text"),
    # COL and YTH name fair and foul balls only.
    Expectation(COL, f"{TIP} on-plate=yes", "caught-tip", "college-book 7-10-a", "inferred", unsettled=True),
    Expectation(COL, f"{TIP} {OUTSIDE}", "caught-tip", "college-book 7-10-a", "inferred", unsettled=True),
    Expectation(COL, f"{TIP} {WITHIN}", "legal", "college-book 7-10-a", "inferred"),
    Expectation(
        YTH, f"{TIP} wholly-outside=yes", "caught-tip", "youth-book 6.06(a)", "inferred", unsettled=True
    ),
    Expectation(YTH, f"{TIP} wholly-outside=no", "legal", "youth-book 6.06(a)", "inferred"),
    # Any part of the foot on the line, or the foot in the air: legal.
    Expectation(HS, f"{HIT} {WITHIN} knee-out=no", "legal", "hs-book 2-7-2", "secondary"),
    Expectation(PRO, f"{HIT} {WITHIN}", "legal", "pro-book 6.03(a)(1)", "in text"),
    Expectation(COL, f"{FAIR_OR_FOUL} {WITHIN}", "legal", "college-book 7-10-a", "in text"),
    Expectation(YTH, f"{FAIR_OR_FOUL} {WITHIN}", "legal", "youth-book 6.06(a)", "in text"),
    # HS 7-3-2 names the knee (its words, by a state umpires' association); the others name feet only.
    Expectation(HS, f"{HIT} {WITHIN} knee-out=yes", "out-of-box", "hs-book 7-3-2", "in text"),
    Expectation(PRO, f"{HIT} {WITHIN} knee-out=yes", "legal", "pro-book 6.03(a)(1)", "in text"),
    Expectation(COL, f"{FAIR_OR_FOUL} {WITHIN} knee-out=yes", "legal", "college-book 7-10-a", "in text"),
    Expectation(YTH, f"{FAIR_OR_FOUL} {WITHIN} knee-out=yes", "legal", "youth-book 6.06(a)", "in text"),
)

# The ball is dead, the batter out, runners go back to the base held at the pitch.
OUT = "dead out back"
EFFECTS = {
    (HS, "out-of-box"): OUT,  # 5-1-1b
    (HS, "legal"): "live",
    (HS, "play-on"): "live",
    (PRO, "out-of-box"): OUT,  # 5.06(c)(4)
    (PRO, "legal"): "live",
    (PRO, "play-on"): "live",
    (COL, "out-of-box"): OUT,  # from memory
    (COL, "legal"): "live",
    (COL, "caught-tip"): "live strike",
    (COL, "play-on"): "live",
    (YTH, "out-of-box"): OUT,  # 5.09
    (YTH, "legal"): "live",
    (YTH, "caught-tip"): "live strike",
    (YTH, "play-on"): "live",
}


@pytest.mark.parametrize("check", checks_of(SUBJECT, CODES, EXPECTATIONS, EFFECTS))
def test_contact_is_ruled_as_the_books_say(check: Check) -> None:
    check()


@pytest.mark.parametrize("code", CODES)
@pytest.mark.parametrize("where", Where)
def test_only_a_foot_down_wholly_outside_is_out(code: str, where: Where) -> None:
    # HS 7-3-2 (secondary), PRO 6.03(a)(1), COL 7-10-a, YTH 6.06(a) (all in text).
    table, _ = content_table(code, SUBJECT)
    outside = "yes" if where is Where.OUTSIDE else "no"
    play = {"bat-meets-ball": "yes", "on-plate": "no", "wholly-outside": outside}
    rest = {"knee-out": "no", "caught-tip": "no"}
    expected = "out-of-box" if where is Where.OUTSIDE else "legal"
    assert decide(table, {**play, **rest}).outcome == expected


def test_the_question_about_the_foot_says_which_place_is_which_answer() -> None:
    note = content_library().subjects[SUBJECT].facts["wholly-outside"].note
    yes, no = note.split("are no")[0].split("is yes")
    assert f"{Where.OUTSIDE}" in yes
    assert all(f"{where}" in no for where in Where if where is not Where.OUTSIDE)


@pytest.mark.parametrize("code", CODES)
def test_an_illegal_hit_leaves_no_steal_no_run_and_no_infield_fly(code: str) -> None:
    # Follows from HS 5-1-1b and PRO 5.06(c)(4): dead at contact. The catcher's obstruction stays open.
    note = content_table(code, SUBJECT)[1].rulings["out-of-box"].note
    assert all(word in note for word in ("no steal", "no run", "no infield fly", "check your league"))
