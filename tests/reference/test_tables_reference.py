"""Decision tables, charts and contrasts against published examples and independent brute force."""

from __future__ import annotations

import random
from fractions import Fraction
from itertools import combinations, permutations, product
from math import inf

import pytest
from rulings_tables import merge_boxes

from pocketref.problems import PocketrefError
from pocketref.rulings.audit import audit_table
from pocketref.rulings.boxes import Space
from pocketref.rulings.chart import build_best_chart, build_chart_in_order
from pocketref.rulings.contrast import contrast_tables
from pocketref.rulings.table import Fact, Row, Table, decide

Play = tuple[int, ...]
Function = dict[Play, str]


def table_of(function: Function, sizes: tuple[int, ...], rows: list[Row] | None = None) -> Table:
    """A table with one row for each play of the function; all other plays are impossible."""
    facts = tuple(
        Fact(f"f{i}", "?", tuple(str(a) for a in range(size)), tuple(str(a) for a in range(size)))
        for i, size in enumerate(sizes)
    )

    def row(play: Play, outcome: str) -> Row:
        return Row({f"f{i}": frozenset({str(a)}) for i, a in enumerate(play)}, outcome)

    every = product(*(range(size) for size in sizes))
    never = tuple(row(play, "cannot happen") for play in every if play not in function)
    listed = tuple(rows or [row(play, outcome) for play, outcome in function.items()])
    return Table("t", "c", facts, listed, never)


# --- brute force: sets of plays only --------------------------------------------------------------------------


def tree_costs(
    plays: tuple[Play, ...], function: Function, places: tuple[int, ...], ordered: bool
) -> dict[int, int]:
    """Worst case -> least sum of questions over the plays, of all decision trees over some facts.

    If `ordered`, each fact is asked or skipped in turn; else any fact may come next.
    """
    if len({function[play] for play in plays}) <= 1:
        return {0: 0}
    found: dict[int, int] = {}

    def note(costs: dict[int, int]) -> None:
        for depth, cost in costs.items():
            found[depth] = min(cost, found.get(depth, cost))

    for number, place in enumerate(places if not ordered else places[:1]):
        rest = (*places[:number], *places[number + 1 :])
        combined = {0: 0}
        for answer in sorted({play[place] for play in plays}):
            below = tree_costs(tuple(p for p in plays if p[place] == answer), function, rest, ordered)
            mixed: dict[int, int] = {}
            for (d1, c1), (d2, c2) in product(combined.items(), below.items()):
                depth = max(d1, d2)
                mixed[depth] = min(c1 + c2, mixed.get(depth, c1 + c2))
            combined = mixed
        note({depth + 1: cost + len(plays) for depth, cost in combined.items()})
        if ordered:
            note(tree_costs(plays, function, rest, ordered))
    return found


def shortest(costs: dict[int, int], plays: int) -> tuple[float, Fraction]:
    if not costs:
        return inf, Fraction(0)
    depth = min(costs)
    return depth, Fraction(costs[depth], plays)


def diagram_nodes(function: Function, sizes: tuple[int, ...], order: tuple[int, ...]) -> int:
    """Nodes of the reduced ordered diagram of a function on all plays: on each level the distinct
    subfunctions that depend on the level's fact (R. E. Bryant, 1986)."""
    count = 0
    for level, place in enumerate(order):
        before, after = order[:level], order[level + 1 :]
        distinct = set()
        for fixed in product(*(range(sizes[p]) for p in before)):
            tables = []
            for answer in range(sizes[place]):
                values = []
                for rest in product(*(range(sizes[p]) for p in after)):
                    known = dict(zip((*before, place, *after), (*fixed, answer, *rest), strict=True))
                    values.append(function[tuple(known[i] for i in range(len(sizes)))])
                tables.append(tuple(values))
            if len(set(tables)) > 1:
                distinct.add(tuple(tables))
        count += len(distinct)
    return count


def assert_chart_is_best(function: Function, sizes: tuple[int, ...]) -> None:
    table = table_of(function, sizes)
    plays = tuple(function)
    places = tuple(range(len(sizes)))
    free = shortest(tree_costs(plays, function, places, ordered=False), len(plays))
    by_order = {
        order: shortest(tree_costs(plays, function, order, ordered=True), len(plays))
        for order in permutations(places)
    }
    best = build_best_chart(table)
    assert best.value == free
    assert best.free or free == min(by_order.values())
    for order in list(by_order)[:3]:
        fixed = build_chart_in_order(table, [f"f{place}" for place in order])
        assert fixed.value == by_order[order]
        if not table.never:
            assert fixed.question_count == diagram_nodes(function, sizes, order)


