"""The source of an edition, read back from what was published or from a content folder."""

from __future__ import annotations

import json
from collections.abc import Mapping
from dataclasses import dataclass, field, replace
from pathlib import Path
from typing import NoReturn, TypeVar

from pydantic import ValidationError

from pocketref.edition.manifest import FORMAT, MANIFEST, PAST, SOURCE, STORED, hash_inputs
from pocketref.problems import Location, PocketrefError, Problem, ProblemLog, explain_refusal
from pocketref.source import record
from pocketref.source.edition_models import CodeModel, EditionModel, WorkModel
from pocketref.source.field_models import FieldModel
from pocketref.source.library import Library, read_library
from pocketref.source.play_models import PlaysModel
from pocketref.source.play_references import check_plays
from pocketref.source.references import ReadContent, check_references
from pocketref.source.ruling_models import SubjectModel, TableModel
from pocketref.source.statements import ComparedModel, check_comparisons
from pocketref.source.syntax.located import SourceModel
from pocketref.source.syntax.source_text import clip_text
from pocketref.source.text_models import CautionModel, MechanicsModel, TextModel

M = TypeVar("M", bound=SourceModel)

MOST_BYTES = 100_000_000
"""A larger file is not an edition's source."""

_SAID = {"missing": "is missing", "extra_forbidden": "is not known"}
_OTHER = "is not what belongs there"
"""What is said of a value that validation refuses, by the kind of its error."""
_EXAMPLE = "give a published edition (out/2027), a stored one (content/past/2026.json) or a content folder"


@dataclass(frozen=True, slots=True)
class EditionSource:
    """What an edition was made from; `inputs` are the SHA-256 of its source files by name, where known."""

    name: str
    library: Library
    inputs: Mapping[str, str] = field(default_factory=dict)


def read_edition_source(path: Path) -> EditionSource:
    """The source of a published edition (a folder), a stored source (a JSON file) or a content folder.

    PocketrefError: "edition-unknown" if it is none of them, "edition-earlier" or "edition-later" if another
    pocketref wrote it, "edition-broken" if it was cut off or changed by hand; a content folder's own problems
    otherwise.
    """
    if path.is_file():
        return EditionSource(path.name, read_source(path))
    if (path / SOURCE).is_file():
        manifest = _read_json(path / MANIFEST, FORMAT) if (path / MANIFEST).is_file() else {}
        inputs = manifest.get("inputs", {})
        known = inputs if isinstance(inputs, dict) else {}
        return EditionSource(path.name, read_source(path / SOURCE), known)
    if (path / "edition.yaml").is_file():
        return EditionSource(path.name, read_library(path), hash_inputs(path))
    what = "holds neither source.json nor edition.yaml" if path.is_dir() else "is not there"
    return _refuse("edition-unknown", f"{path} is not an edition: it {what}", _EXAMPLE)


def read_source(path: Path, name: str = "") -> Library:
    """The library that a stored source says; raises as `read_edition_source`. Messages call it `name`."""
    name = name or path.name
    content = _read_json(path, record.FORMAT, name)
    mechanics = _group_texts(_read_models(content, "texts", TextModel, name))
    rulings = {}
    for key, table in _read_models(content, "rulings", TableModel, name).items():
        rulings[table.code, table.subject] = table
        if key != f"{table.code}/{table.subject}":
            _refuse_broken(name, f"the table {key} calls itself {table.code}/{table.subject}")
    read = ReadContent(
        works=_read_models(content, "works", WorkModel, name),
        codes=_read_models(content, "codes", CodeModel, name),
        edition=_read_model(content.get("edition"), EditionModel, f"{name}: edition"),
        fields=_read_models(content, "fields", FieldModel, name),
        subjects=_read_models(content, "subjects", SubjectModel, name),
        rulings=dict(rulings),
        mechanics=dict(mechanics),
        cautions=_read_models(content, "cautions", CautionModel, name),
    )
    plays = _read_models(content, "plays", PlaysModel, name)
    problems = ProblemLog()
    check_references(read, problems)
    check_plays(plays, read.subjects, read.rulings, read.cautions, problems)
    if problems.errors:
        _refuse_broken(name, problems.errors[0].sentence)
    library = _make_library(read, mechanics, plays)
    compared = _read_model({"compared": content.get("compared", [])}, ComparedModel, f"{name}: compared")
    check_comparisons(compared.compared, library.statements, library.works, library.edition, problems)
    if problems.errors:
        _refuse_broken(name, problems.errors[0].sentence)
    return replace(library, compared=compared.compared)


def _make_library(
    read: ReadContent, mechanics: Mapping[str, MechanicsModel], plays: Mapping[str, PlaysModel]
) -> Library:
    assert read.edition is not None
    return Library(
        works=read.works or {},
        codes=read.codes or {},
        edition=read.edition,
        fields={key: model for key, model in read.fields.items() if model},
        subjects={key: model for key, model in read.subjects.items() if model},
        rulings={key: model for key, model in read.rulings.items() if model},
        texts={
            f"mechanics/{file}/{text}": model
            for file, texts in mechanics.items()
            for text, model in texts.texts.items()
        },
        cautions={key: model for key, model in read.cautions.items() if model},
        plays=plays,
    )


