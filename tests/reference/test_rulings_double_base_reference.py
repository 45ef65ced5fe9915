"""The double first base: HS 1-2-9 and 8-2-2a (from 2027), COL 1-7-b with its guidelines, YTH 7.15 of softball.

Read: notices of the high-school change of July 2025 by four associations and papers, the college guidelines by
quotation (30 Apr 2024) and as ruled in a game of 21 Mar 2025, the youth softball rule in a column. OBR 2.03 has no
double base, and so the professional code no table.
"""

from __future__ import annotations

import pytest
from ruling_expectations import COL, HS, YTH, Check, Expectation, checks_of

FIRST, OTHER = "double-base", "double-base-other"
SUBJECT = FIRST

HS_BOOK, COL_BOOK, YTH_BOOK = "hs-book 8-2-2a", "college-book 1-7-b", "youth-book 7.15"
MEMORY = "from memory"
BOOKS = ((HS, HS_BOOK, "in text"), (COL, COL_BOOK, "in text"), (YTH, YTH_BOOK, MEMORY))


def expect_alike(play: str, ruling: str) -> list[Expectation]:
    """The same in the three codes that know the base."""
    return [Expectation(code, play, ruling, cite, sure) for code, cite, sure in BOOKS]


def expect_open(code: str, play: str, cite: str, sure: str = "inferred") -> Expectation:
    return Expectation(code, play, "open", cite, sure, unsettled=True)


EXPECTATIONS = (
    # The coloured half is the runner's and the white the fielder's on the first play.
    *expect_alike("clash=no half=coloured", "legal"),
    # White only, nobody met: as a base missed in COL and YTH; the high-school notices tie the out to a collision.
    expect_open(HS, "clash=no half=white", HS_BOOK),
    Expectation(COL, "clash=no half=white", "appeal", COL_BOOK, "in text"),
    Expectation(YTH, "clash=no half=white", "appeal", YTH_BOOK, MEMORY),
    # A collision: interference or obstruction in HS; nothing found for the others.
    Expectation(HS, "clash=runner", "interference", HS_BOOK, "inferred"),
    Expectation(HS, "clash=fielder", "obstruction", HS_BOOK, "secondary"),
    expect_open(HS, "clash=both", HS_BOOK),
    *(
        expect_open(code, f"clash={who}", cite)
        for code, cite, _ in BOOKS[1:]
        for who in ("runner", "fielder", "both")
    ),
)

OTHERS = (
    *expect_alike("what=white", "fair"),
    *expect_alike("what=coloured", "foul"),
    # An uncaught third strike, or no play at all: either half.
    Expectation(HS, "what=free", "legal", HS_BOOK, "secondary"),
    *expect_alike("what=free", "legal")[1:],
    # Another throw from foul ground: told differently by different people.
    *(expect_open(code, "what=thrown", cite, "secondary") for code, cite, _ in BOOKS),
    # Back at first, only the white half is the base: out in a college game of 2025, inferred in HS.
    *expect_alike("what=back half=white", "back-on-white"),
    Expectation(HS, "what=back half=coloured", "off-the-base", HS_BOOK, "inferred"),
    Expectation(COL, "what=back half=coloured", "off-the-base", COL_BOOK, "secondary"),
    Expectation(YTH, "what=back half=coloured", "off-the-base", YTH_BOOK, MEMORY),
)

KNOWN = (HS, COL, YTH)
EFFECTS = {
    **{(code, "legal"): "live" for code in KNOWN},
    **{(code, "open"): "live league" for code in KNOWN},
    **{(code, "appeal"): "live out on appeal" for code in (COL, YTH)},
    (HS, "interference"): "dead out back",
    (HS, "obstruction"): "delayed dead first base forced",
}
OTHER_EFFECTS = {
    **{(code, "fair"): "live" for code in KNOWN},
    **{(code, "foul"): "dead back" for code in KNOWN},
    **{(code, "legal"): "live" for code in KNOWN},
    **{(code, "back-on-white"): "live" for code in KNOWN},
    **{(code, "off-the-base"): "live runner played on" for code in KNOWN},
    **{(code, "open"): "live league" for code in KNOWN},
}


@pytest.mark.parametrize(
    "check",
    [*checks_of(FIRST, KNOWN, EXPECTATIONS, EFFECTS), *checks_of(OTHER, KNOWN, OTHERS, OTHER_EFFECTS)],
)
def test_the_double_first_base_is_ruled_as_notices_and_guidelines_say(check: Check) -> None:
    check()
