"""The page's script and style: the files in pocketref/web/page, each inlined after those that it imports."""

from __future__ import annotations

import base64
import json
import re
import zlib
from collections.abc import Iterator
from functools import cache
from importlib.resources import files

from rjsmin import jsmin

from pocketref.words.speech import Language, cache_words, find_language

_IMPORT = re.compile(r'^import (\{[^}]*\}) from "\./([\w-]+)\.js";\n', re.MULTILINE)
_EXPORT = re.compile(r"^export (?=(?:async )?(?:function\*?|const|class) (\w+))", re.MULTILINE)
_SAID = re.compile(
    r'\bsay\(\s*("(?:[^"\\]|\\.)*")|\bsayCount\([^"]*?("(?:[^"\\]|\\.)*"),\s*("(?:[^"\\]|\\.)*")'
)
_COMMENT = re.compile(r"/\*.*?\*/", re.DOTALL)
_NUMBERS = range(200)
"""Enough to tell which form goes with any number: language.js knows of the rest by their last two digits."""
BASE = "main"
"""The module that every page has; the views join it."""


@cache_words(4)
def write_script(*, with_views: bool) -> str:
    """All modules as one, saying their sentences in the language in force; without views, those alone that reading a
    page takes.
    """
    names = sorted(name for name, kind in _list_files() if kind == "js") if with_views else [BASE]
    script: str = jsmin("".join(map(_write_module, _order(names))))
    return script


@cache
def list_script_words() -> tuple[tuple[str, ...], ...]:
    """What the views say, each with its form for many where it counts: the literal texts that language.js is given."""
    text = "".join(_read(f"{name}.js") for name, kind in sorted(_list_files()) if kind == "js")
    said = (
        tuple(json.loads(each) for each in found.groups() if each)
        for found in _SAID.finditer(_drop_notes(text))
    )
    return tuple(dict.fromkeys(said))


def count_forms(language: Language) -> str:
    """Which form goes with each number, a digit each, as far as language.js asks."""
    return "".join(str(language.choose_form(number)) for number in _NUMBERS)


def _translate(script: str) -> str:
    """The script with its sentences in the language in force; those that count with a list of their forms."""
    language = find_language()
    return _SAID.sub(lambda found: _translate_call(found, language), script) if language else script


def _translate_call(found: re.Match[str], language: Language) -> str:
    one, many = (json.loads(each) if each else "" for each in found.group(2, 3))
    if not many:
        return found[0].replace(found[1], _quote(language.find(json.loads(found[1]))))
    chosen = {language.choose_form(number): number for number in reversed(_NUMBERS)}
    forms = [language.find(one, chosen.get(form, 0), many) for form in range(max(chosen) + 1)]
    call = found[0].removesuffix(found[3]).rstrip()
    return f"{call.removesuffix(',').removesuffix(found[2])}{_quote(forms)}, []"


def _quote(said: object) -> str:
    return json.dumps(said, ensure_ascii=False, separators=(",", ":"))


def _drop_notes(script: str) -> str:
    return re.sub(r"^//.*$", "", script, flags=re.MULTILINE)


@cache
def write_style(*, with_views: bool) -> str:
    """The style of every page, then that of the views."""
    views = sorted(name for name, kind in _list_files() if kind == "css" and name != "page")
    text = "".join(_read(f"{name}.css") for name in ["page", *(views if with_views else [])])
    return "\n".join(line.strip() for line in _COMMENT.sub("", text).splitlines() if line.strip())


def write_data(value: object) -> str:
    """JSON in UTF-8, deflated (RFC 1951) and in base64, as data.js reads it: a fifth of its size."""
    text = json.dumps(value, ensure_ascii=False, separators=(",", ":"))
    packer = zlib.compressobj(9, zlib.DEFLATED, -zlib.MAX_WBITS)
    return base64.b64encode(packer.compress(text.encode()) + packer.flush()).decode("ascii")


def _list_files() -> Iterator[tuple[str, str]]:
    for file in (files("pocketref.web") / "page").iterdir():
        name, _, kind = file.name.rpartition(".")
        yield name, kind


def _order(names: list[str]) -> list[str]:
    """The modules and those they import, each once and after what it imports."""
    done: list[str] = []

    def visit(name: str) -> None:
        if name not in done:
            for _, other in _IMPORT.findall(_read(f"{name}.js")):
                visit(other)
            done.append(name)

    for name in names:
        visit(name)
    return done


def _read(name: str) -> str:
    return (files("pocketref.web") / "page" / name).read_text(encoding="utf-8")


def _write_module(name: str) -> str:
    """The module as a function of its own, which gives what it exports; one that waits is waited for."""
    text = _translate(_drop_notes(_read(f"{name}.js")))
    exported = ", ".join(_EXPORT.findall(text))
    text = _EXPORT.sub(
        "", _IMPORT.sub(lambda found: f"const {found[1].replace(' as ', ': ')} = {_name(found[2])};\n", text)
    )
    waits = bool(re.search(r"^await ", text, re.MULTILINE))
    head = f"const {_name(name)} = {'await (async ' if waits else '('}() => {{\n"
    return f"{head}{text}return {{ {exported} }};\n}})();\n"


def _name(module: str) -> str:
    return f"in_{module.replace('-', '_')}"
