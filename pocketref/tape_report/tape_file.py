"""A file of readings of any kind, a filled-in sheet too, read as one tree and judged against its level."""

from __future__ import annotations

from collections.abc import Mapping
from dataclasses import dataclass, replace
from pathlib import Path

from pocketref.field.plan import construct_plate_area
from pocketref.output.reading.filled_sheet import CHECK_SHEETS, FilledSheet, read_filled_sheet
from pocketref.problems import (
    Location,
    PocketrefError,
    Problem,
    ProblemLog,
    amending,
    refusal,
    suggest_match,
    write_unknown,
)
from pocketref.source.field_models import FieldModel
from pocketref.source.library import Library
from pocketref.source.syntax.nodes import ListNode, MapNode, Node, TextNode, build_tree
from pocketref.source.syntax.source_text import BIGGEST_FILE_BYTES, clip_text, decode_text, read_bytes
from pocketref.tape.error_model import TAPES
from pocketref.tape.mound_readings import PLATE_FIELD, JudgedMound, judge_mound, read_slope_field
from pocketref.tape.readings_file import (
    CSV_EXAMPLE,
    PLANS,
    AnyReadings,
    MoundModel,
    build_csv_tree,
    find_text,
    read_readings,
)
from pocketref.tape.sheet_pulls import SECOND_TAPE
from pocketref.tape.verdicts import TapeReport, judge_tape
from pocketref.units.length import Length
from pocketref.units.notation import NotationError, read_length, write_exact
from pocketref.words.terminal import tell

MOST_BYTES = 20_000_000
"""A filled-in sheet is a few hundred kilobytes; a larger file is something else."""
YAML_EXAMPLE = (
    "level: high-school-90-ft | plan: plate-area | readings: [{from: A, to: F1, reading: 2 ft 7 1/8 in}]"
)
_FILES = (
    "give a CSV or YAML file, or a check sheet as filled in: publish puts the sheets into out/EDITION/sheets"
)
_KINDS = (".csv", ".yaml", ".yml")
_SPREADSHEETS = (".xlsx", ".xlsm", ".xls", ".ods", ".numbers")
_PACKED = (b"PK\x03\x04", b"\xd0\xcf\x11\xe0")
"""How the files of spreadsheets start: a ZIP archive (ISO/IEC 21320-1), or the older compound file."""


LONGEST_MARK = 20
SETTINGS = {"tape": "Tape used", "temperature": "Temperature", PLATE_FIELD: PLATE_FIELD}
"""The blanks that are for all of a sheet's readings, by the keys of a file."""


@dataclass(frozen=True, slots=True)
class JudgedFile:
    """A file's readings, the level they are of, and what they say."""

    name: str
    field: FieldModel
    readings: AnyReadings
    outcome: TapeReport | JudgedMound

    @property
    def has_findings(self) -> bool:
        """Whether anything is to be moved, taped again or checked, or a mound's height was not measured."""
        return not self.outcome.is_fine


def judge_file(path: Path, library: Library, level: str = "", line_width: Length | None = None) -> JudgedFile:
    """Read YAML, CSV or a filled-in sheet, and judge it.

    `level` is what the readings should be of, where the user says so, and are of if the file names none;
    `line_width` stands for the level's own.
    Raises PocketrefError with everything that is wrong with the file.
    """
    problems, where = ProblemLog(), Location(path.name)
    data = read_bytes(path, path.name, problems, MOST_BYTES, tell(_FILES))
    if data is None:
        raise PocketrefError(problems.problems)
    is_sheet = data.startswith(b"%PDF") or path.suffix.lower() == ".pdf"
    sheet = read_filled_sheet(data, path.name) if is_sheet else None
    if sheet:
        _check_edition(sheet, library)
    tree = None if sheet else read_tree(path, data, problems)
    said = sheet.level if sheet else find_text(tree, "level") or level
    _check_level(said, level, library, where)
    dimensions = library.fields[said].dimensions if said else {}
    lengths = {name: dimension.value for name, dimension in dimensions.items()}
    lengths |= {"line-width": line_width} if line_width else {}
    with amending(lambda problem: _place(problem, where)):
        readings = read_readings(
            build_sheet_tree(sheet, lengths) if sheet else tree, problems, level, lengths
        )
        field = library.fields[readings.level]
        return JudgedFile(path.name, field, readings, _judge(readings, field, lengths))


def _place(problem: Problem, file: Location) -> Problem:
    """What is wrong with all of a file has the file as its place; what was typed into a field is quoted."""
    where = problem.where or file
    is_typed = where.text and not where.line and where.text not in problem.sentence
    quoted = f"'{clip_text(where.text)}': " if is_typed else ""
    return replace(problem, where=where, sentence=f"{quoted}{problem.sentence}")


def read_line_width(text: str) -> Length | None:
    """The width of the lines in use, as the user wrote it; None if nothing is written."""
    if not text:
        return None
    try:
        return read_length(text)
    except NotationError as error:
        sentence = tell("the line width '{text}': {sentence}", text=clip_text(text), sentence=error.sentence)
        raise refusal(error.code, sentence, error.hint) from None


