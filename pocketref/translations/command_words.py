"""What the commands tell their reader: the texts that `tell` is called with, helps, and click's own words."""

from __future__ import annotations

import ast
from collections.abc import Callable, Iterable, Iterator
from importlib import import_module
from inspect import cleandoc

import pocketref
from pocketref.edition.reuse import REUSED
from pocketref.field.dimensions import DISAGREEMENTS
from pocketref.marks.syllabus import AGAIN, KEPT, MORE, NEW
from pocketref.output.files import HINTS
from pocketref.output.reading.filled_sheet import CHECK_SHEETS
from pocketref.plays.placement import SOURCES
from pocketref.problems import REASONS, Severity
from pocketref.rulings.situation import SITUATION
from pocketref.source.pictures import OTHER_KINDS
from pocketref.source.statements import DOUBTFUL
from pocketref.source.syntax.csv_rows import SEPARATORS
from pocketref.source.syntax.located import SourceModel
from pocketref.source.syntax.syntax_wording import MEANINGS
from pocketref.source.syntax.validation_wording import HOW
from pocketref.tape.readings import SLIPS
from pocketref.translations.program_words import list_said, name_texts, read_modules, read_texts, walk_code
from pocketref.words.catalogue import Entry
from pocketref.words.terminal import list_help

CLICK = "click"
_CALLS = {"tell": slice(0, 1), "tell_count": slice(1, 3), "paper_option": slice(0, 1)}
_CLICK: tuple[tuple[str, ...], ...] = (
    ("Usage:",),
    ("Options",),
    ("Commands",),
    ("Error: {message}",),
    ("Try '{command} {option}' for help.",),
    ("Show this message and exit.",),
    ("default: {default}",),
    ("required",),
    ("Aborted!",),
    ("Missing command.",),
    ("Missing argument",),
    ("Missing option",),
    ("Missing parameter",),
    ("No such command {name!r}.",),
    ("No such option {name!r}.",),
    ("Did you mean {possibility}?", "(Did you mean one of: {possibilities}?)"),
    ("Got unexpected extra argument ({args})", "Got unexpected extra arguments ({args})"),
    ("Option {name!r} requires an argument.", "Option {name!r} requires {nargs} arguments."),
    ("Option {name!r} does not take a value.",),
    ("Invalid value: {message}",),
    ("Invalid value for {param_hint}: {message}",),
    ("{value!r} is not a valid {number_type}.",),
    ("{value!r} is not {choice}.", "{value!r} is not one of {choices}."),
    ("{value} is not in the range {range}.",),
)
"""The texts of click that these commands come to show, which it looks up by GNU gettext."""


_TABLES: dict[str, Callable[[], Iterable[str]]] = {
    "severities": lambda: Severity,
    "reasons": lambda: REASONS,
    "publishing": lambda: (REUSED, *(hint for _, hint in HINTS.values())),
    "doubt": lambda: DOUBTFUL,
    "plays": lambda: (SITUATION, *SOURCES.values()),
    "weeks": lambda: (NEW, AGAIN, MORE, KEPT),
    "yaml": lambda: [words for meaning in MEANINGS.values() for words in meaning],
    "kinds": lambda: (*HOW, *HOW.values()),
    "csv": SEPARATORS.values,
    "pictures": lambda: [name for _, name in OTHER_KINDS],
    "dimensions": DISAGREEMENTS.values,
    "slips": lambda: SLIPS,
    "sheets": lambda: (CHECK_SHEETS,),
    "keys": lambda: sorted(set(_list_descriptions())),
}
"""Tables whose texts are looked up where they are told."""


def _list_descriptions() -> Iterator[str]:
    """What is said of a key that is missing, from all models of content and layouts."""
    for module, code in read_modules():
        if "Field(" in code:
            import_module(module.removesuffix(".py").replace("/", "."))
    models: list[type[SourceModel]] = [SourceModel]
    for model in models:
        models += model.__subclasses__()
        is_ours = model.__module__.startswith(f"{pocketref.__name__}.")
        fields = model.model_fields.values() if is_ours else ()
        yield from (field.description for field in fields if field.description and field.is_required())


def list_command_words() -> Iterator[Entry]:
    """Every text that a command may tell, with the module or table that tells it."""
    for name, list_texts in _TABLES.items():
        yield from (Entry((str(text),), references=(f"tables/{name}",)) for text in list_texts())
    yield from (Entry(said, references=(CLICK,)) for said in _CLICK)
    for module, code in read_modules():
        said = (*list_said(code, _CALLS), *((text,) for text in _list_helps(code)))
        yield from (Entry(each, references=(module,)) for each in said)


def _list_helps(code: str) -> Iterator[str]:
    """What is said of commands, which are functions decorated as such, and of their options."""
    tree = ast.parse(code)
    named = name_texts(tree)
    for node in walk_code(tree):
        match node:
            case ast.FunctionDef(decorator_list=marks) if any(map(_makes_command, marks)):
                yield from list_help(cleandoc(ast.get_docstring(node, clean=False) or ""))
            case ast.Call(func=ast.Name(id="option"), keywords=given):
                yield from (
                    text for each in given if each.arg == "help" for text in read_texts(each.value, named)
                )


def _makes_command(mark: ast.expr) -> bool:
    return isinstance(mark, ast.Call) and ast.unparse(mark.func) in ("command", "main.command", "click.group")
