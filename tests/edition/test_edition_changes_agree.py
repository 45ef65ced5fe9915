"""Chart, card of differences, spoken ruling and comparison of codes say the same of every play there is."""

from __future__ import annotations

from collections.abc import Hashable, Mapping
from contextlib import suppress
from functools import cache
from itertools import combinations, product

import pytest
from play_samples import CODES, books, codes_on, content

from pocketref.blocks.differences import build_difference_table, write_combination, write_ruling
from pocketref.changes.change_set import ChangedCall
from pocketref.changes.changes import compare_codes
from pocketref.problems import PocketrefError
from pocketref.rulings.answer import Answer, SubjectRules, answer_play
from pocketref.rulings.boxes import Combination
from pocketref.rulings.construct import construct_table
from pocketref.rulings.contrast import contrast_many
from pocketref.rulings.effects import sign_effect
from pocketref.rulings.nodes import Question
from pocketref.scene.charts.flow_layout import FlowEnding, FlowNode, FlowQuestion
from pocketref.scene.charts.ruling_flow import construct_flow
from pocketref.source.statements import DOUBT

SUBJECTS = tuple(content().subjects)
TABLES = tuple(content().rulings)
PAIRS = tuple(combinations(CODES, 2))
BOTH = [(subject, pair) for subject in SUBJECTS for pair in PAIRS if {*pair} <= {*codes_on(subject)}]
CHECK = ("league", "check your league")
Play = Mapping[str, str]


@cache
def rulings_on(subject: str) -> tuple[tuple[Play, Mapping[str, Answer]], ...]:
    """Every play that can happen by some code, and what `rule` answers by each of those."""
    facts, codes = content().subjects[subject].facts, codes_on(subject)
    found = []
    for answers in product(*(fact.answers for fact in facts.values())):
        play = dict(zip(facts, answers, strict=True))
        by_code = {}
        for code in codes:
            with suppress(PocketrefError):  # it cannot happen
                by_code[code] = answer_play(books().rules(subject, code), play)
        found += [(play, by_code)] if by_code else []
    return tuple(found)


def sign(answer: Answer | None) -> Hashable:
    """Equal for answers that are the same in effect: what is unsettled, and what can't happen, are one each."""
    if not answer:
        return "can't happen"
    return "open" if answer.unsettled else sign_effect(answer.ruling)


def holds(when: Combination | Mapping[str, tuple[str, ...]], play: Play) -> bool:
    allowed = when.allowed if isinstance(when, Combination) else when.items()
    return all(play[fact] in answers for fact, answers in allowed)


def follow(nodes: Mapping[str, FlowNode], root: str, rules: SubjectRules, play: Play) -> FlowEnding:
    """Where a play ends on the drawn chart."""
    chart = {str(number): node for number, node in enumerate(rules.chart.nodes)}
    order = {fact.name: fact.answers for fact in rules.table.facts}
    node = nodes[root]
    while isinstance(node, FlowQuestion):
        asked = chart[node.key]
        assert isinstance(asked, Question)
        way = next(leave for leave in asked.exits if play[asked.fact] in leave.answers)
        # Exits are drawn in the order of the answers.
        place = sorted(asked.exits, key=lambda leave: min(map(order[asked.fact].index, leave.answers))).index(
            way
        )
        assert node.exits[place].target.removesuffix(DOUBT) == str(way.target)
        node = nodes[node.exits[place].target]
    assert isinstance(node, FlowEnding)
    return node


