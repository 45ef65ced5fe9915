"""Answers as they come in: typed from paper or saved by the web page as CSV, or ticked in the fillable PDF.

CSV has a row for each member and sheet: `name`, and if known `number` and `chapter`; `sheet`, and in a file that
pocketref wrote the mark of its `choices`; then `answers`, a letter a play with - for none, or a column a play, `1`,
`2` and so on. What is wrong with a row is told at its line,
and that row alone is not marked.
"""

from __future__ import annotations

import re
import unicodedata
from collections.abc import Callable, Iterable, Mapping, Sequence
from dataclasses import dataclass, field
from pathlib import Path

from pocketref.layouts.answer_sheets import CHAPTER, NAME, NUMBER, name_tick
from pocketref.layouts.play_sheets import CHOICES, PlaySheet, write_choices_mark
from pocketref.members.roster import FORMULA_STARTS, LONGEST_VALUE, MEMBER_NUMBER
from pocketref.output.reading.filled_sheet import read_form
from pocketref.plays.choices import LETTERS
from pocketref.problems import Location, PocketrefError, ProblemLog, suggest_match, write_unknown
from pocketref.source.play_models import MOST_PLAYS
from pocketref.source.syntax.csv_rows import CsvRow, split_rows
from pocketref.source.syntax.source_text import SourceText, clip_text, decode_text, read_bytes
from pocketref.words.terminal import tell, tell_list

NONE = "-"
"""Stands for no answer among letters."""
COLUMNS = ("name", "number", "chapter", "sheet", CHOICES, "answers")
MOST_BYTES = 20_000_000
MOST_COLUMNS = len(COLUMNS) + MOST_PLAYS + 10
MOST_FAULTS = 50
"""Of one file; after as many the rest is only counted."""
_FILES = "give a CSV file, or an answer sheet as filled in: publish puts these into out/EDITION/plays"
_SUBJECT = re.compile(r"case plays (?P<sheet>[a-z0-9-]+), (answers|questions), edition (?P<edition>.+)")
_SIGNED = re.compile(rf"{CHOICES} ([a-p]{{12}})")
_OFF = ("", "Off")


@dataclass(frozen=True, slots=True)
class AnswerRow:
    """What a member answered on a sheet: a letter a play, "" where none was given; `where` it stands."""

    name: str
    number: str
    chapter: str
    sheet: str
    letters: tuple[str, ...]
    where: Location


@dataclass
class Intake:
    """All that came in: the rows to mark, and how many are not marked, each told in `problems` or without an answer."""

    rows: list[AnswerRow] = field(default_factory=list)
    faulty: int = 0
    empty: int = 0
    """Rows in which no play is answered, as of those who were not there."""
    problems: ProblemLog = field(default_factory=ProblemLog)


def read_answers(paths: Iterable[Path], sheets: Sequence[PlaySheet], edition: str) -> Intake:
    """The answers of all files to the sheets of an edition."""
    intake, by_name = Intake(), {sheet.name: sheet for sheet in sheets}
    for path in paths:
        shown = str(path)
        data = read_bytes(path, shown, intake.problems, MOST_BYTES, tell(_FILES))
        if data is None:
            intake.faulty += 1
        elif data.startswith(b"%PDF") or path.suffix.lower() == ".pdf":
            _PdfReader(shown, by_name, intake).read(data, edition)
        elif source := decode_text(data, shown, intake.problems):
            _CsvReader(source, by_name, intake).read()
        else:
            intake.faulty += 1
    return intake


