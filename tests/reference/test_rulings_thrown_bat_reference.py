"""Thrown and broken bats against the rule books: HS 7-3-6, PRO comment on 5.09(a)(8), COL 7-11-n, YTH 6.05."""

from __future__ import annotations

import pytest
from ruling_expectations import CODES, COL, HS, PRO, YTH, Check, Expectation, checks_of, content_table

SUBJECT = "thrown-bat"

WHOLE = "hinders=yes whole-bat=yes"
PIECE = "hinders=yes whole-bat=no on-purpose=no"
PIECE_MEANT = "hinders=yes whole-bat=no on-purpose=yes"
NOBODY = "hinders=no"

EXPECTATIONS = (
    # A whole bat thrown that hinders a fielder: interference, intent irrelevant.
    Expectation(HS, WHOLE, "interference", "hs-book 7-3-6", "secondary"),
    Expectation(PRO, WHOLE, "interference", "pro-book 5.09(a)(8)", "secondary"),
    Expectation(COL, WHOLE, "interference", "college-book 7-11-n", "secondary"),
    Expectation(YTH, WHOLE, "interference", "youth-book 6.05", "from memory"),
    # A piece of a broken bat that hits a fielder: none.
    Expectation(HS, PIECE, "play-on", "hs-book 7-3-6", "secondary"),
    Expectation(PRO, PIECE, "play-on", "pro-book 5.09(a)(8)", "secondary"),
    Expectation(COL, PIECE, "play-on", "college-book 7-11-n", "secondary"),
    Expectation(YTH, PIECE, "play-on", "youth-book 6.05", "from memory"),
    # A piece thrown on purpose: interference. HS, COL and YTH from memory.
    Expectation(HS, PIECE_MEANT, "interference", "hs-book 7-3-6", "from memory"),
    Expectation(PRO, PIECE_MEANT, "interference", "pro-book 5.09(a)(8)", "secondary"),
    Expectation(COL, PIECE_MEANT, "interference", "college-book 7-11-n", "from memory"),
    Expectation(YTH, PIECE_MEANT, "interference", "youth-book 6.05", "from memory"),
    # Nobody hindered: nothing, as the wording implies.
    Expectation(HS, NOBODY, "play-on", "hs-book 7-3-6", "inferred"),
    Expectation(PRO, NOBODY, "play-on", "pro-book 5.09(a)(8)", "inferred"),
    Expectation(COL, NOBODY, "play-on", "college-book 7-11-n", "inferred"),
    Expectation(YTH, NOBODY, "play-on", "youth-book 6.05", "from memory"),
)

EFFECTS = {
    **{(code, "interference"): "dead out back" for code in CODES},
    **{(code, "play-on"): "live" for code in CODES},
}


@pytest.mark.parametrize("check", checks_of(SUBJECT, CODES, EXPECTATIONS, EFFECTS))
def test_thrown_bat_is_ruled_as_the_books_say(check: Check) -> None:
    check()


def test_a_prevented_double_play_costs_two_outs_in_high_school() -> None:
    # HS 7-3-6, by one source.
    assert "Two outs" in content_table(HS, SUBJECT)[1].rulings["interference"].note
