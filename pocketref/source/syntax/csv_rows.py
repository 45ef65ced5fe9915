"""Rows of CSV text (RFC 4180) as spreadsheets save it, each value with its place; what parts them is found out."""

from __future__ import annotations

import csv
import re
from collections.abc import Iterable, Iterator, Sequence
from dataclasses import dataclass
from itertools import islice

from pocketref.problems import Location, suggest_match, write_unknown
from pocketref.source.syntax.nodes import TextNode
from pocketref.source.syntax.source_text import SourceText, clip_text
from pocketref.words.terminal import tell

SEPARATORS = {",": "comma", ";": "semicolon", "\t": "tab"}
"""What may part the values of a row: the comma of RFC 4180, and what spreadsheets write where it marks decimals."""
_OPENING = re.compile('"?[ \u00a0]*')


@dataclass(frozen=True, slots=True)
class CsvRow:
    """A line's values as they stand between separators and quotation marks; `fault` says why it has none."""

    source: SourceText
    line: int
    separator: str
    values: tuple[str, ...]
    fault: str = ""

    @property
    def text(self) -> str:
        """The line as it stands."""
        return self.source.lines[self.line - 1]

    def locate(self, place: int = 0) -> Location:
        """Where the value at `place` in the row, from 0, starts: its first character that is no space or quote."""
        return self._point_at(next(islice(self._list_starts(), place, None), 0))

    def list_cells(self) -> tuple[TextNode, ...]:
        """The values without spaces around them, each with its place."""
        pairs = zip(self.values, self._list_starts(), strict=False)
        return tuple(TextNode(value.strip(), self._point_at(start)) for value, start in pairs)

    def _list_starts(self) -> Iterator[int]:
        """Where each value starts in the line, from 0."""
        text, is_quoted, opens_quoted = self.text, False, self.text.startswith('"')
        yield 0
        for at, letter in enumerate(text):
            if letter == '"':
                is_quoted = opens_quoted and not is_quoted
            elif letter == self.separator and not is_quoted:
                opens_quoted = text.startswith('"', at + 1)
                yield at + 1

    def _point_at(self, start: int) -> Location:
        opening = _OPENING.match(self.text, start)
        return Location(self.source.file, self.line, (opening.end() if opening else start) + 1, self.text)


def split_rows(source: SourceText, heads: Iterable[str]) -> Iterator[CsvRow]:
    """The rows that say something, each a line: a value does not go on in the next.

    A double quote is a character like any other unless it opens a value, so 28" needs no escaping. `heads` are the
    names that the row of column names may start with: what parts that row parts them all.
    """
    separator = find_separator(source, heads)
    for number, line in enumerate(source.lines, start=1):
        try:
            values = next(csv.reader([line], delimiter=separator, strict=True), [])
        except csv.Error as error:
            yield CsvRow(source, number, separator, (), tell("this row is not CSV: {error}", error=error))
            continue
        if any(value.strip() for value in values):
            yield CsvRow(source, number, separator, tuple(values))


def find_separator(source: SourceText, heads: Iterable[str]) -> str:
    """What the row that starts with one of `heads` has most of, else the first row that has any; else a comma."""
    names = "|".join(map(re.escape, heads))
    headed = re.compile(f' *"?({names})"? *[{"".join(SEPARATORS)}]', re.IGNORECASE)
    first = ""
    for line in source.lines:
        if headed.match(line):
            return max(SEPARATORS, key=line.count)
        if not first and any(letter in line for letter in SEPARATORS):
            first = line
    return max(SEPARATORS, key=first.count)


def find_column_faults(
    names: Sequence[str], known: Sequence[str], needed: Sequence[str]
) -> Iterator[tuple[str, str, int]]:
    """What is wrong with a row of column names: sentence, hint, and place in the row from 0."""
    missing, seen = [name for name in needed if name not in names], set()
    for place, name in enumerate(names):
        if name not in known and name not in seen:
            yield (
                write_unknown("column", clip_text(name)),
                suggest_match(name, missing or known),
                place,
            )
        elif name in seen and name in known:
            yield tell("the column '{name}' stands twice", name=name), tell("keep one"), place
        seen.add(name)
    for name in missing:
        hint = tell("name the columns {columns}", columns=", ".join(known))
        yield tell("the column '{name}' is missing", name=name), hint, 0
