"""Looks at a source again and again: what is on screen is drawn first, then all else is proved, until the next save."""

from __future__ import annotations

import gc
from collections.abc import Iterator, Sequence
from dataclasses import replace
from pathlib import Path
from threading import Condition
from typing import Any

from pocketref.edition.parts import CARDS, Part, list_parts
from pocketref.edition.proof import find_listed_faces, lay_out_model, prove_training, prove_whole
from pocketref.edition.whole_source import WholeSource, read_whole_source, translate_source
from pocketref.layouts.answer_sheets import lay_out_answers
from pocketref.layouts.cards import LaidOut
from pocketref.layouts.class_layouts import CLASSES
from pocketref.layouts.layout_models import CardModel, SheetModel
from pocketref.layouts.play_layouts import PLAY_SHEETS, read_play_sheets
from pocketref.layouts.play_sheets import lay_out_key, lay_out_questions
from pocketref.look.keeper import Keeper, SupersededError
from pocketref.look.kept_language import KeptLanguage
from pocketref.look.looked_at import Drawn, Face, make_face, record_problem, write_title
from pocketref.pages.page import say_name
from pocketref.problems import PocketrefError, Problem, ProblemLog, Severity
from pocketref.publish.build import build_drawings
from pocketref.source.for_levels import ForLevelsModel
from pocketref.source.library import Library
from pocketref.source.syntax.kept_files import KeptFiles
from pocketref.source.translation import translate_model
from pocketref.words.speech import speak

MOST_VIEWERS = 32
"""Tabs that may be open at once: each holds a thread."""
_COLLECT_EVERY = 8
"""So many saves are looked at before what they left is cleared away, which takes longer than to lay out a card."""


