"""A library that notes what is read of it, so that what was made can be kept while all of that stays the same."""

from __future__ import annotations

from collections.abc import Iterator, Mapping, Sequence
from dataclasses import fields
from typing import Any

from pocketref.source.library import Library
from pocketref.source.statements import Cited, Statement
from pocketref.source.syntax.located import SourceModel

_KEYS = "the keys"
"""What stands in place of a key where all the keys of a mapping were read."""
_DOUBTS = "the doubts"
_Read = tuple[str, object]


class Notes:
    """What was read of a library, and what was found there.

    `library` may be replaced by a later one of which all the notes hold: what is read from then on is that one's.
    """

    def __init__(self, library: Library) -> None:
        self.library = library
        self._found: dict[_Read, object] = {}
        self._marks: dict[int, tuple[Cited, str]] = {}

    def read(self, group: str, key: object) -> object:
        """The value of a key of one of the library's mappings, None if it has none."""
        return self._note((group, key))

    def read_keys(self, group: str) -> tuple[object, ...]:
        """The keys of one of the library's mappings in their order."""
        return self._note((group, _KEYS))  # type: ignore[return-value]

    def read_doubts(self) -> tuple[Statement, ...]:
        """The statements in doubt."""
        self._note((_DOUBTS, None))
        return self.library.doubts

    def read_mark(self, cited: Cited) -> str:
        """The mark of doubt of a statement."""
        mark = self.library.mark_doubt(cited)
        self._marks[id(cited)] = cited, mark
        return mark

    def still_hold(self, library: Library) -> bool:
        """Whether all that was read is the same in another library."""
        if library is self.library:
            return True
        return (
            library.edition is self.library.edition
            and all(
                _is_same(found, now := _look_up(library, *read)) or (read[0] == "layouts" and found == now)
                for read, found in self._found.items()
            )
            and all(library.mark_doubt(cited) == mark for cited, mark in self._marks.values())
        )

    def _note(self, read: _Read) -> object:
        found = self._found[read] = _look_up(self.library, *read)
        return found


def _look_up(library: Library, group: str, key: object) -> object:
    if group == _DOUBTS:
        return tuple(statement.model for statement in library.doubts)
    mapping = getattr(library, group)
    return tuple(mapping) if key is _KEYS else mapping.get(key)


def are_same(ones: Sequence[object], others: Sequence[object]) -> bool:
    """Whether all are the same; models only with their places, as equal ones may stand elsewhere."""
    return len(ones) == len(others) and all(
        one is other or (one == other and _stand_alike(one, other))
        for one, other in zip(ones, others, strict=True)
    )


def _stand_alike(one: object, other: object) -> bool:
    return not isinstance(one, SourceModel) or not isinstance(other, SourceModel) or one.is_read_alike(other)


def _is_same(one: object, other: object) -> bool:
    if isinstance(one, tuple) and isinstance(other, tuple):
        return are_same(one, other)
    return one is other


class _NotedMapping(Mapping[Any, Any]):
    """One of a library's mappings, as its notes have it."""

    def __init__(self, notes: Notes, group: str) -> None:
        self._notes = notes
        self._group = group

    def __getitem__(self, key: object) -> object:
        found = self._notes.read(self._group, key)
        if found is None:
            raise KeyError(key)
        return found

    def __iter__(self) -> Iterator[object]:
        return iter(self._notes.read_keys(self._group))

    def __len__(self) -> int:
        return len(self._notes.read_keys(self._group))


class NotedLibrary(Library):
    """A library whose reader is noted."""

    @property
    def _notes(self) -> Notes:
        notes: Notes = self.__dict__["notes"]
        return notes

    @property
    def doubts(self) -> tuple[Statement, ...]:
        """The statements in doubt."""
        return self._notes.read_doubts()

    def mark_doubt(self, *cited: Cited) -> str:
        """As that of any library."""
        return next(filter(None, map(self._notes.read_mark, cited)), "")


def note_reads(notes: Notes) -> Library:
    """The library of the notes, which are taken as it is read."""
    values = {field.name: getattr(notes.library, field.name) for field in fields(Library)}
    mappings = {
        name: _NotedMapping(notes, name) for name, value in values.items() if isinstance(value, Mapping)
    }
    noted = NotedLibrary(**values | mappings)
    noted.__dict__["notes"] = notes
    return noted
