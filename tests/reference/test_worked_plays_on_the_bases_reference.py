"""Plays on the bases worked out elsewhere lead where they do there: third strikes, flies, the double base, helmets."""

from __future__ import annotations

import pytest
from ruling_expectations import COL, HS, PRO, YTH
from worked_plays import ASK, Worked, rule

LIVE_OUT = "Batter out, two outs; runner on first may advance."
BACK = "Batter out, two outs; runner back to first."

WORKED = (
    Worked(
        # The stroll: HS not out, OBR and college out past the circle, LL not out until the dugout.
        "newspaper rules column, 23 Sep 2015; OBR 5.05(a)(2) comment",
        "uncaught-third",
        ("", 1, "1-2"),
        "caught=no touches=no gone=off-dirt",
        {
            HS: "Batter runs, one out.",
            PRO: "Batter out, two outs.",
            COL: "Batter out, two outs.",
            YTH: "Batter runs, one out.",
        },
    ),
    Worked(
        # First held, one out: he runs, all advance; out, and the advances stand.
        "Little League umpire newsletter, Dec 2013",
        "uncaught-third",
        ("first second", 1, "0-2"),
        "caught=no touches=no gone=near",
        dict.fromkeys((HS, PRO, COL, YTH), "Batter out, two outs; runners on first and second may advance."),
    ),
    Worked(
        # Runner going, one out, kicked by accident: HS needs intent, the others put the runner back.
        "rules analysis of 5 Mar 2021, which quotes all three books",
        "uncaught-third",
        ("first", 1, "2-2"),
        "caught=no touches=hinders",
        {HS: LIVE_OUT, PRO: BACK, COL: BACK, YTH: BACK},
    ),
    Worked(
        # Off the shin guard; the tossed bat meets it in foul ground, no intent: live.
        "umpire forum, quoting HS 8-4-1a (2018)",
        "uncaught-third",
        ("third", 1, "0-2"),
        "caught=no touches=no gone=near",
        {HS: "Batter runs, one out; runner on third may advance."},
    ),
    Worked(
        # A late swing; the follow-through bats the ball toward first: batter out, R3 back, in all codes.
        "umpire forum, professional comment on 6.03 and youth practice; HS interpretation 2014",
        "uncaught-third",
        ("third", 1, "1-2"),
        "caught=no touches=backswing",
        dict.fromkeys((HS, PRO, COL, YTH), "Batter out, two outs; runner back to third."),
    ),
    Worked(
        # Dropped by the catcher over fair ground, then foul: touched fair, so an infield fly.
        "high-school coaches' forum",
        "infield-fly",
        ("first second", 1, "0-0"),
        "easy=yes fair=yes called=yes",
        dict.fromkeys((HS, PRO, COL, YTH), "Batter out, two outs; runners on first and second may advance."),
    ),
    Worked(
        # Silent umpires, dropped, two forced: in force in HS; crews elsewhere repair.
        "HS case 10.2.3 G; common practice",
        "infield-fly",
        ("first second", 0, "1-0"),
        "easy=yes fair=yes called=no",
        {HS: "Batter out, one out; runners on first and second may advance.", PRO: ASK, COL: ASK, YTH: ASK},
    ),
    Worked(
        # One runner, a liner dropped on purpose: batter out, dead, runner back.
        "rules analysis of May 2023, quoting OBR 5.09(a)(12)",
        "fly-comes-down",
        ("first", 1, "1-1"),
        "infield-fly=no end=dropped",
        dict.fromkeys((HS, PRO, COL, YTH), BACK),
    ),
    Worked(
        # Back safe on a pick-off, then stands on the coloured half and is tagged: out.
        "press on a college game of 21 Mar 2025; inferred for HS",
        "double-base-other",
        ("first", 1, "0-0"),
        "what=back half=coloured",
        dict.fromkeys((HS, COL), "Batter bats on, 0–0, two outs; runner from first out."),
    ),
    Worked(
        # Uncaught third strike to foul ground, fielder on the coloured half, runner on the white: allowed.
        "college guidelines on the double base, no. 2; notices of the HS change",
        "double-base-other",
        ("", 1, "2-2"),
        "what=free",
        dict.fromkeys((HS, COL), "As the ball is ruled."),
    ),
    Worked(
        # Slow roller, white only, beats the throw; asked before the return: COL and YTH out, HS open.
        "college guidelines on the double base, no. 3; a youth softball column",
        "double-base",
        ("", 1, "0-1"),
        "clash=no half=white",
        {HS: ASK, COL: "Batter out, two outs.", YTH: "Batter out, two outs."},
    ),
    Worked(
        # The helmet falls off, and a play is hindered: accident, play on; on purpose: out, with a double play lost two.
        "HS interpretation 2007 no. 2",
        "thrown-bat",
        ("first", 0, "2-2"),
        "hinders=yes what=helmet on-purpose=no",
        {HS: "Batter runs, nobody out; runner on first as the ball is ruled."},
    ),
    Worked(
        "HS interpretation 2007 no. 2",
        "thrown-bat",
        ("first", 0, "2-2"),
        "hinders=yes what=helmet on-purpose=yes double-play=yes",
        {HS: "Batter out, two outs; runner from first out."},
    ),
)


@pytest.mark.parametrize(
    ("play", "code"), [pytest.param(p, c, id=f"{p.subject} {p.facts} {c}") for p in WORKED for c in p.after]
)
def test_a_play_worked_out_elsewhere_leads_where_it_does_there(play: Worked, code: str) -> None:
    assert rule(play, code) == play.after[code], play.source