def test_charts_of_all_yes_no_functions_of_three_facts_are_the_shortest() -> None:
    plays = list(product((0, 1), repeat=3))
    for number in range(0, 256, 3):
        assert_chart_is_best({p: str(number >> i & 1) for i, p in enumerate(plays)}, (2, 2, 2))


@pytest.mark.parametrize("seed", range(14))
def test_charts_of_random_functions_are_the_shortest(seed: int) -> None:
    chance = random.Random(seed)
    sizes = tuple(chance.choice((2, 3)) for _ in range(chance.choice((2, 3, 3, 4))))
    outcomes = "ab" if seed % 2 else "abcd"
    plays = list(product(*(range(size) for size in sizes)))
    assert_chart_is_best({play: chance.choice(outcomes) for play in plays}, sizes)


@pytest.mark.parametrize("seed", range(14))
def test_charts_are_the_shortest_where_some_plays_cannot_happen(seed: int) -> None:
    chance = random.Random(100 + seed)
    sizes = tuple(chance.choice((2, 3)) for _ in range(3))
    plays = [play for play in product(*(range(size) for size in sizes)) if chance.random() < 0.6]
    assert_chart_is_best({play: chance.choice("abc") for play in plays or [(0, 0, 0)]}, sizes)


def test_diagram_sizes_of_a_classic_function_in_a_good_and_a_bad_order() -> None:
    """R. E. Bryant, "Graph-Based Algorithms for Boolean Function Manipulation", IEEE Trans. Computers C-35
    (1986): x1 x2 + x3 x4 + x5 x6 has 8 vertices in this order and 16 in the order 1 3 5 2 4 6, the two
    ends included (2n + 2 and 2^(n+1) for n = 3). From memory; recomputed by `diagram_nodes`."""
    function = {
        p: "yes" if (p[0] and p[1]) or (p[2] and p[3]) or (p[4] and p[5]) else "no"
        for p in product((0, 1), repeat=6)
    }
    table = table_of(function, (2,) * 6)
    good = build_chart_in_order(table, ["f0", "f1", "f2", "f3", "f4", "f5"])
    bad = build_chart_in_order(table, ["f0", "f2", "f4", "f1", "f3", "f5"])
    assert (len(good.nodes), len(bad.nodes)) == (8, 16)
    assert diagram_nodes(function, (2,) * 6, (0, 1, 2, 3, 4, 5)) == 6
    assert diagram_nodes(function, (2,) * 6, (0, 2, 4, 1, 3, 5)) == 14


# --- tables ---------------------------------------------------------------------------------------------------

AGE = Fact("age", "Age?", ("under 25", "25 to 60", "over 60"), ("<25", "[25..60]", ">60"))
HISTORY = Fact("medical history", "Medical history?", ("good", "bad"), ("good", "bad"))


def rated(outcome: str, age: str, history: str = "good|bad") -> Row:
    return Row({"age": frozenset({age}), "medical history": frozenset(history.split("|"))}, outcome)


RISK = Table(
    "risk rating",
    "example",
    (HISTORY, AGE),
    (
        rated("medium", "over 60", "good"),
        rated("high", "over 60", "bad"),
        rated("medium", "25 to 60"),
        rated("low", "under 25", "good"),
        rated("medium", "under 25", "bad"),
    ),
)


def test_a_published_table_of_hit_policy_unique_has_no_findings_and_the_expected_chart() -> None:
    """The applicant risk rating table of OMG "Decision Model and Notation" 1.x (chapter on decision tables,
    hit policy U). From memory. By hand: age first settles a third of the plays in one question, the rest
    in two (5/3 on average); medical history first always takes two."""
    audit = audit_table(RISK)
    assert audit.is_unique
    assert not audit.idle_facts
    assert not audit.idle_answers
    chart = build_best_chart(RISK)
    assert chart.order == ("age", "medical history")
    assert chart.value == (2, Fraction(5, 3))
    assert build_chart_in_order(RISK, ["medical history"]).value == (2, Fraction(2))


def test_under_hit_policy_unique_rows_that_agree_may_not_overlap_either() -> None:
    """OMG DMN 1.x: *unique* allows no overlap at all; overlap with equal output is hit policy *any*.
    From memory."""
    doubled = Table("t", "c", RISK.facts, (*RISK.rows, rated("medium", "25 to 60", "bad")))
    (overlap,) = audit_table(doubled).overlaps
    assert str(overlap.when) == "medical history = bad, age = 25 to 60"
    with pytest.raises(PocketrefError, match="two rows"):
        decide(doubled, {"age": "25 to 60", "medical history": "bad"})


