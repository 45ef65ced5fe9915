"""What was filled into a review sheet's CSV, as entries of compared.yaml."""

from __future__ import annotations

from collections.abc import Iterator
from itertools import groupby
from pathlib import Path

import yaml

from pocketref.edition.review import HEADS
from pocketref.problems import ProblemLog, refusal, write_unknown
from pocketref.source.library import Library
from pocketref.source.statements import ComparisonModel, check_comparisons
from pocketref.source.syntax.csv_rows import CsvRow, split_rows
from pocketref.source.syntax.nodes import MapNode, Node, TextNode
from pocketref.source.syntax.source_text import SourceText, read_source_text
from pocketref.source.syntax.validation import validate_node
from pocketref.words.speech import say
from pocketref.words.terminal import tell

_NEEDED = ("book", "edition", "statement", "mark", "agrees", "role", "date")


def read_sign_off(path: Path, library: Library) -> str:
    """The entries of compared.yaml that a filled-in review.csv makes: its rows with agrees = yes.

    Columns and answers are in English or the language in force.
    PocketrefError with every fault at its place: a column or a value that is missing, and what
    `check_comparisons` refuses.
    """
    problems = ProblemLog()
    source = read_source_text(path, path.name, problems)
    found = list(_read_rows(source, problems)) if source else []
    check_comparisons(found, library.statements, library.editions, problems)
    problems.raise_errors()
    if not found:
        hint = tell("write yes under 'agrees', and role and date, where print and book agree")
        raise refusal("review-empty", tell("{name} signs nothing off", name=path.name), hint)

    def sign(entry: ComparisonModel) -> tuple[str, ...]:
        return entry.book, entry.edition, entry.role, entry.date.isoformat()

    entries = [
        dict(zip(("book", "edition", "role", "date"), key, strict=True))
        | {"statements": {name: mark for each in group for name, mark in each.statements.items()}}
        for key, group in groupby(sorted(found, key=sign), key=sign)
    ]
    text = yaml.safe_dump({"compared": entries}, sort_keys=False, allow_unicode=True, width=10_000)
    return str(text).rstrip()


def _read_rows(source: SourceText, problems: ProblemLog) -> Iterator[ComparisonModel]:
    rows = list(split_rows(source, (*HEADS, *map(say, HEADS))))
    head = rows[0] if rows else None
    known = {say(name): name for name in HEADS}
    given = [value.strip().lower() for value in head.values] if head else []
    names = [known.get(name, name) for name in given]
    if missing := [name for name in _NEEDED if name not in names]:
        where = head.locate() if head else None
        sentence, hint = (
            write_unknown("column", missing[0]),
            tell("keep the first row as the review sheet has it"),
        )
        problems.error("review-columns", sentence, hint, where)
        return
    for row in rows[1:]:
        if model := _read_row(row, names, problems):
            yield model


def _read_row(row: CsvRow, names: list[str], problems: ProblemLog) -> ComparisonModel | None:
    """A row that agrees; None for one that does not, or is at fault."""
    cells = dict(zip(names, row.list_cells(), strict=False))
    if row.fault or (left := [name for name in _NEEDED if name not in cells]):
        sentence = row.fault or tell("this row has no '{left}'", left=left[0])
        problems.error(
            "review-row", sentence, tell("keep the columns as the review sheet has them"), row.locate()
        )
        return None
    agrees = cells["agrees"]
    if agrees.text.lower() in ("", "no", say("no")):
        return None
    if agrees.text.lower() not in ("yes", say("yes")):
        sentence = tell("'{text}' is neither yes nor no", text=agrees.text)
        problems.error("value-yes-no", sentence, tell("write yes, no, or nothing"), agrees.location)
        return None
    statements = MapNode(((cells["statement"], cells["mark"]),), cells["statement"].location)
    values: dict[str, Node] = {
        **{key: cells[key] for key in ("book", "edition", "role", "date")},
        "statements": statements,
    }
    entries = tuple((TextNode(key, node.location), node) for key, node in values.items())
    return validate_node(MapNode(entries, row.locate()), ComparisonModel, problems)
