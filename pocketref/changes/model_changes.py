"""Two models of one kind compared key by key, in words."""

from __future__ import annotations

from collections.abc import Iterable, Mapping, Sequence
from dataclasses import dataclass
from typing import TypeVar

from pocketref.source.syntax.located import SourceModel

M = TypeVar("M", bound=SourceModel)

CITING_KEYS = ("source", "confidence")


@dataclass(frozen=True, slots=True)
class Change:
    """One thing that differs: where, what, and both values in words; empty where there is none."""

    where: str
    what: str
    old: str
    new: str
    cites: str = ""


def compare_models(where: str, old: SourceModel, new: SourceModel, skip: Iterable[str] = ()) -> list[Change]:
    """The keys whose values differ, in the model's order; of lists only the entries that differ."""
    before, after = (model.model_dump(mode="json", by_alias=True) for model in (old, new))
    changes = []
    for key in dict.fromkeys((*before, *after)):
        one, other = before.get(key), after.get(key)
        if key in skip or one == other:
            continue
        if isinstance(one, list) and isinstance(other, list):
            one, other = _keep_different(one, other)
        changes.append(Change(where, key, write_value(one), write_value(other)))
    return changes


def compare_groups(
    old: Mapping[str, M], new: Mapping[str, M], what: str
) -> tuple[tuple[Change, ...], tuple[Change, ...]]:
    """Models by name compared one by one: what a reader sees, and apart from it what is only cited."""
    shown: list[Change] = []
    cited: list[Change] = []
    for name in dict.fromkeys((*old, *new)):
        before, after = old.get(name), new.get(name)
        if before is None or after is None:
            shown.append(Change(name, what, _write_whole(before), _write_whole(after)))
            continue
        for change in compare_models(name, before, after):
            (cited if change.what in CITING_KEYS else shown).append(change)
    return tuple(shown), tuple(cited)


def write_value(value: object) -> str:
    """A value of a model's dump in words; "" for nothing."""
    if value is None:
        return ""
    if isinstance(value, bool):
        return "yes" if value else "no"
    if isinstance(value, list):
        return " / ".join(write_value(inner) for inner in value)
    if isinstance(value, dict):
        return ", ".join(f"{key} {write_value(inner)}" for key, inner in value.items())
    return str(value).replace("*", "")


def _write_whole(model: SourceModel | None) -> str:
    """A model that stands on one side alone: its heading or title, and its entries."""
    if model is None:
        return ""
    dump = model.model_dump(mode="json", by_alias=True)
    parts = [dump.get("signal-word"), dump.get("heading") or dump.get("title"), dump.get("entries")]
    return ": ".join(write_value(part) for part in parts if part)


def _keep_different(old: Sequence[object], new: Sequence[object]) -> tuple[list[object], list[object]]:
    """The entries of each list that the other has not; all of both if only their order differs."""
    before = [entry for entry in old if entry not in new]
    after = [entry for entry in new if entry not in old]
    return (before, after) if before or after else (list(old), list(new))
