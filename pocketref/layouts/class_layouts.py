"""The classes that a layouts folder asks for, with their references resolved."""

from __future__ import annotations

from collections.abc import Iterator, Mapping

from pocketref.blocks.kinds import Blocks, walk_blocks
from pocketref.layouts.class_models import ClassModel, FacePartModel, PlaysPartModel
from pocketref.layouts.for_levels import check_levels_alike, expand_layouts
from pocketref.layouts.house import HouseModel
from pocketref.layouts.references import check_level, check_paper, check_play
from pocketref.pages.stock_models import StockModel
from pocketref.plays.plays import list_plays
from pocketref.problems import ProblemLog
from pocketref.source.library import Library
from pocketref.source.references import check_repeats, keep_read
from pocketref.source.syntax.folder import FolderReader

CLASSES = "classes"
"""The folder of classes among the layouts."""


def read_classes(
    reader: FolderReader,
    library: Library,
    stocks: Mapping[str, StockModel] | None,
    house: HouseModel,
    problems: ProblemLog,
) -> tuple[ClassModel, ...]:
    """Every class in a layouts folder, by name; what is wrong is noted."""
    read = keep_read(reader.read_named(CLASSES, ClassModel, "class_")).values()
    classes = expand_layouts(read, library, house, problems)
    check_levels_alike(classes, lambda model, log: _check_class(model, library, stocks, log), problems)
    return tuple(classes)


def list_faces(model: ClassModel) -> Iterator[Blocks]:
    """The blocks of each slide that is asked for by its blocks."""
    yield from (part.blocks for part in model.parts if isinstance(part, FacePartModel))


def _check_class(
    model: ClassModel, library: Library, stocks: Mapping[str, StockModel] | None, problems: ProblemLog
) -> None:
    if stocks is not None:
        check_paper(model, stocks, problems)
    check_level(model, library, problems)
    if model.code not in library.codes:
        return
    for part in model.parts:
        part.check(model.code, library, problems)
        if isinstance(part, PlaysPartModel):
            _check_plays(part, model.code, library, problems)
    for block in (block for face in list_faces(model) for block in walk_blocks(face)):
        block.check(model.code, library, problems)


def _check_plays(part: PlaysPartModel, code: str, library: Library, problems: ProblemLog) -> None:
    cases = {case.name: case.model for case in list_plays(library)}
    for index, name in enumerate(part.cases):
        check_play(name, code, cases, problems, part.locate("cases", index))
    check_repeats(part.cases, problems, part, "cases")
