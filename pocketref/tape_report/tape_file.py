"""A file of readings of any kind, read and judged against its level."""

from __future__ import annotations

from collections.abc import Mapping
from dataclasses import dataclass, replace
from pathlib import Path

from pocketref.field.diamond import construct_diamond
from pocketref.field.plan import construct_plate_area
from pocketref.output.reading.filled_sheet import FilledSheet, read_filled_sheet
from pocketref.problems import Location, PocketrefError, Problem, ProblemLog, suggest_match
from pocketref.source.field_models import FieldModel
from pocketref.source.library import Library
from pocketref.source.syntax.source_text import clip_text, read_bytes
from pocketref.tape.error_model import TAPES
from pocketref.tape.mound_readings import JudgedMound, MoundReadings, judge_mound
from pocketref.tape.readings_file import FieldReadings
from pocketref.tape.verdicts import TapeReport, judge_tape
from pocketref.tape_report.sheet_readings import gather_heights, gather_pulls, is_mound_sheet
from pocketref.tape_report.written_readings import match_stations, read_written
from pocketref.units.length import Length
from pocketref.units.notation import NotationError, read_length

MOST_BYTES = 20_000_000
"""A filled-in sheet is a few hundred kilobytes; a larger file is something else."""

_FILES = (
    "give a CSV or YAML file, or a check sheet as filled in: publish puts the sheets into out/EDITION/sheets"
)


@dataclass(frozen=True, slots=True)
class JudgedFile:
    """A file's readings, the level they are of, and what they say."""

    name: str
    field: FieldModel
    lengths: Mapping[str, Length]
    readings: FieldReadings | MoundReadings
    outcome: TapeReport | JudgedMound

    @property
    def has_findings(self) -> bool:
        """Whether anything is to be moved, taped again or checked, or a mound's height was not measured."""
        if isinstance(self.outcome, JudgedMound):
            return not self.outcome.is_good or not self.outcome.is_whole
        return not self.outcome.is_fine


def judge_file(path: Path, library: Library, level: str = "", line_width: Length | None = None) -> JudgedFile:
    """Read YAML, CSV or a filled-in sheet, and judge it.

    `level` is what the readings should be of, where the user says so, and are of if the file names none;
    `line_width` stands for the level's own.
    Raises PocketrefError with everything that is wrong with the file.
    """
    problems = ProblemLog()
    data = read_bytes(path, path.name, problems, MOST_BYTES, _FILES)
    if data is None:
        raise PocketrefError(problems.problems)
    sheet = read_filled_sheet(data, path.name) if data.startswith(b"%PDF") or _is_pdf(path) else None
    if sheet is not None:
        _check_edition(sheet, library)
        field = _find_field(sheet.level, library, level, Location(path.name))
        lengths = _list_lengths(field, line_width)
        readings: FieldReadings | MoundReadings = (
            gather_heights(sheet, lengths) if is_mound_sheet(sheet) else gather_pulls(sheet, lengths)
        )
    else:
        _need_level(level, library, Location(path.name))
        readings = read_written(path, data, level)
        field = _find_field(readings.level, library, level, Location(path.name))
        lengths = _list_lengths(field, line_width)
    try:
        readings, outcome = _judge(readings, field, lengths)
    except PocketrefError as error:  # what is wrong with all of it has the file as its place
        whole = Location(path.name)
        raise PocketrefError(p if p.where else replace(p, where=whole) for p in error.problems) from None
    return JudgedFile(path.name, field, lengths, readings, outcome)


def read_line_width(text: str) -> Length | None:
    """The width of the lines in use, as the user wrote it; None if nothing is written."""
    if not text:
        return None
    try:
        return read_length(text)
    except NotationError as error:
        sentence = f"the line width '{clip_text(text)}': {error.sentence}"
        raise PocketrefError([Problem(error.code, sentence, error.hint)]) from None


def _is_pdf(path: Path) -> bool:
    return path.suffix.lower() == ".pdf"


def _check_edition(sheet: FilledSheet, library: Library) -> None:
    ours = library.edition.edition
    if sheet.edition != ours:
        sentence = (
            f"{sheet.file} is of edition {clip_text(sheet.edition)}, but the content is of edition {ours}"
        )
        hint = "figures may have changed: give the content of that edition, or fill in this edition's sheet"
        raise PocketrefError([Problem("sheet-edition", sentence, hint, Location(sheet.file))])


def _find_field(said: str, library: Library, wanted: str, where: Location) -> FieldModel:
    for name in (wanted, said):
        _need_level(name, library, where)
    if wanted and wanted != said:
        sentence = f"{where.file} is of level {said}, not {wanted}"
        hint = "leave out --level, or give a sheet or file of that level"
        raise PocketrefError([Problem("level-differs", sentence, hint, where)])
    return library.fields[said]


def _need_level(name: str, library: Library, where: Location) -> None:
    if name and name not in library.fields:
        hint = suggest_match(name, library.fields)
        raise PocketrefError(
            [Problem("level-unknown", f"there is no level '{clip_text(name)}'", hint, where)]
        )


def _list_lengths(field: FieldModel, line_width: Length | None) -> Mapping[str, Length]:
    lengths = {name: dimension.value for name, dimension in field.dimensions.items()}
    return lengths | ({"line-width": line_width} if line_width else {})


def _judge(
    readings: FieldReadings | MoundReadings, field: FieldModel, lengths: Mapping[str, Length]
) -> tuple[FieldReadings | MoundReadings, TapeReport | JudgedMound]:
    """The readings, their stations as the plan writes them, and what they say."""
    if isinstance(readings, MoundReadings):
        return readings, judge_mound(readings, lengths, _need_tolerance(field, "height"))
    construct = construct_plate_area if readings.plan == "plate-area" else construct_diamond
    tolerance, plan = _need_tolerance(field, "station"), construct(lengths)
    matched = match_stations(readings, plan)
    return matched, judge_tape(plan, matched.readings, tolerance, TAPES[matched.tape])


def _need_tolerance(field: FieldModel, name: str) -> Length:
    if name not in field.tolerances:
        sentence = f"the level {field.key} has no tolerance '{name}'"
        raise PocketrefError(
            [Problem("tolerance-missing", sentence, f"add '{name}' to its tolerances", field.location)]
        )
    return field.tolerances[name].value
