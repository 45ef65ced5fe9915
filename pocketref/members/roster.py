"""A roster read from CSV (RFC 4180): who gets which cards, every fault told with its line.

Rosters come from many hands, and what is read here is printed on cards and written into packing lists that
are opened as spreadsheets: so a name that a spreadsheet would take for a formula is refused, as are control
characters and whatever could lead out of a folder.
"""

from __future__ import annotations

import re
import unicodedata
from collections.abc import Iterator, Mapping, Sequence
from dataclasses import dataclass
from functools import lru_cache
from pathlib import Path

from pocketref.problems import Location, PocketrefError, Problem, ProblemLog
from pocketref.scene.items import FontFace
from pocketref.scene.typefaces import typeface
from pocketref.source.syntax.csv_rows import SEPARATORS, CsvRow, find_column_faults, split_rows
from pocketref.source.syntax.kinds import DEVICES
from pocketref.source.syntax.source_text import SourceText, decode_text, read_bytes
from pocketref.words.collation import Key, find_sort_key
from pocketref.words.terminal import tell

COLUMNS = ("name", "number", "chapter", "code", "level", "quantity")
"""Each once, in any order, as the first row names them."""
POSTCODE = "postcode"
"""A column that may be left out, or empty: the order that parcels are posted in."""
LONGEST_VALUE = 60
GREATEST_QUANTITY = 99
MOST_BYTES = 50_000_000
MOST_PROBLEMS = 50
"""After as many the rest is only counted."""

FORMULA_STARTS = "=+-@\t\r"
MEMBER_NUMBER = re.compile(r"[A-Za-z0-9][A-Za-z0-9 ./-]{0,19}")
LETTERS = "".join(filter(str.isprintable, map(chr, range(0x20, 0x100))))
"""What any roster may be set in, whether a name has it today or not: Basic Latin and Latin-1 (Unicode), which leave
room for others in the one subset of a font that slots are quickest set in."""
# Control, format, unassigned and private characters, surrogates, line and paragraph separators (Unicode 4.5).
_UNPRINTABLE = {"Cc", "Cf", "Cn", "Co", "Cs", "Zl", "Zp"}


@dataclass(frozen=True, slots=True)
class Member:
    """One row of a roster: `quantity` sets of the cards of a code and level."""

    name: str
    number: str
    chapter: str
    code: str
    level: str
    quantity: int
    line: int
    postcode: str = ""


def read_roster(path: Path) -> tuple[Member, ...]:
    """The members in the order of the file.

    PocketrefError with every fault at its line: what `read_bytes` and `decode_text` refuse, "roster-columns",
    "roster-row", "roster-formula", "roster-character", "roster-glyph", "roster-chapter", "roster-number",
    "roster-quantity", "roster-duplicate", "roster-empty".
    """
    log = ProblemLog()
    data = read_bytes(path, path.name, log, MOST_BYTES, tell("check its name and place"))
    source = None if data is None else decode_text(data, path.name, log)
    if source is None:
        raise PocketrefError(log.problems)
    reader, where = _RosterReader(), Location(path.name)
    members = reader.read(source)
    more = reader.count - len(reader.problems)
    if more:
        sentence = tell("{name} has {more:,} more faults", name=path.name, more=more)
        reader.problems.append(Problem("roster-row", sentence, tell("mend these first"), where))
    elif not members and not reader.problems:
        hint = tell("write a row a member below the columns")
        reader.problems.append(
            Problem("roster-empty", tell("{name} lists no member", name=path.name), hint, where)
        )
    if reader.problems:
        raise PocketrefError(reader.problems)
    return tuple(members)


