"""Reads what was typed into a published sheet: its fields' values, and which sheet it says it is."""

from __future__ import annotations

import json
import re
import subprocess
import sys
from collections.abc import Mapping
from dataclasses import dataclass
from pathlib import Path
from types import MappingProxyType

from pocketref.output.reading.form_values import CPU_S, LOCKED, MOST_PAGES
from pocketref.problems import Location, PocketrefError, Problem
from pocketref.words.terminal import tell

_SUBJECT = re.compile(r"sheet (?P<sheet>[a-z0-9-]+), edition (?P<edition>.+)")
_LEVEL = re.compile(r"level (?P<level>[a-z0-9-]+)")
CHECK_SHEETS = "fill in a check sheet, such as plate-area.pdf, bases.pdf or mound.pdf"
LONGEST_NAME = 60
"""What is shown of a field's name."""
_READER = Path(__file__).with_name("form_values.py")
# Where processor time is limited a busy machine may take its while; Windows has the clock alone.
_PATIENCE_S = CPU_S if sys.platform == "win32" else 10 * CPU_S


@dataclass(frozen=True, slots=True)
class FilledSheet:
    """A sheet of an edition as it came back: `values` are the texts of its fields by name, blank ones too."""

    file: str
    sheet: str
    edition: str
    level: str
    """The level it was laid out for, such as "high-school-90-ft"."""
    values: Mapping[str, str]

    def locate(self, name: str) -> Location:
        """A field's place, for messages."""
        return Location(f"{self.file}, field {name[:LONGEST_NAME]}")


@dataclass(frozen=True, slots=True)
class FilledForm:
    """What a PDF says of itself, and its fields by name and value, each as `form_values.py` writes them."""

    subject: str
    keywords: str
    pages: int
    fields: tuple[tuple[str, str], ...]


def read_filled_sheet(data: bytes, shown: str) -> FilledSheet:
    """The fields of a filled-in sheet; `shown` names the file in messages.

    Raises PocketrefError if the bytes are no PDF, one that would take more time or memory than a sheet does,
    or a PDF that is no sheet of an edition.
    """
    form = read_form(data, shown)
    said, level = _SUBJECT.fullmatch(form.subject), _LEVEL.search(form.keywords)
    if said is None or level is None or form.pages > MOST_PAGES:
        sentence = tell("{shown} is a PDF, but no sheet of an edition", shown=shown)
        hint = tell("give a published check sheet as saved; one printed to a new PDF has lost its fields")
        raise _refuse("sheet-foreign", sentence, hint, shown)
    if not form.fields:
        sentence = tell(
            "{shown} is the sheet '{sheet}' with no fields to fill in", shown=shown, sheet=said["sheet"]
        )
        hint = tell(
            "{check_sheets}; if this is one, save it itself, as printing it to a PDF drops its fields",
            check_sheets=tell(CHECK_SHEETS),
        )
        raise _refuse("sheet-flattened", sentence, hint, shown)
    values = MappingProxyType(dict(form.fields))
    return FilledSheet(shown, said["sheet"], said["edition"], level["level"], values)


def read_subject(data: bytes) -> str:
    """The subject that a PDF names in its properties, such as "tape report, edition 2027"; "" if there is none."""
    try:
        return read_form(data, "").subject
    except PocketrefError:
        return ""


def read_form(data: bytes, shown: str) -> FilledForm:
    """The form of a PDF, read by another process within seconds and some hundred megabytes.

    `shown` names the file in messages. PocketrefError ("sheet-unreadable") if it can't be read so.
    """
    if b"%PDF-" not in data[:1024]:
        hint = tell("give a published sheet as your viewer saved it")
        raise _refuse("sheet-unreadable", tell("{shown} can't be read as a PDF", shown=shown), hint, shown)
    command = [sys.executable, "-P", str(_READER)]
    try:
        done = subprocess.run(command, input=data, capture_output=True, timeout=_PATIENCE_S, check=False)
    except subprocess.TimeoutExpired:
        done = subprocess.CompletedProcess(command, 1)
    if done.returncode == LOCKED:
        hint = tell("save it without a password, or fill in a fresh sheet")
        raise _refuse("sheet-unreadable", tell("{shown} is locked with a password", shown=shown), hint, shown)
    if done.returncode:
        sentence = tell(
            "{shown} can't be read as a PDF: it is damaged, or asks for more than a sheet does", shown=shown
        )
        hint = tell("save the sheet once more in your viewer, or fill in a fresh one")
        raise _refuse("sheet-unreadable", sentence, hint, shown)
    read = json.loads(done.stdout)
    fields = tuple((name, value) for name, value in read["fields"])
    return FilledForm(read["subject"], read["keywords"], read["pages"], fields)


def _refuse(code: str, sentence: str, hint: str, shown: str) -> PocketrefError:
    return PocketrefError([Problem(code, sentence, hint, Location(shown))])
