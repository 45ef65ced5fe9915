"""A fly dropped on purpose, or on a runner: PRO 5.09(a)(12), 5.09(b)(7), COL 2-48, 7-11-q, HS 5-1-1f, YTH 7.08(f).

Read: OBR 5.09(a)(12), the first lines of the note of 2019 on 5.09(b)(7), COL 2-48 (2019-20), a local umpire guide to LL
7.08(f), HS 5-1-1f by quotation. HS on dropping, and the plain fair ball that touches a runner, from memory.
"""

from __future__ import annotations

import pytest
from ruling_expectations import CODES, COL, HS, PRO, YTH, Check, Expectation, checks_of, expect_in_codes

SUBJECT = "fly-comes-down"

MEMORY = "from memory"
HITS = ("hs-book 5-1-1f", "pro-book 5.09(b)(7)", "college-book 2-48", "youth-book 7.08(f)")
DROPS = ("hs-book 8-4-1c", "pro-book 5.09(a)(12)", "college-book 7-11-q", "youth-book 6.05")
FLIES = ("hs-book 2-19", "pro-book 5.09(a)(5)", "college-book 2-48", "youth-book 2.00")
SURE = ("secondary", "in text", "in text", "in text")
DROP_SURE = (MEMORY, "in text", "secondary", "secondary")

EXPECTATIONS = (
    # An infield fly stays live, dropped on purpose or not.
    *expect_in_codes("infield-fly=yes end=fair", "infield-fly", FLIES, SURE),
    *expect_in_codes("infield-fly=yes end=dropped", "infield-fly", FLIES, SURE),
    # It hits a runner: off base both are out, on base the runner is not.
    Expectation(HS, "infield-fly=yes end=off", "both-out", "hs-book 2-19", MEMORY),
    *expect_in_codes("infield-fly=yes end=off", "both-out", HITS, (MEMORY, "in text", MEMORY, "in text"))[1:],
    *expect_in_codes(
        "infield-fly=yes end=on", "base-shelters", HITS, ("inferred", "secondary", MEMORY, "in text")
    ),
    # No infield fly: dropped on purpose with first held and under two outs it is dead, the batter out.
    *expect_in_codes("infield-fly=no end=dropped first-held=yes", "dropped", DROPS, DROP_SURE),
    *expect_in_codes("infield-fly=no end=dropped first-held=no", "play-on", DROPS, DROP_SURE),
    *expect_in_codes("infield-fly=no end=fair", "play-on", FLIES, SURE),
    *(
        Expectation(code, f"infield-fly=no end={end}", "runner-hit", cite, MEMORY)
        for end in ("off", "on")
        for code, cite in ((HS, HITS[0]), (PRO, HITS[1]), (COL, "college-book 6-2"), (YTH, HITS[3]))
    ),
)

EFFECTS = {
    (code, name): effect
    for code in CODES
    for name, effect in (
        ("infield-fly", "live out"),
        ("both-out", "dead out back runner touched"),
        ("base-shelters", "dead out back"),
        ("dropped", "dead out back"),
        ("runner-hit", "dead first base forced runner touched"),
        ("play-on", "live"),
    )
}


@pytest.mark.parametrize("check", checks_of(SUBJECT, CODES, EXPECTATIONS, EFFECTS))
def test_a_fly_that_is_dropped_or_hits_a_runner_is_ruled_as_the_books_say(check: Check) -> None:
    check()
