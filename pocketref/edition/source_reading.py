"""The source of an edition, read back from what was published or from a content folder."""

from __future__ import annotations

import json
import re
from collections.abc import Collection, Mapping
from dataclasses import dataclass, field, replace
from pathlib import Path
from typing import TypeVar

from pydantic import ValidationError

from pocketref.edition.manifest import FORMAT, MANIFEST, PAST, SOURCE, STORED, hash_inputs
from pocketref.layouts.layout_models import CardModel, SheetModel
from pocketref.problems import (
    Location,
    PocketrefError,
    Problem,
    ProblemLog,
    Severity,
    explain_refusal,
    refusal,
)
from pocketref.source import record
from pocketref.source.edition_models import CodeModel, EditionModel, WorkModel
from pocketref.source.field_models import FieldModel
from pocketref.source.library import Library, construct_library, read_library
from pocketref.source.play_models import PlaysModel
from pocketref.source.references import ReadContent
from pocketref.source.ruling_models import SubjectModel, TableModel
from pocketref.source.statements import ComparedModel
from pocketref.source.syntax.kept_files import KeptFiles
from pocketref.source.syntax.located import SourceModel
from pocketref.source.syntax.source_text import clip_text
from pocketref.source.text_models import CautionModel, TextModel
from pocketref.words.terminal import tell

M = TypeVar("M", bound=SourceModel)

MOST_BYTES = 100_000_000
"""A larger file is not an edition's source."""

_SAID = {"missing": "{what} is missing", "extra_forbidden": "{what} is not known"}
_OTHER = "{what} is not what belongs there"
"""What is said of a value that validation refuses, by the kind of its error."""
_TEXT_PLACE = re.compile("mechanics(/[a-z0-9-]+){2}")
"""Where a text stands: its file and its name."""
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
    if path.is_dir():
        sentence = tell("{path} is not an edition: it holds neither source.json nor edition.yaml", path=path)
    else:
        sentence = tell("{path} is not an edition: it is not there", path=path)
    raise refusal("edition-unknown", sentence, tell(_EXAMPLE))


def read_source(path: Path, name: str = "") -> Library:
    """The library that a stored source says; raises as `read_edition_source`. Messages call it `name`."""
    name = name or path.name
    content = _read_json(path, record.FORMAT, name)
    texts = _read_models(content, "texts", TextModel, name)
    for key in texts:
        if not _TEXT_PLACE.fullmatch(key):
            raise _broken(SOURCE, tell("'{key}' is not where a text stands", key=key))
    rulings = {}
    for key, table in _read_models(content, "rulings", TableModel, name).items():
        rulings[table.code, table.subject] = table
        if key != f"{table.code}/{table.subject}":
            raise _broken(
                name,
                tell(
                    "the table {key} calls itself {code}/{subject}",
                    key=key,
                    code=table.code,
                    subject=table.subject,
                ),
            )
    compared = {"compared": content.get("compared", [])}
    read = ReadContent(
        works=_read_models(content, "works", WorkModel, name),
        codes=_read_models(content, "codes", CodeModel, name),
        edition=_read_model(content.get("edition"), EditionModel, f"{name}: edition"),
        fields=_read_models(content, "fields", FieldModel, name),
        subjects=_read_models(content, "subjects", SubjectModel, name),
        rulings=rulings,
        texts=texts,
        cautions=_read_models(content, "cautions", CautionModel, name),
        plays=_read_models(content, "plays", PlaysModel, name),
        compared=_read_model(compared, ComparedModel, f"{name}: compared").compared,
    )
    layouts, told = _read_layouts(content, name)
    problems = ProblemLog()
    try:
        return replace(construct_library(read, problems), warnings=told, layouts=layouts)
    except PocketrefError:
        raise _broken(name, problems.errors[0].sentence) from None


def _read_json(path: Path, newest: int, name: str = "") -> dict[str, object]:
    """A JSON object of a format that this version reads."""
    content = _parse_json(path, name or path.name)
    version = content.get("format")
    if not isinstance(version, int) or version < 1:
        raise refusal("edition-unknown", tell("{path} does not say its format", path=path), tell(_EXAMPLE))
    if version < newest:
        sentence = tell(
            "{path} has format {version}, whose rulings can't be compared with those of format {newest}",
            path=path,
            version=version,
            newest=newest,
        )
        hint = tell("publish its content again with this pocketref, and keep that")
        raise refusal("edition-earlier", sentence, hint)
    if version > newest:
        sentence = tell(
            "{path} has format {version}; this pocketref reads formats up to {newest}",
            path=path,
            version=version,
            newest=newest,
        )
        raise refusal("edition-later", sentence, tell("use the pocketref that wrote it, or a later one"))
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
            raise _broken(name, tell("it has more than {most_bytes:,} bytes", most_bytes=MOST_BYTES))
        content = json.loads(path.read_bytes().decode("utf-8-sig"), object_pairs_hook=keep)
    except OSError as error:
        raise _broken(name, explain_refusal(tell("it"), error)[0]) from None
    except (ValueError, RecursionError):
        raise _broken(name, tell("it is not JSON")) from None
    if twice:
        raise _broken(name, tell("it says '{twice}' twice", twice=twice[0]))
    if not isinstance(content, dict):
        raise _broken(name, tell("it holds no entries"))
    return content


def _read_models(content: Mapping[str, object], key: str, model: type[M], file: str) -> dict[str, M]:
    group = content.get(key)
    if not isinstance(group, dict):
        raise _broken(file, tell("it has no '{key}'", key=key))
    return {name: _read_model(value, model, f"{file}: {key}, {name}") for name, value in group.items()}


