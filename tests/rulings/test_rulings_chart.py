"""Charts ask the fewest questions, honour a fixed order, and agree with their table on every play."""

from __future__ import annotations

from dataclasses import replace
from itertools import permutations

import pytest
from hypothesis import given, settings
from rulings_tables import (
    BAT,
    CONTACT_ROWS,
    FOOT,
    PLATE,
    is_possible,
    make_fact,
    make_row,
    make_table,
    plays_of,
    unique_tables,
    walk,
)

from pocketref.problems import PocketrefError, Severity
from pocketref.rulings import questions as questions_module
from pocketref.rulings.chart import (
    Chart,
    build_best_chart,
    build_chart,
    build_chart_in_order,
    find_shorter_chart,
    follow_chart,
    list_chart_problems,
)
from pocketref.rulings.nodes import Ending, Question
from pocketref.rulings.table import Table, decide

CONTACT = make_table((PLATE, FOOT, BAT), *CONTACT_ROWS)
# The first answer decides which fact is worth asking next: no single order suits both branches.
FORKED = make_table(
    (make_fact("first", "x", "y"), make_fact("p", "yes", "no"), make_fact("q", "yes", "no")),
    make_row("out", first="x", p="no"),
    make_row("safe", first="x", p="yes", q="yes"),
    make_row("dead", first="x", p="yes", q="no"),
    make_row("play on", first="y", q="no"),
    make_row("ball", first="y", q="yes", p="yes"),
    make_row("strike", first="y", q="yes", p="no"),
)


def assert_agrees(chart: Chart, table: Table) -> None:
    lengths = []
    for play in plays_of(table):
        if is_possible(table, play):
            path, outcome = walk(chart, play)
            assert outcome == decide(table, play).outcome
            assert all(play[fact] == answer for fact, answer in path)
            lengths.append(len(path))
    assert max(lengths) == chart.worst
    assert sum(lengths) / len(lengths) == pytest.approx(chart.expected)


def test_the_chart_asks_first_what_settles_most() -> None:
    chart = build_chart(CONTACT)
    assert (chart.worst, chart.expected, chart.free, chart.is_proven_best) == (3, 1.75, False, True)
    assert chart.order == ("bat", "plate", "foot")
    first = chart.nodes[chart.root]
    assert isinstance(first, Question)
    assert first.fact == "bat"


def test_answers_with_the_same_way_on_share_an_exit_and_endings_are_one_a_ruling() -> None:
    chart = build_chart(CONTACT)
    foot = next(node for node in chart.nodes if isinstance(node, Question) and node.fact == "foot")
    assert [way.answers for way in foot.exits] == [("inside", "line"), ("outside",)]
    endings = {node.outcome: node.rows for node in chart.nodes if isinstance(node, Ending)}
    assert endings == {"out": CONTACT.rows[1:3], "play on": (CONTACT.rows[0], CONTACT.rows[3])}


def test_weights_move_the_frequent_case_forward() -> None:
    even = make_table(
        (BAT, PLATE),
        make_row("a", bat="yes", plate="yes"),
        make_row("b", bat="no"),
        make_row("b", bat="yes", plate="no"),
    )
    assert build_chart(even).order == ("bat", "plate")
    rare = make_fact("plate", "yes", "no", weights=(0.1, 0.9))
    chart = build_chart(replace(even, facts=(BAT, rare)))
    assert chart.order == ("plate", "bat")
    assert chart.expected == pytest.approx(1.1)


def test_weights_that_do_not_fit_their_answers_are_refused() -> None:
    for weights in ((1.0,), (1.0, -1.0), (0.0, 0.0)):
        facts = (make_fact("bat", "yes", "no", weights=weights),)
        table = make_table(facts, make_row("a", bat="yes"), make_row("b", bat="no"))
        with pytest.raises(PocketrefError, match="weights of 'bat'"):
            build_chart(table)


def test_branches_take_their_own_order_only_where_that_asks_less() -> None:
    free = build_best_chart(FORKED)
    assert free.free
    assert (free.worst, free.expected) == (3, 2.5)
    assert_agrees(free, FORKED)
    for order in permutations(fact.name for fact in FORKED.facts):
        ordered = build_chart_in_order(FORKED, order)
        assert not ordered.free
        assert ordered.value > free.value
        assert_agrees(ordered, FORKED)


def test_of_facts_that_serve_as_well_the_author_s_first_is_asked() -> None:
    facts = tuple(make_fact(name, "yes", "no") for name in ("third", "first", "second"))
    all_yes = {fact.name: "yes" for fact in facts}
    rows = [make_row("safe", **dict(list(all_yes.items())[:n]), **{facts[n].name: "no"}) for n in range(3)]
    for order in permutations(facts):
        chart = build_best_chart(make_table(order, make_row("out", **all_yes), *rows))
        assert chart.order == tuple(fact.name for fact in order)


def test_what_cannot_happen_shortens_the_chart() -> None:
    never = (make_row("a foot on the plate is outside", plate="yes", foot="inside line"),)
    table = make_table(
        (PLATE, FOOT),
        make_row("out", plate="yes"),
        make_row("out", plate="no", foot="outside"),
        make_row("play on", plate="no", foot="inside line"),
        never=never,
    )
    assert build_chart(table).order == ("foot",)
    assert build_chart(replace(table, never=(), rows=table.rows)).worst == 2


