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
_PLAIN = frozenset({str, int, bool, bytes, type(None)})
_CODE = {".py", ".css", ".js"}


@cache
def mark_program() -> str:
    """A digest of the program's own code and of the versions of what it writes with."""
    digest = hashlib.sha256()
    home = Path(pocketref.__file__).parent
    for path in sorted(home.rglob("*"), key=lambda path: path.relative_to(home).as_posix()):
        if path.suffix in _CODE:
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
    digest.update(repr(taken.others).encode("utf-8", "surrogatepass"))
    return digest.hexdigest()


class _Values:
    """Values sorted into numbers and all else; the names and counts in `others` say how they go together."""

    def __init__(self) -> None:
        self.floats: list[float] = []
        self.others: list[object] = []
        self._pens: dict[int, str] = {}

    def take_all(self, values: Iterable[Any]) -> None:
        """Each value in its turn. The commonest kinds are looked at first: a page has ten thousands of values."""
        floats, others = self.floats, self.others
        for value in values:
            kind = type(value)
            if kind is float:
                others.append(0.0)
                floats.append(value)
            elif kind in _PLAIN:
                others.append((value,))
            elif kind is tuple:
                others.append(len(value))
                self.take_all(value)
            elif kind is Ink or kind is Stroke:
                others.append(self._pens.get(id(value)) or self._pens.setdefault(id(value), repr(value)))
            elif isinstance(value, Enum):
                others.append((kind.__name__, value.value))
            else:
                name, get, is_all_floats = _find_fields(kind)  # type: ignore[arg-type]  # mypy holds no type for hashable
                others.append(name)
                if is_all_floats:
                    floats += get(value)
                else:
                    self.take_all(get(value))


def _get_few(names: Sequence[str], value: object) -> tuple[Any, ...]:
    """Of one name or none, for which `attrgetter` gives no tuple."""
    return tuple(getattr(value, name) for name in names)


@cache
def _find_fields(kind: type) -> tuple[str, Callable[[Any], tuple[Any, ...]], bool]:
    """A dataclass's name, what gives the values of its fields, and whether all of them are plain numbers."""
    if not is_dataclass(kind):
        msg = f"a {kind.__name__} has no fields to tell it by"
        raise TypeError(msg)
    names = [each.name for each in fields(kind)]
    get: Callable[[Any], tuple[Any, ...]] = attrgetter(*names) if len(names) > 1 else partial(_get_few, names)
    return kind.__name__, get, all(each.type == "float" for each in fields(kind))
