"""What the layouts of cards and sheets have otherwise: faces block by block, the rest key by key."""

from __future__ import annotations

import json
from collections.abc import Iterator, Mapping
from difflib import SequenceMatcher

from pocketref.changes.change_set import Change
from pocketref.source.library import Library
from pocketref.source.record import record_layout

_SIDES = ("front", "back")
_ABOUT = ("subject", "plan")
_NONE: Mapping[str, object] = {}


def compare_kept_layouts(old: Library, new: Library) -> Iterator[Change]:
    """Each difference of the cards and sheets, where both editions say what these were laid out as."""
    for name in sorted(old.layouts.keys() | new.layouts.keys()) if old.layouts and new.layouts else ():
        models = (each.layouts.get(name) for each in (old, new))
        before, now = (record_layout(model) if model else _NONE for model in models)
        kind, _, stem = name.partition("/")
        shown = now or before
        called = f"{kind.removesuffix('s')} {shown.get('number', stem)}"
        what = f"{called} {shown['title']}"
        if not before or not now:
            yield Change(what, "there" if before else "", "there" if now else "")
            continue
        for key in dict.fromkeys((*before, *now)):
            one, other = before.get(key), now.get(key)
            if key in _SIDES:
                yield from _compare_side(f"{what}, {key}", one, other)
            elif one != other:
                yield Change(f"{called}, {key}", _write(one), _write(other))


def _compare_side(what: str, one: object, other: object) -> Iterator[Change]:
    """Blocks that came, went or are laid out otherwise."""
    before, now = (each if isinstance(each, list) else [] for each in (one, other))
    marks = [[json.dumps(block, sort_keys=True) for block in blocks] for blocks in (before, now)]
    for tag, a, b, c, d in SequenceMatcher(None, marks[0], marks[1], autojunk=False).get_opcodes():
        if tag != "equal":
            was, shown = (", ".join(map(_name_block, part)) for part in (before[a:b], now[c:d]))
            yield Change(what, was, shown)


def _name_block(block: Mapping[str, object]) -> str:
    """A block as its layout calls it: its kind and what it is about."""
    kind = str(block["block"])
    said = next((value for key in (kind, *_ABOUT) if isinstance(value := block.get(key), str)), "")
    return f"{kind} {said}".strip()


def _write(value: object) -> str:
    return "" if value in (None, "", [], {}) else str(value)
