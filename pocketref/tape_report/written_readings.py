"""Readings written as text, YAML or CSV: what kind of file it is, and the stations its rows name."""

from __future__ import annotations

import math
import re
from collections.abc import Iterable
from dataclasses import replace
from pathlib import Path

from pocketref.field.plan import Plan
from pocketref.problems import Location, PocketrefError, Problem, ProblemLog
from pocketref.source.syntax.nodes import build_tree
from pocketref.source.syntax.source_text import BIGGEST_FILE_BYTES, clip_text, decode_text
from pocketref.tape.mound_readings import MoundReadings, read_mound_readings, says_mound
from pocketref.tape.readings import Reading
from pocketref.tape.readings_file import CSV_EXAMPLE, FieldReadings, build_csv_tree, read_readings

YAML_EXAMPLE = (
    "level: high-school-90-ft | plan: plate-area | readings: [{from: A, to: F1, reading: 2 ft 7 1/8 in}]"
)
_KINDS = (".csv", ".yaml", ".yml")
_SPREADSHEETS = (".xlsx", ".xlsm", ".xls", ".ods", ".numbers")
_PACKED = (b"PK\x03\x04", b"\xd0\xcf\x11\xe0")
"""How the files of spreadsheets start: a ZIP archive (ISO/IEC 21320-1), or the older compound file."""
_MOST_MATCHES = 2


def read_written(path: Path, data: bytes, level: str = "") -> FieldReadings | MoundReadings:
    """Readings from a YAML or CSV file whose bytes are `data`, of `level` if they name none.

    Raises PocketrefError with all that is wrong.
    """
    suffix, where = path.suffix.lower(), Location(path.name)
    if suffix in _SPREADSHEETS or data.startswith(_PACKED):
        sentence = f"{path.name} is a spreadsheet's own file"
        raise _refuse("file-kind", sentence, "save it as CSV, and give that file", where)
    if suffix not in _KINDS:
        sentence = f"readings are read from .csv, .yaml and .pdf files, and {path.name} is none of them"
        hint = "if it holds rows set apart by commas, name it .csv; if 'key: value' lines, name it .yaml"
        raise _refuse("file-kind", sentence, hint, where)
    if not data.removeprefix(b"\xef\xbb\xbf").strip():
        example = CSV_EXAMPLE if suffix == ".csv" else YAML_EXAMPLE
        hint = f"write lines such as these, set apart here by bars: {example}"
        raise _refuse("tape-empty", f"{path.name} is empty", hint, where)
    if len(data) > BIGGEST_FILE_BYTES:
        sentence = f"{path.name} has {len(data):,} bytes; at most {BIGGEST_FILE_BYTES:,} are read"
        raise _refuse("file-too-big", sentence, "check that it is the right file", where)
    problems = ProblemLog()
    source = decode_text(data, path.name, problems)
    if suffix == ".csv":
        return read_readings(build_csv_tree(source, problems) if source else None, problems, level)
    tree = build_tree(source, problems) if source else None
    return (read_mound_readings if says_mound(tree) else read_readings)(tree, problems, level)


def match_stations(readings: FieldReadings, plan: Plan) -> FieldReadings:
    """The readings with their stations as the plan writes them, whatever the case they were typed in.

    Raises PocketrefError with every station that the plan has not, at its own place in the row.
    """
    problems, matched = ProblemLog(), []
    for reading in readings.readings:
        ends = [
            mark if mark in plan.stations else mark.upper()
            for mark in (reading.from_station, reading.to_station)
        ]
        for mark, other in ((ends[0], ends[1]), (ends[1], ends[0])):
            if mark not in plan.stations:
                written = reading.from_station if mark == ends[0] else reading.to_station
                hint = _suggest_station(mark, other, reading, plan)
                sentence = f"the plan has no station '{clip_text(written)}'"
                problems.error("station-unknown", sentence, hint, _point_at(written, reading.where))
        matched.append(replace(reading, from_station=ends[0], to_station=ends[1]))
    problems.raise_errors()
    return replace(readings, readings=tuple(matched))


def _suggest_station(mark: str, other: str, reading: Reading, plan: Plan) -> str:
    """The stations one letter away, those whose pull would read nearest first; else all there are."""
    close = [name for name in plan.stations if name != other and _is_one_off(name, mark)]
    if other in plan.stations:
        start = plan.stations[other]

        def misfit_mm(name: str) -> float:
            end = plan.stations[name]
            length_mm = math.hypot(start.x_mm - end.x_mm, start.y_mm - end.y_mm)
            return round(abs(length_mm - reading.length.float_mm), 1)

        close.sort(key=lambda name: (misfit_mm(name), name))
    if close:
        return f"did you mean {_join(close[:_MOST_MATCHES])}?"
    return f"its stations: {' '.join(plan.stations)}"


def _is_one_off(name: str, mark: str) -> bool:
    """Whether two marks differ by one letter put in another's place, left out or added."""
    if len(name) == len(mark):
        return sum(a != b for a, b in zip(name, mark, strict=True)) == 1
    short, long = sorted((name, mark), key=len)
    return len(long) - len(short) == 1 and any(long[:i] + long[i + 1 :] == short for i in range(len(long)))


def _join(names: Iterable[str]) -> str:
    return " or ".join(f"'{name}'" for name in names)


def _point_at(mark: str, where: Location | None) -> Location | None:
    """The mark's own place in the line of its row, if it stands there."""
    found = re.search(rf"(?<!\w){re.escape(mark)}(?!\w)", where.text) if where and where.line else None
    return replace(where, column=found.start() + 1) if where and found else where


def _refuse(code: str, sentence: str, hint: str, where: Location) -> PocketrefError:
    return PocketrefError([Problem(code, sentence, hint, where)])
