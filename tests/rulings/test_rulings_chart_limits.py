"""How a chart is drawn, and what is still told where a table is too large for the best one."""

from __future__ import annotations

import pytest
from hypothesis import given, settings
from rulings_grids import Listing, grid_table, grids
from rulings_tables import make_fact, meets, walk

from pocketref.problems import Location, PocketrefError
from pocketref.rulings import nodes as nodes_module
from pocketref.rulings.answer import complete_answer
from pocketref.rulings.chart import (
    Chart,
    build_best_chart,
    build_chart,
    build_chart_in_order,
)
from pocketref.rulings.nodes import Ending, Question
from pocketref.rulings.table import Table

# The first answer decides which fact is worth asking next; asking all in one order takes more.
FORKED = grid_table("AABCDEDF", (1, 1), (1, 2), (2, 1))


def every_chart(table: Table) -> list[Chart]:
    names = [fact.name for fact in table.facts]
    return [
        build_best_chart(table),
        build_chart_in_order(table, names[::-1]),
    ]


def steps_to_nodes(chart: Chart) -> list[int]:
    """How many questions lie between the root and each node, on the shortest way; -1 if there is no way."""
    found = [-1] * len(chart.nodes)
    found[chart.root] = 0
    waiting = [chart.root]
    for number in waiting:
        node = chart.nodes[number]
        for way in node.exits if isinstance(node, Question) else ():
            if found[way.target] < 0:
                found[way.target] = found[number] + 1
                waiting.append(way.target)
    return found


def answers_used(chart: Chart, table: Table) -> set[tuple[int, str]]:
    """Each question with each answer that some possible play gives there."""
    used = set()
    for play in Listing(table).plays:
        number = chart.root
        while isinstance(node := chart.nodes[number], Question):
            answer = play[node.fact]
            used.add((number, answer))
            number = next(way.target for way in node.exits if answer in way.answers)
    return used


@settings(max_examples=60)
@given(grids(outcomes="ABC--"))
def test_a_chart_has_every_way_on_once_and_in_the_author_s_order(table: Table) -> None:
    for chart in every_chart(table):
        questions = [node for node in chart.nodes if isinstance(node, Question)]
        assert list(chart.nodes[: len(questions)]) == questions
        away = steps_to_nodes(chart)
        assert away[: len(questions)] == sorted(away[: len(questions)])
        assert min(away) == away[chart.root] == 0
        assert len(set(questions)) == len(questions)
        printed = {
            (number, answer)
            for number, node in enumerate(chart.nodes)
            if isinstance(node, Question)
            for way in node.exits
            for answer in way.answers
        }
        assert printed == answers_used(chart, table)
        for node in questions:
            known = table.fact_by_name[node.fact].answers
            assert len({way.target for way in node.exits}) == len(node.exits) > 1
            firsts = [known.index(way.answers[0]) for way in node.exits]
            assert firsts == sorted(firsts)
            assert all(list(way.answers) == sorted(way.answers, key=known.index) for way in node.exits)


@settings(max_examples=60)
@given(grids(outcomes="ABC--"))
def test_a_chart_ends_once_for_each_outcome_and_cites_each_row_that_leads_there(table: Table) -> None:
    listing = Listing(table)
    for chart in every_chart(table):
        endings = [node for node in chart.nodes if isinstance(node, Ending)]
        assert {node.outcome for node in endings} == set(listing.outcomes)
        assert len(endings) == len(set(listing.outcomes))
        for node in endings:
            assert list(node.rows) == [
                row
                for row in table.rows
                if row.outcome == node.outcome and any(meets(row, play) for play in listing.plays)
            ]


@settings(max_examples=60)
@given(grids())
def test_the_order_told_is_that_of_every_path_and_names_just_what_is_asked(table: Table) -> None:
    for chart in every_chart(table):
        asked = {node.fact for node in chart.nodes if isinstance(node, Question)}
        assert set(chart.order) == asked
        assert len(chart.order) == len(asked)
        first = chart.nodes[chart.root]
        assert not isinstance(first, Question) or not chart.free or chart.order[0] == first.fact
        for play in Listing(table).plays if not chart.free else ():
            facts = [fact for fact, _ in walk(chart, play)[0]]
            assert facts == sorted(facts, key=chart.order.index)


def test_a_chart_with_branches_of_their_own_lists_its_facts_as_they_come_up() -> None:
    chart = build_chart(FORKED)
    assert (chart.free, chart.is_fixed, chart.order[0]) == (True, False, "f0")
    assert sorted(chart.order) == ["f0", "f1", "f2"]


# --- limits -------------------------------------------------------------------------------------------------


def problem_of(caught: pytest.ExceptionInfo[PocketrefError]) -> tuple[str, str, str]:
    (problem,) = caught.value.problems
    return problem.code, problem.sentence, problem.hint


def test_a_chart_far_too_large_is_refused_with_what_to_do(monkeypatch: pytest.MonkeyPatch) -> None:
    sentence = "the chart of any: contact would be too large to draw"
    where = Location("contact.yaml", 3, 1)
    table = Table("contact", "any", FORKED.facts, FORKED.rows, where=where)
    monkeypatch.setattr(nodes_module, "MOST_PARTS", build_best_chart(table).question_count)
    with pytest.raises(PocketrefError) as caught:
        build_chart_in_order(table, ["f1"])
    hint = "leave the order of questions free, or split the table"
    assert problem_of(caught) == ("chart-too-large", sentence, hint)
    with pytest.raises(PocketrefError) as caught:
        build_best_chart(table)
    assert problem_of(caught) == ("chart-too-large", sentence, "split the table")
    assert caught.value.problems[0].where == where


def test_an_answer_typed_in_part_is_read_where_only_one_begins_so() -> None:
    foot = make_fact("foot", "in", "in-air", "outside", "on-line")
    typed = ("in", "in-", "ou", " OUT ", "o", "i", "outsides", "x", "")
    assert [complete_answer(foot, words) for words in typed] == [
        "in", "in-air", "outside", "outside", "", "", "", "", "",
    ]  # fmt: skip
