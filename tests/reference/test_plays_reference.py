"""The content's plays against the rule books, and the cover of rows against a known hard case.

Every expectation read in a book's text, or said by two secondary sources, has a play that is ruled so and whose
key names the section.
"""

from __future__ import annotations

import pytest
import test_rulings_contact_reference as contact
import test_rulings_double_base_reference as double_base
import test_rulings_fly_comes_down_reference as fly_comes_down
import test_rulings_follow_through_reference as follow_through
import test_rulings_hinders_catcher_reference as hinders_catcher
import test_rulings_hit_by_pitch_reference as hit_by_pitch
import test_rulings_infield_fly_reference as infield_fly
import test_rulings_leaving_reference as leaving
import test_rulings_obstructs_batter_reference as obstructs_batter
import test_rulings_own_ball_reference as own_ball
import test_rulings_pitch_hits_runner_reference as pitch_hits_runner
import test_rulings_return_throw_reference as return_throw
import test_rulings_second_touch_reference as second_touch
import test_rulings_stance_reference as stance
import test_rulings_thrown_bat_reference as thrown_bat
import test_rulings_uncaught_third_reference as uncaught_third
from play_samples import content, ruled
from ruling_expectations import Expectation

from pocketref.plays.play_selection import choose_fewest

SURE = ("in text", "secondary")
_MODULES = (
    *(
        contact,
        double_base,
        fly_comes_down,
        follow_through,
        hinders_catcher,
        hit_by_pitch,
        infield_fly,
        leaving,
    ),
    *(
        obstructs_batter,
        own_ball,
        pitch_hits_runner,
        return_throw,
        second_touch,
        stance,
        thrown_bat,
        uncaught_third,
    ),
)
_BY_SUBJECT = [
    *((each.SUBJECT, each.EXPECTATIONS) for each in _MODULES),
    (double_base.OTHER, double_base.OTHERS),
]
EXPECTED = [
    (subject, expected)
    for subject, expectations in _BY_SUBJECT
    for expected in expectations
    if expected.confidence in SURE
]


def print_cite(expected: Expectation) -> str:
    """The section as a key prints it."""
    work, section = expected.cite.split()
    return f"{content().works[work].mark} {section}"


@pytest.mark.parametrize(("subject", "expected"), EXPECTED, ids=str)
def test_a_fact_of_the_books_has_a_play_that_names_its_section(subject: str, expected: Expectation) -> None:
    answers = expected.answers
    standing_for = [
        play
        for play in ruled()
        if play.case.subject == subject
        and play.code == expected.code
        and all(play.answers.get(fact, answer) == answer for fact, answer in answers.items())
        and print_cite(expected) in play.answer.cites
    ]
    assert standing_for
    assert {play.answer.outcome for play in standing_for} == {expected.ruling}


def test_there_are_many_facts_of_the_books_to_stand_for() -> None:
    assert len(EXPECTED) >= 150
    assert {expected.code for _, expected in EXPECTED} == set(contact.CODES)


@pytest.mark.parametrize("k", [2, 3, 4, 5])
def test_the_fewest_plays_are_found_where_taking_the_largest_first_goes_wrong(k: int) -> None:
    # The textbook case that is hard for greed (after D. S. Johnson, 1974, from memory): two rows of 2^k - 1 things
    # cover all; columns of 2, 4, 8 ... 2^k things tempt greed into taking k of them.
    columns, start = [], 0
    for size in (2**power for power in range(k)):
        columns.append(frozenset((row, place) for row in (0, 1) for place in range(start, start + size)))
        start += size
    rows = [frozenset((row, place) for place in range(start)) for row in (0, 1)]
    meets = [*columns, *rows]
    assert len(choose_fewest(meets)) == 2
