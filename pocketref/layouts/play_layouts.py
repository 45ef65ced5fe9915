"""The training sheets that a layouts folder asks for, with their references resolved."""

from __future__ import annotations

from collections.abc import Mapping
from pathlib import Path

from pocketref.layouts.for_levels import check_levels_alike, expand_layouts
from pocketref.layouts.layout_library import Layouts
from pocketref.layouts.references import check_level, check_paper, check_play
from pocketref.plays.computed_plays import read_computed_name
from pocketref.plays.plays import list_plays
from pocketref.problems import ProblemLog
from pocketref.source.library import Library
from pocketref.source.play_models import OWN_CODE, PlayModel, PlaySheetModel
from pocketref.source.references import keep_read
from pocketref.source.syntax.folder import FolderReader
from pocketref.source.syntax.kept_files import KeptFiles
from pocketref.words.terminal import tell

PLAY_SHEETS = "plays"
"""The folder of training sheets among the layouts."""


def read_play_sheets(
    folder: Path, library: Library, layouts: Layouts, kept: KeptFiles | None = None
) -> tuple[PlaySheetModel, ...]:
    """Every training sheet in a layouts folder, by name; raises PocketrefError with every problem.

    Files `kept` are read anew if they changed.
    """
    problems = ProblemLog()
    reader = FolderReader(folder, problems, kept)
    read = keep_read(reader.read_named(PLAY_SHEETS, PlaySheetModel, "sheet")).values()
    sheets = expand_layouts(read, library, layouts.house, problems)
    check_levels_alike(sheets, lambda sheet, log: _check_sheet(sheet, library, layouts, log), problems)
    problems.raise_errors()
    return tuple(sheets)


def _check_sheet(sheet: PlaySheetModel, library: Library, layouts: Layouts, problems: ProblemLog) -> None:
    check_paper(sheet, layouts.stocks, problems)
    check_level(sheet, library, problems)
    for index, name in enumerate(sheet.cover):
        problems.need(name, (OWN_CODE, *library.codes), "code", sheet.locate("cover", index))
    for index, name in enumerate(sheet.subjects):
        problems.need(name, library.subjects, "subject", sheet.locate("subjects", index))
    cases = {case.name: case.model for case in list_plays(library)}
    tags = {tag for play in cases.values() for tag in play.tags}
    for index, name in enumerate(sheet.tags):
        problems.need(name, tags, "tag", sheet.locate("tags", index))
    _check_named(sheet, cases, library, problems)
    chooses = [key for key in ("subjects", "tags", "cover", "fill", "series") if getattr(sheet, key)]
    chooses += sheet.model_fields_set & {"plays"}
    others = [*(["cases"] if sheet.cases and sheet.weeks else []), *chooses]
    if sheet.named and others:
        named = "weeks" if sheet.weeks else "cases"
        sentence = tell(
            "'{others}' chooses plays, and '{named}' names them already", others=others[0], named=named
        )
        problems.error(
            "play-sheet-mixed", sentence, tell("take one of them out"), sheet.locate_key(others[0])
        )


def _check_named(
    sheet: PlaySheetModel, cases: Mapping[str, PlayModel], library: Library, problems: ProblemLog
) -> None:
    """Note each play named that there is not, that the sheet's code does not rule on, or that is named twice."""
    seen: set[str] = set()
    for week, names in enumerate(sheet.named):
        for index, name in enumerate(names):
            where = sheet.locate_case(week, index)
            if name in seen:
                problems.error(
                    "name-repeated",
                    tell("'{name}' stands twice in the list", name=name),
                    tell("keep one"),
                    where,
                )
            seen.add(name)
            if name in cases or read_computed_name(name, sheet.code, library) is None:
                check_play(name, sheet.code, cases, problems, where)
