"""Files of taped readings: YAML, or CSV as a spreadsheet saves it; every fault with its place.

YAML::

    level: high-school-90-ft
    plan: plate-area
    tape: steel
    temperature: 85 F
    readings:
      - {from: A, to: F1, reading: 2 ft 6 1/8 in}

CSV has the same in rows: settings as a name and a value, then a row that starts `from,to,reading`, then one
row a reading, as in `level,high-school-90-ft`. Semicolons or tabs may stand for the commas. A reading's own
temperature and resolution overrule the file's; `tape: second` says that it is by another tape.
"""

from __future__ import annotations

import re
from dataclasses import dataclass
from typing import Annotated, Literal, TypeVar

from pydantic import BeforeValidator, Field

from pocketref.problems import PocketrefError, ProblemLog, suggest_match
from pocketref.source.syntax.csv_rows import CsvRow, split_rows
from pocketref.source.syntax.kinds import LengthField, Name, refuse_value
from pocketref.source.syntax.located import SourceModel
from pocketref.source.syntax.nodes import ListNode, MapNode, Node, TextNode
from pocketref.source.syntax.source_text import SourceText, clip_text
from pocketref.source.syntax.validation import validate_node
from pocketref.tape.error_model import STEP, TAPES
from pocketref.tape.readings import Reading
from pocketref.units.notation import NotationError
from pocketref.units.temperature import fahrenheit_from_celsius

Model = TypeVar("Model", bound=SourceModel)
PlanName = Literal["plate-area", "diamond"]
MOST_READINGS = 300
"""The plan of a whole field has some 100 pulls; a file with more readings than three of each is no field's."""
LONGEST_MARK = 20
COLDEST_F, HOTTEST_F = -40.0, 160.0
"""No tape in use is beyond these: our own bounds."""

_TEMPERATURE = re.compile(r"(?P<number>-?[0-9]{1,3}(\.[0-9]{1,3})?) ?(deg |°)?(?P<unit>[A-Za-z]*)")
_SETTINGS = ("level", "plan", "tape", "temperature", "resolution")
_COLUMNS = ("from", "to", "reading", "tape", "temperature", "resolution")
_SETTING_IN_YAML = re.compile(r"(?P<name>[a-z]+)\s*[:=]\s*(?P<value>\S.*)", re.IGNORECASE)
CSV_EXAMPLE = "level,high-school-90-ft | plan,plate-area | from,to,reading | A,F1,2 ft 7 1/8 in"
"""The rows of a CSV file, with bars between them."""


def read_temperature_f(text: str) -> float:
    """A tape's temperature with its unit, such as "85 F" or "29.5 C", in deg F; NotationError for anything else."""
    match = _TEMPERATURE.fullmatch(text.strip())
    if match is None:
        hint = "write degrees with their unit, such as 85 F or 29 C"
        raise NotationError("value-temperature", f"'{clip_text(text)}' is not a temperature", hint, 0)
    number, unit = match["number"], match["unit"]
    if unit not in ("F", "C"):
        what = f"'{unit}' is no unit of temperature known here" if unit else f"{number} has no unit"
        code = "unit-unknown" if unit else "unit-missing"
        raise NotationError(code, what, f"write {number} F or {number} C", match.start("unit"))
    degrees_f = float(number) if unit == "F" else fahrenheit_from_celsius(float(number))
    if not COLDEST_F <= degrees_f <= HOTTEST_F:
        sentence, hint = f"no tape is used at {number} {unit}", "check the number and unit"
        raise NotationError("value-temperature", sentence, hint, 0)
    return degrees_f


def _convert_temperature(value: object) -> float:
    try:
        return read_temperature_f(value if isinstance(value, str) else "")
    except NotationError as error:
        refuse_value(error.code, error.sentence, error.hint, error.offset)


def _read_mark(value: object) -> str:
    text = value.strip() if isinstance(value, str) else ""
    if not text:
        refuse_value("value-empty", "a station's mark is missing", "write a mark of the plan, such as F1")
    if len(text) > LONGEST_MARK:
        refuse_value("station-unknown", f"'{clip_text(text)}' is no station", "write a mark such as F1")
    return text


def _need_tape(name: str) -> str:
    if name not in TAPES:
        refuse_value("tape-unknown", f"'{clip_text(name)}' is no kind of tape", suggest_match(name, TAPES))
    return name


Temperature = Annotated[float, BeforeValidator(_convert_temperature)]
Mark = Annotated[str, BeforeValidator(_read_mark)]


class ReadingModel(SourceModel):
    """One pull as measured."""

    from_: Mark = Field(description="the station the tape starts at, such as A")
    to: Mark = Field(description="the station it is read at, such as F1")
    reading: LengthField = Field(description="what the tape says, with its unit, such as 2 ft 6 1/8 in")
    tape: Literal["first", "second"] = Field(
        default="first", description="second where it was taped with another tape, to check the first"
    )
    temperature: Temperature | None = None
    resolution: LengthField | None = None


class ReadingsModel(SourceModel):
    """A file of readings."""

    level: Name = Field(description="the field's file, such as high-school-90-ft")
    plan: PlanName = Field(description="plate-area or diamond")
    tape: Annotated[str, BeforeValidator(_need_tape)] = "steel"
    temperature: Temperature | None = None
    resolution: LengthField | None = None
    readings: tuple[ReadingModel, ...] = Field(
        description="a list of {from: , to: , reading: }", min_length=1, max_length=MOST_READINGS
    )