class _RosterReader:
    """Reads one roster and collects what is wrong with it."""

    def __init__(self) -> None:
        self.problems: list[Problem] = []
        self.count = 0
        self._row: CsvRow
        self._sets: dict[tuple[str, str, str], int] = {}
        self._members: dict[str, Member] = {}
        self._chapters: dict[str, str] = {}
        self._sound: dict[str, str] = {}
        self._letters: set[str] = set()

    def read(self, source: SourceText) -> list[Member]:
        """The sound rows; all of them if nothing is noted."""
        members: list[Member] = []
        places: dict[str, int] = {}
        width = 0
        for self._row in split_rows(source, COLUMNS):
            if self._row.fault:
                hint = tell(
                    "close every quotation mark, and shorten each value to {most} characters",
                    most=LONGEST_VALUE,
                )
                self._note("roster-row", self._row.fault, hint)
            elif places:
                member = self._read_row(places, width)
                members += [member] if member else []
            else:
                places, width = self._place_columns(self._row.values), len(self._row.values)
            if not places:
                break
        if not places and not self.count:
            self._row = CsvRow(source, 1, ",", ())
            self._place_columns(())
        return members

    def _note(self, code: str, sentence: str, hint: str, place: int = 0) -> None:
        """Note a fault of the value at `place` in the row, from 0."""
        self.count += 1
        if len(self.problems) < MOST_PROBLEMS:
            self.problems.append(Problem(code, sentence, hint, self._row.locate(place)))

    def _place_columns(self, header: Sequence[str]) -> dict[str, int]:
        """Where each column stands; empty if one is missing, unknown or there twice."""
        names = [value.strip().lower() for value in header]
        for sentence, hint, place in find_column_faults(names, (*COLUMNS, POSTCODE), COLUMNS):
            self._note("roster-columns", sentence, hint, place)
        return {} if self.problems else {name: at for at, name in enumerate(names) if name}

    def _read_row(self, places: Mapping[str, int], width: int) -> Member | None:
        values, line = self._row.values, self._row.line
        if len(values) != width:
            self._note_width(len(values), width)
            return None
        before = self.count
        row = {
            name: self._sound.get(values[at]) or self._read_value(name, values[at], at)
            for name, at in places.items()
        }
        if not MEMBER_NUMBER.fullmatch(row["number"]) and self.count == before:
            hint = tell("use letters, digits, spaces and . / -, at most 20")
            sentence = tell("{number} is not a member's number", number=_quote(row["number"]))
            self._note("roster-number", sentence, hint, places["number"])
        quantity = 0
        if self.count == before:
            quantity = self._read_quantity(row["quantity"], places["quantity"])
        if self.count > before:
            return None
        # A level may be written as edition.yaml does, with its code before it.
        level = row["level"].removeprefix(f"{row['code']}-")
        named = row["name"], row["number"], row["chapter"], row["code"], level
        member = Member(*named, quantity, line, row.get(POSTCODE, ""))
        self._check_repeats(member, places["number"])
        self._check_chapter(member, places["chapter"])
        return member if self.count == before else None

    def _note_width(self, found: int, width: int) -> None:
        """Note a row with too few or too many values."""
        separator = tell(SEPARATORS[self._row.separator])
        hint = tell("put a value that holds a {separator} in quotation marks", separator=separator)
        if found < width:
            names = ", ".join(COLUMNS)
            hint = tell(
                "give every row all values, with a {separator} between: {names}",
                separator=separator,
                names=names,
            )
        self._note(
            "roster-row",
            tell("this row has {found} values, the columns are {width}", found=found, width=width),
            hint,
        )

    def _read_value(self, name: str, raw: str, place: int) -> str:
        """The value at `place` in the row without spaces to spare, and a note of what is wrong with it."""
        value = re.sub(" +", " ", unicodedata.normalize("NFC", raw)).strip()
        before = self.count
        if not value and name == POSTCODE:
            return value
        if not value:
            self._note("roster-row", tell("the {name} is empty", name=name), tell("fill it in"), place)
        elif len(value) > LONGEST_VALUE:
            sentence = tell("the {name} has {count} characters", name=name, count=len(value))
            self._note(
                "roster-row",
                sentence,
                tell("shorten it to {longest_value}", longest_value=LONGEST_VALUE),
                place,
            )
        elif raw[0] in FORMULA_STARTS or value[0] in FORMULA_STARTS:
            sentence = tell("the {name} {value} begins like a formula", name=name, value=_quote(value))
            self._note("roster-formula", sentence, tell("begin it with a letter or a digit"), place)
        elif not raw.isprintable() and (bad := _find_unprintable(raw)):
            sentence = tell(
                "the {name} holds the character U+{bad:04X}, which can't be printed", name=name, bad=ord(bad)
            )
            self._note("roster-character", sentence, tell("delete it"), place)
        elif not self._letters.issuperset(value) and (gone := _find_missing(value)):
            sentence = tell(
                "the {name} {value} holds '{gone}', which the typeface has no glyph for",
                name=name,
                value=_quote(value),
                gone=gone,
            )
            self._note("roster-glyph", sentence, tell("write it in Latin letters"), place)
        if self.count == before:
            self._sound[raw] = value
            self._letters.update(value)
        return value

    def _read_quantity(self, value: str, place: int) -> int:
        if value.isascii() and value.isdigit() and 1 <= int(value[:9]) <= GREATEST_QUANTITY:
            return int(value)
        if value:
            sentence = tell("the quantity {value} is not a number of sets", value=_quote(value))
            hint = tell(
                "write a whole number from 1 to {greatest_quantity}", greatest_quantity=GREATEST_QUANTITY
            )
            self._note("roster-quantity", sentence, hint, place)
        return 0

    def _check_repeats(self, member: Member, place: int) -> None:
        """A member may get sets of several codes, but each once, and a number is one member's."""
        known = self._members.setdefault(member.number, member)
        if known.name != member.name:
            sentence = tell(
                "the number {number} is that of {name} on line {line}",
                number=member.number,
                name=known.name,
                line=known.line,
            )
            hint = tell("give each member a number of their own")
            self._note("roster-duplicate", sentence, hint, place)
            return
        if known.postcode != member.postcode:
            sentence = tell(
                "{name}, {number}, has another postcode on line {line}",
                name=member.name,
                number=member.number,
                line=known.line,
            )
            self._note("roster-duplicate", sentence, tell("give a member one postcode"), place)
            return
        key = (member.number, member.code, member.level)
        if (first := self._sets.setdefault(key, member.line)) != member.line:
            sentence = tell(
                "{name}, {number}, has this set on line {first} already",
                name=member.name,
                number=member.number,
                first=first,
            )
            hint = tell("raise the quantity there, and take this row out")
            self._note("roster-duplicate", sentence, hint, place)

    def _check_chapter(self, member: Member, place: int) -> None:
        folder = name_folder(member.chapter)
        if (
            not folder
            or folder in DEVICES
            or any(mark in member.chapter for mark in "/\\:*")
            or ".." in member.chapter
        ):
            sentence = tell("the chapter {chapter} cannot name a folder", chapter=_quote(member.chapter))
            hint = tell("use letters, digits, spaces and hyphens")
            self._note("roster-chapter", sentence, hint, place)
        elif (twin := self._chapters.setdefault(folder, member.chapter)) != member.chapter:
            sentence = tell(
                "the chapters {chapter} and {twin} would share the folder {folder}",
                chapter=_quote(member.chapter),
                twin=_quote(twin),
                folder=folder,
            )
            self._note("roster-chapter", sentence, tell("write one chapter one way"), place)


