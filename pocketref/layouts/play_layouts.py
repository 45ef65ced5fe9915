"""The training sheets that a layouts folder asks for, with their references resolved."""

from __future__ import annotations

from collections.abc import Collection, Mapping
from pathlib import Path

from pocketref.layouts.layout_library import Layouts
from pocketref.plays.computed_plays import read_computed_name
from pocketref.problems import Location, ProblemLog, suggest_match
from pocketref.source.library import Library
from pocketref.source.play_models import PlayModel, PlaySheetModel
from pocketref.source.syntax.folder import FolderReader

PLAY_SHEETS = "plays"
"""The folder of training sheets among the layouts."""


def read_play_sheets(folder: Path, library: Library, layouts: Layouts) -> tuple[PlaySheetModel, ...]:
    """Every training sheet in a layouts folder, by name; raises PocketrefError with every problem."""
    problems = ProblemLog()
    reader = FolderReader(folder, problems)
    sheets = []
    for stem in reader.list_files(PLAY_SHEETS):
        sheet = reader.read(f"{PLAY_SHEETS}/{stem}.yaml", PlaySheetModel)
        if sheet is None:
            continue
        if sheet.sheet != stem:
            sentence = f"the file is called '{stem}', but its 'sheet' is '{sheet.sheet}'"
            problems.error("name-mismatch", sentence, f"write 'sheet: {stem}'", sheet.locate("sheet"))
        _check_sheet(sheet, library, layouts, problems)
        sheets.append(sheet)
    problems.raise_errors()
    return tuple(sheets)


def _check_sheet(sheet: PlaySheetModel, library: Library, layouts: Layouts, problems: ProblemLog) -> None:
    def need(name: str, known: Collection[str], what: str, where: Location | None) -> None:
        if name not in known:
            hint = suggest_match(name, known)
            problems.error(f"{what}-unknown", f"there is no {what} '{name}'", hint, where)

    papers = [name for name, stock in layouts.stocks.items() if stock.kind == "paper"]
    need(sheet.stock, papers, "paper", sheet.locate("stock"))
    need(sheet.code, library.codes, "code", sheet.locate("code"))
    levels = [field.level for field in library.fields.values() if field.code == sheet.code]
    if sheet.code in library.codes:
        need(sheet.level, levels, "level", sheet.locate("level"))
    for index, name in enumerate(sheet.cover):
        need(name, library.codes, "code", sheet.locate("cover", index))
    for index, name in enumerate(sheet.subjects):
        need(name, library.subjects, "subject", sheet.locate("subjects", index))
    cases = {
        f"{file}/{name}": play for file, all_ in library.plays.items() for name, play in all_.cases.items()
    }
    tags = {tag for play in cases.values() for tag in play.tags}
    for index, name in enumerate(sheet.tags):
        need(name, tags, "tag", sheet.locate("tags", index))
    _check_named(sheet, cases, library, problems)
    chooses = [key for key in ("subjects", "tags", "cover", "fill", "series") if getattr(sheet, key)]
    chooses += sheet.model_fields_set & {"plays"}
    others = [*(["cases"] if sheet.cases and sheet.weeks else []), *chooses]
    if sheet.named and others:
        named = "weeks" if sheet.weeks else "cases"
        sentence = f"'{others[0]}' chooses plays, and '{named}' names them already"
        problems.error("play-sheet-mixed", sentence, "take one of them out", sheet.locate_key(others[0]))


def _check_named(
    sheet: PlaySheetModel, cases: Mapping[str, PlayModel], library: Library, problems: ProblemLog
) -> None:
    """Note each play named that there is not, that the sheet's code does not rule on, or that is named twice."""
    seen: set[str] = set()
    for week, names in enumerate(sheet.named):
        for index, name in enumerate(names):
            where = sheet.locate_case(week, index)
            if name in seen:
                problems.error("name-repeated", f"'{name}' stands twice in the list", "keep one", where)
            seen.add(name)
            if name in cases and sheet.code not in cases[name].expect:
                sentence = f"'{name}' is not told for {sheet.code}"
                hint = f"give its ruling there: 'expect: {{{sheet.code}: ...}}'"
                problems.error("play-not-told", sentence, hint, where)
            elif name not in cases and read_computed_name(name, sheet.code, library) is None:
                problems.error(
                    "play-unknown", f"there is no play '{name}'", suggest_match(name, cases), where
                )
