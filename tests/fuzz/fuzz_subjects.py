"""What spoilt files are fed to: each subject makes a mutant and feeds it to the reader that would meet it."""

from __future__ import annotations

from collections import Counter
from collections.abc import Mapping, Sequence
from dataclasses import replace
from pathlib import Path
from random import Random
from typing import Any, Protocol

from record_subjects import AnswersSubject, EditionSubject, ReadingsSubject, RosterSubject, SheetSubject
from refusals import BadRefusalError, collect
from source_folders import FIXTURES
from source_mutations import Mutant, adjust, mutate
from source_pieces import read_samples

from pocketref.edition.play_proof import prove_plays
from pocketref.edition.press import PressRun
from pocketref.edition.proof import _audit_tables, prove
from pocketref.layouts.cards import lay_out_card, lay_out_sheet
from pocketref.layouts.layout_library import Layouts, read_layouts
from pocketref.layouts.layout_models import CardModel
from pocketref.layouts.play_layouts import read_play_sheets
from pocketref.problems import PocketrefError, Problem, ProblemLog
from pocketref.publish.build import build_edition, check_edition
from pocketref.source.library import Library, read_library
from pocketref.source.syntax.folder import FolderReader

ROOT = Path(__file__).parents[2]


def seeded(seed: int, number: int) -> Random:
    """What all of a mutant follows from."""
    return Random(f"{seed} {number}")  # no secret


class Subject(Protocol):
    """Makes mutants and feeds them; `notes` counts what was done with them."""

    notes: Counter[str]

    def make(self, rng: Random) -> Mutant:
        """The next mutant."""

    def feed(self, mutant: Mutant, number: int) -> tuple[Problem, ...]:
        """What the reader refuses; anything else raises."""


class CachedReading:
    """Lets FolderReader read each file that is not spoilt once, as it would read the same again each time."""

    def __init__(self) -> None:
        self.spoilt = Path()
        self._read = FolderReader.read
        self._known: dict[Path, Any] = {}

    def install(self) -> None:
        """Take FolderReader's place."""
        cached = self

        def read(reader: Any, inner: str, model: Any) -> Any:
            path = reader._folder / inner
            if path == cached.spoilt:
                return cached._read(reader, inner, model)
            if path not in cached._known:
                cached._known[path] = cached._read(reader, inner, model)
            return cached._known[path]

        FolderReader.read = read  # type: ignore[method-assign]  # the point of it


def load_files(root: Path, *folders: str) -> dict[str, str]:
    """Texts of all YAML files by name."""
    return {
        path.relative_to(root).as_posix(): path.read_text(encoding="utf-8")
        for folder in folders
        for path in sorted((root / folder).rglob("*.yaml"))
    }


def write_files(root: Path, files: Mapping[str, str]) -> None:
    """Put texts into a folder."""
    for name, text in files.items():
        (root / name).parent.mkdir(parents=True, exist_ok=True)
        (root / name).write_text(text, encoding="utf-8")


class SourceSubject:
    """A folder of content and layouts, of which one file at a time is spoilt.

    The `sources` take turns. Each is read whole; every `prove_every`-th that reads well is also proven, but of
    the starter set one face is laid out, as the whole takes seconds. `only` is what names of files start with
    that are spoilt, `adjusted` the share whose values are changed and no more.
    """

    def __init__(
        self,
        folder: Path,
        only: str = "",
        prove_every: int = 25,
        adjusted: float = 0.1,
        sources: Sequence[Path] = (ROOT, FIXTURES),
    ) -> None:
        self.notes: Counter[str] = Counter()
        self._sources, self._prove_every, self._adjusted = sources, prove_every, adjusted
        self._roots, self._files, self._samples = [], [], []
        for number, source in enumerate(sources):
            self._roots.append(folder / str(number))
            files = load_files(source, "content", "layouts")
            self._files.append({name: text.encode() for name, text in files.items()})
            self._samples.append(read_samples({n: t for n, t in files.items() if n.startswith(only)}))
            write_files(self._roots[number], files)
        self._cache = CachedReading()

    def keep_reading(self) -> None:
        """From now on read what is not spoilt once for all."""
        self._cache.install()

    def make(self, rng: Random) -> Mutant:
        """A mutant of a folder: its name starts with the folder's number."""
        number = rng.randrange(len(self._sources))
        spoil = adjust if rng.random() < self._adjusted else mutate
        mutant = spoil(rng, self._samples[number])
        return Mutant(f"{number}/{mutant.name}", mutant.data, mutant.how)

    def feed(self, mutant: Mutant, number: int) -> tuple[Problem, ...]:
        """Read everything around the mutant, and prove what reads well now and then."""
        which, _, name = mutant.name.partition("/")
        root = self._roots[int(which)]
        path = self._cache.spoilt = root / name
        path.write_bytes(mutant.data)
        try:
            problems = collect(lambda: self._read(root))
            self.notes["read"] += 1
            if problems or number % self._prove_every:
                return problems
            if self._sources[int(which)] == FIXTURES:
                self.notes["proven"] += 1
                return collect(lambda: self._build(root))
            self.notes["laid out"] += 1
            return collect(lambda: self._lay_out(root, name, Random(number)))
        finally:
            path.write_bytes(self._files[int(which)][name])

    def _read(self, root: Path) -> tuple[Library, Layouts]:
        library = read_library(root / "content")
        layouts = read_layouts(root / "layouts", library)
        read_play_sheets(root / "layouts", library, layouts)
        return library, layouts

    def _build(self, root: Path) -> None:
        """What is proven must be built."""
        proof = prove(root / "content", root / "layouts")
        check_edition(proof, PressRun())
        self.notes["built"] += 1
        try:
            list(build_edition(proof))
        except PocketrefError as error:
            raise BadRefusalError("proven, but not built") from error

    def _lay_out(self, root: Path, name: str, rng: Random) -> None:
        """The face that was spoilt, or any; tables are audited, plays ruled on, where they were spoilt."""
        library, layouts = self._read(root)
        problems = ProblemLog()
        if name.startswith("content/rulings"):
            _audit_tables(library, problems)
            problems.raise_errors()
        is_common = name in ("layouts/stocks.yaml", "layouts/styles.yaml") or name.startswith(
            "content/fields"
        )
        if "/plays/" in name or (is_common and rng.random() < 0.5):
            prove_plays(library, layouts, root / "layouts", problems)
            problems.raise_errors()
            return
        faces = (*layouts.cards, *layouts.sheets)
        spoilt = [f for f in faces if f.location and f.location.file == name]
        face = rng.choice(spoilt or faces)
        try:
            if isinstance(face, CardModel):
                lay_out_card(face, library, layouts)
            else:
                lay_out_sheet(face, library, layouts)
        except PocketrefError as error:  # as a proof does
            problems.extend(p if p.where else replace(p, where=face.location) for p in error.problems)
        problems.raise_errors()


def make_subject(kind: str, folder: Path) -> Subject:
    """What a kind of mutants is fed to, working in a folder."""
    match kind:
        case "readings":
            return ReadingsSubject(folder)
        case "answers":
            return AnswersSubject(folder)
        case "rosters":
            return RosterSubject(folder)
        case "pdf":
            return SheetSubject(folder)
        case "editions":
            return EditionSubject(folder)
        case "layouts":
            subject = SourceSubject(folder, "layouts", 1, 0.7)
        case "figures":
            subject = SourceSubject(folder, "content", 1, 0.9)
        case _:
            subject = SourceSubject(folder)
    subject.keep_reading()
    return subject


KINDS = ("source", "layouts", "figures", "readings", "answers", "rosters", "pdf", "editions")
