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

A mound's heights are below the level line at each place, and the pitcher's plate above home plate::

    level: high-school-90-ft
    plan: mound
    plate-height: 10 in
    readings:
      - {ahead: 18 in, below: 1 in}
      - {ahead: 30 in, below: 1/2 in above}

The second lies above the level line; "-1/2 in" says the same.
"""

from __future__ import annotations

import difflib
import re
from collections.abc import Callable, Mapping
from contextlib import suppress
from functools import partial
from typing import Annotated, Any, Literal

from pydantic import BeforeValidator, Field, PlainValidator, ValidationInfo

from pocketref.field.diamond import construct_diamond
from pocketref.field.mound import SlopeReading, find_slope_point
from pocketref.field.plan import Station, construct_plate_area
from pocketref.field.pulls import measure_pull
from pocketref.problems import PocketrefError, ProblemLog
from pocketref.source.syntax.csv_rows import CsvRow, find_column_faults, split_rows
from pocketref.source.syntax.kinds import LengthField, LengthOrZero, Name, convert_length, refuse_value
from pocketref.source.syntax.located import SourceModel
from pocketref.source.syntax.nodes import ListNode, MapNode, Node, TextNode
from pocketref.source.syntax.source_text import SourceText, clip_text
from pocketref.source.syntax.validation import validate_node
from pocketref.tape.error_model import STEP, TAPES
from pocketref.tape.mound_readings import read_depth
from pocketref.tape.readings import Reading
from pocketref.units.length import Length
from pocketref.units.notation import NotationError, read_length
from pocketref.units.temperature import fahrenheit_from_celsius
from pocketref.words.terminal import tell, tell_list

PlanName = Literal["plate-area", "diamond"]
PLANS = {"plate-area": construct_plate_area, "diamond": construct_diamond}
MOST_READINGS = 300
"""The plan of a whole field has some 100 pulls; a file with more readings than three of each is no field's."""
COLDEST_F, HOTTEST_F = -40.0, 160.0
"""No tape in use is beyond these: our own bounds."""

_TEMPERATURE = re.compile(r"(?P<number>-?[0-9]{1,3}(\.[0-9]{1,3})?) ?(deg |°)?(?P<unit>[A-Za-z]*)")
_COLUMNS = ("from", "to", "reading", "tape", "temperature", "resolution")
_SETTING_IN_YAML = re.compile(r"(?P<name>[a-z]+)\s*[:=]\s*(?P<value>\S.*)", re.IGNORECASE)
CSV_EXAMPLE = "level,high-school-90-ft | plan,plate-area | from,to,reading | A,F1,2 ft 7 1/8 in"
"""The rows of a CSV file, with bars between them."""


def read_temperature_f(text: str) -> float:
    """A tape's temperature with its unit, such as "85 F" or "29.5 C", in deg F; NotationError for anything else."""
    match = _TEMPERATURE.fullmatch(text.strip())
    if match is None:
        hint = tell("write degrees with their unit, such as 85 F or 29 C")
        raise NotationError(
            "value-temperature", tell("'{text}' is not a temperature", text=clip_text(text)), hint, 0
        )
    number, unit = match["number"], match["unit"]
    if unit not in ("F", "C"):
        what = (
            tell("'{unit}' is no unit of temperature known here", unit=unit)
            if unit
            else tell("{number} has no unit", number=number)
        )
        code = "unit-unknown" if unit else "unit-missing"
        raise NotationError(
            code, what, tell("write {number} F or {number} C", number=number), match.start("unit")
        )
    degrees_f = float(number) if unit == "F" else fahrenheit_from_celsius(float(number))
    if not COLDEST_F <= degrees_f <= HOTTEST_F:
        sentence, hint = (
            tell("no tape is used at {number} {unit}", number=number, unit=unit),
            tell("check the number and unit"),
        )
        raise NotationError("value-temperature", sentence, hint, 0)
    return degrees_f


def _convert_temperature(value: object) -> float:
    try:
        return read_temperature_f(value if isinstance(value, str) else "")
    except NotationError as error:
        refuse_value(error.code, error.sentence, error.hint, error.offset)


