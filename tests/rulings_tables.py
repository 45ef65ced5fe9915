"""Small tables, planned and random, and the same questions answered by listing every combination."""

from __future__ import annotations

from collections.abc import Iterable, Iterator, Mapping
from itertools import product

from hypothesis import strategies as st

from pocketref.rulings.boxes import Box, is_empty, subtract
from pocketref.rulings.chart import Chart, follow_chart
from pocketref.rulings.cover import Cover, cover_set
from pocketref.rulings.nodes import Ending
from pocketref.rulings.table import Fact, Row, Table

LETTERS = ("a", "b", "c", "d", "e")
OUTCOMES = ("out", "safe", "dead", "play on")


def make_fact(name: str, *answers: str, weights: tuple[float, ...] = ()) -> Fact:
    return Fact(name, f"What about {name}?", answers, answers, weights)


def make_row(outcome: str, **when: str) -> Row:
    """Conditions as words, "a b" for either."""
    return Row({fact: frozenset(answers.split()) for fact, answers in when.items()}, outcome)


def make_table(
    facts: tuple[Fact, ...], *rows: Row, never: tuple[Row, ...] = (), order: tuple[str, ...] = ()
) -> Table:
    return Table("contact", "high-school", facts, rows, never, (), order)


BAT, PLATE = make_fact("bat", "yes", "no"), make_fact("plate", "yes", "no")
FOOT = make_fact("foot", "inside", "line", "outside")
CONTACT_ROWS = (
    make_row("play on", bat="no"),
    make_row("out", bat="yes", plate="yes"),
    make_row("out", bat="yes", plate="no", foot="outside"),
    make_row("play on", bat="yes", plate="no", foot="inside line"),
)
"""One row for every play of bat, plate and foot."""


@st.composite
def facts_of_tables(draw: st.DrawFn, most: int = 4) -> tuple[Fact, ...]:
    sizes = draw(st.lists(st.integers(2, 3), min_size=1, max_size=most))
    return tuple(make_fact(f"f{i}", *LETTERS[:size]) for i, size in enumerate(sizes))


@st.composite
def rows_over(draw: st.DrawFn, facts: tuple[Fact, ...]) -> Row:
    when = {}
    for fact in facts:
        if draw(st.booleans()):
            when[fact.name] = frozenset(draw(st.sets(st.sampled_from(fact.answers), min_size=1)))
    return Row(when, draw(st.sampled_from(OUTCOMES)))


@st.composite
def loose_tables(draw: st.DrawFn) -> Table:
    """Any rows at all: with gaps and overlaps."""
    facts = draw(facts_of_tables())
    rows = draw(st.lists(rows_over(facts), max_size=6))
    never = draw(st.lists(rows_over(facts), max_size=2))
    return Table("contact", "any", facts, tuple(rows), tuple(never), OUTCOMES)


@st.composite
def unique_tables(draw: st.DrawFn, with_never: bool = True, most_facts: int = 4) -> Table:
    """Every possible combination meets one row, and at least one is possible."""
    facts = draw(facts_of_tables(most_facts))
    parts: list[dict[str, frozenset[str]]] = [{}]
    for _ in range(draw(st.integers(0, 8))):
        number = draw(st.integers(0, len(parts) - 1))
        fact = draw(st.sampled_from(facts))
        allowed = sorted(parts[number].get(fact.name, frozenset(fact.answers)))
        if len(allowed) > 1:
            cut = draw(st.integers(1, len(allowed) - 1))
            old = parts.pop(number)
            parts += [
                {**old, fact.name: frozenset(allowed[:cut])},
                {**old, fact.name: frozenset(allowed[cut:])},
            ]
    rows = [Row(part, draw(st.sampled_from(OUTCOMES))) for part in parts]
    never = draw(st.integers(0, min(3, len(rows) - 1))) if with_never else 0
    return Table("contact", "any", facts, tuple(rows[never:]), tuple(rows[:never]), OUTCOMES)


def plays_of(table: Table) -> Iterator[dict[str, str]]:
    """Every combination, possible or not."""
    names = [fact.name for fact in table.facts]
    for answers in product(*(fact.answers for fact in table.facts)):
        yield dict(zip(names, answers, strict=True))


def meets(row: Row, play: Mapping[str, str]) -> bool:
    return all(play[fact] in allowed for fact, allowed in row.when.items())


def is_possible(table: Table, play: Mapping[str, str]) -> bool:
    return not any(meets(row, play) for row in table.never)


def rows_met(table: Table, play: Mapping[str, str]) -> list[int]:
    return [number for number, row in enumerate(table.rows) if meets(row, play)]


def walk(chart: Chart, play: Mapping[str, str]) -> tuple[tuple[tuple[str, str], ...], str]:
    """The (fact, answer) met on the way to an ending, and its outcome."""
    way, node = follow_chart(chart, play)
    assert isinstance(node, Ending)
    return tuple((question.fact, play[question.fact]) for question, _ in way), node.outcome


def merge_boxes(full: Box, boxes: Iterable[Box]) -> Cover:
    """The union of some boxes as few maximal boxes. They may overlap, in both input and result."""
    pieces = _make_disjoint(boxes)
    outside = [full]
    for piece in pieces:
        outside = [rest for box in outside for rest in subtract(box, piece)]
    return cover_set(full, pieces, outside)


def _make_disjoint(boxes: Iterable[Box]) -> list[Box]:
    """Disjoint boxes with the same union, the earlier ones kept whole."""
    done: list[Box] = []
    for box in boxes:
        rest = [] if is_empty(box) else [box]
        for other in done:
            rest = [piece for part in rest for piece in subtract(part, other)]
        done += rest
    return done