@dataclass
class _Reader:
    """What files of both kinds have in common: who answers, and which sheet."""

    sheets: Mapping[str, PlaySheet]
    intake: Intake
    faults: int = 0

    def note(self, code: str, sentence: str, hint: str, where: Location) -> None:
        """Note a fault of a row, which is then not marked."""
        self.faults += 1
        if self.faults <= MOST_FAULTS:
            self.intake.problems.error(code, sentence, hint, where)

    def check_person(self, values: Mapping[str, str], locate: Callable[[str], Location]) -> dict[str, str]:
        """Name, number and chapter without spaces to spare, and a note of what is wrong with them."""
        who = {}
        for column in ("name", "number", "chapter"):
            value = re.sub(r"\s+", " ", unicodedata.normalize("NFC", values.get(column, ""))).strip()
            who[column] = value
            if len(value) > LONGEST_VALUE:
                sentence = tell("the {column} has {count} characters", column=column, count=len(value))
                self.note(
                    "answers-person",
                    sentence,
                    tell("shorten it to {longest_value}", longest_value=LONGEST_VALUE),
                    locate(column),
                )
            elif value[:1] and value[0] in FORMULA_STARTS:
                sentence = tell(
                    "the {column} '{value}' begins like a formula", column=column, value=clip_text(value)
                )
                self.note(
                    "answers-formula", sentence, tell("begin it with a letter or a digit"), locate(column)
                )
            elif column == "number" and value and not MEMBER_NUMBER.fullmatch(value):
                sentence = tell("'{value}' is not a member's number", value=clip_text(value))
                hint = tell("use letters, digits, spaces and . / -, at most 20, or leave it empty")
                self.note("answers-number", sentence, hint, locate(column))
        if not who["name"] and not who["number"]:
            hint = tell("fill in the name, or the member's number")
            self.note("answers-person", tell("nobody is named"), hint, locate("name"))
        return who

    def find_sheet(self, typed: str, locate: Callable[[str], Location]) -> PlaySheet | None:
        """The sheet of a name, however its letters are written."""
        name = typed.strip().casefold()
        if name not in self.sheets:
            sentence = (
                write_unknown("training sheet", clip_text(typed)) if name else tell("the sheet is not named")
            )
            self.note("answers-sheet", sentence, suggest_match(name, self.sheets), locate("sheet"))
        return self.sheets.get(name)

    def is_current(self, sheet: PlaySheet, mark: str, where: Location) -> bool:
        """Whether the answers are to the plays and choices that the sheet has now; true if nothing is said of it."""
        if mark in ("", write_choices_mark(sheet)):
            return True
        sentence = tell(
            "the sheet '{name}' has other plays or choices now than {file}", name=sheet.name, file=where.file
        )
        hint = tell("mark it with the content and layouts that it was published from")
        self.note("answers-outdated", sentence, hint, where)
        return False

    def keep(self, row: AnswerRow) -> None:
        """Keep a row, or count it as one without an answer."""
        if any(row.letters):
            self.intake.rows.append(row)
        else:
            self.intake.empty += 1