class Session:
    """One source and what is looked at of it. `run` works in a thread of its own; all else may be called by any."""

    def __init__(self, content: Path, layouts: Path, stock: str = "", language: str = "") -> None:
        """Faces are in a language by its folder's name; PocketrefError for one that there is no catalogue of."""
        self._folders = (content, layouts, stock)
        self._words = KeptLanguage(language, content)
        self._language = self._words.read()
        self._files = KeptFiles()
        self._keeper = Keeper(self._is_superseded)
        self._condition = Condition()
        self._watched: dict[object, str] = {}
        self._written: WholeSource | None = None
        self._source: WholeSource | None = None
        """What was read, and the same in the language of the faces."""
        self._parts: dict[Part, ForLevelsModel] = {}
        self._drawn: dict[Part, Drawn] = {}
        self._laid_out: dict[Part, tuple[LaidOut, ...]] = {}
        self._problems: tuple[Problem, ...] = ()
        self._has_changed, self._is_proved, self._is_stopped = True, False, False
        self._is_broken = self._is_proving = False
        self._number = 0
        self._saves = 0

    # --- asked by the page -----------------------------------------------------------------------------

    def watch(self, viewer: object, name: str) -> bool:
        """Be told the name of what a viewer looks at, the first part for an empty one; it is drawn before all else.

        False if there are too many viewers.
        """
        with self._condition:
            if len(self._watched) >= MOST_VIEWERS:
                return False
            self._watched[viewer] = name
            self._condition.notify_all()
            return True

    def leave(self, viewer: object) -> None:
        """A viewer looks no more."""
        with self._condition:
            self._watched.pop(viewer, None)

    def wait_for_news(self, seen: int, timeout_s: float) -> int:
        """The number of the latest state, once it is another than the one `seen`, or the time is over."""
        with self._condition:
            self._condition.wait_for(lambda: self._number != seen or self._is_stopped, timeout_s)
            return self._number

    @property
    def is_stopped(self) -> bool:
        """Whether no more will be drawn."""
        return self._is_stopped

    def find_face(self, digest: str) -> bytes | None:
        """A face by its digest."""
        with self._condition:
            faces = (face for drawn in self._drawn.values() for face in drawn.faces)
            return next((face.svg for face in faces if face.digest == digest), None)

    def record(self, name: str) -> dict[str, object]:
        """The state as the page shows it to who looks at the part of a name, or at the first."""
        with self._condition:
            part = self._find_part(name)
            drawn = self._drawn.get(part, Drawn()) if part else Drawn()
            others = [each for each in self._problems if each not in drawn.problems]
            files = {
                each.where.file for each in self._problems if each.where and each.severity is Severity.ERROR
            }
            faulty = {part for part, each in self._drawn.items() if _has_errors(each.problems)}
            faulty |= {
                part for part, each in self._parts.items() if each.location and each.location.file in files
            }
            layout = self._parts[part] if part else None
            file = layout.location.file if layout and layout.location else ""
            edition = self._source.library.edition if self._source else None
            return {
                "whose": f"{edition.association}, {edition.season}" if edition else "",
                "parts": [
                    {
                        "name": str(each),
                        "folder": each.folder,
                        "title": write_title(each, layout),
                        "faulty": each in faulty,
                    }
                    for each, layout in self._parts.items()
                ],
                "part": str(part) if part else "",
                "faces": [{"name": face.name, "digest": face.digest} for face in drawn.faces],
                "current": drawn.is_current and not self._is_broken,
                "broken": self._is_broken,
                "proved": self._is_proved,
                "saves": self._saves,
                "problems": [
                    *(record_problem(each, is_own=True) for each in drawn.problems),
                    *(record_problem(each, is_own=_is_at(each, file)) for each in others),
                ],
            }

    def _find_part(self, name: str) -> Part | None:
        """The part of a name such as cards/contact; the first of all for an empty one, None for one that is none."""
        return next((part for part in self._parts if not name or str(part) == name), None)

    # --- told by the watcher ---------------------------------------------------------------------------

    def note_change(self) -> None:
        """Be told that something was saved."""
        with self._condition:
            self._has_changed = True
            self._condition.notify_all()

    def stop(self) -> None:
        """End `run` and all that waits."""
        with self._condition:
            self._is_stopped = True
            self._condition.notify_all()

    # --- the work --------------------------------------------------------------------------------------

    def run(self) -> None:
        """Work until stopped."""
        try:
            while not self._is_stopped:
                with self._condition:
                    self._condition.wait_for(lambda: self._has_work() or not self._is_proved)
                gc.disable()  # rings of objects are looked for between saves
                try:
                    with speak(self._language):
                        self._take_step()
                except SupersededError:
                    continue
                finally:
                    gc.enable()
        finally:
            self.stop()

    def _has_work(self) -> bool:
        return self._has_changed or self._is_stopped or bool(self._list_undrawn())

    def _is_superseded(self) -> bool:
        """Whether the steps being taken are to stop: those of a proof also for what somebody now looks at."""
        return self._has_changed or self._is_stopped or (self._is_proving and bool(self._list_undrawn()))

    def _list_undrawn(self) -> list[Part]:
        if self._source is None:
            return []
        parts = map(self._find_part, list(self._watched.values()))
        return [
            part for part in dict.fromkeys(parts) if part and not self._drawn.get(part, Drawn()).is_current
        ]

    def _take_step(self) -> None:
        if self._is_stopped:
            return
        if self._has_changed:
            self._read()
        for part in self._list_undrawn():
            self._draw(part)
        if not self._is_proved:
            self._prove()

    def _tell(self, **changed: Any) -> None:
        """Set what changed, all at once, and wake who waits for it."""
        with self._condition:
            for name, value in changed.items():
                setattr(self, name, value)
            self._number += 1
            self._condition.notify_all()

    def _read(self) -> None:
        """Read what was saved; a source at fault leaves what is shown, and is told."""
        self._has_changed = False
        self._saves += 1
        try:
            language = self._words.read()
            written = source = read_whole_source(*self._folders, self._files)
            sheets = read_play_sheets(source.folder, source.library, source.layouts, self._files)
        except PocketrefError as error:
            self._tell(_problems=error.problems, _is_broken=True, _is_proved=True)
            return
        if language is not self._language:  # what is kept was made of other words
            self._language, self._keeper = language, Keeper(self._is_superseded)
        if language:
            source = translate_source(source, language)
            sheets = tuple(translate_model(sheet, language) for sheet in sheets)
        self._written = written
        parts = list_parts(source.layouts, sheets)
        stale = {part: replace(each, is_current=False) for part, each in self._drawn.items() if part in parts}
        self._tell(_source=source, _parts=parts, _drawn=stale, _is_broken=False, _is_proved=False)

    def _draw(self, part: Part) -> None:
        """Lay a part out and draw its faces; where that fails, those before stay."""
        source = self._source
        if source is None:
            return
        problems = ProblemLog()
        try:
            laid_out = tuple(self._lay_out(part, source, problems))
        except PocketrefError as error:
            problems.extend(each for each in error.problems if each not in problems.problems)
            laid_out = ()
        drawn = self._drawn.get(part, Drawn())
        known = self._laid_out.get(part, ())
        is_same = len(known) == len(laid_out) and all(a is b for a, b in zip(known, laid_out, strict=True))
        faces = drawn.faces if is_same or not laid_out else tuple(_draw_faces(laid_out))
        if laid_out:
            self._laid_out[part] = laid_out
        found = Drawn(faces, tuple(problems.problems), is_current=True)
        self._tell(_drawn={**self._drawn, part: found})

    def _lay_out(self, part: Part, source: WholeSource, problems: ProblemLog) -> Iterator[LaidOut]:
        keeper, looks = self._keeper, source.layouts
        if part.folder in (PLAY_SHEETS, CLASSES):
            yield from self._lay_out_taught(part, source, problems)
            return
        models: Sequence[CardModel | SheetModel] = looks.cards if part.folder == CARDS else looks.sheets
        (model,) = (each for each in models if each.name == part.name)
        placed = find_listed_faces(model, source, keeper) if isinstance(model, CardModel) else None
        found = lay_out_model(model, source, problems, keeper, placed)
        if found is not None:
            yield found

    def _lay_out_taught(self, part: Part, source: WholeSource, problems: ProblemLog) -> Iterator[LaidOut]:
        """A training sheet with its answer sheet and key, or a class's slides and notes."""
        looks = source.layouts
        plays, classes = prove_training(source, problems, self._keeper, with_classes=part.folder == CLASSES)
        for each in classes:
            if each.model.class_ == part.name:
                yield from (each.deck, each.notes)
        books, sheet = plays.books, next((each for each in plays.sheets if each.name == part.name), None)
        if part.folder == PLAY_SHEETS and sheet:

            def lay_out(_: Library) -> tuple[LaidOut, ...]:
                answers = lay_out_answers(sheet, books.library, looks)
                return lay_out_questions(sheet, books, looks), answers, lay_out_key(sheet, books, looks)

            made_of = (books, looks.house, looks.styles, looks.stocks)
            yield from self._keeper.make(str(part), source.library, made_of, lay_out)

    def _prove(self) -> None:
        """All checks; what they find is told once all are made."""
        if self._written is None:
            return
        self._is_proving = True
        try:
            problems = prove_whole(self._written, (), self._keeper).warnings
        except PocketrefError as error:
            problems = error.problems
        finally:
            self._is_proving = False
        self._tell(_problems=problems, _is_proved=True)
        if self._saves % _COLLECT_EVERY == 1:
            gc.unfreeze()
            gc.collect()
            gc.freeze()


def _is_at(problem: Problem, file: str) -> bool:
    return problem.where is not None and problem.where.file == file


def _has_errors(problems: Sequence[Problem]) -> bool:
    return any(problem.severity is Severity.ERROR for problem in problems)


def _draw_faces(laid_out: Sequence[LaidOut]) -> Iterator[Face]:
    for item in laid_out:
        drawings = build_drawings(item)
        for page, file in zip(item.document.pages, drawings, strict=True):
            yield make_face(say_name(page.name), file.data)
