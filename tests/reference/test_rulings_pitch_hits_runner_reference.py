"""The pitch touches the runner from third: HS 6-1-4 and 8-3-1a, PRO 5.09(a)(14), COL 6-4-b; YTH from memory.

Read: OBR 5.09(a)(14) on an umpire association's page, COL 6-4-b (2019-20); HS by a newspaper's rules column of
15 Oct 2009.
"""

from __future__ import annotations

import pytest
from ruling_expectations import CODES, HS, Check, Expectation, checks_of, expect_in_codes

SUBJECT = "pitch-hits-runner"

CITES = ("hs-book 8-3-1a", "pro-book 5.09(a)(14)", "college-book 6-4-b", "youth-book 6.05")
SURE = ("secondary", "secondary", "in text", "from memory")

EXPECTATIONS = (
    # Dead, the pitch is judged, the runner scores; COL: stealing runners advance, others stay.
    *expect_in_codes("two-and-two=no strike=yes", "pitch-counts", CITES, SURE),
    *expect_in_codes("two-and-two=no strike=no", "pitch-counts", CITES, SURE),
    *expect_in_codes("two-and-two=yes strike=no", "pitch-counts", CITES, SURE),
    Expectation(HS, "two-and-two=no", "pitch-counts", "hs-book 6-1-4", "secondary"),
    # Two outs, two strikes, in the zone: strike three and no run. PRO in text.
    *expect_in_codes(
        "two-and-two=yes strike=yes",
        "third-out",
        CITES,
        ("from memory", "in text", "from memory", "from memory"),
    ),
)

EFFECTS = {
    **{(code, "pitch-counts"): "dead third scores" for code in CODES},
    **{(code, "third-out"): "dead back strike" for code in CODES},
}


@pytest.mark.parametrize("check", checks_of(SUBJECT, CODES, EXPECTATIONS, EFFECTS))
def test_a_pitch_that_touches_the_runner_from_third_is_ruled_as_the_books_say(check: Check) -> None:
    check()
