"""One layout, many levels: what is laid out for several levels as a layout for each, with its own name and number."""

from __future__ import annotations

import re
from collections.abc import Callable, Iterable, Iterator, Sequence
from dataclasses import replace
from itertools import groupby
from string import ascii_lowercase
from typing import TypeVar

from pocketref.blocks.kinds import Blocks, ColumnsBlockModel
from pocketref.blocks.model import BlockModel
from pocketref.layouts.class_models import ClassModel, FacePartModel
from pocketref.layouts.house import HouseModel
from pocketref.layouts.layout_models import BY_LANGUAGE, CardModel, SheetModel
from pocketref.problems import Problem, ProblemLog
from pocketref.source.field_models import FieldModel
from pocketref.source.for_levels import ALL_IN_FORCE, ForLevelsModel
from pocketref.source.library import Library
from pocketref.source.references import check_repeats
from pocketref.words.terminal import tell

T = TypeVar("T", bound=ForLevelsModel)
B = TypeVar("B", bound=BlockModel)

_SLOT = re.compile(r"\{([^{}]*)\}")
_SLOTS = ("level", "code")


def expand_layouts(
    layouts: Iterable[T], library: Library, house: HouseModel, problems: ProblemLog
) -> list[T]:
    """Each layout for its one level, or for each of the levels that its `for` lists; what is wrong is noted.

    Where several levels are in force, the name of one of several ends in the level's, and its number in a letter, the
    same on all of a level's cards: a for the first level that edition.yaml lists. Its blocks are those for the level.
    One for all in force is left out, with a warning, for a level whose field has none of what a block of it is about.
    Where it names no stock, sides or level, those of the house are meant.
    """
    made: list[T] = []
    of_house = find_levels(house, library, ProblemLog())
    for read in layouts:
        layout = _fill_from_house(read, house)
        _check_title(layout, problems)
        if layout.code:
            made.append(_fill_title(layout, library))
            continue
        fields = find_levels(layout, library, problems) if layout.for_ else of_house
        if layout.for_ in ((), (ALL_IN_FORCE,)):
            fields = list(_leave_out_unfit(layout, fields, problems))
        made += (_make_for(layout, field, library, problems) for field in fields)
        if fields:
            _check_unused(layout, fields, library, problems)
    return made


def _fill_from_house(layout: T, house: HouseModel) -> T:
    """The layout with what the house says where it does not."""
    filled: dict[str, object] = {}
    if not layout.stock:
        filled["stock"] = house.card_stock if isinstance(layout, CardModel) else house.paper
    if isinstance(layout, CardModel):
        filled["sides"] = BY_LANGUAGE if (layout.sides or house.sides) == BY_LANGUAGE else ""
    return layout.model_copy(update=filled) if filled else layout


def _leave_out_unfit(
    layout: ForLevelsModel, fields: Iterable[FieldModel], problems: ProblemLog
) -> Iterator[FieldModel]:
    """Those of the levels on whose fields there is what a layout for whichever are in force is about."""
    for field in fields:
        unfit = filter(
            None, (block.tell_unfit(field) for block in _list_blocks(layout) if is_for(block, field))
        )
        if why := next(unfit, ""):
            problems.warn(
                "level-left-out",
                tell("'{name}' is not made for {key}: {why}", name=layout.name, key=field.key, why=why),
            )
        else:
            yield field


def check_levels_alike(
    layouts: Iterable[T], check: Callable[[T, ProblemLog], None], problems: ProblemLog
) -> None:
    """Check each layout; what holds for all levels of a file is told once, what does not names its levels."""
    for _, each in groupby(layouts, key=lambda layout: layout.location):
        found = []
        for layout in each:
            log = ProblemLog()
            check(layout, log)
            found.append((layout, log.problems))
        problems.extend(merge_levels(found))


def merge_levels(found: Sequence[tuple[ForLevelsModel, Sequence[Problem]]]) -> Iterator[Problem]:
    """The problems of one file's layouts, each once: that of some levels names them, that of all does not."""
    told: dict[Problem, dict[str, None]] = {}
    for layout, problems in found:
        for problem in problems:
            told.setdefault(problem, {})[layout.key] = None
    for problem, keys in told.items():
        named = f", for {', '.join(keys)}" if len(keys) < len(found) else ""
        yield replace(problem, sentence=problem.sentence + named)


def merge_named(problems: Iterable[Problem], layouts: Iterable[ForLevelsModel]) -> Iterator[Problem]:
    """The problems in order; those that differ in a layout's level alone are one, which names the levels if not all."""
    files: dict[str, list[ForLevelsModel]] = {}
    for layout in layouts:
        files.setdefault(layout.location.file if layout.location else "", []).append(layout)
    told: dict[Problem, dict[str, Problem]] = {}
    for problem in problems:
        plain, key = problem, ""
        for layout in files.get(problem.where.file, ()) if problem.where else ():
            stem = layout.name.removesuffix(f"-{layout.key}")
            if stem != layout.name and layout.name in problem.sentence:
                key = layout.key
                plain = replace(problem, sentence=problem.sentence.replace(layout.name, stem))
        told.setdefault(plain, {}).setdefault(key, problem)
    for plain, same in told.items():
        is_whole = plain.where and len(same) == len(files.get(plain.where.file, ()))
        named = "" if is_whole else f", for {', '.join(same)}"
        yield replace(plain, sentence=plain.sentence + named) if len(same) > 1 else next(iter(same.values()))


def names_level(library: Library) -> bool:
    """Whether a face must say which level it is for: there are several."""
    return len(library.edition.levels) > 1


