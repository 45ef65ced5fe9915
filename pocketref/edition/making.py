"""How the steps of a proof are taken: each when it is asked for; other kinds of maker watch, or keep what was made."""

from __future__ import annotations

from collections.abc import Callable, Sequence
from typing import TypeVar

from pocketref.source.library import Library

T = TypeVar("T")


class Maker:
    """Takes the steps of a proof. A step is known by its name, and follows from the library and what else is named."""

    def expect(self, steps: int) -> None:
        """Be told how many steps there are to come."""

    def make(self, name: str, library: Library, others: Sequence[object], step: Callable[[Library], T]) -> T:
        """What a step gives; `others` are what it follows from beside the library."""
        return step(library)


class WatchedMaker(Maker):
    """Tells how many steps there are, and of each that is taken."""

    def __init__(self, expect: Callable[[int], None], advance: Callable[[int], None]) -> None:
        self._expect = expect
        self._advance = advance

    def expect(self, steps: int) -> None:
        """Tell how many steps there are to come."""
        self._expect(steps)

    def make(self, name: str, library: Library, others: Sequence[object], step: Callable[[Library], T]) -> T:
        """Take the step, then tell that one more is taken."""
        made = step(library)
        self._advance(1)
        return made