@pytest.mark.parametrize("seed", range(20))
def test_gaps_and_overlaps_are_those_of_plain_enumeration(seed: int) -> None:
    chance = random.Random(seed)
    facts = [Fact(f"f{i}", "?", tuple("abc"[: chance.choice((2, 3))]), ()) for i in range(5)]

    def row() -> Row:
        asked = chance.sample(facts, chance.randint(1, 3))
        return Row(
            {
                f.name: frozenset(chance.sample(f.answers, chance.randint(1, len(f.answers) - 1)))
                for f in asked
            },
            "x",
        )

    rows, never = [row() for _ in range(8)], [row() for _ in range(seed % 3)]
    gaps, pairs = set(), set()
    for answers in product(*(f.answers for f in facts)):
        play = dict(zip((f.name for f in facts), answers, strict=True))
        if any(all(play[k] in v for k, v in r.when.items()) for r in never):
            continue
        met = [i for i, r in enumerate(rows) if all(play[k] in v for k, v in r.when.items())]
        pairs.update(combinations(met, 2))
        if not met:
            gaps.add(answers)
    audit = audit_table(Table("t", "c", tuple(facts), tuple(rows), tuple(never)))
    numbers = {id(r): i for i, r in enumerate(rows)}
    assert {(numbers[id(o.first)], numbers[id(o.second)]) for o in audit.overlaps} == pairs
    told = set()
    for gap in audit.gaps:
        allowed = dict(gap.allowed)
        told.update(product(*(allowed.get(f.name, f.answers) for f in facts)))
    assert told == gaps


# --- fewest rows ----------------------------------------------------------------------------------------------


def minterms(numbers: list[int], letters: str) -> tuple[Space, list[tuple[int, ...]]]:
    space = Space(tuple(letters), tuple(("0", "1") for _ in letters))
    size = len(letters)
    return space, [tuple(1 << (n >> (size - 1 - i) & 1) for i in range(size)) for n in numbers]


def test_a_textbook_function_merges_to_its_published_terms() -> None:
    """C. H. Roth, "Fundamentals of Logic Design", chapter on the Quine-McCluskey method:
    f(a,b,c,d) = sum of m(0,1,2,5,6,7,8,9,10,14) = a'bd + b'c' + cd'. From memory."""
    space, boxes = minterms([0, 1, 2, 5, 6, 7, 8, 9, 10, 14], "abcd")
    merged = {str(space.describe(box)) for box in merge_boxes(space.full, boxes).boxes}
    assert merged == {"a = 0, b = 1, d = 1", "b = 0, c = 0", "c = 1, d = 0"}


def test_the_cyclic_textbook_function_takes_three_terms() -> None:
    """f(a,b,c) = sum of m(0,1,2,5,6,7): six prime implicants, none essential, three are enough (as in the
    same chapter). From memory; the count is plain, since each term covers two of six."""
    space, boxes = minterms([0, 1, 2, 5, 6, 7], "abc")
    cover = merge_boxes(space.full, boxes)
    assert len(cover.boxes) == 3
    assert cover.fewest


def fewest_boxes(target: set[Play], sizes: tuple[int, ...]) -> int:
    """The least number of boxes that make up a set, by trying all choices of ever more boxes."""
    subsets = [[s for n in range(1, size + 1) for s in combinations(range(size), n)] for size in sizes]
    boxes = [frozenset(product(*choice)) for choice in product(*subsets)]
    inside = [box for box in boxes if box <= target]
    largest = [box for box in inside if not any(box < other for other in inside)]
    for count in range(len(target) + 1):
        if any(frozenset().union(*choice) == target for choice in combinations(largest, count)):
            return count
    raise AssertionError


@pytest.mark.parametrize("seed", range(24))
def test_contrast_rows_are_as_few_as_brute_force_finds(seed: int) -> None:
    chance = random.Random(seed)
    sizes = chance.choice(((2, 3), (2, 2, 2), (2, 2, 3), (3, 3)))
    plays = list(product(*(range(size) for size in sizes)))
    left = {play: chance.choice("ab") for play in plays}
    right = {play: chance.choice("ab") for play in plays}
    rows = contrast_tables(table_of(left, sizes), table_of(right, sizes), str.__eq__)
    for pair in (("a", "b"), ("b", "a")):
        target = {play for play in plays if (left[play], right[play]) == pair}
        told = [row for row in rows if (row.left_outcome, row.right_outcome) == pair]
        assert len(told) == fewest_boxes(target, sizes)
