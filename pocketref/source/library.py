"""A content folder read whole: every file validated, every reference resolved, every problem told at once."""

from __future__ import annotations

from collections.abc import Mapping
from dataclasses import dataclass, field
from pathlib import Path
from typing import TypeVar

from pocketref.problems import Location, Problem, ProblemLog
from pocketref.source.edition_models import CodeModel, CodesModel, EditionModel, WorkModel, WorksModel
from pocketref.source.field_models import FieldModel
from pocketref.source.play_models import PlaysModel
from pocketref.source.play_references import check_plays
from pocketref.source.references import ReadContent, check_references
from pocketref.source.ruling_models import SubjectModel, TableModel
from pocketref.source.syntax.folder import FolderReader
from pocketref.source.syntax.kinds import Confidence
from pocketref.source.syntax.located import SourceModel
from pocketref.source.text_models import CautionModel, MechanicsModel, TextModel

M = TypeVar("M", bound=SourceModel)

SUBJECTS = "subjects"
"""The folder under rulings that holds the facts; every other is named by a code."""


@dataclass(frozen=True, slots=True)
class Library:
    """What a content folder says.

    `fields` are keyed by "<code>-<level>", `rulings` by (code, subject). `warnings` stop nothing.
    """

    works: Mapping[str, WorkModel]
    codes: Mapping[str, CodeModel]
    edition: EditionModel
    fields: Mapping[str, FieldModel]
    subjects: Mapping[str, SubjectModel]
    rulings: Mapping[tuple[str, str], TableModel]
    texts: Mapping[str, TextModel]
    """By where they are: "mechanics/<file>/<text>"."""
    cautions: Mapping[str, CautionModel]
    warnings: tuple[Problem, ...] = ()
    plays: Mapping[str, PlaysModel] = field(default_factory=dict)
    """Case plays by the name of their file."""

    def list_models(self) -> list[SourceModel]:
        """Everything that was read, what faces print most of first."""
        return [
            *self.texts.values(),
            *self.cautions.values(),
            *self.rulings.values(),
            *self.subjects.values(),
            *self.fields.values(),
            *self.codes.values(),
            *self.works.values(),
            *self.plays.values(),
            self.edition,
        ]


@dataclass(frozen=True, slots=True)
class ConfidenceNote:
    """How sure one statement is: a dimension, a tolerance, a row of a table, a text or a caution."""

    confidence: Confidence
    what: str
    where: Location | None


def read_library(content: Path) -> Library:
    """Everything in a content folder; raises PocketrefError with every problem of every file.

    Files are named in messages from the folder's own name on, whatever the working directory.
    """
    problems = ProblemLog()
    reader = FolderReader(content, problems)
    reader.require("give the folder that holds edition.yaml and works.yaml")
    works = reader.read("works.yaml", WorksModel)
    codes = reader.read("codes.yaml", CodesModel)
    read = ReadContent(
        works=works.works if works else None,
        codes=codes.codes if codes else None,
        edition=reader.read("edition.yaml", EditionModel),
        fields=_read_fields(reader, problems),
        subjects=_read_named(reader, f"rulings/{SUBJECTS}", SubjectModel, "subject", problems),
        rulings=_read_rulings(reader, problems),
        mechanics=_read_named(reader, "mechanics", MechanicsModel, "mechanics", problems),
        cautions=_read_named(reader, "cautions", CautionModel, "caution", problems),
    )
    plays = _read_named(reader, "plays", PlaysModel, "plays", problems)
    check_references(read, problems)
    check_plays(plays, read.subjects, read.rulings, read.cautions, problems)
    problems.raise_errors()
    # Nothing is None any more: whatever could not be read has raised.
    return Library(
        works=read.works or {},
        codes=read.codes or {},
        edition=_need(read.edition),
        fields={key: _need(value) for key, value in read.fields.items()},
        subjects={key: _need(value) for key, value in read.subjects.items()},
        rulings={key: _need(value) for key, value in read.rulings.items()},
        texts={
            f"mechanics/{name}/{text_name}": text
            for name, model in read.mechanics.items()
            for text_name, text in _need(model).texts.items()
        },
        cautions={key: _need(value) for key, value in read.cautions.items()},
        warnings=tuple(problems.problems),
        plays={key: _need(value) for key, value in plays.items()},
    )


def list_confidence(library: Library) -> tuple[ConfidenceNote, ...]:
    """How sure each dimension, tolerance, row, text and caution is, in the order of the files."""
    notes = []
    for key, level in library.fields.items():
        for name, dimension in (*level.dimensions.items(), *level.tolerances.items()):
            notes.append(ConfidenceNote(dimension.confidence, f"{key}: {name}", dimension.location))
    for (code, subject), table in library.rulings.items():
        for number, row in enumerate(table.rows, start=1):
            what = f"{code}, {subject}: row {number}, {row.ruling}"
            notes.append(ConfidenceNote(row.confidence, what, row.location))
    notes += [ConfidenceNote(text.confidence, name, text.location) for name, text in library.texts.items()]
    for name, caution in library.cautions.items():
        notes.append(ConfidenceNote(caution.confidence, f"cautions/{name}", caution.location))
    return tuple(notes)


def _need(model: M | None) -> M:
    if model is None:
        raise AssertionError("a file without a model must have raised")
    return model


def _read_fields(reader: FolderReader, problems: ProblemLog) -> dict[str, FieldModel | None]:
    fields: dict[str, FieldModel | None] = {}
    for stem in reader.list_files("fields"):
        model = fields[stem] = reader.read(f"fields/{stem}.yaml", FieldModel)
        if model is not None and model.key != stem:
            sentence = f"the file is called '{stem}', but its code and level make '{model.key}'"
            problems.error(
                "name-mismatch", sentence, "rename the file, or mend 'code' or 'level'", model.locate("level")
            )
    return fields


def _read_named(
    reader: FolderReader, folder: str, kind: type[M], key: str, problems: ProblemLog
) -> dict[str, M | None]:
    """The files of a folder, each of which says under `key` what it is called."""
    files: dict[str, M | None] = {}
    for stem in reader.list_files(folder):
        model = files[stem] = reader.read(f"{folder}/{stem}.yaml", kind)
        if model is not None:
            _check_name("file", stem, model, key, problems)
    return files


def _read_rulings(reader: FolderReader, problems: ProblemLog) -> dict[tuple[str, str], TableModel | None]:
    for stem in reader.list_files("rulings"):
        shown = reader.show(f"rulings/{stem}.yaml")
        hint = "move it into a code's folder, such as rulings/high-school"
        problems.error("file-name", f"{shown} is in no code's folder", hint, Location(shown))
    tables: dict[tuple[str, str], TableModel | None] = {}
    for code in reader.list_folders("rulings"):
        for stem in reader.list_files(f"rulings/{code}") if code != SUBJECTS else ():
            model = tables[code, stem] = reader.read(f"rulings/{code}/{stem}.yaml", TableModel)
            if model is not None:
                _check_name("file", stem, model, "subject", problems)
                _check_name("folder", code, model, "code", problems)
    return tables


def _check_name(what: str, name: str, model: SourceModel, key: str, problems: ProblemLog) -> None:
    """What a file or its folder is called must be what the file says it is about."""
    said = getattr(model, key)
    if said != name:
        sentence = f"the {what} is called '{name}', but its '{key}' is '{said}'"
        problems.error(
            "name-mismatch", sentence, f"write '{key}: {name}', or rename the {what}", model.locate(key)
        )
