"""The steps of a proof, each taken anew only if something that it follows from has changed."""

from __future__ import annotations

from collections.abc import Callable, Sequence
from dataclasses import dataclass
from typing import Any, TypeVar

from pocketref.edition.making import Maker
from pocketref.look.noted_library import Notes, are_same, note_reads
from pocketref.source.library import Library

T = TypeVar("T")


class SupersededError(Exception):
    """There is something more urgent to do: the steps that were taken are kept."""


@dataclass(frozen=True, slots=True)
class _Kept:
    made: Any
    notes: Notes
    others: tuple[object, ...]


class Keeper(Maker):
    """Keeps what each step gave; before it takes one, it asks whether something more urgent has come up."""

    def __init__(self, is_superseded: Callable[[], bool]) -> None:
        self._is_superseded = is_superseded
        self._kept: dict[str, _Kept] = {}

    def make(self, name: str, library: Library, others: Sequence[object], step: Callable[[Library], T]) -> T:
        """What the step gives, or gave; SupersededError if it has to be taken and something else is more urgent."""
        known = self._kept.get(name)
        if known and are_same(known.others, others) and known.notes.still_hold(library):
            known.notes.library = library
            made: T = known.made
            return made
        if self._is_superseded():
            raise SupersededError
        notes = Notes(library)
        made = step(note_reads(notes))
        self._kept[name] = _Kept(made, notes, tuple(others))
        return made
