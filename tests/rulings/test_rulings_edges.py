"""Limits of what is searched and listed, and what is still told and still right beyond them."""

from __future__ import annotations

from dataclasses import replace
from itertools import product

import pytest
from hypothesis import given, settings
from hypothesis import strategies as st
from rulings_tables import (
    BAT,
    FOOT,
    OUTCOMES,
    PLATE,
    is_possible,
    make_fact,
    make_row,
    make_table,
    meets,
    merge_boxes,
    plays_of,
    unique_tables,
)

from pocketref.problems import Location, PocketrefError, Severity
from pocketref.rulings import audit as audit_module
from pocketref.rulings import cover as cover_module
from pocketref.rulings.audit import audit_table, list_idle_in_all, list_problems
from pocketref.rulings.boxes import Box, Combination, Space, bits, contains, is_empty, subtract, volume
from pocketref.rulings.chart import build_chart
from pocketref.rulings.contrast import contrast_many, contrast_tables, joined_space
from pocketref.rulings.cover import Cover, conditions, cover_set
from pocketref.rulings.nodes import Ending
from pocketref.rulings.questions import whole_weights
from pocketref.rulings.table import (
    NO_RULING,
    Row,
    Table,
    decide,
    facts_that_matter,
    matching_rows,
    read_ending,
)

SIX = tuple(make_fact(f"f{i}", "yes", "no") for i in range(6))
WIDE = Space(tuple("abcdef"), (("yes", "no"),) * 6)


def points(box: Box) -> set[tuple[int, ...]]:
    return set(product(*(bits(mask) for mask in box)))


def union(boxes: tuple[Box, ...]) -> set[tuple[int, ...]]:
    return set().union(*(points(box) for box in boxes))


def corner(number: int) -> Box:
    """One combination of six yes-or-no facts."""
    return tuple(1 << (number >> place & 1) for place in range(6))


ODD = [corner(n) for n in range(64) if n.bit_count() % 2]
EVEN = [corner(n) for n in range(64) if not n.bit_count() % 2]


# --- boxes and covers ---------------------------------------------------------------------------------------


def test_a_box_without_an_answer_to_some_fact_is_empty_and_says_so() -> None:
    space = Space(("plate", "foot"), (("yes", "no"), ("inside", "outside")))
    empty = space.box({"plate": ()})
    assert is_empty(empty)
    assert volume(empty) == 0
    assert str(space.describe(empty)) == "plate = no answer"
    assert subtract(empty, space.full) == []
    assert contains(space.box({"plate": ("yes",)}), empty)


def test_conditions_are_the_facts_that_a_box_narrows() -> None:
    assert conditions(WIDE.full, WIDE.full) == 0
    assert conditions(WIDE.full, corner(0)) == 6
    assert conditions(WIDE.full, WIDE.box({"b": ("no",), "e": ("yes",)})) == 2


def test_nothing_is_covered_by_no_boxes_and_everything_by_one() -> None:
    assert cover_set(WIDE.full, [], [WIDE.full]) == Cover((), fewest=True)
    assert merge_boxes(WIDE.full, ODD + EVEN) == Cover((WIDE.full,), fewest=True)


def test_what_shares_no_side_cannot_be_merged() -> None:
    cover = merge_boxes(WIDE.full, ODD)
    assert cover.fewest
    assert sorted(cover.boxes) == sorted(ODD)


def test_broad_boxes_come_before_narrow_ones_and_then_in_the_author_s_order() -> None:
    space = Space(("bat", "plate", "foot"), (("yes", "no"), ("yes", "no"), ("inside", "line", "outside")))
    broad = space.box({"plate": ("no",)})
    first = space.box({"bat": ("yes",), "foot": ("inside",)})
    second = space.box({"bat": ("no",), "foot": ("outside",)})
    assert merge_boxes(space.full, [second, first, broad]).boxes == (broad, first, second)


def greedily(patch: pytest.MonkeyPatch, name: str = "MOST_WANTED", limit: int = 0) -> None:
    patch.setattr(cover_module, name, limit)