def _read_mark(value: object, info: ValidationInfo) -> str:
    """A station as the plan writes it, where the plan is known; a pull's second is not its first."""
    text, stations = value.strip() if isinstance(value, str) else "", info.context or {}
    mark = text if text in stations else text.upper()
    if not text:
        refuse_value(
            "value-empty", tell("a station's mark is missing"), tell("write a mark of the plan, such as F1")
        )
    if stations and mark not in stations:
        close = difflib.get_close_matches(mark, stations, 4, 0.5)
        hint = (
            tell("did you mean {marks}?", marks=tell_list(map(repr, sorted(close)), is_or=True))
            if close
            else ""
        )
        hint = hint or tell("its stations: {stations}", stations=" ".join(stations))
        refuse_value("station-unknown", tell("the plan has no station '{text}'", text=clip_text(text)), hint)
    if mark == info.data.get("from_"):
        sentence = tell("{mark}-{mark} runs from a station to itself", mark=mark)
        refuse_value("reading-impossible", sentence, tell("name two stations"))
    return mark


def _read_tape(value: object) -> str:
    """The kind of tape, named alone or beside a tape's own name."""
    text = value if isinstance(value, str) else ""
    said = text.lower().replace("fiber", "fibre").replace("fibre-", "fibre")
    named = [name for name in TAPES if name in said]
    if len(named) != 1:
        sentence = tell("'{text}' doesn't say which kind of tape", text=clip_text(text))
        hint = tell(
            "write what it is made of, {tapes}, beside or in place of its name",
            tapes=tell_list(TAPES, is_or=True),
        )
        refuse_value("tape-unknown", sentence, hint)
    return named[0]


def _expect(
    find_near: Callable[[Any, dict[str, Any]], Length], read: Callable[..., Length] = read_length
) -> PlainValidator:
    """Reads a length; where its unit is left out, the one nearest what the level has there is offered first.

    `find_near` is given what the level has (stations of a plan, dimensions of a mound) and the row so far.
    """

    def convert(value: object, info: ValidationInfo) -> Length:
        try:
            near = find_near(info.context or {}, info.data)
        except (KeyError, PocketrefError):  # unknown to the level, which is told where it is judged
            near = None
        return convert_length(value, partial(read, near=near))

    return PlainValidator(convert)


def _measure_pull(stations: Mapping[str, Station], row: dict[str, Any]) -> Length:
    return measure_pull(stations[row["from_"]], stations[row["to"]], "check", "").length


def _find_depth(dimensions: Mapping[str, Length], row: dict[str, Any]) -> Length:
    return find_slope_point(dimensions, row["ahead"]).below_plate


Temperature = Annotated[float, BeforeValidator(_convert_temperature)]
Mark = Annotated[str, BeforeValidator(_read_mark)]


class ReadingModel(SourceModel):
    """One pull as measured."""

    from_: Mark = Field(description="the station the tape starts at, such as A")
    to: Mark = Field(description="the station it is read at, such as F1")
    reading: Annotated[Length, _expect(_measure_pull)] = Field(
        description="what the tape says, with its unit, such as 2 ft 6 1/8 in"
    )
    tape: Literal["first", "second"] = Field(
        default="first", description="second where it was taped with another tape, to check the first"
    )
    temperature: Temperature | None = None
    resolution: LengthField | None = None


class ReadingsModel(SourceModel):
    """A file of taped pulls."""

    level: Name = Field(description="the field's file, such as high-school-90-ft")
    plan: PlanName = Field(description="plate-area or diamond")
    tape: Annotated[str, BeforeValidator(_read_tape)] = "steel"
    temperature: Temperature | None = None
    resolution: LengthField | None = None
    readings: tuple[ReadingModel, ...] = Field(
        description="a list of {from: , to: , reading: }", min_length=1, max_length=MOST_READINGS
    )

    def list_readings(self) -> tuple[Reading, ...]:
        """The pulls, each with its own temperature and resolution, else the file's."""
        return tuple(
            Reading(
                row.from_,
                row.to,
                row.reading,
                self.temperature if row.temperature is None else row.temperature,
                row.resolution or self.resolution or STEP,
                row.tape == "second",
            )
            for row in self.readings
        )


class HeightModel(SourceModel):
    """One height as measured."""

    ahead: LengthOrZero = Field(
        description="from the front of the pitcher's plate toward home, such as 18 in"
    )
    below: Annotated[Length, _expect(_find_depth, read_depth)] = Field(
        description="ground below the level line, such as 1 in, or 1/2 in above it"
    )


class MoundModel(SourceModel):
    """A file of a mound's heights."""

    level: Name = Field(description="the field's file, such as high-school-90-ft")
    plan: Literal["mound"] = Field(description="mound")
    plate_height: Annotated[Length, _expect(lambda level, _: level["pitchers-plate-height"])] | None = Field(
        default=None, description="top of the pitcher's plate above home plate, such as 10 in"
    )
    readings: tuple[HeightModel, ...] = Field(
        default=(), max_length=100, description="a list of {ahead: , below: }"
    )

    def list_slope(self) -> tuple[SlopeReading, ...]:
        """The heights, each with its place in the file."""
        return tuple(SlopeReading(row.ahead, row.below, row.location) for row in self.readings)


