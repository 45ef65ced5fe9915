"""Changes as text for a terminal and as JSON for a program."""

from __future__ import annotations

import json
from collections.abc import Iterator, Mapping
from dataclasses import asdict
from types import MappingProxyType

from pocketref.changes.changes import ChangeSet
from pocketref.changes.model_changes import Change
from pocketref.changes.ruling_changes import RulingChange, RulingSide
from pocketref.source.field_models import DIMENSIONS, TOLERANCES

GROUPS: dict[str, str] = {
    "dimensions": "Dimensions",
    "tolerances": "Tolerances",
    "cautions": "Cautions",
    "texts": "Mechanics",
    "plays": "Case plays",
    "wording": "In other words, no call changes",
    "edition": "The edition itself",
    "works": "Works and citations",
}
"""The groups of changes that are not rulings, in the order that they are told, and their headings."""
_ENTRIES = "entries"
"""What a text's own lines are called in the source; its title says enough."""


def write_changes(changes: ChangeSet) -> str:
    """Every change under its heading, both values in words."""
    lines = [write_title(changes)]
    if changes.rulings:
        lines += ["", "Calls"]
        for change in changes.rulings:
            lines += _write_ruling(change, changes)
    for name, heading in GROUPS.items():
        found: tuple[Change, ...] = getattr(changes, name)
        if found:
            lines += ["", heading, *(f"  {write_change(change, changes.places)}" for change in found)]
    if changes.layouts:
        lines += ["", "Layout only", *(f"  {name}" for name in changes.layouts)]
    return "\n".join([*lines, "", _write_total(changes)])


def _write_total(changes: ChangeSet) -> str:
    if changes.count:
        return f"{count_changes(changes)} in all."
    return "Nothing differs." if changes.is_of_codes else "Nothing changed."


def count_changes(changes: ChangeSet) -> str:
    """How many changes there are, in words."""
    word = "difference" if changes.is_of_codes else "change"
    return f"{changes.count or 'no'} {word}" + ("" if changes.count == 1 else "s")


def write_title(changes: ChangeSet) -> str:
    """What was compared, in a line."""
    verb = "differs" if changes.is_of_codes else "changed"
    return f"What {verb} from {changes.old} to {changes.new}, {changes.association}"


def _write_ruling(change: RulingChange, changes: ChangeSet) -> Iterator[str]:
    names = (changes.old, changes.new) if changes.is_of_codes else ("was", "now")
    width = max(map(len, names))
    yield (
        f"  {change.subject}: {change.play}"
        if changes.is_of_codes
        else (f"  {change.code}, {change.subject}: {change.play}")
    )
    for name, side in zip(names, (change.old, change.new), strict=True):
        yield f"    {name:{width}}  {write_side(side)}"


def write_side(side: RulingSide | None) -> str:
    """A ruling in a line: its headline, what it comes to, and its sections."""
    if side is None:
        return "no ruling"
    if side.is_unsettled:
        return f"unsettled, check your league ({side.headline}; {side.sections})"
    effect = f"ball {side.ball}; batter: {side.batter}; runners: {side.runners}; count: {side.count}"
    return f"{side.headline} ({effect}; {side.sections})"


def name_place(change: Change, places: Mapping[str, str], mark: str = "") -> str:
    """What has changed by its title in print, between marks, and the part of it; by names in the source without one."""
    what = DIMENSIONS.get(change.what) or TOLERANCES.get(change.what) or change.what
    place = places.get(change.where, "")
    if place and what == _ENTRIES:
        return f"{mark}{place}{mark}"
    return f"{mark}{place}:{mark} {what}" if place else f"{mark}{change.where}{mark}, {what}"


def write_change(change: Change, places: Mapping[str, str] = MappingProxyType({})) -> str:
    """A change in a line: "where, what: old -> new", or what was added or dropped; `places` as `ChangeSet` has them."""
    place = name_place(change, places)
    source = f"  ({change.cites})" if change.cites else ""
    if not change.old:
        return f"{place}: new: {change.new}{source}" if change.new else f"{place}: new"
    if not change.new:
        return f"{place}: dropped: {change.old}"
    return f"{place}: {change.old} -> {change.new}{source}"


def write_changes_json(changes: ChangeSet) -> str:
    """The same for a program; keys are stable."""
    content = {key.replace("_", "-"): value for key, value in asdict(changes).items()}
    content["rulings"] = [_list_ruling(change) for change in changes.rulings]
    return json.dumps({"count": changes.count} | content, ensure_ascii=False, indent=1)


def _list_ruling(change: RulingChange) -> dict[str, object]:
    return {
        "code": change.code,
        "subject": change.subject,
        "play": change.play,
        "when": {fact: list(answers) for fact, answers in change.when},
        "old": _list_side(change.old),
        "new": _list_side(change.new),
    }


def _list_side(side: RulingSide | None) -> dict[str, object] | None:
    return None if side is None else {key.replace("_", "-"): value for key, value in asdict(side).items()}