def _find_unprintable(text: str) -> str:
    return next((ch for ch in text if unicodedata.category(ch) in _UNPRINTABLE), "")


def _find_missing(text: str) -> str:
    """The first character that cannot be set in the faces that a roster is printed in."""
    gone = typeface(FontFace.BOLD).missing(text) or typeface(FontFace.REGULAR).missing(text)
    return gone[0] if gone else ""


def _quote(text: str) -> str:
    shown = "".join(ch if ch.isprintable() else "\ufffd" for ch in text[:40])
    return f"'{shown}'" if len(text) <= 40 else f"'{shown}...'"


@lru_cache(maxsize=1024)
def name_folder(chapter: str) -> str:
    """A chapter's name as a folder's: "Côte Nord" is "cote-nord"; empty if nothing is left of it."""
    plain = unicodedata.normalize("NFKD", chapter).encode("ascii", "ignore").decode().lower()
    return "-".join(re.findall("[a-z0-9]+", plain))


def group_by_chapter(members: Sequence[Member]) -> Iterator[tuple[str, tuple[Member, ...]]]:
    """The chapters by name, each with its members by postcode, then by name, their rows as the roster has them."""
    chapters: dict[str, list[Member]] = {}
    for member in members:
        chapters.setdefault(member.chapter, []).append(member)
    for chapter in sorted(chapters, key=find_sort_key):
        yield chapter, tuple(sorted(chapters[chapter], key=_order_member))


def _order_member(member: Member) -> tuple[str, Key, str, int]:
    return member.postcode, find_sort_key(member.name), member.number, member.line