@dataclass(frozen=True, slots=True)
class FieldReadings:
    """What a file of readings says: of which level and plan, by which tape, and the readings."""

    level: str
    plan: PlanName
    tape: str
    readings: tuple[Reading, ...]


def validate_file(tree: Node | None, model: type[Model], problems: ProblemLog, level: str) -> Model:
    """A file's tree by its model, of `level` if it names none; raises PocketrefError with all that is wrong."""
    if level and isinstance(tree, MapNode) and tree.find("level") is None:
        entry = TextNode("level", tree.location), TextNode(level, tree.location)
        tree = MapNode((*tree.entries, entry), tree.location)
    found = validate_node(tree, model, problems) if tree is not None else None
    problems.raise_errors()
    if found is None:
        raise PocketrefError(problems.problems)
    return found


def read_readings(tree: Node | None, problems: ProblemLog, level: str = "") -> FieldReadings:
    """The readings of a file's tree, of `level` if it names none.

    Raises PocketrefError with all that is wrong, what is noted in `problems` included.
    """
    model = validate_file(tree, ReadingsModel, problems, level)
    return FieldReadings(
        model.level,
        model.plan,
        model.tape,
        tuple(
            Reading(
                row.from_,
                row.to,
                row.reading,
                model.temperature if row.temperature is None else row.temperature,
                row.resolution or model.resolution or STEP,
                row.location,
                row.tape == "second",
            )
            for row in model.readings
        ),
    )


def build_csv_tree(source: SourceText, problems: ProblemLog) -> Node | None:
    """The tree that the same readings would have in YAML, places and all; None if columns don't hold."""
    entries: dict[str, tuple[TextNode, Node]] = {}
    readings: list[Node] = []
    columns: list[TextNode] = []
    faults = len(problems.problems)
    for row in split_rows(source, _COLUMNS[:1]):
        if row.text.startswith("#"):
            continue
        if row.fault:
            hint = "a cell that starts with a double quote ends with one"
            problems.error("csv-row", row.fault, hint, row.locate())
        elif columns:
            readings.append(_read_row(columns, row, problems))
        elif row.values[0].strip().lower() == _COLUMNS[0]:
            columns = _read_columns(row, problems)
        else:
            _take_setting(entries, row.list_cells(), problems)
    if not columns:
        hint = f"write 'from,to,reading' above the readings, as in {CSV_EXAMPLE} (a bar ends a row here)"
        problems.error("csv-columns", f"{source.file} has no row of column names", hint, source.locate(1, 1))
    if len(problems.problems) > faults:
        return None
    headed = columns[0].location
    listed = (TextNode("readings", headed), ListNode(tuple(readings), headed))
    return MapNode((*entries.values(), listed), source.locate(1, 1))


def _read_columns(row: CsvRow, problems: ProblemLog) -> list[TextNode]:
    columns = [TextNode(cell.text.lower(), cell.location) for cell in row.list_cells()]
    while columns and not columns[-1].text:
        columns.pop()
    seen: set[str] = set()
    for column in columns:
        if column.text not in _COLUMNS:
            hint = suggest_match(column.text, _COLUMNS)
            sentence = f"'{clip_text(column.text)}' is no known column"
            problems.error("csv-columns", sentence, hint, column.location)
        elif column.text in seen:
            problems.error(
                "csv-columns", f"the column '{column.text}' stands twice", "keep one", column.location
            )
        seen.add(column.text)
    for column_name in ("to", "reading"):
        if column_name not in seen:
            sentence = f"there is no column '{column_name}'"
            problems.error("csv-columns", sentence, f"add '{column_name}' to this row", row.locate())
    return columns


def _read_row(columns: list[TextNode], row: CsvRow, problems: ProblemLog) -> MapNode:
    if any(value.strip() for value in row.values[len(columns) :]):
        sentence = f"this row has {len(row.values)} cells, but there are {len(columns)} columns"
        hint = "write decimals with a point; a cell that holds a comma stands in double quotes"
        problems.error("csv-row", sentence, hint, row.locate())
    filled = ((column, cell) for column, cell in zip(columns, row.list_cells(), strict=False) if cell.text)
    return MapNode(
        tuple((TextNode(column.text, cell.location), cell) for column, cell in filled), row.locate()
    )


def _take_setting(
    entries: dict[str, tuple[TextNode, Node]], cells: tuple[TextNode, ...], problems: ProblemLog
) -> None:
    name = cells[0].text.lower()
    filled = [cell for cell in cells[1:] if cell.text]
    if name not in _SETTINGS:
        said = _SETTING_IN_YAML.fullmatch(cells[0].text)
        is_setting = said is not None and said["name"].lower() in _SETTINGS
        hint = suggest_match(name, (*_SETTINGS, "from"))
        if said and is_setting:
            hint = f"write {said['name'].lower()},{clip_text(said['value'])}"
        problems.error(
            "csv-setting", f"'{clip_text(cells[0].text)}' is no known setting", hint, cells[0].location
        )
    elif len(filled) != 1:
        problems.error(
            "csv-setting", f"'{name}' takes one value", f"write {name} and its value", cells[0].location
        )
    elif name in entries:
        problems.error("csv-setting", f"'{name}' stands twice", "keep one", cells[0].location)
    else:
        entries[name] = (TextNode(name, cells[0].location), filled[0])
