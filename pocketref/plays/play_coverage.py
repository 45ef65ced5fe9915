"""What the plays exercise: rows, ways through the charts, differences between codes, changes of the tables."""

from __future__ import annotations

from collections.abc import Iterator, Sequence
from dataclasses import dataclass

from pocketref.plays.mutations import MutationShare, measure_mutations
from pocketref.plays.plays import RuleBooks, RuledPlay
from pocketref.rulings.boxes import is_covered
from pocketref.rulings.chart import Chart, follow_chart
from pocketref.rulings.contrast import contrast_many, joined_space, list_impossible
from pocketref.rulings.effects import sign_effect
from pocketref.rulings.nodes import Question

Way = tuple[tuple[str, tuple[str, ...]], ...]
"""From a chart's root to an ending: each question with the answers that go that way."""


@dataclass(frozen=True, slots=True)
class TableCoverage:
    """What the plays of one code and subject exercise."""

    subject: str
    code: str
    plays: int
    rows: int
    unmet_rows: tuple[int, ...]
    """The numbers, from 1, of rows that no play meets."""
    ways: int
    unwalked: tuple[Way, ...]
    mutations: MutationShare


@dataclass(frozen=True, slots=True)
class DifferenceCoverage:
    """How many groups of plays that codes rule differently some play stands for, and those that none does."""

    subject: str
    total: int
    unmet: tuple[str, ...]


@dataclass(frozen=True, slots=True)
class PlayCoverage:
    """What all plays together exercise."""

    tables: tuple[TableCoverage, ...]
    differences: tuple[DifferenceCoverage, ...]


def measure_coverage(books: RuleBooks, plays: Sequence[RuledPlay]) -> PlayCoverage:
    """Everything that the plays exercise."""
    library = books.library
    tables = [
        _cover_table(books, subject, code, plays)
        for subject in library.subjects
        for code in books.codes_on(subject)
    ]
    differences = [_cover_differences(books, subject, plays) for subject in library.subjects]
    return PlayCoverage(tuple(tables), tuple(differences))


def list_ways(chart: Chart) -> Iterator[Way]:
    """Every way through a chart, in the order of its exits."""

    def follow(number: int, way: Way) -> Iterator[Way]:
        node = chart.nodes[number]
        if not isinstance(node, Question):
            yield way
            return
        for leave in node.exits:
            yield from follow(leave.target, (*way, (node.fact, leave.answers)))

    yield from follow(chart.root, ())


def _cover_table(books: RuleBooks, subject: str, code: str, plays: Sequence[RuledPlay]) -> TableCoverage:
    rules = books.rules(subject, code)
    mine = [play for play in plays if play.case.subject == subject and play.code == code]
    met = {play.answer.number for play in mine}
    rows = rules.table.rows
    ways = list(list_ways(rules.chart))
    # As far as facts that matter to a play.
    taken = (follow_chart(rules.chart, play.answers)[0] for play in mine)
    walked = {tuple((question.fact, answers) for question, answers in way) for way in taken}
    return TableCoverage(
        subject=subject,
        code=code,
        plays=len(mine),
        rows=len(rows),
        unmet_rows=tuple(number for number in range(1, len(rows) + 1) if number not in met),
        ways=len(ways),
        unwalked=tuple(way for way in ways if way not in walked),
        mutations=measure_mutations(rules.table, [(play.answers, play.answer.outcome) for play in mine]),
    )


def _cover_differences(books: RuleBooks, subject: str, plays: Sequence[RuledPlay]) -> DifferenceCoverage:
    library = books.library
    tables = {code: books.rules(subject, code).table for code in books.codes_on(subject)}
    if len(tables) < 2:
        return DifferenceCoverage(subject, 0, ())
    rulings = {code: library.rulings[code, subject].rulings for code in tables}
    found = contrast_many(tables, lambda code, outcome: sign_effect(rulings[code][outcome]))
    space = joined_space(list(tables.values()))
    told = {space.at(play.answers) for play in plays if play.case.subject == subject}
    never = list_impossible(space, list(tables.values()))
    unmet = [
        each.when
        for each in found
        if not any(is_covered(box, [space.box(each.when.when), *never]) for box in told)
    ]
    return DifferenceCoverage(subject, len(found), tuple(str(when) for when in unmet))
