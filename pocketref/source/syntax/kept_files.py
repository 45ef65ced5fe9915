"""What was read of files, kept as long as they hold the same."""

from __future__ import annotations

import hashlib
from collections.abc import Callable
from pathlib import Path
from typing import Any, TypeVar

from pocketref.problems import Problem, ProblemLog

T = TypeVar("T")
_Read = Callable[[bytes, ProblemLog], T]


class KeptFiles:
    """Each file's model and problems by the digest of its content."""

    def __init__(self) -> None:
        self._kept: dict[tuple[Path, object], tuple[bytes, Any, tuple[Problem, ...]]] = {}

    def take(self, path: Path, kind: object, content: bytes, problems: ProblemLog, read: _Read[T]) -> T:
        """What `read` gives of a file's content, or gave of the same; `kind` tells apart what one file is read as."""
        digest = hashlib.sha256(content).digest()
        known = self._kept.get((path, kind))
        if known is None or known[0] != digest:
            found = ProblemLog()
            known = digest, read(content, found), tuple(found.problems)
            self._kept[path, kind] = known
        problems.extend(known[2])
        made: T = known[1]
        return made