class _CsvReader(_Reader):
    """Reads one CSV file."""

    def __init__(self, source: SourceText, sheets: Mapping[str, PlaySheet], intake: Intake) -> None:
        super().__init__(sheets, intake)
        self._source = source

    def read(self) -> None:
        """Keep the sound rows; note what is wrong with the others, and count them."""
        places: dict[str, int] = {}
        for row in split_rows(self._source, COLUMNS):
            before, kept = self.faults, None
            if row.fault:
                self.note("answers-row", row.fault, tell("close every quotation mark"), row.locate())
            elif places:
                kept = self._read_row(row, places)
            else:
                places = self._place_columns(row)
            if kept is not None and self.faults == before:
                self.keep(kept)
            elif self.faults > before:
                self.intake.faulty += 1
            if not places:
                break
        where = Location(self._source.file)
        if not places and not self.faults:
            hint = tell(
                "name the columns {columns}, or let --template write them", columns=", ".join(COLUMNS)
            )
            self.note("answers-empty", tell("{file} is empty", file=where.file), hint, where)
            self.intake.faulty += 1
        if more := max(self.faults - MOST_FAULTS, 0):
            sentence = tell("{file} has {more:,} more faults", file=where.file, more=more)
            self.intake.problems.error("answers-row", sentence, tell("mend these first"), where)

    def _place_columns(self, row: CsvRow) -> dict[str, int]:
        """Where each column stands; empty if one is missing, unknown or there twice."""
        before, places = self.faults, dict[str, int]()
        last = max(place for place, value in enumerate(row.values) if value.strip())
        if last >= MOST_COLUMNS:
            sentence = tell("this row has {last:,} columns", last=last + 1)
            self.note(
                "answers-columns",
                sentence,
                tell("name the columns {columns}", columns=", ".join(COLUMNS)),
                row.locate(),
            )
            return {}
        for place, value in enumerate(row.values[: last + 1]):
            name = value.strip().lower()
            is_play = name.isascii() and name.isdigit() and 1 <= int(name[:4]) <= MOST_PLAYS
            name = str(int(name)) if is_play else name
            if not is_play and name not in COLUMNS:
                hint = suggest_match(name, COLUMNS) if name else tell("delete the empty column")
                sentence = write_unknown("column", clip_text(value))
                self.note("answers-columns", sentence, hint, row.locate(place))
            elif name in places:
                sentence = tell("the column '{name}' stands twice", name=name)
                self.note("answers-columns", sentence, tell("keep one"), row.locate(place))
            else:
                places[name] = place
        if not {"name", "number"} & places.keys():
            self._miss("name", row)
        if "sheet" not in places:
            self._miss("sheet", row)
        if "answers" not in places and "1" not in places:
            self._miss("answers", row)
        if "answers" in places and "1" in places:
            sentence = tell("there are a column 'answers' and columns for each play")
            self.note("answers-columns", sentence, tell("keep one or the other"), row.locate(places["1"]))
        return {} if self.faults > before else places

    def _miss(self, column: str, row: CsvRow) -> None:
        hint = tell(
            "name the columns {columns}; in place of answers, 1, 2 and so on for each play",
            columns=", ".join(COLUMNS),
        )
        self.note(
            "answers-columns", tell("the column '{column}' is missing", column=column), hint, row.locate()
        )

    def _read_row(self, row: CsvRow, places: Mapping[str, int]) -> AnswerRow | None:
        """The row's answers; None, with a note, if it has too few or too many values or names no sheet."""
        if len(row.values) <= max(places.values()):
            sentence = tell(
                "this row has {count} values, and the columns are {count2}",
                count=len(row.values),
                count2=len(places),
            )
            hint = tell("give every row a value for each column: {places}", places=", ".join(places))
            self.note("answers-row", sentence, hint, row.locate())
            return None
        if any(value.strip() for value in row.values[len(places) :]):
            sentence = tell(
                "this row has {count} values, and the columns are {count2}",
                count=len(row.values),
                count2=len(places),
            )
            hint = tell("put a value that holds what parts the others in quotation marks")
            self.note("answers-row", sentence, hint, row.locate(len(places)))
            return None
        values = {name: row.values[place] for name, place in places.items()}
        if not any(value.strip() for name, value in values.items() if name not in ("sheet", CHOICES)):
            return None  # a template's row that nobody filled in

        def locate(column: str) -> Location:
            return row.locate(places.get(column, 0))

        who = self.check_person(values, locate)
        sheet = self.find_sheet(values["sheet"], locate)
        if sheet is None or not self.is_current(sheet, values.get(CHOICES, "").strip(), locate(CHOICES)):
            return None
        letters = self._read_letters(values, sheet, row, places)
        return AnswerRow(**who, sheet=sheet.name, letters=letters, where=row.locate())

    def _read_letters(
        self, values: Mapping[str, str], sheet: PlaySheet, row: CsvRow, places: Mapping[str, int]
    ) -> tuple[str, ...]:
        plays = len(sheet.questions)
        if "answers" in places:
            cells = list(re.sub(r"\s", "", values["answers"])) or [""] * plays
            stand = [places["answers"]] * len(cells)
            if len(cells) != plays:
                sentence = tell(
                    "{count} letters, and the sheet '{name}' has {plays} plays",
                    count=len(cells),
                    name=sheet.name,
                    plays=plays,
                )
                hint = tell("write one letter for each play, {none} where there is no answer", none=NONE)
                self.note("answers-number-of", sentence, hint, row.locate(stand[0]))
                return ()
        else:
            beyond = [n for n in places if n.isdigit() and int(n) > plays and values[n].strip(f" {NONE}")]
            for name in beyond:
                sentence = tell(
                    "an answer to play {name}, and the sheet '{name2}' has {plays} plays",
                    name=name,
                    name2=sheet.name,
                    plays=plays,
                )
                hint = tell("delete it, or mend the sheet's name")
                self.note("answers-number-of", sentence, hint, row.locate(places[name]))
            if missing := next((n for n in range(1, plays + 1) if str(n) not in places), 0):
                sentence = tell(
                    "there is no column '{missing}', and the sheet '{name}' has {plays} plays",
                    missing=missing,
                    name=sheet.name,
                    plays=plays,
                )
                hint = tell("add the column, or mend the sheet's name")
                self.note("answers-columns", sentence, hint, row.locate())
                return ()
            cells = [values[str(n)] for n in range(1, plays + 1)]
            stand = [places[str(n)] for n in range(1, plays + 1)]
        return tuple(
            self._read_letter(cell.strip().upper(), (number, sheet), row, place)
            for number, (cell, place) in enumerate(zip(cells, stand, strict=True), start=1)
        )

    def _read_letter(self, letter: str, play_of: tuple[int, PlaySheet], row: CsvRow, place: int) -> str:
        """The letter of a play, by its number, of a sheet; "" for none, or with a note for what is no letter of it."""
        play, sheet = play_of
        offered = LETTERS[: len(sheet.questions[play - 1].choices)]
        if letter in ("", NONE):
            return ""
        if len(letter) > 1 or letter not in offered:
            sentence = tell(
                "'{letter}' is no answer to play {play} of '{name}'",
                letter=clip_text(letter),
                play=play,
                name=sheet.name,
            )
            hint = tell(
                "write one of {offered}, or {none} where none or more than one is ticked",
                offered=", ".join(offered),
                none=NONE,
            )
            self.note("answers-letter", sentence, hint, row.locate(place))
            return ""
        return letter


