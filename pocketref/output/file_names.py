"""Names of the files of a folder that any system can keep."""

from __future__ import annotations

import re
from pathlib import PurePosixPath

from pocketref.problems import Problem
from pocketref.words.terminal import tell

# What no file system or archive may be asked to keep: device separators, control and reserved characters.
_UNSAFE = re.compile(r'[\x00-\x1f\x7f<>:"|?*\\]')


class FileNames:
    """Names must stay inside the folder, and no two may fall together where case does not count."""

    def __init__(self) -> None:
        self._known: dict[str, str] = {}
        self._folders: set[str] = set()

    def add(self, name: str) -> Problem | None:
        """What is wrong with one more name."""
        fault, folded = _find_fault(name), name.casefold()
        twin = self._known.setdefault(folded, name)
        above = {str(parent) for parent in PurePosixPath(folded).parents}
        self._folders |= above
        if not fault and twin != name:
            fault = tell("the file name {name!r} differs from {twin!r} in case alone", name=name, twin=twin)
        elif not fault and (folded in self._folders or not above.isdisjoint(self._known)):
            fault = tell("the file name {name!r} is also the name of a folder", name=name)
        if not fault:
            return None
        return Problem("file-name-unsafe", fault, tell("choose another name"))


def _find_fault(name: str) -> str:
    """Why the name cannot be used, or nothing."""
    if _UNSAFE.search(name):
        return tell("the file name {name!r} holds a character that some systems do not allow", name=name)
    parts = name.split("/")
    if any(part in {"", ".", ".."} for part in parts):
        return tell("the file name {name!r} does not stay inside the folder", name=name)
    if any(part != part.strip() or part.endswith(".") for part in parts):
        return tell(
            "the file name {name!r} has a part that begins or ends with a space, or ends with a dot",
            name=name,
        )
    return ""