def _read_json(path: Path, newest: int, name: str = "") -> dict[str, object]:
    """A JSON object of a format that this version reads."""
    content = _parse_json(path, name or path.name)
    version = content.get("format")
    if not isinstance(version, int) or version < 1:
        _refuse("edition-unknown", f"{path} does not say its format", _EXAMPLE)
    if version < newest:
        sentence = (
            f"{path} has format {version}, whose rulings can't be compared with those of format {newest}"
        )
        _refuse("edition-earlier", sentence, "publish its content again with this pocketref, and keep that")
    if version > newest:
        sentence = f"{path} has format {version}; this pocketref reads formats up to {newest}"
        _refuse("edition-later", sentence, "use the pocketref that wrote it, or a later one")
    return content


def _parse_json(path: Path, name: str) -> dict[str, object]:
    """A JSON object that says nothing twice; a byte order mark before it is left out."""
    twice: list[str] = []

    def keep(pairs: list[tuple[str, object]]) -> dict[str, object]:
        entries: dict[str, object] = {}
        for key, value in pairs:
            if key in entries:
                twice.append(key)
            entries[key] = value
        return entries

    try:
        if path.stat().st_size > MOST_BYTES:
            _refuse_broken(name, f"it has more than {MOST_BYTES:,} bytes")
        content = json.loads(path.read_bytes().decode("utf-8-sig"), object_pairs_hook=keep)
    except OSError as error:
        _refuse_broken(name, explain_refusal("it", error)[0])
    except (ValueError, RecursionError):
        _refuse_broken(name, "it is not JSON")
    if twice:
        _refuse_broken(name, f"it says '{twice[0]}' twice")
    if not isinstance(content, dict):
        _refuse_broken(name, "it holds no entries")
    return content


def _read_models(content: Mapping[str, object], key: str, model: type[M], file: str) -> dict[str, M]:
    group = content.get(key)
    if not isinstance(group, dict):
        _refuse_broken(file, f"it has no '{key}'")
    return {name: _read_model(value, model, f"{file}: {key}, {name}") for name, value in group.items()}


def _read_model(value: object, model: type[M], place: str) -> M:
    try:
        return model.model_validate(_drop_empty(value))
    except (ValidationError, RecursionError) as error:
        if isinstance(error, RecursionError):
            _refuse_broken(place, "it nests too deeply")
        first = error.errors(include_url=False)[0]
        inner = ".".join(str(step) for step in first["loc"])
        what = f"'{clip_text(inner)}'" if inner else "it"
        said = first.get("ctx", {}).get("sentence")
        _refuse_broken(place, f"{what}: {said}" if said else f"{what} {_SAID.get(first['type'], _OTHER)}")


def _drop_empty(value: object) -> object:
    """The value without empty texts: a text left out is written as one, and none may be given as one."""
    if isinstance(value, dict):
        return {key: _drop_empty(inner) for key, inner in value.items() if inner != ""}
    if isinstance(value, list):
        return [_drop_empty(inner) for inner in value]
    return value


def _group_texts(texts: Mapping[str, TextModel]) -> dict[str, MechanicsModel]:
    """Texts by the file that they were in: "mechanics/<file>/<text>"."""
    files: dict[str, dict[str, TextModel]] = {}
    for key, text in texts.items():
        _, _, inner = key.partition("/")
        file, slash, name = inner.partition("/")
        if not slash:
            _refuse_broken(SOURCE, f"'{key}' is not where a text stands")
        files.setdefault(file, {})[name] = text
    return {
        file: _read_model({"mechanics": file, "texts": inner}, MechanicsModel, f"{SOURCE}: texts, {file}")
        for file, inner in files.items()
    }


def _refuse_broken(place: str, why: str) -> NoReturn:
    shown = clip_text(place, 120)
    sentence = f"{shown} is not as it was published: {clip_text(why, 240)}"
    raise PocketrefError([Problem("edition-broken", sentence, "publish it again", Location(shown))])


def _refuse(code: str, sentence: str, hint: str) -> NoReturn:
    raise PocketrefError([Problem(code, sentence, hint)])


def find_past(library: Library, content: Path, problems: ProblemLog | None = None) -> Library | None:
    """The newest edition stored under content/past, by the day it held from; None without one.

    An edition of the library's own name, or that holds from a later day, is no past one. `problems` takes a
    warning for each file that is not named by the edition it keeps. PocketrefError as `read_source` for one that
    keeps none.
    """
    edition = library.edition
    is_stored = content.suffix == STORED
    folder = content.parent if is_stored else content / PAST
    found: list[Library] = []
    for path in sorted(folder.glob(f"*{STORED}")):
        shown = path.name if is_stored else f"{content.name or content.resolve().name}/{PAST}/{path.name}"
        found.append(_read_past(path, shown))
        name = found[-1].edition.edition
        if problems is not None and not is_stored and path.stem != name:
            sentence = f"{shown} keeps the edition {name}"
            hint = f"a past edition's file is named by its edition: rename it to {name}{STORED}"
            problems.warn("past-name", sentence, hint, Location(shown))
    past = [
        each
        for each in found
        if each.edition.edition != edition.edition and each.edition.valid.from_ < edition.valid.from_
    ]
    return max(past, key=lambda each: each.edition.valid.from_, default=None)


def _read_past(path: Path, shown: str) -> Library:
    """A past edition's source; the remedy for a broken one is another copy, as it can't be published again."""
    try:
        return read_source(path, shown)
    except PocketrefError as error:
        hint = "copy the source.json of that published edition here again, or take this file out"
        raise PocketrefError(
            [
                replace(each, hint=hint, where=each.where or Location(shown))
                if each.code not in ("edition-earlier", "edition-later")
                else each
                for each in error.problems
            ]
        ) from None
