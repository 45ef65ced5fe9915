"""The decision tables, their charts and what rulings come to, as the page's script rules by them."""

from __future__ import annotations

from collections.abc import Hashable, Mapping
from dataclasses import dataclass
from typing import Any

from pocketref.blocks.doubt import write_meaning
from pocketref.edition.proof import Proof
from pocketref.edition.statement_words import write_sources
from pocketref.rulings.answer import construct_rules
from pocketref.rulings.chart import Chart
from pocketref.rulings.effects import sign_effect, write_batter, write_count_effect, write_runners
from pocketref.rulings.nodes import Question
from pocketref.rulings.situation import OUTS
from pocketref.rulings.state_words import STATE_WORDS
from pocketref.source.library import Library
from pocketref.source.ruling_models import (
    Conditions,
    FactModel,
    RowModel,
    RulingModel,
    RunnerOut,
    SubjectModel,
)
from pocketref.source.situation_models import GameConditionModel
from pocketref.source.statements import name_row
from pocketref.words.speech import say

Json = dict[str, Any]
_IN_EFFECT = {"ball", "batter", "runners", "count", "out", "may_take_play"}


def build_rules_data(proof: Proof) -> Json:
    """Every table of every code, whether the edition is of that code or not; keys are those of the source.

    What tables share stands once: rows name their ruling, and rulings their effect, by its place in a list.
    """
    library = proof.library
    shared = _Shared([], [], {})
    tables = {
        f"{code}/{subject}": _write_table(library, code, subject, shared) for code, subject in library.rulings
    }
    return {
        "doubt": write_meaning(),
        "outs": [say(outs) for outs in OUTS],
        "words": {name: say(words) for name, words in STATE_WORDS.items()},
        "out": {str(runner): say(runner) for runner in RunnerOut},
        "in-force": list(library.edition.codes),
        "codes": {
            name: {"name": code.name, "uncaught": code.uncaught_third} for name, code in library.codes.items()
        },
        "subjects": {name: _write_subject(library.subjects[name]) for name in _order_subjects(proof)},
        "tables": tables,
        "rulings": shared.rulings,
        "effects": shared.effects,
    }


@dataclass(frozen=True, slots=True)
class _Shared:
    """Rulings and effects that tables share, each different one once."""

    rulings: list[Json]
    effects: list[Json]
    signs: dict[Hashable, int]

    def add(self, ruling: RulingModel) -> int:
        """The place of the ruling in the list. Effects of one `sign` come to the same, whatever their code."""
        effect = _drop_empty(ruling.model_dump(mode="json", by_alias=True, include=_IN_EFFECT))
        words = {
            "ball": say(ruling.ball),
            "batter": write_batter(ruling).full,
            "runners": write_runners(ruling).full,
            "count": write_count_effect(ruling),
        }
        sign = self.signs.setdefault(sign_effect(ruling), len(self.signs))
        place = _place(self.effects, effect | {"in-words": words, "sign": sign})
        said = ruling.model_dump(mode="json", by_alias=True, exclude=_IN_EFFECT)
        return _place(self.rulings, _drop_empty(said) | {"effect": place})


def _place(entries: list[Json], entry: Json) -> int:
    if entry not in entries:
        entries.append(entry)
    return entries.index(entry)


def _order_subjects(proof: Proof) -> list[str]:
    """The subjects as the cards come to them, then the rest."""
    blocks = [block for card in proof.layouts.cards for block in (*card.front, *card.back)]
    on_cards = [getattr(block, "subject", "") for block in blocks]
    return [
        name for name in dict.fromkeys((*on_cards, *proof.library.subjects)) if name in proof.library.subjects
    ]


def address_row(code: str, subject: str, when: Conditions) -> str:
    """The id of a table's row on the page: it stays where rows move."""
    return "-".join(("rulings", code, subject, name_row(when)))


def _write_subject(subject: SubjectModel) -> Json:
    return {
        "title": subject.title,
        "facts": {name: _write_fact(fact) for name, fact in subject.facts.items()},
    }


def _write_fact(fact: FactModel) -> Json:
    shown = fact.from_.situation if fact.from_ else {}
    met = {answer: [_write_condition(each) for each in conditions] for answer, conditions in shown.items()}
    return _drop_empty({"ask": fact.ask, "answers": dict(fact.answers), "situation": met})


def _write_condition(condition: GameConditionModel) -> Json:
    return _drop_empty(condition.model_dump(mode="json"))


def _write_table(library: Library, code: str, subject: str, shared: _Shared) -> Json:
    rules, model = construct_rules(library, subject, code), library.rulings[code, subject]
    rulings = {name: shared.add(ruling) for name, ruling in model.rulings.items()}
    rows = [_write_row(library, code, subject, row) | {"ruling": rulings[row.ruling]} for row in model.rows]
    never = [{"when": _write_conditions(each.when), "reason": each.reason} for each in model.never]
    return _drop_empty({"rows": rows, "never": never, "chart": _write_chart(rules.chart)})


def _write_row(library: Library, code: str, subject: str, row: RowModel) -> Json:
    """A row that stands on the page has its address."""
    is_shown = code in library.edition.codes
    return _drop_empty(
        {
            "when": _write_conditions(row.when),
            "cites": write_sources(row.source, library),
            "sure": say(row.confidence),
            "doubt": bool(library.mark_doubt(row)),
            "note": row.note,
            "unsettled": row.unsettled,
            "address": address_row(code, subject, row.when) if is_shown else "",
        }
    )


def _write_conditions(when: Conditions) -> Json:
    """Each fact with the answer that it must have, or a list of them."""
    return {fact: answers[0] if len(answers) == 1 else list(answers) for fact, answers in when.items()}


def _write_chart(chart: Chart) -> list[Json | None]:
    """The nodes: what is asked and where each answer leads; null is an ending."""
    return [
        {"fact": node.fact, "to": {answer: way.target for way in node.exits for answer in way.answers}}
        if isinstance(node, Question)
        else None
        for node in chart.nodes
    ]


def _drop_empty(values: Mapping[str, Any]) -> Json:
    """Without what is empty or false, which the script takes as such."""
    return {key: value for key, value in values.items() if value not in ("", False, None, [], {}, ())}
