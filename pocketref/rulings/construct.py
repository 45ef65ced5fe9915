"""Decision tables from the models an author's files were read into."""

from __future__ import annotations

from pocketref.rulings.table import Fact, Row, Table
from pocketref.source.ruling_models import Conditions, SubjectModel, TableModel


def construct_table(subject: SubjectModel, model: TableModel) -> Table:
    """The table of one code over its subject's facts; places come along, so that an audit can point."""
    facts = tuple(
        Fact(
            name=name,
            ask=fact.ask,
            answers=tuple(fact.answers),
            labels=tuple(fact.answers.values()),
            weights=tuple(float(fact.weights[answer]) for answer in fact.answers) if fact.weights else (),
            where=fact.location,
        )
        for name, fact in subject.facts.items()
    )
    return Table(
        subject=model.subject,
        code=model.code,
        facts=facts,
        rows=tuple(
            Row(_read_conditions(row.when), row.ruling, row.location, is_open=bool(row.unsettled))
            for row in model.rows
        ),
        never=tuple(Row(_read_conditions(row.when), row.reason, row.location) for row in model.never),
        outcomes=tuple(model.rulings),
        fixed_order=model.order,
        where=model.location,
        rows_where=model.locate_key("rows"),
    )


def _read_conditions(when: Conditions) -> dict[str, frozenset[str]]:
    return {fact: frozenset(answers) for fact, answers in when.items()}
