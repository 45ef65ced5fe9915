"""Times of audits, charts and contrasts, beside listing all combinations. Run as a plain script.

python tests/benchmarks/bench_rulings.py
"""

from __future__ import annotations

import random
import sys
import time
from collections.abc import Callable
from itertools import product
from math import prod
from typing import TypeVar

from pocketref.rulings.audit import audit_table
from pocketref.rulings.chart import build_best_chart
from pocketref.rulings.contrast import contrast_tables
from pocketref.rulings.table import Fact, Row, Table

Result = TypeVar("Result")
OUTCOMES = tuple(f"ruling {i}" for i in range(6))


def split_table(seed: int, facts: int, rows: int, never: int = 0, answers: str = "") -> Table:
    """A table without faults: the space split at random into rows, some of them impossible.

    Facts have these answers, one letter each, else two to four.
    """
    chance = random.Random(seed)
    known = [tuple(answers or "abcd"[: chance.randint(2, 4)]) for _ in range(facts)]
    vocabulary = tuple(Fact(f"f{i}", "?", each, ()) for i, each in enumerate(known))
    parts: list[dict[str, frozenset[str]]] = [{}]
    while len(parts) < rows:
        part = parts.pop(min(range(len(parts)), key=lambda i: len(parts[i]) + chance.random()))
        open_facts = [f for f in vocabulary if len(part.get(f.name, f.answers)) > 1]
        fact = chance.choice(open_facts)
        left = sorted(part.get(fact.name, frozenset(fact.answers)))
        chance.shuffle(left)
        cut = chance.randint(1, len(left) - 1)
        parts += [{**part, fact.name: frozenset(some)} for some in (left[:cut], left[cut:])]
    chance.shuffle(parts)
    made = [Row(part, chance.choice(OUTCOMES)) for part in parts]
    return Table("split", "bench", vocabulary, tuple(made[never:]), tuple(made[:never]), OUTCOMES)


def spoil(table: Table) -> Table:
    """Eight rows taken out, four widened."""
    wider = [Row(dict(list(row.when.items())[1:]), "spoilt") for row in table.rows[8:12]]
    return Table("spoilt", "bench", table.facts, (*table.rows[12:], *wider), table.never)


def loose_table(seed: int, facts: int, rows: int, conditions: int) -> Table:
    """Rows at random, with overlaps and gaps all over."""
    chance = random.Random(seed)
    vocabulary = tuple(Fact(f"f{i}", "?", tuple("abc"), ()) for i in range(facts))
    made = [
        Row(
            {
                f.name: frozenset(chance.sample(f.answers, chance.randint(1, 2)))
                for f in chance.sample(vocabulary, conditions)
            },
            chance.choice(OUTCOMES),
        )
        for _ in range(rows)
    ]
    return Table("loose", "bench", vocabulary, tuple(made))


def list_all(table: Table) -> tuple[int, int]:
    """(plays without a row, plays with two or more), by listing."""
    names = [fact.name for fact in table.facts]
    none = many = 0
    for answers in product(*(fact.answers for fact in table.facts)):
        play = dict(zip(names, answers, strict=True))
        if any(all(play[k] in v for k, v in row.when.items()) for row in table.never):
            continue
        met = sum(all(play[k] in v for k, v in row.when.items()) for row in table.rows)
        none += met == 0
        many += met > 1
    return none, many


def timed(work: Callable[[], Result]) -> tuple[float, Result]:
    start = time.perf_counter()
    result = work()
    return time.perf_counter() - start, result


def seconds(work: Callable[[], object]) -> float:
    return timed(work)[0]


def report(text: str) -> None:
    sys.stdout.write(text + "\n")


def bench_audits() -> None:
    report("audit beside listing")
    for facts, rows in ((4, 12), (6, 30), (8, 40)):
        table = spoil(split_table(1, facts, rows))
        ours, listing = seconds(lambda t=table: audit_table(t)), seconds(lambda t=table: list_all(t))
        plays = prod(len(f.answers) for f in table.facts)
        report(
            f"  {facts:2} facts {rows:3} rows {plays:7} plays: {ours:.4f} s, listing {listing:.4f} s, "
            f"x{listing / ours:.1f}"
        )
    report("audit of 20 facts, 200 rows (budget 1 s)")
    for never in (0, 15):
        table = split_table(2, 20, 200 + never, never)
        report(f"  sound, {never:2} never: {seconds(lambda t=table: audit_table(t)):.3f} s")
        spoilt = spoil(table)
        report(f"  spoilt, {never:2} never: {seconds(lambda t=spoilt: audit_table(t)):.3f} s")
    for conditions in (2, 3, 4, 6, 10, 20):
        table = loose_table(3, 20, 200, conditions)
        report(f"  loose, {conditions:2} conditions a row: {seconds(lambda t=table: audit_table(t)):.3f} s")


def bench_charts() -> None:
    report("chart (budget for 8 facts: 1 s)")
    for facts, rows, never, answers in (
        (4, 10, 0, ""),
        (6, 20, 0, ""),
        (8, 20, 3, ""),
        (8, 40, 0, ""),
        (8, 60, 6, ""),
        (8, 60, 0, "abcde"),
        (8, 200, 20, "abcde"),
        (10, 60, 0, ""),
        (20, 200, 0, ""),
    ):
        table = split_table(4, facts, rows + never, never, answers)
        took, chart = timed(lambda t=table: build_best_chart(t))
        proven = "proven" if chart.is_proven_best else "rule of thumb"
        size = f"{chart.worst} at worst, {chart.expected:.2f} expected, {chart.question_count} nodes"
        each = len(answers) or "2 to 4"
        report(f"  {facts:2} facts of {each} {rows:3} rows {never:2} never: {took:.3f} s, {size}, {proven}")


def bench_contrasts() -> None:
    report("contrast of a table with one row in ten ruled differently")
    for facts, rows in ((6, 20), (8, 40), (20, 200)):
        left = split_table(5, facts, rows)
        changed = [Row(r.when, "changed") if i % 10 == 0 else r for i, r in enumerate(left.rows)]
        right = Table("changed", "bench", left.facts, tuple(changed))
        took, found = timed(lambda a=left, b=right: contrast_tables(a, b, str.__eq__))
        report(f"  {facts:2} facts {rows:3} rows: {took:.3f} s, {len(found)} differences")


if __name__ == "__main__":
    bench_audits()
    bench_charts()
    bench_contrasts()
