"""How many faults put into the content's tables the reference expectations notice. Run as a plain script.

Each row's outcome is changed to each other outcome of its table, and each condition's answers to each other
set of answers (all of them included, which drops the condition); a fact without a condition is given each
that it could have. A change that no possible play meets is none and is left out. A fault is noticed if some
play's ruling is no longer as expected.

python tests/benchmarks/bench_ruling_mutations.py
"""

from __future__ import annotations

import sys
from collections.abc import Iterator, Mapping, Sequence
from dataclasses import replace
from importlib import import_module
from itertools import chain, combinations, product
from pathlib import Path

sys.path.insert(0, str(Path(__file__).parents[1] / "reference"))

from ruling_expectations import Expectation, content_table, rules_as_expected

from pocketref.rulings.table import Row, Table


def other_answers(answers: Sequence[str], now: frozenset[str]) -> Iterator[frozenset[str]]:
    """Every set of at least one answer but the one there is."""
    sets = chain.from_iterable(combinations(answers, size) for size in range(1, len(answers) + 1))
    return (frozenset(some) for some in sets if frozenset(some) != now)


def row_faults(table: Table, row: Row) -> Iterator[Row]:
    """The row with its outcome or one of its conditions changed."""
    for outcome in table.outcomes:
        if outcome != row.outcome:
            yield replace(row, outcome=outcome)
    for fact in table.facts:
        now = row.when.get(fact.name, frozenset(fact.answers))
        for answers in other_answers(fact.answers, now):
            yield replace(row, when={**row.when, fact.name: answers})


def meets(row: Row, play: Mapping[str, str]) -> bool:
    """Whether the row's conditions hold for the play."""
    return all(play[fact] in answers for fact, answers in row.when.items())


def possible_plays(table: Table) -> list[dict[str, str]]:
    """Every combination of answers that can happen."""
    names = [fact.name for fact in table.facts]
    every = product(*(fact.answers for fact in table.facts))
    plays = [dict(zip(names, answers, strict=True)) for answers in every]
    return [play for play in plays if not any(meets(row, play) for row in table.never)]


def table_faults(table: Table) -> Iterator[tuple[str, Table]]:
    """The table with one fault at a time, and which."""
    plays = possible_plays(table)
    for number, row in enumerate(table.rows):
        for fault in row_faults(table, row):
            if fault.outcome == row.outcome and all(meets(fault, play) == meets(row, play) for play in plays):
                continue
            rows = (*table.rows[:number], fault, *table.rows[number + 1 :])
            yield f"row {number + 1}: {dict(fault.when)} -> {fault.outcome}", replace(table, rows=rows)


def count_noticed(table: Table, expectations: Sequence[Expectation]) -> tuple[int, list[str]]:
    """The number of faults, and those that went unnoticed."""
    total, unnoticed = 0, []
    for fault, spoilt in table_faults(table):
        total += 1
        if all(rules_as_expected(spoilt, expected) for expected in expectations):
            unnoticed.append(fault)
    return total, unnoticed


def say(line: str) -> None:
    """A line of the report."""
    sys.stdout.write(line + "\n")


def main() -> None:
    """Print the share of faults noticed, by subject and code."""
    every, missed = 0, 0
    for path in sorted(Path(__file__).parents[1].glob("reference/test_rulings_*_reference.py")):
        module = import_module(path.stem)
        for code in module.CODES:
            table, _ = content_table(code, module.SUBJECT)
            total, unnoticed = count_noticed(table, [e for e in module.EXPECTATIONS if e.code == code])
            share = 1 - len(unnoticed) / total
            say(f"{module.SUBJECT:13} {code:13} {total:4} faults, {share:6.1%} noticed")
            for fault in unnoticed:
                say(f"    unnoticed: {fault}")
            every, missed = every + total, missed + len(unnoticed)
    say(f"{'all':27} {every:4} faults, {1 - missed / every:6.1%} noticed")


if __name__ == "__main__":
    main()
