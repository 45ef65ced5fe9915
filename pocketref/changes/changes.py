"""What differs between two editions, or two codes: every leaf of the sources, and every play of the tables."""

from __future__ import annotations

from collections.abc import Iterable, Mapping
from dataclasses import replace

from pocketref.changes.change_set import CALLS, GROUPS, LAYOUTS, Change, ChangeSet
from pocketref.changes.change_words import Editions, write_difference
from pocketref.changes.differences import Difference, compare_leaves, find_differences
from pocketref.changes.followers import Told, fold_plays
from pocketref.changes.layout_changes import compare_kept_layouts
from pocketref.changes.table_changes import compare_calls, compare_subject, compare_table, find_side
from pocketref.edition.source_reading import EditionSource
from pocketref.problems import PocketrefError, Problem, suggest_match, write_unknown
from pocketref.source.library import Library
from pocketref.words.speech import say

_FIGURE = 4
"""How many keys lead to a dimension or tolerance that only one level gives."""
_ASKED = (("ask",), ("answers",))
KINDS = {"cards": "card", "sheets": "sheet", "plays": "training sheet", "classes": "class"}
"""What a reader calls the layouts of a folder."""


def compare_editions(old: EditionSource, new: EditionSource) -> ChangeSet:
    """What changed from one edition to another: every leaf that differs is told in some group."""
    editions = Editions(old.library, new.library)
    differences = list(find_differences(old.library, new.library))
    laid_out = [(LAYOUTS, change) for change in compare_kept_layouts(old.library, new.library)]
    kept = ("cards/", "sheets/") if old.library.layouts and new.library.layouts else ()
    told = [*_describe(editions, differences), *laid_out, *_compare_layouts(old.inputs, new.inputs, kept)]
    asked = any(path[:1] == ("subjects",) and path[4:5] in _ASKED for path in (d.path for d in differences))
    before, now = old.library.edition, new.library.edition
    return ChangeSet(before.mark, now.mark, now, _group(told), is_asked_otherwise=asked)


def _describe(editions: Editions, differences: Iterable[Difference]) -> Told:
    """Each difference with its group; those of a table, or of its facts, together with the calls they change."""
    tables: dict[tuple[str, ...], list[Difference]] = {}
    expected: list[Difference] = []
    for found in differences:
        match found.path:
            case ("plays", _, "cases", _, "expect", _):
                expected.append(found)
            case ("rulings", key, *_):
                tables.setdefault(tuple(key.split("/")), []).append(found)
            case ("subjects", subject, *_):
                yield from compare_subject(editions, found)
                for code, name in editions.new.rulings:
                    if name == subject and (code, name) in editions.old.rulings:
                        tables.setdefault((code, name), [])
            case (_, "codes"):
                yield from _compare_force(editions, found)
            case _:
                yield write_difference(editions, found)
    told: list[tuple[str, Change]] = []
    for (code, subject), leaves in tables.items():
        told += compare_table(editions, code, subject, leaves)
    yield from fold_plays(editions, told, expected)


def _compare_force(editions: Editions, found: Difference) -> Told:
    """Codes whose tables come into the edition, or leave it; else their order."""
    old, new = editions.old.edition.codes, editions.new.edition.codes
    if set(old) == set(new):
        yield write_difference(editions, found)
    for code in sorted({*old} ^ {*new}):
        was, now = (say("in force") if code in codes else say("not in force") for codes in (old, new))
        yield CALLS, Change(f"*{editions.name(('codes', code))}*", was, now)


def _group(told: Iterable[tuple[str, Change]]) -> Mapping[str, tuple[Change, ...]]:
    groups: dict[str, list[Change]] = {name: [] for name in GROUPS}
    for name, change in told:
        groups[name].append(change)
    return {name: tuple(changes) for name, changes in groups.items() if changes}


def compare_codes(library: Library, left: str, right: str) -> ChangeSet:
    """Where a second code differs from a first: the subjects that either rules on, and the levels that both have.

    PocketrefError ("code-unknown") with the closest match for a code that is not there.
    """
    for code in (left, right):
        if code not in library.codes:
            hint = suggest_match(code, library.codes)
            raise PocketrefError([Problem("code-unknown", write_unknown("code", code), hint)])
    told: list[tuple[str, Change]] = []
    for name, subject in library.subjects.items():
        one, other = (find_side(library, code, name) for code in (left, right))
        if one and other:
            told += [(CALLS, change) for change in compare_calls(one, other, subject.title)]
        elif one or other:
            was, now = (say("ruled on") if side else "" for side in (one, other))
            told.append((CALLS, Change(f"*{subject.title}*", was, now)))
    told += _compare_levels(library, left, right)
    old, new = library.codes[left].name, library.codes[right].name
    return ChangeSet(old, new, library.edition, _group(told), is_of_codes=True)


def _compare_levels(library: Library, left: str, right: str) -> Told:
    """The figures of levels that both codes have, under the level's name alone."""
    fields = [
        {model.level: model for model in library.fields.values() if model.code == code}
        for code in (left, right)
    ]
    apart = f", {library.codes[right].name.lower()}:"
    for level, model in fields[0].items():
        other = fields[1].get(level)
        for found in compare_leaves(("fields", other.key), model, other) if other else ():
            if len(found.path) == _FIGURE or found.path[-1] == "value":
                group, change = write_difference(Editions(library, library), found)
                yield group, replace(change, what=change.what.replace(apart, ":"))


def _compare_layouts(old: Mapping[str, str], new: Mapping[str, str], kept: tuple[str, ...]) -> Told:
    """Layout files that differ, where both editions say what they were laid out from; not those `kept` in them."""
    before, after = _list_layouts(old), _list_layouts(new)
    for name in sorted(before.keys() | after.keys()) if before and after else ():
        if before.get(name) != after.get(name) and not name.startswith(kept):
            folder, _, stem = name.removesuffix(".yaml").rpartition("/")
            what = f"{say(KINDS.get(folder, folder))} {stem.replace('-', ' ')}".strip()
            was, now = say("as laid out") if name in before else "", say("otherwise") if name in after else ""
            yield LAYOUTS, Change(what, was, now)


def _list_layouts(inputs: Mapping[str, str]) -> dict[str, str]:
    """Layout files by their name within the layouts folder, which is the one that stocks.yaml is in."""
    folders = [name.removesuffix("stocks.yaml") for name in inputs if name.endswith("/stocks.yaml")]
    return {
        name.removeprefix(folder): digest
        for folder in folders[:1]
        for name, digest in inputs.items()
        if name.startswith(folder)
    }
