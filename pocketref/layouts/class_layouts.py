"""The classes that a layouts folder asks for, with their references resolved."""

from __future__ import annotations

from collections.abc import Iterator, Mapping

from pocketref.blocks.kinds import Blocks, walk_blocks
from pocketref.layouts.class_models import ClassModel, FacePartModel, PlaysPartModel
from pocketref.pages.stock_models import StockModel, suggest_stock
from pocketref.problems import ProblemLog, suggest_match
from pocketref.source.library import Library
from pocketref.source.references import check_repeats
from pocketref.source.syntax.folder import FolderReader

CLASSES = "classes"
"""The folder of classes among the layouts."""


def read_classes(
    reader: FolderReader, library: Library, stocks: Mapping[str, StockModel] | None, problems: ProblemLog
) -> tuple[ClassModel, ...]:
    """Every class in a layouts folder, by name; what is wrong is noted."""
    classes = []
    for stem in reader.list_files(CLASSES):
        model = reader.read(f"{CLASSES}/{stem}.yaml", ClassModel)
        if model is None:
            continue
        if model.class_ != stem:
            sentence = f"the file is called '{stem}', but its 'class' is '{model.class_}'"
            problems.error("name-mismatch", sentence, f"write 'class: {stem}'", model.locate("class"))
        _check_class(model, library, stocks, problems)
        classes.append(model)
    return tuple(classes)


def list_faces(model: ClassModel) -> Iterator[Blocks]:
    """The blocks of each slide that is asked for by its blocks."""
    yield from (part.blocks for part in model.parts if isinstance(part, FacePartModel))


def _check_class(
    model: ClassModel, library: Library, stocks: Mapping[str, StockModel] | None, problems: ProblemLog
) -> None:
    papers = {name: stock for name, stock in (stocks or {}).items() if stock.kind == "paper"}
    if stocks is not None and model.stock not in papers:
        hint = suggest_stock(model.stock, papers)
        problems.error("paper-unknown", f"there is no paper '{model.stock}'", hint, model.locate("stock"))
    if model.code not in library.codes:
        hint = suggest_match(model.code, library.codes)
        problems.error("code-unknown", f"there is no code '{model.code}'", hint, model.locate("code"))
        return
    levels = [field.level for field in library.fields.values() if field.code == model.code]
    if model.level not in levels:
        hint = suggest_match(model.level, levels)
        problems.error("level-unknown", f"there is no level '{model.level}'", hint, model.locate("level"))
    for part in model.parts:
        part.check(model.code, library, problems)
        if isinstance(part, PlaysPartModel):
            _check_plays(part, model.code, library, problems)
    for block in (block for face in list_faces(model) for block in walk_blocks(face)):
        block.check(model.code, library, problems)


def _check_plays(part: PlaysPartModel, code: str, library: Library, problems: ProblemLog) -> None:
    plays = {
        f"{file}/{name}": play for file, all_ in library.plays.items() for name, play in all_.cases.items()
    }
    for index, name in enumerate(part.cases):
        where = part.locate("cases", index)
        if name not in plays:
            problems.error("play-unknown", f"there is no play '{name}'", suggest_match(name, plays), where)
        elif code not in plays[name].expect:
            hint = f"give its ruling there: 'expect: {{{code}: ...}}'"
            problems.error("play-not-told", f"'{name}' is not told for {code}", hint, where)
    check_repeats(part.cases, problems, part, "cases")
