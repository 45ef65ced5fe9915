"""What plays exercise, the fewest that cover, the plays a sheet takes, and plays made from rows."""

from __future__ import annotations

from collections.abc import Collection, Mapping
from dataclasses import replace
from itertools import combinations, product

import pytest
from hypothesis import given, settings
from hypothesis import strategies as st
from play_samples import CODES, books, cases, codes_on, content, ruled

from pocketref.plays.computed_plays import compute_plays
from pocketref.plays.mutations import measure_mutations
from pocketref.plays.play_coverage import list_ways, measure_coverage
from pocketref.plays.play_selection import choose_fewest, deal_fairly, fits_sheet, select_plays
from pocketref.plays.plays import CasePlay, RuleBooks, rule_on_play
from pocketref.problems import PocketrefError
from pocketref.rulings.contrast import contrast_many
from pocketref.rulings.effects import sign_effect
from pocketref.rulings.table import decide
from pocketref.source.play_models import PlaySheetModel

SUBJECTS = tuple(content().subjects)
KEYS = tuple(content().rulings)
AT_THE_BOX = ["contact", "leaving", "second-touch", "stance"]
"""As many rows of one code as a sheet has room for."""


def sheet(**rest: object) -> PlaySheetModel:
    data = {"sheet": "night", "title": "Night", "stock": "letter", "code": "high-school", "level": "90-ft"}
    return PlaySheetModel.model_validate({**data, **rest})


def select(**rest: object) -> tuple[tuple[CasePlay, ...], ...]:
    return select_plays(sheet(**rest), cases(), ruled(), books())


def count_rows(code: str, subjects: Collection[str]) -> int:
    return sum(
        len(t.rows) for (c, subject), t in content().rulings.items() if c == code and subject in subjects
    )


# --- coverage -----------------------------------------------------------------------------------------------


def test_without_plays_every_row_way_and_difference_is_left_out() -> None:
    coverage = measure_coverage(books(), [])
    assert all(len(table.unmet_rows) == table.rows for table in coverage.tables)
    assert all(len(table.unwalked) == table.ways for table in coverage.tables)
    assert all(len(found.unmet) == found.total for found in coverage.differences)


@pytest.mark.parametrize("every", [1, 4, 11])
def test_what_some_plays_exercise_is_what_each_of_them_does(every: int) -> None:
    """Rows by deciding anew, ways by following each, differences by every combination of answers that is left open."""
    plays = ruled()[::every]
    coverage = measure_coverage(books(), plays)
    tables = [(subject, code) for subject in SUBJECTS for code in codes_on(subject)]
    assert [(t.subject, t.code) for t in coverage.tables] == tables
    for found in coverage.tables:
        rules = books().rules(found.subject, found.code)
        mine = [play for play in plays if (play.case.subject, play.code) == (found.subject, found.code)]
        assert found.plays == len(mine)
        met = {rules.table.rows.index(decide(rules.table, play.answers)) + 1 for play in mine}
        assert {*found.unmet_rows} == {*range(1, len(rules.table.rows) + 1)} - met
        ways = list(list_ways(rules.chart))
        assert found.ways == len(ways)
        assert [*found.unwalked] == [
            way
            for way in ways
            if not any(all(play.answers.get(fact) in answers for fact, answers in way) for play in mine)
        ]
        noticed = measure_mutations(rules.table, [(play.answers, play.answer.outcome) for play in mine])
        assert found.mutations == noticed


@pytest.mark.parametrize("every", [1, 4, 11])
def test_a_difference_between_codes_is_met_by_a_play_all_of_which_lies_in_it(every: int) -> None:
    plays = ruled()[::every]
    for found in measure_coverage(books(), plays).differences:
        codes = codes_on(found.subject)
        tables = {code: books().rules(found.subject, code).table for code in codes}
        rulings = {code: content().rulings[code, found.subject].rulings for code in codes}
        groups = contrast_many(tables, lambda code, outcome, known=rulings: sign_effect(known[code][outcome]))
        assert found.total == len(groups)
        mine = [play.answers for play in plays if play.case.subject == found.subject]
        facts = {fact.name: fact.answers for table in tables.values() for fact in table.facts}
        never = [row.when for table in tables.values() for row in table.never]
        every_play = [dict(zip(facts, each, strict=True)) for each in product(*facts.values())]
        possible = [p for p in every_play if not any(_lies_in(p, when) for when in never)]
        unmet = []
        for group in groups:
            inside = (
                all(_lies_in(p, group.when.when) for p in possible if answers.items() <= p.items())
                for answers in mine
            )
            if not any(inside):
                unmet.append(str(group.when))
        assert [*found.unmet] == unmet


