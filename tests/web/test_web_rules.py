"""The page's own rules engine against the program's: every combination of every table of every code."""

from __future__ import annotations

import json
from collections.abc import Mapping, Sequence
from importlib.resources import files
from itertools import product
from pathlib import Path
from typing import Any

import pytest
from page_scripts import run_script

from pocketref.edition.proof import Proof
from pocketref.edition.ruling_text import write_answer_json
from pocketref.problems import PocketrefError
from pocketref.rulings.answer import Answer, SubjectRules, answer_play, construct_rules, next_question
from pocketref.rulings.next_state import find_missing_runner, find_next_states
from pocketref.rulings.situation import answer_from_situation, read_situations
from pocketref.rulings.state_words import list_states, write_states
from pocketref.rulings.table import Table
from pocketref.source.ruling_models import RulingModel
from pocketref.source.situation_models import SituationModel, list_situations
from pocketref.web.page_data import build_page_data
from pocketref.web.rules_data import address_row

HERE = Path(__file__).parent
ROOT = HERE.parents[1]
SITUATIONS = list_situations()
Play = tuple[str, dict[str, str]]


@pytest.fixture(scope="module")
def rules(demo: Proof) -> Mapping[str, SubjectRules]:
    library = demo.library
    return {f"{c}/{s}": construct_rules(library, s, c) for c, s in library.rulings}


@pytest.fixture(scope="module")
def plays(rules: Mapping[str, SubjectRules]) -> list[Play]:
    """Every combination of answers of every table, possible or not."""
    return [(name, answers) for name, each in rules.items() for answers in combine(each.table)]


def combine(table: Table) -> list[dict[str, str]]:
    names = [fact.name for fact in table.facts]
    return [
        dict(zip(names, answers, strict=True)) for answers in product(*(fact.answers for fact in table.facts))
    ]


def ask_page(proof: Proof, asked: Mapping[str, Any], folder: Path) -> dict[str, Any]:
    """What the page's modules say, run by node."""
    for name, value in (("rules", build_page_data(proof)["rules"]), ("asked", asked)):
        (folder / f"{name}.json").write_text(json.dumps(value), encoding="utf-8")
    modules = str(files("pocketref.web") / "page")
    said: dict[str, Any] = run_script(
        "check_rules.mjs", modules, *(folder / f"{n}.json" for n in ("rules", "asked"))
    )
    return said


def list_rulings(proof: Proof) -> list[tuple[str, int, RulingModel]]:
    """Each ruling of a row once a code: its place in the page's list, and what the source says."""
    tables = build_page_data(proof)["rules"]["tables"]  # type: ignore[index]
    found = {
        (code, shown["ruling"]): table.rulings[row.ruling]
        for (code, subject), table in proof.library.rulings.items()
        for row, shown in zip(table.rows, tables[f"{code}/{subject}"]["rows"], strict=True)
    }
    return [(code, place, ruling) for (code, place), ruling in found.items()]


def list_known() -> list[dict[str, Any]]:
    """Every situation of which any part is told or not."""
    runners = [None, *dict.fromkeys(each.runners for each in SITUATIONS)]
    counts = [None, *dict.fromkeys(each.count for each in SITUATIONS)]
    return [
        {"runners": held, "outs": outs, "count": count}
        for held, outs, count in product(runners, (None, 0, 1, 2), counts)
    ]


@pytest.fixture(scope="module")
def said(demo: Proof, plays: Sequence[Play], tmp_path_factory: pytest.TempPathFactory) -> dict[str, Any]:
    states = [
        (code, place, situation.model_dump(mode="json"))
        for code, place, _ in list_rulings(demo)
        for situation in SITUATIONS
    ]
    first = {s: c for c, s in reversed(list(demo.library.rulings))}
    shown = [(f"{code}/{subject}", known) for subject, code in first.items() for known in list_known()]
    asked = {"plays": plays, "states": states, "shown": shown}
    return ask_page(demo, asked, tmp_path_factory.mktemp("rules"))