@pytest.mark.parametrize(("code", "subject"), TABLES)
def test_the_drawn_chart_ends_where_the_ruling_does_and_says_check_your_league_only_there(
    subject: str, code: str
) -> None:
    rules = books().rules(subject, code)
    model = content().rulings[code, subject]
    doubted = [
        row for row, each in zip(rules.table.rows, model.rows, strict=True) if content().mark_doubt(each)
    ]
    nodes, root = construct_flow(rules.chart, rules.table, model.rulings, doubted, DOUBT)
    assert rulings_on(subject)
    for play, answers in rulings_on(subject):
        if code not in answers:
            continue
        end = follow(nodes, root, rules, play)
        assert end.headline.removesuffix(DOUBT) == answers[code].ruling.headline
        assert end.headline.endswith(DOUBT) or not answers[code].in_doubt, play
        assert (CHECK in end.lines) == bool(answers[code].unsettled), play


@pytest.mark.parametrize("subject", SUBJECTS)
def test_the_card_of_differences_says_of_every_play_what_each_code_rules(subject: str) -> None:
    library, codes = content(), codes_on(subject)
    tables = {
        code: construct_table(library.subjects[subject], library.rulings[code, subject]) for code in codes
    }
    rulings = {code: library.rulings[code, subject].rulings for code in codes}
    rows = contrast_many(tables, lambda code, outcome: sign_effect(rulings[code][outcome]))
    printed = build_difference_table(library, subject, codes, "high-school").rows
    assert len(printed) == len(rows)
    for play, answers in rulings_on(subject):
        met = [cells for row, cells in zip(rows, printed, strict=True) if holds(row.when, play)]
        signs = {code: sign(answers.get(code)) for code in codes}
        assert bool(met) == (len(set(signs.values())) > 1), play
        for _, *cells in met:
            for code, cell in zip(codes, cells, strict=True):
                words = "can't happen"
                if answer := answers.get(code):
                    words = "check league"
                    if not answer.unsettled:
                        words = write_ruling(library, code, subject, answer.outcome)
                    assert DOUBT in cell.words or not answer.in_doubt or answer.unsettled
                assert cell.words.strip("*").removesuffix(DOUBT) == words
                assert cell.words.startswith("*") == (signs[code] != signs["high-school"])


@cache
def compared(left: str, right: str) -> tuple[ChangedCall, ...]:
    return tuple(change.call for change in compare_codes(content(), left, right).calls if change.call)


def print_cite(cite: str) -> str:
    """A citation as print has it: what is no number with a capital."""
    return cite.replace("item-", "Item ")


@pytest.mark.parametrize(("subject", "pair"), BOTH)
def test_two_codes_compared_differ_in_exactly_the_plays_that_are_ruled_differently(
    subject: str, pair: tuple[str, str]
) -> None:
    changes = [change for change in compared(*pair) if change.subject == subject]
    for play, answers in rulings_on(subject):
        left, right = (answers.get(code) for code in pair)
        met = [change for change in changes if holds(change.when, play)]
        if not left and not right:
            continue
        assert bool(met) == (sign(left) != sign(right)), play
        for change in met:
            for side, answer in ((change.old, left), (change.new, right)):
                assert bool(side) == bool(answer)
                if not side or not answer:
                    continue
                assert (side.outcome, side.unsettled) == (answer.outcome, bool(answer.unsettled))
                assert set(map(print_cite, answer.cites)) <= set(side.sections.split(", "))


@pytest.mark.parametrize("pair", PAIRS, ids=" and ".join)
def test_a_comparison_cites_no_row_that_its_plays_never_meet(pair: tuple[str, str]) -> None:
    for change in compared(*pair):
        met = [answers for play, answers in rulings_on(change.subject) if holds(change.when, play)]
        for code, side in zip(pair, (change.old, change.new), strict=True):
            cites = {print_cite(cite) for answers in met if code in answers for cite in answers[code].cites}
            assert set(side.sections.split(", ") if side else ()) == cites


def test_a_comparison_names_plays_in_the_words_of_the_card() -> None:
    said = {change.subject: change for change in reversed(compared("high-school", "youth"))}
    assert said["contact"].play == "foot wholly outside; caught foul tip"
    for subject, change in said.items():
        assert change.play == write_combination(
            Combination(tuple(change.when.items())), content().subjects[subject]
        )
