"""The starter set's layouts made over for another code than the demo's: its field."""

from __future__ import annotations

import re
from collections.abc import Callable, Mapping
from dataclasses import dataclass
from pathlib import Path
from tempfile import TemporaryDirectory
from typing import TypeVar

from pocketref.layouts.cards import lay_out_card, lay_out_sheet
from pocketref.layouts.layout_library import Layouts, read_layouts
from pocketref.layouts.layout_models import CardModel, SheetModel
from pocketref.output.files import publish_folder
from pocketref.problems import PocketrefError, Problem, suggest_match
from pocketref.source.field_models import FieldModel
from pocketref.source.library import Library

Model = TypeVar("Model", CardModel, SheetModel)

_MOUND = re.compile(rb"\{block: figure, figure: mound[^}]*\}")
_PLATE_AREA = b"{block: figure, figure: plate-area, smallest: 50}"
_SUBJECTS = re.compile(rb"\bsubject: ([a-z0-9-]+)|\bsubjects: \[([a-z0-9, -]+)\]")
_LAID_OUT = re.compile(r"layouts/(cards|sheets|plays|classes)/")


@dataclass(frozen=True, slots=True)
class MadeOver:
    """Files by name, and what had to change besides the code, in words."""

    files: Mapping[str, bytes]
    notes: tuple[str, ...]


def find_first_field(library: Library, code: str) -> FieldModel:
    """A code's first field in the order of the files; raises PocketrefError if the code or a field is missing."""
    if code not in library.codes:
        hint = suggest_match(code, library.codes)
        raise PocketrefError([Problem("code-unknown", f"there is no code '{code}'", hint)])
    found = [field for field in library.fields.values() if field.code == code]
    if not found:
        where = library.codes[code].location
        raise PocketrefError(
            [Problem("level-unknown", f"there is no field of {code}", "add one under fields/", where)]
        )
    return found[0]


def make_over(files: Mapping[str, bytes], library: Library, field: FieldModel) -> MadeOver:
    """The layouts among the files for a field and its code.

    What is laid out on a subject that the code does not rule on is left out. Where the field has no dimensions for its
    mound, cards draw the plate area in its place, and a sheet that needs them is left out.
    """
    made = {name: _set_keys(name, text, field) for name, text in files.items()}
    notes = []
    for name in [name for name in made if _LAID_OUT.match(name)]:
        subjects = {
            each for one, more in _SUBJECTS.findall(made[name]) for each in (one or more).decode().split(", ")
        }
        if unknown := [each for each in sorted(subjects) if (field.code, each) not in library.rulings]:
            del made[name]
            notes.append(f"no {name}: {field.code} does not rule on {', '.join(unknown)}")
    looks = _read(made, library)
    lacking = {
        **{
            f"layouts/cards/{card.card}.yaml": _list_lacking(lay_out_card, card, looks, library)
            for card in looks.cards
        },
        **{
            f"layouts/sheets/{sheet.sheet}.yaml": _list_lacking(lay_out_sheet, sheet, looks, library)
            for sheet in looks.sheets
        },
    }
    for name, missing in lacking.items():
        if missing and name.startswith("layouts/cards/"):
            made[name] = _MOUND.sub(_PLATE_AREA, made[name])
            notes.append(
                f"{name} draws the plate area for the mound: {field.key} has no {', '.join(missing)}"
            )
        elif missing:
            del made[name]
            notes.append(f"no {name}: {field.key} has no {', '.join(missing)}")
    return MadeOver(made, tuple(notes))


def _set_keys(name: str, text: bytes, field: FieldModel) -> bytes:
    if not _LAID_OUT.match(name):
        return text
    return _set_key("level", field.level, _set_key("code", field.code, text))


def _set_key(key: str, value: str, text: bytes) -> bytes:
    """The file with another value of a key of its own; a comment behind it stays."""
    return re.sub(rf"(?m)^{key}: [^\s#]+".encode(), f"{key}: {value}".encode(), text)


def _read(files: Mapping[str, bytes], library: Library) -> Layouts:
    with TemporaryDirectory() as folder:
        publish_folder(Path(folder) / "made", files)
        return read_layouts(Path(folder) / "made/layouts", library)


def _list_lacking(
    lay_out: Callable[[Model, Library, Layouts], object], model: Model, looks: Layouts, library: Library
) -> list[str]:
    """The dimensions that a card or a sheet draws and its field has not."""
    try:
        lay_out(model, library, looks)
    except PocketrefError as error:
        return [p.sentence.split("'")[1] for p in error.problems if p.code == "dimension-missing"]
    return []
