"""A content folder read whole: every file validated, every reference resolved, every problem told at once."""

from __future__ import annotations

from collections.abc import Mapping
from dataclasses import dataclass, field, replace
from functools import cached_property
from pathlib import Path

from pocketref.problems import Location, Problem, ProblemLog
from pocketref.source.edition_models import CodeModel, CodesModel, EditionModel, WorkModel, WorksModel
from pocketref.source.field_models import FieldModel
from pocketref.source.play_models import PlaysModel
from pocketref.source.references import ReadContent, check_languages, check_references, keep_read
from pocketref.source.ruling_models import SubjectModel, TableModel
from pocketref.source.statements import (
    COMPARED,
    DOUBT,
    Cited,
    ComparedModel,
    ComparisonModel,
    Statement,
    check_comparisons,
    find_doubts,
    list_editions,
    list_statements,
)
from pocketref.source.syntax.folder import FolderReader
from pocketref.source.syntax.kept_files import KeptFiles
from pocketref.source.syntax.located import SourceModel
from pocketref.source.text_models import CautionModel, MechanicsModel, TextModel
from pocketref.words.catalogue import list_languages
from pocketref.words.terminal import tell

EDITION = "edition.yaml"
SUBJECTS = "subjects"
"""The folder under rulings that holds the facts; every other is named by a code."""


@dataclass(frozen=True, eq=False)  # each reading is itself, so that what follows from it can be kept by it
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
    compared: tuple[ComparisonModel, ...] = ()
    """What was compared with the books."""
    layouts: Mapping[str, SourceModel] = field(default_factory=dict)
    """What its cards and sheets are laid out as, by "cards/<name>"; none where only content is known."""

    @cached_property
    def editions(self) -> Mapping[str, str]:
        """The edition of each book that is in force, the association's own among them."""
        return list_editions(self.works, self.edition)

    @cached_property
    def statements(self) -> tuple[Statement, ...]:
        """All that is stated, in the order of the files."""
        return tuple(list_statements(self.fields, self.rulings, self.texts, self.cautions))

    @cached_property
    def doubts(self) -> tuple[Statement, ...]:
        """The statements that are from memory or inferred, and not compared with the books in force."""
        return tuple(find_doubts(self.statements, self.compared, self.editions))

    @cached_property
    def _doubted(self) -> frozenset[int]:
        # By identity, as equal figures may stand for different things, and only one of them be compared.
        return frozenset(id(statement.model) for statement in self.doubts)

    def mark_doubt(self, *cited: Cited) -> str:
        """The mark to set after words that rest on these statements of the library; "" if none is in doubt."""
        return DOUBT if any(id(each) in self._doubted for each in cited) else ""

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


def read_library(content: Path, kept: KeptFiles | None = None) -> Library:
    """Everything in a content folder; raises PocketrefError with every problem of every file.

    Files are named in messages from the folder's own name on, whatever the working directory. Those `kept` are read
    anew if they changed.
    """
    problems = ProblemLog()
    reader = FolderReader(content, problems, kept)
    reader.require(tell("give the folder that holds edition.yaml and works.yaml"))
    works = reader.read("works.yaml", WorksModel)
    codes = reader.read("codes.yaml", CodesModel)
    edition = _read_edition(reader, content, problems)
    fields = _read_fields(reader, problems)
    subjects = reader.read_named(f"rulings/{SUBJECTS}", SubjectModel, "subject")
    rulings = _read_rulings(reader, problems)
    mechanics = keep_read(reader.read_named("mechanics", MechanicsModel, "mechanics"))
    cautions = reader.read_named("cautions", CautionModel, "caution")
    plays = reader.read_named("plays", PlaysModel, "plays")
    compared = reader.read(COMPARED, ComparedModel) if reader.has(COMPARED) else None
    read = ReadContent(
        works=works.works if works else None,
        codes=codes.codes if codes else None,
        edition=edition,
        fields=fields,
        subjects=subjects,
        rulings=rulings,
        texts={
            f"mechanics/{file}/{name}": text
            for file, model in mechanics.items()
            for name, text in model.texts.items()
        },
        cautions=cautions,
        plays=plays,
        compared=compared.compared if compared else (),
    )
    return construct_library(read, problems)


def read_languages(content: Path) -> tuple[str, ...]:
    """The languages that a content folder's edition is printed in, its own first; none for English alone.

    None either where what names them is at fault, which reading the whole folder tells.
    """
    problems = ProblemLog()
    edition = _read_edition(FolderReader(content, problems), content, problems)
    return edition.languages if edition and not problems.errors else ()


def _read_edition(reader: FolderReader, content: Path, problems: ProblemLog) -> EditionModel | None:
    edition = reader.read(EDITION, EditionModel)
    if edition:
        check_languages(edition, list_languages(content), problems)
    return edition


def construct_library(read: ReadContent, problems: ProblemLog) -> Library:
    """The library of all that was read, warnings included; raises PocketrefError with every problem of it."""
    check_references(read, problems)
    problems.raise_errors()
    if read.edition is None:
        raise AssertionError("a file without a model must have raised")
    library = Library(
        works=read.works or {},
        codes=read.codes or {},
        edition=read.edition,
        fields=keep_read(read.fields),
        subjects=keep_read(read.subjects),
        rulings=keep_read(read.rulings),
        texts=read.texts,
        cautions=keep_read(read.cautions),
        plays=keep_read(read.plays),
        compared=read.compared,
    )
    check_comparisons(library.compared, library.statements, library.editions, problems)
    problems.raise_errors()
    return replace(library, warnings=tuple(problems.problems))


def _read_fields(reader: FolderReader, problems: ProblemLog) -> dict[str, FieldModel | None]:
    fields: dict[str, FieldModel | None] = {}
    for stem in reader.list_files("fields"):
        model = fields[stem] = reader.read(f"fields/{stem}.yaml", FieldModel)
        if model is not None and model.key != stem:
            sentence = tell(
                "the file is called '{stem}', but its code and level make '{key}'", stem=stem, key=model.key
            )
            hint = tell("rename the file, or mend 'code' or 'level'")
            problems.error("name-mismatch", sentence, hint, model.locate("level"))
    return fields


def _read_rulings(reader: FolderReader, problems: ProblemLog) -> dict[tuple[str, str], TableModel | None]:
    for stem in reader.list_files("rulings"):
        shown = reader.show(f"rulings/{stem}.yaml")
        hint = tell("move it into a code's folder, such as rulings/high-school")
        problems.error(
            "file-name", tell("{shown} is in no code's folder", shown=shown), hint, Location(shown)
        )
    tables: dict[tuple[str, str], TableModel | None] = {}
    for code in reader.list_folders("rulings"):
        if code == SUBJECTS:
            continue
        for stem, model in reader.read_named(f"rulings/{code}", TableModel, "subject").items():
            tables[code, stem] = model
            if model is not None:
                reader.check_name("folder", code, model, "code")
    return tables