def test_a_subject_that_one_code_alone_rules_on_has_no_differences() -> None:
    key = ("high-school", "stance")
    alone = RuleBooks(replace(content(), rulings={key: content().rulings[key]}))
    coverage = measure_coverage(alone, [])
    assert [(table.code, table.subject) for table in coverage.tables] == [key]
    assert [(found.subject, found.total, found.unmet) for found in coverage.differences] == [
        (subject, 0, ()) for subject in content().subjects
    ]


def _lies_in(play: Mapping[str, str], when: Mapping[str, Collection[str]]) -> bool:
    return all(play[fact] in answers for fact, answers in when.items())


@pytest.mark.parametrize("code", CODES)
def test_the_ways_through_a_chart_are_all_different(code: str) -> None:
    for subject in (name for known, name in KEYS if known == code):
        ways = list(list_ways(books().rules(subject, code).chart))
        assert len(set(ways)) == len(ways) >= 2


@pytest.mark.parametrize(("code", "subject"), KEYS)
def test_a_play_computed_for_a_row_meets_that_row(subject: str, code: str) -> None:
    rows = content().rulings[code, subject].rows
    made = compute_plays(books(), subject, code, range(1, len(rows) + 1))
    for row, case in zip(rows, made, strict=True):
        assert case.is_computed
        assert rule_on_play(books(), case, code).answer.where == row.location


@pytest.mark.parametrize(("code", "subject"), KEYS)
def test_a_computed_play_has_the_likeliest_answers_with_which_it_can_happen(subject: str, code: str) -> None:
    """Fact after fact: of the answers that its row allows, none weighs more but one that a `never` rules out."""
    table = books().rules(subject, code).table
    facts = content().subjects[subject].facts
    for row, case in zip(
        table.rows, compute_plays(books(), subject, code, range(1, len(table.rows) + 1)), strict=True
    ):
        told: dict[str, str] = {}
        for name, answer in case.model.facts.items():
            weights = facts[name].weights
            for other in row.when[name] - {answer}:
                if weights.get(other, 1) > weights.get(answer, 1):
                    tried = told | {name: other}
                    assert any(
                        all(tried.get(fact) in answers for fact, answers in never.when.items())
                        for never in table.never
                    )
            told[name] = answer
        shown = {name for name, fact in facts.items() if fact.from_ and fact.from_.situation}
        assert told.keys() == row.when.keys() - shown


# --- the fewest plays ---------------------------------------------------------------------------------------

SETS = st.lists(st.frozensets(st.integers(0, 7), max_size=5), min_size=1, max_size=8)


@given(SETS)
@settings(max_examples=120)
def test_no_fewer_plays_would_do(meets: list[frozenset[int]]) -> None:
    everything = frozenset[int]().union(*meets)
    found = choose_fewest(meets)
    assert frozenset[int]().union(*(meets[i] for i in found)) == everything
    fewest = next(
        size
        for size in range(len(meets) + 1)
        if any(frozenset[int]().union(*some) == everything for some in combinations(meets, size))
    )
    assert len(found) == fewest


def test_a_search_given_up_still_covers(monkeypatch: pytest.MonkeyPatch) -> None:
    triples = [frozenset({a, b}) for a, b in combinations(range(7), 2)]
    monkeypatch.setattr("pocketref.rulings.cover.MOST_STEPS", 8)
    assert frozenset[int]().union(*(triples[i] for i in choose_fewest(triples))) == frozenset(range(7))


# --- the plays of a sheet -----------------------------------------------------------------------------------


def test_a_sheet_takes_plays_by_subject_and_tag() -> None:
    (chosen,) = select(subjects=["contact"], tags=["squeeze"])
    assert chosen
    assert all(case.subject == "contact" and "squeeze" in case.model.tags for case in chosen)


def test_a_sheet_takes_no_more_than_it_may_and_some_of_each_subject() -> None:
    (chosen,) = select(plays="30")
    assert len(chosen) == 30
    assert {case.subject for case in chosen} == set(SUBJECTS)


def test_the_fewest_plays_of_one_code_are_as_many_as_its_rows() -> None:
    (chosen,) = select(cover=["high-school"], subjects=AT_THE_BOX)
    rows = count_rows("high-school", AT_THE_BOX)
    assert len(chosen) == rows
    met = {p.answer.where for p in ruled() if p.code == "high-school" and p.case in chosen}
    assert len(met) == rows


def test_one_sheet_can_meet_every_row_of_every_code_of_a_subject() -> None:
    (chosen,) = select(subjects=["second-touch"], cover=list(CODES))
    met = {p.answer.where for p in ruled() if p.case in chosen}
    assert met == {
        row.location for (_, s), t in content().rulings.items() if s == "second-touch" for row in t.rows
    }
    assert len(chosen) < 19


