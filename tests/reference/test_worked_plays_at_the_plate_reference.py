"""Plays at the plate worked out elsewhere lead where they do there: pitches, batted balls, batter and catcher."""

from __future__ import annotations

import pytest
from ruling_expectations import CODES, COL, HS, PRO, YTH
from worked_plays import ASK, Worked, rule

NO_RUN = "Three outs, the side is retired."
OUT_BACK = "Batter out, two outs; runner back to first."
FIRST = "Batter to first, one out"
STRIKE_BACK = "Batter bats on, 0–2, two outs; runner back to first."
THIRD_BACK = "Batter bats on, 3–2, two outs; runner back to third."
THIRD_OUT = "Batter bats on, 1–1, two outs; runner from third out."
BOTH = (
    "Batter out, two outs; runner played on out, of those on first and third; "
    "who is not, back to the base held at the pitch."
)
OR_PLAY = "The offence may take the play as it fell instead."

PITCHES = (
    # A swing at a pitch that hits the chest, two outs, two strikes: third out, and no run for the runner who came home.
    Worked(
        "coaches' board, 'correct umpire call'",
        "hit-by-pitch",
        ("second", 2, "1-2"),
        "bat-first=no strike=yes",
        dict.fromkeys(CODES, NO_RUN),
    ),
    # Bases full, a back turned in, no try to get away: COL first base, and the run scores; the others no base.
    Worked(
        "umpires' forum, thread 26316 (2006)",
        "hit-by-pitch",
        ("first second third", 1, "1-1"),
        "bat-first=no strike=no in-box=yes batter=froze over-box=yes",
        {
            HS: "Batter bats on, 2–1, one out; runners back to first, second and third.",
            COL: f"{FIRST}; runner from third scores, runner from second to third, runner from first to second.",
        },
    ),
    # Two outs, 2-2, a leg stuck out: COL strike three, the game over; the others by where the pitch was.
    Worked(
        "rules analysis of March 2022, three codes",
        "hit-by-pitch",
        ("third", 2, "2-2"),
        "bat-first=no strike=no in-box=yes batter=moved",
        {HS: THIRD_BACK, PRO: THIRD_BACK, COL: NO_RUN},
    ),
    # 1-2, leans back and completes the swing: strike three, out.
    Worked(
        "Little League umpire newsletter, March 2014",
        "hit-by-pitch",
        ("", 0, "1-2"),
        "bat-first=no strike=yes batter=tried",
        dict.fromkeys(CODES, "Batter out, one out."),
    ),
    # The fist on a swing: out, dead, not a foul ball.
    Worked(
        "newspaper rules column, 14 Oct 2015",
        "hit-by-pitch",
        ("first", 1, "2-2"),
        "bat-first=no strike=yes",
        dict.fromkeys(CODES, OUT_BACK),
    ),
    # The knob: a batted ball.
    Worked(
        "coaches' board",
        "hit-by-pitch",
        ("", 1, "1-0"),
        "bat-first=yes",
        dict.fromkeys(CODES, "As the ball is ruled."),
    ),
    # A pitch touches the runner stealing home, under two outs: dead, the pitch judged, the run counts.
    Worked(
        "newspaper rules column, 15 Oct 2009",
        "pitch-hits-runner",
        ("third", 1, "1-1"),
        "strike=no",
        dict.fromkeys((HS, PRO, COL), "Batter bats on, 2–1, one out; runner from third scores."),
        "ball",
    ),
    # 3-2, two outs, in the zone: strike three, no run.
    Worked(
        "umpires' association page on OBR 5.09(a)(14)",
        "pitch-hits-runner",
        ("second third", 2, "3-2"),
        "strike=yes",
        {PRO: NO_RUN},
    ),
    # Bunted down, up into the shin, both feet in: foul.
    Worked(
        "HS 2-16-1f; COL 7-7-e",
        "own-ball",
        ("first", 0, "1-0"),
        "on-purpose=no foot-out=no fair-ground=yes",
        dict.fromkeys(CODES, "Batter bats on, 1–1, nobody out; runner back to first."),
    ),
    # The stride foot down outside, over fair ground: out, dead.
    Worked(
        "newspaper rules column, 10 Aug 2011; umpires' forum, thread 670990",
        "own-ball",
        ("first", 1, "0-1"),
        "on-purpose=no foot-out=yes fair-ground=yes",
        dict.fromkeys(CODES, OUT_BACK),
    ),
    # Out with both feet, no time, and hit by the pitch: no ruling found.
    Worked(
        "asked on a forum, not answered",
        "hit-by-pitch",
        ("", 0, "3-1"),
        "bat-first=no strike=no in-box=no",
        dict.fromkeys(CODES, ASK),
    ),
)

