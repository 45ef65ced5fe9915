"""Item analysis against published examples and a reference library, and the laws that scores keep."""

from __future__ import annotations

from collections.abc import Sequence

import numpy as np
import pytest
from hypothesis import given
from hypothesis import strategies as st
from scipy.stats import binomtest, pointbiserialr

from pocketref.marks.item_analysis import Share, analyse_items, compare_groups, find_point_biserial

# J. D. Brown, "Point-biserial correlation coefficients", Shiken: JALT Testing & Evaluation SIG Newsletter 5(3),
# 2001, pages 12 to 14: eight totals, three items; printed with the deviation rounded to 8.29.
BROWN_TOTALS = (50, 45, 45, 40, 35, 30, 30, 25)
BROWN_ITEMS = {
    1: ((True,) * 4 + (False,) * 4, 0.91),
    2: ((False,) * 4 + (True,) * 4, -0.91),
}

tables = st.integers(1, 9).flatmap(
    lambda items: st.lists(st.lists(st.booleans(), min_size=items, max_size=items), min_size=1, max_size=30)
)


@pytest.mark.parametrize("number", BROWN_ITEMS)
def test_point_biserials_are_those_of_a_published_example(number: int) -> None:
    item, printed = BROWN_ITEMS[number]
    assert find_point_biserial(item, BROWN_TOTALS) == pytest.approx(printed, abs=0.006)


def test_an_item_that_all_have_right_has_no_correlation() -> None:
    assert find_point_biserial((True,) * 8, BROWN_TOTALS) is None


def test_a_published_distractor_table_gives_its_difficulty_and_discrimination() -> None:
    """A teachers' handout on item analysis (Scribd 496048006), key C: upper 27 % 32 of 32, lower 18 of 35."""
    item = [True] * 32 + [True] * 30 + [False] * 20 + [True] * 18 + [False] * 17
    totals = [10] * 32 + [5] * 50 + [0] * 35
    upper, lower = compare_groups(item, totals)
    assert (str(upper), str(lower)) == ("32 of 32", "18 of 35")
    assert upper.value - lower.value == pytest.approx(0.486, abs=0.0005)
    assert sum(item) / len(item) == pytest.approx(0.684, abs=0.0005)


@given(tables)
def test_point_biserials_are_those_of_a_reference_library(answers: list[list[bool]]) -> None:
    totals = [sum(row) for row in answers]
    for number, item in enumerate(analyse_items(answers).items):
        column = [row[number] for row in answers]
        if item.point_biserial is None:
            assert len(set(column)) == 1 or len(set(totals)) == 1
        else:
            assert item.point_biserial == pytest.approx(pointbiserialr(column, totals).statistic, abs=1e-9)
        if item.corrected is not None:
            rest = [total - right for total, right in zip(totals, column, strict=True)]
            assert item.corrected == pytest.approx(pointbiserialr(column, rest).statistic, abs=1e-9)


@given(tables)
def test_reliability_is_that_of_an_analysis_of_variance(answers: list[list[bool]]) -> None:
    """C. Hoyt, "Test reliability estimated by analysis of variance", Psychometrika 6, 1941 (from memory): as KR-20."""
    found = analyse_items(answers).kr20
    expected = hoyt(answers)
    assert (found is None) == (expected is None)
    if found is not None:
        assert found == pytest.approx(expected, abs=1e-9)


def hoyt(answers: Sequence[Sequence[bool]]) -> float | None:
    """1 - residual mean square / mean square of the people; None where either has nothing to go by."""
    table = np.array(answers, dtype=float)
    people, items = table.shape
    if items < 2 or len(set(table.sum(axis=1))) == 1:
        return None
    mean = table.mean()
    of_people = items * ((table.mean(axis=1) - mean) ** 2).sum()
    of_items = people * ((table.mean(axis=0) - mean) ** 2).sum()
    rest = ((table - mean) ** 2).sum() - of_people - of_items
    return float(1 - (rest / ((people - 1) * (items - 1))) / (of_people / (people - 1)))


@given(st.integers(0, 60), st.integers(1, 60))
def test_the_least_share_is_that_of_a_reference_library(count: int, more: int) -> None:
    share = Share(count, count + more)
    interval = binomtest(count, count + more).proportion_ci(0.95, method="wilson")
    assert share.least == pytest.approx(interval.low, abs=1e-7)


@given(tables, st.randoms(use_true_random=False))
def test_the_order_of_the_people_changes_nothing(answers: list[list[bool]], random: object) -> None:
    shuffled = list(answers)
    random.shuffle(shuffled)  # type: ignore[attr-defined]  # Hypothesis gives a random.Random
    assert analyse_items(shuffled) == analyse_items(answers)


@given(tables)
def test_every_figure_keeps_within_its_bounds(answers: list[list[bool]]) -> None:
    found = analyse_items(answers)
    assert found.mean == pytest.approx(sum(item.right.value for item in found.items))
    assert found.kr20 is None or found.kr20 <= 1 + 1e-9
    for item in found.items:
        for value in (item.point_biserial, item.corrected, item.discrimination):
            assert value is None or -1 - 1e-9 <= value <= 1 + 1e-9
        assert 0 <= item.right.value <= 1


def test_no_answers_have_no_figures() -> None:
    assert analyse_items([]).items == ()
    assert compare_groups([], [])[0].of == 0
