"""Rows of CSV (RFC 4180): what parts them, what stands in them, and where."""

from __future__ import annotations

import csv
import io

import pytest
from hypothesis import given, settings
from hypothesis import strategies as st

from pocketref.problems import ProblemLog
from pocketref.source.syntax.csv_rows import CsvRow, split_rows
from pocketref.source.syntax.source_text import decode_text

HEADS = ("name", "from")


def read(text: str) -> list[CsvRow]:
    source = decode_text(text.encode(), "a.csv", ProblemLog())
    assert source is not None
    return list(split_rows(source, HEADS))


@pytest.mark.parametrize("separator", [",", ";", "\t"])
@pytest.mark.parametrize("ending", ["\n", "\r\n", "\r"])
def test_rows_are_parted_as_the_row_of_column_names_is(separator: str, ending: str) -> None:
    lines = ("\ufefflevel,90-ft", "name,to,reading", "", "A,F1,30 in", ",,")
    rows = read(ending.join(lines).replace(",", separator))
    assert [row.values for row in rows] == [
        ("level", "90-ft"),
        ("name", "to", "reading"),
        ("A", "F1", "30 in"),
    ]
    assert [row.line for row in rows] == [1, 2, 4]


def test_a_comma_within_a_row_parted_by_semicolons_is_a_character() -> None:
    assert [row.values for row in read("from;to\nA, or B;F1\n")] == [("from", "to"), ("A, or B", "F1")]


def test_a_quote_within_a_value_needs_no_other() -> None:
    _, row = read('from,to\n28", or so,"2\' 6"""\n')
    assert row.values == ('28"', " or so", "2' 6\"")
    assert [row.locate(place).column for place in range(3)] == [1, 6, 13]


def test_a_value_that_is_not_closed_is_a_fault_of_its_row_alone() -> None:
    first, broken, last = read('from,to\n"A,F1\nB,F2\n')
    assert (first.fault, last.fault) == ("", "")
    assert broken.fault
    assert str(broken.locate()) == "a.csv:2:2"


def test_cells_have_the_place_of_their_first_character() -> None:
    _, row = read('from,to\n  A , "x",,"B, C"\n')
    assert [(cell.text, cell.location.column) for cell in row.list_cells()] == [
        ("A", 3),
        ('"x"', 7),
        ("", 11),
        ("B, C", 13),
    ]


cells = st.text(st.characters(exclude_categories=["C", "Z"]) | st.just(" "), min_size=1, max_size=8)


@settings(max_examples=100)
@given(st.lists(cells.filter(str.strip), min_size=2, max_size=5))
def test_what_is_written_as_csv_is_read_back_each_value_in_its_place(values: list[str]) -> None:
    out = io.StringIO()
    csv.writer(out, lineterminator="\n").writerow(values)
    _, row = read(f"from,to\n{out.getvalue()}")
    assert list(row.values) == values
    for place, value in enumerate(values):
        where = row.locate(place)
        if '"' not in value:
            assert where.text[where.column - 1 :].startswith(value.lstrip())
