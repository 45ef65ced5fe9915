"""The batter hinders the catcher: HS 7-3-5, PRO 6.03(a)(3) and 5.09(b)(8), COL 7-11-f and 6-3-b, YTH 6.06(c).

Read: HS 7-3-5 with its penalty on a New Jersey umpires' association's page and by a forum (thread 527139); case 8.4.2 K
of 2019 and cases 7.3.5 E and I as quoted there; OBR 6.06(c) words of the older numbering, 5.09(b)(8) and 6.01(a) on an
umpire association's page; COL penalty list as quoted in 2011 and 6-3-b of 2019-20; LL 6.06 as reproduced.
"""

from __future__ import annotations

import pytest
from ruling_expectations import CODES, COL, HS, PRO, YTH, Check, Expectation, checks_of, expect_in_codes

SUBJECT = "hinders-catcher"

MOVED, CROWD, STILL = (f"retired=no how={how}" for how in ("moved", "crowd", "still"))
BOOKS = ("hs-book 7-3-5", "pro-book 6.03(a)(3)", "college-book 7-11-f", "youth-book 6.06(c)")
AT_HOME = ("hs-book 7-3-5", "pro-book 5.09(b)(8)", "college-book 7-11-f", "youth-book 7.09(c)")
FOUR = ("hs-cases 7.3.5-I", *BOOKS[1:])
STEAL, HOME = "pitch=other home=no", "pitch=other home=yes"

EXPECTATIONS = (
    # Steps out, leans or moves, and a throw on a steal retires nobody: batter out, all back.
    *expect_in_codes(f"{MOVED} {STEAL}", "batter-out", BOOKS, "in text"),
    # The runner is retired on the first throw: ignored, the batter bats on.
    *expect_in_codes(
        "retired=yes how=moved",
        "ignored",
        ("hs-book 7-3-5", "pro-book 6.03(a)(4)", "college-book 6-3-b", "youth-book 6.06(c)"),
        "in text",
    ),
    # Another runner scored meanwhile: it may advance in college; in high school disputed.
    Expectation(HS, "retired=scored", "run-open", "hs-book 7-3-5", "inferred", unsettled=True),
    Expectation(COL, "retired=scored", "ignored", "college-book 6-3-b", "in text"),
    # Out on a later throw: in HS and PRO it is Time before it (7-3-5, 6.03(a)(3)); the words of the others, any runner
    # put out, were read as the first throw (threads 16026 of 2001, 34140).
    Expectation(COL, "retired=later", "open", "college-book 6-3-b", "inferred", unsettled=True),
    Expectation(YTH, "retired=later", "open", "youth-book 6.06(c)", "inferred", unsettled=True),
    # Strike three: COL always a double play (6-3-b); PRO by 6.01(a)(5), two codes side by side in an article of May
    # 2018; YTH from memory. HS the runner too only if two outs were likely (case 8.4.2 K).
    *expect_in_codes(
        f"{MOVED} pitch=three double-play=yes",
        "both-out",
        ("hs-cases 8.4.2-K", "pro-book 6.01(a)(5)", "college-book 6-3-b", "youth-book 6.06(c)"),
        ("in text", "secondary", "in text", "from memory"),
    ),
    *expect_in_codes(
        f"{MOVED} pitch=three double-play=no",
        ("batter-out", "both-out", "both-out", "both-out"),
        ("hs-book 7-3-5", "pro-book 6.01(a)(5)", "college-book 7-11-f", "youth-book 6.06(c)"),
        ("in text", "secondary", "in text", "from memory"),
    ),
    # A play at home, under two outs: the runner is out instead; that the pitch counts and the batter bats on follows.
    *expect_in_codes(f"{MOVED} {HOME} two-outs=no", "runner-out", AT_HOME, "inferred"),
    # With two outs the batter is out, and no run counts.
    *expect_in_codes(
        f"{MOVED} {HOME} two-outs=yes",
        "batter-out",
        AT_HOME,
        ("in text", "in text", "from memory", "from memory"),
    ),
    # Stands still in the box, and the throw touches the batter: not interference.
    *expect_in_codes(
        STILL,
        "nothing",
        ("hs-cases 7.3.5-E", "pro-manual item-54", "college-book 7-11-f", "youth-book 6.06(c)"),
        ("secondary", "secondary", "in text", "from memory"),
    ),
    # Does not clear a crowded plate: HS 7-3-5d and LL 6.06(c)(3) name it, the others speak of movement only.
    Expectation(HS, f"{CROWD} {STEAL}", "batter-out", BOOKS[0], "in text"),
    Expectation(YTH, f"{CROWD} {STEAL}", "batter-out", BOOKS[3], "in text"),
    Expectation(PRO, CROWD, "open", BOOKS[1], "inferred", unsettled=True),
    Expectation(COL, CROWD, "open", BOOKS[2], "inferred", unsettled=True),
    # After ball four: HS by case 7.3.5 I, the others open (COL disputed).
    Expectation(HS, f"{MOVED} pitch=four home=no", "batter-out", FOUR[0], "in text"),
    Expectation(HS, f"{MOVED} pitch=four home=yes two-outs=no", "runner-out", FOUR[0], "inferred"),
    *(
        Expectation(code, f"{MOVED} pitch=four", "open", cite, "inferred", unsettled=True)
        for code, cite in zip(CODES[1:], FOUR[1:], strict=True)
    ),
)

EFFECTS = {
    **{(code, "batter-out"): "dead out back" for code in CODES},
    **{(code, "both-out"): "dead out back runner played on" for code in CODES},
    **{(code, "runner-out"): "dead back runner from third" for code in CODES},
    **{(code, "ignored"): "live runner played on" for code in CODES},
    **{(code, "nothing"): "live" for code in CODES},
    **{(code, "open"): "dead league" for code in (PRO, COL, YTH)},
    (HS, "run-open"): "live league",
}


@pytest.mark.parametrize("check", checks_of(SUBJECT, CODES, EXPECTATIONS, EFFECTS))
def test_a_batter_who_hinders_the_catcher_is_ruled_on_as_the_books_say(check: Check) -> None:
    check()
