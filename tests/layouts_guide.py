"""Writes layouts/README.md, the guide to every file, block and key of a layouts folder, from the models that read them.

Run it after a change of a model: `python tests/layouts_guide.py`.
"""

from __future__ import annotations

import re
import types
from collections.abc import Collection, Mapping
from decimal import Decimal
from functools import cache
from pathlib import Path
from typing import Annotated, Any, Literal, Union, get_args, get_origin

from pydantic import AfterValidator
from pydantic.fields import FieldInfo

from pocketref.blocks.field.derived import DerivedBlockModel
from pocketref.blocks.finder import MomentModel
from pocketref.blocks.kinds import AnyBlock, ColumnModel
from pocketref.blocks.model import PLANS, BlockModel, Refers, ShowsPicture
from pocketref.blocks.setting import Setting
from pocketref.layouts.class_models import (
    BoxPartModel,
    ChartPartModel,
    ClassModel,
    DifferencesPartModel,
    FacePartModel,
    PartModel,
    PlaysPartModel,
)
from pocketref.layouts.house import HouseModel, LogoModel
from pocketref.layouts.layout_models import CardModel, SheetModel
from pocketref.pages.stock_models import (
    FloorModel,
    PunchModel,
    SpotInkModel,
    StockModel,
    StocksModel,
    StylesModel,
)
from pocketref.source.library import read_library
from pocketref.source.play_models import PlaySheetModel, SeriesModel
from pocketref.source.syntax.kinds import OneOf
from pocketref.source.syntax.located import SourceModel
from pocketref.units.length import Length
from pocketref.units.notation import write_exact

ROOT = Path(__file__).parents[1]
GUIDE = ROOT / "layouts" / "README.md"
FILES: Mapping[type[SourceModel], tuple[type[SourceModel], ...]] = {
    StylesModel: (FloorModel, SpotInkModel),
    StocksModel: (StockModel, PunchModel),
    HouseModel: (LogoModel,),
    CardModel: (),
    SheetModel: (),
    PlaySheetModel: (SeriesModel,),
    ClassModel: (BoxPartModel, ChartPartModel, PlaysPartModel, DifferencesPartModel, FacePartModel),
}
"""The model of each kind of file, and those of the mappings in it."""

_INTRODUCTION = """# Layouts

What stands where: the stocks and type of an edition, its cards, sheets, training sheets and classes. Every key of every
file is below; `pocketref proof` names what is wrong with a layout by file and line, and what does not fit by how much.
This page is written by `tests/layouts_guide.py` from the models that read the files, and a test keeps it true.
"""


def list_blocks() -> tuple[type[BlockModel], ...]:
    """The model of every kind of block, by name."""
    kinds: tuple[type[BlockModel], ...] = get_args(get_args(AnyBlock)[0])
    return tuple(sorted(kinds, key=name_block))


def name_block(model: type[BlockModel]) -> str:
    name: str = get_args(model.model_fields["block"].annotation)[0]
    return name


def write_guide() -> str:
    """The whole page, in Markdown."""
    parts = [_INTRODUCTION]
    for model, inner in FILES.items():
        parts += [_write_model(each, "##" if each is model else "###") for each in (model, *inner)]
    blocks = list_blocks()
    named = ", ".join(f"[{name_block(model)}](#{name_block(model)})" for model in blocks)
    parts.append(f"## Blocks\n\nA face is a list of blocks; `block` says which kind each is: {named}.\n")
    parts += [_write_block(model) for model in blocks]
    return "\n".join(parts)


def _write_block(model: type[BlockModel]) -> str:
    name = name_block(model)
    text = _write_model(model, "###", name)
    if model is DerivedBlockModel:
        plans = "; ".join(f"of `{plan}`: {_quote(figures)}" for plan, figures in _list_figures().items())
        text += f"\nThe figures {plans}, and those of `plate-area`.\n"
    example = find_example(name)
    text += f"\n{example}\n" if example else ""
    inner = {"columns": ColumnModel, "finder": MomentModel}.get(name)
    return text + ("\n" + _write_model(inner, "####") if inner else "")


def _write_model(model: type[SourceModel], level: str, name: str = "") -> str:
    heading, about = _split_purpose(model)
    heading = name or heading
    rows = [
        f"| `{_write_key(key)}` | {describe_value(field.annotation, field.metadata)}{_write_default(field)} "
        f"| {_escape(field.description or '')} |"
        for key, field in model.model_fields.items()
        if key not in ("block", "part")
    ]
    table = ["| key | value | what it is |", "|---|---|---|", *rows] if rows else ["No other key."]
    return "\n".join([f"{level} {heading}", "", *([about, ""] if about else []), *table, ""])


