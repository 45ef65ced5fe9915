"""The catcher who hinders the batter: HS 8-1-1e and 8-3-1c, PRO 5.05(b)(3) and 6.01(g), COL 8-2-e, YTH 6.08(c), 7.07.

Read: HS by a newspaper's rules column (7 Sep 2016, 5 Jul 2019), 8-1-1e1 as a forum quotes it, the interpretation of
2007; the professional umpires' manual of 2016-19; first lines of COL 8-2-e of 2019-20, and 7-4-h as quoted; LL 6.08(c)
as its own pages explain it.
"""

from __future__ import annotations

import pytest
from ruling_expectations import CODES, COL, HS, PRO, YTH, Check, Expectation, checks_of, expect_in_codes

SUBJECT = "obstructs-batter"

BOOKS = ("hs-book 8-1-1e", "pro-book 5.05(b)(3)", "college-book 8-2-e", "youth-book 6.08(c)")
SWING = "started=yes swing=ordinary squeeze=no"
SQUEEZE = "started=yes swing=ordinary squeeze=yes"
SURE = ("secondary", "in text", "from memory", "in text")

EXPECTATIONS = (
    # Mitt touches bat, no hit: first base, and those who were going or are forced get a base.
    *expect_in_codes(f"{SWING} hit=no", "award", BOOKS, SURE),
    # Batter and every runner gain a base: ignored, no choice.
    *expect_in_codes(
        f"{SWING} hit=yes all-gained=yes",
        "play-stands",
        BOOKS,
        ("secondary", "in text", "in text", "in text"),
    ),
    # Otherwise the play or the award.
    *expect_in_codes(f"{SWING} hit=yes all-gained=no", "option", BOOKS, SURE),
    # A steal of home or a squeeze: HS dead, third scores, others only if going or forced (case 8.3.1 B); PRO a balk
    # too, all move up; COL alike by a test item of 2014; YTH alike in the upper divisions, no balk below.
    Expectation(HS, SQUEEZE, "runner-scores", "hs-cases 8.3.1-B", "secondary"),
    Expectation(HS, SQUEEZE, "runner-scores", "hs-interpretations 2007-1", "secondary"),
    Expectation(PRO, f"{SQUEEZE} in-box=yes", "balk", "pro-book 6.01(g)", "in text"),
    # A batter out of the box: the rule makes no exception, one school teaches no call (forum threads 71133, 57744).
    Expectation(PRO, f"{SQUEEZE} in-box=no", "open", "pro-book 6.01(g)", "secondary", unsettled=True),
    Expectation(COL, SQUEEZE, "balk", "college-book 8-2-e", "secondary"),
    Expectation(YTH, f"{SQUEEZE} upper=yes", "balk", "youth-book 7.07", "in text"),
    Expectation(YTH, f"{SQUEEZE} upper=no", "runner-scores", "youth-book 7.07", "inferred"),
    # The batter steps back to draw it: COL out where the swing meets catcher or mitt (7-4-h); the others have no text.
    Expectation(COL, "started=yes swing=drew", "drew-out", "college-book 7-4-h", "in text"),
    *(
        Expectation(code, "started=yes swing=drew", "open", cite, "inferred", unsettled=True)
        for code, cite in zip(CODES, BOOKS, strict=True)
        if code != COL
    ),
    # A ball batted from out of the box: no text ranks the two acts. HS: the runner who went on the hit is disputed.
    *expect_in_codes("started=yes swing=outside", "open", BOOKS, "inferred", CODES),
    Expectation(HS, f"{SWING} hit=yes all-gained=went", "option-open", BOOKS[0], "inferred", unsettled=True),
    # Contact before the pitch starts: time, no penalty.
    *expect_in_codes(
        "started=no",
        "time",
        ("hs-book 2-21-5", *BOOKS[1:]),
        ("secondary", "from memory", "in text", "in text"),
    ),
)

EFFECTS = {
    **{(code, "award"): "dead first base forced or going" for code in CODES},
    **{(code, "option"): "delayed dead first base forced or going or the play" for code in CODES},
    **{(code, "play-stands"): "live" for code in CODES},
    **{(code, "runner-scores"): "dead first base third scores" for code in (HS, YTH)},
    **{(code, "balk"): "dead first base one base" for code in (PRO, COL, YTH)},
    **{(code, "time"): "dead back" for code in CODES},
    **{(code, "open"): "dead league" for code in CODES},
    (COL, "drew-out"): "dead out back",
    (HS, "option-open"): "delayed dead first base or the play",
}


@pytest.mark.parametrize("check", checks_of(SUBJECT, CODES, EXPECTATIONS, EFFECTS))
def test_a_catcher_who_hinders_the_batter_is_ruled_on_as_the_books_say(check: Check) -> None:
    check()
