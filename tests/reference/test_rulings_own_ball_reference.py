"""The batted ball touches its batter against the books: HS 2-16-1f, PRO 5.09(a)(7), COL 7-7-d, -e, YTH 6.05(f).

Read: HS 2-16-1f (2015 book, quoted), PRO 5.09(a)(7) and (9) with the interpretation of 2010, COL 7-7 (2019-20),
LL 7.09(b). One foot out: HS column of Aug 2011, which cites 8-4-2k, an article
on runners, so that the section is inferred. YTH by the casebook for its umpires, p. 33.
"""

from __future__ import annotations

import pytest
from ruling_expectations import CODES, HS, PRO, YTH, Check, Expectation, checks_of, expect_in_codes

SUBJECT = "own-ball"

IN, OUT = "foot-out=no", "foot-out=yes"
FAIR = "fair-ground=yes could-be-fair=yes still-moving=yes"
MAY_TURN = "fair-ground=no could-be-fair=yes still-moving=yes"
NO_CHANCE = "fair-ground=no could-be-fair=no still-moving=yes"
AT_REST = "fair-ground=no could-be-fair=no still-moving=no"
BOX = ("hs-book 2-16-1f", "pro-book 5.09(a)(7)", "college-book 7-7-e", "youth-cases p-33")
RUNNING = ("hs-book 8-4-2k", "pro-book 5.09(a)(7)", "college-book 7-11", "youth-book 6.05(f)")
FOUL_GROUND = ("hs-book 2-16-1f", "pro-book 5.09(a)(7)", "college-book 7-7-d", "youth-book 6.05(f)")
TURNED = ("hs-book 7-4-1", "pro-book 5.09(a)(9)", "college-book 7-11", "youth-book 7.09(b)")
TURNED_SURE = ("secondary", "in text", "from memory", "in text")
AT_REST_SURE = ("inferred", "inferred", "from memory", "inferred")

EXPECTATIONS = (
    # In the box by accident, off the plate or the dirt too: foul, over fair or foul ground.
    *expect_in_codes(f"on-purpose=no {IN}", "foul", BOX, ("in text", "in text", "in text", "secondary")),
    # In the box on purpose: out. PRO: that the foul needs an accident is in text; the others from memory.
    *expect_in_codes(
        f"on-purpose=yes {IN} {FAIR}",
        "out",
        ("hs-book 2-16-1f", "pro-book 5.09(a)(7)", "college-book 7-7-e", "youth-book 6.05(f)"),
        ("from memory", "in text", "from memory", "from memory"),
    ),
    # One foot down wholly out, the ball over fair ground: out.
    *expect_in_codes(
        f"on-purpose=no {OUT} fair-ground=yes",
        "out",
        RUNNING,
        ("inferred", "secondary", "from memory", "secondary"),
    ),
    *expect_in_codes(
        f"on-purpose=yes {OUT} {FAIR}", "out", RUNNING, ("inferred", "in text", "from memory", "secondary")
    ),
    # Out of the box, over foul ground, by accident: foul (COL 7-7-d in text).
    *expect_in_codes(
        f"on-purpose=no {OUT} fair-ground=no",
        "foul",
        FOUL_GROUND,
        ("secondary", "secondary", "in text", "secondary"),
    ),
    # Deflecting on purpose a ball that may become fair: out (HS 7-4-1, PRO 5.09(a)(9), 6.01(a)(2), YTH 7.09(b)).
    *expect_in_codes(f"on-purpose=yes {MAY_TURN}", "out", TURNED, TURNED_SURE),
    Expectation(PRO, f"on-purpose=yes {MAY_TURN}", "out", "pro-book 6.01(a)(2)", "in text"),
    # No chance to turn fair, still moving: HS foul, as in 8-4-1d; the others out, as they ask for its course only.
    *expect_in_codes(
        f"on-purpose=yes {NO_CHANCE}",
        ("foul", "out", "out", "out"),
        TURNED,
        ("inferred", "in text", "from memory", "in text"),
    ),
    *expect_in_codes(f"on-purpose=yes {AT_REST}", "foul", TURNED, AT_REST_SURE),
    Expectation(HS, f"on-purpose=yes {OUT} {FAIR} ", "out", "hs-book 8-4-2k", "inferred"),
    Expectation(YTH, f"on-purpose=no {IN} {FAIR}", "foul", "youth-book 6.05(f)", "secondary"),
)

# Dead at contact in every row; on an out the runners go back to the base held at the pitch.
EFFECTS = {
    **{(code, "out"): "dead out back" for code in CODES},
    **{(code, "foul"): "dead back" for code in CODES},
}


@pytest.mark.parametrize("check", checks_of(SUBJECT, CODES, EXPECTATIONS, EFFECTS))
def test_a_batted_ball_that_touches_its_batter_is_ruled_as_the_books_say(check: Check) -> None:
    check()
