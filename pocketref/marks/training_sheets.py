"""What answers are marked by: the plays of a content folder, ruled on, and the training sheets that ask them."""

from __future__ import annotations

from collections.abc import Collection
from dataclasses import dataclass
from pathlib import Path

from pocketref.edition.play_proof import make_sheets
from pocketref.layouts.layout_library import Layouts, read_papers
from pocketref.layouts.play_layouts import read_play_sheets
from pocketref.layouts.play_sheets import PlaySheet
from pocketref.plays.plays import CasePlay, RuleBooks, RuledPlay, list_plays, rule_on_all
from pocketref.problems import ProblemLog, refusal, suggest_match, write_unknown
from pocketref.source.library import read_library
from pocketref.source.play_models import PlaySheetModel
from pocketref.words.terminal import tell


@dataclass(frozen=True, slots=True)
class Training:
    """Plays in the order of the content, ruled on by the codes that sheets ask for, and every sheet of the layouts."""

    books: RuleBooks
    layouts: Layouts
    cases: tuple[CasePlay, ...]
    ruled: tuple[RuledPlay, ...]
    models: tuple[PlaySheetModel, ...]
    sheets: tuple[PlaySheet, ...]

    def find_sheets(self, name: str) -> list[PlaySheet]:
        """The sheet of a name, or all of the series whose layout has it; PocketrefError ("sheet-unknown") for none."""
        found = [sheet for sheet in self.sheets if name in (sheet.name, sheet.model.sheet)]
        if not found:
            known = {name for sheet in self.sheets for name in (sheet.name, sheet.model.sheet)}
            raise refusal(
                "sheet-unknown",
                write_unknown("training sheet", name),
                suggest_match(name, known),
            )
        return found

    def list_used(self, names: Collection[str]) -> set[str]:
        """The plays of the sheets or series with these names, by the plays' names."""
        sheets = (sheet for name in names for sheet in self.find_sheets(name))
        return {question.ruled.case.name for sheet in sheets for question in sheet.questions}


def read_training(content: Path, layouts: Path) -> Training:
    """Read, rule by the codes that sheets ask for, and choose, as a proof does.

    PocketrefError with all that is wrong.
    """
    library, papers = read_library(content), read_papers(layouts)
    models = read_play_sheets(layouts, library, papers)
    books, problems, cases = RuleBooks(library), ProblemLog(), list_plays(library)
    asked = {code for model in models for code in (model.code, *model.cover)}
    ruled = rule_on_all(books, cases, problems, asked)
    problems.raise_errors()
    sheets = tuple(sheet for model in models for sheet in make_sheets(model, books, cases, ruled))
    if not sheets:
        hint = tell("add one under plays/ there")
        raise refusal("sheet-unknown", tell("{layouts} has no training sheet", layouts=layouts), hint)
    return Training(books, papers, cases, ruled, models, sheets)
