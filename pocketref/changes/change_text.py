"""Changes as text for a terminal and as JSON for a program."""

from __future__ import annotations

import json
from collections.abc import Iterator
from dataclasses import asdict

from pocketref.changes.change_set import GROUPS, Change, ChangeSet
from pocketref.words.terminal import tell

_LONGEST = 60
"""Characters of both values together that stand on one line with what they are of."""


def write_changes(changes: ChangeSet) -> str:
    """Every change under its heading, both values in words."""
    lines = [f"{changes.title}, {changes.edition.association}", "", changes.summary]
    names = (changes.old, changes.new) if changes.is_of_codes else (tell("was"), tell("now"))
    for name, found in changes.groups.items():
        lines += ["", GROUPS[name], *(line for change in found for line in _write_change(change, names))]
    return "\n".join(lines).replace("*", "")


def _write_change(change: Change, names: tuple[str, str]) -> Iterator[str]:
    if change.old and change.new and len(change.old + change.new) <= _LONGEST:
        yield f"  {change.what}: {change.old} -> {change.write_new()}"
        return
    yield f"  {change.what}"
    for name, words in zip(names, (change.old, change.write_new()), strict=True):
        yield f"    {name:{max(map(len, names))}}  {words or tell('none')}"
    if follows := change.write_follows():
        yield f"    {tell('follows: {follows}', follows=follows)}"


def write_changes_json(changes: ChangeSet) -> str:
    """The same for a program, of each call also the plays by their facts; keys are stable."""
    content = {
        "old": changes.old,
        "new": changes.new,
        "association": changes.edition.association,
        "of-codes": changes.is_of_codes,
        "call-changes": len(changes.calls),
        "count": changes.count,
        "summary": changes.summary,
        "groups": {name: [asdict(change) for change in found] for name, found in changes.groups.items()},
    }
    return json.dumps(content, ensure_ascii=False, indent=1).replace("*", "")