@pytest.mark.parametrize("name", ["MOST_WANTED", "MOST_MAXIMAL", "MOST_JOINS", "MOST_ATOMS", "MOST_STEPS"])
def test_a_search_given_up_leaves_exactly_the_same_set_and_does_not_claim_the_fewest(
    name: str, monkeypatch: pytest.MonkeyPatch
) -> None:
    pieces = [corner(n) for n in range(64) if n % 7 < 3]
    outside = [corner(n) for n in range(64) if n % 7 >= 3]
    best = cover_set(WIDE.full, pieces, outside)
    assert best.fewest
    greedily(monkeypatch, name)
    found = cover_set(WIDE.full, pieces, outside)
    assert (found.fewest, found.whole) == (False, True)
    assert union(found.boxes) == union(best.boxes) == union(tuple(pieces))
    assert len(found.boxes) >= len(best.boxes)


@settings(max_examples=80)
@given(st.sets(st.integers(0, 63), min_size=1))
def test_boxes_grown_one_by_one_can_neither_grow_nor_be_left_out(chosen: set[int]) -> None:
    pieces = tuple(corner(n) for n in sorted(chosen))
    outside = [corner(n) for n in range(64) if n not in chosen]
    with pytest.MonkeyPatch.context() as patch:
        greedily(patch)
        cover = cover_set(WIDE.full, pieces, outside)
    wanted = union(pieces)
    assert cover.whole
    assert union(cover.boxes) == wanted
    for box in cover.boxes:
        assert union(tuple(other for other in cover.boxes if other != box)) != wanted
        for place in range(6):
            wider = (*box[:place], 3, *box[place + 1 :])
            assert wider == box or not points(wider) <= wanted


def test_no_more_boxes_are_listed_than_asked_for() -> None:
    for most in range(len(ODD) + 1):
        cover = cover_set(WIDE.full, ODD, EVEN, most)
        assert len(cover.boxes) == min(most, len(ODD))
        assert cover.whole == (most == len(ODD))
        assert union(cover.boxes) <= union(tuple(ODD))


def test_one_box_that_was_grown_is_the_fewest(monkeypatch: pytest.MonkeyPatch) -> None:
    greedily(monkeypatch)
    half = WIDE.box({"a": ("yes",)})
    cover = cover_set(WIDE.full, [corner(n) for n in range(0, 64, 2)], [WIDE.box({"a": ("no",)})])
    assert cover == Cover((half,), fewest=True)


# --- tables -------------------------------------------------------------------------------------------------


def test_rows_that_meet_only_in_what_cannot_happen_rule_without_a_quarrel() -> None:
    table = make_table(
        (PLATE, FOOT),
        make_row("out", plate="yes"),
        make_row("dead", foot="outside"),
        make_row("play on", plate="no", foot="inside line"),
        never=(make_row("the plate is inside", plate="yes", foot="outside"),),
    )
    assert [row.outcome for row in matching_rows(table, {"plate": "yes"})] == ["out"]
    assert decide(table, {"plate": "yes"}).outcome == "out"
    assert decide(table, {"foot": "outside"}).outcome == "dead"


def test_two_rows_that_quarrel_are_told_though_a_third_meets_neither() -> None:
    table = make_table(
        (BAT, PLATE),
        make_row("out", bat="yes"),
        make_row("out", bat="yes", plate="yes"),
        make_row("out", bat="no"),
    )
    with pytest.raises(PocketrefError) as caught:
        decide(table, {})
    assert [problem.code for problem in caught.value.problems] == ["play-two-rows"]
    assert decide(table, {"bat": "no"}).outcome == "out"


def test_what_cannot_happen_is_told_with_every_reason_at_the_first_one_s_place() -> None:
    first, second = (Location("contact.yaml", line, 5) for line in (20, 21))
    never = (
        Row({"bat": frozenset({"yes"}), "plate": frozenset({"yes"})}, "no bat", first),
        Row({"bat": frozenset({"yes"}), "plate": frozenset({"no"})}, "no ball", second),
        Row({"bat": frozenset({"no"}), "plate": frozenset({"no"})}, "no plate", None),
    )
    table = make_table((BAT, PLATE), make_row("out"), never=never)
    with pytest.raises(PocketrefError) as caught:
        decide(table, {"bat": "yes"})
    (problem,) = caught.value.problems
    assert (problem.code, problem.hint, problem.where) == ("play-impossible", "no bat; no ball", first)


def test_plays_that_all_weigh_nothing_are_expected_to_take_no_questions() -> None:
    rare = make_fact("plate", "yes", "no", weights=(0.0, 0.0001))
    table = make_table(
        (BAT, rare),
        make_row("out", bat="yes"),
        make_row("safe", bat="no"),
        never=(make_row("the plate is covered", plate="no"),),
    )
    chart = build_chart(table)
    assert (chart.worst, chart.expected, chart.order) == (1, 0.0, ("bat",))