LEAVING = (
    # Both feet out, 2-2, and the pitch comes: HS two strikes, one too many; the others the pitch alone.
    Worked(
        "HS case 6.2.4 I as a forum tables it, Feb 2007",
        "leaving",
        ("first", 0, "2-2"),
        "refuses=no left=late both-feet=yes pitched=yes",
        {
            HS: "Batter out, one out; runner on first may advance.",
            PRO: "Batter bats on, 3–2, nobody out; runner on first may advance.",
        },
        "ball",
    ),
    # One strike, the second of the two is strike three and gets away: the ball is live, and the batter may run.
    Worked(
        "umpires' forum, topic 81604: by the rule the ball is live",
        "leaving",
        ("third", 1, "1-1"),
        "refuses=no left=late both-feet=yes pitched=yes",
        {HS: "Batter may run, one out; runner on third may advance."},
        "uncaught strike",
    ),
    # One foot, far outside: one strike, not two.
    Worked(
        "HS case 6.2.4 I",
        "leaving",
        ("", 1, "1-1"),
        "refuses=no left=late both-feet=no pitched=yes",
        {HS: "Batter bats on, 1–2, one out."},
        "ball",
    ),
    # The pitcher stops: both feet one strike, no balk; a hand or a foot nothing.
    Worked(
        "HS case 6.2.4 I; OBR 5.04(b)(2) comment",
        "leaving",
        ("third", 1, "1-0"),
        "refuses=no left=late both-feet=yes pitched=no",
        {
            HS: "Batter bats on, 1–1, one out; runner stays on third.",
            PRO: "Batter bats on, 1–0, one out; runner stays on third.",
        },
        "none",
    ),
    Worked(
        "HS case 6.2.4 I; OBR 5.04(b)(2) comment; COL interpretation of April 2018",
        "leaving",
        ("third", 1, "1-0"),
        "refuses=no left=late both-feet=no pitched=no",
        dict.fromkeys((HS, PRO, COL), "Batter bats on, 1–0, one out; runner stays on third."),
        "none",
    ),
)