def find_levels(
    layout: ForLevelsModel | HouseModel, library: Library, problems: ProblemLog
) -> list[FieldModel]:
    """The levels that `for` lists, each once, in its order; those of a code, and all in force, in the edition's."""
    in_force = [library.fields[key] for key in library.edition.levels if key in library.fields]
    found: dict[str, FieldModel] = {}
    for index, name in enumerate(layout.for_):
        where = layout.locate("for", index)
        problems.need(name, (ALL_IN_FORCE, *library.codes, *library.fields), "level", where)
        meant = [field for field in in_force if name in (ALL_IN_FORCE, field.code, field.key)]
        if not meant and (name in library.fields or name in library.codes):
            if name in library.fields:
                sentence = tell("the level '{name}' is not in force", name=name)
            else:
                sentence = tell("no level of '{name}' is in force", name=name)
            hint = tell(
                "list it under 'levels' in edition.yaml, or take it out here: in force are {in_force}",
                in_force=_join(in_force),
            )
            problems.error("level-not-in-force", sentence, hint, where)
        found |= {field.key: field for field in meant}
    check_repeats(layout.for_, problems, layout, "for")
    return list(found.values())


def _join(fields: Iterable[FieldModel]) -> str:
    return ", ".join(field.key for field in fields)


def _make_for(layout: T, field: FieldModel, library: Library, problems: ProblemLog) -> T:
    """The layout for one of the levels that it lists."""
    changes: dict[str, object] = {"code": field.code, "level": field.level}
    if names_level(library):
        changes[layout.name_field] = f"{layout.name}-{field.key}"
        if isinstance(layout, CardModel):
            changes["number"] = layout.number + _find_letter(library.edition.levels.index(field.key))
    if isinstance(layout, CardModel | SheetModel):
        for side in ("front", "back"):
            blocks = changes[side] = tuple(_keep_blocks(getattr(layout, side), field))
            if (
                not blocks
                and getattr(layout, side)
                and not (isinstance(layout, SheetModel) and side == "back")
            ):
                sentence = tell("no block of the {side} is for {key}", side=side, key=field.key)
                hint = tell("give it one, or take the level out of the layout's 'for'")
                problems.error("face-empty", sentence, hint, layout.locate_key(side))
    elif isinstance(layout, ClassModel):
        changes["parts"] = tuple(_keep_parts(layout, field))
    return _fill_title(layout.model_copy(update=changes), library)


def _find_letter(index: int) -> str:
    return ascii_lowercase[index] if index < len(ascii_lowercase) else f"-{index + 1}"


def _fill_title(layout: T, library: Library) -> T:
    """The layout with the names of its level and code in the slots of its title."""
    code, field = library.codes.get(layout.code), library.fields.get(layout.key)
    if code is None or field is None:
        return layout
    words = dict(zip(_SLOTS, (field.name, code.name), strict=True))
    title = _SLOT.sub(lambda slot: words.get(slot[1], slot[0]), layout.title)
    return layout if title == layout.title else layout.model_copy(update={"title": title})


def _check_title(layout: ForLevelsModel, problems: ProblemLog) -> None:
    for name in _SLOT.findall(layout.title):
        problems.need(
            name, _SLOTS, "slot", layout.locate("title"), tell("a title's slots are filled for each level")
        )


# --- blocks ----------------------------------------------------------------------------------------------


def is_for(block: BlockModel, field: FieldModel) -> bool:
    """Whether a block is laid out for a level."""
    return not block.for_ or any(name in (field.code, field.key) for name in block.for_)


def _keep_blocks(blocks: Blocks, field: FieldModel) -> Iterator[BlockModel]:
    """The blocks for a level; columns that nothing is left of are left out."""
    for block in blocks:
        if not is_for(block, field):
            continue
        if not isinstance(block, ColumnsBlockModel):
            yield block
            continue
        kept = [(column, tuple(_keep_blocks(column.blocks, field))) for column in block.columns]
        columns = tuple(column.model_copy(update={"blocks": inner}) for column, inner in kept if inner)
        if columns:
            yield block.model_copy(update={"columns": columns})


def _keep_parts(layout: ClassModel, field: FieldModel) -> Iterator[BlockModel]:
    for part in layout.parts:
        if is_for(part, field):
            blocks = tuple(_keep_blocks(part.blocks, field)) if isinstance(part, FacePartModel) else ()
            yield part.model_copy(update={"blocks": blocks}) if blocks else part


def _list_blocks(layout: ForLevelsModel) -> Iterator[BlockModel]:
    if isinstance(layout, CardModel | SheetModel):
        yield from _walk((*layout.front, *layout.back))
    elif isinstance(layout, ClassModel):
        for part in layout.parts:
            yield part
            yield from _walk(part.blocks) if isinstance(part, FacePartModel) else ()


def _walk(blocks: Iterable[BlockModel]) -> Iterator[BlockModel]:
    for block in blocks:
        yield block
        if isinstance(block, ColumnsBlockModel):
            yield from _walk(inner for column in block.columns for inner in column.blocks)


def _check_unused(
    layout: ForLevelsModel, fields: Sequence[FieldModel], library: Library, problems: ProblemLog
) -> None:
    """Each level that a block is for must be one; warn of one that the layout has not."""
    for block in _list_blocks(layout):
        for index, name in enumerate(block.for_):
            where = block.locate("for", index)
            problems.need(name, (*library.codes, *library.fields), "level", where)
            in_force = any(name in (library.fields[key].code, key) for key in library.edition.levels)
            if in_force and not any(name in (field.code, field.key) for field in fields):
                sentence = tell("the block is for {name}, and the layout is not", name=name)
                hint = tell(
                    "take it out, or add it to the layout's 'for': now for {fields}", fields=_join(fields)
                )
                problems.warn("block-unused", sentence, hint, where)