class _PdfReader(_Reader):
    """Reads one answer sheet, or one sheet of plays, as it was filled in and saved."""

    def __init__(self, shown: str, sheets: Mapping[str, PlaySheet], intake: Intake) -> None:
        super().__init__(sheets, intake)
        self._shown = shown

    def read(self, data: bytes, edition: str) -> None:
        """Keep its answers, or count it as not marked."""
        kept = None
        try:
            kept = self._read_form(data, edition)
        except PocketrefError as error:
            self.intake.problems.extend(error.problems)
        if kept is None or self.faults:
            self.intake.faulty += 1
        else:
            self.keep(kept)

    def _read_form(self, data: bytes, edition: str) -> AnswerRow | None:
        form, where = read_form(data, self._shown), Location(self._shown)
        said = _SUBJECT.fullmatch(form.subject)
        if said is None or not form.fields:
            sentence = tell("{shown} is a PDF, but no answer sheet with its fields", shown=self._shown)
            hint = tell("give it as the viewer saved it: one printed to a new PDF has lost its fields")
            self.note("answers-foreign", sentence, hint, where)
            return None
        if said["edition"] != edition:
            sentence = tell(
                "{shown} is of edition {edition}, the content of {edition2}",
                shown=self._shown,
                edition=clip_text(said["edition"]),
                edition2=edition,
            )
            hint = tell("give the content and layouts of that edition: letters may differ")
            self.note("answers-edition", sentence, hint, where)
            return None
        sheet = self.find_sheet(said["sheet"], lambda _: where)
        fields = dict(form.fields)
        signed = _SIGNED.search(form.keywords)
        if sheet is None or not self.is_current(sheet, signed[1] if signed else NONE, where):
            return None
        blanks = {"name": NAME, "number": NUMBER, "chapter": CHAPTER}
        who = self.check_person(
            {column: fields.get(blank, "") for column, blank in blanks.items()},
            lambda column: Location(f"{self._shown}, field {blanks[column]}"),
        )
        plays = range(1, len(sheet.questions) + 1)
        letters = tuple(self._read_ticks(fields, play) for play in plays)
        return AnswerRow(**who, sheet=sheet.name, letters=letters, where=where)

    def _read_ticks(self, fields: Mapping[str, str], play: int) -> str:
        """The letter that is ticked; "" for none, and for more than one, with a warning."""
        ticked = [letter for letter in LETTERS if fields.get(name_tick(play, letter), "") not in _OFF]
        if len(ticked) > 1:
            sentence = tell(
                "play {play} is ticked {ticked}: it counts as not answered",
                play=play,
                ticked=tell_list(ticked),
            )
            where = Location(f"{self._shown}, field {name_tick(play, ticked[0])}")
            self.intake.problems.warn("answers-twice", sentence, tell("ask which was meant"), where)
        return ticked[0] if len(ticked) == 1 else ""