def _split_purpose(model: type[SourceModel]) -> tuple[str, str]:
    """A model's heading and what it is for: that of a file is called after the file."""
    about = re.sub(r"\s+", " ", (model.__doc__ or "").strip())
    if "part" in model.model_fields:
        return f"part {get_args(model.model_fields['part'].annotation)[0]}", about
    if not about.startswith("The file "):
        return model.__name__.removesuffix("Model").lower(), about
    file, _, rest = about.removeprefix("The file ").partition(": ")
    return f"`{file.rstrip('.').removesuffix(' among the layouts')}`", f"{rest[:1].upper()}{rest[1:]}"


def _write_key(key: str) -> str:
    return key.rstrip("_").replace("_", "-")


def _escape(words: str) -> str:
    return words.replace("|", "\\|").replace("<", "&lt;")


def _quote(words: Collection[object]) -> str:
    return ", ".join(f"`{word}`" for word in words)


def describe_value(kind: Any, marks: Collection[object] = ()) -> str:
    """What may stand under a key, from the type of the field that reads it."""
    for mark in marks:
        if isinstance(mark, Refers):
            return f"names of {mark.what}s" if get_origin(kind) is tuple else f"name of a {mark.what}"
        if isinstance(mark, ShowsPicture):
            return "path of a picture in the content folder"
        if isinstance(mark, AfterValidator) and isinstance(mark.func, OneOf):
            return f"one of {_quote(mark.func.known)}"
    origin, inner = get_origin(kind), get_args(kind)
    if origin is Annotated:
        return describe_value(inner[0], inner[1:])
    if origin is Literal:
        return "one of " + _quote([word for word in inner if word])
    if origin in {Union, types.UnionType}:
        known = {PartModel: "a part", BlockModel: "a block"}
        models = [each for each in inner if isinstance(each, type)]
        named = [words for base, words in known.items() if any(issubclass(each, base) for each in models)]
        return (*named, describe_value(next(each for each in inner if each is not type(None))))[0]
    if origin is tuple:
        each = describe_value(inner[0])
        nested = re.sub("^list: (.*) each$", r"list of lists: \1 each", each)
        words = f"list: {each} each" if nested == each else nested
        return f"{each.removeprefix('a ')}s" if each in ("a block", "a part") else words
    if isinstance(origin, type) and issubclass(origin, Mapping):
        return f"mapping of names to {describe_value(inner[1])}"
    return _name_kind(kind, marks)


def _name_kind(kind: Any, marks: Collection[object]) -> str:
    if isinstance(kind, type) and issubclass(kind, SourceModel):
        return f"keys of {kind.__name__.removesuffix('Model').lower()}"
    words = {bool: "yes or no", int: "whole number", Decimal: "number", Length: "length with its unit"}
    if kind is str:
        readers = {getattr(getattr(mark, "func", None), "__name__", "") for mark in marks}
        return "name" if "_read_name" in readers else "text"
    text = words[kind]
    bounds = [getattr(mark, key) for key in ("ge", "le") for mark in marks if hasattr(mark, key)]
    return f"{text} from {bounds[0]} to {bounds[1]}" if len(bounds) == 2 else text


def _write_default(field: FieldInfo) -> str:
    if field.is_required():
        return ""
    value = field.get_default(call_default_factory=True)
    if value in ("", (), None):
        return "; may be left out"
    if isinstance(value, Length):
        return f"; {write_exact(value)} if left out"
    if isinstance(value, bool):
        return f"; {'yes' if value else 'no'} if left out"
    written = "[" + ", ".join(map(str, value)) + "]" if isinstance(value, tuple) else str(value)
    return f"; {written} if left out"


@cache
def _list_figures() -> Mapping[str, tuple[str, ...]]:
    """The derived figures of each plan, of the demo's first level."""
    library = read_library(ROOT / "content")
    field = next(iter(library.fields.values()))
    setting = Setting(library, field.code, field.level, "card")
    figures = {plan: tuple(setting.find_plan(plan).figures) for plan in PLANS}
    own = figures["plate-area"]
    return {
        plan: tuple(name for name in names if names is own or name not in own)
        for plan, names in figures.items()
    }


def find_example(name: str) -> str:
    """A block of that kind as the demo's layouts ask for it, with the file it is in; empty if none does."""
    for path in sorted((ROOT / "layouts").glob("*/*.yaml")):
        for line in path.read_text(encoding="utf-8").splitlines():
            if re.search(rf"\{{block: {name}[,}}]", line):
                return f"In `{path.relative_to(ROOT).as_posix()}`: `{line.strip().removeprefix('- ')}`"
    return ""


if __name__ == "__main__":
    GUIDE.write_text(write_guide(), encoding="utf-8")