@pytest.mark.parametrize(
    ("weights", "whole"),
    [((), (1, 1)), ((0.1, 0.9), (1, 9)), ((1.0, 2.5), (2, 5)), ((0.0, 3.0), (0, 3)), ((0.25, 0.2), (5, 4))],
)
def test_weights_become_whole_numbers_in_the_same_ratio(
    weights: tuple[float, ...], whole: tuple[int, int]
) -> None:
    found = whole_weights(make_fact("bat", "yes", "no", weights=weights))
    assert found[0] * whole[1] == found[1] * whole[0]
    assert sum(found) > 0


# --- audits -------------------------------------------------------------------------------------------------


def test_overlaps_are_listed_up_to_a_limit(monkeypatch: pytest.MonkeyPatch) -> None:
    table = make_table((BAT,), *(make_row(f"r{n}") for n in range(4)))
    for most, complete in ((6, True), (5, False)):
        monkeypatch.setattr(audit_module, "MOST_OVERLAPS", most)
        audit = audit_table(table)
        assert (len(audit.overlaps), audit.overlaps_complete) == (most, complete)
        more = [p for p in list_problems(audit) if "has more overlaps than are listed" in p.sentence]
        assert len(more) == (not complete)


def table_of_odd_rows() -> Table:
    rows = [
        make_row("out", **{f"f{i}": "yes" if n >> i & 1 else "no" for i in range(6)})
        for n in range(64)
        if n.bit_count() % 2
    ]
    return make_table(SIX, *rows)


def test_gaps_are_listed_up_to_a_limit(monkeypatch: pytest.MonkeyPatch) -> None:
    for most, complete in ((32, True), (31, False)):
        monkeypatch.setattr(audit_module, "MOST_GAPS", most)
        audit = audit_table(table_of_odd_rows())
        assert (len(audit.gaps), audit.gaps_complete, audit.idle_complete) == (most, complete, complete)
        more = [p for p in list_problems(audit) if "has more gaps than are listed here" in p.sentence]
        assert len(more) == (not complete)
        assert not audit.is_unique


def test_gaps_of_more_boxes_than_are_looked_at_are_not_called_complete(
    monkeypatch: pytest.MonkeyPatch,
) -> None:
    for most, complete in ((32, True), (31, False)):
        monkeypatch.setattr(audit_module, "MOST_GAP_BOXES", most)
        audit = audit_table(table_of_odd_rows())
        assert audit.gaps_complete == complete
        assert audit.gaps


def test_idle_parts_are_looked_for_while_the_plays_are_few_enough_boxes(
    monkeypatch: pytest.MonkeyPatch,
) -> None:
    table = make_table((BAT, PLATE), make_row("out", bat="yes"), make_row("safe", bat="no"))
    for most, complete in ((2, True), (1, False), (0, False)):
        monkeypatch.setattr(audit_module, "MOST_POSSIBLE_BOXES", most)
        audit = audit_table(table)
        assert audit.idle_complete == complete
        assert audit.idle_facts == (("plate",) if complete else ())
        assert [problem.code for problem in list_idle_in_all([audit])] == (["fact-idle"] if complete else [])


def test_nothing_is_idle_in_no_tables() -> None:
    assert list_idle_in_all([]) == []


def test_a_fact_s_own_place_is_told_before_its_table_s() -> None:
    at_fact, at_table = Location("subjects/contact.yaml", 4, 3), Location("contact.yaml", 1, 1)
    table = make_table((BAT, PLATE), make_row("out", bat="yes"), make_row("safe", bat="no"))
    for fact, where in ((PLATE, at_table), (replace(PLATE, where=at_fact), at_fact)):
        (problem,) = list_idle_in_all([audit_table(replace(table, facts=(BAT, fact), where=at_table))])
        assert (problem.code, problem.where, problem.severity) == ("fact-idle", where, Severity.WARNING)


def test_an_overlap_says_where_the_other_row_is_as_far_as_it_is_known() -> None:
    def hint(where: Location | None) -> str:
        first = Row({"bat": frozenset({"yes"})}, "out", where)
        table = make_table((BAT,), first, make_row("dead", bat="yes"), make_row("safe", bat="no"))
        return list_problems(audit_table(table))[0].hint

    assert "is at contact.yaml:12:5;" in hint(Location("contact.yaml", 12, 5))
    assert "is at contact.yaml;" in hint(Location("contact.yaml", 0, 0))
    assert "is at an unknown place;" in hint(None)