def test_the_fixed_order_is_honoured_and_a_shorter_one_told() -> None:
    fixed = replace(CONTACT, fixed_order=("foot", "plate"))
    chart = build_chart(fixed)
    assert chart.is_fixed
    assert chart.order == ("foot", "plate", "bat")
    best = find_shorter_chart(fixed)
    assert best is not None
    assert best.order == ("bat", "plate", "foot")
    (problem,) = list_chart_problems(fixed)
    assert problem.severity is Severity.WARNING
    assert problem.hint == "order: [bat, plate, foot]"
    assert find_shorter_chart(replace(CONTACT, fixed_order=("bat", "plate"))) is None
    assert list_chart_problems(CONTACT) == []


def test_a_misspelt_order_gets_a_close_match() -> None:
    with pytest.raises(PocketrefError) as caught:
        build_chart_in_order(CONTACT, ["plat"])
    assert caught.value.problems[0].hint == "did you mean 'plate'?"


def test_a_faulty_table_gets_no_chart_but_its_faults() -> None:
    with pytest.raises(PocketrefError, match="no row rules on: bat = no"):
        build_chart(replace(CONTACT, rows=CONTACT.rows[1:]))
    with pytest.raises(PocketrefError, match="two rows meet the same play"):
        build_chart(replace(CONTACT, rows=(*CONTACT.rows, make_row("out", foot="line"))))
    with pytest.raises(PocketrefError, match="no play is possible"):
        build_chart(make_table((BAT,), never=(make_row("no game today"),)))


def test_a_chart_is_followed_as_far_as_the_answers_lead() -> None:
    chart = build_chart(CONTACT)
    (way,), node = follow_chart(chart, {"bat": "yes"})
    assert (way[0].fact, way[1]) == ("bat", ("yes",))
    assert isinstance(node, Question)
    assert node.fact == "plate"
    assert follow_chart(chart, {"bat": "maybe"}) == ((), chart.nodes[chart.root])


def test_a_table_with_one_outcome_is_a_chart_without_questions() -> None:
    chart = build_chart(make_table((BAT,), make_row("play on")))
    assert walk(chart, {}) == ((), "play on")
    assert (chart.worst, chart.expected, chart.order) == (0, 0, ())


def test_beyond_the_exact_search_the_chart_says_it_is_not_proven(monkeypatch: pytest.MonkeyPatch) -> None:
    facts = tuple(make_fact(f"f{i}", "yes", "no") for i in range(11))
    rows = [make_row(f"r{i}", **{f"f{j}": "no" for j in range(i)}, **{f"f{i}": "yes"}) for i in range(11)]
    table = make_table(facts, *rows, make_row("none", **{f"f{j}": "no" for j in range(11)}))
    chart = build_chart(table)
    assert not chart.is_proven_best
    (problem,) = list_chart_problems(table)
    assert (problem.code, problem.severity) == ("chart-unproven", Severity.WARNING)
    assert "11 questions at worst" in problem.sentence
    assert (chart.worst, chart.question_count) == (11, 11)
    assert_agrees(chart, table)
    assert build_chart(FORKED).is_proven_best
    monkeypatch.setattr(questions_module, "MOST_STATES", 3)
    hurried = build_chart(FORKED)
    assert not hurried.is_proven_best
    assert_agrees(hurried, FORKED)


@settings(max_examples=60)
@given(unique_tables())
def test_every_kind_of_chart_agrees_with_the_table_on_every_play(table: Table) -> None:
    best = build_best_chart(table)
    fixed = build_chart_in_order(table, [fact.name for fact in table.facts][::-1])
    for chart in (best, fixed):
        assert_agrees(chart, table)
        assert chart.is_proven_best
    assert best.value <= fixed.value
    if not best.free:
        assert build_chart_in_order(table, best.order).value == best.value


@settings(max_examples=40)
@given(unique_tables(most_facts=3))
def test_heuristic_charts_agree_with_the_table_too(table: Table) -> None:
    order = [fact.name for fact in table.facts][::-1]
    best, fixed = build_best_chart(table), build_chart_in_order(table, order)
    asks = bool(table_asks(table))
    with pytest.MonkeyPatch.context() as patch:
        patch.setattr(questions_module, "MOST_FACTS", 0)
        for few in (0, 5):
            patch.setattr(questions_module, "FEW_FACTS", few)
            chart = build_best_chart(table)
            assert_agrees(chart, table)
            assert chart.value >= best.value
            assert chart.is_proven_best == (not asks)
        chart = build_chart_in_order(table, order)
        assert_agrees(chart, table)
        assert chart.value >= fixed.value
        assert chart.is_proven_best == (not asks or not table.never)
        assert chart.value == fixed.value or table.never


def table_asks(table: Table) -> set[str]:
    """The facts that a row which can be met asks."""
    return {name for row in table.rows for name, answers in row.when.items()}


def test_a_chart_that_asks_has_an_order_of_its_own_and_one_that_asks_nothing_has_none() -> None:
    one = make_table((BAT,), make_row("out", bat="yes"), make_row("safe", bat="no"))
    none = make_table((BAT,), make_row("out"))
    chart = build_best_chart(one)
    assert (chart.worst, chart.order) == (1, ("bat",))
    assert not build_chart_in_order(one, ("bat",)).free
    empty = build_best_chart(none)
    assert (empty.worst, empty.order, empty.free) == (0, (), False)
