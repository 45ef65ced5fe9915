"""Every single change that a source can undergo: one leaf at a time, replaced by another value that is valid there."""

from __future__ import annotations

from collections.abc import Iterator, Mapping
from dataclasses import fields, replace
from datetime import date, timedelta
from decimal import Decimal
from enum import StrEnum

from pocketref.changes.differences import open_model
from pocketref.source.library import Library
from pocketref.source.ruling_models import Batter, Count
from pocketref.source.syntax.kinds import Cite
from pocketref.source.syntax.located import SourceModel
from pocketref.units.length import Length

Path = tuple[str, ...]
OWN_NAMES = {
    ("fields", "level", 2), ("fields", "code", 2), ("subjects", "subject", 2), ("rulings", "subject", 2),
    ("rulings", "code", 2), ("cautions", "caution", 2), ("plays", "plays", 2), ("plays", "subject", 2),
}  # fmt: skip
"""What a file is called and whose it is, and how deep that stands: it can't change with the file in its place."""
LISTS = {
    "foot": ("left", "right"), "knee": ("left", "right"), "bats": ("left", "right"), "corner": ("plate", "back-inner"),
    "contact": ("flat", "toe"), "position": ("catcher", "first"), "feet": ("on-plate", "over-line"),
    "knees": ("on-plate", "out"), "ball": ("fair-ground", "foul-ground"), "pitch": ("ball", "strike"),
    "count": ("0-0", "1-1"), "runners": ("first", "third"), "occupied": ("first", "third"), "empty": ("first", "third"),
}  # fmt: skip
"""Values of closed lists that are no enumeration."""


def list_leaf_changes(library: Library) -> Iterator[tuple[Path, Library]]:
    """Each leaf's path, and the library with that leaf replaced."""
    for group in fields(Library):
        if group.name != "warnings":
            for path, value in _change(library, (group.name,), getattr(library, group.name)):
                yield path, replace(library, **{group.name: value})


def _change(library: Library, path: Path, value: object) -> Iterator[tuple[Path, object]]:
    """Each way to change one leaf of a value, with the leaf's path."""
    parts = _take_apart(path, value)
    for key, inner in parts.items():
        name = "/".join(key) if isinstance(key, tuple) else str(key)
        for where, other in _change(library, (*path, name), inner):
            yield where, _put_back(value, key, other)
    if (
        not parts
        and value not in (None, "", (), {})
        and (other := _choose_other(library, path, value)) != value
    ):
        yield path, other


def _take_apart(path: Path, value: object) -> dict[object, object]:
    """What a value holds, by key or number; nothing for a leaf."""
    if isinstance(value, SourceModel):
        return {
            key: each for key, each in open_model(value).items() if (path[0], key, len(path)) not in OWN_NAMES
        }
    if isinstance(value, Mapping):
        return dict(value)
    return dict(enumerate(value)) if isinstance(value, tuple) else {}


def _put_back(value: object, key: object, other: object) -> object:
    """The value with another part under a key."""
    if isinstance(value, SourceModel):
        names = {info.alias or name: name for name, info in type(value).model_fields.items()}
        return value.model_copy(update={names[str(key)]: other})
    if isinstance(value, Mapping):
        return {**value, key: other}
    assert isinstance(value, tuple)
    return tuple(other if number == key else each for number, each in enumerate(value))


def _choose_other(library: Library, path: Path, value: object) -> object:
    """Another value that is valid in its place; the value itself where there is none."""
    match value:
        case bool():
            return not value
        case int() if path[-1] == "outs":
            return (value + 1) % 3
        case int() | Decimal():
            return value + 1
        case Length():
            return value + Length.from_mm(1)
        case date():
            return value + timedelta(days=1)
        case Batter() if value is not Batter.BATS_ON:  # who bats on goes with another count
            return Batter.OUT if value is Batter.OUT_ON_APPEAL else Batter.OUT_ON_APPEAL
        case StrEnum():  # "at-bat over" goes with another batter
            return next(each for each in type(value) if each not in (value, Count.OVER))
        case Cite():
            cites = (Cite(name, section) for name, work in library.works.items() for section in work.sections)
            return next(each for each in cites if each != value)
        case str():
            known = _list_names(library, path)
            return next((each for each in known if each != value), value) if known else f"{value} Otherwise"
    raise AssertionError(path)


def _list_names(library: Library, path: Path) -> list[str]:
    """The names that a leaf may hold; none where it holds words."""
    group, key, *rest = path
    if group in ("edition", "codes"):
        known = {"codes": library.codes, "levels": library.fields, "work": library.works}
        return list(known.get(rest[0] if group == "codes" else key, ()))
    if group == "rulings":
        return _list_table_names(library, *key.split("/"), rest)
    if group == "subjects" and "only-after" in rest:
        return list(library.subjects[key].facts[rest[-1]].answers)
    if group == "plays" and rest[0] == "cases":
        subject = library.plays[key].subject
        match rest[2:]:
            case ("facts", fact):
                return list(library.subjects[subject].facts[fact].answers)
            case ("expect", code):
                return list(library.rulings[code, subject].rulings)
            case ("caution",):
                return list(library.cautions)
            case ("tags", _):
                return ["other-tag"]
    named = [each for each in path[-2:] if not each.isdigit()]
    return list(LISTS.get(named[-1], ())) if group == "plays" or "from" in rest else []


def _list_table_names(library: Library, code: str, subject: str, path: list[str]) -> list[str]:
    facts = library.subjects[subject].facts
    if path[0] == "rows" and path[2:] == ["ruling"]:
        return list(library.rulings[code, subject].rulings)
    if path[0] == "order":
        return list(facts)
    if "when" in path:
        return list(facts[path[3]].answers)
    return list(library.subjects) if path[-1] == "see" else []
