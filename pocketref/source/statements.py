"""What the content states: each figure, row, text and caution by a lasting name, and which of them are in doubt.

A statement is in doubt if it is from memory or inferred, until `compared.yaml` says that it was compared with the
edition in force of every work that it cites. What says something else since is in doubt again.
"""

from __future__ import annotations

import hashlib
import json
from collections.abc import Iterable, Iterator, Mapping, Sequence
from dataclasses import dataclass
from functools import cached_property

from pydantic import Field

from pocketref.problems import ProblemLog, suggest_match, write_unknown
from pocketref.source.edition_models import EditionModel, WorkModel
from pocketref.source.field_models import Dimension, FieldModel
from pocketref.source.ruling_models import Conditions, RowModel, TableModel
from pocketref.source.syntax.kinds import HOUSE, Confidence, IsoDate, Line, Name
from pocketref.source.syntax.located import SourceModel
from pocketref.source.text_models import CautionModel, TextModel
from pocketref.words.terminal import tell, tell_list

Cited = Dimension | RowModel | TextModel | CautionModel
"""A statement that says where it stands and how sure that is."""

COMPARED = "compared.yaml"
DOUBT = "†"
"""Stands after words that rest on a statement in doubt."""
DOUBTFUL = (Confidence.FROM_MEMORY, Confidence.INFERRED)


class ComparisonModel(SourceModel):
    """Statements that somebody compared with a book."""

    book: Name = Field(description="the work they were compared with, one of works.yaml, or house")
    edition: Line = Field(description="the edition of the book, as works.yaml has it")
    role: Line = Field(description="who compared them, by role, such as rules interpreter")
    date: IsoDate = Field(description="the day, such as 2027-01-15")
    statements: Mapping[Line, Line] = Field(
        min_length=1, description="{statement: mark of what it says, ...}, both from the review sheet"
    )


class ComparedModel(SourceModel):
    """The file compared.yaml: what was compared with the books."""

    compared: tuple[ComparisonModel, ...] = Field(description="a list of comparisons")


@dataclass(frozen=True)
class Statement:
    """A statement, where it stands, and all that it says: itself, and the ruling that a row leads to."""

    place: str
    model: Cited
    said: tuple[SourceModel, ...]

    @cached_property
    def name(self) -> str:
        """The name that it keeps wherever it is moved in its file."""
        return f"{self.place}/{name_row(self.model.when)}" if isinstance(self.model, RowModel) else self.place

    @cached_property
    def mark(self) -> str:
        """A digest of all that it says as it was written, but for how sure it is."""
        written = (model.as_written for model in self.said)
        return _digest([model.model_dump(mode="json", exclude={"confidence"}) for model in written])

    @property
    def books(self) -> tuple[str, ...]:
        """The works that it cites, each once; `house` for the association itself."""
        return tuple(dict.fromkeys(cite.work for cite in self.model.source))


def list_statements(
    fields: Mapping[str, FieldModel],
    rulings: Mapping[tuple[str, str], TableModel],
    texts: Mapping[str, TextModel],
    cautions: Mapping[str, CautionModel],
) -> Iterator[Statement]:
    """Each dimension, tolerance, row, text and caution, in the order of the files.

    A row is named by its conditions, so that it keeps its name when rows move; its mark is of its ruling too.
    """
    for key, level in fields.items():
        for kind, values in (("dimensions", level.dimensions), ("tolerances", level.tolerances)):
            for name, value in values.items():
                yield Statement(f"fields/{key}/{kind}/{name}", value, (value,))
    for (code, subject), table in rulings.items():
        for row in table.rows:
            ruling = table.rulings.get(row.ruling)
            yield Statement(f"rulings/{code}/{subject}", row, (row, *([ruling] if ruling else [])))
    yield from (Statement(name, text, (text,)) for name, text in texts.items())
    yield from (Statement(f"cautions/{name}", each, (each,)) for name, each in cautions.items())


def name_row(when: Conditions) -> str:
    """What a row is called within its table."""
    return _digest({fact: list(answers) for fact, answers in when.items()})


def _digest(value: object) -> str:
    text = json.dumps(value, ensure_ascii=False, sort_keys=True)
    return hashlib.sha256(text.encode("utf-8", "surrogatepass")).hexdigest()[:8]


def list_editions(works: Mapping[str, WorkModel], edition: EditionModel) -> dict[str, str]:
    """The edition of each book that is compared with; what cites the house is confirmed for each of its editions."""
    return {**{name: work.edition for name, work in works.items()}, HOUSE: edition.edition}


def find_doubts(
    statements: Iterable[Statement], comparisons: Iterable[ComparisonModel], editions: Mapping[str, str]
) -> Iterator[Statement]:
    """The statements that are in doubt."""
    done = {
        (name, mark, each.book)
        for each in comparisons
        if each.edition == editions.get(each.book)
        for name, mark in each.statements.items()
    }
    for statement in statements:
        # Names and marks take long to make, and only those are needed that something may have been compared with.
        if statement.model.confidence in DOUBTFUL and any(
            not done or (statement.name, statement.mark, book) not in done for book in statement.books
        ):
            yield statement


def check_comparisons(
    comparisons: Sequence[ComparisonModel],
    statements: Iterable[Statement],
    editions: Mapping[str, str],
    problems: ProblemLog,
) -> None:
    """Note what is wrong with the comparisons, and warn of those that hold no longer, each at its place."""
    known = {statement.name: statement for statement in statements} if comparisons else {}
    for each in comparisons:
        now = editions.get(each.book)
        if now is None:
            sentence = write_unknown("work", each.book)
            problems.unknown("work-unknown", sentence, each.book, editions, each.locate("book"))
            continue
        if each.edition != now:
            sentence = tell(
                "{book} was compared in its edition '{edition}', and '{now}' is in force",
                book=each.book,
                edition=each.edition,
                now=now,
            )
            hint = tell("compare again with the edition in force; until then the statements are marked")
            problems.warn("comparison-old", sentence, hint, each.locate("edition"))
        for name, mark in each.statements.items():
            where, found = each.locate_key("statements", name), known.get(name)
            if found is None:
                hint = suggest_match(name, known) or tell(
                    "take it out, or copy the name from the review sheet"
                )
                problems.error("statement-unknown", write_unknown("statement", name), hint, where)
            elif each.book not in found.books:
                hint = tell("it cites {books}", books=tell_list(found.books))
                problems.error(
                    "statement-book",
                    tell("'{name}' does not cite {book}", name=name, book=each.book),
                    hint,
                    where,
                )
            elif mark != found.mark:
                sentence = tell("'{name}' says something else since it was compared", name=name)
                hint = tell("compare it again, and write {mark}; until then it is marked", mark=found.mark)
                problems.warn("comparison-other", sentence, hint, where)
