"""What was typed into a check sheet, as readings; every fault names its field."""

from __future__ import annotations

from pydantic_core import PydanticCustomError

from pocketref.field.error_budget import TAPES
from pocketref.field.mound import SlopeReading
from pocketref.field.mound_readings import PLATE_FIELD, MoundReadings, read_slope_field
from pocketref.field.plan import Plan
from pocketref.field.readings import LONGEST_MARK, FieldReadings, PlanName, read_temperature_f
from pocketref.field.tape import Reading
from pocketref.output.filled_sheet import FilledSheet
from pocketref.problems import Location, PocketrefError, Problem, ProblemLog
from pocketref.source.source_text import clip_text
from pocketref.units.length import Length
from pocketref.units.notation import NotationError, read_length

TAPE_FIELD = "Tape used"
TEMPERATURE_FIELD = "Temperature"
_SPELLINGS = {"fiberglass": "fibreglass"}


def is_mound_sheet(sheet: FilledSheet) -> bool:
    """Whether the sheet has blanks for the mound's heights."""
    return any(read_slope_field(name) is not None for name in sheet.values)


def split_pull_name(name: str) -> tuple[str, str] | None:
    """The two stations of a pull's field, such as "A-P1"; None for a field of another kind."""
    start, hyphen, end = name.partition("-")
    is_pull = hyphen and start.isalnum() and end.isalnum() and name.upper() == name
    return (start, end) if is_pull and max(len(start), len(end)) <= LONGEST_MARK else None


def gather_pulls(sheet: FilledSheet, plate_area: Plan) -> FieldReadings:
    """The pulls that were filled in; raises PocketrefError with every field that can't be read."""
    problems = ProblemLog()
    temperature = _read_temperature(sheet, problems)
    tape = _read_tape(sheet, problems)
    names = {name: pair for name in sheet.values if (pair := split_pull_name(name))}
    if not names:
        sentence = f"the sheet '{sheet.sheet}' has no blanks for readings"
        problems.error("sheet-without-readings", sentence, "give a check sheet", sheet.locate("none"))
    readings = []
    for name, (start, end) in names.items():
        length = _read_length(sheet, name, problems)
        if length is not None:
            readings.append(Reading(start, end, length, temperature, None, sheet.locate(name)))
    if names and not any(sheet.values[name] for name in names):
        sentence = f"nothing is filled in on {sheet.file}"
        problems.error("tape-empty", sentence, "write at least one reading", Location(sheet.file))
    problems.raise_errors()
    is_around_plate = all(mark in plate_area.stations for pair in names.values() for mark in pair)
    plan: PlanName = "plate-area" if is_around_plate else "diamond"
    return FieldReadings(sheet.level, plan, tape, tuple(readings))


def gather_heights(sheet: FilledSheet) -> MoundReadings:
    """The mound's heights that were filled in; raises PocketrefError with every field that can't be read."""
    problems = ProblemLog()
    slope, places = [], []
    for name in sheet.values:
        ahead = read_slope_field(name)
        below = _read_length(sheet, name, problems, allow_zero=True) if ahead is not None else None
        if ahead is not None and below is not None:
            slope.append(SlopeReading(ahead, below))
            places.append(sheet.locate(name))
    plate = _read_length(sheet, PLATE_FIELD, problems)
    problems.raise_errors()
    if not slope and plate is None:
        sentence = f"nothing is filled in on {sheet.file}"
        problem = Problem("tape-empty", sentence, "write at least one height", Location(sheet.file))
        raise PocketrefError([problem])
    return MoundReadings(sheet.level, tuple(slope), plate, tuple(places))


def _read_length(
    sheet: FilledSheet, name: str, problems: ProblemLog, *, allow_zero: bool = False
) -> Length | None:
    text = sheet.values.get(name, "")
    if not text:
        return None
    try:
        return read_length(text, allow_zero=allow_zero)
    except NotationError as error:
        sentence = f"'{clip_text(text)}': {error.sentence}"
        problems.error(error.code, sentence, error.hint, sheet.locate(name))
        return None


def _read_temperature(sheet: FilledSheet, problems: ProblemLog) -> float | None:
    text = sheet.values.get(TEMPERATURE_FIELD, "")
    if not text:
        return None
    try:
        return read_temperature_f(text)
    except PydanticCustomError as error:
        said = error.context or {}
        problems.error(
            error.type, str(said.get("sentence")), str(said.get("hint")), sheet.locate(TEMPERATURE_FIELD)
        )
        return None


def _read_tape(sheet: FilledSheet, problems: ProblemLog) -> str:
    """The kind of tape; left blank it is steel, as the sheet asks for."""
    text = sheet.values.get(TAPE_FIELD, "").lower()
    for other, name in _SPELLINGS.items():
        text = text.replace(other, name)
    named = [name for name in TAPES if name in text]
    if text and len(named) != 1:
        sentence = f"'{clip_text(sheet.values[TAPE_FIELD])}' doesn't say which kind of tape"
        hint = f"write one of: {', '.join(TAPES)}"
        problems.error("tape-unknown", sentence, hint, sheet.locate(TAPE_FIELD))
    return named[0] if len(named) == 1 else "steel"