CATCHER = (
    # A lean over the plate, the throw sails: batter out, runner back; with the runner out all the same, that alone.
    Worked(
        "New Jersey umpires on HS 7-3-5; COL 6-3-b",
        "hinders-catcher",
        ("first", 1, "0-1"),
        "retired=no how=moved pitch=other home=no",
        dict.fromkeys(CODES, OUT_BACK),
    ),
    Worked(
        "the same",
        "hinders-catcher",
        ("first", 1, "0-1"),
        "retired=yes",
        dict.fromkeys(CODES, "Batter bats on, 0–2, two outs; runner from first out."),
        "strike",
    ),
    # A missed squeeze, the tag blocked: the runner out, the batter still up; with two outs the batter, no run.
    Worked(
        "New Jersey umpires; OBR 5.09(b)(8); COL 7-11-f(1)",
        "hinders-catcher",
        ("third", 1, "1-0"),
        "retired=no how=moved pitch=other home=yes",
        dict.fromkeys(CODES, THIRD_OUT),
        "strike",
    ),
    Worked(
        "the same",
        "hinders-catcher",
        ("third", 2, "1-0"),
        "retired=no how=moved pitch=other home=yes",
        dict.fromkeys(CODES, NO_RUN),
    ),
    # Strike three on a double steal, the ball in the outfield: both out where the runner would have been, third back.
    Worked(
        "HS case 8.4.2 K (2019); umpires' forum, thread 34140, for college",
        "hinders-catcher",
        ("first third", 0, "1-2"),
        "retired=no how=moved pitch=three double-play=yes",
        dict.fromkeys(CODES, BOTH),
    ),
    # A snap throw hits a batter who stands in the box, and leaves play: no interference.
    Worked(
        "HS case 7.3.5 E",
        "hinders-catcher",
        ("second third", 1, "1-1"),
        "retired=no how=still",
        {HS: "Batter bats on, 2–1, one out; runners on second and third may advance."},
        "ball",
    ),
    # Ball four, the bat tossed into the throw to third, the runner back there: HS batter out; COL disputed.
    Worked(
        "HS case 7.3.5 I; umpires' forum, thread 766055",
        "hinders-catcher",
        ("third", 1, "3-1"),
        "retired=no how=moved pitch=four home=no",
        {HS: "Batter out, two outs; runner back to third.", COL: ASK},
    ),
    # The follow-through meets the mitt, two outs, not strike three: HS batter out; the others a strike, all back.
    Worked(
        "umpires' forum, thread 33753 (2007)",
        "follow-through",
        ("first", 2, "0-1"),
        "throwing=yes runner=safe home=no",
        {HS: NO_RUN, PRO: STRIKE_BACK, COL: STRIKE_BACK, YTH: STRIKE_BACK},
    ),
    # Bases empty, a held pitch knocked loose: nothing, or a strike and dead: the count is the same.
    Worked(
        "HS interpretation of 2014; OBR comment",
        "follow-through",
        ("", 1, "1-0"),
        "throwing=no runner=none",
        dict.fromkeys(CODES, "Batter bats on, 1–1, one out."),
    ),
    # Strike three batted toward first, the runner from third comes: batter out, third back.
    Worked(
        "umpires' forum, thread 219573",
        "follow-through",
        ("third", 1, "0-2"),
        "throwing=no runner=none",
        dict.fromkeys(CODES, "Batter out, two outs; runner back to third."),
    ),
    # HS, strike three, the runner half-way: both out; sliding in already: back.
    Worked(
        "HS interpretation of 2014",
        "follow-through",
        ("first", 0, "1-2"),
        "throwing=yes runner=safe double-play=yes",
        {HS: "Batter out, two outs; runner from first out."},
    ),
    Worked(
        "HS interpretation of 2014",
        "follow-through",
        ("first", 1, "1-2"),
        "throwing=yes runner=safe double-play=no",
        {HS: OUT_BACK},
    ),
    # The return throw off the bat in the box, tied: live, and the run counts; the other codes have no text.
    Worked(
        "news agencies on the manual's item 54, Oct 2015",
        "return-throw",
        ("third", 1, "2-2"),
        "on-purpose=no ball-four=no in-box=yes",
        {PRO: "Batter bats on, 2–2, one out; runner on third may advance.", HS: ASK, COL: ASK, YTH: ASK},
    ),
    # Mitt on bat, a grounder, out at first: first base.
    Worked(
        "newspaper rules column, 7 Sep 2016",
        "obstructs-batter",
        ("", 1, "1-1"),
        "started=yes swing=ordinary squeeze=no hit=yes all-gained=no",
        dict.fromkeys(CODES, f"{FIRST}. {OR_PLAY}"),
    ),
    # Mitt on bat, foul: the award, and no swing anew.
    Worked(
        "newspaper rules column, 5 Jul 2019",
        "obstructs-batter",
        ("", 1, "0-2"),
        "started=yes swing=ordinary squeeze=no hit=no",
        dict.fromkeys(CODES, f"{FIRST}."),
    ),
    # A single, the runner from second out past third: all had gained a base, no option.
    Worked(
        "newspaper rules column, 5 Jul 2019",
        "obstructs-batter",
        ("second", 1, "1-0"),
        "started=yes swing=ordinary squeeze=no hit=yes all-gained=yes",
        dict.fromkeys(CODES, "Batter runs, one out; runner on second as the ball is ruled."),
    ),
    # Third not going, a roller to second, out at first, the run in: the run and the out, or first and third.
    Worked(
        "umpires' forum, thread 6941; a league's answer",
        "obstructs-batter",
        ("third", 0, "1-0"),
        "started=yes swing=ordinary squeeze=no hit=yes all-gained=no",
        dict.fromkeys(
            CODES,
            f"Batter to first, nobody out; runner on third one base if going with the pitch, else back. {OR_PLAY}",
        ),
    ),
    # The squeeze, a fielder in front of the plate with the pitch: third home, batter first, in every code.
    Worked(
        "HS interpretation 2007 no. 1",
        "obstructs-batter",
        ("third", 1, "1-1"),
        "started=yes swing=ordinary squeeze=yes upper=no in-box=yes",
        dict.fromkeys(CODES, f"{FIRST}; runner from third scores."),
    ),
    # Second not going: HS and the lower youth divisions leave that runner to the base unless going; PRO, COL move all.
    Worked(
        "umpires' forum, threads 17352 and 930619; umpires' manual",
        "obstructs-batter",
        ("second third", 1, "2-1"),
        "started=yes swing=ordinary squeeze=yes upper=no in-box=yes",
        {
            HS: f"{FIRST}; runner from third scores; runner on second one base if going with the pitch, else back.",
            PRO: f"{FIRST}; runner from third scores, runner from second to third.",
            COL: f"{FIRST}; runner from third scores, runner from second to third.",
            YTH: f"{FIRST}; runner from third scores; runner on second one base if going with the pitch, else back.",
        },
    ),
    Worked(
        "umpires' manual; LL 7.07",
        "obstructs-batter",
        ("second third", 1, "2-1"),
        "started=yes swing=ordinary squeeze=yes upper=yes",
        {YTH: f"{FIRST}; runner from third scores, runner from second to third."},
    ),
    # Steps back on purpose and swings into the mitt: COL batter out; no text elsewhere.
    Worked(
        "COL 7-4-h, quoted on a coaches' board",
        "obstructs-batter",
        ("first", 1, "0-1"),
        "started=yes swing=drew",
        {HS: ASK, PRO: ASK, COL: OUT_BACK, YTH: ASK},
    ),
)

WORKED = (*PITCHES, *LEAVING, *CATCHER)


@pytest.mark.parametrize(
    ("play", "code"), [pytest.param(p, c, id=f"{p.subject} {p.facts} {c}") for p in WORKED for c in p.after]
)
def test_a_play_worked_out_elsewhere_leads_where_it_does_there(play: Worked, code: str) -> None:
    assert rule(play, code) == play.after[code], play.source