def judge(each: SubjectRules, answers: Mapping[str, str]) -> Answer | PocketrefError:
    try:
        return answer_play(each, answers)
    except PocketrefError as error:
        return error


def test_every_combination_of_every_table_is_ruled_on_by_the_same_row(
    rules: Mapping[str, SubjectRules], plays: Sequence[Play], said: Mapping[str, Any]
) -> None:
    assert len(plays) > 3000
    for (name, answers), page in zip(plays, said["plays"], strict=True):
        code, subject = name.split("/")
        expected = judge(rules[name], answers)
        if isinstance(expected, PocketrefError):
            assert [problem.code for problem in expected.problems] == ["play-impossible"]
            assert "; ".join(page["impossible"]) == expected.problems[0].hint, (name, answers)
            continue
        printed = json.loads(write_answer_json(expected, code, subject))
        rows = rules[name].library.rulings[code, subject].rows
        assert page["row"] == rows.index(expected.row), (name, answers)
        assert page.get("address") in (None, address_row(code, subject, expected.row.when))
        assert page["headline"] == printed["ruling"]["headline"]
        assert page["because"] == [asked["fact"] for asked in printed["asked"]]


def test_the_page_asks_what_a_terminal_asks_and_comes_to_the_same(
    rules: Mapping[str, SubjectRules], plays: Sequence[Play], said: Mapping[str, Any]
) -> None:
    for (name, answers), page, walked in zip(plays, said["plays"], said["walks"], strict=True):
        if "impossible" in page:
            continue
        given: dict[str, str] = {}
        while fact := next_question(rules[name], given):
            given[fact.name] = answers[fact.name]
        rows = rules[name].library.rulings[rules[name].table.code, rules[name].table.subject].rows
        row = rows.index(answer_play(rules[name], given).row)
        assert walked == {"row": row, "asked": list(given)}, (name, answers)


def test_every_ruling_leads_to_the_same_state_from_every_situation_in_the_same_words(
    demo: Proof, said: Mapping[str, Any]
) -> None:
    pages = iter(said["states"])
    for code, _, ruling in list_rulings(demo):
        uncaught = demo.library.codes[code].uncaught_third
        for situation in SITUATIONS:
            page = next(pages)
            if missing := find_missing_runner(situation, ruling):
                assert page == {"missing": missing}
                continue
            states = find_next_states(situation, ruling)
            where = (code, ruling.headline, situation)
            assert [told(state) for state in page["states"]] == list_states(states), where
            assert page["words"] == write_states(states, uncaught), where


def told(state: Mapping[str, Any]) -> dict[str, Any]:
    """A state of the page as the program's JSON has it."""
    scores = [
        each for each in state["runners"].values() if each["fate"] == "advances" and each["base"] == "home"
    ]
    return {
        "when": state["when"],
        "outs": state["outs"],
        "side-retired": state["outs"] == 3,
        "count": state["count"],
        "batter": {key: state["batter"][key] for key in ("fate", "base")},
        "runners": state["runners"],
        "runs": len([each for each in scores if not each["unless"]]),
        "may-take-play": state["mayTakePlay"],
    }


def test_runners_outs_and_count_answer_the_same_facts_however_much_of_them_is_told(
    demo: Proof, said: Mapping[str, Any]
) -> None:
    library = demo.library
    subjects = dict.fromkeys(s for _, s in reversed(list(library.rulings)))
    shown = iter(said["shown"])
    for subject in subjects:
        for known in list_known():
            page = next(shown)
            assert page == answer_from_situation(library.subjects[subject], agree(known)), (subject, known)


def agree(known: Mapping[str, Any]) -> tuple[SituationModel, ...]:
    runners = "" if known["runners"] is None else ",".join(known["runners"]) or "none"
    outs = "" if known["outs"] is None else str(known["outs"])
    return read_situations(runners, outs, known["count"] or "")
