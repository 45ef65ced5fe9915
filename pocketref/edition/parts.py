"""The parts of an edition that have a layout each: cards, sheets, training sheets and classes, chosen by name."""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass
from pathlib import PurePosixPath

from pocketref.layouts.class_layouts import CLASSES
from pocketref.layouts.layout_library import Layouts
from pocketref.layouts.play_layouts import PLAY_SHEETS
from pocketref.problems import ProblemLog
from pocketref.source.for_levels import ForLevelsModel
from pocketref.source.play_models import PlaySheetModel
from pocketref.words.terminal import tell

CARDS, SHEETS = "cards", "sheets"


@dataclass(frozen=True, slots=True, order=True)
class Part:
    """A card, sheet, training sheet or class: its folder, the same in layouts and editions, and its name."""

    folder: str
    name: str

    def __str__(self) -> str:
        return f"{self.folder}/{self.name}"


def list_parts(layouts: Layouts, sheets: Sequence[PlaySheetModel]) -> dict[Part, ForLevelsModel]:
    """Every part and its layout, in the order of the edition; a series is each of its sheets."""
    return {
        **{Part(CARDS, card.card): card for card in layouts.cards},
        **{Part(SHEETS, sheet.sheet): sheet for sheet in layouts.sheets},
        **{Part(PLAY_SHEETS, name): sheet for sheet in sheets for name in _list_sheet_names(sheet)},
        **{Part(CLASSES, each.class_): each for each in layouts.classes},
    }


def _list_sheet_names(sheet: PlaySheetModel) -> list[str]:
    weeks = sheet.series.weeks if sheet.series else len(sheet.weeks)
    return [f"{sheet.sheet}-{week:02d}" for week in range(1, weeks + 1)] or [sheet.sheet]


def choose_parts(names: Sequence[str], layouts: Layouts, sheets: Sequence[PlaySheetModel]) -> frozenset[Part]:
    """The parts called by these names, of whatever folder; a layout's name is all that is made of it.

    So is the name of its file, with the week of a series after it; both are of all levels that it is laid out for. The
    folder may stand before a name (cards/contact), as it does in the path of a layout. PocketrefError
    ("part-unknown") with the closest match of each name that is none.
    """
    known: dict[Part, set[Part]] = {}
    for part, layout in list_parts(layouts, sheets).items():
        file = PurePosixPath(layout.location.file).stem if layout.location else ""
        week = part.name.removeprefix(layout.name)
        called_so = {part.name, layout.name, file, f"{file}{week}"}
        for called in (Part(part.folder, name) for name in called_so):
            known.setdefault(called, set()).add(part)
    problems = ProblemLog()
    found: set[Part] = set()
    for name in names:
        path = PurePosixPath(name.replace("\\", "/"))
        folder, stem = path.parent.name, path.name.removesuffix(".yaml")
        meant = [made for part, made in known.items() if part.name == stem and folder in ("", part.folder)]
        if not meant:
            shown = [str(part) if folder else part.name for part in known]
            problems.unknown("part-unknown", tell("nothing is called '{name}'", name=name), name, shown, None)
        found.update(*meant)
    problems.raise_errors()
    return frozenset(found)