def _read_layouts(
    content: Mapping[str, object], file: str
) -> tuple[dict[str, SourceModel], tuple[Problem, ...]]:
    """What cards and sheets were laid out as; none in what was kept before layouts were.

    None either, and a warning, where one of them is not as layouts are now: another pocketref may have kept it, and
    what an edition says does not hang on it.
    """
    group = content.get("layouts", {})
    if not isinstance(group, dict):
        raise _broken(file, tell("its 'layouts' are no entries"))
    kinds: dict[str, type[SourceModel]] = {"cards": CardModel, "sheets": SheetModel}
    found: dict[str, SourceModel] = {}
    for name, value in group.items():
        try:
            found[name] = kinds[name.partition("/")[0]].model_validate(_drop_empty(value))
        except (KeyError, RecursionError, ValidationError):
            sentence = tell(
                "this pocketref cannot read the layout {name} that {file} keeps",
                name=clip_text(name),
                file=file,
            )
            hint = tell("nothing to do: no layout is compared with those of that edition")
            return {}, (Problem("past-layouts", sentence, hint, Location(file), Severity.WARNING),)
    return found, ()


def _read_model(value: object, model: type[M], place: str) -> M:
    try:
        return model.model_validate(_drop_empty(value))
    except RecursionError:
        raise _broken(place, tell("it nests too deeply")) from None
    except ValidationError as error:
        first = error.errors(include_url=False)[0]
    inner = ".".join(str(step) for step in first["loc"])
    what = f"'{clip_text(inner)}'" if inner else tell("it")
    said = first.get("ctx", {}).get("sentence")
    raise _broken(
        place,
        tell("{what}: {said}", what=what, said=said)
        if said
        else tell(_SAID.get(first["type"], _OTHER), what=what),
    )


def _drop_empty(value: object) -> object:
    """The value without empty texts: a text left out is written as one, and none may be given as one."""
    if isinstance(value, dict):
        return {key: _drop_empty(inner) for key, inner in value.items() if inner != ""}
    if isinstance(value, list):
        return [_drop_empty(inner) for inner in value]
    return value


def _broken(place: str, why: str) -> PocketrefError:
    shown = clip_text(place, 120)
    sentence = tell("{shown} is not as it was published: {why}", shown=shown, why=clip_text(why, 240))
    return refusal("edition-broken", sentence, tell("publish it again"), Location(shown))


def list_past(
    library: Library, content: Path, problems: ProblemLog | None = None, kept: KeptFiles | None = None
) -> tuple[Library, ...]:
    """The editions stored under content/past, by the day they held from, the newest last.

    An edition of the library's own mark, or that holds from a later day, is no past one. `problems` takes a
    warning for each file that is not named by the edition it keeps, and an error for each that a bulletin corrects
    and that is not kept. PocketrefError as `read_source` for one that keeps none. Files `kept` are read anew if
    they changed.
    """
    edition = library.edition
    is_stored = content.suffix == STORED
    folder = content.parent if is_stored else content / PAST
    found: list[Library] = []
    for path in sorted(folder.glob(f"*{STORED}")):
        shown = path.name if is_stored else f"{content.name or content.resolve().name}/{PAST}/{path.name}"
        found.append(_take_past(path, shown, kept) if kept else _read_past(path, shown))
        name = found[-1].edition.mark
        if problems is not None:
            problems.extend(found[-1].warnings)
        if problems is not None and not is_stored and path.stem != name:
            sentence = tell("{shown} keeps the edition {name}", shown=shown, name=name)
            hint = tell(
                "a past edition's file is named by its edition: rename it to {name}{stored}",
                name=name,
                stored=STORED,
            )
            problems.warn("past-name", sentence, hint, Location(shown))
    past = [
        each for each in found if each.edition.mark != edition.mark and each.edition.starts < edition.starts
    ]
    if problems is not None:
        _check_kept(edition, {each.edition.mark for each in past}, shorten_path(folder), problems)
    return tuple(sorted(past, key=lambda each: each.edition.starts))


def _check_kept(edition: EditionModel, kept: Collection[str], folder: Path, problems: ProblemLog) -> None:
    """Note each edition that a bulletin corrects and whose source is not kept: nothing tells what it changed."""
    for before, bulletin in zip(edition.list_marks(), edition.bulletins, strict=False):
        if before not in kept:
            sentence = tell(
                "bulletin {number} corrects edition {before}, which is not kept in {folder}",
                number=bulletin.number,
                before=before,
                folder=folder,
            )
            hint = tell(
                "keep it as it was published: mkdir -p {folder} && cp out/{before}/{source} "
                "{folder2}{stored}",
                folder=folder,
                before=before,
                source=SOURCE,
                folder2=folder / before,
                stored=STORED,
            )
            problems.error("bulletin-past", sentence, hint, bulletin.location or edition.location)


def shorten_path(path: Path) -> Path:
    """The path from where the user stands, where it leads down from there."""
    here = Path.cwd()
    return path.relative_to(here) if path.is_absolute() and path.is_relative_to(here) else path


def _take_past(path: Path, shown: str, kept: KeptFiles) -> Library:
    try:
        content = path.read_bytes()
    except OSError:  # why, is told where it is read
        return _read_past(path, shown)
    return kept.take(path, Library, content, ProblemLog(), lambda *_: _read_past(path, shown))


def _read_past(path: Path, shown: str) -> Library:
    """A past edition's source; the remedy for a broken one is another copy, as it can't be published again."""
    try:
        return read_source(path, shown)
    except PocketrefError as error:
        (found,) = error.problems
        if found.code in ("edition-earlier", "edition-later"):
            raise
        hint = tell("copy the source.json of that published edition here again, or take this file out")
        raise PocketrefError([replace(found, hint=hint, where=found.where or Location(shown))]) from None