def test_a_series_repeats_no_play_and_mixes_subjects() -> None:
    weeks = select(series={"weeks": "12", "each": "6"})
    names = [case.name for week in weeks for case in week]
    assert len(weeks) == 12
    assert len(names) == len(set(names)) == 72
    assert all(len({case.subject for case in week}) >= 3 for week in weeks)


def test_plays_dealt_fairly_are_the_same_plays_in_a_fixed_order() -> None:
    dealt = deal_fairly(cases())
    assert sorted(n.name for n in dealt) == sorted(n.name for n in cases())
    assert dealt == deal_fairly(list(reversed(cases())))


def test_every_stretch_of_dealt_plays_holds_each_subject_by_its_share() -> None:
    dealt = deal_fairly(cases())
    for subject in SUBJECTS:
        share = sum(case.subject == subject for case in dealt) / len(dealt)
        for end in range(1, len(dealt) + 1):
            held = sum(case.subject == subject for case in dealt[:end])
            assert abs(held - share * end) < 1


def test_a_series_may_take_every_play_and_not_one_more() -> None:
    pool = [case for case in cases() if "high-school" in case.model.expect]
    for weeks, each in ((len(pool) // 5, 5), (1, 30)):
        taken = select(series={"weeks": str(weeks), "each": str(each)})
        assert [len(week) for week in taken] == [each] * weeks
    with pytest.raises(PocketrefError) as caught:
        select(series={"weeks": str(len(pool) // 5 + 1), "each": "5"})
    (problem,) = caught.value.problems
    weeks = len(pool) // 5 + 1
    assert problem.sentence == (
        f"the sheet 'night': {weeks} weeks of 5 take {5 * weeks} plays, and there are {len(pool)}"
    )


def test_a_sheet_of_named_plays_has_them_in_the_order_given() -> None:
    names = [cases()[5].name, cases()[2].name]
    assert [[case.name for case in week] for week in select(cases=names)] == [names]


def test_a_sheet_with_too_few_plays_for_its_rows_is_told_how_many_to_write() -> None:
    rows = count_rows("high-school", AT_THE_BOX)
    assert rows <= 30
    assert len(select(cover=["high-school"], subjects=AT_THE_BOX, plays=str(rows))[0]) == rows
    with pytest.raises(PocketrefError) as caught:
        select(cover=["high-school"], subjects=AT_THE_BOX, plays=str(rows - 1))
    (problem,) = caught.value.problems
    assert problem.hint == f"write plays: {rows}"
    assert f"every row takes {rows} plays, and it has room for {rows - 1}" in problem.sentence


def test_a_sheet_of_named_plays_asks_for_these_and_no_other() -> None:
    names = {cases()[5].name, cases()[2].name}
    asked = sheet(cases=sorted(names))
    assert {case.name for case in cases() if fits_sheet(asked, case)} == names


def test_a_sheet_asks_for_plays_of_its_code_its_subjects_and_any_of_its_tags() -> None:
    asked = sheet(subjects=["contact", "leaving"], tags=["squeeze", "delay"])
    for case in cases():
        expected = (
            "high-school" in case.model.expect
            and case.subject in ("contact", "leaving")
            and bool({"squeeze", "delay"} & {*case.model.tags})
        )
        assert fits_sheet(asked, case) == expected
    assert all(fits_sheet(sheet(), case) == ("high-school" in case.model.expect) for case in cases())


def test_rows_that_no_play_meets_are_filled_with_computed_plays() -> None:
    few = [case for case in cases() if case.subject == "stance"][:1]
    some = [play for play in ruled() if play.case in few]
    asked = sheet(subjects=["stance"], fill="yes", cover=["high-school"])
    (chosen,) = select_plays(asked, few, some, books())
    assert len(chosen) == len(content().rulings["high-school", "stance"].rows)
    assert [case.is_computed for case in chosen] == [False, True, True, True]


@pytest.mark.parametrize(
    ("rest", "code"),
    [
        ({"subjects": ["thrown-bat"], "tags": ["squeeze"]}, "play-sheet-empty"),
        ({"cover": ["high-school"], "plays": "5"}, "play-sheet-full"),
        ({"series": {"weeks": "30", "each": "10"}}, "play-series-short"),
    ],
)
def test_a_sheet_that_cannot_be_filled_is_refused(rest: dict[str, object], code: str) -> None:
    with pytest.raises(PocketrefError) as caught:
        select(**rest)
    assert [problem.code for problem in caught.value.problems] == [code]
