"""What commands tell goes through the reader's catalogue: nothing in the code tells English of its own."""

from __future__ import annotations

import ast
import re
from collections.abc import Iterator

import pytest

from pocketref.translations.command_words import list_command_words
from pocketref.translations.program_words import name_texts, read_modules

REFUSING = {"Problem", "refusal", "error", "warn", "unknown", "need", "echo"}
CLICK = {"BadArgumentUsage", "BadOptionUsage", "BadParameter", "ClickException", "NoSuchOption", "UsageError"}
BOUND = re.compile("(^|_)(sentence|hint)s?$", re.IGNORECASE)
KEPT = {
    ("pocketref/cli.py", "  cd {} && pocketref proof"),  # a line to type
    ("pocketref/marks/training_sheets.py", "training sheet"),  # keys of the table of what is unknown
    ("pocketref/web/mail.py", "training sheet"),
    ("pocketref/translations/language_proof.py", "catalogue of a language"),
    ("pocketref/source/references.py", "catalogue of a language"),
    ("pocketref/marks/answers.py", "training sheet"),
    ("pocketref/layouts/layout_library.py", "{}-not-in-force"),  # a problem's code
}
LOOKED_UP = "pocketref/output/files.py"
"""Its table of hints is looked up where they are told."""


def test_no_code_tells_english_of_its_own() -> None:
    found = {(module, text) for module, code in read_modules() for text in list_untold(code)}
    assert {each for each in found if each[0] != LOOKED_UP} == KEPT
    told = {text for entry in list_command_words() for text in entry.english}
    assert {text for module, text in found if module == LOOKED_UP} <= told


@pytest.mark.parametrize(
    ("code", "untold"),
    [
        ('refusal("no-file", f"there is no {name}")', ["there is no {}"]),
        ('problems.error("no-file", tell("there is none"), "give one")', ["give one"]),
        ('hint = "give one" if name else tell("mend it")', ["give one"]),
        ('why = "give one"\nclick.echo(why)', ["give one"]),
        ('click.echo(tell("there is none"))\nsay("give one")', []),
    ],
)
def test_what_is_not_looked_up_is_found(code: str, untold: list[str]) -> None:
    assert list(list_untold(code)) == untold


def list_untold(code: str) -> Iterator[str]:
    """The English that is told as it stands: literals, and names that are given literals."""
    tree = ast.parse(code)
    named = name_texts(tree)
    for node in ast.walk(tree):
        match node:
            case ast.Call(func=ast.Name(id=name) | ast.Attribute(attr=name)) if name in REFUSING | CLICK:
                told = [*node.args, *(each.value for each in node.keywords)]
            case ast.Assign(targets=[ast.Name(id=name)], value=value) if BOUND.search(name):
                told = [value]
            case _:
                continue
        yield from (text for each in told for text in _list_english(each, named))


def _list_english(node: ast.AST, named: dict[str, list[str]]) -> Iterator[str]:
    texts: list[str] = []
    match node:
        case ast.Call(func=ast.Name(id=name)) if name.startswith("tell"):
            return
        case ast.Name(id=name):
            texts = named.get(name, [])
        case ast.Constant(value=str(text)):
            texts = [text]
        case ast.JoinedStr(values=values):
            texts = ["".join(str(each.value) if isinstance(each, ast.Constant) else "{}" for each in values)]
    yield from (text for text in texts if re.search("[A-Za-z]{2,}[,:;]? +[A-Za-z]{2,}", text) or _mixes(text))
    if not texts:
        for inner in ast.iter_child_nodes(node):
            yield from _list_english(inner, named)


def _mixes(text: str) -> bool:
    """Whether there are two words about what is filled in."""
    return "{}" in text and len(re.findall("[A-Za-z]{2,}", text)) > 1