AnyReadings = ReadingsModel | MoundModel


def find_text(tree: Node | None, key: str) -> str:
    """What a file's tree says under a key; nothing if it says none."""
    entry = tree.find(key) if isinstance(tree, MapNode) else None
    return entry[1].text if entry and isinstance(entry[1], TextNode) else ""


def read_readings(
    tree: Node | None, problems: ProblemLog, level: str = "", lengths: Mapping[str, Length] | None = None
) -> AnyReadings:
    """What a file's tree says, of `level` if it names none; `lengths` are the level's dimensions, where it is known.

    Raises PocketrefError with all that is wrong, what is noted in `problems` included.
    """
    if level and isinstance(tree, MapNode) and tree.find("level") is None:
        entry = TextNode("level", tree.location), TextNode(level, tree.location)
        tree = MapNode((*tree.entries, entry), tree.location)
    plan = find_text(tree, "plan")
    expected: Mapping[str, object] = {} if plan in PLANS else lengths or {}
    with suppress(PocketrefError):  # dimensions that make no plan are told where it is judged
        expected = PLANS[plan](lengths or {}).stations if plan in PLANS else expected
    model: type[AnyReadings] = MoundModel if plan == "mound" else ReadingsModel
    found = validate_node(tree, model, problems, expected) if tree else None
    problems.raise_errors()
    if found is None:
        raise PocketrefError(problems.problems)
    return found


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
            hint = tell("a cell that starts with a double quote ends with one")
            problems.error("csv-row", row.fault, hint, row.locate())
        elif columns:
            readings.append(_read_row(columns, row, problems))
        elif row.values[0].strip().lower() == _COLUMNS[0]:
            columns = _read_columns(row, problems)
        else:
            _take_setting(entries, row.list_cells(), problems)
    if not columns:
        hint = tell(
            "write 'from,to,reading' above the readings, as in {csv_example} (a bar ends a row here)",
            csv_example=CSV_EXAMPLE,
        )
        problems.error(
            "csv-columns",
            tell("{file} has no row of column names", file=source.file),
            hint,
            source.locate(1, 1),
        )
    if len(problems.problems) > faults:
        return None
    headed = columns[0].location
    listed = (TextNode("readings", headed), ListNode(tuple(readings), headed))
    return MapNode((*entries.values(), listed), source.locate(1, 1))


def _read_columns(row: CsvRow, problems: ProblemLog) -> list[TextNode]:
    columns = [TextNode(cell.text.lower(), cell.location) for cell in row.list_cells()]
    while columns and not columns[-1].text:
        columns.pop()
    names = [column.text for column in columns]
    for sentence, hint, place in find_column_faults(names, _COLUMNS, _COLUMNS[:3]):
        problems.error("csv-columns", sentence, hint, columns[place].location)
    return columns


def _read_row(columns: list[TextNode], row: CsvRow, problems: ProblemLog) -> MapNode:
    if any(value.strip() for value in row.values[len(columns) :]):
        sentence = tell(
            "this row has {count} cells, but there are {count2} columns",
            count=len(row.values),
            count2=len(columns),
        )
        hint = tell("write decimals with a point; a cell that holds a comma stands in double quotes")
        problems.error("csv-row", sentence, hint, row.locate())
    pairs = zip(columns, row.list_cells(), strict=False)
    filled = ((TextNode(column.text, cell.location), cell) for column, cell in pairs if cell.text)
    return MapNode(tuple(filled), row.locate())


def _take_setting(
    entries: dict[str, tuple[TextNode, Node]], cells: tuple[TextNode, ...], problems: ProblemLog
) -> None:
    """A row before the column names; whether the file has such a setting is the model's to say."""
    name, filled = cells[0].text.lower(), [cell for cell in cells[1:] if cell.text]
    if len(filled) != 1:
        said = _SETTING_IN_YAML.fullmatch(cells[0].text)
        hint = (
            tell("write {name},{value}", name=clip_text(said["name"].lower()), value=clip_text(said["value"]))
            if said
            else tell("write {name} and its value", name=clip_text(name))
        )
        problems.error(
            "csv-setting", tell("'{name}' takes one value", name=clip_text(name)), hint, cells[0].location
        )
    elif name in entries:
        problems.error(
            "csv-setting",
            tell("'{name}' stands twice", name=clip_text(name)),
            tell("keep one"),
            cells[0].location,
        )
    else:
        entries[name] = (TextNode(name, cells[0].location), filled[0])
