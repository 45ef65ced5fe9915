"""The project's own decision tables: whole, unique, small enough for a card, and free of real names."""

from __future__ import annotations

import re
from collections.abc import Iterator
from itertools import product
from pathlib import Path

import pytest

from pocketref.problems import Severity
from pocketref.rulings.audit import audit_table, list_problems
from pocketref.rulings.chart import build_chart
from pocketref.rulings.construct import construct_table
from pocketref.rulings.effects import write_batter, write_runners
from pocketref.rulings.table import Row, Table
from pocketref.source.library import Library, read_library
from pocketref.source.ruling_models import RulingModel, Runners, TableModel

CONTENT = Path(__file__).parents[2] / "content"
LIBRARY: Library = read_library(CONTENT)
CODES = ("high-school", "professional", "college", "youth")
SUBJECTS = (
    "stance",
    "contact",
    "second-touch",
    "leaving",
    "thrown-bat",
    "hit-by-pitch",
    "own-ball",
    "pitch-hits-runner",
    "uncaught-third",
    "infield-fly",
    "fly-comes-down",
    "double-base",
    "double-base-other",
    "hinders-catcher",
    "follow-through",
    "return-throw",
    "obstructs-batter",
)
WITHOUT = {("professional", "double-base"), ("professional", "double-base-other")}
"""The professional book has no double first base."""
KEYS = tuple(key for key in product(CODES, SUBJECTS) if key not in WITHOUT)
REAL_NAMES = re.compile(r"\b(NFHS|NCAA|MLB|OBR|PONY|Little League|Major League|National Federation)\b", re.I)


def table_of(key: tuple[str, str]) -> tuple[Table, TableModel]:
    model = LIBRARY.rulings[key]
    return construct_table(LIBRARY.subjects[key[1]], model), model


def meets(row: Row, play: dict[str, str]) -> bool:
    return all(play[fact] in answers for fact, answers in row.when.items())


def all_rulings() -> Iterator[tuple[tuple[str, str], RulingModel]]:
    for key, model in LIBRARY.rulings.items():
        yield from ((key, ruling) for ruling in model.rulings.values())


def test_every_code_rules_on_every_subject_that_its_book_knows() -> None:
    assert set(LIBRARY.rulings) == set(KEYS)
    assert set(LIBRARY.subjects) == set(SUBJECTS)


@pytest.mark.parametrize("key", KEYS, ids=": ".join)
def test_the_audit_finds_no_gap_overlap_or_dead_part(key: tuple[str, str]) -> None:
    audit = audit_table(table_of(key)[0])
    assert audit.is_unique
    assert [p for p in list_problems(audit) if p.severity is Severity.ERROR] == []
    assert audit.unused_outcomes == ()


@pytest.mark.parametrize("key", KEYS, ids=": ".join)
def test_listing_every_combination_finds_one_row_for_each(key: tuple[str, str]) -> None:
    table, _ = table_of(key)
    names = [fact.name for fact in table.facts]
    for answers in product(*(fact.answers for fact in table.facts)):
        play = dict(zip(names, answers, strict=True))
        if not any(meets(row, play) for row in table.never):
            assert sum(meets(row, play) for row in table.rows) == 1, play


@pytest.mark.parametrize("subject", SUBJECTS)
def test_every_fact_and_answer_matters_in_some_code(subject: str) -> None:
    audits = [audit_table(table_of(key)[0]) for key in KEYS if key[1] == subject]
    idle_facts = set.intersection(*(set(audit.idle_facts) for audit in audits))
    told_apart = {
        (fact.name, pair)
        for audit in audits
        for fact in audit.table.facts
        if fact.name not in audit.idle_facts
        for pair in product(fact.answers, repeat=2)
        if pair not in {(idle.first, idle.second) for idle in audit.idle_answers if idle.fact == fact.name}
    }
    facts = LIBRARY.subjects[subject].facts
    alike = [(n, p) for n, f in facts.items() for p in zip(f.answers, list(f.answers)[1:], strict=False)]
    assert idle_facts == set()
    assert set(alike) - told_apart == set()


@pytest.mark.parametrize("key", KEYS, ids=": ".join)
def test_a_chart_is_small_enough_for_a_card(key: tuple[str, str]) -> None:
    chart = build_chart(table_of(key)[0])
    assert chart.worst <= 6
    assert chart.question_count <= 8


@pytest.mark.parametrize("subject", SUBJECTS)
def test_questions_are_short_and_end_in_a_question_mark(subject: str) -> None:
    for fact in LIBRARY.subjects[subject].facts.values():
        assert fact.ask.endswith("?")
        assert len(fact.ask) <= 34, fact.ask
        if set(fact.answers) == {"yes", "no"}:
            assert list(fact.answers) == ["yes", "no"]
        else:
            assert all(len(label.split()) <= 4 for label in fact.answers.values())


def test_rulings_are_short_enough_for_a_terminal_symbol() -> None:
    for _, ruling in all_rulings():
        assert len(ruling.headline) <= 26, ruling.headline
        for words in (write_batter(ruling), write_runners(ruling)):
            assert len(words.brief) <= 24, words.brief


def test_a_batter_who_is_out_is_told() -> None:
    for _, ruling in all_rulings():
        assert ("Batter's out." in ruling.say) == (ruling.batter == "out")


def test_a_ball_made_dead_is_stopped_first_in_voice_and_signal() -> None:
    # The usual order: stop it, point, name it, out, runners.
    for _, ruling in all_rulings():
        if ruling.ball == "dead":
            assert ruling.say[0].rstrip(".!") in ("Time", "Foul")
            assert ruling.signal[0] == "both arms up, open hands"
            if ruling.batter == "out":
                assert ruling.signal[1:3] == ("point at the batter", "right fist: out")
        else:
            assert not any(words.startswith(("Time", "Foul")) for words in ruling.say)
        if ruling.runners is Runners.RETURN and ruling.batter == "out":
            assert ruling.say[-1] == "Runners back."


def test_what_is_unsettled_is_not_printed_as_settled() -> None:
    for model in LIBRARY.rulings.values():
        for row in model.rows:
            if row.unsettled:
                assert "league" in model.rulings[row.ruling].note, (model.code, model.subject, row.ruling)


def test_no_ruling_or_mechanic_names_a_real_association() -> None:
    files = [*CONTENT.glob("rulings/*/*.yaml"), *CONTENT.glob("mechanics/*.yaml")]
    assert [path.name for path in files if REAL_NAMES.search(path.read_text(encoding="utf-8"))] == []


def test_the_texts_on_mechanics_are_short() -> None:
    wanted = {f"mechanics/{s}/{t}" for s in SUBJECTS[1:] for t in ("look", "enforce", "answer")}
    assert wanted | {"mechanics/pregame/checks", "mechanics/pregame/agree"} <= set(LIBRARY.texts)
    for name, text in LIBRARY.texts.items():
        if name.split("/")[1] in (*SUBJECTS[1:], "pregame", "enforcement"):
            assert len(text.entries) <= 5, name
            assert all(len(entry.replace("*", "")) <= 70 for entry in text.entries), name