# --- contrasts ----------------------------------------------------------------------------------------------


def by_name(left: str, right: str) -> bool:
    return left == right


def outcome_of(table: Table, play: dict[str, str]) -> str:
    return next((row.outcome for row in table.rows if meets(row, play)), NO_RULING)


def holds(when: Combination, play: dict[str, str]) -> bool:
    return all(play[fact] in answers for fact, answers in when.allowed)


@settings(max_examples=60)
@given(unique_tables(), st.lists(st.sampled_from(OUTCOMES), min_size=9, max_size=9))
def test_contrasts_of_large_tables_are_exact_too(left: Table, outcomes: list[str]) -> None:
    rows = tuple(replace(row, outcome=outcome) for row, outcome in zip(left.rows, outcomes, strict=False))
    right = replace(left, rows=rows, never=())
    with pytest.MonkeyPatch.context() as patch:
        greedily(patch)
        found = contrast_tables(left, right, by_name)
    for play in plays_of(left):
        if is_possible(left, play):
            told = {(row.left_outcome, row.right_outcome) for row in found if holds(row.when, play)}
            ruled = outcome_of(left, play), outcome_of(right, play)
            assert told == ({ruled} if ruled[0] != ruled[1] else set())


def test_where_rows_of_a_faulty_table_overlap_the_first_counts() -> None:
    first = make_table((BAT, PLATE), make_row("out", bat="yes"), make_row("safe"))
    clean = make_table((BAT, PLATE), make_row("out", bat="yes"), make_row("safe", bat="no"))
    assert contrast_tables(first, clean, by_name) == ()


def test_a_play_that_only_one_table_rules_on_differs_whatever_the_rulings_come_to() -> None:
    left = make_table((BAT,), make_row("out", bat="yes"))
    right = make_table((BAT,), make_row("out", bat="yes"), make_row("safe", bat="no"))
    (row,) = contrast_tables(left, right, lambda _left, _right: True)
    assert (str(row.when), row.left_outcome, row.right_outcome) == ("bat = no", NO_RULING, "safe")
    assert contrast_tables(left, left, by_name) == ()
    (many,) = contrast_many({"a": left, "b": right}, lambda _code, _outcome: "all the same")
    assert many.outcomes == {"a": NO_RULING, "b": "safe"}


def test_what_a_code_leaves_unsettled_differs_from_what_another_settles_whatever_it_says() -> None:
    settled, unsettled = (
        make_table((BAT,), replace(make_row("out"), is_open=is_it)) for is_it in (False, True)
    )
    (row,) = contrast_many({"a": settled, "b": unsettled})
    assert {code: read_ending(ending) for code, ending in row.outcomes.items()} == {
        "a": ("out", False),
        "b": ("", True),
    }
    (pair,) = contrast_tables(settled, unsettled, by_name)
    assert read_ending(pair.right_outcome) == ("out", True)
    other = make_table((BAT,), replace(make_row("safe"), is_open=True))
    assert contrast_many({"a": unsettled, "b": other}) == ()


def test_an_unsettled_row_ends_the_chart_apart_from_a_settled_one_with_the_same_outcome() -> None:
    table = make_table((BAT,), make_row("out", bat="yes"), replace(make_row("out", bat="no"), is_open=True))
    chart = build_chart(table)
    assert facts_that_matter(table, {}) == ("bat",)
    assert [(node.outcome, node.is_open) for node in chart.nodes if isinstance(node, Ending)] == [
        ("out", False),
        ("out", True),
    ]


def test_tables_without_facts_have_nothing_to_contrast() -> None:
    nothing = make_table(())
    assert joined_space([nothing]).names == ()
    assert contrast_tables(nothing, nothing, by_name) == ()


def test_differences_come_in_the_author_s_order_of_answers() -> None:
    left = make_table((FOOT,), *(make_row(f"left {a}", foot=a) for a in FOOT.answers))
    right = make_table((FOOT,), *(make_row(f"right {a}", foot=a) for a in reversed(FOOT.answers)))
    found = [str(row.when) for row in contrast_tables(left, right, by_name)]
    assert found == ["foot = inside", "foot = line", "foot = outside"]
