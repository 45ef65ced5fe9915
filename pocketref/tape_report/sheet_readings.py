"""What was typed into a check sheet, as readings; every fault names its field."""

from __future__ import annotations

from collections.abc import Callable, Mapping
from functools import partial
from typing import TypeVar

from pocketref.field.diamond import construct_diamond
from pocketref.field.mound import SlopeReading, find_slope_point
from pocketref.field.plan import Plan, construct_plate_area
from pocketref.field.pulls import measure_pull
from pocketref.output.reading.filled_sheet import CHECK_SHEETS, FilledSheet
from pocketref.problems import Location, PocketrefError, ProblemLog
from pocketref.source.syntax.source_text import clip_text
from pocketref.tape.error_model import STEP, TAPES
from pocketref.tape.mound_readings import PLATE_FIELD, MoundReadings, read_depth, read_slope_field
from pocketref.tape.readings import Reading
from pocketref.tape.readings_file import LONGEST_MARK, FieldReadings, PlanName, read_temperature_f
from pocketref.tape.sheet_pulls import SECOND_TAPE
from pocketref.units.length import Length
from pocketref.units.notation import NotationError, read_length

TAPE_FIELD = "Tape used"
TEMPERATURE_FIELD = "Temperature"
T = TypeVar("T")


def is_mound_sheet(sheet: FilledSheet) -> bool:
    """Whether the sheet has blanks for the mound's heights."""
    return any(read_slope_field(name) is not None for name in sheet.values)


def split_pull_name(name: str) -> tuple[str, str] | None:
    """The two stations of a pull's field, such as "A-P1"; None for a field of another kind."""
    start, hyphen, end = name.partition("-")
    is_pull = hyphen and start.isalnum() and end.isalnum() and name.upper() == name
    return (start, end) if is_pull and max(len(start), len(end)) <= LONGEST_MARK else None


def gather_pulls(sheet: FilledSheet, lengths: Mapping[str, Length]) -> FieldReadings:
    """The pulls that were filled in; raises PocketrefError with every field that can't be read.

    `lengths` are the level's dimensions: a pull's length on its plan tells which unit was left out.
    """
    problems = ProblemLog()
    temperature = _read_field(sheet, TEMPERATURE_FIELD, read_temperature_f, problems)
    tape = _read_tape(sheet, problems)
    names = {name: pair for name in sheet.values if (pair := split_pull_name(name.removeprefix(SECOND_TAPE)))}
    if not names:
        sentence = f"the sheet '{sheet.sheet}' has no blanks for readings"
        problems.error("sheet-without-readings", sentence, CHECK_SHEETS, sheet.locate("none"))
    elif not any(sheet.values[name] for name in names):
        problems.error("tape-empty", *_write_empty(sheet, "reading"))
    plan = construct_plate_area(lengths)
    plan_name: PlanName = "plate-area"
    if any(mark not in plan.stations for pair in names.values() for mark in pair):
        plan, plan_name = construct_diamond(lengths), "diamond"
    readings = []
    for name, (start, end) in names.items():
        read = partial(read_length, near=_measure_target(plan, start, end))
        if length := _read_field(sheet, name, read, problems):
            second = name.startswith(SECOND_TAPE)
            readings.append(Reading(start, end, length, temperature, STEP, sheet.locate(name), second))
    problems.raise_errors()
    return FieldReadings(sheet.level, plan_name, tape, tuple(readings))


def gather_heights(sheet: FilledSheet, lengths: Mapping[str, Length]) -> MoundReadings:
    """The mound's heights that were filled in; raises PocketrefError with every field that can't be read."""
    problems = ProblemLog()
    slope = []
    for name in sheet.values:
        if ahead := read_slope_field(name):
            read = partial(read_depth, near=_find_depth(lengths, ahead))
            below = _read_field(sheet, name, read, problems)
            slope += [SlopeReading(ahead, below, sheet.locate(name))] if below is not None else []
    height = partial(read_length, near=lengths.get("pitchers-plate-height"))
    plate = _read_field(sheet, PLATE_FIELD, height, problems)
    if not slope and plate is None and not problems.errors:
        problems.error("tape-empty", *_write_empty(sheet, "height"))
    problems.raise_errors()
    return MoundReadings(sheet.level, tuple(slope), plate)


def _write_empty(sheet: FilledSheet, what: str) -> tuple[str, str, Location]:
    return f"nothing is filled in on {sheet.file}", f"write at least one {what}", Location(sheet.file)


def _measure_target(plan: Plan, start: str, end: str) -> Length | None:
    if start not in plan.stations or end not in plan.stations:
        return None
    return measure_pull(plan.stations[start], plan.stations[end], "check", "").length


def _find_depth(lengths: Mapping[str, Length], ahead: Length) -> Length | None:
    try:
        return find_slope_point(lengths, ahead).below_plate
    except PocketrefError:  # told when the readings are judged
        return None


def _read_field(sheet: FilledSheet, name: str, read: Callable[[str], T], problems: ProblemLog) -> T | None:
    text = sheet.values.get(name, "")
    try:
        return read(text) if text else None
    except NotationError as error:
        sentence = f"'{clip_text(text)}': {error.sentence}"
        problems.error(error.code, sentence, error.hint, sheet.locate(name))
        return None


def _read_tape(sheet: FilledSheet, problems: ProblemLog) -> str:
    """The kind of tape; left blank it is steel, as the sheet asks for."""
    text = sheet.values.get(TAPE_FIELD, "")
    said = text.lower().replace("fiber", "fibre").replace("fibre-", "fibre")
    named = [name for name in TAPES if name in said]
    if text and len(named) != 1:
        sentence = f"'{clip_text(text)}' doesn't say which kind of tape"
        hint = f"write what it is made of, {' or '.join(TAPES)}, beside or in place of its name"
        problems.error("tape-unknown", sentence, hint, sheet.locate(TAPE_FIELD))
    return named[0] if len(named) == 1 else "steel"
