"""Files of readings, YAML and CSV: what they say, and faults with their places."""

from __future__ import annotations

from collections.abc import Callable
from fractions import Fraction
from pathlib import Path

import pytest

from pocketref.problems import PocketrefError, Problem, ProblemLog
from pocketref.tape.readings_file import ReadingsModel, read_readings
from pocketref.tape_report.tape_file import read_tree
from pocketref.units.length import Length

Reader = Callable[[str, str], ReadingsModel]

YAML = """\
level: high-school-90-ft
plan: plate-area
temperature: 85 F
readings:
  - {from: A, to: F1, reading: 2 ft 6 1/8 in}
  - {from: P2, to: F4, reading: 28 in, temperature: 25 C, resolution: 1/8 in}
"""
CSV = """\
level,high-school-90-ft
plan,plate-area
temperature,85 F

from,to,reading,temperature,resolution
A,F1,2 ft 6 1/8 in
P2,F4,28 in,25 C,1/8 in
"""


@pytest.fixture
def read(tmp_path: Path) -> Reader:
    def write_and_read(name: str, text: str) -> ReadingsModel:
        path, problems = tmp_path / name, ProblemLog()
        path.write_text(text, encoding="utf-8")
        readings = read_readings(read_tree(path, path.read_bytes(), problems), problems)
        assert isinstance(readings, ReadingsModel)
        return readings

    return write_and_read


def problems_of(read: Reader, name: str, text: str) -> tuple[Problem, ...]:
    with pytest.raises(PocketrefError) as raised:
        read(name, text)
    return raised.value.problems


@pytest.mark.parametrize(("name", "text"), [("day.yaml", YAML), ("day.csv", CSV)])
def test_yaml_and_csv_say_the_same(read: Reader, name: str, text: str) -> None:
    found = read(name, text)
    assert (found.level, found.plan, found.tape) == ("high-school-90-ft", "plate-area", "steel")
    first, second = found.list_readings()
    assert (first.from_station, first.to_station) == ("A", "F1")
    assert first.length == Length(Fraction(241, 8))
    assert first.temperature_f == 85
    assert second.temperature_f == pytest.approx(77)
    assert second.step == Length(Fraction(1, 8))
    assert found.readings[1].location.line == (6 if name.endswith("yaml") else 7)


def test_the_kind_of_tape_is_read(read: Reader) -> None:
    assert read("day.yaml", YAML + "tape: fibreglass\n").tape == "fibreglass"


# in the file: what is written in place of what, the problem's code and its place
YAML_FAULTS = [
    ("2 ft 6 1/8 in", "30", "unit-missing", "5:34"),
    ("2 ft 6 1/8 in", "2 ft 30 mm", "unit-mixed", "5:40"),
    ("to: F4", "two: F4", "key-unknown", "6:16"),
    ("85 F", "85", "unit-missing", "3:16"),
    ("85 F", "85 K", "unit-unknown", "3:17"),
    ("85 F", "850 F", "value-temperature", "3:14"),
    ("plate-area", "plate", "value-choice", "2:7"),
    ("from: A,", "from: '',", "value-empty", "5:12"),
]
CSV_FAULTS = [
    ("28 in", "28", "unit-missing", "7:9"),
    ("28 in", "28 in 3 mm", "unit-mixed", "7:15"),
    ("25 C", "25", "unit-missing", "7:15"),
    ("from,to,reading", "from,to,lenght", "csv-columns", "5:9"),
    ("from,to", "from,from", "csv-columns", "5:6"),
    ("from,", "start,", "csv-setting", "5:1"),
    ("plan,plate-area", "plan,plate-area,diamond", "csv-setting", "2:1"),
    ("plan,", "pan,", "key-unknown", "2:1"),
    ("temperature,85 F", "plan,diamond", "csv-setting", "3:1"),
    ("A,F1,2 ft 6 1/8 in", "A,F1,2 ft,,,,x", "csv-row", "6:1"),
    ("28 in", "1,028 in", "csv-row", "7:1"),
    ("A,F1", ",F1", "key-missing", "6:1"),
    ("level,high-school-90-ft", "", "key-missing", "1:1"),
]


@pytest.mark.parametrize(
    ("name", "text", "fault"),
    [("day.yaml", YAML, fault) for fault in YAML_FAULTS] + [("day.csv", CSV, fault) for fault in CSV_FAULTS],
)
def test_a_fault_is_told_with_its_place(
    read: Reader, name: str, text: str, fault: tuple[str, str, str, str]
) -> None:
    old, new, code, place = fault
    found = problems_of(read, name, text.replace(old, new, 1))
    assert (code, f"{name}:{place}") in [(problem.code, str(problem.where)) for problem in found]


def test_csv_reads_feet_and_inch_marks_as_a_spreadsheet_writes_them(read: Reader) -> None:
    text = CSV.replace("2 ft 6 1/8 in", '"2\' 6 1/8"""').replace("28 in", '28"')
    assert [r.reading for r in read("day.csv", text).readings] == [
        Length(Fraction(241, 8)),
        Length(Fraction(28)),
    ]