def read_tree(path: Path, data: bytes, problems: ProblemLog) -> Node | None:
    """The tree of a YAML or CSV file whose bytes are `data`, with what is wrong noted; raises for another kind."""
    suffix, where = path.suffix.lower(), Location(path.name)
    if suffix in _SPREADSHEETS or data.startswith(_PACKED):
        sentence = tell("{name} is a spreadsheet's own file", name=path.name)
        raise refusal("file-kind", sentence, tell("save it as CSV, and give that file"), where)
    if suffix not in _KINDS:
        sentence = tell(
            "readings are read from .csv, .yaml and .pdf files, and {name} is none of them", name=path.name
        )
        hint = tell(
            "if it holds rows set apart by commas, name it .csv; if 'key: value' lines, name it .yaml"
        )
        raise refusal("file-kind", sentence, hint, where)
    if not data.removeprefix(b"\xef\xbb\xbf").strip():
        example = CSV_EXAMPLE if suffix == ".csv" else YAML_EXAMPLE
        hint = tell("write lines such as these, set apart here by bars: {example}", example=example)
        raise refusal("tape-empty", tell("{name} is empty", name=path.name), hint, where)
    if len(data) > BIGGEST_FILE_BYTES:
        sentence = tell(
            "{name} has {count:,} bytes; at most {biggest_file_bytes:,} are read",
            name=path.name,
            count=len(data),
            biggest_file_bytes=BIGGEST_FILE_BYTES,
        )
        raise refusal("file-too-big", sentence, tell("check that it is the right file"), where)
    source = decode_text(data, path.name, problems)
    build = build_csv_tree if suffix == ".csv" else build_tree
    return build(source, problems) if source else None


def _check_edition(sheet: FilledSheet, library: Library) -> None:
    ours = library.edition.mark
    if sheet.edition != ours:
        said = tell(
            "{file} is of edition {edition}, but the content is of edition {ours}",
            file=sheet.file,
            edition=clip_text(sheet.edition),
            ours=ours,
        )
        hint = tell(
            "figures may have changed: give the content of that edition, or fill in this edition's sheet"
        )
        raise refusal("sheet-edition", said, hint, Location(sheet.file))


def _check_level(said: str, wanted: str, library: Library, where: Location) -> None:
    for name in filter(None, (wanted, said)):
        if name not in library.fields:
            hint = suggest_match(name, library.fields)
            raise refusal("level-unknown", write_unknown("level", clip_text(name)), hint, where)
    if wanted and wanted != said:
        hint = tell("leave out --level, or give a sheet or file of that level")
        raise refusal(
            "level-differs",
            tell("{file} is of level {said}, not {wanted}", file=where.file, said=said, wanted=wanted),
            hint,
            where,
        )


def _judge(
    readings: AnyReadings, field: FieldModel, lengths: Mapping[str, Length]
) -> TapeReport | JudgedMound:
    name = "height" if isinstance(readings, MoundModel) else "station"
    if name not in field.tolerances:
        sentence = tell("the level {key} has no tolerance '{name}'", key=field.key, name=name)
        raise refusal(
            "tolerance-missing", sentence, tell("add '{name}' to its tolerances", name=name), field.location
        )
    tolerance = field.tolerances[name].value
    if isinstance(readings, MoundModel):
        return judge_mound(lengths, readings.list_slope(), readings.plate_height, tolerance)
    return judge_tape(
        PLANS[readings.plan](lengths), readings.list_readings(), tolerance, TAPES[readings.tape]
    )


def split_pull_name(name: str) -> tuple[str, str] | None:
    """The two stations of a pull's field, such as "A-P1"; None for a field of another kind."""
    start, hyphen, end = name.partition("-")
    is_pull = hyphen and start.isalnum() and end.isalnum() and name.upper() == name
    return (start, end) if is_pull and max(len(start), len(end)) <= LONGEST_MARK else None


def build_sheet_tree(sheet: FilledSheet, lengths: Mapping[str, Length]) -> MapNode:
    """The tree of what was filled in, by a level's dimensions; raises PocketrefError if nothing was."""
    rows: dict[str, dict[str, str]] = {}
    heights = {name: ahead for name in sheet.values if (ahead := read_slope_field(name)) is not None}
    if heights:
        plan = "mound"
        rows = {name: {"ahead": write_exact(ahead)} for name, ahead in heights.items()}
    else:
        for name in sheet.values:
            if pair := split_pull_name(name.removeprefix(SECOND_TAPE)):
                tape = "second" if name.startswith(SECOND_TAPE) else "first"
                rows[name] = {"from": pair[0], "to": pair[1], "tape": tape}
        known = construct_plate_area(lengths).stations if rows else {}
        is_plate = all(row["from"] in known and row["to"] in known for row in rows.values())
        plan = "plate-area" if is_plate else "diamond"
    if not rows:
        sentence = tell("the sheet '{sheet}' has no blanks for readings", sheet=sheet.sheet)
        raise refusal("sheet-without-readings", sentence, tell(CHECK_SHEETS), sheet.locate("none"))
    typed = {name: text for name, text in sheet.values.items() if text}
    what = "below" if heights else "reading"
    readings = [
        _build_map(sheet, name, row | {what: typed[name]}) for name, row in rows.items() if name in typed
    ]
    head = {key: typed[blank] for key, blank in SETTINGS.items() if blank in typed}
    if not readings and PLATE_FIELD not in head:
        hint = tell("write at least one height") if heights else tell("write at least one reading")
        raise refusal(
            "tape-empty", tell("nothing is filled in on {file}", file=sheet.file), hint, Location(sheet.file)
        )
    listed = TextNode("readings", Location(sheet.file)), ListNode(tuple(readings), Location(sheet.file))
    settings = _build_map(sheet, "", {"level": sheet.level, "plan": plan, **head})
    return MapNode((*settings.entries, listed), settings.location)


def _build_map(sheet: FilledSheet, name: str, said: Mapping[str, str]) -> MapNode:
    """What a field of this name says, or the fields of the settings: each text has the place of its field."""
    entries: list[tuple[TextNode, Node]] = []
    for key, text in said.items():
        where = replace(sheet.locate(name or SETTINGS.get(key, key)), text=text)
        entries.append((TextNode(key, where), TextNode(text, where)))
    return MapNode(tuple(entries), sheet.locate(name) if name else Location(sheet.file))
