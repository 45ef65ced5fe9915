"""The page's script and style: the files in pocketref/web/page, each inlined after those that it imports."""

from __future__ import annotations

import json
import re
from collections.abc import Iterator
from functools import cache
from importlib.resources import files

_IMPORT = re.compile(r'^import \{[^}]*\} from "\./([\w-]+)\.js";\n', re.MULTILINE)
_EXPORT = re.compile(r"^export (?=(async )?function|const|let|class)", re.MULTILINE)
BASE = "main"
"""The module that every page has; the views join it."""


@cache
def write_script(*, with_views: bool) -> str:
    """All modules as one; without views, those alone that reading a page takes."""
    names = sorted(name for name, kind in _list_files() if kind == "js") if with_views else [BASE]
    return "".join(_read(f"{name}.js", is_script=True) for name in _order(names))


@cache
def write_style(*, with_views: bool) -> str:
    """The style of every page, then that of the views."""
    views = sorted(name for name, kind in _list_files() if kind == "css" and name != "page")
    return "".join(_read(f"{name}.css") for name in ["page", *(views if with_views else [])])


def write_data(value: object) -> str:
    """JSON that can stand within a `script` element whatever its texts hold."""
    return json.dumps(value, ensure_ascii=False, separators=(",", ":")).replace("<", "\\u003c")


def _list_files() -> Iterator[tuple[str, str]]:
    for file in (files("pocketref.web") / "page").iterdir():
        name, _, kind = file.name.rpartition(".")
        yield name, kind


def _order(names: list[str]) -> list[str]:
    """The modules and those they import, each once and after what it imports."""
    done: list[str] = []

    def visit(name: str) -> None:
        if name not in done:
            for other in _IMPORT.findall(_read(f"{name}.js")):
                visit(other)
            done.append(name)

    for name in names:
        visit(name)
    return done


def _read(name: str, *, is_script: bool = False) -> str:
    text = (files("pocketref.web") / "page" / name).read_text(encoding="utf-8")
    return _EXPORT.sub("", _IMPORT.sub("", text)) if is_script else text
