"""The starter set's layouts made over for other levels than the demo's: what one has no rulings or figures for goes."""

from __future__ import annotations

import re
from collections.abc import Iterator, Mapping, Sequence
from dataclasses import dataclass
from pathlib import Path
from tempfile import TemporaryDirectory

from pocketref.blocks.kinds import ColumnsBlockModel
from pocketref.blocks.model import BlockModel
from pocketref.layouts.cards import lay_out_card, lay_out_sheet
from pocketref.layouts.for_levels import is_for
from pocketref.layouts.layout_library import Layouts, read_papers
from pocketref.layouts.layout_models import CardModel, SheetModel
from pocketref.output.files import publish_folder
from pocketref.problems import PocketrefError, ProblemLog, refusal
from pocketref.source.field_models import FieldModel
from pocketref.source.library import Library
from pocketref.source.references import keep_read
from pocketref.source.syntax.folder import FolderReader
from pocketref.words.terminal import tell

_Face = CardModel | SheetModel

_SUBJECTS = re.compile(rb"\bsubject: ([a-z0-9-]+)|\bsubjects: \[([a-z0-9, -]+)\]")
_TRAINING = re.compile(r"layouts/(plays|classes)/")


@dataclass(frozen=True, slots=True)
class MadeOver:
    """Files by name, and what had to change besides the code, in words."""

    files: Mapping[str, bytes]
    notes: tuple[str, ...]


def find_levels(library: Library, codes: Sequence[str], levels: Sequence[str]) -> tuple[FieldModel, ...]:
    """Of each code the levels named, or else its first in the order of the files; then the other levels named.

    PocketrefError: "code-unknown", "level-unknown", with the closest match.
    """
    problems = ProblemLog()
    for code in codes:
        problems.need(code, library.codes, "code", None)
    for level in levels:
        problems.need(level, library.fields, "level", None)
    problems.raise_errors()
    named, found = [library.fields[level] for level in levels], []
    for code in codes:
        own = [field for field in library.fields.values() if field.code == code]
        if not own:
            where = library.codes[code].location
            raise refusal(
                "level-unknown",
                tell("there is no field of {code}", code=code),
                tell("add one under fields/"),
                where,
            )
        found += [field for field in named if field.code == code] or own[:1]
    return tuple({field.key: field for field in (*found, *named)}.values())


def make_over(files: Mapping[str, bytes], library: Library, fields: Sequence[FieldModel]) -> MadeOver:
    """The layouts among the files for these levels.

    A block on a subject that a level's code does not rule on, or of a card that draws what the level has no dimension
    for, is laid out for the other levels alone. Where nothing on a subject is left, or nothing in a face or column, the
    whole layout is; and so is a sheet that lacks a dimension. A training sheet or class is for the levels whose code
    rules on all that it asks.
    """
    made = dict(files)
    notes: list[str] = []
    for name in [name for name in made if _TRAINING.match(name)]:
        notes += _keep_ruled(made, name, library, fields)
    for name, layout, looks in _read_layouts(made, library):
        lacking = {field.key: _list_lacking(layout, field, library, looks) for field in fields}
        stay = [each for each in fields if not _is_left_out(layout, each, lacking[each.key])]
        if not stay:
            del made[name]
        else:
            made[name] = _keep_for(made[name], layout, stay, fields, lacking)
        notes += _write_notes(name, stay, lacking)
    return MadeOver(made, tuple(notes))


def _keep_ruled(
    made: dict[str, bytes], name: str, library: Library, fields: Sequence[FieldModel]
) -> Iterator[str]:
    """Leave a training sheet or a class to the levels whose code rules on all its subjects; says to which not."""
    named = (one or more for one, more in _SUBJECTS.findall(made[name]))
    asked = sorted({each for names in named for each in names.decode().split(", ")})
    lacking = {
        field.key: {0: _write_unruled(field.code, unruled)}
        for field in fields
        if (unruled := [each for each in asked if (field.code, each) not in library.rulings])
    }
    stay = [field for field in fields if field.key not in lacking]
    if not stay:
        del made[name]
    elif lacking:
        made[name] = _write_for_in(made[name], stay)
    return _write_notes(name, stay, lacking)


def _read_layouts(files: Mapping[str, bytes], library: Library) -> list[tuple[str, _Face, Layouts]]:
    """The cards and sheets that name no level, each with its file's name and what it is laid out on."""
    with TemporaryDirectory() as folder:
        publish_folder(Path(folder) / "made", files)
        layouts, problems = Path(folder) / "made/layouts", ProblemLog()
        looks, reader = read_papers(layouts), FolderReader(layouts, problems)
        cards = keep_read(reader.read_named("cards", CardModel, "card")).values()
        sheets = keep_read(reader.read_named("sheets", SheetModel, "sheet")).values()
        problems.raise_errors()
    house = looks.house
    named: list[tuple[str, _Face]] = [
        (f"layouts/cards/{card.card}.yaml", card.model_copy(update={"stock": card.stock or house.card_stock}))
        for card in cards
    ]
    named += [
        (f"layouts/sheets/{sheet.sheet}.yaml", sheet.model_copy(update={"stock": sheet.stock or house.paper}))
        for sheet in sheets
    ]
    return [(name, layout, looks) for name, layout in named if not (layout.for_ or layout.code)]


