"""What the layouts of cards and sheets have otherwise: faces block by block, the rest key by key."""

from __future__ import annotations

import json
from collections.abc import Iterator, Sequence
from difflib import SequenceMatcher
from typing import get_args

from pocketref.blocks.kinds import AnyBlock, ColumnsBlockModel, walk_blocks
from pocketref.blocks.setting import Setting
from pocketref.changes.block_names import name_block
from pocketref.changes.change_set import Change
from pocketref.layouts.cards import write_layout_title, write_side
from pocketref.layouts.layout_models import CardModel, SheetModel
from pocketref.source.library import Library
from pocketref.source.record import record_layout
from pocketref.source.syntax.located import write_key
from pocketref.words.speech import say

_SIDES = ("front", "back")


def list_layout_words() -> Iterator[str]:
    """What keys of layouts and kinds of blocks are called."""
    for model in (CardModel, SheetModel):
        yield from (
            (info.alias or write_key(name)).replace("-", " ") for name, info in model.model_fields.items()
        )
    for block in get_args(get_args(AnyBlock)[0]):
        yield from (kind.replace("-", " ") for kind in get_args(block.model_fields["block"].annotation))


def compare_kept_layouts(old: Library, new: Library) -> Iterator[Change]:
    """Each difference of the cards and sheets, where both editions say what these were laid out as."""
    for name in sorted(old.layouts.keys() | new.layouts.keys()) if old.layouts and new.layouts else ():
        before, now = old.layouts.get(name), new.layouts.get(name)
        sides = [
            (model, Setting(library, model.code, model.level, "card", is_past=True))
            for model, library in ((before, old), (now, new))
            if isinstance(model, CardModel | SheetModel)
        ]
        model, setting = sides[-1]
        if isinstance(model, CardModel):
            called = say("card {number}", number=model.number)
            what = f"{called} {model.title}"
        else:
            called = what = say("sheet {title}", title=write_layout_title(model, setting.library))
        if not before or not now:
            yield Change(what, say("there") if before else "", say("there") if now else "")
            continue
        one, other = (record_layout(model) for model, _ in sides)
        for key in dict.fromkeys((*one, *other)):
            if key in _SIDES:
                first, second = ((getattr(model, key), setting) for model, setting in sides)
                yield from _compare_side(f"{what}, {write_side(key).lower()}", first, second)
            elif one.get(key) != other.get(key):
                what_of_it = f"{called}, {say(key.replace('-', ' '))}"
                was, is_now = (
                    _write(_say_value(model, key, value))
                    for (model, _), value in zip(sides, (one.get(key), other.get(key)), strict=True)
                )
                yield Change(what_of_it, was, is_now)


Side = tuple[Sequence[AnyBlock], Setting]
"""The blocks of a face, and what they are made from."""


def _compare_side(what: str, one: Side, other: Side) -> Iterator[Change]:
    """Blocks that came, went or are laid out otherwise, by what stands on the face."""
    before, now = (list(map(_mark, blocks)) for blocks, _ in (one, other))
    for tag, a, b, c, d in SequenceMatcher(None, before, now, autojunk=False).get_opcodes():
        if tag != "equal":
            was, shown = _name_leaves(one[0][a:b], one[1]), _name_leaves(other[0][c:d], other[1])
            gone = [name for name, mark in was if mark not in {each for _, each in shown}]
            come = [name for name, mark in shown if mark not in {each for _, each in was}]
            if not gone and not come:  # they stand otherwise beside each other
                gone, come = ([name for name, _ in leaves] for leaves in (was, shown))
            told = (say("{block} laid out otherwise", block=name) if name in gone else name for name in come)
            yield Change(what, ", ".join(gone), ", ".join(told))


def _name_leaves(blocks: Sequence[AnyBlock], setting: Setting) -> list[tuple[str, str]]:
    """What each block is called, those inside columns too, with all that its layout says."""
    leaves = (block for block in walk_blocks(blocks) if not isinstance(block, ColumnsBlockModel))
    return [(name_block(block, setting), _mark(block)) for block in leaves]


def _mark(block: AnyBlock) -> str:
    return json.dumps(record_layout(block), sort_keys=True)


def _say_value(model: CardModel | SheetModel, key: str, value: object) -> object:
    """What a layout has under a key, in the language in force where that is a sentence."""
    said = getattr(model, key, value)
    return said if isinstance(said, str) else value


def _write(value: object) -> str:
    return "" if value in (None, "", [], {}) else str(value)
