"""A digest of what a file is made of: the values of its pages, whatever objects hold them.

Two documents have one fingerprint exactly if all their values are the same, to the last bit of every number.
"""

from __future__ import annotations

import hashlib
import sys
from array import array
from collections.abc import Callable, Iterable, Sequence
from dataclasses import fields, is_dataclass
from enum import Enum
from functools import cache, partial
from importlib.metadata import PackageNotFoundError, version
from operator import attrgetter
from pathlib import Path
from typing import Any

import pocketref
from pocketref.scene.items import Ink, Stroke

_LIBRARIES = ("reportlab", "fonttools", "segno", "shapely", "pillow", "fontpkg-ibm-plex-sans-condensed")
"""Those that bytes of an edition come from."""
_STEPS = 1234567.891
"""Steps to the mm that numbers are told apart by: finer than any is written, coarser than the last digits, in which
Pythons differ (3.12 adds floats more exactly), and so odd that no figure falls midway between two steps."""
_PLAIN: dict[type, Callable[[Any], str]] = {int: repr, bool: repr, type(None): repr, bytes: repr}
_CODE = {".py", ".css", ".js", ".po"}
_STARTER = "starter"
"""Content and layouts as an installed package carries them, which are sources and no part of the program."""


@cache
def mark_program() -> str:
    """A digest of the program's own code and of the versions of what it writes with."""
    digest = hashlib.sha256()
    home = Path(pocketref.__file__).parent
    for path in sorted(home.rglob("*"), key=lambda path: path.relative_to(home).as_posix()):
        if path.suffix in _CODE and path.relative_to(home).parts[0] != _STARTER:
            digest.update(f"{path.relative_to(home).as_posix()}\n".encode())
            digest.update(hashlib.sha256(path.read_bytes()).digest())
    for name in _LIBRARIES:
        digest.update(f"{name} {_find_version(name)}\n".encode())
    return digest.hexdigest()


def _find_version(name: str) -> str:
    try:
        return version(name)
    except PackageNotFoundError:
        return "unknown"


def take_fingerprint(*values: object) -> str:
    """The digest of the values and of the program that makes a file of them.

    Values are frozen dataclasses, tuples, enums, numbers, text and bytes, one within the other. TypeError for any
    other, which would not be told apart by its value.
    """
    taken = _Values()
    taken.take_all(values)
    floats = array("q", [round(value * _STEPS) for value in taken.floats])
    if sys.byteorder == "big":
        floats.byteswap()
    digest = hashlib.sha256(f"{mark_program()} {len(floats)}\n".encode())
    digest.update(floats.tobytes())
    digest.update("\n".join(taken.others).encode("utf-8", "surrogatepass"))
    return digest.hexdigest()


class _Values:
    """Values sorted into numbers and all else; the names and counts in `others` say how they go together."""

    def __init__(self) -> None:
        self.floats: list[float] = []
        self.others: list[str] = []
        self._known: dict[int, str] = {}

    def take_all(self, values: Iterable[Any]) -> None:
        """Each value in its turn. The commonest kinds are looked at first: a page has ten thousands of values."""
        floats, others, known = self.floats, self.others, self._known
        for value in values:
            kind = type(value)
            if found := _FIELDS.get(kind):
                name, get_floats, get_others = found
                others.append(name)
                if get_floats:
                    floats += get_floats(value)
                if get_others:
                    self.take_all(get_others(value))
            elif kind is tuple:
                others.append(f"{len(value)} in")
                self.take_all(value)
            elif kind is float:
                others.append("number")
                floats.append(value)
            elif kind is str:
                others.append(f"{len(value)} {value}")
            elif write := _PLAIN.get(kind):
                others.append(write(value))
            elif kind is Ink or kind is Stroke or isinstance(value, Enum):
                # Few of them, however often they stand there.
                others.append(known.get(id(value)) or known.setdefault(id(value), repr(value)))
            else:
                _FIELDS[kind] = _find_fields(kind)
                self.take_all((value,))


_Getter = Callable[[Any], tuple[Any, ...]]
_FIELDS: dict[type, tuple[str, _Getter | None, _Getter | None]] = {}
"""As `_find_fields`, of every dataclass met."""


def _find_fields(kind: type) -> tuple[str, _Getter | None, _Getter | None]:
    """A dataclass's name, what gives its fields that are plain numbers, and what gives all others, if it has any."""
    if not is_dataclass(kind):
        msg = f"a {kind.__name__} has no fields to tell it by"
        raise TypeError(msg)
    plain = [each.name for each in fields(kind) if each.type == "float"]
    return kind.__name__, _get(plain), _get([each.name for each in fields(kind) if each.name not in plain])


def _get(names: Sequence[str]) -> _Getter | None:
    if len(names) == 1:
        return partial(_get_one, names[0])  # for one name `attrgetter` gives no tuple
    return attrgetter(*names) if names else None


def _get_one(name: str, value: object) -> tuple[Any]:
    return (getattr(value, name),)
