"""A ruling on a play: from the facts given to the ruling, its row and section, and the questions on the way."""

from __future__ import annotations

from collections.abc import Iterable, Mapping
from dataclasses import dataclass

from pocketref.problems import Location, PocketrefError, Problem, refusal, suggest_match, write_unknown
from pocketref.rulings.chart import Chart, find_chart, follow_chart
from pocketref.rulings.construct import construct_table
from pocketref.rulings.nodes import Question
from pocketref.rulings.table import Fact, Table, decide, facts_that_matter
from pocketref.source.library import Library
from pocketref.source.ruling_models import RowModel, RulingModel
from pocketref.words.terminal import tell, tell_list


@dataclass(frozen=True, slots=True)
class SubjectRules:
    """A code's rules on one subject: its table and chart, ready to rule on plays, and the content they are from."""

    table: Table
    chart: Chart
    library: Library


@dataclass(frozen=True, slots=True)
class Answer:
    """A ruling, and how it was reached."""

    outcome: str
    ruling: RulingModel
    asked: tuple[tuple[str, str, str], ...]
    """Fact, question and answer as they came up on the way, in the chart's order, then what else it rests on."""
    idle: tuple[str, ...]
    """Facts without which, given or left open, the ruling is settled all the same, even without all of them."""
    cites: tuple[str, ...]
    where: Location | None
    row: RowModel
    """The row of the table."""
    number: int
    """The row's, from 1."""
    in_doubt: bool
    """Whether the row is from memory or inferred, and not compared with the book."""
    note: str
    unsettled: str


def construct_rules(library: Library, subject: str, code: str) -> SubjectRules:
    """The table on a subject by a code; raises PocketrefError with what there is if there is none."""
    if code not in library.codes:
        raise refusal("code-unknown", write_unknown("code", code), suggest_match(code, library.codes))
    if subject not in library.subjects:
        hint = suggest_match(subject, library.subjects)
        raise refusal("subject-unknown", write_unknown("subject", subject), hint)
    if (code, subject) not in library.rulings:
        others = [name for name in library.codes if (name, subject) in library.rulings]
        named = {"code": code, "subject": subject}
        if others:
            codes = tell_list(others, is_or=True)
            hint = tell("write rulings/{code}/{subject}.yaml, or ask by {codes}", codes=codes, **named)
        else:
            hint = tell("write rulings/{code}/{subject}.yaml", **named)
        raise refusal(
            "table-missing", tell("{code} has no table on {subject}", code=code, subject=subject), hint
        )
    table = construct_table(library.subjects[subject], library.rulings[code, subject])
    return SubjectRules(table, find_chart(table), library)


def read_facts(table: Table, given: Iterable[str]) -> dict[str, str]:
    """Answers from words such as "on-plate=yes"; raises PocketrefError with every one that is wrong."""
    answers: dict[str, str] = {}
    problems = []
    for words in given:
        name, equals, answer = words.partition("=")
        fact = table.fact_by_name.get(name)
        if not equals:
            sentence = tell("'{words}' is not fact=answer", words=words)
            problems.append(Problem("fact-notation", sentence, tell("write, for example, on-plate=yes")))
        elif fact is None:
            hint = suggest_match(name, table.fact_by_name)
            problems.append(
                Problem(
                    "fact-unknown",
                    tell("{subject} has no fact '{name}'", subject=table.subject, name=name),
                    hint,
                )
            )
        elif answer not in fact.answers:
            sentence = tell(
                "'{answer}' is no answer to {name}: {ask}", answer=answer, name=name, ask=fact.ask
            )
            problems.append(Problem("answer-unknown", sentence, suggest_match(answer, fact.answers)))
        elif answers.setdefault(name, answer) != answer:
            problems.append(
                Problem(
                    "fact-twice", tell("{name} is given twice, differently", name=name), tell("give it once")
                )
            )
    if problems:
        raise PocketrefError(problems)
    return answers


def complete_answer(fact: Fact, words: str) -> str:
    """The answer that was typed, or the only one that begins so ("y" for yes); empty if it is none."""
    typed = words.strip().lower()
    found = [a for a in fact.answers if a == typed] or [a for a in fact.answers if a.startswith(typed)]
    return found[0] if len(found) == 1 else ""


def next_question(rules: SubjectRules, answers: Mapping[str, str]) -> Fact | None:
    """The fact to ask next, in the chart's order; None once the ruling is settled."""
    if not facts_that_matter(rules.table, answers):
        return None
    _, node = follow_chart(rules.chart, answers)
    if isinstance(node, Question) and node.fact not in answers:
        return rules.table.fact_by_name[node.fact]
    return None


def answer_play(rules: SubjectRules, answers: Mapping[str, str]) -> Answer:
    """The ruling on a play whose answers settle it; raises PocketrefError if they do not, or cannot happen."""
    table, works = rules.table, rules.library.works
    row = decide(table, answers)
    model = rules.library.rulings[table.code, table.subject]
    index = table.rows.index(row)
    source = model.rows[index]
    reasons = _find_reasons(rules, answers)
    asked = tuple((name, table.fact_by_name[name].ask, answers[name]) for name in reasons)
    return Answer(
        outcome=row.outcome,
        ruling=model.rulings[row.outcome],
        asked=asked,
        idle=tuple(fact.name for fact in table.facts if fact.name not in reasons),
        cites=tuple(
            "house" if cite.is_house else f"{works[cite.work].mark} {cite.section}" for cite in source.source
        ),
        where=row.where,
        row=source,
        number=index + 1,
        in_doubt=bool(rules.library.mark_doubt(source)),
        note=source.note,
        unsettled=source.unsettled,
    )


def _find_reasons(rules: SubjectRules, answers: Mapping[str, str]) -> list[str]:
    """The facts on the chart's way, and if it breaks off at a question that is open, those that settle the ruling."""
    way, node = follow_chart(rules.chart, answers)
    reasons = [question.fact for question, _ in way]
    if not isinstance(node, Question):
        return reasons
    kept = dict(answers)
    for fact in reversed(rules.table.facts):
        rest = {name: answer for name, answer in kept.items() if name != fact.name}
        if fact.name not in reasons and not facts_that_matter(rules.table, rest):
            kept = rest
    return reasons + [fact.name for fact in rules.table.facts if fact.name in kept.keys() - set(reasons)]