def _list_lists(layout: _Face) -> Iterator[Sequence[BlockModel]]:
    """The lists of blocks in a layout: its faces, and the columns in them."""
    for face in filter(None, (layout.front, layout.back)):
        yield face
        for block in face:
            yield from (
                (column.blocks for column in block.columns) if isinstance(block, ColumnsBlockModel) else ()
            )


def _list_blocks(layout: _Face) -> list[BlockModel]:
    """The blocks that hold no others."""
    blocks = (block for each in _list_lists(layout) for block in each)
    return [block for block in blocks if not isinstance(block, ColumnsBlockModel)]


def _list_lacking(layout: _Face, field: FieldModel, library: Library, looks: Layouts) -> dict[int, str]:
    """Why each block can't be laid out for the level, by the block's id."""
    reasons = {}
    for block in (each for each in _list_blocks(layout) if is_for(each, field)):
        subject = getattr(block, "subject", "")
        if subject and (field.code, subject) not in library.rulings:
            reasons[id(block)] = _write_unruled(field.code, [subject])
        elif not subject and (missing := _list_missing(layout, block, field, library, looks)):
            reasons[id(block)] = tell("{key} has no {names}", key=field.key, names=", ".join(missing))
    return reasons


def _list_missing(
    layout: _Face, block: BlockModel, field: FieldModel, library: Library, looks: Layouts
) -> list[str]:
    """The dimensions that a block draws and the level has not."""
    alone = layout.model_copy(
        update={"code": field.code, "level": field.level, "front": (block,), "back": (block,)}
    )
    try:
        if isinstance(alone, CardModel):
            lay_out_card(alone, library, looks, placed=())
        else:
            lay_out_sheet(alone, library, looks)
    except PocketrefError as error:
        found = (p.sentence.split("'")[1] for p in error.problems if p.code == "dimension-missing")
        return list(dict.fromkeys(found))
    return []


def _is_left_out(layout: _Face, field: FieldModel, lacking: Mapping[int, str]) -> bool:
    """Whether too little of a layout is left for a level."""
    on_subjects = [block for block in _list_blocks(layout) if getattr(block, "subject", "")]
    if on_subjects and all(id(block) in lacking for block in on_subjects):
        return True
    if isinstance(layout, SheetModel) and len(lacking) > sum(id(block) in lacking for block in on_subjects):
        return True
    lists = ([block for block in each if is_for(block, field)] for each in _list_lists(layout))
    return any(blocks and all(id(block) in lacking for block in blocks) for blocks in lists)


def _keep_for(
    text: bytes,
    layout: _Face,
    stay: Sequence[FieldModel],
    fields: Sequence[FieldModel],
    lacking: Mapping[str, Mapping[int, str]],
) -> bytes:
    """The file for those of the levels that stay, and each block for those of them that have what it takes."""
    lines = text.decode().splitlines(keepends=True)
    for block in reversed(_list_blocks(layout)):  # from the end, so that places before it hold
        kept = [field for field in stay if id(block) not in lacking[field.key]]
        if len(kept) < len(stay) and block.location:
            _limit_block(lines, block.location.line - 1, block.location.column - 1, kept)
    made = "".join(lines).encode()
    return _write_for_in(made, stay) if len(stay) < len(fields) else made


def _write_for_in(text: bytes, stay: Sequence[FieldModel]) -> bytes:
    """The layout's file for those levels alone, as the line after its title says."""
    return re.sub(rb"(?m)^title: .+\n", lambda title: title[0] + _write_for(stay).encode(), text, count=1)


def _limit_block(lines: list[str], start: int, indent: int, kept: Sequence[FieldModel]) -> None:
    """Take out the block that starts there, or lay it out for the levels kept alone."""
    is_flow = lines[start][indent] == "{"
    if kept and is_flow:
        head, _, tail = lines[start].rpartition("}")
        lines[start] = f"{head}, {_write_for(kept).rstrip()}}}{tail}"
    elif kept:
        lines.insert(start + 1, " " * indent + _write_for(kept))
    else:
        rest = (n for n, line in enumerate(lines) if n > start and not line.startswith(" " * indent))
        del lines[start : start + 1 if is_flow else next(rest, len(lines))]


def _write_for(fields: Sequence[FieldModel]) -> str:
    return f"for: [{', '.join(field.key for field in fields)}]\n"


def _write_unruled(code: str, subjects: Sequence[str]) -> str:
    return tell("{code} does not rule on {subjects}", code=code, subjects=", ".join(subjects))


def _write_notes(
    name: str, stay: Sequence[FieldModel], lacking: Mapping[str, Mapping[int, str]]
) -> Iterator[str]:
    """What of a layout is not laid out for which levels, and why."""
    staying = {field.key for field in stay}
    for key, reasons in lacking.items():
        said = {"name": name, "key": key, "reasons": "; ".join(dict.fromkeys(reasons.values()))}
        if reasons and stay and key in staying:
            yield tell("{name} leaves out a block for {key}: {reasons}", **said)
        elif reasons and stay:
            yield tell("{name} leaves out all of it for {key}: {reasons}", **said)
        elif reasons:
            yield tell("no {name}: {reasons}", **said)
