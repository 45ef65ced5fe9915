"""Files that mean harm, or are not what they are called: answered or refused, within bounds of time and memory."""

from __future__ import annotations

import resource
from collections.abc import Callable, Iterator
from functools import cache

import pytest
from field_sheets import fill_sheet, publish
from hostile_pdfs import FILES, READ_ALL_THE_SAME, REFUSED, reshape
from pikepdf import Pdf

from pocketref.output.filled_sheet import read_filled_sheet
from pocketref.problems import PocketrefError

SLOWEST_S = 5.0
"""Of processor time, so that a busy machine tells no tales."""
MOST_KIB = 500 * 1024

# --- PDFs ------------------------------------------------------------------------------------------------


@cache
def filled() -> bytes:
    return fill_sheet(publish("plate-area"), {"A-F1": "31 3/16 in"})


@pytest.fixture
def _bounded() -> Iterator[None]:
    """What the test starts takes no more than 5 s of a processor, and 500 MiB."""
    filled()
    before = resource.getrusage(resource.RUSAGE_CHILDREN)
    yield
    after = resource.getrusage(resource.RUSAGE_CHILDREN)
    assert after.ru_utime + after.ru_stime - before.ru_utime - before.ru_stime < SLOWEST_S
    assert after.ru_maxrss < MOST_KIB  # the most of all so far


def read_codes(data: bytes) -> set[str]:
    """The codes of a refusal; a sheet that is read says what was typed."""
    try:
        sheet = read_filled_sheet(data, "sheet.pdf")
    except PocketrefError as error:
        return {problem.code for problem in error.problems}
    assert {name: text for name, text in sheet.values.items() if text} == {"A-F1": "31 3/16 in"}
    return set()


@pytest.mark.usefixtures("_bounded")
@pytest.mark.parametrize("change", READ_ALL_THE_SAME)
def test_what_lies_beside_a_sheet_s_fields_is_neither_drawn_nor_run(change: Callable[[Pdf], None]) -> None:
    assert not read_codes(reshape(filled(), change))


@pytest.mark.usefixtures("_bounded")
@pytest.mark.parametrize("change", REFUSED)
def test_a_sheet_that_would_eat_time_or_memory_is_refused(change: Callable[[Pdf], None]) -> None:
    assert read_codes(reshape(filled(), change)) in ({"sheet-unreadable"}, {"sheet-foreign"})


@pytest.mark.usefixtures("_bounded")
@pytest.mark.parametrize("name", FILES)
def test_a_file_that_would_eat_time_or_memory_is_refused(name: str) -> None:
    assert read_codes(FILES[name]()) == {"sheet-unreadable"}


def test_a_sheet_locked_against_reading_is_refused_and_one_locked_against_changes_is_read() -> None:
    assert read_codes(reshape(filled(), lambda _: None, "word")) == {"sheet-unreadable"}
    assert not read_codes(reshape(filled(), lambda _: None, ""))
