"""The page's own judging of taped readings against the program's."""

from __future__ import annotations

from collections import Counter
from concurrent.futures import ThreadPoolExecutor
from itertools import product
from pathlib import Path
from typing import Any

import pytest
from field_sheets import library, plan_of
from page_fields import TypedField, ask_page, compare, draw_fields, judge_by_engine

from pocketref.field.pulls import pulls
from pocketref.tape_report.tape_answer import write_tape_answer
from pocketref.tape_report.tape_file import judge_file
from pocketref.units.length import Length
from pocketref.units.notation import NotationError, read_length, write_tape

FIELDS = 2000
SAME = 0.95
"""The share of orders, misreads and bad tapes that the page has to give as the engine does."""
NUMBERS = (
    "7",
    "7.5",
    "7 1/2",
    "7-1/2",
    "7½",
    "1/2",
    "⅜",
    "3 9⁄16",
    "¹¹⁄₁₆",
    "0",
    "0.0",
    "12",
    "1200",
    "2.197",
    "33/8",
    "1/0",
    "7.5 1/2",
)
UNITS = (
    "ft",
    "in",
    "mm",
    "cm",
    "m",
    "'",
    '"',
    "′",
    "″",
    "’",
    "feet",
    "inch",
    "foot",
    "",
    "yd",
    "im",
    "Ft",
    "7",
    "-",
    "//",
)
ODD = (
    "",
    "  ",
    "-7 ft",
    "+7 ft",
    "7,5 in",
    "7 ft, 2 in",
    ".5 in",
    "7 ft 2",
    "7 ft 2 1/2",
    "7 ft 12 in",
    "7 in 2 ft",
    "7.5 ft 2 in",
)
ODD += (
    "7 m 2 ft",
    "7 m 20 cm",
    "7-2",
    "7-2 1/2",
    "7-2-1/2 in",
    "7-13",
    "7 ft 2 9 /16 in",
    "&",
    "7 ft!",
    "x" * 81,
    "1000 ft",
    "20 km",
)
ODD += (
    "100000 ft",
    "7 ft 2 in 3",
    "1/2 m",
    "7 ft 2 in 1 in",
    "ft",
    "seven ft",
    "7 ft 2 9/16 in.",
    "9999999999999 mm",
    "7 ft 2 9/16 in",
)


@pytest.fixture(scope="module")
def fields() -> tuple[TypedField, ...]:
    return tuple(draw_fields(FIELDS, seed=11))


@pytest.fixture(scope="module")
def told(fields: tuple[TypedField, ...], tmp_path_factory: pytest.TempPathFactory) -> Counter[str]:
    asked, folder = {"typed": [field.typed for field in fields]}, tmp_path_factory.mktemp("tape")
    with ThreadPoolExecutor() as beside:
        page = beside.submit(ask_page, asked, folder)
        engine = list(map(judge_by_engine, fields))
    return sum(map(compare, engine, page.result()["judged"]), Counter())


def test_the_page_orders_no_move_that_the_engine_does_not(told: Counter[str]) -> None:
    assert told["fields"] == FIELDS
    assert told["orders"] > FIELDS / 5
    assert told["invented"] == 0


def test_the_page_gives_nearly_all_orders_of_the_engine(told: Counter[str]) -> None:
    assert told["given"] >= SAME * told["orders"]


def test_the_page_names_the_same_misreads_and_the_same_bad_tapes(told: Counter[str]) -> None:
    assert min(told["misread"], told["tape"]) > FIELDS / 20
    assert told["misread_named"] >= SAME * told["misread"]
    assert told["tape_named"] >= SAME * told["tape"]
    assert told["misread_invented"] == told["tape_invented"] == 0


def test_where_the_page_does_not_ask_the_desk_it_says_the_same_words(told: Counter[str]) -> None:
    assert told["words"] + told["desk"] == told["fields"]
    assert told["desk"] <= (1 - SAME) * told["fields"]


@pytest.fixture(scope="module")
def texts() -> list[tuple[str, float]]:
    joined = [f"{number}{gap}{unit}" for number, gap, unit in product(NUMBERS, ("", " "), UNITS)]
    more = [f"{first} ft {second}" for first, second in product(("7", "0", "7.5", "7 1/2"), joined)]
    return [(text, 2200.0) for text in (*joined, *more, *ODD)]


@pytest.fixture(scope="module")
def read(texts: list[tuple[str, float]], tmp_path_factory: pytest.TempPathFactory) -> dict[str, Any]:
    return ask_page({"texts": texts}, tmp_path_factory.mktemp("texts"))


def test_a_length_is_read_and_refused_as_the_program_does(
    texts: list[tuple[str, float]], read: dict[str, Any]
) -> None:
    for (text, near_mm), said in zip(texts, read["read"], strict=True):
        expected = read_by_program(text, near_mm)
        if isinstance(expected, Length):
            assert said.get("mm") == pytest.approx(expected.float_mm, rel=1e-12), (text, said)
            continue
        sentence, hint = expected
        assert said.get("sentence") == sentence, text
        assert said["hint"] == hint or hint.startswith("did you mean"), text


def read_by_program(text: str, near_mm: float) -> Length | tuple[str, str]:
    """The length, or the sentence and hint that refuse it."""
    try:
        return read_length(text, near=Length.from_mm(int(near_mm)))
    except NotationError as error:
        return error.sentence, error.hint


@pytest.mark.parametrize(
    ("text", "words"),
    [
        ("7", "7 has no unit: write 7 ft, 7 m or 7 in: the first is nearest the target"),
        ("7 m", "far too long, it should be about 7 ft 2 5/8 in: feet written as metres?"),
        ("0 ft", "a length here is more than zero: check the figure and its unit"),
        ("1000 ft", "far too long, it should be about 7 ft 2 5/8 in: check the figure and its unit"),
        ("7 ft 2 5/8 in", "true"),
        ("7 ft 2 11/16 in", "true, 1/16 in long"),
        ("7 ft 4 5/8 in", "2 in too long, beyond ± 1/8 in"),
        ("", ""),
    ],
)
def test_a_reading_is_judged_beside_its_field(text: str, words: str, tmp_path: Path) -> None:
    assert ask_page({"texts": [(text, 2200.0)]}, tmp_path)["pulls"][0]["words"] == words


def test_targets_are_written_as_on_the_sheets(tmp_path: Path) -> None:
    every = [
        pull
        for level in library().fields
        for plan in ("plate-area", "diamond")
        for pull in pulls(plan_of(plan, level))
    ]
    lengths = [round(pull.length_mm, 6) for pull in every]
    assert ask_page({"lengths": lengths}, tmp_path)["written"] == [write_tape(pull.length) for pull in every]


def test_the_exported_file_gets_the_same_verdict_from_the_tape_command(
    fields: tuple[TypedField, ...], tmp_path: Path
) -> None:
    asked = [field.typed for field in fields[:24]]
    page = ask_page({"typed": asked, "files": True}, tmp_path)
    for number, (said, text) in enumerate(zip(page["judged"], page["files"], strict=True)):
        path = tmp_path / f"{number}.csv"
        path.write_bytes(text.encode())
        if lines := said.get("lines"):
            # As the command does, its content read once for all; test_web_tape_view.py runs the command itself.
            printed = write_tape_answer(judge_file(path, library(), "", None)).splitlines()
            assert {line for line in lines if "with a second tape, and write" not in line} <= set(printed)


def test_what_the_page_can_not_tell_goes_to_the_desk_with_the_file(tmp_path: Path) -> None:
    (field,) = draw_fields(1, seed=3)
    (said,) = ask_page({"unsure": [field.typed]}, tmp_path)["unsure"]
    assert "pocketref tape" in said["refused"]
    assert said["isDesk"]
    assert "report" not in said
